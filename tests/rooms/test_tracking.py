"""One order along a ride, phases of points, and beating wheels, all invented."""

import numpy as np
import pytest

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.resampling import along_angle, angle_from_speed
from counterbounce.model.measured.rotation import Angle
from counterbounce.model.measured.tracking import beat, track
from counterbounce.model.ride import Channel, Ride

RATE = 200.0
NAMES = "floor", "rear end", "rear axle, left", "speed"


def ride_of(*rows):
    return Ride(
        "lane", RATE, 0.0, tuple(Channel(name, "m/s^2") for name in NAMES[: len(rows)]), np.stack(rows)
    )


def steady(seconds=100.0, speed=8.0):
    t = np.arange(round(seconds * RATE)) / RATE
    return t, speed * t, Angle(t[::20], speed * t[::20])


@pytest.mark.parametrize("order", [0.7, 1.0, 2.0, 3.13])
@pytest.mark.parametrize("turns", [6.0, 11.0])
def test_a_constant_amplitude_is_exact(order, turns):
    """With an offset, whatever part of a period the window cuts off: to the error of resampling."""
    _, rev, angle = steady()
    wave = 9.81 + 2 * np.cos(2 * np.pi * order * rev + 0.6)
    found = track(along_angle(ride_of(wave), angle, 16), order, turns)
    assert found.amplitude[:, 0] == pytest.approx(2 * np.exp(0.6j), abs=3e-3)
    assert found.amplitude[:, 0] == pytest.approx(2 * np.exp(0.6j), abs=9.81 * 3e-4)
    assert found.speed == pytest.approx(8.0, rel=1e-6)


def test_another_whole_order_adds_nothing():
    _, rev, angle = steady()
    wave = np.cos(2 * np.pi * rev) + 5 * np.cos(2 * np.pi * 2 * rev) + 3 * np.cos(2 * np.pi * 1.25 * rev)
    found = track(along_angle(ride_of(wave), angle, 16), 1.0, 8.0)
    assert found.amplitude[:, 0] == pytest.approx(1.0, abs=9 * 2e-4)


def test_shape_of_the_points():
    t, rev, angle = steady()
    rows = [
        a * np.cos(2 * np.pi * rev + phase)
        for a, phase in ((1, 0.3), (2.5, 0.3 + np.pi), (0.4, 0.3 - np.pi / 2))
    ]
    noise = 0.1 * np.random.default_rng(1).standard_normal((3, len(t)))
    found = track(along_angle(ride_of(*(np.stack(rows) + noise)), angle, 16), 1.0, 10.0)
    assert found.relative("floor") == pytest.approx([1.0, -2.5, -0.4j], abs=0.02)
    assert found.relative("rear end")[0] == pytest.approx(-0.4, abs=0.01)


def test_a_resonance_swept_through_is_read_within_the_stated_error():
    """An oscillator of 8 Hz, 4 %, driven by wheel order 1, against its own complex response."""
    t = np.arange(60_000) / RATE
    rev = 4 * t + 8 * t**2 / (2 * 300)
    rate = 4 + 8 * t / 300
    response = 1 / (1 - (rate / 8) ** 2 + 2j * 0.04 * rate / 8)  # slow enough to be quasi-steady
    wave = np.real(response * np.exp(2j * np.pi * rev))
    along = along_angle(ride_of(wave), Angle(t[::20], rev[::20]), 16)
    for turns in (10.0, 20.0, 40.0, 80.0):
        found = track(along, 1.0, turns)
        real = np.interp(found.time, t, response.real) + 1j * np.interp(found.time, t, response.imag)
        off = np.abs(found.amplitude[:, 0] - real)[2:-2]
        stated = found.error[2:-2, 0]
        near = np.abs(found.amplitude[2:-2, 0]) > 6
        assert off[near].max() < 1.6 * stated[near].max() + 3e-3
        assert off[near].max() > 0.3 * stated[near].max() - 3e-3
        assert np.abs(found.amplitude[:, 0]).max() == pytest.approx(np.abs(response).max(), rel=0.05)


def test_a_stop_is_left_out():
    t = np.arange(24_000) / RATE
    speed = np.interp(t, [0, 40, 50, 70, 80, 120], [20, 20, 0, 0, 20, 20])
    way = np.concatenate([[0], np.cumsum((speed[1:] + speed[:-1]) / 2 / RATE)])
    channels = Channel("floor", "m/s^2"), Channel("speed", "m/s")
    ride = Ride("", RATE, 0.0, channels, np.stack([np.cos(2 * np.pi * way / 2.4), speed]))
    found = track(along_angle(ride, angle_from_speed(ride, 2.4), 8), 1.0, 6.0)
    assert np.abs(found.amplitude[:, 0]) == pytest.approx(1.0, abs=0.02)
    assert (np.diff(found.time) > 15).sum() == 1


# --- beating ----------------------------------------------------------------------------------------------


def beating(turns, apart, second=0.6, noise=0.05, window=10.0, seed=0):
    """Two wheels of nearly one size, at 8 turns a second."""
    t, rev, angle = steady(turns / 8)
    wave = np.cos(2 * np.pi * rev) + second * np.cos(2 * np.pi * (1 + apart) * rev + 1.0)
    wave = wave + noise * np.random.default_rng(seed).standard_normal(len(t))
    return beat(track(along_angle(ride_of(wave), angle, 16), 1.0, window), "floor")


@pytest.mark.parametrize("apart", [0.003, -0.005, 0.01])
@pytest.mark.parametrize("periods", [2.0, 5.0])
def test_two_wheels_are_told_apart_where_the_pass_is_long_enough(apart, periods):
    found = beating(periods / abs(apart), apart)
    assert found.resolved
    assert found.orders == pytest.approx((1.0, 1.0 + apart), abs=0.1 * abs(apart))
    assert np.sqrt(2) * np.array(found.levels) == pytest.approx([1.0, 0.6], rel=0.1)
    assert found.periods == pytest.approx(periods, rel=0.12)
    assert "two orders" in found.text


@pytest.mark.parametrize("apart", [0.003, 0.008])
def test_a_pass_too_short_says_so(apart):
    found = beating(0.7 / apart, apart)
    assert not found.resolved
    assert found.closest > apart
    assert "two orders, " not in found.text


def test_one_wheel_is_one_order():
    """Twenty draws of noise: a second line is seen in none."""
    found = [beating(600, 0.0, second=0.0, noise=0.3, seed=seed) for seed in range(20)]
    assert [one.text for one in found if one.resolved] == []
    assert found[0].orders[0] == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize(
    ("ask", "kind", "words"),
    [
        (lambda a: track(a, 9.0, 10), CounterbounceError, "order: wanted 0.2 to 7.04"),
        (lambda a: track(a, 0.1, 10), CounterbounceError, "order: wanted"),
        (lambda a: track(a, 1.0, 1e5), CounterbounceError, "too short"),
        (lambda a: track(a, 1.0, 10, ["flor"]), KeyError, "floor"),
        (lambda a: track(a, 1.0, 10).relative("flor"), KeyError, "floor"),
        (lambda a: beat(track(a, 1.0, 10), "flor"), KeyError, "floor"),
        (lambda a: beat(track(a, 1.0, 300), "floor"), CounterbounceError, "eight windows"),
    ],
)
def test_what_cannot_be(ask, kind, words):
    _, rev, angle = steady()
    with pytest.raises(kind) as caught:
        ask(along_angle(ride_of(np.cos(2 * np.pi * rev)), angle, 16))
    assert words in str(caught.value)
