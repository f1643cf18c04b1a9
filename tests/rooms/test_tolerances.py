"""Dampers as built: spreads as stated, independent of the vehicles, and friction as in the laws."""

import numpy as np
import pytest

from counterbounce.model.forces import DryFriction
from counterbounce.model.plausible import scores
from counterbounce.sizing.tolerances import EXACT, RUBBER, STUCK, Tolerances, built, sliding

MANY = 1024


def half_width(factors):
    """Half of the interval that holds 95 of 100, as a share."""
    low, high = np.quantile(factors, [0.025, 0.975])
    return np.sqrt(high / low) - 1


def test_spreads_are_those_stated():
    own = built(Tolerances(), MANY)
    widths = [half_width(f) for f in (own.mass, own.stiffness, own.damping)]
    assert widths == pytest.approx([0.01, 0.05, 0.20], rel=0.1)  # the ends of 1,024 draws
    assert half_width(own.bracket) == pytest.approx(1.0, rel=0.1)
    assert np.median(own.bracket) == pytest.approx(1 / 5e6, rel=0.02)


def test_an_exact_damper_is_built_as_drawn():
    own = built(EXACT, 64)
    assert (own.mass == 1).all()
    assert (own.stiffness == 1).all()
    assert (own.damping == 1).all()
    assert (own.bracket == 0).all()


def test_a_cold_day_makes_rubber_stiffer_and_more_lossy():
    own, steel = built(RUBBER, MANY), built(Tolerances(), MANY)
    together = np.corrcoef(np.log(own.stiffness), np.log(own.damping))[0, 1]
    # stiffness: half of its variance is drift; damping: ln(1.15)^2 of ln(1.15)^2 + ln(1.2)^2
    assert together == pytest.approx(np.sqrt(0.5 * 0.37), abs=0.05)
    assert abs(np.corrcoef(np.log(steel.stiffness), np.log(steel.damping))[0, 1]) < 0.02


def test_dampers_do_not_go_with_the_vehicles_that_they_hang_on():
    """The same kind of sequence draws both: unshuffled, their first digits would be one another's."""
    vehicles, own = scores(12, 256, 0), built(Tolerances(), 256, 1)
    for factor in (own.mass, own.stiffness, own.damping, own.bracket):
        for score in vehicles.T:
            assert abs(np.corrcoef(score, np.log(factor))[0, 1]) < 4 / np.sqrt(256)  # four standard errors


def test_friction_is_that_of_the_laws():
    guide = DryFriction(5.0, STUCK * 5e3)
    strokes = np.array([1e-6, 4e-5, 6e-5, 1e-3, 1e-2])
    k, c = sliding(5.0, 5e3, strokes, 40.0)
    expected = np.array([guide.equivalent(x, 40.0) for x in strokes]).T
    assert np.array([k, c]) == pytest.approx(expected, rel=1e-12)


def test_without_friction_nothing_is_added():
    k, c = sliding(0.0, 5e3, np.array([0.0, 1e-3]), 40.0)
    assert k.tolist() == c.tolist() == [0.0, 0.0]
