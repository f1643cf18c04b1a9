"""The technician's recording: made anew by its script, read by the command, and held against what made it."""

from __future__ import annotations

import json
import os
import runpy
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from counterbounce.model.case import parse
from counterbounce.model.modes import modes
from counterbounce.model.settle import settled

FOLDER = Path(__file__).parents[2] / "examples" / "technician"
RIDE, CASE, SCRIPT = FOLDER / "ride.csv", FOLDER / "flatbed.toml", FOLDER / "make_ride.py"
COUNTERBOUNCE = Path(sys.executable).with_name("counterbounce")
STRICT = {**os.environ, "PYTHONWARNINGS": "error", "PYTHONIOENCODING": "utf-8"}
LARGEST = 300_000  # [byte] it goes into every installation


def run(*arguments: object, cwd: Path) -> tuple[int, str, str]:
    done = subprocess.run(
        [COUNTERBOUNCE, *map(str, arguments)],
        capture_output=True, encoding="utf-8", check=False, cwd=cwd, env=STRICT,
    )  # fmt: skip
    return done.returncode, done.stdout, done.stderr


@pytest.fixture(scope="module")
def script():
    """The script as a program: its names, nothing written."""
    return runpy.run_path(str(SCRIPT))


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    code, said, wrong = run("read", RIDE, CASE, "--json", cwd=tmp_path_factory.mktemp("json"))
    assert (code, wrong) == (0, "")
    return json.loads(said)


def numbers(file: Path) -> np.ndarray:
    return np.loadtxt(file, delimiter=",", skiprows=2)


def test_the_script_makes_the_file(script, tmp_path):
    script["main"](tmp_path / "again.csv")
    old, new = numbers(RIDE), numbers(tmp_path / "again.csv")
    assert old.shape == new.shape
    assert np.abs(old - new).max() <= 1.0  # [milli-g, mph, s]: another processor may round otherwise
    assert np.mean(old != new) < 1e-3
    assert RIDE.read_text().splitlines()[:2] == (tmp_path / "again.csv").read_text().splitlines()[:2]


def test_it_is_small_and_says_that_it_is_invented(told):
    assert RIDE.stat().st_size < LARGEST
    assert told["recording"]["name"].startswith("Invented")
    assert "simulated" in told["recording"]["labels"]["made"]


def test_the_first_finding_is_the_mode_of_the_truck_that_was_driven(script, told):
    """The reader knows nothing of the truck that was driven: within 1 % of its frequency."""
    text = CASE.read_text(encoding="utf-8").replace("[frame]", f"[frame]\n{script['STIFFNESS']}")
    case = parse(text)
    truck = modes(settled(case.plan, case.numbers))
    bending = truck.names.index("frame bending 1")
    (first, *_) = told["findings"]
    assert (first["kind"], first["met_by"], first["order"]) == ("resonance", "wheel_order", 1)
    assert first["frequency_hz"] == pytest.approx(truck.frequency_hz[bending], rel=0.01)
    low, high = first["damping_interval"]
    assert low < truck.damping_ratio[bending] < high
    circumference = told["estimates"]["circumference"]
    assert circumference["low"] < float(case.numbers["axle.rear.circumference"]) < circumference["high"]


def test_it_is_felt_where_the_complaint_says(told):
    low, high = told["findings"][0]["speed_band_m_s"]
    assert 45 * 0.44704 < low < high < 50 * 0.44704


def test_the_report_lands_beside_and_is_replaced_by_the_next(tmp_path):
    for _ in range(2):
        code, said, wrong = run("read", RIDE, "--tyre", "LT245/75R17", cwd=tmp_path)
        assert (code, wrong) == (0, "")
    assert "ride-report/report.html" in said
    assert [path.name for path in tmp_path.iterdir()] == ["ride-report"]
    kept = {path.name for path in (tmp_path / "ride-report").iterdir()}
    assert {"report.html", "recording-guide.html", "answer.json", "order_map.svg", "points.png"} <= kept
    printed = json.loads((tmp_path / "ride-report" / "answer.json").read_text(encoding="utf-8"))
    assert printed["run"]["files"][0]["name"] == "ride.csv"


def test_rubbish_leaves_nothing_behind(tmp_path):
    (tmp_path / "rubbish.csv").write_bytes(np.random.default_rng(3).bytes(4000))
    code, said, wrong = run("read", "rubbish.csv", cwd=tmp_path)
    assert (code, said) == (2, "")
    assert wrong.startswith("1 fault")
    assert "Traceback" not in wrong
    assert [path.name for path in tmp_path.iterdir()] == ["rubbish.csv"]
