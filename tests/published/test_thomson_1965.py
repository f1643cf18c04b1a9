"""Bounce and pitch of a car on two springs.

Source: W. T. Thomson, Vibration Theory and Applications (1965), p. 181; page and printed digits from memory,
numbers recomputed independently.  The printed 9.06 rad/s is a slide-rule value; exact is 9.0515.
"""

import numpy as np
import pytest

from counterbounce.model.modes import modes

FOOT = 0.3048


def test_frequencies(textbook):
    found = modes(textbook("b1_thomson_car").vehicle)
    assert found.natural == pytest.approx([6.8994, 9.0515], rel=1e-5)  # printed digits
    assert found.frequency_hz == pytest.approx([1.09808, 1.44059], rel=1e-5)
    assert found.natural == pytest.approx([6.90, 9.06], rel=1e-3)  # as printed in the book


def test_motion_of_the_centre_of_gravity(textbook, bounce_over_pitch):
    """Rise over pitch, nose-down positive: -14.596 and +1.0962 ft/rad."""
    one = textbook("b1_thomson_car")
    ratio = bounce_over_pitch(one.vehicle, one.case.numbers["vehicle.centre_of_gravity"])
    assert ratio / FOOT == pytest.approx([-14.596, 1.0962], rel=1e-4)


def test_modes_are_named_after_what_they_do(textbook):
    assert modes(textbook("b1_thomson_car").vehicle).names == ("body bounce", "body pitch")


def test_mass_in_slugs(textbook):
    """3220 lb at 32.2 ft/s^2 is 100 slug; a slug is a pound-force per ft/s^2."""
    slug = 0.45359237 * 9.80665 / FOOT
    assert textbook("b1_thomson_car").vehicle.total_mass == pytest.approx(100 * slug, rel=1e-9)
    assert np.trace(textbook("b1_thomson_car").matrices.C) == 0
