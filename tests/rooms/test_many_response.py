"""Many vehicles at once against each vehicle alone, and the compiled steps against dense solution."""

import numpy as np
import pytest

from counterbounce.model import many_response
from counterbounce.model.many_response import _order, _steps, responses, shared
from counterbounce.model.plausible import draw
from counterbounce.model.points import dense

COUNT = 8
AGREE = 1e-9  # what two ways to solve the same equations may differ by, of the largest


@pytest.fixture(scope="module")
def many(built):
    return draw(built.plan, built.numbers, built.vehicle.frame.terms, COUNT)


@pytest.fixture(scope="module")
def rows(many):
    system = many.system
    found = dense([p.row for p in many.vehicle.points.values()], system.coordinates)
    return np.broadcast_to(found, (COUNT, *found.shape[-2:]))


def apart(one, other):
    return np.abs(one - other).max() / np.abs(other).max()


@pytest.mark.parametrize("fast", [False, True], ids=["plain", "compiled"])
def test_each_vehicle_answers_as_it_does_alone(many, rows, frequencies, fast):
    s = many.system
    found = responses(s, 2 * np.pi * frequencies, rows, s.push_0, s.push_1, fast)
    for i in range(COUNT):
        stiff = s.K[i] + 2j * np.pi * frequencies[:, None, None] * s.C[i]
        stiff = stiff - (2 * np.pi * frequencies[:, None, None]) ** 2 * s.M[i]
        push = s.push_0[i] + 2j * np.pi * frequencies[:, None, None] * s.push_1[i]
        assert apart(found[i], rows[i] @ np.linalg.inv(stiff) @ push) < AGREE
    alone = many.ready(3).road_response(
        frequencies, [dict(zip(s.coordinates, row, strict=True)) for row in rows[3]]
    )
    assert apart(found[3], alone) < 1e-6  # a sum over poles, which may lie close together


def test_compiled_and_plain_agree_where_each_vehicle_has_frequencies_of_its_own(many, rows):
    s, rng = many.system, np.random.default_rng(4)
    omega = 2 * np.pi * rng.uniform(0.3, 24.0, (COUNT, 57))  # no multiple of the lanes
    forces = np.swapaxes(rows[:, :2], -1, -2)
    plain, compiled = (responses(s, omega, rows, forces, None, fast) for fast in (False, True))
    assert apart(compiled, plain) < AGREE
    one = responses(s, omega[2], rows, forces, None, True)
    assert (one[2] == compiled[2]).all()
    assert apart(plain[..., 1, 0], plain[..., 0, 1]) < AGREE  # what a newton here does there: reciprocity


def test_without_numba_the_same_function_answers(many, rows, frequencies, monkeypatch):
    s = many.system
    asked = (s, 2 * np.pi * frequencies, rows, s.push_0, s.push_1)
    plain = responses(*asked, fast=False)
    monkeypatch.setattr(many_response, "compiled", lambda: None)
    assert (responses(*asked, fast=True) == plain).all()


def test_what_meets_only_the_hub_is_eliminated_first_and_nothing_fills():
    star = np.eye(6, dtype=bool)
    star[0], star[:, 0] = True, True
    assert _order(star)[-2:] in ([0, 5], [5, 0])
    push = np.zeros((1, 6), dtype=bool)
    push[0, 2] = True
    steps = _steps(np.vstack([star, push]))
    assert len(steps.rows) == 6 + 5 + 3  # diagonal, spokes; the push, and what hub and last spoke get of it
    assert (steps.of_rows(range(6, 7)) >= 0).sum() == 3


def test_no_thing_is_shared_twice_or_left_out():
    for count in (1, 2, 3, 1000):
        parts = shared(count)
        assert [i for part in parts for i in range(part.start, part.stop)] == list(range(count))
        assert all(part.stop > part.start for part in parts)
