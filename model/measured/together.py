"""Files of one ride on one clock: by when they say that they began, or by the shake that all of them felt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from .columns import Began, Column, Floats, Found, pieces, refused, shifted
from .notes import HealthNote
from .roles import Pace, Taken
from .stamps import zone_seconds

QUARTER_HOUR = 900.0  # [s] by whole numbers of which time zones differ
FARTHEST = 14 * 3600.0  # [s] between two time zones of one ride
STEP = 0.2  # [s] of the levels that are compared
AROUND = 20.0  # [s] of the mean that they are compared about: hills and speeds are alike everywhere
MOST = 1.0  # [-] of a level, as a natural logarithm: a stop at lights is much like any other
LONGEST = 900.0  # [s] by which two devices may have been started apart
SHARED = 30.0  # [s] at least, and half of the shorter file, that both must hold
ALIKE = 0.5  # [-] of correlation from which on both felt the same
ELSEWHERE = 0.75  # [-] of it that may be reached at a time more than BESIDE away
BESIDE = 3.0  # [s]
AGREED = (
    0.3  # [s] of such a time, below which two clocks agree: an axle feels a bump after the one ahead of it
)
DEVICE = 0.1, 1.1  # [s] within which files of one device begin, and end


@dataclass(frozen=True)
class Stamped:
    """Files of which those that say when they began have one zero, and what was done to get there.

    found  the files, in the order given
    dated  numbers of those that say so
    began  when that zero was; None: no file says so
    """

    found: tuple[Found, ...]
    dated: frozenset[int] = frozenset()
    began: Began | None = None
    done: tuple[str, ...] = ()


def by_stamps(found: Sequence[Found]) -> Stamped:
    """Files that say when they began, on the clock of the first of them.

    Raises CounterbounceError where their times have nothing in common, whatever the time zone.
    """
    dated = [i for i, one in enumerate(found) if one.began]
    first = min(dated, key=lambda i: (_from_known(found[i]), i), default=None)
    if first is None:
        return Stamped(tuple(found))
    kept, done = list(found), list[str]()
    for i in dated:
        if i != first:
            later, said = _later(found[i], found[first])
            kept[i] = _moved(found[i], later)
            done.append(said)
    return Stamped(tuple(kept), frozenset(dated), found[first].began, tuple(done))


def _from_known(one: Found) -> tuple[float, bool]:
    """A file that tells the day and its time zone leads before one that does not."""
    assert one.began
    return one.began.period, zone_seconds(one.began.zone) is None


def _later(one: Found, first: Found) -> tuple[float, str]:
    """By how much one file's zero is later than another's [s], and why, in a sentence."""
    assert one.began
    assert first.began
    offset = one.began.seconds - first.began.seconds
    name, other = _name(one), _name(first)
    if offset_of := _shared(one, first, offset):
        return offset, f"{name} goes by its stamps beside {other}: they share {offset_of:.4g} s."
    period = max(one.began.period, first.began.period)
    zoned = [zone_seconds(began.zone) is not None for began in (one.began, first.began)]
    step = period or (0.0 if all(zoned) else QUARTER_HOUR)
    far = FARTHEST if not period else abs(offset) + period
    tried = [offset + n * step for n in range(-int(far // step), int(far // step) + 1)] if step else []
    shared = {at: _shared(one, first, at) for at in tried}
    best = max(shared, key=lambda at: shared[at], default=offset)
    alike = [at for at in shared if shared[at] > 0.5 * shared[best] > 0]
    if len(alike) != 1:
        raise refused(
            one.columns[0].file, f"its times and those of {other} have nothing in common", _when(one, first)
        )
    why = "it does not tell the day" if period else "it does not tell its time zone, and only so do they meet"
    return best, f"{name} was put {best - offset:+.6g} s beside its stamps: {why}."


def _shared(one: Found, first: Found, later: float) -> float:
    """How long both files last together [s], where one's zero is later than the other's [s]."""
    (low, high), (start, end) = _span(one), _span(first)
    return max(min(high + later, end) - max(low + later, start), 0.0)


def _span(one: Found) -> tuple[float, float]:
    ends = [column.ends for column in one.columns]
    return min(low for low, _ in ends), max(high for _, high in ends)


def _when(*files: Found) -> str:
    """When files run, by their own stamps."""
    spans = [(_name(one), one.began, *_span(one)) for one in files]
    return "; ".join(
        f"{name} {began.at(low)} to {began.at(high)}" for name, began, low, high in spans if began
    )


def _name(one: Found) -> str:
    return Path(one.columns[0].file).name


def _moved(one: Found, later: float) -> Found:
    """A file on a clock whose zero was earlier by `later` [s]."""
    notes = tuple(replace(note, start=note.start + later, end=note.end + later) for note in one.notes)
    return replace(one, columns=tuple(shifted(column, -later) for column in one.columns), notes=notes)


# --- by what they felt --------------------------------------------------------------------------------------


def on_one_clock(
    taken: Sequence[Taken], pace: Pace | None, dated: Mapping[str, bool]
) -> tuple[list[Taken], Pace | None, list[HealthNote], list[str]]:
    """Columns of all files on the clock of the first, each with the number of the device that it came from.

    dated  whether each file said when it began, so that its stamps hold where nothing better tells

    What files of several devices felt is compared; where it tells when they began, they are moved.
    """
    files = list(dict.fromkeys(one.column.file for one in taken))
    notes, done = list[HealthNote](), list[str]()
    moved, first = list(taken), [one for one in taken if one.column.file == files[0]]
    for number, file in enumerate(files[1:], 1):
        own = [one for one in taken if one.column.file == file]
        if _one_device(first, own):
            continue
        later = by_shake(first, own)
        by = later.seconds if later.told and abs(later.seconds) > AGREED else 0.0
        moved = [_on_clock(one, number, by) if one.column.file == file else one for one in moved]
        pace = replace(pace, column=shifted(pace.column, -by)) if pace and pace.column.file == file else pace
        notes += _told(own[0].column, files[0], later, dated[file] and dated[files[0]])
    if pace and pace.column.file not in files and not (dated[pace.column.file] and dated[files[0]]):
        name, other = Path(pace.column.file).name, Path(files[0]).name
        done.append(f"Nothing tells when {name} began beside {other}: taken as if both began at once.")
    return moved, pace, notes, done


def _one_device(first: Sequence[Taken], other: Sequence[Taken]) -> bool:
    """Whether two files begin and end so nearly together that one device wrote both."""
    ends = [np.array([one.column.ends for one in part]) for part in (first, other)]
    low, high = (
        ends[0].min(axis=0)[0] - ends[1].min(axis=0)[0],
        ends[0].max(axis=0)[1] - ends[1].max(axis=0)[1],
    )
    return bool(abs(low) < DEVICE[0] and abs(high) < DEVICE[1])


def _on_clock(one: Taken, number: int, later: float) -> Taken:
    return replace(one, column=shifted(one.column, -later), clock=number)


def _told(column: Column, other: str, later: Later, dated: bool) -> list[HealthNote]:
    """What is said of a file of another device than the first."""
    name, beside = Path(column.file).name, Path(other).name
    known = "by its stamps" if dated else "if both began at once"
    if later.told and abs(later.seconds) > AGREED:
        word = "after" if later.seconds > 0 else "before"
        found = (
            f"by its shake it began {abs(later.seconds):.1f} s {word} where it would be {known}, "
            f"beside {beside} (correlation {later.alike:.2f})"
        )
        done = "put there; phases between points of both are not told"
    elif later.told or dated:
        return []
    else:
        found = f"nothing tells when it began beside {beside}"
        done = "taken as if both began at once: knock once near each sensor while both record"
    start, end = column.ends
    return [HealthNote(name, "clock", start, end, found, done)]


@dataclass(frozen=True)
class Later:
    """How much later the zero of a clock is than that of the first, and what tells so.

    seconds  [s]; 0 where nothing tells
    alike    [-] correlation of what both felt there
    told     whether it stands out
    """

    seconds: float
    alike: float
    told: bool


def by_shake(first: Sequence[Taken], other: Sequence[Taken]) -> Later:
    """How much later one clock began than another, by how strongly the sensors on both shake.

    Bumps and smooth stretches are felt all over a vehicle at nearly the same time.
    """
    from scipy.signal import correlate

    if not (first and other):
        return Later(0.0, 0.0, False)
    (begins, one), (starts, two) = _levels(first), _levels(other)
    least = int(max(SHARED / STEP, min(len(one), len(two)) / 2))
    if min(len(one), len(two)) < least:
        return Later(0.0, 0.0, False)
    lags = np.arange(1 - len(two), len(one))
    shared = np.minimum(len(one), lags + len(two)) - np.maximum(lags, 0)
    power = _overlapping(one**2, two**2, lags)
    likeness = np.asarray(correlate(one, two)) / np.sqrt(np.maximum(power, 1e-12))
    later = lags * STEP + begins - starts
    likeness[(shared < least) | (np.abs(later) > LONGEST)] = 0.0
    best = int(np.argmax(likeness))
    beside = np.abs(lags - lags[best]) * STEP <= BESIDE
    top = float(likeness[best])
    told = top > ALIKE and float(likeness[~beside].max(initial=0.0)) < ELSEWHERE * top
    return (
        Later(float(later[best]) + STEP * _off_top(likeness, best), top, told)
        if told
        else Later(0.0, top, False)
    )


def _levels(taken: Sequence[Taken]) -> tuple[float, Floats]:
    """When the first level was [s], and how the shake goes up and down, as a logarithm (n,) [-]."""
    from scipy.ndimage import uniform_filter1d

    ends = [one.column.ends for one in taken]
    first = int(np.floor(min(low for low, _ in ends) / STEP))
    count = int(np.floor(max(high for _, high in ends) / STEP)) + 1 - first
    total = np.zeros(count)
    for one in taken:
        power = _power(one.column, first, count)
        there = power > 0
        level = np.log(np.where(there, power, 1.0))
        level -= level[there].mean() if there.any() else 0.0
        total += np.where(there, level, 0.0)
    total -= uniform_filter1d(total, round(AROUND / STEP))
    return first * STEP, np.clip(total / len(taken), -MOST, MOST)


def _power(column: Column, first: int, count: int) -> Floats:
    """Variance within each step of time [its unit squared]; 0 where it has no values."""
    sums = np.zeros((3, count))
    for where in pieces(len(column)):
        values = column.part(where)
        if column.rate is not None:
            times = column.start + np.arange(where.start, where.stop) / column.rate
        else:
            times = np.asarray(column.times[where])
        there = np.isfinite(values) & np.isfinite(times)
        block = np.floor(times[there] / STEP).astype(int) - first
        for row, weights in enumerate((None, values[there], values[there] ** 2)):
            sums[row] += np.bincount(block, weights, count)[:count]
    number = np.maximum(sums[0], 1.0)
    return np.where(sums[0] > 3, np.maximum(sums[2] / number - (sums[1] / number) ** 2, 0.0), 0.0)


def _overlapping(
    one: Floats, two: Floats, lags: Floats | np.ndarray[tuple[int], np.dtype[np.intp]]
) -> Floats:
    """Product of what both sum up to where they overlap, for each lag [-]."""
    low, high = np.maximum(lags, 0), np.minimum(len(one), lags + len(two))
    sums = [np.concatenate([[0.0], np.cumsum(part)]) for part in (one, two)]
    return np.asarray((sums[0][high] - sums[0][low]) * (sums[1][high - lags] - sums[1][low - lags]))


def _off_top(curve: Floats, at: int) -> float:
    """How far the top of a parabola through a largest value and its neighbours lies from it [places]."""
    if not 0 < at < len(curve) - 1:
        return 0.0
    before, top, after = curve[at - 1 : at + 2]
    bend = before - 2 * top + after
    return float(0.5 * (before - after) / bend) if bend < 0 else 0.0
