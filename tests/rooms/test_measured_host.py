"""The command `host`: what it finds on a file is what the vehicle behind that file would have said."""

import json
import re
from pathlib import Path

import numpy as np
import pytest

from counterbounce.app.cli import run
from counterbounce.app.host_damper import Question, host_damper
from counterbounce.app.host_files import ModeTable, read_host
from counterbounce.app.measured_host import question_of
from counterbounce.model.case import load
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.modes import modes
from counterbounce.model.response import dynamics
from counterbounce.model.road import Input, Level
from counterbounce.model.settle import settled
from counterbounce.sizing.absorber import Damper, road_host, with_ballast, with_damper
from counterbounce.sizing.any_host import host_from_modes, place_in_band
from counterbounce.sizing.limits import Bounds, Place
from counterbounce.sizing.search import best_damper

TRUCK = Path(__file__).parents[2] / "examples" / "engineer" / "box_truck.toml"
PLACE, FLOOR, HUB = "rear end", "driver's floor", "axle.rear"
BAND, MASS, HEIGHT = (9.0, 11.0), 40.0, 2e-4
LINES = np.linspace(1.0, 25.0, 1000)


@pytest.fixture(scope="module")
def truck():
    case = load(TRUCK)
    return settled(case.plan, case.numbers)


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    """What `export` writes of the truck."""
    out = tmp_path_factory.mktemp("host") / "truck.unv"
    points = [word for name in (PLACE, FLOOR, HUB) for word in ("--points", name)]
    assert run(["export", str(TRUCK), "--receptances", str(out), *points]) == 0
    return str(out)


@pytest.fixture(scope="module")
def force(truck):
    """What the rear tyres pass on of a road of HEIGHT under them [N]; their dashpots add a thousandth."""
    tyre = next(part for part in truck.parts if "tyre" in part.name and "rear" in part.name)
    return float(tyre.value) * HEIGHT


@pytest.fixture(scope="module")
def answer(truck):
    """The best damper on the vehicle itself, under a road below its rear axle alone."""
    shape = np.array([0.0, 1.0], dtype=complex)
    cause = Input("rear road", "wave", 1, None, 1.0, shape, Level(HEIGHT, HEIGHT))
    place, floor = truck.points[PLACE], [truck.points[FLOOR]]
    inside = np.abs(LINES - np.mean(BAND)) <= np.ptp(BAND) / 2
    ready = dynamics(truck)
    band, rest = (road_host(ready, [cause], LINES[part], floor, place) for part in (inside, ~inside))
    return best_damper([Place(PLACE, band, rest)], Bounds(MASS), 10.0)


def words(file, *more, push=HUB):
    asked = ["host", file, "--place", PLACE, "--watched", FLOOR, "--mass", f"{MASS} kg"]
    return [*asked, "--push", push, "--band", "9 Hz", "11 Hz", *more]


def told(capsys, *asked):
    assert run([*asked, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def shaken(vehicle, force):
    """Largest level [m/s^2] at the floor in the band, of a vehicle assembled and pushed at its rear axle."""
    f = np.linspace(*BAND, 2001)
    rows = [vehicle.points[name].row for name in (FLOOR, HUB)]
    moved = dynamics(vehicle).receptance(f, rows[:1], rows[1:])[:, 0, 0]
    return float((np.abs(moved) * (2 * np.pi * f) ** 2).max()) * force / np.sqrt(2)


def test_the_file_of_a_vehicle_asks_for_the_damper_of_the_vehicle(capsys, file, force, answer):
    """Out by export and back: mass, tuning and gain to a thousandth, damping to a hundredth (it is flat)."""
    found = told(capsys, *words(file, "--amplitude", f"{force} N"))
    hung = found["damper"]
    assert (hung["place"], hung["limits_broken"]) == (PLACE, [])
    assert hung["mass_kg"] == pytest.approx(answer.damper.mass, rel=1e-3)
    assert hung["tuned_hz"] == pytest.approx(answer.damper.tuned_hz, rel=1e-3)
    assert hung["damping_ratio"] == pytest.approx(answer.damper.damping_ratio, rel=1e-2)
    assert hung["stroke_m"] == pytest.approx(answer.stroke, rel=1e-2)
    assert found["prediction"]["reduction"] == pytest.approx(answer.reduction, abs=1e-3)
    assert answer.reduction > 0.5


def test_levels_are_those_of_the_vehicle_assembled(capsys, file, force, truck):
    found = told(capsys, *words(file, "--amplitude", f"{force} N"))
    hung, (floor,) = found["damper"], found["prediction"]["points"]
    one = Damper(PLACE, hung["mass_kg"], hung["stiffness_n_m"], hung["damping_n_s_m"])
    vehicles = truck, with_damper(truck, one), with_ballast(truck, PLACE, one.mass)
    for vehicle, key in zip(vehicles, ("before", "after", "ballast"), strict=True):
        # the file looks every 0.024 Hz, here every 0.001
        assert floor[f"{key}_m_s2"] == pytest.approx(shaken(vehicle, force), rel=2e-3)
    assert found["prediction"]["ballast_reduction"] < 0


def test_without_an_amplitude_only_gains_are_known_and_they_are_the_same(capsys, file, force):
    known, gains = told(capsys, *words(file, "--amplitude", f"{force} N")), told(capsys, *words(file))
    assert gains["damper"]["stroke_m"] is None
    assert gains["prediction"]["points"][0]["before_m_s2"] is None
    assert gains["prediction"]["reduction"] == pytest.approx(known["prediction"]["reduction"], abs=1e-4)
    assert gains["damper"]["tuned_hz"] == pytest.approx(known["damper"]["tuned_hz"], rel=1e-4)


def test_a_stroke_is_kept(capsys, file, force):
    free = told(capsys, *words(file, "--amplitude", f"{force} N"))["damper"]["stroke_m"]
    asked = words(file, "--amplitude", f"{force} N", "--stroke", f"{0.6 * free * 1e3} mm")
    assert told(capsys, *asked)["damper"]["stroke_m"] == pytest.approx(0.6 * free, rel=2e-3)


def column(name, values, unit):
    return {f"{name} real [{unit}]": values.real, f"{name} imaginary [{unit}]": values.imag}


def table(path, columns):
    np.savetxt(
        path, np.column_stack([*columns.values()]), delimiter=",", header=",".join(columns), comments="",
        fmt="%.12g",
    )  # fmt: skip
    return str(path)


def test_a_road_in_a_table_finds_the_damper_too(capsys, truck, answer, tmp_path):
    """The same road as above, its curves written as accelerations over forces and heights over heights."""
    ready, names = dynamics(truck), (PLACE, FLOOR)
    rows = [truck.points[name].row for name in names]
    pushed = ready.receptance(LINES, rows, rows[:1])[..., 0] * ((2j * np.pi * LINES) ** 2)[:, None] * 1e3
    risen = ready.road_response(LINES, rows)[..., 1]
    columns = {"frequency [Hz]": LINES}
    for n, name in enumerate(names):
        columns |= column(f"{name} per {PLACE}", pushed[:, n], "mm/s^2/N")
        columns |= column(f"{name} per road", risen[:, n], "m/m")
    csv = table(tmp_path / "truck.csv", columns)
    found = told(capsys, *words(csv, "--amplitude", f"{1e3 * HEIGHT} mm", push="road"))
    assert found["asked"]["amplitude_unit"] == "m"
    assert found["damper"]["tuned_hz"] == pytest.approx(answer.damper.tuned_hz, rel=1e-4)
    assert found["damper"]["stroke_m"] == pytest.approx(answer.stroke, rel=1e-3)
    assert found["prediction"]["reduction"] == pytest.approx(answer.reduction, abs=1e-4)


def test_modes_in_a_table_are_a_host(truck, tmp_path):
    """As good as what the library finds for the same modes, looked at on lines of its own."""
    found = modes(truck)
    kept = np.flatnonzero(found.frequency_hz < 25)
    names = (PLACE, FLOOR, HUB)
    columns = {
        "frequency [Hz]": found.frequency_hz[kept],
        "damping [%]": 100 * found.damping_ratio[kept],
        "modal mass [kg]": np.ones(len(kept)),
        **{name: found.shape_at(truck.points[name].row)[kept] for name in names},
    }
    known = read_host(table(tmp_path / "modes.csv", columns))
    best = host_damper(known, Question(PLACE, (FLOOR,), HUB, None, BAND, MASS), "modes.csv")
    shapes = [columns[name] for name in names]
    lines, ratio = np.linspace(0.5, 30.0, 6001), found.damping_ratio[kept]
    host = host_from_modes(lines, found.frequency_hz[kept], ratio, *shapes, 1e4)
    other = best_damper([place_in_band(host, BAND, PLACE)], Bounds(MASS), 10.0)
    assert best.found.damper.tuned_hz == pytest.approx(other.damper.tuned_hz, rel=2e-3)
    assert best.found.damper.mass == pytest.approx(other.damper.mass, rel=1e-3)
    assert best.reduction == pytest.approx(other.reduction, abs=2e-3)
    assert any("beyond the modes" in note for note in best.notes)


@pytest.mark.parametrize("ratio", [0.0005, 0.002, 0.05])
def test_a_sharp_mode_is_not_missed_between_lines(ratio):
    """One mass on a spring, pushed at resonance: F / (2 z m), whatever lines the host is looked at on."""
    one = np.ones(1)
    known = ModeTable(10.0 * one, ratio * one, 100.0 * one, {"mass": one})
    found = host_damper(known, Question("mass", ("mass",), "mass", 50.0, (4.0, 25.0), 5.0), "one.toml")
    assert found.before[0] == pytest.approx(50.0 / (2 * ratio * 100.0) / np.sqrt(2), rel=5e-3)


def curve_faults(capsys, *asked):
    assert run([*asked]) == 2
    return capsys.readouterr().err


@pytest.fixture
def poor(file, tmp_path):
    """Tables with some curves of the truck's file only, or spoilt ones."""
    curves = {(c.response, c.reference): c for c in read_host(file)}

    def write(*pairs, spoil=lambda values: values):
        columns = {"frequency [Hz]": next(iter(curves.values())).frequency}
        for pair in pairs:
            columns |= column(" per ".join(pair), spoil(curves[pair].values), "m/N")
        return table(tmp_path / "poor.csv", columns)

    return write


def test_a_curve_pushed_and_felt_the_other_way_serves(capsys, file, poor):
    turned = poor((PLACE, PLACE), (PLACE, FLOOR), (HUB, PLACE), (HUB, FLOOR))
    found = told(capsys, *words(turned))
    assert "reciprocity" in found["notes"][0]
    assert found["damper"]["tuned_hz"] == pytest.approx(told(capsys, *words(file))["damper"]["tuned_hz"])


def test_what_is_missing_is_named(capsys, file, poor):
    said = curve_faults(capsys, *words(poor((PLACE, PLACE), (FLOOR, PLACE), (HUB, PLACE))))
    assert "driver's floor per axle.rear: no such curve" in said
    assert "2 faults" not in said
    wrong = words(file, push="axle.raer")
    assert 'did you mean "axle.rear"?' in curve_faults(capsys, *wrong)
    assert "--push" in curve_faults(capsys, *words(file, push="road"))
    assert "1 to 25 Hz" in curve_faults(capsys, *words(file), "--band", "20 Hz", "30 Hz")


@pytest.mark.parametrize(("spoil", "said"), [(np.conj, "conjugate"), (np.real, "no damping")])
def test_a_host_that_gives_or_keeps_all_energy_is_refused(capsys, poor, spoil, said):
    bad = poor((PLACE, PLACE), (FLOOR, PLACE), spoil=lambda values: spoil(values).astype(complex))
    assert f"the curve {PLACE} per {PLACE}" in (err := curve_faults(capsys, *words(bad, push=PLACE)))
    assert said in err


def test_a_point_that_stands_still_is_no_complaint(capsys, poor):
    still = poor((PLACE, PLACE), (FLOOR, PLACE))
    Path(still).write_text(
        "\n".join(
            ",".join([*line.split(",")[:3], "0", "0"]) if n else line
            for n, line in enumerate(Path(still).read_text().splitlines())
        )
    )
    assert "driver's floor does not move" in curve_faults(capsys, *words(still, push=PLACE))


def test_a_coarse_file_says_so(file, poor):
    known = [c for c in read_host(file) if c.reference == PLACE and c.response in (PLACE, FLOOR)]
    thin = [type(c)(c.response, c.reference, c.frequency[::20], c.values[::20]) for c in known]
    found = host_damper(thin, Question(PLACE, (FLOOR,), PLACE, None, BAND, MASS), "thin")
    assert any("Only 4 lines" in note or "Only 5 lines" in note for note in found.notes)


def test_every_fault_of_the_options_at_once():
    options = {
        "place": PLACE, "watched": (FLOOR,), "push": None, "amplitude": None, "mass": "40", "stroke": "5 mm",
        "clearance": None, "band": ("11 Hz", "9 m"),
    }  # fmt: skip
    with pytest.raises(CounterbounceError) as found:
        question_of(options)
    assert [f.key for f in found.value.faults] == ["--mass", "--band", "--stroke"]
    with pytest.raises(CounterbounceError, match="lower frequency first"):
        question_of(options | {"mass": "40 kg", "stroke": None, "band": ("11 Hz", "9 Hz")})


def test_the_text_says_what_is_minimised_in_the_units_of_its_user(capsys, file):
    asked = words(file)
    asked[asked.index("40.0 kg")] = "88 lb"
    assert run(asked) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Minimised is the largest acceleration of driver's floor" in said
    assert "no road speed" in said
    assert "88.0 lb" in said
    assert re.search(r"bolted down changes it by \+\d+ %", said)
    assert "lbf/in" in said
