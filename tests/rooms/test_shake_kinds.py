"""The table of what observations say: every entry written down a second time, and what must hold for all."""

from __future__ import annotations

from itertools import pairwise, product
from math import inf
from typing import get_args

import pytest

from counterbounce.model.observations import PACE, PACES, Change, Result
from counterbounce.sizing.shake_kinds import PRACTICE, RAYLEIGH, ROWS, TABLE, TO_DO, Kind, pairs

CHANGES, RESULTS = get_args(Change), get_args(Result)
LETTERS = dict(zip("WDEBSM", Kind, strict=True))
EXCLUDED = {  # by change and result; nothing where it is not listed
    ("neutral coast-down", "vanished"): "WBSM",
    ("neutral coast-down", "stayed"): "E",
    ("another gear at the same speed", "vanished"): "WBSM",
    ("another gear at the same speed", "moved"): "WBSM",
    ("another gear at the same speed", "stayed"): "E",
    ("on the throttle", "started"): "WBSM",
    ("on the throttle", "vanished"): "WBSM",
    ("off the throttle", "started"): "WBSM",
    ("off the throttle", "vanished"): "WBSM",
    ("known-good wheels", "stayed"): "W",
    **{("known-good wheels", r): "DEB" for r in ("vanished", "moved", "weaker", "stronger")},
    ("weight over the rear end", "moved"): "DEBS",
    **{("pressure changed", r): "DEB" for r in ("vanished", "moved", "weaker", "stronger")},
    ("laden", "moved"): "EB",
    ("empty", "moved"): "EB",
    ("after a bump", "started"): "WDEB",
    ("after a bump", "stayed"): "S",
    ("braking", "started"): "WDEM",
    ("braking", "stayed"): "B",
    ("how fast it shakes", "countable"): "DE",
    ("how fast it shakes", "buzz"): "S",
}


@pytest.mark.parametrize(("change", "result"), list(product(CHANGES, RESULTS)))
def test_each_change_with_each_result_excludes_what_it_must(change, result):
    row = TABLE.get((change, result))
    expected = {LETTERS[letter] for letter in EXCLUDED.get((change, result), "")}
    assert set(row.excludes if row else ()) == expected


def test_each_pair_has_one_row_and_each_row_a_pair():
    listed = [pair for row in ROWS for pair in pairs(row)]
    assert len(listed) == len(set(listed)) == len(TABLE)
    assert all(pairs(row) for row in ROWS)
    words = {word for row in ROWS for word in (*row.changes.split(", "), *row.results.split(", "))}
    assert words <= {*CHANGES, *RESULTS}  # a misspelt word would silently say nothing


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.changes}: {row.results}")
def test_each_row_makes_sense(row):
    assert not set(row.excludes) & set(row.supports)
    assert set(row.excludes) != set(Kind)
    assert len(row.why) > 20
    assert row.why.endswith(".")
    assert row.source in (PRACTICE, RAYLEIGH)


def test_every_kind_can_be_excluded_spoken_for_and_acted_upon():
    assert {kind for row in ROWS for kind in row.excludes} == set(Kind)
    assert {kind for row in ROWS for kind in row.supports} == set(Kind)
    assert set(TO_DO) == set(Kind)


def test_every_change_says_something_of_a_shake_that_stayed():
    assert [change for change in CHANGES if (change, "stayed") not in TABLE] == [PACE]


def test_how_fast_it_shakes_has_words_of_its_own_and_each_says_something():
    assert {result for change, result in TABLE if change == PACE} == set(PACES)
    assert not [change for change, result in TABLE if result in PACES and change != PACE]
    bounds = list(PACES.values())
    for (_, slower), (faster, _) in pairwise(bounds):
        assert faster < slower  # people differ, so the words overlap
    assert (bounds[0][0], bounds[-1][1]) == (0.0, inf)


def test_the_traps_of_the_trade():
    """In neutral the propshaft still turns; a weight or a pressure that does nothing clears no mode."""
    for change in ("neutral coast-down", "on the throttle", "off the throttle"):
        assert Kind.DRIVELINE not in TABLE[change, "stayed"].excludes
    for change in ("weight over the rear end", "pressure changed", "laden", "empty"):
        assert TABLE[change, "stayed"].excludes == ()
    for result in RESULTS:  # other wheels may meet the same mode
        row = TABLE.get(("known-good wheels", result))
        assert row is None or Kind.MODE not in row.excludes


def test_what_feeds_itself_or_brakes_is_never_left_alone_behind_the_gate():
    """Rows that exclude the mode exclude steering and brakes as well, but for the brakes' own, which the gate
    takes: so that no verdict but the gate's can be about them."""
    for pair, row in TABLE.items():
        if Kind.MODE in row.excludes and pair != ("braking", "started"):
            assert {Kind.STEERING, Kind.BRAKES} <= set(row.excludes)
