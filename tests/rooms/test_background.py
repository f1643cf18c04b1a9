"""What a rough road does to a vehicle: grid, delays and footprint, held against other ways."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.background import background, resonance_grid, rough_ride
from counterbounce.model.points import Point
from counterbounce.model.profile_spectrum import realised
from counterbounce.model.response import dynamics, felt_per_metre
from counterbounce.model.roughness import Roughness, of_class

SPEEDS = np.array([2.0, 9.0, 20.0, 33.0])
DAMPED = ["quarter", "half", "cab and seat", "bending", "tandem", "bending tandem", "placard"]


@pytest.fixture(params=DAMPED)
def vehicle(request, fleet):
    return fleet(request.param).vehicle


def points_of(vehicle):
    return vehicle.watched or tuple(vehicle.points.values())


@pytest.mark.parametrize(("fine", "off"), [(2.0, 2e-5), (0.2, 5e-4)])
def test_another_grid_moves_no_level(vehicle, fine, off):
    """The docstring says by how much."""
    ready, points = dynamics(vehicle), points_of(vehicle)
    usual, other = (background(ready, vehicle, of_class("B"), SPEEDS, points, f) for f in (1.0, fine))
    assert np.allclose(other, usual, rtol=off, atol=0)
    assert not np.array_equal(other, usual)


def test_a_sharp_resonance_is_not_missed(fleet, rescaled):
    """A thousandth of the damping: peaks 1 mHz wide, which even steps of 0.05 Hz would hit by chance."""
    vehicle = rescaled(fleet("quarter").vehicle, damper=0.001)
    ready, points = dynamics(vehicle), points_of(vehicle)
    usual, finer = (background(ready, vehicle, of_class("B"), SPEEDS, points, f) for f in (1.0, 8.0))
    assert np.allclose(usual, finer, rtol=3e-3, atol=0)


def test_the_error_of_the_grid_falls_with_its_square(fleet):
    vehicle = fleet("half").vehicle
    ready, points = dynamics(vehicle), points_of(vehicle)
    f = [resonance_grid(ready.system, fine) for fine in (0.25, 0.5, 16.0)]
    levels = [rough_ride(ready, vehicle, Roughness(64e-6, longest=1e4), 20.0, points, g).level for g in f]
    errors = [np.abs(level / levels[-1] - 1).max() for level in levels[:-1]]
    assert np.log2(errors[0] / errors[1]) == pytest.approx(2.0, abs=0.4)


def test_a_level_is_the_root_of_the_area_under_its_spectrum(vehicle):
    ready, points = dynamics(vehicle), points_of(vehicle)
    found = rough_ride(ready, vehicle, of_class("C"), 20.0, points)
    assert found.density.shape == (len(found.frequency), len(points))
    assert found.level == pytest.approx(
        background(ready, vehicle, of_class("C"), np.array([20.0]), points)[0]
    )
    assert found.frequency[[0, -1]].tolist() == [0.02, 30.0]


def test_a_realised_road_rolled_over_gives_the_same_level(vehicle):
    """Heights under each axle out of one profile in time, then an FFT: 4 km, 3 % for lines 5 mHz apart."""
    road, speed = of_class("B"), 20.0
    points = points_of(vehicle)
    profile = realised(road, 4000.0, 0.05, seed=2)
    count = len(profile.heights)
    twice = replace(profile, heights=np.tile(profile.heights, 3), start=-4000.0)  # it repeats itself
    under = [
        twice.at(profile.distance - (axle.station - vehicle.axles[0].station), axle.contact_length or 0.0)
        for axle in vehicle.axles
    ]
    f = np.fft.rfftfreq(count, 0.05 / speed)
    heard = (f > 0) & (f <= 30.0)
    columns = np.fft.rfft(under)[:, heard].T * 2 / count
    rise = np.abs(dynamics(vehicle).along(f[heard], columns, [p.row for p in points]))
    level = np.sqrt(((rise * felt_per_metre(f[heard], points)) ** 2).sum(axis=0))
    assert level == pytest.approx(
        background(dynamics(vehicle), vehicle, road, np.array([speed]), points)[0], rel=0.03
    )


def test_a_weighting_lowers_a_level(fleet):
    vehicle = fleet("half").vehicle
    plain = points_of(vehicle)[0]
    felt = replace(plain, weighting="Wk")
    level = background(dynamics(vehicle), vehicle, of_class("B"), np.array([20.0]), [plain, felt])[0]
    assert 0 < level[1] < 0.95 * level[0]


def test_a_vehicle_without_damping_has_no_finite_level(fleet):
    vehicle = fleet("textbook half").vehicle
    assert np.isinf(background(dynamics(vehicle), vehicle, of_class("B"), SPEEDS, points_of(vehicle))).all()


def test_a_point_that_does_not_move_has_no_level(fleet):
    vehicle = fleet("half").vehicle
    still = Point("ground", 0.0, {})
    assert background(dynamics(vehicle), vehicle, of_class("B"), SPEEDS, [still]).tolist() == [[0.0]] * 4


def test_no_speeds_and_no_points(fleet):
    vehicle = fleet("half").vehicle
    ready = dynamics(vehicle)
    assert background(ready, vehicle, of_class("B"), np.zeros(0), points_of(vehicle)).shape[0] == 0
    assert background(ready, vehicle, of_class("B"), SPEEDS, []).shape == (4, 0)


def test_standing_still_is_refused(fleet):
    vehicle = fleet("half").vehicle
    with pytest.raises(ValueError, match="speed"):
        background(dynamics(vehicle), vehicle, of_class("B"), np.array([0.0]), points_of(vehicle))


def test_a_notebook_shows_each_point(fleet):
    vehicle = fleet("half").vehicle
    shown = rough_ride(dynamics(vehicle), vehicle, of_class("B"), 20.0, points_of(vehicle))._repr_html_()
    assert all(point.name in shown for point in points_of(vehicle))
