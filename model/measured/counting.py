"""Which pulses are true, and how many pitches of the wheel lie between two of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .columns import pieces

Floats = NDArray[np.float64]
Counts = NDArray[np.intp]
Marks = NDArray[np.bool_]

NEAR = 5  # intervals whose median is the pitch at a place: short enough for a stop, two odd ones do no harm
SHORT = 0.7  # [-] of a pitch: an interval below may be half of one that a false pulse cut in two
WHOLE = 0.3  # [-] by which such halves together may miss one pitch
LONGEST = 3.5  # [-] pitches beyond the missing teeth: longer is a stop, or a signal that was gone
MOST_MISSING = 4  # teeth side by side that are looked for where it is not said how many are missing
OFTEN = 0.5  # [-] of all turns that a long interval must end a turn after one like it, to be missing teeth
FEWEST_A_TURN = 3  # pulses that a wheel with missing teeth must leave, or the long interval is the rule
STEADY = 1.5  # [-] by which pitches may differ around a hole in the signal for the shaft to have gone on


def _typical(spans: Floats) -> Floats:
    """The pitch around each interval: the median of its neighbours and itself [s]."""
    if len(spans) < NEAR:
        return np.full(len(spans), np.median(spans))
    padded = np.pad(spans, NEAR // 2, mode="edge")
    found = np.empty(len(spans))
    for where in pieces(len(spans)):
        part = padded[where.start : where.stop + NEAR - 1]
        found[where] = np.median(np.lib.stride_tricks.sliding_window_view(part, NEAR), axis=1)
    return found


def without_doubled(pulses: Floats) -> tuple[Floats, Floats]:
    """The pulses without those that cut one pitch in two, and when those were."""
    doubled: list[Floats] = []
    for _ in range(3):  # a tooth that bounces more than once is mended from its last pulse to its first
        spans = np.diff(pulses)
        pitch = _typical(spans)[:-1]
        off = np.abs((spans[:-1] + spans[1:]) / pitch - 1)
        off[np.minimum(spans[:-1], spans[1:]) > SHORT * pitch] = np.inf
        around = np.pad(off, 1, constant_values=np.inf)
        false = 1 + np.flatnonzero((off < WHOLE) & (off <= around[:-2]) & (off < around[2:]))
        if not len(false):
            break
        doubled.append(pulses[false])
        pulses = np.delete(pulses, false)
    return pulses, np.sort(np.concatenate([np.zeros(0), *doubled]))


def pitches_between(spans: Floats, missing: int) -> tuple[Counts, Marks, Marks]:
    """How many pitches each interval is; which were long and counted all the same; which were pauses."""
    typical = _typical(spans)
    ratio = spans / typical
    pitches = np.maximum(np.rint(ratio), 1.0)
    long = ratio > missing + LONGEST
    turned_on = np.zeros(len(spans), dtype=bool)
    for i in np.flatnonzero(long):
        before, behind = spans[max(i - NEAR, 0) : i], spans[i + 1 : i + 1 + NEAR]
        if min(len(before), len(behind)) == NEAR and not long[i - NEAR : i].any() and _steady(before, behind):
            turned_on[i] = True
            pitches[i] = np.rint(spans[i] / np.median([before, behind]))
    pitches[long & ~turned_on] = 1.0
    return pitches.astype(np.intp), turned_on, long & ~turned_on


def _steady(before: Floats, behind: Floats) -> bool:
    """Whether the shaft neither slowed down before a hole nor got under way behind it."""
    third = NEAR // 2
    pitches = [np.median(part) for part in (before[:3], before[third:], behind[:3], behind[third:])]
    return bool(max(pitches) < STEADY * min(pitches))


@dataclass(frozen=True)
class Gaps:
    """How many teeth are missing, which intervals hold their place, and before which the count slipped."""

    missing: int
    here: Marks
    slipped: Marks


def missing_teeth(pitches: Counts, teeth: int, candidates: range) -> Gaps:
    """Which long intervals come back once a turn."""
    place = np.concatenate([[0], np.cumsum(pitches)])[:-1]
    none = np.zeros(len(pitches), dtype=bool)
    found = Gaps(0, none, none)
    most = max(OFTEN * (pitches.sum() / teeth - 1), 1.0)
    for missing in candidates:
        at = np.flatnonzero(pitches == missing + 1)
        returns = np.diff(place[at]) == teeth
        if missing and returns.sum() >= most:
            most = returns.sum()
            here, slipped = none.copy(), none.copy()
            sure = np.unique(np.concatenate([at[:-1][returns], at[1:][returns]]))
            here[at] = (place[at] - place[_last(sure, at)]) % teeth == 0
            slipped[sure[1:][np.diff(place[sure]) % teeth != 0]] = True
            found = Gaps(missing, here, slipped)
    return found


def in_a_gap(spans: Floats, pitches: Counts, gaps: Gaps, teeth: int) -> Counts:
    """Numbers of pulses that stand where teeth are missing.

    spans  [s] between the pulses

    Such a pulse comes first after the place where the gap begins, and with what follows it fills the gap.
    """
    starts = np.flatnonzero(gaps.here)
    if not len(starts):
        return starts
    place = np.concatenate([[0], np.cumsum(pitches)])[:-1]
    begins = (place - place[_last(starts, np.arange(len(spans)))]) % teeth == 0
    both = (spans[:-1] + spans[1:]) / _typical(spans)[:-1]
    fills = np.abs(both - (gaps.missing + 1)) < WHOLE
    return 1 + np.flatnonzero(begins[:-1] & ~gaps.here[:-1] & fills)


def _last(among: Counts, places: Counts) -> Counts:
    """The last of some rising numbers that is not beyond each place; the first where all are."""
    return np.asarray(among[np.maximum(np.searchsorted(among, places, side="right") - 1, 0)])
