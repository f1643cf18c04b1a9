"""The test to do next: most told per minute, nothing twice, nothing dangerous."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from math import log2
from pathlib import Path
from typing import get_args

import numpy as np
import pytest

from counterbounce.model.case import load, parse
from counterbounce.model.observations import PACE, WEIGHT, Change, Observation
from counterbounce.sizing.next_test import ALIKE, TESTS, bits, impossible, next_test
from counterbounce.sizing.observed import reading
from counterbounce.sizing.shake_kinds import TABLE, Kind
from counterbounce.sizing.study import host

ROOT = Path(__file__).parents[2]
CASE = parse((ROOT / "tests/cases/van.toml").read_text(encoding="utf-8"))


def read(*seen):
    return reading(replace(CASE, observations=tuple(Observation(*one) for one in seen)))


def told(change, kinds):
    """Mutual information of kind and result by its other formula, the sum over the joint table."""
    rows = [row for (changed, _), row in TABLE.items() if changed == change]
    joint = np.array(
        [[0.0 if k in r.excludes else 2.0 if k in r.supports else 1.0 for r in rows] for k in kinds]
    )
    joint /= joint.sum(axis=1, keepdims=True) * len(kinds)
    apart = np.outer(joint.sum(axis=1), joint.sum(axis=0))
    there = joint > 0
    return float(np.sum(joint[there] * np.log2(joint[there] / apart[there])))


@pytest.mark.parametrize("change", TESTS)
def test_bits_by_a_second_formula(change):
    for count in range(1, len(Kind) + 1):
        for kinds in combinations(Kind, count):
            assert bits(change, kinds) == pytest.approx(told(change, kinds), abs=1e-12)
            assert 0 <= bits(change, kinds) <= log2(count)


def test_the_best_is_proposed_by_brute_force():
    for seen in [(), *(((change, "stayed"),) for change in TESTS)]:
        found = read(*seen)
        done = {change for change, _ in seen}
        done |= {c for pair in ALIKE if pair & done for c in pair}
        rates = {c: told(c, found.remaining) / t.minutes for c, t in TESTS.items() if c not in done}
        proposed = next_test(found)
        assert rates[proposed.change] == pytest.approx(max(rates.values()), rel=1e-6)
        assert proposed.minutes == TESTS[proposed.change].minutes


def test_the_cheap_drive_comes_first_and_the_wheels_when_only_they_can_decide():
    assert next_test(read()).change == PACE
    assert next_test(read((PACE, "blur"))).change == "neutral coast-down"
    left = read(("neutral coast-down", "stayed"), ("known-good wheels", "stayed"), ("braking", "stayed"))
    assert {Kind.DRIVELINE, Kind.MODE} <= set(left.remaining)
    assert next_test(left).change == PACE  # where only a propshaft or a mode is left, it decides
    both = read(("weight over the rear end", "moved"))
    assert both.remaining == (Kind.WHEEL, Kind.MODE)
    assert next_test(both).change == "known-good wheels"


def test_nothing_is_proposed_twice_and_it_comes_to_an_end():
    seen = []
    while (found := next_test(read(*seen))) is not None:
        assert found.change not in [change for change, _ in seen]
        twins = [pair for pair in ALIKE if found.change in pair]
        assert not [change for change, _ in seen for pair in twins if change in pair]
        seen.append((found.change, "stayed"))
        assert len(seen) <= len(TESTS)
    assert len(seen) >= 4


def test_nothing_is_proposed_where_one_kind_is_left():
    left = read(("off the throttle", "vanished"), ("another gear at the same speed", "stayed"))
    assert left.remaining == (Kind.DRIVELINE,)
    assert next_test(left) is None


def test_a_bump_is_never_asked_for():
    """Somebody would go and look for the speed at which the steering feeds itself."""
    assert set(get_args(Change)) - set(TESTS) == {"after a bump"}


def test_what_it_would_decide_is_the_table_among_what_remains():
    found = next_test(read(("neutral coast-down", "stayed"), ("known-good wheels", "stayed")))
    assert found.decides
    for result, (excludes, supports) in found.decides.items():
        row = TABLE[found.change, result]
        assert set(excludes) == set(row.excludes) - {Kind.ENGINE, Kind.WHEEL}
        assert set(supports) == set(row.supports) - {Kind.ENGINE, Kind.WHEEL}
        assert excludes or supports


def test_no_weight_where_the_ratings_leave_no_room():
    one = host(load(ROOT / "examples/technician/flatbed.toml"))
    assert impossible(one) == set()
    full = replace(one, case=replace(one.case, limits=replace(one.case.limits, gross_rating=3300.0)))
    assert sum(one.loads.values()) < 3300 < sum(one.loads.values()) + 50
    assert impossible(full) == {WEIGHT, "laden"}
    found, every = read(), set(TESTS)
    assert next_test(found, every) is None
    assert next_test(found, every - {WEIGHT}).change == WEIGHT
