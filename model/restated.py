"""The numbers of a calibrated case: what it has to state anew, with spreads, and which of them hang together.

What moved is stated.  A number that no case can state (a leaf's static deflection) speaks through those that
are estimated from it, and these are stated.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .calibrated import Calibrated
from .numbers import NORMAL_95, Known

Floats = NDArray[np.float64]

STEP = 0.05  # standard deviations, either way
FELT = 1e-6  # of a number: what moves it less has no part in it
TIE = 0.03  # correlations below it are left out [-]


@dataclass(frozen=True)
class Restated:
    """What a calibrated case states anew.

    numbers  by path, with origin `calibrated`
    ties     correlations of the scores of uncertain numbers, by two paths [-]
    """

    numbers: Mapping[str, Known]
    ties: Mapping[tuple[str, str], float]


def restated(found: Calibrated, statable: Callable[[str], bool], least: bool = False) -> Restated:
    """The numbers that a case has to state so that its best estimate is the calibrated vehicle.

    statable  whether a case can state the number of a path
    least     whether the least moves are stated as well [-]

    >>> from .calibrate import calibrate
    >>> from .datum import Datum
    >>> from .example import small_case
    >>> told = calibrate(small_case(), [Datum("axle load", 2050.0, 10.0, axle="front")])
    >>> known = restated(told, lambda path: True).numbers["axle.front.load"]
    >>> known.origin, round(known.value), round(known.half)
    ('calibrated', 2050, 10)
    """
    slopes = _slopes(found)
    moved = set(found.paths if least else found.moved)
    silent = [i for i, path in enumerate(found.paths) if path in moved and not statable(path)]
    chosen = [p for p in found.paths if p in moved and statable(p)]
    chosen += _spokesmen(found, [p for p in slopes if statable(p) and p not in moved], chosen, silent)
    now = found.numbers
    numbers = {path: _known(found, path, slopes[path], float(now[path])) for path in chosen}
    return Restated(numbers, _ties(found, slopes, list(numbers), set(silent)))


def _spokesmen(found: Calibrated, may: list[str], stated: list[str], silent: list[int]) -> list[str]:
    """Numbers that are estimated from silent ones themselves, not by way of others that are stated."""
    if not silent:
        return []
    now, paths = found.numbers, [found.paths[i] for i in silent]
    scores = found.scores[silent, None] + STEP * np.hstack([np.eye(len(silent)), -np.eye(len(silent))])
    chosen = []
    for path in may:
        known = {p: Known(now[p], 0.0, "calibrated") for p in (*may, *stated) if p != path}
        held = found.case.numbers.with_given(known).with_scores(dict(zip(paths, scores, strict=True)))
        if np.ptp(held[path]) > FELT * abs(float(now[path])):
            chosen.append(path)
    return chosen


def _slopes(found: Calibrated) -> dict[str, Floats]:
    """What each score does to each number that was asked for, (D,): to its logarithm, or to a shift."""
    width, now = STEP * np.eye(len(found.paths)), found.scores
    moved = np.vstack([now + width, now - width])
    many = found.case.numbers.with_scores(dict(zip(found.paths, moved.T, strict=True)))
    slopes = {}
    for path, known in found.case.numbers.ledger.items():
        value = np.broadcast_to(np.asarray(many[path], dtype=float), (len(moved),))
        if known.law == "factor":
            if not (value > 0).all():
                continue
            value = np.log(value)
        slope = (value[: len(now)] - value[len(now) :]) / (2 * STEP)
        slopes[path] = np.where(np.abs(slope) > FELT, slope, 0.0)
    return slopes


def _known(found: Calibrated, path: str, slope: Floats, value: float) -> Known:
    spread = NORMAL_95 * float(np.sqrt(slope @ found.covariance @ slope))
    old = found.case.numbers.ledger[path]
    half = spread if old.law == "shift" else float(np.expm1(spread)) * abs(value)
    was = f"{old.origin}: {old.source}" if old.source else old.origin
    return Known(value, half, "calibrated", was, old.law, old.unit)


def _ties(
    found: Calibrated, slopes: Mapping[str, Floats], stated: list[str], silent: set[int]
) -> dict[tuple[str, str], float]:
    """Correlations of every number that is still uncertain; one stated anew carries all that it hangs on."""
    own = np.eye(len(found.paths))
    rows = {path: own[i] for i, path in enumerate(found.paths) if i not in silent}
    rows |= {path: slopes[path] for path in stated}
    paths, table = list(rows), np.array(list(rows.values()))
    if not paths:
        return {}
    both = table @ found.covariance @ table.T
    spread = np.sqrt(np.diag(both))
    tied = both / np.maximum(np.outer(spread, spread), 1e-300)
    pairs = zip(*np.where(np.triu(np.abs(tied), 1) > TIE), strict=True)
    return {(paths[i], paths[j]): round(float(tied[i, j]), 3) for i, j in pairs}
