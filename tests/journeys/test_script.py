"""The engineer's script: run as it stands, and what it prints held against the command and plain algebra."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from counterbounce.model.case import load
from counterbounce.model.matrices import matrices
from counterbounce.model.points import dense
from counterbounce.model.settle import settled
from counterbounce.sizing.absorber import Damper, with_damper

SCRIPT = Path(__file__).parents[2] / "examples" / "engineer" / "explore.py"
CASE = SCRIPT.with_name("box_truck.toml")
COUNTERBOUNCE = Path(sys.executable).with_name("counterbounce")
STRICT = {**os.environ, "PYTHONWARNINGS": "error", "PYTHONIOENCODING": "utf-8"}


def run(*command: object, cwd: Path) -> str:
    done = subprocess.run(
        [*map(str, command)], capture_output=True, encoding="utf-8", check=False, cwd=cwd, env=STRICT
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> str:
    """What the script prints, run from anywhere; it leaves nothing behind."""
    folder = tmp_path_factory.mktemp("anywhere")
    before = sorted(SCRIPT.parent.iterdir())
    text = run(sys.executable, SCRIPT, cwd=folder)
    assert list(folder.iterdir()) == []
    assert sorted(SCRIPT.parent.iterdir()) == before
    return text


@pytest.fixture(scope="module")
def answer(tmp_path_factory: pytest.TempPathFactory) -> dict:
    """What the command says of the same case."""
    return json.loads(run(COUNTERBOUNCE, "assess", CASE, "--json", cwd=tmp_path_factory.mktemp("command")))


def test_it_is_short():
    assert 40 <= len(SCRIPT.read_text().splitlines()) <= 60


def test_it_finds_the_modes_that_the_command_finds(said, answer):
    found = re.findall(r"^ +([\d.]+) Hz, +([\d.]+)% damped: (.+)$", said, re.M)
    known = [m for m in answer["modes"] if m["frequency_hz"] < 25]
    assert [(f, z, name) for f, z, name in found] == [
        (f"{m['frequency_hz']:.2f}", f"{m['damping_ratio']:.1%}".rstrip("%"), m["name"]) for m in known
    ]


def test_it_finds_the_same_critical_speeds(said, answer):
    found = re.findall(r"^ +([\d.]+) km/h: (.+) meets (.+), ([\d.]+) m/s²$", said, re.M)
    assert [(float(v), cause, mode, float(level)) for v, cause, mode, level in found] == [
        (
            pytest.approx(3.6 * speed(c), abs=0.051),
            c["cause"],
            c["mode"],
            pytest.approx(c["typical_m_s2"], abs=6e-4),
        )
        for c in answer["critical_speeds"][:5]
    ]


def speed(critical: dict) -> float:
    peak = critical["peak_speed_m_s"]
    return critical["coincidence_speed_m_s"] if peak is None else peak


def test_it_sizes_the_same_damper(said, answer):
    mass, place, tuned, damping, less = re.search(
        r"Best damper: ([\d.]+) kg at the (.+), ([\d.]+) Hz, ([\d.]+)% damped: (\d+)% less", said
    ).groups()
    damper = answer["damper"]
    assert place == damper["place"]
    assert float(mass) == pytest.approx(damper["mass_kg"], abs=0.051)
    assert float(tuned) == pytest.approx(damper["tuned_hz"], abs=0.0051)
    assert float(damping) == pytest.approx(100 * damper["damping_ratio"], abs=0.051)
    assert float(less) == pytest.approx(100 * answer["prediction"]["reduction"], abs=0.51)


def test_another_damper_does_less_and_ballast_worse(said, answer):
    less, ballast = re.search(
        r"Another: 24\.9 kg, 8 % damped: (\d+)% less shake, as ballast (-?\d+)%", said
    ).groups()
    assert 25 < float(less) < 100 * answer["prediction"]["reduction"]
    assert float(ballast) < 10


def test_python_control_agrees_with_plain_algebra(said, answer):
    """Acceleration of the driver's floor under a force at the rear end, the damper assembled."""
    pytest.importorskip("control")
    gain, hertz = re.search(r"([\d.]+) m/s² per kN at ([\d.]+) Hz, by python-control", said).groups()
    d = answer["damper"]
    case = load(CASE)
    hung = Damper(d["place"], d["mass_kg"], d["stiffness_n_m"], d["damping_n_s_m"])
    vehicle = with_damper(settled(case.plan, case.numbers), hung)
    system = matrices(vehicle)
    names = ("rear end", "driver's floor")
    push, seen = dense([vehicle.points[n].row for n in names], system.coordinates)
    first = answer["critical_speeds"][answer["target"]["critical_speed"]]
    w = 2 * np.pi * first["frequency_hz"]
    assert f"{first['frequency_hz']:.2f}" == hertz
    rise = seen @ np.linalg.solve(system.K + 1j * w * system.C - w**2 * system.M, push)
    assert float(gain) == pytest.approx(1000 * w**2 * abs(rise), rel=1e-4)


def test_it_does_without_python_control(tmp_path):
    without = f"import sys, runpy; sys.modules['control'] = None; runpy.run_path({str(SCRIPT)!r})"
    text = run(sys.executable, "-c", without, cwd=tmp_path)
    assert "python -m pip install control" in text
