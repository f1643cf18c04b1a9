"""What the observations of a case exclude, and what they leave: evidence without instruments."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from ..model.case import Case
from ..model.observations import Observation
from .shake_kinds import TABLE, Kind, Row

UNLIKE = (  # results of one change that cannot both be so
    {"stayed", "moved"}, {"stayed", "weaker"}, {"stayed", "stronger"}, {"stayed", "vanished"},
    {"stayed", "started"}, {"vanished", "moved"}, {"vanished", "weaker"}, {"vanished", "stronger"},
    {"vanished", "started"}, {"weaker", "stronger"},
)  # fmt: skip


@dataclass(frozen=True)
class Excluded:
    """A kind of shake that is excluded, and the observation that did it."""

    kind: Kind
    by: Observation

    @property
    def because(self) -> str:
        """The observation with its reason, in words."""
        return f"{in_words(self.by)}. {TABLE[self.by.change, self.by.result].why}"


@dataclass(frozen=True)
class Reading:
    """What the observations of a case leave.

    remaining       kinds that nothing excludes
    excluded        the others, each with the first observation that excludes it
    contradictions  in words: what cannot all be so
    steps           each observation with its row of the table; None where the table has none
    """

    remaining: tuple[Kind, ...]
    excluded: tuple[Excluded, ...]
    contradictions: tuple[str, ...]
    steps: tuple[tuple[Observation, Row | None], ...]

    def excludes(self, kind: Kind) -> bool:
        """Whether a kind is excluded."""
        return kind not in self.remaining

    @property
    def only(self) -> tuple[Kind, ...]:
        """What remains, once something has been excluded and nothing is contradictory; else nothing."""
        return self.remaining if self.excluded and not self.contradictions else ()


def in_words(seen: Observation) -> str:
    """An observation as a person says it.

    >>> in_words(Observation("neutral coast-down", "stayed"))
    'neutral coast-down: it stayed'
    """
    started = "it is there then, and only then" if seen.result == "started" else f"it {seen.result}"
    return f"{seen.change}: {_RESULTS.get(seen.result, started)}"


_RESULTS = {"weaker": "it became weaker", "stronger": "it became stronger"}


def reading(case: Case) -> Reading:
    """What the observations of a case exclude, one by one, with their contradictions."""
    steps = tuple((seen, TABLE.get((seen.change, seen.result))) for seen in case.observations)
    excluded = tuple(first for kind in Kind if (first := _first(kind, steps)))
    gone = {one.kind for one in excluded}
    remaining = tuple(kind for kind in Kind if kind not in gone)
    return Reading(remaining, excluded, tuple(_contradictions(case.observations, excluded)), steps)


def _first(kind: Kind, steps: Sequence[tuple[Observation, Row | None]]) -> Excluded | None:
    return next((Excluded(kind, seen) for seen, row in steps if row and kind in row.excludes), None)


def _contradictions(seen: Sequence[Observation], excluded: Sequence[Excluded]) -> Iterator[str]:
    for one, other in combinations(seen, 2):
        alike = (one.change, one.mass, one.at) == (other.change, other.mass, other.at)
        if alike and {one.result, other.result} in UNLIKE:
            yield f"{in_words(one)}, and {in_words(other).rpartition(': ')[2]}"
    if len(excluded) == len(Kind):
        by = dict.fromkeys(in_words(one.by) for one in excluded)
        yield f"together these leave nothing that it could be: {'; '.join(by)}"
