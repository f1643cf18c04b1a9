"""From step to step, exact for straight inputs."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.exact_step import exact_step, history
from counterbounce.model.state_space import to_state_space


@pytest.fixture(name="space")
def a_bending_vehicle(fleet):
    vehicle = fleet("bending").vehicle
    return to_state_space(vehicle, vehicle.roads, [("displacement", "rear end")])


@pytest.mark.parametrize("seconds", [1e-5, 1e-3, 0.02, 1.0])
def test_an_oscillator_under_a_ramp(seconds):
    """x'' + w^2 x = w^2 t from rest: x = t - sin(w t) / w, for steps long and short."""
    w = 40.0
    step = exact_step(np.array([[0.0, 1.0], [-(w**2), 0.0]]), np.array([[0.0], [w**2]]), seconds)
    x, t = np.zeros(2), 0.0
    for _ in range(50):
        x = step.now @ x + step.before @ [t] + step.after @ [t + seconds]
        t += seconds
        assert x == pytest.approx([t - np.sin(w * t) / w, 1 - np.cos(w * t)], abs=1e-10 * max(t, 1.0))


def test_one_step_is_two_half_steps(space):
    whole, half = (exact_step(space.A, space.B, seconds) for seconds in (0.01, 0.005))
    draw = np.random.default_rng(1)
    x, u, v = draw.standard_normal(len(space.A)), *draw.standard_normal((2, 2))
    middle = half.now @ x + half.before @ u + half.after @ (u + v) / 2
    twice = half.now @ middle + half.before @ (u + v) / 2 + half.after @ v
    once = whole.now @ x + whole.before @ u + whole.after @ v
    np.testing.assert_allclose(once, twice, atol=1e-11 * np.abs(once).max())


def test_a_sine_is_missed_by_the_square_of_the_step(space):
    """Halving the step divides the error by four: a road that is straight between samples is no sine."""

    def end(rate):
        time = np.arange(round(rate) + 1) / rate
        road = np.sin(2 * np.pi * 5 * time) ** 2 * np.ones((2, 1))
        return history(space, road, rate)[0, -1]

    rates = 100.0 * 2 ** np.arange(4)
    errors = np.abs([end(rate) - end(25_600.0) for rate in rates])
    orders = np.log2(errors[:-1] / errors[1:])
    assert orders == pytest.approx(2.0, abs=0.1)


def test_long_histories_do_not_drift(space):
    """A level road of a quarter of an hour, reached by a step: where it stands after a minute it stays."""
    road = np.full((2, 900_000), 0.1)
    answer = history(space, road, 1000.0)[0]
    assert np.abs(answer[60_000:] - 0.1).max() < 1e-9


@pytest.mark.parametrize("seconds", [0.0, -1.0, np.nan, np.inf])
def test_steps_that_are_none_are_refused(space, seconds):
    with pytest.raises(ValueError, match="above 0 s"):
        exact_step(space.A, space.B, seconds)


@pytest.mark.parametrize(
    ("inputs", "said"),
    [
        (np.zeros((3, 10)), "wanted \\(2, samples\\)"),
        (np.zeros(10), "wanted \\(2, samples\\)"),
        (np.full((2, 10), np.nan), "finite"),
        (np.full((2, 10), np.inf), "finite"),
    ],
)
def test_inputs_that_are_none_are_refused(space, inputs, said):
    with pytest.raises(ValueError, match=said):
        history(space, inputs, 1000.0)
