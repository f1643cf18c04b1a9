"""From a recording to findings: one ride of each kind, made by hand so that what is right is plain."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.driveline import swing
from counterbounce.model.measured.evidence import evidence, seen
from counterbounce.model.measured.recording import Recording
from counterbounce.model.measured.rotation import shaft_from_times
from counterbounce.model.measured.sensors import Sensor
from counterbounce.model.measured.travelled import slowed
from counterbounce.model.ride import Channel, Ride

RATE = 100.0
AROUND = 2.4  # [m]


def recorded(points, speed):
    """A recording of named points [m/s^2]; "x, left" is a side."""
    sensors = [Sensor(name, *_parts(name)) for name in points]
    channels = (*(Channel(name, "m/s^2") for name in points), Channel("speed", "m/s"))
    ride = Ride("invented", RATE, 0.0, channels, np.vstack([*points.values(), speed]))
    return Recording(ride, tuple(sensors), "speed")


def _parts(name):
    point, _, more = name.partition(", ")
    return (point, more, "") if more == "lateral" else (point, "vertical", more)


def through(natural, damping, x):
    """Acceleration of a mode that a height shakes."""
    f = np.fft.rfftfreq(len(x), 1 / RATE)
    r = f / natural
    return np.fft.irfft(-((2 * np.pi * f) ** 2) * np.fft.rfft(x) / (1 - r**2 + 2j * damping * r), len(x))


@pytest.fixture(scope="module")
def pieces():
    """Two minutes from 14 to 26 m/s: speed, the wheels' turns, noise of two points, road heights."""
    rng = np.random.default_rng(8)
    speed = np.linspace(14, 26, round(120 * RATE))
    turns = np.cumsum(speed) / RATE / AROUND
    road = np.cumsum(rng.standard_normal(len(speed))) * 2e-5
    return (
        speed,
        turns,
        0.05 * rng.standard_normal((4, len(speed))),
        road - np.linspace(0, road[-1], len(road)),
    )


def test_a_part_that_turns_grows_without_a_peak(pieces):
    speed, turns, noise, _ = pieces
    whirl = 0.002 * speed**2 * np.cos(2 * np.pi * turns)
    found = evidence(recorded({"seat": whirl + noise[0], "rear axle": 4 * whirl + noise[1]}, speed))
    one = found.findings[0]
    assert (one.kind, one.order, one.where) == ("rotating_part", 1.0, "rear axle")
    assert one.amplified_by is None
    assert one.level_m_s2 == pytest.approx(0.002 * 25.5**2 / np.sqrt(2), rel=0.1)
    assert found.estimates["circumference"].value == pytest.approx(AROUND, rel=3e-3)
    assert "wheels" in found.next_step.record


def test_a_resonance_that_an_order_meets(pieces):
    speed, turns, noise, road = pieces
    height = 3e-4 * np.cos(2 * np.pi * turns) + road
    seat = 0.3 * through(8.0, 0.03, height) + noise[0]
    found = evidence(recorded({"seat": seat, "rear axle": through(40.0, 0.3, height) + noise[1]}, speed))
    one = next(finding for finding in found.findings if finding.kind == "resonance")
    assert one.met_by == "wheel_order"
    assert one.interval[0] < 8.0 < one.interval[1]
    assert one.damping_ratio == pytest.approx(0.03, rel=0.5)
    assert one.amplified_by == pytest.approx(1 / (2 * one.damping_ratio))
    low, high = one.speed_band_m_s
    assert low < 8.0 * AROUND < high
    assert one.points["rear axle"].level > 0


def test_two_resonances_that_one_order_meets_are_both_told(pieces):
    speed, turns, noise, road = pieces
    height = 3e-4 * np.cos(2 * np.pi * turns) + road
    seat = 0.3 * through(9.0, 0.03, height) + 0.25 * through(7.0, 0.03, height) + noise[0]
    made = recorded({"seat": seat, "rear axle": through(40.0, 0.3, height) + noise[1]}, speed)
    passed = seen(slowed(made)).turned[0]
    assert sorted(fit.frequency for fit in passed.fits) == pytest.approx([7.0, 9.0], rel=0.03)
    rung = sorted(one.frequency_hz for one in evidence(made).findings if one.kind == "resonance")
    # Between them they work against each other, which a sum of their powers does not know: 2.5 % off.
    assert rung == pytest.approx([7.0, 9.0], rel=0.03)


def test_one_speed_is_not_separable_and_asks_for_a_sweep(pieces):
    _, _, noise, _ = pieces
    speed = np.full(len(noise[0]), 20.0)
    seat = 0.5 * np.cos(2 * np.pi * np.cumsum(speed) / RATE / AROUND) + noise[0]
    found = evidence(recorded({"seat": seat}, speed), AROUND)
    assert found.findings[0].kind == "not_separable"
    assert "at one speed only" in found.findings[0].cause
    assert "speed changes" in found.next_step.record


def test_without_a_speed_nothing_is_separable_and_the_speed_is_asked_for(pieces):
    t = np.arange(12000) / RATE
    made = recorded({"seat": np.cos(2 * np.pi * 8 * t) + pieces[2][0]}, t)
    ride = replace(made.ride, channels=made.ride.channels[:1], samples=made.ride.samples[:1])
    found = evidence(replace(made, ride=ride, speed=None))
    assert found.findings[0].kind in ("not_separable", "nothing")
    assert "one speed" not in found.findings[0].cause  # nobody knows how many
    assert "speed" in found.next_step.record


def test_both_sides_against_each_other_are_outside_the_model(pieces):
    speed, _, noise, road = pieces
    rock = through(10.0, 0.04, road)
    points = {"seat": noise[0], "rear axle, left": rock + noise[1], "rear axle, right": -rock + noise[2]}
    one = evidence(recorded(points, speed)).findings[0]
    assert (one.kind, one.where) == ("outside_the_model", "rear axle")
    assert one.frequency_hz == pytest.approx(10.0, abs=0.3)
    together = {**points, "rear axle, right": rock + noise[2]}
    assert evidence(recorded(together, speed)).findings[0].kind != "outside_the_model"


def test_a_sideways_shake_is_outside_the_model(pieces):
    speed, turns, noise, _ = pieces
    points = {"front axle": noise[0], "front axle, lateral": 3 * np.cos(2 * np.pi * turns) + noise[1]}
    one = evidence(recorded(points, np.full(len(speed), 20.0)))
    assert one.findings[0].kind == "outside_the_model"
    assert "sideways" in one.findings[0].cause


def test_noise_is_nothing(pieces):
    speed, _, noise, _ = pieces
    found = evidence(recorded({"seat": noise[0], "rear axle": noise[1]}, speed), AROUND)
    assert [one.kind for one in found.findings] == ["nothing"]
    assert found.findings[0].confidence > 0.5


def test_joints_without_a_resonance_are_the_road_s_and_no_part_s(pieces):
    speed, turns, noise, _ = pieces
    bump = np.exp(-0.5 * (((turns * AROUND) % 5.2 - 2.6) / 0.15) ** 2)
    found = evidence(recorded({"seat": 2 * bump + noise[0], "rear axle": 4 * bump + noise[1]}, speed), AROUND)
    (one,) = found.findings
    assert (one.kind, one.met_by) == ("nothing", "joints")
    assert one.cause.startswith("no part and no natural frequency stands out")
    assert one.cause.endswith("joints of the road every 5.2 m are felt")
    assert one.level_m_s2 > 0.1
    assert one.points["rear axle"].level == pytest.approx(2 * one.points["seat"].level, rel=0.1)
    assert found.estimates["joint spacing"].value == pytest.approx(5.2, rel=5e-3)
    assert "without joints" in found.next_step.record


def test_a_shake_is_told_from_the_place_where_it_stands_out(pieces):
    """On a rough road a point that jumps about shows more power at any line's place, and all of it chance."""
    speed, turns, noise, _ = pieces
    shaft = 0.3 * np.cos(2 * np.pi * 4.1 * turns)
    rough = through(11.0, 0.15, np.cumsum(np.random.default_rng(3).standard_normal(len(speed))) * 6e-4)
    points = {"seat": shaft + noise[0], "rear end": rough + noise[1]}
    one = evidence(recorded(points, speed), AROUND).findings[0]
    assert (one.kind, one.where) == ("rotating_part", "seat")
    assert one.order == pytest.approx(4.1, rel=0.01)
    assert one.level_m_s2 == pytest.approx(0.3 / np.sqrt(2), rel=0.15)


def shaft_and_shake(part, seed, noise=1e-5):
    """What is said of a shaft whose speed follows a shake by some part of it [-]."""
    rng = np.random.default_rng(seed)
    t = np.arange(12000) / RATE
    shake = through(8.0, 0.05, np.cumsum(rng.standard_normal(12000)) * 1e-4)
    turned = 20 * t + part * 0.01 * np.cumsum(shake / shake.std()) / RATE + noise * rng.standard_normal(12000)
    pulses = np.interp(np.arange(4, 20 * 119 * 4) / 4, np.maximum.accumulate(turned), t)
    slow = slowed(recorded({"seat": shake}, np.full(12000, 20.0)))
    return swing(slow, 0.0, shaft_from_times(pulses, 4, 0), 0, 8.0)


def test_a_shaft_that_moves_with_a_shake_is_told_from_one_that_does_not():
    assert shaft_and_shake(1.0, 2).said == "moves_with_it"
    quiet = [shaft_and_shake(0.0, seed) for seed in range(12)]
    assert sum(one.said == "moves_with_it" for one in quiet) <= 2  # one in twenty is expected
    assert all(0 < one.significance < 0.3 for one in quiet)
    slow = slowed(recorded({"seat": np.zeros(12000)}, np.full(12000, 20.0)))
    assert swing(slow, 0.0, None, 0, 8.0).said == "unknown"


def test_a_swing_of_nearly_nothing_is_quiet_however_coherent():
    one = shaft_and_shake(0.02, 2, noise=1e-8)
    assert one.coherence > one.significance
    assert one.swing < 1e-4
    assert one.said == "quiet"


def test_pulses_tell_gear_times_axle_ratio():
    t = np.arange(12000) / RATE
    speed = np.linspace(14, 26, 12000)
    turns = np.cumsum(speed) / RATE / AROUND
    rng = np.random.default_rng(1)
    pulses = np.interp(np.arange(1, int(4.3 * turns[-1])), 4.3 * turns, t)
    made = recorded({"seat": np.cos(2 * np.pi * turns) + 0.1 * rng.standard_normal(12000)}, speed)
    found = evidence(made, AROUND, shaft=shaft_from_times(pulses, 1))
    ratio = found.estimates["shaft ratio"]
    assert ratio.low < 4.3 < ratio.high
    assert ratio.value == pytest.approx(4.3, rel=0.01)


def test_what_cannot_be_read_is_refused(pieces):
    speed, _, noise, _ = pieces
    made = recorded({"seat": noise[0]}, speed)
    with pytest.raises(CounterbounceError, match="too slow"):
        evidence(replace(made, ride=replace(made.ride, rate=20.0)))
    with pytest.raises(CounterbounceError, match="no vertical"):
        evidence(replace(made, sensors=(Sensor("seat", "seat", "lateral"),)))


def test_a_ride_of_a_few_seconds_is_read_too(pieces):
    speed, _, noise, _ = pieces
    short = recorded({"seat": noise[0][:300]}, speed[:300])
    assert evidence(short).findings[0].kind in ("nothing", "not_separable")
