"""Which critical speed a complaint is about."""

import numpy as np
import pytest

from counterbounce.model.road import Input
from counterbounce.model.speeds import CriticalSpeed
from counterbounce.sizing.target import target

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
