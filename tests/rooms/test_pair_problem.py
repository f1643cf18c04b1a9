"""The limits of a pair as constraints: their values spelt out, and their slopes by differences."""

import numpy as np
import pytest

from counterbounce.model.example import small_case
from counterbounce.sizing.limits import Bounds
from counterbounce.sizing.pair_problem import built, problem
from counterbounce.sizing.several import footing_of
from counterbounce.sizing.study import host

X = np.log([17.0, 0.08, 12.0, 20.0, 0.15, 5.0])
BOUNDS = Bounds(20.0, stroke=0.01, clearance=0.05)


@pytest.fixture(params=[False, True], ids=["side by side", "one on the other"], scope="module")
def asked(request):
    return problem(
        footing_of(host(small_case()), BOUNDS, ("rear end", "rear end"), 20.0, request.param), BOUNDS
    )


def test_what_is_used_up(asked):
    weights, stroke, clearance = (used for used, _ in asked.room(X, asked.felt(X)))
    pair, moved = asked.footing.pair(X), asked.footing.road.stroke(*built(X))
    assert weights == pytest.approx([17.0 / 20.0, 1.5 * 17.0 / 50.0])  # the mass, and the rear axle's rating
    assert stroke == pytest.approx(moved / 0.01)
    assert clearance == pytest.approx((moved + pair.sags) / 0.05)
    assert asked.over(X) == pytest.approx(max(weights.max(), stroke.max(), clearance.max()) - 1)


def test_slopes_of_every_constraint(asked):
    z, step = np.append(X, 0.9), 1e-6
    slopes = asked.constraints(z)[1]
    for i in range(7):
        up, down = (asked.constraints(z + sign * step * np.eye(7)[i])[0] for sign in (1, -1))
        assert abs((up - down) / (2 * step) - slopes[:, i]).max() < 1e-6 * max(abs(slopes[:, i]).max(), 1.0)


def test_a_level_elsewhere_counts_only_where_it_is_bound(asked):
    from dataclasses import replace

    free = replace(asked, bounds=replace(BOUNDS, elsewhere=False))
    speeds, inside = asked.before.shape[0], asked.footing.inside
    fewer = len(asked.constraints(np.append(X, 1.0))[0]) - len(free.constraints(np.append(X, 1.0))[0])
    assert fewer == (speeds - inside) * asked.before.shape[1] > 0
    assert asked.left(X) >= free.left(X)
