"""Classes and spectra of rough roads.

Source: ISO 8608:1995, Mechanical vibration: road surface profiles: reporting of measured data, Annex C;
classes A to D as seen in copies of its table, E to H and the bounds from memory.  The forms over rad/m and of
velocity follow from the densities and were recomputed.
"""

import numpy as np
import pytest

from counterbounce.model.roughness import (
    CLASSES,
    Roughness,
    at_one_radian,
    bounds,
    class_of,
    from_one_radian,
    of_class,
    stated,
)

MEANS = {"A": 16, "B": 64, "C": 256, "D": 1024, "E": 4096, "F": 16384, "G": 65536, "H": 262144}  # 1e-6 m^3
OVER_RADIANS = {"A": 1.0053, "B": 4.0212, "C": 16.085, "D": 64.340, "E": 257.36}  # 1e-6 m^3
ROUNDED = {"A": 1, "B": 4, "C": 16, "D": 64, "E": 256}  # as the standard prints them
OF_VELOCITY = {"A": 6.317, "B": 25.27, "C": 101.1, "D": 404.3, "E": 1617, "F": 6468}  # 1e-6 m


@pytest.mark.parametrize("letter", CLASSES)
def test_geometric_means(letter):
    assert of_class(letter).density == pytest.approx(MEANS[letter] * 1e-6, rel=1e-12)
    assert of_class(letter).waviness == 2


@pytest.mark.parametrize("letter", CLASSES)
def test_bounds_are_half_and_twice_the_mean(letter):
    low, high = bounds(letter)
    assert low == (0 if letter == "A" else pytest.approx(MEANS[letter] * 0.5e-6))
    assert high == (np.inf if letter == "H" else pytest.approx(MEANS[letter] * 2e-6))
    for inside in (max(low, 1e-9) * 1.0001, min(high, 1.0) * 0.9999):
        assert class_of(inside) == letter
    if letter != "H":
        assert class_of(high * 1.0001) == "ABCDEFGH"["ABCDEFGH".index(letter) + 1]


@pytest.mark.parametrize("letter", OVER_RADIANS)
def test_the_form_over_radians(letter):
    """To 1e-4; the standard rounds it to 1, 4, 16, 64, 256, which is within 1 %."""
    density = at_one_radian(MEANS[letter] * 1e-6)
    assert density * 1e6 == pytest.approx(OVER_RADIANS[letter], rel=1e-4)
    assert density * 1e6 == pytest.approx(ROUNDED[letter], rel=1e-2)
    assert from_one_radian(density) == pytest.approx(MEANS[letter] * 1e-6, rel=1e-12)


@pytest.mark.parametrize("waviness", [1.5, 2.0, 2.7])
def test_the_form_over_radians_holds_the_same_variance(waviness):
    """Area under Gd(n) dn is area under Gd(Omega) dOmega, by the trapezoid rule on 4000 points: 1e-5."""
    road = Roughness(64e-6, waviness, longest=50.0, shortest=0.5)
    omega = 2 * np.pi * np.geomspace(1 / 50, 1 / 0.5, 4000)
    area = np.trapezoid(at_one_radian(64e-6, waviness) * omega**-waviness, omega)
    assert road.variance == pytest.approx(area, rel=1e-5)


@pytest.mark.parametrize("letter", OF_VELOCITY)
def test_the_form_of_velocity(letter):
    """To half of the last of four digits, 5e-4."""
    assert of_class(letter).velocity_density * 1e6 == pytest.approx(OF_VELOCITY[letter], rel=5e-4)


def test_class_c_along_time_at_20_metres_a_second():
    """Road velocity is white, 4 pi^2 Gd n0^2 v = 2.021295e-3 (m/s)^2/Hz; heights at 1 Hz 5.12e-5 m^2/Hz."""
    f = np.array([0.5, 1.0, 2.0, 10.0])
    heights = of_class("C").in_time(f, 20.0)
    assert heights[1] == pytest.approx(5.12e-5, rel=1e-12)
    assert heights * (2 * np.pi * f) ** 2 == pytest.approx(np.full(4, 2.021295e-3), rel=1e-6)


def test_white_slope_noise_of_class_a():
    """sqrt(2 pi^2 n0^2 Gd) = 1.777 mm/sqrt(m), two-sided, as simulation codes hold it."""
    assert np.sqrt(of_class("A").velocity_density / 2) * 1e3 == pytest.approx(1.777, rel=3e-4)


@pytest.mark.parametrize(("letter", "misprint"), [("A", 1e-6), ("C", 16e-6)])
def test_constants_of_one_radian_are_not_those_of_a_tenth_of_a_cycle(letter, misprint):
    """Codes that give class A as 1e-6 at n0 = 0.1 are 16 times too small in density, 4 times in height."""
    assert of_class(letter).density / misprint == pytest.approx(16)
    assert class_of(misprint) == "A"
    assert stated(from_one_radian(misprint)).road_class == letter


def test_the_constant_of_one_radian_is_refused_where_somebody_states_it():
    with pytest.raises(ValueError, match="1 rad/m"):
        stated(1e-6)
