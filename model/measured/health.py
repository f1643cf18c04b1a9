"""What is wrong with a column as it was read: values cut off at the sensor's end, values that are none."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .clock import nominal_rate
from .columns import Column, Floats, pieces
from .notes import HealthNote

AT_THE_END = 1e-6  # [-] of the range within which a value is the largest
NEXT = 0.02  # [-] of the range below it, in which there should be about as many
PILED = 2.0  # times as many: a pile
FEWEST = 6  # samples that make one
VISITS = 4  # of the very same largest value, which without coarse digits never comes back by chance
BY_DIGITS = 3.0  # times as many visits as coarse digits alone would make
HOLD = 0.02  # [s], or five samples, for which a reading may stay the same
BY_CHANCE = 1e-4  # of a ride: how often coarse digits alone may make a run as long as what is taken for held
BUSY = 2.0  # steps of its digits by which neighbours usually differ where a reading does not rest
AROUND = 0.25  # [s] on either side that are looked at
MOST = 500  # held readings that are looked at


@dataclass(frozen=True)
class _Extent:
    low: float
    high: float
    digit: float


def of_column(name: str, column: Column, factor: float) -> tuple[Column, list[HealthNote]]:
    """The column without what is no reading, and what was found.

    factor  [m/s^2] of one reading

    >>> wave = 2 * np.sin(np.arange(4000) / 7.0)
    >>> column, notes = of_column("seat", Column("seat", "m/s^2", np.clip(wave, -1.9, 1.9), 200.0), 1.0)
    >>> [(note.kind, note.found) for note in notes]
    [('clipping', '803 samples at -1.9 and 1.9 m/s^2')]
    """
    extent = _extent(column)
    if extent is None or extent.high <= extent.low:
        return column, []
    notes = _clipping(name, column, extent, factor)
    held = [] if column.rate is None else _held(column, extent)
    if not held:
        return column, notes
    rate, longest = nominal_rate(column), max(b - a for a, b in held)
    start, end = column.start + held[0][0] / rate, column.start + held[-1][1] / rate
    times = "once" if len(held) == 1 else f"{len(held)} times"
    said = f"{times} the same reading over and over, up to {longest / rate:.3g} s"
    notes.append(
        HealthNote(name, "dropout", start, end, said, "taken as missing: bridged, or a cut where long")
    )
    return replace(column, lost=tuple(held)), notes


def _extent(column: Column) -> _Extent | None:
    """Smallest and largest value, and the smallest difference between neighbours."""
    low, high, digit = np.inf, -np.inf, np.inf
    for where in pieces(len(column)):
        values = column.part(where)
        values = values[np.isfinite(values)]
        if len(values):
            low, high = min(low, float(values.min())), max(high, float(values.max()))
        if digit == np.inf and len(values) > 1:
            steps = np.abs(np.diff(values))
            digit = float(steps[steps > 0].min(initial=np.inf))
    return _Extent(low, high, digit if np.isfinite(digit) else 0.0) if high > -np.inf else None


def _clipping(name: str, column: Column, extent: _Extent, factor: float) -> list[HealthNote]:
    """A pile of values at an end of the range, where a few would be."""
    span = extent.high - extent.low
    tight, wide = AT_THE_END * span, max(NEXT * span, 3.5 * extent.digit)
    counts, runs, visits = np.zeros((2, 2), dtype=int), np.zeros(2, dtype=int), np.zeros(2, dtype=int)
    when = [np.inf, -np.inf]
    for where in pieces(len(column)):
        values = column.part(where)
        for side, depth in enumerate((values - extent.low, extent.high - values)):
            at = depth <= tight
            counts[side] += int(at.sum()), int(((depth > tight) & (depth <= wide)).sum())
            runs[side] += int((at[1:] & at[:-1]).sum())
            visits[side] += int((at[1:] & ~at[:-1]).sum())
            hit = np.flatnonzero(at)
            if len(hit):
                when = [min(when[0], where.start + hit[0]), max(when[1], where.start + hit[-1])]
    ends = (extent.low, extent.high)
    by_digits = BY_DIGITS * counts[:, 1] * max(extent.digit, tight) / wide
    piled = [
        i
        for i in range(2)
        if runs[i]
        and (
            (counts[i, 0] >= FEWEST and counts[i, 0] > PILED * counts[i, 1])
            or visits[i] >= VISITS + by_digits[i]
        )
    ]
    if not piled:
        return []
    levels = " and ".join(f"{v:.4g}" for v in sorted(ends[i] * factor for i in piled))
    start, end = (_when(column, int(i)) for i in when)
    found = f"{sum(int(counts[i, 0]) for i in piled)} samples at {levels} m/s^2"
    done = "left as it is: levels are too low there, and harmonics are made up"
    return [HealthNote(name, "clipping", start, end, found, done)]


def _when(column: Column, number: int) -> float:
    return column.start + number / column.rate if column.rate is not None else float(column.times[number])


def _held(column: Column, extent: _Extent) -> list[tuple[int, int]]:
    """(first, end) of readings that repeat the one before them, while those around them do not rest."""
    rate = nominal_rate(column)
    longest = max(5, int(np.ceil(HOLD * rate)), _by_chance(column))
    found: list[tuple[int, int]] = []
    for where in pieces(len(column)):
        values = column.part(slice(max(where.start - longest, 0), where.stop))
        offset = max(where.start - longest, 0)
        for first, end in _runs(np.diff(values) == 0):
            if end - first >= longest - 1 and len(found) < MOST:
                found.append((offset + first + 1, offset + end + 1))
    joined: list[tuple[int, int]] = []
    for first, end in found:  # a run over the border of two pieces is found twice
        if joined and first <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((first, end))
    clipped = AT_THE_END * (extent.high - extent.low)
    return [one for one in joined if _abrupt(column, one, rate, extent, clipped)]


def _by_chance(column: Column) -> int:
    """How many equal readings in a row would be rare, if each repeats the one before as often as they do."""
    same = count = 0
    for where in pieces(len(column)):
        values = column.part(where)
        same, count = same + int(np.sum(values[1:] == values[:-1])), count + len(values) - 1
    share = min(max(same / max(count, 1), 1e-9), 0.5)
    return 2 + int(np.log(BY_CHANCE / max(count, 1)) / np.log(share))


def _runs(flags: Floats | np.ndarray[tuple[int], np.dtype[np.bool_]]) -> list[tuple[int, int]]:
    """(first, end) of each run of flags that are set."""
    edges = np.diff(np.concatenate([[0], np.asarray(flags).astype(np.int8), [0]]))
    return list(zip(np.flatnonzero(edges == 1).tolist(), np.flatnonzero(edges == -1).tolist(), strict=True))


def _abrupt(column: Column, run: tuple[int, int], rate: float, extent: _Extent, clipped: float) -> bool:
    """Whether the readings before and after a held one, as far as there are any, are restless, and it is not
    one that was cut off."""
    (first, end), size = run, max(int(AROUND * rate), 8)
    level = float(column.part(slice(first, first + 1))[0])
    if min(level - extent.low, extent.high - level) <= clipped:
        return False
    sides = column.part(slice(max(first - 1 - size, 0), first - 1)), column.part(slice(end, end + size))
    steps = [np.abs(np.diff(side)) for side in sides if len(side) > 3]
    quiet = [not np.median(step) > BUSY * extent.digit for step in steps]
    return bool(steps) and not any(quiet)
