"""Forces step by step: exact for straight stretches, however they are cut."""

from itertools import pairwise
from math import inf

import numpy as np
import pytest

from counterbounce.model.force_steps import (
    FRICTION,
    LEAF,
    LIFT_OFF,
    SHOCK,
    STOP,
    compiled,
    force_now,
    friction_after,
    held_after,
    leaf_after,
    shock_after,
)

REMEMBERING = {
    "leaf": lambda held, moved, seconds: leaf_after(held, moved, 4e3, 0.01),
    "friction": lambda held, moved, seconds: friction_after(held, moved, 5.0, 1e5),
    "shock": lambda held, moved, seconds: shock_after(held, moved / seconds, seconds, 4e3, 9e3, 5e5),
}


@pytest.mark.parametrize("name", REMEMBERING)
@pytest.mark.parametrize("held", [-3.0, 0.0, 2500.0])
@pytest.mark.parametrize("moved", [-0.02, 3e-5, 0.015])
def test_one_step_along_a_straight_stretch_is_a_hundred_small_ones(name, held, moved):
    after = REMEMBERING[name]
    held = min(held, 5.0) if name == "friction" else held
    small = held
    for _ in range(100):
        small = after(small, moved / 100, 0.03 / 100)
    assert small == pytest.approx(after(held, moved, 0.03), rel=1e-9)


def test_a_leaf_follows_the_paper_in_small_steps():
    """Fancher et al. 1980, SAE 800905 (from memory): the whole force, to an envelope wider by rate travel."""
    friction, travel, rate = 4e3, 0.01, 3e5
    stretch = 0.02 * np.sin(np.linspace(0, 12, 200_001))
    whole, held, apart = 0.0, 0.0, 0.0
    for before, now in pairwise(stretch):
        envelope = rate * now + np.sign(now - before) * (friction + rate * travel)
        whole = envelope + (whole - envelope) * np.exp(-abs(now - before) / travel)
        held = leaf_after(held, now - before, friction, travel)
        apart = max(apart, abs(whole - rate * now - held))
    assert apart < 2e-4 * friction  # first order in their steps: a tenth of the steps, ten times that


def test_a_shock_that_closes_faster_than_its_bush_springs_back_keeps_what_it_held():
    held = shock_after(1000.0, 0.0, 1e-3, 4e3, 9e3, 5e5)
    assert 0 < held < 1000.0
    assert held == pytest.approx(1000.0 * np.exp(-5e5 * 1e-3 / 9e3))  # it opened, so the rebound side lets go


@pytest.mark.parametrize(
    ("kind", "numbers", "stretch", "speed", "force"),
    [
        (STOP, (0.05, 0.03, 1e6), 0.06, 0.0, 1e4),
        (STOP, (0.05, 0.03, 1e6), -0.04, 9.0, -1e4),
        (STOP, (0.05, 0.03, 1e6), 0.04, 9.0, 0.0),
        (LIFT_OFF, (2e4, 1e6, 1e3), 0.01, 2.0, 1.2e4),
        (LIFT_OFF, (2e4, 1e6, 1e3), 0.05, 2.0, 2e4),
        (LEAF, (4e3, 0.01, 3e5), 0.01, 0.0, 3100.0),
        (FRICTION, (200.0, 1e5, 0.0), 0.01, 0.0, 100.0),
        (SHOCK, (4e3, 9e3, inf), 0.0, 0.1, 900.0),
        (SHOCK, (4e3, 9e3, inf), 0.0, -0.1, -400.0),
        (SHOCK, (4e3, 9e3, 1e6), 0.0, -0.1, 100.0),
    ],
)
def test_each_kind_pulls_as_its_law_says(kind, numbers, stretch, speed, force):
    assert force_now(kind, np.array(numbers), 100.0, stretch, speed) == pytest.approx(force)


def test_what_has_no_memory_remembers_nothing():
    for kind, last in ((STOP, 1e6), (LIFT_OFF, 1e3), (SHOCK, inf)):
        assert held_after(kind, np.array([1.0, 2.0, last]), 7.0, 0.1, 1e-3) == 0.0


def test_without_numba_there_is_nothing_compiled(monkeypatch):
    import builtins

    real = builtins.__import__

    def without(name, *rest):
        if name.startswith("numba"):
            raise ImportError(name)
        return real(name, *rest)

    compiled.cache_clear()
    monkeypatch.setattr(builtins, "__import__", without)
    assert compiled() is None
    compiled.cache_clear()
