"""A damper on the bench: its ring-down against time, and what its tables say against the vehicle."""

from __future__ import annotations

from math import exp, pi

import numpy as np
import pytest

from counterbounce.sizing.absorber import tuned
from counterbounce.sizing.before_after import compare
from counterbounce.sizing.retune import each, logarithmic_decrement, on_vehicle, ring_down, stepped


# S. S. Rao, Mechanical Vibrations, free vibration with viscous damping; from memory.  To six digits.
@pytest.mark.parametrize(
    ("damping_ratio", "decrement", "ratio"),
    [
        (0.01, 0.062835, 1.064851),
        (0.05, 0.314553, 1.369647),
        (0.1, 0.631484, 1.880399),
        (0.2, 1.282550, 3.605822),
    ],
)
def test_the_decrement_is_the_published_one(damping_ratio, decrement, ratio):
    assert logarithmic_decrement(damping_ratio) == pytest.approx(decrement, abs=5e-7)
    rings = ring_down(tuned("rear end", 20.0, 7.0, damping_ratio))
    assert 1 / rings.left == pytest.approx(ratio, abs=5e-7)


def test_the_ring_down_is_that_of_the_equation_of_motion():
    """The exact motion of m x'' + c x' + k x = 0 by its state matrix: same period, same ratio of peaks."""
    from scipy.linalg import expm

    hung = tuned("rear end", 20.0, 7.0, 0.12)
    state = np.array([[0.0, 1.0], [-hung.stiffness / hung.mass, -hung.damping / hung.mass]])
    rings = ring_down(hung)
    period = expm(state / rings.frequency)
    assert period == pytest.approx(rings.left * np.eye(2), abs=1e-9 * np.abs(state).max())


def test_what_creeps_back_does_not_ring():
    assert all(ring_down(tuned("rear end", 20.0, 7.0, z)) is None for z in (0.71, 1.0, 1.5))
    assert ring_down(tuned("rear end", 20.0, 7.0, 0.7)).left < 1 / 400
    with pytest.raises(ValueError, match="damping_ratio"):
        logarithmic_decrement(1.0)


def test_steps_change_what_they_say():
    hung = tuned("rear end", 20.0, 7.0, 0.1)
    heavier, stiffer = stepped(hung, mass=0.05), stepped(hung, stiffness=0.05)
    assert (heavier.mass, heavier.stiffness, heavier.damping) == (21.0, hung.stiffness, hung.damping)
    assert heavier.tuned_hz == pytest.approx(7.0 / 1.05**0.5)
    assert stiffer.tuned_hz == pytest.approx(7.0 * 1.05**0.5)


def test_each_step_is_judged_as_the_vehicle_would(assessed):
    """The coupled reduction of a mistuned damper against the assembled vehicle with it."""
    a = assessed("truck")
    hung = stepped(a.sized.found.damper, stiffness=0.1)
    found = each(a.host, a.bounds, [hung])[0]
    band = a.host.target.band
    c = compare(a.host.vehicle, hung, a.host.causes, np.linspace(*band, 33), band)
    assert found.reduction == pytest.approx(c.reduction, abs=0.01)  # quiet causes are left out of the search
    assert found.broken or found.reduction <= a.sized.found.reduction


def test_on_the_vehicle_two_modes_are_the_dampers(assessed):
    a = assessed("truck")
    hung = tuned("rear end", 40.0, 8.7, 0.05)  # near the first bending, which it splits
    heard = on_vehicle(a.host, hung)
    below = [hz for hz, _ in heard if hz < hung.tuned_hz]
    above = [hz for hz, _ in heard if hz > hung.tuned_hz]
    assert below
    assert above
    assert all(0 < ratio < 1 for _, ratio in heard)


@pytest.mark.parametrize(("share", "stronger"), [(-0.25, "fast"), (0.25, "slow")])
def test_the_stronger_side_says_which_way_to_tune(assessed, share, stronger):
    """Tuned too low, the faster of the two shakes is the stronger one; tuned too high, the slower one."""
    a = assessed("truck")
    aim = a.host.target.critical
    hung = stepped(a.sized.found.damper, stiffness=share)
    speeds = np.linspace(0.8 * aim.speed, 1.2 * aim.speed, 401)
    c = compare(a.host.vehicle, hung, [aim.cause], speeds, (speeds[0], speeds[-1]))
    at = c.points.index(aim.point)
    slow, fast = (c.after[side, at].max() for side in (speeds < aim.speed, speeds >= aim.speed))
    assert (fast > slow) == (stronger == "fast")


def test_the_amplitude_left_is_that_of_so_many_cycles():
    rings = ring_down(tuned("rear end", 20.0, 7.0, 0.05))
    swing = exp(-0.05 * 2 * pi * 7.0 * 3 / rings.frequency)
    assert rings.left**3 == pytest.approx(swing)
