"""A rough road: its spectrum within its band, its variance, and its ranges."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from counterbounce.model.roughness import (
    ASSUMED,
    Roughness,
    at_one_radian,
    class_of,
    misread,
    of_class,
    stated,
)


@pytest.mark.parametrize("waviness", [1.0, 1.5, 2.0, 3.2])
def test_variance_is_the_area_under_the_spectrum(waviness):
    road = Roughness(64e-6, waviness, longest=80.0, shortest=0.4)
    area, _ = quad(road.spectrum, 1 / 80, 1 / 0.4, limit=200)
    assert road.variance == pytest.approx(area, rel=1e-7)


def test_nothing_lies_beyond_the_band():
    road = Roughness(64e-6, longest=50.0, shortest=0.5)
    inside = road.spectrum([0.019, 0.0201, 1.99, 2.01])
    assert (inside > 0).tolist() == [False, True, True, False]
    assert road.spectrum(0.0) == 0
    assert road.in_time([0.0, 0.1], 10.0)[0] == 0


def test_along_time_the_same_variance_at_any_speed():
    for speed in (3.0, 27.0):
        f = np.geomspace(speed / 100, speed / 0.1, 20_000)
        area = np.trapezoid(of_class("B").in_time(f, speed), f)
        assert area == pytest.approx(of_class("B").variance, rel=1e-6)


def test_the_usual_road_says_that_it_is_assumed():
    assert ASSUMED.road_class == "A"
    assert "assumed" in ASSUMED.source
    assert of_class("D").source == "class D of ISO 8608"


@pytest.mark.parametrize("density", [1e-6, 1.9e-6])
def test_a_density_for_one_radian_is_doubted(density):
    assert "1 rad/m" in misread(density)
    with pytest.raises(ValueError, match="1 rad/m"):
        stated(density)
    assert class_of(density) == "A"  # a measured road may be as smooth


def test_a_road_that_paved_roads_have_is_not_doubted():
    assert [misread(density) for density in (2e-6, 16e-6, 1e-3)] == ["", "", ""]


def test_waviness_two_is_a_white_slope():
    road = Roughness(256e-6)
    n = np.array([0.02, 0.3, 4.0])
    assert road.spectrum(n) * (2 * np.pi * n) ** 2 == pytest.approx(np.full(3, road.velocity_density))


def test_radians_at_another_waviness():
    """At the waviness 1 the factor is n0 alone: (2 pi n0)^1 / 2 pi."""
    assert at_one_radian(1.0, 1.0) == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("numbers", "name"),
    [
        ({"density": 0.0}, "density"),
        ({"density": -1e-6}, "density"),
        ({"density": np.nan}, "density"),
        ({"density": 2.0}, "density"),
        ({"density": 1e-4, "waviness": 0.5}, "waviness"),
        ({"density": 1e-4, "waviness": 5.0}, "waviness"),
        ({"density": 1e-4, "longest": 0.05}, "wavelengths"),
        ({"density": 1e-4, "shortest": 0.0}, "wavelengths"),
        ({"density": 1e-4, "longest": np.inf}, "wavelengths"),
    ],
)
def test_ranges_are_enforced(numbers, name):
    with pytest.raises(ValueError, match=name):
        Roughness(**numbers)


@pytest.mark.parametrize("speed", [0.0, -1.0, np.nan])
def test_a_road_in_time_needs_a_speed(speed):
    with pytest.raises(ValueError, match="speed"):
        of_class("B").in_time(1.0, speed)


def test_no_such_class():
    with pytest.raises(ValueError, match="one of A, B"):
        of_class("I")
    with pytest.raises(ValueError, match="density"):
        class_of(0.0)
