"""What the observations of a case exclude, and what they leave: evidence without instruments."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from ..model.case import Case
from ..model.observations import Observation
from .shake_kinds import TABLE, Kind, Row

UNLIKE = (  # results of one change that cannot both be so
    {"stayed", "moved"}, {"stayed", "weaker"}, {"stayed", "stronger"}, {"stayed", "vanished"},
    {"stayed", "started"}, {"vanished", "moved"}, {"vanished", "weaker"}, {"vanished", "stronger"},
    {"vanished", "started"}, {"weaker", "stronger"},
    {"countable", "blur"}, {"countable", "buzz"}, {"blur", "buzz"},
)  # fmt: skip
LOWEST_RATIO = (
    3.0  # [-] turns of a propshaft to one of the wheels, where it is not given: common practice, no source
)


@dataclass(frozen=True)
class Excluded:
    """A kind of shake that is excluded, and the observation that did it."""

    kind: Kind
    by: Observation
    why: str

    @property
    def because(self) -> str:
        """The observation with its reason, in words."""
        return f"{in_words(self.by)}. {self.why}"


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
    read = f", {seen.frequency:.3g} Hz" if seen.frequency else ""
    return f"{seen.change}: {_RESULTS.get(seen.result, f'it {seen.result}')}{read}"


_RESULTS = {
    "weaker": "it became weaker",
    "stronger": "it became stronger",
    "started": "it is there then, and only then",
    "countable": "it can be counted",
    "blur": "it is a blur",
    "buzz": "it is a buzz",
}


def reading(case: Case) -> Reading:
    """What the observations of a case exclude, one by one, with their contradictions."""
    steps = tuple((seen, _row(case, seen)) for seen in case.observations)
    excluded = tuple(first for kind in Kind if (first := _first(kind, steps)))
    gone = {one.kind for one in excluded}
    remaining = tuple(kind for kind in Kind if kind not in gone)
    return Reading(remaining, excluded, tuple(_contradictions(case.observations, excluded)), steps)


def _row(case: Case, seen: Observation) -> Row | None:
    """What the table says of an observation, and of a shake slower than any propshaft of this vehicle."""
    row = TABLE.get((seen.change, seen.result))
    shaft, heard = slowest_shaft(case), seen.per_second
    if row is None or heard is None or shaft is None or heard[1] >= shaft or Kind.DRIVELINE in row.excludes:
        return row
    why = f"At these speeds its propshaft turns {shaft:.0f} times in a second or more: it shakes slower."
    return replace(row, excludes=(*row.excludes, Kind.DRIVELINE), why=why)


def slowest_shaft(case: Case) -> float | None:
    """How often a propshaft turns in a second at the complaint's slowest speed, at least [Hz]; None where no
    speed or no tyre is known.

    >>> from ..model.example import TEXT
    >>> from ..model.case import parse
    >>> slowest_shaft(parse(TEXT + '[complaint]\\nspeed = { from = "8 m/s", to = "9 m/s" }'))
    10.0
    """
    felt = case.complaint.speed if case.complaint else None
    turns = [case.numbers.optional(f"axle.{axle.name}.circumference") for axle in case.plan.axles]
    known = [float(turn) for turn in turns if turn]
    if felt is None or not known:
        return None
    geared = case.roads.driveline.axle_ratio if case.roads.driveline else None
    return (geared or LOWEST_RATIO) * felt[0] / max(known)


def _first(kind: Kind, steps: Sequence[tuple[Observation, Row | None]]) -> Excluded | None:
    return next((Excluded(kind, seen, row.why) for seen, row in steps if row and kind in row.excludes), None)


def _contradictions(seen: Sequence[Observation], excluded: Sequence[Excluded]) -> Iterator[str]:
    for one, other in combinations(seen, 2):
        alike = (one.change, one.mass, one.at) == (other.change, other.mass, other.at)
        if alike and {one.result, other.result} in UNLIKE:
            yield f"{in_words(one)}, and {in_words(other).rpartition(': ')[2]}"
    if len(excluded) == len(Kind):
        by = dict.fromkeys(in_words(one.by) for one in excluded)
        yield f"together these leave nothing that it could be: {'; '.join(by)}"
