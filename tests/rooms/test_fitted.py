"""The command `fitted`, as its users run it."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from counterbounce.app.cli import run
from counterbounce.model.case import load
from counterbounce.model.drive import drive
from counterbounce.model.ride import Channel, Ride
from counterbounce.model.ride_files import read_ride, ride_bytes
from counterbounce.model.settle import settled
from counterbounce.model.travel import travel, wheels_in_time

TRUCK = Path(__file__).parents[2] / "examples" / "engineer" / "box_truck.toml"
DAMPER = ["--mass", "40 kg", "--tuned", "8.93 Hz", "--damping", "5.2 %", "--at", "rear end"]


@pytest.fixture(scope="module")
def recorded(tmp_path_factory):
    """A sweep of the example truck, recorded at the driver's floor and where a damper may hang."""
    case = load(TRUCK)
    vehicle, points = settled(case.plan, case.numbers), ("driver's floor", "rear end")
    way = travel(([0.0, 60.0], [22.0, 27.0]), 60.0, 200.0, 10.0)
    wheels = wheels_in_time(vehicle, case.roads, way, seed=2)
    found = drive(vehicle, wheels.heights, 200.0, points, wheels.forces, start=way.start)
    channels = (*found.channels[:2], Channel("speed", "m/s"))
    ride = Ride("sweep", 200.0, way.start, channels, np.vstack([found.samples[:2], way.speed])).since(0.0)
    file = tmp_path_factory.mktemp("ride") / "sweep.npz"
    for path, content in ride_bytes(ride, file).items():
        path.write_bytes(content)
    return str(file)


def test_the_shake_falls_where_the_damper_is_tuned(recorded, capsys, tmp_path):
    out = tmp_path / "with.npz"
    assert run(["fitted", str(TRUCK), recorded, *DAMPER, "--out", str(out), "--json"]) == 0
    told = {one["point"]: one for one in json.loads(capsys.readouterr().out)["levels"]}
    assert told["driver's floor"]["reduction"] > 0.4
    assert [one.name for one in read_ride(out).channels][:2] == ["driver's floor", "rear end"]
    assert run(["fitted", str(TRUCK), recorded, *DAMPER, "--out", str(out)]) == 2  # never written over


def test_the_answer_is_readable(recorded, capsys):
    capsys.readouterr()
    assert run(["fitted", str(TRUCK), recorded, *DAMPER]) == 0
    said = capsys.readouterr().out
    for words in (
        "BEFORE DRIVING",
        "Speed by speed at driver's floor",
        "This ride, with the damper",
        "Computed, not measured",
        "Speed by speed",
        "88.0 km/h",
    ):
        assert words in said


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--mass", "40 kg"], "--at"),
        ([*DAMPER[:-1], "front end"], "recorded at front end"),
        ([*DAMPER[:-1], "rear ent"], 'did you mean "rear end"'),
    ],
)
def test_bad_options_end_in_a_clear_fault(recorded, capsys, more, said):
    capsys.readouterr()
    assert run(["fitted", str(TRUCK), recorded, *more]) == 2
    assert said in capsys.readouterr().err
