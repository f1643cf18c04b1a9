"""What must hold for every vehicle on a rough road."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.background import background, rough_ride
from counterbounce.model.response import dynamics
from counterbounce.model.road import delays
from counterbounce.model.roughness import Roughness, of_class

SPEEDS = np.array([6.0, 17.0, 31.0])


def points_of(vehicle):
    return vehicle.watched or tuple(vehicle.points.values())


@pytest.fixture
def level(built):
    """Levels of a vehicle that has damping, on a road at SPEEDS."""
    vehicle = built.vehicle
    ready, points = dynamics(vehicle), points_of(vehicle)

    def of(road: Roughness, speeds=SPEEDS):
        return background(ready, vehicle, road, speeds, points)

    if np.isinf(of(of_class("B"))).any():
        pytest.skip("this vehicle has no damping: its level on a random road has no end")
    return of


def test_twice_the_density_is_twice_the_square_of_the_level(level):
    one, other = level(Roughness(64e-6)), level(Roughness(128e-6))
    assert np.allclose(other**2, 2 * one**2, rtol=1e-12)
    assert np.all(one > 0)


def test_bands_of_waves_add_as_powers(level):
    """The ends of the bands lie between points of the grid: 1 %."""
    whole = level(Roughness(64e-6, longest=100.0, shortest=0.1))
    parts = [level(Roughness(64e-6, longest=a, shortest=b)) for a, b in ((100.0, 5.0), (5.0, 0.1))]
    assert np.allclose(np.hypot(*parts), whole, rtol=0.01)


def test_a_road_of_waves_that_no_frequency_meets_does_nothing(level):
    assert np.all(level(Roughness(64e-6, longest=0.02, shortest=0.01)) == 0)


def test_faster_on_a_white_slope_is_rougher_where_axles_stand_alone(built, level):
    """One axle: the level grows with the root of speed, but for its footprint and the ends of the band."""
    if len(built.vehicle.axles) > 1:
        pytest.skip("axles beat with each other")
    slow, fast = level(Roughness(64e-6, longest=1e4, shortest=0.01), np.array([15.0, 30.0]))
    assert np.all(fast / slow >= np.sqrt(2) * 0.999)
    assert np.all(fast / slow < np.sqrt(2) * 1.3)


def test_a_spectrum_at_a_speed_is_never_negative_and_names_its_points(built):
    vehicle = built.vehicle
    found = rough_ride(
        dynamics(vehicle), vehicle, of_class("B"), 20.0, points_of(vehicle), np.arange(1.0, 25)
    )
    assert np.all(found.density >= 0)
    assert found.density.shape == (24, len(found.points))


def test_backwards_is_the_mirrored_road(built):
    """Axles in the opposite order of travel: every phase of the delays is turned round."""
    vehicle = built.vehicle
    n = np.array([0.05, 0.3, 1.7])
    turned = replace(vehicle, axles=tuple(replace(a, station=-a.station) for a in vehicle.axles))
    assert np.allclose(delays(turned, n), np.conj(delays(vehicle, n)), rtol=0, atol=1e-12)


def test_a_mirrored_vehicle_in_reverse_is_the_vehicle(shop):
    """Front and rear changed over, driven backwards: the rear end then does what the front end did."""
    from counterbounce.model.plan import Plan

    base, length = dict(shop.half), 4.2
    mirrored = dict(base)
    for key, value in base.items():
        if key.startswith("axle.front."):
            mirrored[key] = base[key.replace("front", "rear")]
            mirrored[key.replace("front", "rear")] = value
    mirrored |= {"axle.front.station": 0.0, "axle.rear.station": length}
    mirrored["vehicle.centre_of_gravity"] = length - base["vehicle.centre_of_gravity"]
    mirrored["frame.front_end"] = length - base["frame.rear_end"]
    mirrored["frame.rear_end"] = length - base["frame.front_end"]
    one, other = (shop.built(Plan("half", shop.axles), values).vehicle for values in (base, mirrored))
    reverse = replace(other, axles=tuple(replace(a, station=-a.station) for a in other.axles))
    ends = [vehicle.points[end] for vehicle, end in ((one, "front end"), (other, "rear end"))]
    levels = [
        background(dynamics(vehicle), driven, of_class("B"), SPEEDS, [end])
        for vehicle, driven, end in ((one, one, ends[0]), (other, reverse, ends[1]))
    ]
    assert np.allclose(levels[0], levels[1], rtol=1e-9)
    forward = background(dynamics(other), other, of_class("B"), SPEEDS, [ends[1]])
    assert not np.allclose(levels[0], forward, rtol=0.01), "the order of the axles matters"
