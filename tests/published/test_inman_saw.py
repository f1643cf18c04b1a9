"""Sizing an undamped absorber: a radial saw.

Source: D. J. Inman, Engineering Vibration, chapter 5, vibration absorbers; example from memory, numbers
recomputed independently.
"""

import math

import pytest

from counterbounce.sizing.closed_form_modes import absorber_for_stroke


def test_absorber_for_a_radial_saw():
    """13 N at 180 cycles a minute, no more than 0.2 cm of stroke."""
    absorber = absorber_for_stroke(13.0, 0.2e-2, 180 * 2 * math.pi / 60)
    assert absorber.rate == pytest.approx(6500, rel=1e-9)
    assert absorber.mass == pytest.approx(18.294, rel=1e-3)  # the book's rounding
