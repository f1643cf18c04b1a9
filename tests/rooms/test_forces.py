"""What each force is worth at an amplitude: against its own first harmonic, and at its two ends."""

from itertools import pairwise
from math import inf, pi

import numpy as np
import pytest

from counterbounce.model.force_steps import (
    friction_after,
    leaf_after,
    lift_off_force,
    shock_after,
    stop_force,
)
from counterbounce.model.forces import DryFriction, Leaf, LiftOff, Stop, TwoWayShock

OMEGA = 50.0
CYCLE = 4000  # steps


def remembered(after):
    """The force of a state that follows the stretch, over the second of two cycles."""

    def force(stretch, speed, step):
        held, forces = 0.0, [0.0]
        for before, now in pairwise(stretch):
            held = after(held, now - before, step)
            forces.append(held)
        return np.array(forces)

    return force


def each(function):
    return lambda stretch, speed, step: np.array(
        [function(s, v) for s, v in zip(stretch, speed, strict=True)]
    )


PACK, GUIDE = Leaf(4000.0, 0.02, 3e5), DryFriction(5.0, 1e5)
SHOCK = TwoWayShock(6e3, 14e3, 4e5)
HISTORIES = {
    "stop": (Stop(0.05, 0.03, 2e6), each(lambda s, v: stop_force(s, 0.05, 0.03, 2e6))),
    "lift-off": (LiftOff(2e4, 1.6e6, 9e3), each(lambda s, v: lift_off_force(s, v, 2e4, 1.6e6, 9e3))),
    "leaf": (
        PACK,
        lambda s, v, step: 3e5 * s + remembered(lambda h, d, _: leaf_after(h, d, 4000.0, 0.02))(s, v, step),
    ),
    "friction": (GUIDE, remembered(lambda h, d, _: friction_after(h, d, 5.0, 1e5))),
    "rigid shock": (TwoWayShock(6e3, 14e3), each(lambda s, v: (14e3 if v > 0 else 6e3) * v)),
    "shock": (SHOCK, remembered(lambda h, d, step: shock_after(h, d / step, step, 6e3, 14e3, 4e5))),
}


@pytest.mark.parametrize("amplitude", [2e-5, 1e-3, 0.02, 0.1])
@pytest.mark.parametrize("name", HISTORIES)
def test_worth_is_the_first_harmonic_of_the_force(name, amplitude):
    force, history = HISTORIES[name]
    cycles = 30  # a small stretch takes long to forget where it began
    angle = np.linspace(0, 2 * pi * cycles, CYCLE * cycles + 1)
    stretch, speed = amplitude * np.sin(angle), OMEGA * amplitude * np.cos(angle)
    pull = history(stretch, speed, (angle[1] - angle[0]) / OMEGA)[-CYCLE:]
    k = 2 * np.mean(pull * np.sin(angle[-CYCLE:])) / amplitude
    c = 2 * np.mean(pull * np.cos(angle[-CYCLE:])) / amplitude / OMEGA
    found = force.equivalent(amplitude, OMEGA)
    assert np.hypot(k - found[0], OMEGA * (c - found[1])) <= 5e-4 * np.hypot(k, OMEGA * c)


def test_small_shakes_find_the_leaves_locked():
    assert PACK.small_shake_rate == 3e5 + 4000.0 / 0.02
    for amplitude in (0.0, 1e-9, 1e-5):
        k, c = PACK.equivalent(amplitude, OMEGA)
        assert k == pytest.approx(PACK.small_shake_rate, rel=1e-3)
        assert c * OMEGA < 1e-3 * k


@pytest.mark.parametrize("amplitude", [0.002, 0.02, 0.2, 2.0])
def test_a_leaf_turns_its_loop_into_heat(amplitude):
    """4 F (A - b tanh(A / b)), 4 F A at large strokes, where the rate goes to the static one."""
    angle = np.linspace(0, 2 * pi * 12, 12 * CYCLE + 1)
    stretch = amplitude * np.sin(angle)
    held = remembered(lambda h, d, _: leaf_after(h, d, 4000.0, 0.02))(stretch, None, 1.0)
    last = slice(-CYCLE - 1, None)
    area = np.trapezoid(held[last], stretch[last])
    k, c = PACK.equivalent(amplitude, OMEGA)
    assert pi * c * OMEGA * amplitude**2 == pytest.approx(area, rel=1e-3)
    if amplitude == 2.0:
        assert area == pytest.approx(4 * 4000.0 * amplitude, rel=0.02)
        assert k == pytest.approx(3e5, rel=0.01)


def test_a_gap_that_is_not_reached_is_worth_nothing():
    assert Stop(0.05, 0.03, 2e6).equivalent(0.03, OMEGA) == (0.0, 0.0)
    assert Stop(0.05, 0.03, 2e6).equivalent(0.0, OMEGA) == (0.0, 0.0)
    assert Stop(0.05, 0.03, 2e6).equivalent(1e3, OMEGA)[0] == pytest.approx(2e6, rel=1e-3)


def test_a_tyre_that_flies_most_of_the_time_is_worth_half():
    """It carries one half wave of every cycle."""
    k, c = LiftOff(2e4, 1.6e6, 9e3).equivalent(1e3, OMEGA)
    assert (k, c) == (pytest.approx(0.8e6, rel=1e-3), pytest.approx(4.5e3, rel=1e-3))


def test_a_shock_between_a_soft_bush_and_a_stiff_one():
    soft, stiff = TwoWayShock(6e3, 14e3, 1.0), TwoWayShock(6e3, 14e3, 1e10)
    assert soft.equivalent(0.01, OMEGA)[0] == pytest.approx(1.0, rel=1e-3)  # the bush alone
    assert stiff.equivalent(0.01, OMEGA)[1] == pytest.approx(1e4, rel=1e-3)  # the mean of both ways


@pytest.mark.parametrize("numbers", [(0.0, 1e3, 1e6), (1e3, -1.0, 1e6), (1e3, 1e3, 0.0), (1e3, np.nan, inf)])
def test_a_shock_without_damping_or_bush_is_refused(numbers):
    with pytest.raises(ValueError, match="above 0"):
        TwoWayShock(*numbers)
