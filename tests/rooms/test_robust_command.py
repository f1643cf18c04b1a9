"""The command `robust`, run as its user does."""

import json
from pathlib import Path

import pytest

from counterbounce.app import cli

CASE = """
name = "Half a truck"
note = "Invented, for a test."
exact = true
[vehicle]
model = "half"
wheelbase = "4.2 m"
pitch_inertia = "{inertia} kg*m^2"
[axle.front]
load = "2.6 t"
unsprung_mass = "320 kg"
spring_rate = "300 kN/m ± 12 %"
damping = "3 kN*s/m"
tyre_rate = "1.6 MN/m"
circumference = "2.4 m"
[axle.rear]
load = "3.4 t"
unsprung_mass = "560 kg"
spring_rate = "450 kN/m ± 12 %"
damping = "3 kN*s/m"
tyre_rate = "3 MN/m"
circumference = "2.4 m"
[frame]
front_overhang = "1 m"
rear_overhang = "2 m"
[inputs]
speeds = {{ from = "10 km/h", to = "60 km/h" }}
wheel_orders = [1]
[limits]
places = ["rear end"]
mass = "15 kg"
stroke = "40 mm"
{more}
"""


@pytest.fixture
def run(capsys):
    def go(*arguments):
        code = cli.run(["robust", *map(str, arguments)])
        said = capsys.readouterr()
        return code, said.out, said.err

    return go


@pytest.fixture
def case(tmp_path):
    def write(name="truck", inertia=16000, more=""):
        path = Path(tmp_path, f"{name}.toml")
        path.write_text(CASE.format(inertia=inertia, more=more), encoding="utf-8")
        return path

    return write


def test_the_answer_comes_first_and_in_units(run, case):
    code, out, _ = run(case(), "--vehicles", 32)
    assert code == 0
    assert out.index("BEFORE DRIVING") < out.index("What to build") < out.index("How they fare")
    assert "A damper of 15.0 kg at the rear end" in " ".join(out.split())
    assert "mass ± 1 %" in out
    assert "Cautions" in out


def test_json_tells_what_the_tables_tell(run, case):
    code, out, _ = run(case(), "--vehicles", 64, "--quantile", "80%", "--json", "--spring", "rubber")
    told = json.loads(out)
    assert code == 0
    assert told["quantile"] == 0.8
    assert told["tolerances"]["temperature"] == 0.15
    one, nominal = told["robust"][0], told["nominal"][0]
    assert one["mass_kg"] <= 15 * (1 + 1e-9)
    assert told["nominal_reduction_lost"] == pytest.approx(nominal["reduction"] - one["reduction"], abs=1e-8)
    assert told["quantile_gain_won"] == pytest.approx(
        one["quantile_gain"] - nominal["quantile_gain"], abs=1e-8
    )
    assert one["vehicles"] <= 64
    assert told["best_for_each_state"] == []
    assert told["verdict"] is None


def test_another_state_that_one_damper_does_not_serve(run, case):
    code, out, _ = run(case(), "--with", case("laden", 40000), "--vehicles", 32, "--bracket", "stiff")
    words = " ".join(out.split())
    assert code == 0
    assert words.index("NOT SURE ENOUGH") < words.index("No one damper serves all of these states")
    assert "best for this state" in words or "best for this" in words
    assert "a stiff bracket" in words


def test_a_gate_comes_before_any_damper(run, case):
    more = '[complaint]\nspeed = { from = "25 km/h", to = "30 km/h" }\nfeeds_itself = true'
    code, out, _ = run(case(more=more), "--json")
    told = json.loads(out)
    assert code == 0
    assert told["verdict"]["outcome"] == "inspect_first"
    assert told["robust"] == []
    assert told["serves"] is None


def test_every_fault_of_the_options_is_told_at_once(run, case):
    code, out, err = run(case(), "--quantile", "120 %", "--bracket", "5", "--vehicles", 1)
    assert (code, out) == (2, "")
    for option in ("--quantile", "--bracket", "--vehicles"):
        assert option in err
    assert "Traceback" not in err
    code, _, err = run(case(), "--quantile", "most")
    assert code == 2
    assert "--quantile" in err


def test_a_state_without_the_place_is_a_fault(run, case, tmp_path):
    corner = Path(tmp_path, "corner.toml")
    corner.write_text(
        """
name = "A corner"
[vehicle]
sprung_mass = "900 kg"
[axle.rear]
unsprung_mass = "90 kg"
spring_rate = "60 kN/m"
damping = "1 kN*s/m"
tyre_rate = "300 kN/m"
circumference = "2.1 m"
[inputs]
speeds = { from = "5 km/h", to = "60 km/h" }
""",
        encoding="utf-8",
    )
    code, out, err = run(case(), "--with", corner)
    assert (code, out) == (2, "")
    assert "corner.toml" in err
    assert "rear end" in err


def test_a_folder_holds_both(run, case, tmp_path):
    folder = Path(tmp_path, "out")
    code, _, _ = run(case(), "--vehicles", 32, "--out", folder)
    assert code == 0
    assert json.loads((folder / "robust.json").read_text(encoding="utf-8"))["robust"]
    assert "How they fare" in (folder / "robust.txt").read_text(encoding="utf-8")
    foreign = Path(tmp_path, "foreign")
    foreign.mkdir()
    (foreign / "mine.txt").write_text("mine", encoding="utf-8")
    code, _, err = run(case(), "--vehicles", 32, "--out", foreign)
    assert code == 2
    assert [f.name for f in foreign.iterdir()] == ["mine.txt"]
    assert "did not write" in err
