"""Speed from a toothed wheel, and the orders of a driveline.

Sources: definitions, recomputed; resolution of an interval as application notes of counters give it (from
memory); Cardan joint: speed ratio between cos b and 1 / cos b, twice a turn (textbooks of machine elements,
from memory); a four-stroke engine fires every cylinder once in two turns.
"""

import numpy as np
import pytest

from counterbounce.model.measured.orders import order_levels
from counterbounce.model.measured.resampling import along_angle
from counterbounce.model.measured.rotation import interval_resolution, shaft_from_times
from counterbounce.model.ride import Channel, Ride

TURN = 60.0  # rev/min in a rev/s


@pytest.fixture
def ramp():
    """From 1000 to 2000 rev/min in 5 s, 60 pulses a turn: times of the pulses, speed [rev/s] at a time."""
    begin, gain = 1000 / TURN, 1000 / TURN / 5
    turns = np.arange(int(60 * (5 * begin + gain * 5**2 / 2))) / 60
    return (np.sqrt(begin**2 + 2 * gain * turns) - begin) / gain, lambda time: begin + gain * time


def test_a_ramp_is_exact_at_the_middle_of_each_interval(ramp):
    times, speed = ramp
    shaft = shaft_from_times(times, 60)
    assert np.abs(shaft.speed - speed(shaft.time)).max() * TURN < 2e-8  # rounding: 4 ulp of 5 s over 0.5 ms


def test_a_ramp_lags_by_a_tenth_at_the_end_of_each_interval(ramp):
    times, speed = ramp
    late = speed(times[1:]) - shaft_from_times(times, 60).speed
    assert late.max() * TURN == pytest.approx(0.1, rel=1e-3)


def test_angle_of_a_ramp_between_its_pulses(ramp):
    times, speed = ramp
    between = np.linspace(0.1, 4.9, 777)
    turns = shaft_from_times(times, 60).angle.turns_at(between)
    assert turns == pytest.approx((speed(0.0) + speed(between)) / 2 * between, abs=1e-9)


@pytest.mark.parametrize(
    ("teeth", "rpm", "clock", "share"),
    [(60, 3000, 1e6, 0.0030), (1, 3000, 10e3, 0.005), (36, 2400, 20e3, 0.072)],
)
def test_resolution_of_an_interval(teeth, rpm, clock, share):
    assert interval_resolution(teeth, rpm / TURN, clock) == pytest.approx(share)
    ticks = np.round(np.arange(2000) / (teeth * rpm / TURN) * clock) / clock
    shaft = shaft_from_times(ticks, teeth, 0, clock=clock)
    assert shaft.resolution == pytest.approx(share, rel=1.1 * share)  # of the shortest interval, a tick short
    assert np.abs(shaft.speed / (rpm / TURN) - 1).max() <= share / (1 - share)


def test_cardan_joint_of_five_degrees():
    """Pulses of the shaft behind the joint, in front of which it turns evenly."""
    bend, teeth = np.radians(5), 360
    ahead = np.linspace(0, 10 * 2 * np.pi, 2_000_001)
    behind = np.unwrap(np.arctan2(np.sin(ahead), np.cos(ahead) * np.cos(bend)))
    times = np.interp(2 * np.pi * np.arange(10 * teeth) / teeth, behind, ahead / (2 * np.pi * 20))
    shaft = shaft_from_times(times, teeth, 0)
    assert shaft.speed.max() / 20 == pytest.approx(1.003820, abs=2e-6)  # printed digits; one degree averages
    assert shaft.speed.min() / 20 == pytest.approx(0.996195, abs=2e-6)
    ride = Ride(
        "", 2000.0, 0.0, (Channel("speed of it", "rev/s"),), shaft.angle.rate_at(np.arange(1000) / 2000)[None]
    )
    levels = order_levels(along_angle(ride, shaft.angle, 32), [1, 2, 3], 4).level[0]
    assert levels[1] * np.sqrt(2) / 20 == pytest.approx((1.003820 - 0.996195) / 2, rel=2e-3)
    assert levels[[0, 2]].max() < 1e-3 * levels[1]


@pytest.mark.parametrize(("cylinders", "order"), [(4, 2), (6, 3), (8, 4)])
def test_firing_order_of_a_four_stroke_engine(cylinders, order):
    """A push for every cylinder in two turns of the crank, while the speed rises."""
    t = np.arange(40_000) / 4000
    turns = 20 * t + 2 * t**2
    push = np.exp(20 * (np.cos(2 * np.pi * turns * cylinders / 2) - 1))
    ride = Ride("", 4000.0, 0.0, (Channel("engine mount", "m/s^2"),), push[None])
    shaft = shaft_from_times(np.interp(np.arange(int(turns[-1] * 58)) / 58, turns, t), 58)
    orders = np.arange(1, 9)
    levels = order_levels(along_angle(ride, shaft.angle, 64), orders, 10).level[0]
    assert orders[levels.argmax()] == order
    assert (levels[orders % order != 0] < 1e-3 * levels.max()).all()


@pytest.mark.parametrize("axle_ratio", [3.7, 4.3])
def test_a_propshaft_is_a_wheel_order_of_the_axle_ratio(axle_ratio):
    t = np.arange(60_000) / 1000
    wheel = 5 * t + t**2 / 30
    ride = Ride("", 1000.0, 0.0, (Channel("floor", "m/s^2"),), np.cos(2 * np.pi * axle_ratio * wheel)[None])
    shaft = shaft_from_times(
        np.interp(np.arange(int(wheel[-1])), wheel, t), 1
    )  # one pulse a turn of the wheel
    tried = np.arange(30, 50) / 10
    levels = order_levels(along_angle(ride, shaft.angle, 16), tried, 40).level[0]
    assert tried[levels.argmax()] == axle_ratio
    assert levels.max() == pytest.approx(np.sqrt(0.5), rel=2e-3)
