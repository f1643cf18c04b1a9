"""Curves and modes in files: what is read, and every fault of a file that is not."""

import numpy as np
import pytest
import pyuff

from counterbounce.app.host_files import ModeTable, read_host
from counterbounce.model.faults import CounterbounceError

F = np.arange(1.0, 5.0)
VALUES = np.array([4 - 1j, 3 - 2j, 1 - 3j, -1 - 1j]) * 1e-5


def written(tmp_path, name, text):
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    return str(file)


def csv_of(unit, values, mark=","):
    head = mark.join(["frequency [Hz]", *(f"end per hub {part} [{unit}]" for part in ("real", "imaginary"))])
    return "\n".join([head, *(mark.join(map(repr, row)) for row in zip(F.tolist(), *values, strict=True))])


def faults_of(*asked):
    with pytest.raises(CounterbounceError) as found:
        read_host(*asked)
    return found.value.faults


@pytest.mark.parametrize(
    ("unit", "kind", "scale"),
    [
        ("m/N", "receptance", 1.0),
        ("mm/N", "receptance", 1e-3),
        ("m/s/N", "mobility", 1.0),
        ("milli-g/N", "accelerance", 9.80665e-3),
        ("in/lbf", "receptance", 0.0254 / 4.4482216152605),
    ],
)
@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_a_table_says_its_unit_and_so_its_kind(tmp_path, unit, kind, scale, mark):
    text = "# a comment\n\n" + csv_of(unit, [VALUES.real.tolist(), VALUES.imag.tolist()], mark)
    (curve,) = read_host(written(tmp_path, "curves.csv", text))
    assert (curve.response, curve.reference, curve.kind) == ("end", "hub", kind)
    assert np.array_equal(curve.frequency, F)
    assert np.allclose(curve.values, VALUES * scale, rtol=1e-12)


def test_the_road_is_a_reference_in_metres(tmp_path):
    text = "frequency [Hz],end per road real [mm/m],end per road imaginary [mm/m]\n1,1000,0\n2,2000,-3\n"
    (curve,) = read_host(written(tmp_path, "road.csv", text))
    assert (curve.reference, curve.values.tolist()) == ("road", [1.0, 2.0 - 0.003j])
    (fault,) = faults_of(written(tmp_path, "wrong.csv", text.replace("real [mm/m]", "real [m/N]")))
    assert "road" in fault.wanted


def test_modes_in_both_kinds_of_file_are_the_same(tmp_path):
    table = "frequency [Hz];damping [%];modal mass [kg];end;floor\n5;2;100;1;0.5\n9.5;3;1;-0.2;0.1\n"
    toml = """
    [[mode]]
    frequency = "5 Hz"
    damping = "2 %"
    modal_mass = "100 kg"
    shape = { end = 1, floor = 0.5 }
    [[mode]]
    frequency = "9.5 Hz"
    damping = 0.03
    shape = { end = -0.2, floor = 0.1 }
    """
    for modes in (
        read_host(written(tmp_path, "modes.csv", table)),
        read_host(written(tmp_path, "modes.toml", toml)),
    ):
        assert isinstance(modes, ModeTable)
        assert modes.natural_hz.tolist() == [5.0, 9.5]
        assert modes.damping_ratio == pytest.approx([0.02, 0.03])
        assert modes.modal_mass.tolist() == [100.0, 1.0]
        assert {point: shape.tolist() for point, shape in modes.shapes.items()} == {
            "end": [1.0, -0.2],
            "floor": [0.5, 0.1],
        }


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("frequency [Hz]\n", "header line"),
        ("time [s],a per a real [m/N]\n1,2\n", "frequency [Hz]"),
        ("frequency [Hz],a per a real [m/N]\n1,2\n", "column imaginary"),
        ("frequency [Hz],a per a real [m/N],a per a imaginary [m/s/N]\n1,2,3\n", "one kind"),
        ("frequency [Hz],a per a real [m/kg]\n1,2\n", "m/s^2/N"),
        ("frequency [Hz],a [m/N]\n1,2\n", "no curve"),
        ("frequency [Hz],a per a real [m/N]\n1;2\n", "2 numbers"),
        (
            "# two lines\n\nfrequency [Hz],a per a real [m/N]\n1,nan\n",
            "table.csv:4: a per a real [m/N] = 'nan'",
        ),
        ("frequency [s],a per a real [m/N]\n1,2\n", "wanted a unit like Hz"),
        ("frequency [Hz],frequency [Hz]\n1,2\n", "twice"),
        ("frequency [Hz],damping [%],a\n5,0,1\n", "more than zero"),
        ("frequency [Hz],damping,a\n5,3,1\n", "less than 1"),
        ("frequency [Hz],damping [%]\n5,3\n", "no shapes"),
        ("frequency [Hz],damping [%],modal mass [N],a\n5,3,1,1\n", "like kg"),
    ],
)
def test_a_table_that_is_none_is_refused(tmp_path, text, said):
    assert said in " ".join(map(str, faults_of(written(tmp_path, "table.csv", text))))


def test_every_fault_of_the_modes_at_once(tmp_path):
    text = (
        '[[mode]]\nfreq = "5 Hz"\ndamping = "300 %"\nshape = { a = inf, b = "x" }\n'
        '[[mode]]\nfrequency = "9"\ndamping = "2 %"\n'
    )
    faults = faults_of(written(tmp_path, "modes.toml", text))
    keys = ["freq", "frequency", "damping"]
    assert [f.key for f in faults] == [
        *(f"mode 1, {key}" for key in keys), "mode 2, frequency", "mode 1, shape, a", "mode 1, shape, b",
        "mode 2, shape",
    ]  # fmt: skip
    assert faults[0].near == "frequency"
    for text in ("mode = 3", "[[mode]", ""):
        assert len(faults_of(written(tmp_path, "none.toml", text))) == 1


def test_what_cannot_be_read_is_named(tmp_path):
    assert "cannot be read" in str(faults_of(str(tmp_path / "none.csv"))[0])
    assert ".toml" in str(faults_of(written(tmp_path, "curves.txt", ""))[0])
    file = tmp_path / "latin.csv"
    file.write_bytes(b"fr\xe9quence")
    assert "UTF-8" in str(faults_of(str(file))[0])


def universal(file, **more):
    one = pyuff.prepare_58(
        binary=0, func_type=4, rsp_node=1, rsp_dir=3, ref_node=1, ref_dir=3, x=F, data=VALUES,
        abscissa_spacing=1, abscissa_spec_data_type=18, ordinate_spec_data_type=12,
        orddenom_spec_data_type=13, **more,
    )  # fmt: skip
    pyuff.UFF(str(file)).write_sets(one, "add")
    return str(file)


def test_a_universal_file_says_its_unit_or_is_told(tmp_path):
    """Data set 164: numbers are divided by its factors to be SI (its printed description, seen)."""
    silent = universal(tmp_path / "silent.unv")
    assert "--unit" in str(faults_of(silent)[0])
    assert np.allclose(read_host(silent, "mm/s^2/N")[0].values, 1e-3 * VALUES, rtol=1e-6)
    assert "mm/N" in str(faults_of(silent, "mm/N")[0])
    labelled = universal(
        tmp_path / "labelled.unv", ordinate_axis_units_lab="mm/s^2", orddenom_axis_units_lab="kN"
    )
    assert np.allclose(read_host(labelled)[0].values, 1e-6 * VALUES, rtol=1e-6)
    file = tmp_path / "units.unv"
    millimetres = pyuff.prepare_164(
        units_code=5, units_description="mm (milli-newton)", temp_mode=1, length=1e3, force=1e6, temp=1.0,
        temp_offset=0.0,
    )  # fmt: skip
    pyuff.UFF(str(file)).write_sets(millimetres, "overwrite")
    assert np.allclose(read_host(universal(file))[0].values, 1e3 * VALUES, rtol=1e-6)
