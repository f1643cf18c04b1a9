"""Text as people's devices write it, and every other kind of file, read to the same numbers."""

from __future__ import annotations

import builtins
import importlib
import warnings

import numpy as np
import pytest

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured import logger_files
from counterbounce.model.measured.files import read_columns

TIME = np.arange(1000) / 500
SEAT, FLOOR = np.sin(50 * TIME), 0.5 * np.cos(30 * TIME)


def numbers(found):
    return np.stack([column.part(slice(None)) for column in found.columns])


VALUES = tuple(zip(TIME, SEAT, FLOOR, strict=True))


def rows(separator=",", comma=False):
    for values in VALUES:
        line = separator.join(f"{value:.9f}" for value in values)
        yield line.replace(".", ",") if comma else line


TEXTS = {
    "commas": ["time [s],seat [g],floor [m/s^2]", *rows()],
    "semicolons and decimal commas": ["time [s];seat [g];floor [m/s^2]", *rows(";", True)],
    "tabs and decimal commas": ["time [s]\tseat [g]\tfloor [m/s^2]", *rows("\t", True)],
    "a mixed first row": ["time [s],seat [g],floor [m/s^2]", "0,0,5e-1", *list(rows())[1:]],
    "blanks": ["time [s] seat [g] floor [m/s^2]", *rows("  ")],
    "blanks and decimal commas": ["time [s] seat [g] floor [m/s^2]", *rows(" ", True)],
    "brackets": ["time (s),seat (g),floor (m/s^2)", *rows()],
    "a line of units": ["time,seat,floor", "s,g,m/s^2", *rows()],
    "a line of units in brackets": ["time;seat;floor", "[s];[g];[m/s^2]", *rows(";")],
    "a preamble": ["Logger 7", "started: 12:03, in the yard", "", "time [s],seat [g],floor [m/s^2]", *rows()],
    "remarks": ["# a remark, 1, 2", "time [s],seat [g],floor [m/s^2]", "# another", *rows(), "# the end"],
    "a separator at the end": ["time [s],seat [g],floor [m/s^2],", *(f"{row}," for row in rows())],
    "quotes": ['"time [s]","seat [g]","floor [m/s^2]"', *('"' + r.replace(",", '","') + '"' for r in rows())],
    "exponents": ["time [s],seat [g],floor [m/s^2]", *("{:e},{:.9e},{:.9e}".format(*v) for v in VALUES)],
    "milliseconds": ["time_ms,seat [g],floor [m/s^2]", *rows()],
}


@pytest.mark.parametrize("name", TEXTS)
def test_ways_to_write_a_table(name, tmp_path):
    file = tmp_path / "run.csv"
    file.write_text("\n".join(TEXTS[name]), encoding="utf-8")
    found = read_columns(file)
    assert [(c.name, c.unit) for c in found.columns] == [("seat", "g"), ("floor", "m/s^2")]
    assert [c.rate for c in found.columns] == [500.0 * (1000 if name == "milliseconds" else 1)] * 2
    assert np.allclose(numbers(found), [SEAT, FLOOR], atol=1e-9)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1", "utf-16"])
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_encodings_and_ends_of_lines(encoding, newline, tmp_path):
    file = tmp_path / "run.csv"
    file.write_bytes(newline.join(["time [s],façade [m/s²]", "0,1", "0.1,2", "0.2,3"]).encode(encoding))
    (column,) = read_columns(file).columns
    assert (column.name, column.unit, column.values.tolist()) == ("façade", "m/s²", [1.0, 2.0, 3.0])


def test_a_table_of_many_pieces(tmp_path, monkeypatch):
    """What is read piece by piece is what is read at once, wherever the borders fall."""
    file = tmp_path / "run.csv"
    file.write_text("\n".join(TEXTS["remarks"]))
    whole = numbers(read_columns(file))
    monkeypatch.setattr("counterbounce.model.measured.text_table.CHUNK", 1000)
    assert np.array_equal(numbers(read_columns(file)), whole)


def test_missing_numbers_are_missing_and_wrong_ones_are_faults_on_their_lines(tmp_path):
    file = tmp_path / "run.csv"
    file.write_text("time [s],seat [g]\n0,1\n0.1,\n0.2,NaN\n0.3,-\n0.4,2\n")
    assert np.isnan(numbers(read_columns(file))[0]).tolist() == [False, True, True, True, False]
    file.write_text("# first\ntime [s],seat [g]\n0,1\n0.1,x1\n0.2,2,3\n0.3,4\n")
    with pytest.raises(CounterbounceError) as caught:
        read_columns(file)
    assert [(f.line, f.given) for f in caught.value.faults] == [(4, "'x1'"), (5, "columns: 3")]


def test_a_side_goes_with_its_point_though_a_comma_stands_between(tmp_path):
    file = tmp_path / "run.csv"
    file.write_text("time [s],rear axle, left [g],rear axle, right [g]\n0,1,2\n0.1,2,3\n")
    assert [c.name for c in read_columns(file).columns] == ["rear axle, left", "rear axle, right"]


def test_names_that_are_not_as_many_as_the_columns(tmp_path):
    file = tmp_path / "run.csv"
    file.write_text("time [s],floor, beside the seat [g]\n0,1\n0.1,2\n")
    with pytest.raises(CounterbounceError, match="wanted 2 names") as caught:
        read_columns(file)
    assert caught.value.faults[0].line == 1


def test_columns_of_words_are_left_aside(tmp_path):
    file = tmp_path / "run.csv"
    lines = [f"{i / 100},{i % 7},OK,{'x1' if i == 20 else i % 5}" for i in range(100)]
    file.write_text("\n".join(["time [s],seat [g],state,floor [g]", *lines]))
    with pytest.raises(CounterbounceError) as caught:
        read_columns(file)
    assert [(f.line, f.given) for f in caught.value.faults] == [(22, "'x1'")]
    file.write_text(file.read_text().replace("x1", "1"))
    found = read_columns(file).columns
    assert [(c.name, c.rate) for c in found] == [("seat", 100.0), ("floor", 100.0)]
    assert found[0].part(slice(0, 3)).tolist() == [0.0, 1.0, 2.0]


def test_columns_without_names_are_numbered(tmp_path):
    file = tmp_path / "run.csv"
    file.write_text("0,1\n1,2\n2,3\n")
    assert [c.name for c in read_columns(file, 100.0).columns] == ["column 1", "column 2"]
    with pytest.raises(CounterbounceError, match="a line of names and units"):
        read_columns(file)


def test_a_spreadsheet_is_told_from_a_table(tmp_path):
    (tmp_path / "run.xlsx").write_bytes(b"anything")
    with pytest.raises(CounterbounceError, match="save the sheet as CSV"):
        read_columns(tmp_path / "run.xlsx")


def test_a_column_of_times_needs_its_unit(tmp_path):
    file = tmp_path / "run.csv"
    file.write_text("time,seat [g]\n0,1\n1,2\n")
    with pytest.raises(CounterbounceError, match="needs its unit"):
        read_columns(file)


# --- other kinds ------------------------------------------------------------------------------------------


def test_wav_of_any_width(tmp_path):
    from scipy.io import wavfile

    for kind, full in ((np.int16, 2**15), (np.int32, 2**31), (np.float32, 1), (np.uint8, 2**7)):
        stored = (SEAT * 0.9 * full).astype(kind) if kind != np.uint8 else (SEAT * 100 + 128).astype(kind)
        wavfile.write(tmp_path / "run.wav", 500, np.stack([stored, stored], axis=1))
        found = read_columns(tmp_path / "run.wav")
        assert [c.name for c in found.columns] == ["channel 1", "channel 2"]
        wanted = SEAT * (0.9 if kind != np.uint8 else 100 / 128)
        assert np.abs(numbers(found)[1] - wanted).max() < 2 / full if full > 1 else 1e-7


@pytest.mark.parametrize(
    "held",
    [
        {"time": TIME, "seat": SEAT, "floor": FLOOR, "units": {"seat": "g", "floor": "m/s^2"}},
        {"fs": 500.0, "data": np.stack([SEAT, FLOOR], 1), "names": ["seat", "floor"],
         "units": ["g", "m/s^2"]},
        {"run": {"t": TIME, "seat": {"values": SEAT, "unit": "g"}, "floor": {"values": FLOOR,
         "unit": "m/s^2"}}},
        {"seat": {"values": SEAT, "unit": "g", "rate": 500.0},
         "floor": {"values": FLOOR, "unit": "m/s^2", "time": TIME}},
    ],
)  # fmt: skip
def test_ways_to_lay_out_a_mat_file(held, tmp_path):
    from scipy.io import savemat

    plain = {
        k: np.array(v, dtype=object) if k in ("names", "units") and isinstance(v, list) else v
        for k, v in held.items()
    }
    savemat(tmp_path / "run.mat", plain)
    found = read_columns(tmp_path / "run.mat")
    assert [(c.name, c.unit, c.rate) for c in found.columns] == [
        ("seat", "g", 500.0),
        ("floor", "m/s^2", 500.0),
    ]
    assert np.array_equal(numbers(found), [SEAT, FLOOR])


def test_a_mat_file_without_times_or_rate(tmp_path):
    from scipy.io import savemat

    savemat(tmp_path / "run.mat", {"seat": SEAT})
    with pytest.raises(CounterbounceError, match="time vector"):
        read_columns(tmp_path / "run.mat")
    assert read_columns(tmp_path / "run.mat", 500.0).columns[0].rate == 500.0


def test_a_universal_file_of_time_responses(tmp_path):
    pyuff = pytest.importorskip("pyuff")
    common = {
        "binary": 0, "func_type": 1, "rsp_node": 1, "rsp_dir": 3, "ref_node": 1, "ref_dir": 3,
        "ord_data_type": 4, "abscissa_spec_data_type": 17, "ordinate_spec_data_type": 12,
        "orddenom_spec_data_type": 0, "z_axis_value": 0.0,
    }  # fmt: skip
    even = {"abscissa_spacing": 1, "abscissa_min": 2.0, "abscissa_inc": 1 / 500, "x": 2 + TIME, "data": SEAT}
    uneven = {"abscissa_spacing": 0, "x": TIME**1.1, "data": FLOOR, "ordinate_axis_units_lab": "g"}
    other = common | {"func_type": 4, "ord_data_type": 6, "abscissa_spec_data_type": 18}
    curve = {"abscissa_spacing": 1, "abscissa_min": 0.0, "abscissa_inc": 1.0, "x": TIME, "data": SEAT + 0j}
    sets = [
        pyuff.prepare_58(id1="seat", **common, **even),
        pyuff.prepare_58(id1="a curve", **other, **curve),
        pyuff.prepare_58(id1="floor", **common, **uneven),
    ]
    pyuff.UFF(str(tmp_path / "run.unv")).write_sets(sets, "overwrite")
    seat, floor = read_columns(tmp_path / "run.unv").columns
    assert (seat.name, seat.unit, seat.rate, seat.start) == ("seat", "m/s^2", 500.0, 2.0)
    assert (floor.name, floor.unit, floor.rate) == ("floor", "g", None)
    assert np.allclose(floor.times, TIME**1.1, atol=1e-4)  # the format keeps six digits of a time
    assert np.allclose(seat.values, SEAT, atol=1e-11)
    assert np.allclose(floor.values, FLOOR, atol=1e-11)


def test_a_tdms_file_with_channels_that_began_apart(tmp_path):
    nptdms = pytest.importorskip("nptdms")
    began = np.datetime64("2024-05-01T12:00:00")
    first = {"wf_increment": 1 / 500, "unit_string": "g", "wf_start_time": began}
    second = {"wf_increment": 0.1, "unit_string": "km/h", "wf_start_time": began + np.timedelta64(500, "ms")}
    with nptdms.TdmsWriter(tmp_path / "run.tdms") as writer:
        for part in (slice(0, 400), slice(400, 1000)):
            writer.write_segment([nptdms.ChannelObject("a", "seat", SEAT[part], properties=first)])
        writer.write_segment([nptdms.ChannelObject("b", "speed", TIME[:20], properties=second)])
    seat, speed = read_columns(tmp_path / "run.tdms").columns
    assert (seat.name, seat.unit, seat.rate, seat.start) == ("seat", "g", 500.0, 0.0)
    assert (speed.unit, round(speed.rate, 9), speed.start) == ("km/h", 10.0, 0.5)
    assert np.array_equal(seat.values, SEAT)


def test_an_mdf_file_with_groups_of_their_own_rates(tmp_path):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        asammdf = pytest.importorskip("asammdf")
        with asammdf.MDF(version="4.10") as held:
            held.append([asammdf.Signal(SEAT, TIME, name="seat", unit="m/s^2")])
            coarse = np.round(FLOOR[::50] * 100).astype(np.int16)
            held.append([asammdf.Signal(coarse, TIME[::50] ** 1.2, name="speed", unit="km/h")])
            held.save(tmp_path / "run.mf4")
    seat, speed = read_columns(tmp_path / "run.mf4").columns
    assert (seat.name, seat.unit, seat.rate) == ("seat", "m/s^2", 500.0)
    assert (speed.name, speed.unit, speed.rate) == ("speed", "km/h", None)
    assert np.array_equal(seat.values, SEAT)
    assert np.allclose(speed.times, TIME[::50] ** 1.2)


@pytest.mark.parametrize(
    ("suffix", "library"),
    [(".parquet", "pyarrow"), (".unv", "pyuff"), (".tdms", "nptdms"), (".mf4", "asammdf")],
)
def test_a_missing_library_says_how_to_install_it(suffix, library, tmp_path, monkeypatch):
    def no_module(name, *rest):
        if name.partition(".")[0] == library:
            raise ImportError(name)
        return importlib.import_module(name, *rest)

    monkeypatch.setattr(logger_files, "import_module", no_module)
    (tmp_path / f"run{suffix}").write_bytes(b"anything")
    with pytest.raises(CounterbounceError) as caught:
        read_columns(tmp_path / f"run{suffix}")
    assert library in caught.value.faults[0].wanted
    assert "pip install 'counterbounce[recordings]'" in caught.value.faults[0].wanted


def test_nothing_heavy_is_loaded_for_text(tmp_path, monkeypatch):
    asked = []
    usual = builtins.__import__

    def watched(name, *rest, **more):
        asked.append(name.partition(".")[0])
        return usual(name, *rest, **more)

    (tmp_path / "run.csv").write_text("time [s],seat [g]\n0,1\n1,2\n")
    monkeypatch.setattr(builtins, "__import__", watched)
    read_columns(tmp_path / "run.csv")
    assert not {"asammdf", "nptdms", "pyuff", "pyarrow", "matplotlib"} & set(asked)
