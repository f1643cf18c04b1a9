"""A ride along an angle: sines, borders, slow turning, stops."""

import numpy as np
import pytest

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.resampling import (
    FLAT,
    INTERPOLATION_ERROR,
    along_angle,
    angle_from_speed,
)
from counterbounce.model.measured.rotation import Angle
from counterbounce.model.ride import Channel, Ride

RATE = 200.0


def ride_of(rows, names=("floor", "speed"), rate=RATE, start=0.0):
    rows = np.atleast_2d(rows)
    return Ride("lane", rate, start, tuple(Channel(n, "m/s^2") for n in names[: len(rows)]), rows)


def line(start, end, turns=9.0):
    return Angle(np.array([start, end]), np.array([3.1, 3.1 + turns]))


@pytest.mark.parametrize("per_metre", [4, 7, 10, 23])
@pytest.mark.parametrize("share", [0.01, 0.1, 0.3, FLAT])
def test_a_sine_comes_through_within_the_stated_error(per_metre, share):
    """At 20 m/s, up to the stated share of the lower rate, old or new."""
    t = np.arange(8000) / RATE
    frequency = share * min(RATE, 20 * per_metre)
    wave = lambda when: np.cos(2 * np.pi * frequency * when + 0.3)  # noqa: E731
    along = along_angle(ride_of(wave(t)), Angle(t[::10], 20 * t[::10] + 0.013, "m"), per_metre)
    value, when = along.channel("floor"), along.channel("time")
    there = np.isfinite(value)
    assert there.mean() > 0.95
    assert np.abs(value - wave(when))[there].max() < INTERPOLATION_ERROR
    assert when == pytest.approx((along.time - 0.013) / 20, abs=1e-9)


@pytest.mark.parametrize("share", [0.565, 0.6, 0.7])
def test_what_the_new_samples_cannot_hold_is_kept_out(share):
    t = np.arange(8000) / RATE
    frequency = share * 20 * 7
    along = along_angle(ride_of(np.cos(2 * np.pi * frequency * t)), Angle(t[::10], 20 * t[::10], "m"), 7)
    assert np.nanmax(np.abs(along.channel("floor"))) < INTERPOLATION_ERROR


def test_an_order_of_a_sweep_stands_still():
    """From 3 to 23 turns a second and back; what is left is the interpolation's error."""
    t = np.arange(40_000) / 500
    turns = 13 * t - 10 * 40 / np.pi * np.sin(np.pi * t / 40)
    wave = np.cos(2 * np.pi * 2.25 * turns + 0.7)
    along = along_angle(ride_of(wave, rate=500.0), Angle(t[::25], turns[::25]), 16)
    value = along.channel("floor")
    there = np.isfinite(value)
    # The angle between its marks, 0.05 s apart, is a cubic: 1e-4 of a turn counts 2 pi 2.25 times that.
    assert np.abs(value - np.cos(2 * np.pi * 2.25 * along.time + 0.7))[there].max() < 2e-3
    assert there.mean() > 0.99


def test_blocks_join():
    """Longer than what is looked at in one go: no sample is lost or doubled on the way."""
    t = np.arange(60_000) / 400
    along = along_angle(ride_of(np.sin(2 * np.pi * 3 * t), rate=400.0), Angle(t[::20], 30 * t[::20]), 8)
    value = along.channel("floor")
    there = np.isfinite(value)
    assert there[30:-30].all()
    assert np.abs(value - np.sin(2 * np.pi * 3 * along.channel("time")))[there].max() < INTERPOLATION_ERROR
    assert len(along) == 8 * 30 * 149.95 + 1


def test_a_stop_takes_no_angle_and_too_slow_is_no_number():
    t = np.arange(24_000) / RATE
    speed = np.interp(t, [0, 40, 50, 70, 80, 120], [20, 20, 0, 0, 20, 20])
    ride = ride_of(np.stack([np.sin(2 * np.pi * 4 * t), speed]))
    way = angle_from_speed(ride)
    assert way.turns_at(t[-1]) == pytest.approx(2 * (800 + 100), abs=0.1)
    along = along_angle(ride, way, 8)
    value, when = along.channel("floor"), along.channel("time")
    slow = np.interp(when, t, speed) < RATE / 8 / 16 * 0.98
    assert slow.any()
    assert not np.isfinite(value[slow]).any()
    there = np.isfinite(value)
    assert (when[there] < 50).any()
    assert (when[there] > 70).any()
    assert len(along) == pytest.approx(8 * 1800, abs=8)


def test_wheel_turns_from_road_speed():
    t = np.arange(10_000) / RATE
    speed = 15 + 3 * np.sin(2 * np.pi * t / 20)
    ride = ride_of(np.stack([t, speed]), start=7.0)
    wheel = angle_from_speed(ride, 2.4)
    way = 15 * t + 3 * 20 / (2 * np.pi) * (1 - np.cos(2 * np.pi * t / 20))
    assert wheel.unit == "rev"
    assert wheel.turns_at(t + 7.0) == pytest.approx(way / 2.4, abs=1e-4)
    assert wheel.rate_at(t + 7.0)[20:-20] == pytest.approx(speed[20:-20] / 2.4, rel=1e-3)


def test_a_speed_below_zero_is_none():
    ride = ride_of(np.stack([np.zeros(400), np.concatenate([np.full(200, -1.0), np.full(200, 5.0)])]))
    way = angle_from_speed(ride)
    assert (np.diff(way.turns) >= 0).all()
    assert way.turns[-1] == pytest.approx(5.0, abs=0.03)


def test_only_what_ride_and_angle_share():
    t = np.arange(4000) / RATE
    along = along_angle(
        ride_of(t, start=10.0), Angle(np.array([5.0, 12.0, 20.0]), np.array([0.0, 70.0, 150.0])), 4
    )
    assert along.channel("time")[[0, -1]] == pytest.approx([10.0, 20.0])
    assert along.start == pytest.approx(50.0, abs=2)


@pytest.mark.parametrize(
    ("ask", "kind", "words"),
    [
        (lambda r: angle_from_speed(r, 0.0), ValueError, "circumference"),
        (lambda r: angle_from_speed(r, channel="sped"), KeyError, "speed"),
        (lambda r: angle_from_speed(ride_of(r.samples * np.nan)), CounterbounceError, "gaps"),
        (lambda r: angle_from_speed(ride_of(r.samples * 0)), CounterbounceError, "never leaves zero"),
        (lambda r: along_angle(r, line(0.0, 5.0), 0), ValueError, "per_turn"),
        (lambda r: along_angle(r, line(50.0, 90.0), 4), CounterbounceError, "share no"),
        (lambda r: along_angle(r, line(0.0, 5.0, 0.0), 4), CounterbounceError, "share no"),
    ],
)  # fmt: skip
def test_what_cannot_be(ask, kind, words):
    with pytest.raises(kind) as caught:
        ask(ride_of(np.ones((2, 2000))))
    assert words in str(caught.value)
