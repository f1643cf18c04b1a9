"""Levels of orders, and the map against speed, on invented sweeps with known shares."""

import numpy as np
import pytest

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.orders import order_levels, order_map
from counterbounce.model.measured.resampling import along_angle, angle_from_speed
from counterbounce.model.measured.rotation import Angle
from counterbounce.model.ride import Channel, Ride

RATE = 200.0
CIRCUMFERENCE = 2.4
CHANNELS = (Channel("floor", "m/s^2"), Channel("rear end", "m/s^2"), Channel("speed", "m/s"))


def sweep(low=12.0, high=28.0, seconds=400.0, noise=0.1, seed=0):
    """Wheel order 1 of the floor and a steady 9 Hz of the rear end, each of amplitude 1, in noise."""
    t = np.arange(round(seconds * RATE)) / RATE
    speed = low + (high - low) * t / seconds
    way = low * t + (high - low) * t**2 / (2 * seconds)
    rest = noise * np.random.default_rng(seed).standard_normal((2, len(t)))
    floor = np.cos(2 * np.pi * way / CIRCUMFERENCE) + rest[0]
    return Ride("lane", RATE, 0.0, CHANNELS, np.stack([floor, np.cos(2 * np.pi * 9 * t) + rest[1], speed]))


@pytest.fixture(scope="module")
def ride():
    return sweep()


@pytest.fixture(scope="module")
def shown(ride):
    return order_map(ride, angle_from_speed(ride), np.arange(12, 29, 2.0))


def test_an_order_stands_still_per_metre(shown):
    tops = shown.per_metre[shown.along_metre[0].argmax(axis=1)]
    assert tops == pytest.approx(1 / CIRCUMFERENCE, abs=shown.per_metre[1])
    assert shown.order(1 / CIRCUMFERENCE)[0] == pytest.approx(np.sqrt(0.5), rel=0.02)
    moved = shown.frequency[shown.along_time[0].argmax(axis=1)]
    assert moved == pytest.approx(shown.speed / CIRCUMFERENCE, rel=0.05)


def test_a_frequency_stands_still_per_second(shown):
    assert shown.frequency[shown.along_time[1].argmax(axis=1)] == pytest.approx(9.0, abs=0.01)
    assert shown.levels(8, 10)[1] == pytest.approx(np.sqrt(0.5), rel=0.02)
    moved = shown.per_metre[shown.along_metre[1].argmax(axis=1)]
    assert moved == pytest.approx(9 / shown.speed, rel=0.06)


def test_dwell_and_change_of_speed(shown):
    assert shown.dwell == pytest.approx(50, abs=3)
    assert shown.change == pytest.approx(4 * 16 / 400, rel=0.02)
    assert shown.names == ("floor", "rear end")


def test_speeds_that_nobody_drove_have_no_number(ride):
    shown = order_map(ride, angle_from_speed(ride), [2, 6, 20, 40])
    assert np.isnan(shown.along_time[:, 0]).all()
    assert np.isnan(shown.levels(1, 20)[:, 0]).all()
    assert shown.pieces[:, 0].tolist() == [0, 0]
    assert np.isfinite(shown.along_metre[:, 1:]).all()


def test_both_halves_of_the_map_hold_the_same_power(ride):
    """Parseval: what is white in time is white along the way."""
    shown = order_map(ride, angle_from_speed(ride), [12, 28])
    per_metre = shown.along_metre[0, 0, (shown.per_metre > 1) & (shown.per_metre < 3)].mean()
    per_second = shown.along_time[0, 0, (shown.frequency > 30) & (shown.frequency < 60)].mean()
    mean_speed = 20.0
    assert per_second == pytest.approx(2 * 0.1**2 / RATE, rel=0.05)
    assert per_metre == pytest.approx(per_second * mean_speed, rel=0.08)  # slow stretches weigh by distance


def test_a_stop_does_not_harm_the_map():
    one = sweep(seconds=200)
    rest = 0.1 * np.random.default_rng(4).standard_normal((3, 6000))
    rest[2] = 0.0
    both = Ride("lane", RATE, 0.0, CHANNELS, np.concatenate([one.samples, rest, one.samples], axis=1))
    shown = order_map(both, angle_from_speed(both), [12, 16, 20, 24, 28])
    assert shown.order(1 / CIRCUMFERENCE)[0] == pytest.approx(np.sqrt(0.5), rel=0.05)


def test_background_is_taken_off(ride):
    along = along_angle(ride, angle_from_speed(ride, CIRCUMFERENCE), 16)
    found = order_levels(along, [1.0, 3.0], 40)
    assert found.alone[0, 0] == pytest.approx(np.sqrt(0.5), rel=2e-3)
    assert found.alone[0, 1] < 0.01
    assert found.level[0, 1] == pytest.approx(found.background[0, 1], rel=0.4)
    assert found.resolution == pytest.approx(1.5 / 40)
    assert "r.m.s." in found._repr_html_()


@pytest.mark.parametrize(("turns", "apart"), [(40, True), (8, False)])
def test_two_orders_are_two_where_pieces_are_long_enough(turns, apart):
    t = np.arange(80_000) / RATE
    rev = 8 * t
    wave = np.cos(2 * np.pi * rev) + 0.5 * np.cos(2 * np.pi * 1.15 * rev)
    along = along_angle(Ride("", RATE, 0.0, CHANNELS[:1], wave[None]), Angle(t[::20], rev[::20]), 16)
    found = order_levels(along, [1.0, 1.15], turns)
    close = np.allclose(found.level[0] * np.sqrt(2), [1.0, 0.5], rtol=0.02)
    assert close == apart
    assert (found.resolution < 0.15) == apart


@pytest.mark.parametrize(
    ("ask", "kind", "words"),
    [
        (lambda r, w: order_map(r, w, [20.0]), ValueError, "two or more rising edges"),
        (lambda r, w: order_map(r, w, [20.0, 10.0]), ValueError, "two or more rising edges"),
        (lambda r, w: order_map(r, angle_from_speed(r, 2.4), [10, 20]), ValueError, "not turns"),
        (lambda r, w: order_map(r, w, [10, 20], metres=1e6), CounterbounceError, "too short"),
        (lambda r, w: order_map(r, w, [10, 20]).order(50.0), ValueError, "per_metre must lie within"),
        (lambda r, w: order_levels(along_angle(r, w, 8), [5.0], 40), CounterbounceError, "0.075 to 3.52"),
        (lambda r, w: order_levels(along_angle(r, w, 8), [0.01], 40), CounterbounceError, "0.01"),
    ],
)  # fmt: skip
def test_what_cannot_be(ride, ask, kind, words):
    with pytest.raises(kind) as caught:
        ask(ride, angle_from_speed(ride))
    assert words in str(caught.value)
