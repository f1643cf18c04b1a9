"""Many vehicles built at once are the same vehicles built one by one, for every vehicle of the list."""

import numpy as np
import pytest
from scipy.special import ndtr

from counterbounce.model.building import build
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.matrices import matrices
from counterbounce.model.modes import modes
from counterbounce.model.plan import BodyPlan, Plan
from counterbounce.model.plausible import draw, scores
from counterbounce.model.settle import with_losses

ARRAYS = ("M", "C", "K", "push_0", "push_1")


def scored(built, many, i):
    return built.numbers.with_scores(dict(zip(many.paths, many.scores[i], strict=True)))


def apart(one, other):
    """The largest difference between two vehicles' matrices, over each matrix's largest entry."""
    pairs = [(getattr(one, name), getattr(other, name)) for name in ARRAYS]
    return max(np.abs(a - b).max() / max(np.abs(a).max(), 1e-30) for a, b in pairs)


def test_many_at_once_are_one_by_one(built):
    many = draw(built.plan, built.numbers, built.vehicle.frame.terms, 16, seed=3)
    for i in range(len(many)):
        alone = with_losses(build(built.plan, scored(built, many, i), built.vehicle.frame.terms))
        # loss factors divide by frequencies that two eigenvalue solvers found: rounding, times conditioning
        assert apart(matrices(alone), many.ready(i).system) < 1e-8
        assert apart(matrices(alone), matrices(many.one(i))) < 1e-8
        assert alone.axles == many.one(i).axles
        assert {n: p.station for n, p in alone.points.items()} == pytest.approx(
            {n: p.station for n, p in many.one(i).points.items()}
        )


def test_one_of_many_has_names_and_a_frame(built):
    many = draw(built.plan, built.numbers, built.vehicle.frame.terms, 4, seed=3)
    alone = with_losses(build(built.plan, scored(built, many, 2), built.vehicle.frame.terms))
    one = many.one(2)
    assert modes(one).names == modes(alone).names
    here, there = one.frame, alone.frame
    assert (here.front, here.rear) == pytest.approx((there.front, there.rear))
    if there.stiffness is not None:
        x = np.linspace(there.front, there.rear, 7)
        assert here.stiffness(x) == pytest.approx(there.stiffness(x))


def test_vehicles_that_contradict_themselves_are_left_out(shop):
    """A body nearly as heavy as all that the springs carry, and often heavier: what is refused alone is left
    out of many, and counted."""
    plan = Plan("half", shop.axles, (BodyPlan("box"),))
    numbers = shop.numbers(shop.half | {"body.box.mass": 5100.0, "body.box.station": 2.2})
    assert build(plan, numbers)
    many = draw(plan, numbers, 2, 64)
    heavier = [i for i in range(64) if refused(plan, numbers, drawn(numbers, 64), i)]
    assert 10 < len(heavier) < 54
    assert (many.refused, len(many)) == (len(heavier), 64 - len(heavier))


def drawn(numbers, count):
    """The scores of a draw, those of refused vehicles included."""
    return dict(zip(numbers.uncertain(), scores(len(numbers.uncertain()), count).T, strict=True))


def refused(plan, numbers, scores, i):
    try:
        build(plan, numbers.with_scores({path: score[i] for path, score in scores.items()}))
    except CounterbounceError:
        return True
    return False


def test_a_draw_is_repeatable_and_goes_on():
    few, sequel = scores(40, 64, seed=5), scores(40, 64, seed=5, after=64)
    assert (scores(40, 64, seed=5) == few).all()
    assert not np.isclose(scores(40, 64, seed=6), few).any()
    assert not np.isclose(sequel, few).any()


def test_a_draw_is_even():
    """Mean, variance and correlation as they should be; and averages over 128 vehicles err by less than those
    of as many plain random ones would: a share to two thirds (0.53 of it seen), a smooth average to a fifth
    (0.11 seen)."""
    drawn = scores(20, 256, seed=5)
    assert drawn.mean(axis=0) == pytest.approx(np.zeros(20), abs=1e-12)
    assert drawn.T @ drawn / 256 == pytest.approx(np.eye(20), abs=1e-12)
    weight = 1 / np.arange(1.0, 31.0)
    along = np.array([scores(30, 128, seed) @ weight for seed in range(40)]) / np.linalg.norm(weight)
    share, smooth = (along > 0.5).mean(axis=1), np.exp(along / 2).mean(axis=1)
    exact, mean = ndtr(-0.5), np.exp(1 / 8)
    assert np.sqrt(((share - exact) ** 2).mean()) < np.sqrt(exact * (1 - exact) / 128) / 1.5
    assert np.sqrt(((smooth - mean) ** 2).mean()) < np.sqrt((np.exp(1 / 2) - np.exp(1 / 4)) / 128) / 5
