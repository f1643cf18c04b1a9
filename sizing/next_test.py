"""Which test to do next: the one that is expected to tell most about the kind of shake per minute spent.

Every kind that remains is taken as equally likely beforehand, and so is every result that the table allows
for a kind, but twice as likely where it speaks for it: our own weights, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from math import log2
from types import MappingProxyType

from ..model.observations import USUAL_PLACE, USUAL_WEIGHT, WEIGHT, Change, Result
from .observed import Reading
from .shake_kinds import TABLE, Kind
from .study import Host, allowed_mass

SPOKEN_FOR = 2.0  # how much likelier a result is under a kind that it speaks for
TELLS = 0.05  # [bits] a test that is expected to tell less is not worth the trip


@dataclass(frozen=True)
class Trial:
    """A test on the road or in the yard: minutes [min] it takes, and how to do it safely."""

    minutes: float
    how: str


TESTS: Mapping[Change, Trial] = MappingProxyType(
    {
        "how fast it shakes": Trial(
            3.0,
            "At its speed: can it be counted, do mirrors blur, or is it a buzz? A phone on the floor that "
            "shows a spectrum says how fast, to whoever does not drive.",
        ),
        "neutral coast-down": Trial(
            5.0, "On a straight, empty road, from above its speed, coast in neutral with the engine running."
        ),
        "another gear at the same speed": Trial(5.0, "Hold its speed one gear up, then one gear down."),
        "off the throttle": Trial(4.0, "At its speed lift the foot for some seconds, then hold again."),
        "on the throttle": Trial(4.0, "Pull gently through its speed, then hold it."),
        "braking": Trial(4.0, "From above its speed brake gently through it, nobody behind."),
        "known-good wheels": Trial(
            60.0, "Fit a set that runs smoothly elsewhere, of the same size and rating; torque it."
        ),
        WEIGHT: Trial(
            25.0, "Lash a known weight down at the rear end, within the ratings; drive the same road."
        ),
        "pressure changed": Trial(25.0, "Cold, within the tyre's load table, all tyres of one axle alike."),
        "laden": Trial(45.0, "The usual load, secured, within the ratings, over the same road."),
        "empty": Trial(45.0, "The load off, over the same road."),
        "warm": Trial(30.0, "Drive for half an hour, then the same road again."),
        "cold": Trial(20.0, "After a night's rest, from the first minute on."),
    }
)
"""Minutes are estimates, common practice, no source.  A bump is never asked for: what may start a shake that
feeds itself is noted where it happens, and not tried."""

ALIKE: tuple[frozenset[Change], ...] = (
    frozenset({"on the throttle", "off the throttle"}),
    frozenset({"laden", "empty"}),
    frozenset({"warm", "cold"}),
)
"""Changes of which one has been done where the other has."""


@dataclass(frozen=True)
class NextTest:
    """The test to do next.

    minutes  [min] it takes
    bits     [-] it is expected to tell about the kind of shake
    decides  result -> (kinds that it would exclude, kinds that it would speak for), among those that remain
    """

    change: Change
    minutes: float
    bits: float
    how: str
    decides: Mapping[Result, tuple[tuple[Kind, ...], tuple[Kind, ...]]]


def impossible(one: Host) -> set[Change]:
    """Tests that the ratings of a vehicle do not leave room for, or that it has no place for."""
    place = one.vehicle.points.get(USUAL_PLACE)
    if place and allowed_mass(one, USUAL_PLACE, USUAL_WEIGHT) >= USUAL_WEIGHT:
        return set()
    return {WEIGHT, "laden"}


def next_test(read: Reading, without: Collection[Change] = ()) -> NextTest | None:
    """The test that is expected to tell most per minute; None where none tells anything.

    without  tests that cannot be done
    """
    open_to = open_tests(read, without)
    told = {change: round(bits(change, read.remaining), 9) for change in open_to}
    worth = [change for change in open_to if told[change] >= TELLS]
    if not worth:
        return None
    best = max(worth, key=lambda change: told[change] / TESTS[change].minutes)  # the first of equals
    return NextTest(best, TESTS[best].minutes, told[best], TESTS[best].how, _decides(best, read.remaining))


def open_tests(read: Reading, without: Collection[Change] = ()) -> list[Change]:
    """Tests that nobody has done, nor one like them.

    without  tests that cannot be done
    """
    done = {seen.change for seen, _ in read.steps}
    done |= {change for pair in ALIKE if pair & done for change in pair}
    return [change for change in TESTS if change not in done and change not in without]


def bits(change: Change, kinds: Sequence[Kind]) -> float:
    """What a test is expected to tell about which of some equally likely kinds it is [bits, no unit: -].

    >>> bits("neutral coast-down", [Kind.ENGINE]) == 0, bits("braking", [Kind.BRAKES, Kind.WHEEL]) > 0.3
    (True, True)
    """
    results = [result for changed, result in TABLE if changed == change]
    given = [_likely(change, results, kind) for kind in kinds]
    total = [sum(column) / len(kinds) for column in zip(*given, strict=True)] if given else []
    alone = sum(_entropy(row) for row in given) / max(len(kinds), 1)
    return max(_entropy(total) - alone, 0.0)


def mean_square(change: Change, kinds: Sequence[Kind], kind: Kind) -> float:
    """The mean, over the results of a test, of the square of what one of some equally likely kinds is then
    [-]: the more a test tells about that kind, the larger.

    >>> both = [Kind.WHEEL, Kind.MODE]
    >>> mean_square("neutral coast-down", both, Kind.MODE)     # as before: it does not tell them apart
    0.25
    """
    results = [result for changed, result in TABLE if changed == change]
    given = [_likely(change, results, one) for one in kinds]
    own = given[kinds.index(kind)]
    total = [sum(column) for column in zip(*given, strict=True)]
    squares = [p**2 / t for p, t in zip(own, total, strict=True) if t]
    return float(sum(squares)) / len(kinds)


def _likely(change: Change, results: Sequence[Result], kind: Kind) -> list[float]:
    """How likely each result of a change is if it is this kind; they sum to one."""
    rows = [TABLE[change, result] for result in results]
    weights = [0.0 if kind in r.excludes else SPOKEN_FOR if kind in r.supports else 1.0 for r in rows]
    return [weight / sum(weights) for weight in weights]


def _entropy(shares: Sequence[float]) -> float:
    return -sum(p * log2(p) for p in shares if p > 0)


def _decides(
    change: Change, remaining: Sequence[Kind]
) -> Mapping[Result, tuple[tuple[Kind, ...], tuple[Kind, ...]]]:
    rows = {result: row for (changed, result), row in TABLE.items() if changed == change}
    decided = {
        result: tuple(tuple(k for k in remaining if k in kinds) for kinds in (row.excludes, row.supports))
        for result, row in rows.items()
    }
    return {result: (out[0], out[1]) for result, out in decided.items() if any(out)}
