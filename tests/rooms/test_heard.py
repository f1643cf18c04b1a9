"""What was read off recordings, as data, and the vehicle that comes of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from scipy.linalg import expm

from counterbounce.app.cli import cli
from counterbounce.model.calibrate import calibrate
from counterbounce.model.case import load
from counterbounce.model.datum import Datum
from counterbounce.model.example import small_case
from counterbounce.model.heard import from_evidence, from_ride, from_ring_down, rolled
from counterbounce.model.matrices import matrices
from counterbounce.model.meanings import Unexplained, ground, meanings
from counterbounce.model.measured.findings import Estimate, Evidence, Finding, NextStep, PointMotion
from counterbounce.model.measured.recording import read
from counterbounce.model.measured.rolling import AS_GIVEN
from counterbounce.model.modes import modes
from counterbounce.model.points import dense
from counterbounce.model.predicted import LOCKED_PATH
from counterbounce.model.settle import settled

CASE = Path(__file__).parents[2] / "examples" / "engineer" / "box_truck.toml"
POINTS = ("front end", "driver's floor", "rear end")
RATE = 200.0


@pytest.fixture(scope="module")
def box_truck():
    return load(CASE)


@pytest.fixture(scope="module")
def truth(box_truck):
    """A softer frame, standing on leaves that are half as stiff again as on the road."""
    settled(box_truck.plan, box_truck.numbers)
    one = settled(box_truck.plan, box_truck.numbers.with_scores({"frame.bending_stiffness": -1.0}))
    leaves = ("front spring", "rear spring")
    parts = [
        replace(p, value=1.5 * p.value) if p.kind == "spring" and p.name in leaves else p for p in one.parts
    ]
    return replace(one, parts=tuple(parts))


@pytest.fixture(scope="module")
def snapped(truth, tmp_path_factory):
    """A weight of 800 N hung on the rear end and snapped off: a second of rest, then seven of ringing."""
    system = matrices(truth)
    many = len(system.coordinates)
    at = dense([truth.points[name].row for name in POINTS], system.coordinates)
    hung = np.linalg.solve(system.K, 800.0 * at[2])
    spring, loss = (-np.linalg.solve(system.M, a) for a in (system.K, system.C))
    step = expm(np.block([[np.zeros((many, many)), np.eye(many)], [spring, loss]]) / RATE)
    state, shake = np.concatenate([hung, np.zeros(many)]), [np.zeros((200, 3))]
    for _ in range(1400):
        shake.append((at @ (spring @ state[:many] + loss @ state[many:]))[None])
        state = step @ state
    rows = np.concatenate(shake) + 3e-3 * np.random.default_rng(0).standard_normal((1600, 3))
    file = tmp_path_factory.mktemp("rides") / "snap.csv"
    table = np.column_stack([np.arange(1600) / RATE, rows])
    names = ",".join(["time [s]", *(f"{name} [m/s^2]" for name in POINTS)])
    np.savetxt(file, table, delimiter=",", header=names, comments="", fmt="%.6f")
    return file


def test_a_ring_down_tells_the_mode_that_rings(truth, snapped):
    found = modes(truth)
    bends = found.names.index("frame bending 1")
    told = from_ring_down(read(snapped), truth.points, "snap")
    first = {one.what: one for one in told if one.shake == "snap, mode 1"}
    assert set(first) == {"natural frequency", "damping ratio", "shape"}
    assert first["natural frequency"].value == pytest.approx(found.frequency_hz[bends], rel=5e-3)
    assert first["damping ratio"].value == pytest.approx(found.damping_ratio[bends], rel=0.15)
    assert {one.condition for one in told} == {"standstill"}


def test_the_vehicle_that_rang_is_found_with_its_leaves_locked(box_truck, truth, snapped):
    told = from_ring_down(read(snapped), truth.points, "snap")
    found = calibrate(box_truck, told)
    assert found.agrees
    assert LOCKED_PATH in found.paths
    assert found.words == "snap, mode 1: frame bending 1"
    moved = found.scores[found.paths.index("frame.bending_stiffness")]
    left = found.left[found.paths.index("frame.bending_stiffness")]
    assert abs(moved + 1.0) < 1.645 * left
    shape = next(one for one in found.told if one.datum.what == "shape")
    assert shape.after > 0.95
    frequency = next(one for one in found.told if one.datum.what == "natural frequency")
    assert frequency.before == pytest.approx(10.0, abs=0.4)  # of the bending frame, not of an axle


def test_resonances_become_data_and_all_else_does_not():
    points = {
        "rear end": PointMotion(0.8, 0.0, 0.02, 1.0),
        "front end": PointMotion(0.5, 3.1, 0.05, 0.9),
        "mirror": PointMotion(2.0, 0.0, 0.02, 1.0),
        "seat": PointMotion(0.2, 0.0, np.inf, 0.1),
    }
    shake = Finding(
        "resonance", "wheels", 0.9, frequency_hz=8.0, interval=(7.9, 8.1), damping_ratio=0.03,
        damping_interval=(0.02, 0.045), points=points,
    )  # fmt: skip
    other = Finding("rotating_part", "wheel order 1", 0.9, frequency_hz=9.0, interval=(8.9, 9.1))
    evidence = Evidence((other, shake), {}, NextStep("", "", "", ""))
    told = {one.what: one for one in from_evidence(evidence, ("rear end", "front end", "seat"), "ride")}
    assert (told["natural frequency"].value, told["natural frequency"].half) == (8.0, pytest.approx(0.1))
    assert told["damping ratio"].value + told["damping ratio"].half == pytest.approx(0.045)
    assert set(told["shape"].shape) == {"rear end", "front end"}
    assert {one.shake for one in told.values()} == {"ride, shake 1"}
    assert rolled(Estimate(2.4, 2.3, 2.5, "m", ""), "rear").half == pytest.approx(0.1, rel=0.02)


QUIET_STEP = NextStep("", "", "", "")


def told_of(*findings, points=("rear end", "front end")):
    return from_evidence(Evidence(findings, {}, QUIET_STEP), points, "ride")


def test_a_resonance_that_is_not_sure_moves_nothing():
    shake = Finding("resonance", "wheels", 0.71, frequency_hz=8.0, interval=(7.9, 8.1))
    assert [one.what for one in told_of(shake)] == ["natural frequency"]
    assert told_of(replace(shake, confidence=0.69)) == ()


def test_a_bracket_that_rings_by_itself_is_not_the_vehicle():
    alone = {"mirror": PointMotion(2.0, 0.0, 0.02, 1.0), "rear end": PointMotion(0.1, 0.5, 0.9, 0.1)}
    follows = {**alone, "rear end": PointMotion(0.5, 0.1, 0.05, 0.9)}
    shake = Finding(
        "resonance", "x", 0.9, where="mirror", frequency_hz=8.0, interval=(7.9, 8.1), points=alone
    )
    assert told_of(shake) == ()
    assert [one.what for one in told_of(replace(shake, points=follows))] == ["natural frequency"]
    assert told_of(replace(shake, where="rear axle"))


def test_a_point_counts_by_what_it_shares_with_the_shake():
    """Of a level of 1, half of whose power is something else, the part that follows is 0.71."""
    points = {
        "rear end": PointMotion(1.0, 0.0, 0.0, 1.0),
        "front end": PointMotion(1.0, 3.1, 0.1, 0.5),
        "rear axle": PointMotion(3.0, 0.0, 0.1, 1.0),
        "middle": PointMotion(1.0, 0.0, 0.5, 0.9),
    }
    shake = Finding("resonance", "x", 0.9, frequency_hz=8.0, interval=(7.9, 8.1), points=points)
    shape = next(one for one in told_of(shake, points=points) if one.what == "shape").shape
    assert set(shape) == {"rear end", "front end"}
    assert abs(shape["front end"]) == pytest.approx(np.sqrt(0.5))


def test_shakes_of_two_recordings_may_be_of_one_mode_and_those_of_one_are_of_two():
    def taken_for(*recordings):
        data = [
            Datum("natural frequency", 2.9, 0.1, shake=f"shake {n}", recording=name)
            for n, name in enumerate(recordings)
        ]
        return [list(one.modes.values()) for one in meanings(ground(small_case()), data)]

    pitch = 1
    assert [pitch, pitch] in taken_for("first ride", "second ride")
    with pytest.raises(Unexplained, match="come near the same one only"):
        taken_for("one ride", "one ride")


def test_wheels_tell_how_far_they_roll_where_they_were_heard(truth):
    def axles(how, value=2.4, around=(2.4, 2.4)):
        two = tuple(replace(a, circumference=c) for a, c in zip(truth.axles, around, strict=True))
        estimate = Estimate(value, 0.98 * value, 1.02 * value, "m", how)
        found = Evidence((), {"circumference": estimate}, QUIET_STEP)
        return [one.axle for one in from_ride(found, replace(truth, axles=two), "ride")]

    assert axles("wheel orders per metre") == ["front", "rear"]
    assert axles("wheel orders per metre", 2.59, (2.4, 2.6)) == ["rear"]
    assert axles(AS_GIVEN) == []


def test_the_command_takes_a_ring_down_and_judges_by_another(snapped):
    arguments = ["calibrate", str(CASE), "--ring-down", str(snapped)]
    done = CliRunner().invoke(cli, arguments)
    assert done.exit_code == 0
    assert "snap, mode 1: frame bending 1" in done.output
    assert CliRunner().invoke(cli, [*arguments, "--hold-out", "nowhere.csv"]).exit_code != 0
