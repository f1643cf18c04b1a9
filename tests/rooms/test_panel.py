"""The same vehicles for every remedy: against a survey of a case that says what the remedy does."""

import numpy as np
import pytest

from counterbounce.model.response import sweep
from counterbounce.sizing.changes import ballasted, other_tyres, scaled
from counterbounce.sizing.panel import panel, still, trial
from counterbounce.sizing.proposal import Proposal, truer
from counterbounce.sizing.survey import survey

REAR = "3 MN/m ± 10 %"
COMPLAINT = '[complaint]\nspeed = { from = "17 km/h", to = "24 km/h" }'


@pytest.fixture(scope="module")
def complained(half_truck):
    one = half_truck(tyre=REAR, more=COMPLAINT)
    asked = survey(one, None)
    return one, asked, panel(one, asked)


@pytest.fixture(scope="module")
def free(half_truck):
    one = half_truck(tyre=REAR)
    asked = survey(one, None)
    return one, panel(one, asked)


SOFTER = Proposal("tyres", "softer", other_tyres("rear", 0.8))
SMALLER = Proposal("tyres", "smaller", other_tyres("rear", circumference=0.9))


@pytest.mark.parametrize(
    ("proposed", "written"),
    [(SOFTER, {"tyre": "2.4 MN/m ± 10 %", "tyre_damping": 1.6}), (SMALLER, {"circumference": 2.16})],
    ids=["softer", "smaller"],
)
def test_each_vehicle_is_the_one_that_a_case_with_the_remedy_would_draw(
    complained, half_truck, proposed, written
):
    """The same numbers are uncertain in both cases, so the same draw gives the same vehicles."""
    _, asked, many = complained
    other = half_truck(**({"tyre": REAR, "more": COMPLAINT} | written))
    redrawn = survey(other, None)
    kept = [int(np.flatnonzero((asked.scores == row).all(axis=1))[0]) for row in many.asked.scores]
    assert (redrawn.scores[: len(asked.scores)] == asked.scores).all()
    # on other grids of speeds, of some 15 and 21 over a third of the speed: tops are missed by a per cent
    assert many.levels(proposed) == pytest.approx(redrawn.before[kept], rel=0.015)


def test_all_remedies_meet_the_same_vehicles(free):
    _, many = free
    first, *_, last = (many.levels(p) for p in (SOFTER, SMALLER, SOFTER))
    assert (first == last).all()
    assert many.reduction(SOFTER) == pytest.approx(1 - first / many.as_they_are)


def test_only_vehicles_that_hardly_count_are_left_out(complained):
    _, asked, many = complained
    assert len(many.asked.scores) <= len(asked.scores)
    assert many.asked.agreement.sum() >= 0.989 * asked.agreement.sum()


def test_halved_wheels_halve_the_level(free):
    """Where nothing but wheels shakes it: exact, for all causes add as powers."""
    one, many = free
    half = Proposal("wheels", "half", inputs=truer(dict.fromkeys((c.name for c in one.causes), 0.5)))
    assert trial(one, half).reduction == pytest.approx(0.5, abs=1e-12)
    assert many.reduction(half) == pytest.approx(0.5, abs=1e-12)


def test_nothing_done_changes_nothing(free):
    one, many = free
    nothing = Proposal("", "nothing")
    found = trial(one, nothing)
    assert (found.reduction, found.weight, found.allowed) == (0.0, 0.0, True)
    assert (many.reduction(nothing) == 0).all()


def test_before_is_the_vehicle_of_the_host(free):
    one, _ = free
    known = still(one)
    own = sweep(one.ready, one.causes, known.speeds, one.vehicle.watched).total()
    assert known.levels == pytest.approx(own, rel=1e-9)
    again, alone = trial(one, SOFTER, known), trial(one, SOFTER)
    assert again.reduction == alone.reduction


def test_a_remedy_with_a_base_of_its_own_is_held_against_that(free):
    one, many = free
    soft = scaled("spring", "axle.rear.spring_rate", 0.5)
    there_and_back = Proposal("", "", soft, soft)
    assert trial(one, there_and_back, still(one)).reduction == 0.0
    assert (many.reduction(there_and_back) == 0).all()


def test_ratings_hold_with_the_remedy(free):
    """100 kg are left on either axle: 90 kg at the rear end put 126 kg on the rear axle."""
    one, _ = free
    heavy, light = (trial(one, Proposal("", "", ballasted("rear end", kg))) for kg in (90.0, 60.0))
    assert (heavy.rated, light.rated) == (False, True)
    assert not heavy.allowed
    assert light.weight == pytest.approx(60.0)
    check = next(c for c in light.checks if c.name == "rear axle rating")
    assert check.after - check.before == pytest.approx(60 * (3.9 + 2.0) / 3.9, rel=1e-6)
