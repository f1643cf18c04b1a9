"""Peaks between grid points, half-power bands, and which mode a peak belongs to."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.case import parse
from counterbounce.model.modes import modes
from counterbounce.model.response import dynamics, sweep
from counterbounce.model.road import Driveline, Roads, inputs
from counterbounce.model.settle import settled
from counterbounce.model.speeds import critical_speeds, half_power_band, local_peaks, polished

RANGE = (8.0, 33.0)


def resonance(x, top, ratio):
    return 1 / np.hypot(1 - (x / top) ** 2, 2 * ratio * x / top)


@pytest.mark.parametrize("shift", [0.0, 0.3, 0.9])
def test_a_peak_between_grid_points_is_found(shift):
    x = np.geomspace(5, 40, 600) * (1 + 0.0035 * shift)
    level = resonance(x, 17.0, 0.02)
    (i,) = local_peaks(level)
    speed, height = polished(x, level, i)
    assert speed == pytest.approx(17.0 * np.sqrt(1 - 2 * 0.02**2), rel=2e-4)
    assert height == pytest.approx(1 / (2 * 0.02 * np.sqrt(1 - 0.02**2)), rel=1e-3)


@pytest.mark.parametrize("ratio", [0.01, 0.03, 0.08])
def test_half_power_band_of_one_resonance(ratio):
    x = np.geomspace(5, 40, 2000)
    level = resonance(x, 17.0, ratio)
    low, high = half_power_band(x, level, local_peaks(level)[0])
    assert (high - low) / 17.0 == pytest.approx(2 * ratio, rel=3 * ratio)
    assert resonance(np.array([low, high]), 17.0, ratio) == pytest.approx(level.max() / np.sqrt(2), rel=1e-2)


def test_a_band_ends_in_a_valley_and_at_the_end_of_the_curve():
    x = np.arange(7.0)
    assert half_power_band(x, np.array([1.0, 1.1, 1.2, 1.0, 0.95, 1.1, 1.4]), 2) == (0.0, 4.0)


@pytest.fixture
def truck(fleet):
    built = fleet("bending")
    return built.vehicle, modes(built.vehicle), dynamics(built.vehicle)


def test_a_cause_without_level_is_listed_last_with_its_speed_alone(truck):
    vehicle, found, ready = truck
    roads = Roads(wheel_orders=(1,), driveline=Driveline(0.7, 1.0, 4))
    met = critical_speeds(ready, found, inputs(roads, vehicle, 8.0), vehicle.watched, RANGE)
    silent = [c for c in met if c.cause.kind != "wheel"]
    assert silent
    assert met[-len(silent) :] == tuple(silent)
    for one in silent:
        assert (one.peak, one.band, one.point, one.typical, one.worst, one.beat_period) == (None,) * 6
        assert one.speed == one.coincidence


def test_wheels_beat_in_seconds(truck):
    vehicle, found, ready = truck
    met = critical_speeds(ready, found, inputs(Roads(), vehicle, 8.0), vehicle.watched, RANGE)
    for one in met:
        assert one.beat_period == pytest.approx(1 / (0.003 * one.cause.per_metre * one.speed))


def test_overlap_is_the_share_of_the_complaint_inside_the_band(truck):
    vehicle, found, ready = truck
    causes = inputs(Roads(wheel_orders=(1,)), vehicle, 8.0)
    met = critical_speeds(ready, found, causes, vehicle.watched, RANGE)
    worst = next(c for c in met if c.band)
    assert worst.overlap is None
    low, high = worst.band
    for complaint, share in (
        ((low - 1, low), 0.0),
        ((low, high), 1.0),
        ((low - (high - low), high), 0.5),
        ((worst.peak, worst.peak), 1.0),
        ((0.5, 1.0), 0.0),
    ):
        again = critical_speeds(ready, found, causes, vehicle.watched, RANGE, complaint)
        one = next(c for c in again if (c.mode, c.cause) == (worst.mode, worst.cause))
        assert one.overlap == pytest.approx(share, abs=1e-9), complaint


def test_each_peak_belongs_to_the_mode_that_makes_it(truck):
    """Frame bending is met by order one near 6.5 Hz; no peak is claimed by two modes."""
    vehicle, found, ready = truck
    met = critical_speeds(
        ready, found, inputs(Roads(wheel_orders=(1,)), vehicle, 8.0), vehicle.watched, RANGE
    )
    peaks = [(c.cause.name, c.peak) for c in met if c.peak is not None]
    assert len(set(peaks)) == len(peaks)
    bending = next(c for c in met if c.mode_name == "frame bending 1")
    assert bending.peak == pytest.approx(bending.coincidence, rel=0.01)
    assert bending.typical == max(c.typical for c in met if c.peak is not None)


def test_peak_and_coincidence_part_where_damping_is_heavy(textbook):
    """A body on a sine road, damping ratio 0.5: its acceleration never peaks near the coincidence."""
    one = textbook("b5_rao_rough_road")
    causes = inputs(one.case.roads, one.vehicle, one.case.speeds[0])
    (met,) = critical_speeds(dynamics(one.vehicle), modes(one.vehicle), causes, one.vehicle.watched, RANGE)
    assert met.peak is None
    assert met.band is None
    assert met.speed == met.coincidence
    assert met.typical > 0


DAMPED_QUARTER = """
name = "Quarter car on a sine road, damped heavily"
exact = true
[vehicle]
sprung_mass = "250 kg"
[axle.wheel]
unsprung_mass = "{hub} kg"
spring_rate = "16 kN/m"
damping = "{damping} N*s/m"
tyre_rate = "160 kN/m"
tyre_damping = "0 N*s/m"
[inputs]
wheel_orders = []
wave = {{ length = "2 m", height = "10 mm" }}
speeds = {{ from = "1 m/s", to = "48 m/s" }}
"""


@pytest.mark.parametrize(
    ("hub", "damping", "apart", "own"),
    [(20, 1480, 0.22, True), (10, 6000, -0.155, True), (10, 5000, 0.336, False)],
)
def test_a_peak_a_quarter_away_from_the_coincidence_is_not_the_modes_own(hub, damping, apart, own):
    """Damping moves a peak of acceleration away from its mode: near by it is still felt as that mode."""
    case = parse(DAMPED_QUARTER.format(hub=hub, damping=damping))
    vehicle = settled(case.plan, case.numbers)
    ready, causes, fine = dynamics(vehicle), inputs(case.roads, vehicle, 1.0), np.geomspace(1.0, 48.0, 4000)
    level = sweep(ready, causes, fine, vehicle.watched).total()[:, 0]
    met = critical_speeds(ready, modes(vehicle), causes, vehicle.watched, case.speeds)
    (bounce,) = (c for c in met if c.mode_name == "body bounce")
    distances = np.log(fine[local_peaks(level)] / bounce.coincidence)
    assert distances[np.argmin(np.abs(distances))] == pytest.approx(apart, abs=0.01)
    assert (bounce.peak is not None) == own
    if own:
        assert np.log(bounce.peak / bounce.coincidence) == pytest.approx(apart, abs=0.01)


def test_outside_the_range_nothing_is_met(truck):
    vehicle, found, ready = truck
    causes = inputs(Roads(wheel_orders=(1,)), vehicle, 8.0)
    assert critical_speeds(ready, found, causes, vehicle.watched, (0.5, 0.6)) == ()
    silent = [replace(c, height=None) for c in causes]
    assert {c.typical for c in critical_speeds(ready, found, silent, vehicle.watched, RANGE)} == {None}
