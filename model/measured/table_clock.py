"""The clock of a table: which of its columns are times, and what is mended before they tell the time.

Times of day are carried over midnight, a clock that was set back goes on, stamps that are coarser than the
samples are spread between them, and what counts from 1970 counts from the first sample instead.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from .columns import Began, Column, Floats, even_clock, refused
from .notes import HealthNote
from .sensors import kind_of
from .stamps import Stamps
from .text_layout import EXAMPLE

NAMES = {"time", "t", "timestamp", "times", "elapsed time", "epoch", "unix time", "date", "datetime", "utc"}
IN_SECONDS = {"seconds", "seconds_elapsed", "elapsed seconds"}
SINCE_1970 = (9e8, 4.2e9)  # [s] that a clock may read today: 1998 to 2103
UNITS = {"s": 1.0, "ms": 1e-3, "µs": 1e-6, "ns": 1e-9}
PLACES = 6  # decimals of a second that are kept of a time since 1970: it has no more
BACK = 1.0  # [s] by which stamps fall when a clock is set back; less is a stamp out of order
SOON = 50  # stamps within which one that was wrong is over
COARSE = 0.2  # [-] of stamps that repeat the one before, from which on they are coarser than the samples
OFF_LINE = 1.6  # samples by which such stamps may change off one straight line


@dataclass(frozen=True)
class Clocked:
    """Columns with their clock, when it began, what was done in sentences, and what was wrong."""

    columns: tuple[Column, ...]
    began: Began | None = None
    done: tuple[str, ...] = ()
    notes: tuple[HealthNote, ...] = ()


@dataclass(frozen=True)
class _Reading:
    """Columns that together are a clock; how long it takes to begin again [s]; size of one unit [s]."""

    cells: tuple[int, ...]
    size: float
    absolute: bool
    period: float = 0.0
    zone: str = "Z"


def with_clock(
    names: Sequence[tuple[str, str]],
    table: Any,
    rate: float | None,
    file: str,
    stamps: Stamps | None = None,
    words: Sequence[int] = (),
) -> Clocked:
    """Columns out of a table whose column of times, if it has one, is found by its name, unit or stamps.

    names   (name, unit) of each column
    table   (rows, columns) [each its unit]
    rate    [Hz] of a table without a column of times
    stamps  how its dates and times were written, where it has some
    words   [-] numbers of the columns to leave aside, which hold words

    >>> table = np.stack([1.78e12 + 5.0 * np.arange(3), [0.0, 1.0, 0.0]], axis=1)
    >>> found = with_clock([("timestamp", ""), ("seat", "g")], table, None, "phone.csv")
    >>> found.columns[0].rate, found.began.seconds
    (200.0, 1780000000.0)
    """
    read = list(_readings(names, table, file, stamps))
    used = {cell for one in read for cell in one.cells} | set(words) | set(stamps.spare if stamps else ())
    others = [i for i in range(table.shape[1]) if i not in used]
    if not read and rate is None:
        raise refused(file, "wanted a column of times, or the rate of the samples", example=EXAMPLE)
    if not read:
        return Clocked(tuple(Column(*names[i], table[:, i], rate, 0.0, None, file) for i in others))
    clock = _finest(read, table)
    times, began = _since_began(table, clock, read)
    step, start, uneven, notes, said = _settled(times, clock.period, file)
    columns = tuple(Column(*names[i], table[:, i], step, start, uneven, file) for i in others)
    if stamps and stamps.unsure:
        said = (*said, f"{stamps.unsure} may begin with its day or its month: only times of day are used.")
    return Clocked(columns, began, said, notes)


# --- which columns ----------------------------------------------------------------------------------------


def _readings(
    names: Sequence[tuple[str, str]], table: Any, file: str, stamps: Stamps | None
) -> Iterator[_Reading]:
    """Every clock that the table holds: its stamps, its first column of absolute and of elapsed times."""
    if stamps:
        yield _Reading(stamps.cells, 1.0, True, stamps.period, stamps.zone)
    seen = {True} if stamps else set[bool]()
    for i, (name, unit) in enumerate(names):
        kind, called = kind_of(unit), name.casefold()
        timed = kind is not None and kind[0] == "time"
        if (stamps and i in (*stamps.cells, *stamps.spare)) or not (timed or called in NAMES | IN_SECONDS):
            continue
        first = _first(table[:, i])
        size = kind[1] if kind and timed else 1.0 if called in IN_SECONDS else _size_of(first)
        if size is None and seen:
            continue
        if size is None:
            wanted = "the column of times needs its unit, such as s or ms"
            raise refused(file, wanted, given=f"{name} [{unit}]" if unit else name, example=EXAMPLE)
        if abs(first * size) > SINCE_1970[1]:
            said = f"{first * size:.3g} s are more than a century since 1970: wanted the unit of these times"
            raise refused(file, said, given=f"{name} [{unit}]", example="time [ms]")
        absolute = first * size > SINCE_1970[0]
        if absolute not in seen:
            seen.add(absolute)
            yield _Reading((i,), size, absolute)


def _first(times: Any) -> float:
    """The first of some times that is a number [their unit]; NaN where the first thousand are none."""
    some = np.asarray(times[:1000], dtype=float)
    there = some[np.isfinite(some)]
    return float(there[0]) if len(there) else float("nan")


def _size_of(first: float) -> float | None:
    """What one unit of a time since 1970 is [s]: of the usual ones a single one makes it a time of today."""
    return next((size for size in UNITS.values() if SINCE_1970[0] < first * size < SINCE_1970[1]), None)


def _finest(read: Sequence[_Reading], table: Any) -> _Reading:
    """Elapsed times, where they are as long as the stamps say, for they are finer; else what there is."""
    absolute = next((one for one in read if one.absolute), None)
    elapsed = next((one for one in read if not one.absolute), None)
    if absolute is None or elapsed is None:
        return read[0]
    passed = [float(np.ptp(_raw(table, one)[[0, -1]])) for one in (absolute, elapsed)]
    return elapsed if abs(passed[0] - passed[1]) < 2.0 + 0.01 * passed[0] else absolute


def _raw(table: Any, clock: _Reading) -> Floats:
    """What a clock reads [s] (rows,)."""
    found = np.asarray(table[:, clock.cells[0]], dtype=float)
    for cell in clock.cells[1:]:
        found = found + table[:, cell]
    return found if clock.size == 1.0 else found * clock.size


def _since_began(table: Any, clock: _Reading, read: Sequence[_Reading]) -> tuple[Floats, Began | None]:
    """Times [s] as the file counts them, or from its first sample where they are absolute; when zero was."""
    times = _raw(table, clock)
    absolute = next((one for one in read if one.absolute), None)
    if absolute is None:
        return times, None
    began = _first(_raw(table[:1000], absolute))
    if absolute is clock:
        times = np.round(times - began, PLACES)
    else:
        began -= _first(times)
    return times, Began(began, absolute.period, absolute.zone)


# --- what is mended ---------------------------------------------------------------------------------------


def _settled(
    times: Floats, period: float, file: str
) -> tuple[float | None, float, Floats | None, tuple[HealthNote, ...], tuple[str, ...]]:
    """Rate [Hz] and start [s] of an even clock, or the times [s]; what was wrong, and what was done."""
    if even := even_clock(times):
        return *even, None, (), (f"Its times are even, {even[0]:.6g} Hz.",)
    if np.mean(np.diff(times) < 0) > 0.5:
        raise refused(file, "its times fall from line to line: wanted the first line first")
    times, notes = _going_on(_past_midnight(times, period), file)
    spread = _spread(times)
    said: tuple[str, ...] = ()
    if spread is not None:
        times, said = spread, ("Its stamps are coarser than its samples, which were spread between them.",)
    if even := even_clock(times):
        return *even, None, notes, (*said, f"Its times are even, {even[0]:.6g} Hz.")
    return None, 0.0, times, notes, (*said, "Its times are not even.")


def _past_midnight(times: Floats, period: float) -> Floats:
    """Times of the day, or of the hour, carried on over its end."""
    if not period:
        return times
    falls = np.diff(times, prepend=times[:1]) < -period / 2
    return np.asarray(times + period * np.cumsum(falls))


def _going_on(times: Floats, file: str) -> tuple[Floats, tuple[HealthNote, ...]]:
    """Times of a clock that is never set back; a single stamp that is wrong becomes none."""
    steps = np.diff(times)
    falls = np.flatnonzero((steps < -BACK) & np.isfinite(steps))
    if not len(falls):
        return times, ()
    rises = steps[steps > 0]
    usual = float(np.median(rises)) if len(rises) else 0.0
    found, back = times.copy(), np.zeros(len(times))
    for i in falls:
        after = times[i + 1 : i + 1 + SOON]
        after = after[np.isfinite(after)]
        if i and after.min() > times[i - 1]:
            found[i] = np.nan
        elif after.max() < times[i]:
            back[i + 1] = usual - steps[i]
    found += np.cumsum(back)
    set_back = np.flatnonzero(back)
    if not len(set_back):
        return found, ()
    often = "" if len(set_back) == 1 else f", and {len(set_back) - 1} times more"
    said = f"it was set back by {back[set_back[0]]:.6g} s{often}"
    start, end = (float(found[i - 1]) for i in set_back[[0, -1]])
    return found, (HealthNote(Path(file).name, "clock", start, end, said, "taken as going on"),)


def _spread(times: Floats) -> Floats | None:
    """Times [s] of samples whose stamps are coarser than they are, or None where they are not.

    The samples between two changes of the stamp lie evenly; where all changes lie on one line, so do all.
    """
    steps = np.diff(times)
    if not len(steps) or np.isnan(steps).any() or (steps < 0).any() or np.mean(steps == 0) < COARSE:
        return None
    changes = 1 + np.flatnonzero(steps)
    if len(changes) < 3:
        return None
    index = np.arange(len(times), dtype=float)
    rate, start = np.polyfit(changes, times[changes], 1)
    if np.abs(start + rate * changes - times[changes]).max() < OFF_LINE * rate:
        return np.asarray(start + rate * index)
    usual = float(np.median(np.diff(times[changes]) / np.diff(changes)))
    between = np.interp(index, changes, times[changes])
    between[: changes[0]] -= usual * (changes[0] - index[: changes[0]])
    between[changes[-1] :] += usual * (index[changes[-1] :] - changes[-1])
    return np.asarray(between)
