"""Freed leaves against the nonlinear answer; shocks against the textbook's dashpot."""

from dataclasses import replace
from pathlib import Path

import pytest

from counterbounce.model.case import load
from counterbounce.model.example import small_case
from counterbounce.model.numbers import Known
from counterbounce.sizing.at_amplitude import at_its_amplitude
from counterbounce.sizing.panel import trial
from counterbounce.sizing.study import host
from counterbounce.sizing.suspension_remedies import doubled_shocks, freed_leaves

TESTS = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def leaves():
    return host(load(TESTS / "cases" / "locked_leaves.toml"))


@pytest.fixture(scope="module")
def truck():
    return host(load(TESTS.parent / "examples" / "engineer" / "box_truck.toml"))


def test_freed_leaves_are_as_worth_as_where_they_settle(leaves):
    """Frozen at the amplitudes of the worst speed, where the other settles at each speed anew: at that
    speed both are the same."""
    found = at_its_amplitude(leaves)
    (contest,) = freed_leaves(leaves)
    assert found.freed.reduction > 0.1
    assert trial(leaves, contest[0]).reduction == pytest.approx(found.freed.reduction, abs=0.01)
    assert contest[0].name.startswith(
        " and ".join(n.removesuffix(" leaf friction") for n in found.freed.leaves)
    )


def test_no_leaf_no_freeing():
    assert list(freed_leaves(host(small_case()))) == []


def test_doubling_the_shocks_of_a_bending_truck_is_no_cure(truck):
    """Behind bushes it lowers the shake by less than a twentieth, or makes it worse."""
    found = {c[0].name: trial(truck, c[0]).reduction for c in doubled_shocks(truck)}
    assert set(found) == {"front shocks twice as strong", "rear shocks twice as strong"}
    assert max(found.values()) < 0.05


def test_a_rigid_bush_is_a_plain_dashpot(truck):
    """With bushes that give as much as the shocks far above the shake, both ways agree."""
    numbers = truck.case.numbers
    stiff = truck.case.numbers.known("axle.rear.damping").value * 1e6
    given = {f"axle.{axle}.bush_rate": Known(stiff, 0.0, "measured") for axle in ("front", "rear")}
    rigid = replace(truck, case=replace(truck.case, numbers=numbers.with_given(given)))
    ways = zip(doubled_shocks(rigid), doubled_shocks(rigid, bushes=False), strict=True)
    for with_bush, without in ways:
        assert trial(rigid, with_bush[0]).reduction == pytest.approx(
            trial(rigid, without[0]).reduction, abs=1e-4
        )
