"""Bounce and pitch of a car on two springs.

Source: S. S. Rao, Mechanical Vibrations, example 5.7; from memory, numbers recomputed independently.
"""

import pytest

from counterbounce.model.modes import modes


def test_frequencies(textbook):
    found = modes(textbook("b2_rao_bounce_pitch").vehicle)
    assert found.natural == pytest.approx([5.85929, 9.43409], rel=1e-6)  # printed digits


def test_motion_of_the_centre_of_gravity(textbook, bounce_over_pitch):
    """Rise over pitch, nose-down positive: -2.64611 and +0.30611 m/rad."""
    one = textbook("b2_rao_bounce_pitch")
    ratio = bounce_over_pitch(one.vehicle, one.case.numbers["vehicle.centre_of_gravity"])
    assert ratio == pytest.approx([-2.64611, 0.30611], rel=1e-5)


def test_each_spring_holds_its_part_of_the_energy(textbook):
    """Half of it stands in for d ln f / d ln k; by hand from the shapes above, arms -1.0 and +1.5 m."""
    found = modes(textbook("b2_rao_bounce_pitch").vehicle)
    front, rear = (k * (ratio + arm) ** 2 for k, arm in ((18, -1.0), (22, 1.5)) for ratio in [-2.64611])
    assert found.energy["front spring"][0] == pytest.approx(front / (front + rear), rel=1e-5)
