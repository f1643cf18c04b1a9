"""Sealed predictions beside what was measured after the fix: one by one, and how good they are as a whole."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from math import hypot
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..model.faults import CounterbounceError, Fault
from ..model.numbers import NORMAL_95
from .measured_gain import Gain
from .sealed import Sealed, interval, json_object
from .survey import SHARE

Floats = NDArray[np.float64]

NORMAL_90 = 1.6448536269514722  # standard deviations either side, that hold nine in ten
KIND = "score of a sealed prediction of counterbounce, 1"


@dataclass(frozen=True)
class Score:
    """A sealed prediction and what came of it; reductions are shares of the level [-].

    predicted       best estimate, over the speeds that were driven
    low, middle, high  where nine in ten plausible vehicles lie, and what half of them reach
    measured        what the rides show
    measured_low, measured_high  95 % interval of that
    least           the rides show only the least that it can be: what is promised beyond is not refuted
    crps            continuous ranked probability score [-]: an error that also counts how wide the guess was
    interval_score  width of the interval, and 20 times by how much it was missed [-]
    """

    case: str
    case_sha256: str
    sealed_at_utc: str
    sealed_sha256: str
    predicted: float
    low: float
    middle: float
    high: float
    measured: float
    measured_low: float
    measured_high: float
    least: bool
    crps: float
    interval_score: float

    @property
    def error(self) -> float:
        """Measured less predicted [-]; in points of a percentage, times 100."""
        return max(self.measured - self.predicted, 0.0) if self.least else self.measured - self.predicted

    @property
    def inside(self) -> bool:
        """Whether the interval held: what was measured lies no further off than vehicles and rides explain.

        Their doubts are independent, so they add as squares.
        """
        rides = NORMAL_90 / NORMAL_95 * (self.measured - self.measured_low)
        above = self.measured - self.middle <= hypot(self.high - self.middle, 0.0 if self.least else rides)
        rides = NORMAL_90 / NORMAL_95 * (self.measured_high - self.measured)
        below = self.middle - self.measured <= hypot(self.middle - self.low, rides)
        return above and (below or self.least)


def scored(held: Sealed, gain: Gain) -> Score:
    """A sealed prediction beside rides that were judged at its place, over its band and on its lines.

    Raises CounterbounceError for rides that show nothing of them: too few, or over a road too rough.
    """
    change = gain.change
    if change.interval is None:
        wanted = f"the rides do not show what was sealed. {gain.notes[-1]}"
        raise CounterbounceError([Fault("", None, "--sealed", "", wanted)])
    best, plausible = held.reduction(gain.speeds, gain.weights)
    low, high = interval(plausible)
    shown = max(change.reduction, best) if change.least else change.reduction
    return Score(
        held.case,
        held.case_sha256,
        held.at,
        held.sha256,
        best,
        low,
        float(np.median(plausible)),
        high,
        change.reduction,
        *change.interval,
        change.least,
        ranked_probability(plausible, shown),
        interval_score(low, high, shown),
    )


def ranked_probability(plausible: Floats, measured: float) -> float:
    """Continuous ranked probability score of a sample [the unit of its values].

        mean |x - y| - mean |x - x'| / 2

    plausible  x (V,) [any]
    measured   y [the same]

    Source: T. Gneiting, A. E. Raftery, Strictly proper scoring rules, J. Am. Stat. Assoc. 102 (2007) 359-378,
    eq. 21 (from memory).

    >>> ranked_probability(np.array([0.5]), 0.7).__round__(3), ranked_probability(np.array([0.0, 1.0]), 0.5)
    (0.2, 0.25)
    """
    apart = np.abs(plausible[:, None] - plausible).mean()
    return float(np.abs(plausible - measured).mean() - apart / 2)


def interval_score(low: float, high: float, measured: float, share: float = SHARE) -> float:
    """Width of an interval, and how far it was missed [the unit of its ends].

        (u - l) + 2 / alpha (l - y)+ + 2 / alpha (y - u)+,  alpha = 1 - share

    low, high  l and u [any]
    measured   y [the same]
    share      [-] that it is to hold

    Source: T. Gneiting, A. E. Raftery, as above, eq. 43 (from memory).

    >>> round(interval_score(0.2, 0.4, 0.3), 3), round(interval_score(0.2, 0.4, 0.41), 3)
    (0.2, 0.4)
    """
    missed = max(low - measured, 0.0) + max(measured - high, 0.0)
    return high - low + 2 / (1 - share) * missed


# --- as a file -------------------------------------------------------------------------------------------


def as_told(one: Score) -> dict[str, Any]:
    """A score ready for JSON."""
    told = {"kind": KIND} | {field.name: getattr(one, field.name) for field in fields(Score)}
    return told | {"error": one.error, "inside": one.inside}


def is_score(text: str, file: str) -> bool:
    """Whether a file is a score; any other JSON is not.  Raises CounterbounceError for what is no JSON."""
    try:
        told = json.loads(text)
    except (ValueError, RecursionError):
        raise CounterbounceError([Fault(file, None, "", "", "is no JSON")]) from None
    return isinstance(told, dict) and told.get("kind") == KIND


def score_of(text: str, file: str) -> Score:
    """A score out of its text.  Raises CounterbounceError for one that lacks something."""
    told: Mapping[str, Any] = json_object(text, file)
    kinds = {field.name: str(field.type) for field in fields(Score)}
    odd = [name for name, kind in kinds.items() if not _fits(told.get(name), kind)]
    if odd:
        raise CounterbounceError(
            [Fault(file, None, ", ".join(odd), "", "wanted what `verify --score` wrote")]
        )
    return Score(**{name: told[name] for name in kinds})


def _fits(value: object, kind: str) -> bool:
    if kind in ("str", "bool"):
        return isinstance(value, str if kind == "str" else bool)
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < float("inf")


# --- all of them -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Record:
    """How good sealed predictions were, over J jobs.

    held           how many intervals held what was measured
    held_interval  95 % interval of that share [-], Clopper and Pearson
    error          mean absolute error [-]
    bias           mean error, measured less predicted [-]: below zero, too much was promised
    crps           mean [-]
    """

    jobs: tuple[Score, ...]
    held: int
    held_interval: tuple[float, float]
    error: float
    bias: float
    crps: float


def record(jobs: Sequence[Score]) -> Record:
    """What some scores say together.  Raises CounterbounceError where there are none, or one counts twice.

    >>> one = Score("van", "", "", "a", 0.5, 0.3, 0.5, 0.6, 0.4, 0.3, 0.5, False, 0.03, 0.3)
    >>> other = Score("bus", "", "", "b", 0.5, 0.4, 0.5, 0.6, 0.2, 0.1, 0.3, False, 0.2, 4.2)
    >>> found = record([one, other])
    >>> found.held, round(found.error, 3), round(found.bias, 3), [round(x, 3) for x in found.held_interval]
    (1, 0.2, -0.2, [0.013, 0.987])
    """
    if not jobs:
        raise CounterbounceError(
            [Fault("", None, "", "", "holds no score: wanted what `verify --score` writes")]
        )
    seals = [one.sealed_sha256 for one in jobs]
    twice = sorted({one.case for one in jobs if seals.count(one.sealed_sha256) > 1})
    if twice:
        wanted = "scores one sealed prediction more than once: keep one of its scores"
        raise CounterbounceError([Fault("", None, "", ", ".join(twice), wanted)])
    errors = np.array([one.error for one in jobs])
    held = sum(one.inside for one in jobs)
    return Record(
        tuple(jobs),
        held,
        share_interval(held, len(jobs)),
        float(np.abs(errors).mean()),
        float(errors.mean()),
        float(np.mean([one.crps for one in jobs])),
    )


def share_interval(held: int, count: int, inside: float = 0.95) -> tuple[float, float]:
    """Where a share lies that was met so often of so many [-].

    inside  [-] probability of the interval

    Source: C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404-413 (from memory).

    >>> [round(end, 3) for end in share_interval(9, 10)]
    [0.555, 0.997]
    """
    from scipy.stats import binomtest

    found = binomtest(held, count).proportion_ci(inside, "exact")
    return float(found.low), float(found.high)
