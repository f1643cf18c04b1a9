"""Lines per metre: what follows the road is found and followed, what stays at a frequency is not."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.measured.lines import followed, lines
from counterbounce.model.measured.recording import Recording
from counterbounce.model.measured.sensors import Sensor
from counterbounce.model.measured.travelled import along_road, is_unsprung, slowed
from counterbounce.model.ride import Channel, Ride

RATE = 200.0


def recorded(shake, speed, name="driver's floor"):
    channels = (Channel(name, "m/s^2"), Channel("speed", "m/s"))
    return Recording(
        Ride("invented", RATE, 0.0, channels, np.stack([shake, speed])), (Sensor(name, name),), "speed"
    )


@pytest.fixture(scope="module")
def sweep():
    """Speed [m/s], way [m] and noise [m/s^2] of two minutes from 12 to 28 m/s."""
    speed = np.linspace(12, 28, round(120 * RATE))
    return speed, np.cumsum(speed) / RATE, np.random.default_rng(4).standard_normal(len(speed))


def road(shake, speed):
    return along_road(slowed(recorded(shake, speed)))


def test_a_line_is_found_where_it_is_and_as_large_as_it_is(sweep):
    speed, way, noise = sweep
    shake, along = road(0.5 * np.cos(2 * np.pi * 0.43 * way) + 0.2 * noise, speed)
    (one,) = lines(shake, along)
    assert one.per_metre == pytest.approx(0.43, abs=1e-3)
    track = followed(shake, along, one.per_metre)
    assert np.sqrt(track.power[0]) == pytest.approx(0.5 / np.sqrt(2), rel=0.1)
    assert np.abs(track.amplitude[0]) == pytest.approx(0.5, rel=0.1)
    assert track.frequency == pytest.approx(one.per_metre * track.speed)


def test_what_stays_at_a_frequency_is_no_line(sweep):
    speed, _, noise = sweep
    t = np.arange(len(speed)) / RATE
    assert lines(*road(np.cos(2 * np.pi * 8 * t) + 0.2 * noise, speed)) == ()


def test_noise_makes_no_lines(sweep):
    speed = sweep[0]
    found = [lines(*road(np.random.default_rng(s).standard_normal(len(speed)), speed)) for s in range(20)]
    assert sum(len(one) for one in found) <= 3  # of some 8000 bins; 2 when this was written, judged later


def test_a_line_is_found_on_the_rough_road_that_two_axles_make_a_comb_of(sweep):
    """3.8 m apart they let some wavelengths through twice as large, others not at all; a shaft's line is one
    of many tops there, but the only narrow one."""
    speed, way, _ = (one[: 60 * 200] for one in sweep)
    rng = np.random.default_rng(5)
    places = np.arange(0.0, way[-1] + 10, 0.05)
    rough = np.convolve(rng.standard_normal(len(places)), np.hanning(5) / 2, mode="same")
    comb = np.interp(way, places, rough) + np.interp(way + 3.8, places, rough)
    shake, along = road(comb, speed)
    assert lines(shake, along) == ()
    shake, along = road(comb + 0.4 * np.cos(2 * np.pi * 1.7 * way), speed)
    best = lines(shake, along)[0]
    assert best.per_metre == pytest.approx(1.7, rel=3e-3)


def test_what_is_beyond_the_recording_is_not_looked_for(sweep):
    speed, way, noise = sweep
    shake, along = road(np.cos(2 * np.pi * 1.5 * way) + 0.2 * noise, speed)
    assert [round(one.per_metre, 2) for one in lines(shake, along)] == [1.5]
    assert lines(shake, along, highest=16.0) == ()  # it is at 18 Hz where the sweep begins
    assert len(followed(shake, along, 1.5, highest=30.0).speed) < len(followed(shake, along, 1.5).speed)


def test_a_standstill_is_cut_out():
    speed = np.concatenate([np.full(4000, 20.0), np.zeros(2000), np.full(8000, 20.0)])
    way = np.cumsum(speed) / RATE
    shake, along = road(np.cos(2 * np.pi * 0.4 * way), speed)
    assert along.min() > 6
    assert len(along) == pytest.approx(way[-1] * 16, rel=0.01)
    assert shake.shape == (1, len(along))


def test_slowing_down_leaves_a_shake_as_it_is():
    t = np.arange(20 * 2000) / 2000
    ride = Ride("", 2000.0, 0.0, (Channel("seat", "m/s^2"),), np.cos(2 * np.pi * 18 * t)[None])
    slow = slowed(Recording(ride, (Sensor("seat", "seat"),), None))
    assert slow.rate == 100
    inside = slice(100, -100)
    clock = np.arange(slow.shake.shape[1]) / slow.rate
    assert slow.shake[0, inside] == pytest.approx(np.cos(2 * np.pi * 18 * clock)[inside], abs=0.01)
    assert not slow.moving.any()


def test_what_is_above_half_the_slow_rate_is_taken_out():
    t = np.arange(20 * 2000) / 2000
    ride = Ride("", 2000.0, 0.0, (Channel("seat", "m/s^2"),), np.cos(2 * np.pi * 82 * t)[None])
    slow = slowed(Recording(ride, (Sensor("seat", "seat"),), None))
    assert np.abs(slow.shake[0, 100:-100]).max() < 0.01


@pytest.mark.parametrize(
    ("name", "below"), [("rear axle, left", True), ("steering wheel", False), ("seat", False)]
)
def test_which_points_ride_on_the_wheels(name, below):
    assert is_unsprung(name) is below
