"""A sharp-cornered steel channel as a beam, free at both ends.

Euler-Bernoulli theory (any handbook of vibration): the first root of cos(x) cosh(x) = 1 is 4.7300407449.
Section 203.2 x 76.2 x 6.5 mm, E 207 GPa, density 7850 kg/m^3, length 6 m; recomputed for this check.
"""

import numpy as np
import pytest

from counterbounce.model import estimates
from counterbounce.model.numbers import Known, Numbers

HEIGHT, FLANGE, THICKNESS, LENGTH = 0.2032, 0.0762, 0.0065, 6.0
AREA = 2.226900e-3
STIFFNESS = 207e9 * 1.331232e-5
MASS = 7850 * AREA * LENGTH
FIRST = 39.2712


def numbers(**given):
    return Numbers(
        {path.replace("__", "."): Known(value, 0.0, "measured") for path, value in given.items()},
        estimates.RULES,
    )


def test_second_moment_of_area():
    assert estimates.channel_second_moment(HEIGHT, FLANGE, THICKNESS) == pytest.approx(1.331232e-5, rel=1e-6)


def test_second_moment_of_area_by_adding_up_strips():
    """Web and flanges cut into thin strips; no formula shared with the code."""
    y = (np.arange(200_000) + 0.5) / 200_000 * HEIGHT - HEIGHT / 2
    width = np.where(np.abs(y) > HEIGHT / 2 - THICKNESS, FLANGE, THICKNESS)
    strips = np.sum(width * y**2) * HEIGHT / 200_000
    assert estimates.channel_second_moment(HEIGHT, FLANGE, THICKNESS) == pytest.approx(strips, rel=1e-4)


def test_stiffness_from_the_free_free_frequency():
    found = estimates.free_free_stiffness(FIRST, MASS, LENGTH)
    assert found == pytest.approx(STIFFNESS, rel=1e-5)


def test_a_frame_is_two_rails():
    rails = numbers(frame__rail__height=HEIGHT, frame__rail__flange=FLANGE, frame__rail__thickness=THICKNESS)
    assert rails["frame.bending_stiffness"] == pytest.approx(2 * STIFFNESS, rel=1e-6)


def test_a_bare_frame_hung_free_agrees_with_its_rails():
    """Two rails weigh twice as much and are twice as stiff: the same frequency."""
    hung = numbers(
        frame__free_free__frequency=FIRST,
        frame__free_free__mass=2 * MASS,
        frame__front_end=-1.0,
        frame__rear_end=5.0,
    )
    assert hung["frame.bending_stiffness"] == pytest.approx(2 * STIFFNESS, rel=1e-5)
