"""Rhyne 2005, Development of a vertical stiffness relationship for belted radial tires.

Tire Science and Technology 33(3), 136-155, doi 10.2346/1.2174340.  Title, abstract and record were seen; the
formula itself is from memory, so what follows are checks of sanity, not of the paper's digits.
"""

import numpy as np
import pytest

from counterbounce.model.tyres import parse_size, radial_tyre_rate

POUND_INCH = 175.1268  # N/m in one lbf/in
PSI = 6894.757


def rate(size, pressure):
    tyre = parse_size(size)
    return radial_tyre_rate(pressure, tyre.width, tyre.aspect, tyre.rim)


def test_a_car_tyre():
    """205/55R16 at 220 kPa: cars' tyres have 200 to 250 N/mm (common practice, no source)."""
    assert rate("205/55R16", 220e3) == pytest.approx(230e3, rel=0.01)


def test_a_heavy_truck_tyre_comes_into_the_measured_range():
    """11R22.5 radial: 4500 to 5500 lbf/in, UMTRI-86-12 (from memory), at 100 to 105 psi."""
    for psi in (100, 105):
        assert 4500 < rate("11R22.5", psi * PSI) / POUND_INCH < 5500


def test_by_hand_in_the_papers_units():
    """225/70R19.5 at 80 psi: 0.00028 P sqrt((1.03 - 0.004 A) W (W A / 50 + R)) + 3.45 in kgf/mm, kPa, mm."""
    root = ((1.03 - 0.004 * 70) * 225 * (225 * 70 / 50 + 19.5 * 25.4)) ** 0.5
    by_hand = 0.00028 * 551.58 * root + 3.45
    assert rate("225/70R19.5", 551.58e3) / 9806.65 == pytest.approx(by_hand, rel=1e-9)


def test_air_carries_most_of_it():
    """What is left without pressure, the sidewalls' own stiffness, is the same for all sizes: 34 N/mm."""
    assert rate("205/55R16", 0.0) == rate("11R22.5", 0.0) == pytest.approx(33.8e3, rel=0.01)


def test_many_pressures_at_once():
    pressures = np.array([300e3, 400e3, 500e3])
    assert np.diff(rate("225/70R19.5", pressures)) == pytest.approx(
        rate("225/70R19.5", 100e3) - rate("225/70R19.5", 0)
    )
