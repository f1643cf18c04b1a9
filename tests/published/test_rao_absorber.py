"""Sizing an undamped absorber: worked examples.

Source: S. S. Rao, Mechanical Vibrations, chapter 9, vibration absorbers; examples from memory, numbers
recomputed independently.
"""

import math

import pytest

from counterbounce.sizing.closed_form_modes import (
    absorber_for_stroke,
    mass_ratio_for_split,
    split_frequencies,
)


def test_absorber_from_force_and_stroke():
    """250 N at 6000 rpm, 2 mm of stroke."""
    absorber = absorber_for_stroke(250.0, 2e-3, 6000 * 2 * math.pi / 60)
    assert absorber.rate == pytest.approx(125_000, rel=1e-9)
    assert absorber.mass == pytest.approx(0.31663, rel=1e-3)  # the book's rounding


def test_host_found_from_one_measured_resonance():
    """A 2 kg absorber tuned to 3000 rpm makes a resonance at 2500 rpm."""
    mass_ratio = mass_ratio_for_split(2500 / 3000)
    assert mass_ratio == pytest.approx(0.13444, rel=1e-3)  # the book's rounding
    assert 2.0 / mass_ratio == pytest.approx(14.876, rel=1e-3)


def test_resonances_kept_out_of_a_band():
    """Lower resonance at 2000 of 3000 rpm: the upper one comes to 4500 rpm."""
    mass_ratio = mass_ratio_for_split(2 / 3)
    assert mass_ratio == pytest.approx(0.6944, rel=1e-3)  # the book's rounding
    assert 3000 * split_frequencies(mass_ratio)[1] == pytest.approx(4500, rel=1e-9)
