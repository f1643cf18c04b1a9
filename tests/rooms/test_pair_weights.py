"""What two weights may be together, against every rating asked one by one."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.case import parse
from counterbounce.model.numbers import Known
from counterbounce.sizing.pair_weights import both_checks, weights
from counterbounce.sizing.ratings import load_change, rating_checks
from counterbounce.sizing.study import allowed_mass, host

PLACES = ("front end", "rear end")


@pytest.fixture(scope="module")
def one(case_texts):
    """The truck with every kind of limit: axle, gross, share of the front axle, height."""
    case = parse(case_texts["truck"], "truck.toml")
    low = {"vehicle.centre_of_gravity_height": Known(0.5, 0.0, "measured", law="shift")}  # the frame: 0.8 m
    limits = replace(case.limits, gross_rating=6570.0, front_share=0.396, centre_of_gravity_height=0.503)
    return replace(host(case), case=replace(case, numbers=case.numbers.with_given(low), limits=limits))


def loads_with(one, masses):
    added = sum(
        load_change(one.ready.system, one.vehicle.points[place].row, m) for place, m in masses.items()
    )
    return dict(zip(one.loads, np.array([*one.loads.values()]) + added, strict=True))


def test_allowed_together_as_the_ratings_say(one):
    limits = weights(one, PLACES, 80.0)
    grid = np.array([(a, b) for a in np.linspace(0.5, 60, 12) for b in np.linspace(0.5, 60, 12)])
    mine = (limits.used(grid) <= 1).all(axis=-1)
    asked = [loads_with(one, dict(zip(PLACES, m, strict=True))) for m in grid]
    checks = [rating_checks(one.case, one.loads, loads, "rear end") for loads in asked]
    theirs = [sum(m) <= 80.0 and all(c.met for c in those) for m, those in zip(grid, checks, strict=True)]
    assert mine.tolist() == theirs
    assert 10 < sum(theirs) < 134
    for limit in ("gross weight rating", "share of the front axle", "height of the centre of gravity"):
        assert any(not c.met for those in checks for c in those if c.name == limit)  # each decides somewhere


def test_the_heaviest_alone_is_that_of_one_damper(one):
    limits = weights(one, PLACES, 1000.0)
    for which, place in enumerate(PLACES):
        assert limits.most(which) == pytest.approx(allowed_mass(one, place, 1000.0), rel=1e-6)


def test_a_weight_ahead_makes_room_behind():
    """Of the lever: what hangs in front relieves the rear axle."""
    from counterbounce.model.example import small_case

    limits = weights(host(small_case()), PLACES, 60.0)
    assert limits.per_kilogram[1, 0] < 0 < limits.per_kilogram[1, 1]


def test_checks_with_both_as_the_ratings_say(one):
    masses = {"front end": 12.0, "rear end": 17.0}
    checks = both_checks(one, masses)
    expected = rating_checks(one.case, one.loads, loads_with(one, masses), "rear end")
    assert len(checks) == 4
    assert {c.unit for c in checks} == {"kg", "-", "m"}
    for mine, theirs in zip(checks, expected, strict=True):  # both ends of the frame are equally high
        assert (mine.name, mine.after) == (theirs.name, pytest.approx(theirs.after, rel=1e-9))


def test_without_ratings_only_the_sum_counts(one):
    limits = weights(one, PLACES, 40.0, ratings=False)
    assert limits.used(np.array([10.0, 30.0])).tolist() == [1.0]
