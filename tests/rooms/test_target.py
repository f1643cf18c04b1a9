"""Which critical speed a complaint is about."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.road import Input
from counterbounce.model.speeds import CriticalSpeed
from counterbounce.sizing.target import shakes, sounds_like, target

CAUSE = Input("sine road", "wave", 1, None, 0.2, np.ones(2, dtype=complex), None)


def critical(mode, speed, typical, band=None):
    peak = speed if band else None
    return CriticalSpeed(
        CAUSE, mode, f"mode {mode}", 0.2 * speed, speed, peak, band, None, typical, typical, None
    )


LOUD = critical(0, 24.0, 0.8, (23.0, 25.0))
SOFT = critical(1, 15.0, 0.3, (14.5, 15.5))
FLAT = critical(2, 20.0, 0.2)  # no peak of its own
UNKNOWN = critical(3, 18.0, None)
MET = (LOUD, SOFT, FLAT, UNKNOWN)
SURE = np.array([0.02, 0.02, 0.02, 0.02])


def test_without_a_complaint_the_worst_is_meant():
    one = target(MET, SURE, None)
    assert (one.critical, one.band, one.certain) == (LOUD, (23.0, 25.0), True)
    assert one.range == pytest.approx((23.0 * np.exp(-0.02), 25.0 * np.exp(0.02)))


def test_the_loudest_that_meets_the_complaint_and_the_complaints_own_band():
    one = target(MET, SURE, (15.4, 24.0))
    assert (one.critical, one.band, one.certain) == (LOUD, (15.4, 24.0), True)
    assert target(MET, SURE, (15.4, 16.0)).critical == SOFT


def test_without_a_peak_a_twentieth_either_way_is_meant():
    one = target(MET, SURE, (20.5, 20.9))
    assert one.critical == FLAT
    assert target((FLAT,), SURE, None).band == pytest.approx((19.0, 21.0))


def test_one_that_may_lie_there_is_uncertain():
    """Half-power band up to 25.0; a spread of 10 % reaches 27."""
    one = target((LOUD, SOFT), np.array([0.1, 0.1]), (26.5, 28.0))
    assert (one.critical, one.band, one.certain) == (LOUD, (23.0, 25.0), False)
    assert target((LOUD, SOFT), SURE, (26.5, 28.0)) is None


def test_what_has_no_level_is_no_target():
    assert target((UNKNOWN,), SURE, None) is None
    assert target((), SURE, (15.0, 20.0)) is None


def test_what_is_heard_chooses_among_what_meets_the_complaint():
    """The cause comes 0.2 times a metre: 4.8 in a second at 24 m/s, 3 at 15; and one three times as often."""
    fast = replace(SOFT, cause=replace(CAUSE, per_metre=0.6))
    both, band = (LOUD, fast), (14.5, 25.0)
    assert target(both, SURE, band).critical == LOUD
    assert target(both, SURE, band, (2.9, 5.0)).critical == LOUD
    assert target(both, SURE, band, (16.0, np.inf)) == target(
        both, SURE, band
    )  # neither: nothing is left out
    assert target(both, SURE, band, (8.0, 9.0)).critical == fast
    assert target(both, SURE, None, (8.5, 9.5)).critical == fast  # at its own speed, without a complaint
    assert target(both, SURE, (23.0, 25.0), (13.0, 15.0)).critical == LOUD  # the fast one is not met there


def test_a_speedometer_may_be_off_by_a_twentieth():
    assert shakes(LOUD, (20.0, 30.0)) == pytest.approx((0.2 * 20 * 0.95, 0.2 * 30 * 1.05))
    assert shakes(LOUD, None) == pytest.approx((4.8 * 0.95, 4.8 * 1.05))
    assert sounds_like(LOUD, None, (5.0, 6.0))
    assert not sounds_like(LOUD, None, (5.1, 6.0))
