"""The road speed of a recording: from readings a second or less often to a speed at every instant."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .clock import Grid
from .columns import Floats, pieces
from .notes import HealthNote
from .roles import Pace

READINGS = 10.0  # [1/s] that are kept of a speed: a vehicle does not change it faster
COUNTED = 0.5  # [s] over which pulses are counted
STEPS = (0.01, 0.1, 0.2, 0.25, 0.5, 1.0, 2.0)  # in the file's own unit, to which displays round
COARSE = 0.02  # [m/s] of rounding below which nothing is smoothed
HELD = 0.6  # [-] of readings that repeat the one before, from which on they are held until a new one comes
FEW = 8  # changes that tell an interval
INTERVALS = (2.0, 1.0, 0.5, 0.25, 0.2)  # [s] at which devices usually tell a new speed
OFF_TICK, MOSTLY = 0.1, 0.9  # [-] of an interval by which changes may lie off its ticks; how many must not
STEEPEST = 10.0  # [m/s^2] that no road vehicle brakes or accelerates with
SPIKE = 3.0  # [s] within which a speed that jumps has come back
CLOSER = 0.9  # [-] of the rounding's r.m.s.: best over 18 simulated speeds, by 20 % against 1
STIFFEST = 1e9  # [-] weight of the bends against the readings, beyond which a line is straight


@dataclass(frozen=True)
class SpeedPoints:
    """Road speed [m/s] at some times [s]; `step` [m/s] is what it was rounded to, 0 where it was not."""

    times: Floats
    speeds: Floats
    step: float = 0.0

    def at(self, times: Floats, lag: float = 0.0) -> Floats:
        """The speed [m/s] at times [s] of the ride, of readings that are late by `lag` [s]."""
        return np.interp(times + lag, self.times, self.speeds)


def speed_points(pace: Pace) -> SpeedPoints:
    """What the column says, ten times a second at most, in the middle of each mean.

    >>> from .columns import Column
    >>> column = Column("speed", "km/h", np.arange(50.0), 25.0)
    >>> points = speed_points(Pace(column, 1 / 3.6, False, None))
    >>> points.times[:2].tolist(), (3.6 * points.speeds[:2]).round(3).tolist()
    ([0.04, 0.16], [1.0, 4.0])
    """
    column = pace.column
    if column.rate is None:
        times, values = np.asarray(column.times), column.part(slice(None))
    else:
        count = max(int(np.ceil(column.rate * (COUNTED if pace.counts else 1 / READINGS))), 1)
        times, values = _means(pace, count)
    there = np.isfinite(values)
    times, values = times[there], values[there]
    if pace.counts:
        rates = np.diff(values) / np.diff(times)
        return SpeedPoints((times[1:] + times[:-1]) / 2, rates * pace.factor)
    step = rounded_to(values) * pace.factor
    times, values = _ticks(times, values)
    return SpeedPoints(times, values * pace.factor, step if step > COARSE else 0.0)


def _ticks(times: Floats, values: Floats) -> tuple[Floats, Floats]:
    """Of readings that are repeated until a new one comes, one for each time that a new one may have come.

    A rounded reading may well be the same as the last: the changes tell the interval, not each tick.
    """
    changed = 1 + np.flatnonzero(np.diff(values))
    if len(changed) < FEW or len(changed) > (1 - HELD) * len(values):
        return times, values
    gaps, step = np.diff(times[changed]), float(np.median(np.diff(times)))
    for usual in INTERVALS:
        passed = np.maximum(np.round(gaps / usual), 1.0)
        ticked = np.concatenate([[0.0], np.cumsum(passed)])
        off = np.abs(gaps - usual * passed)
        if usual >= 2.5 * step and np.mean(off < OFF_TICK * usual + step) > MOSTLY:
            break
    else:
        return times, values
    interval, first = np.polyfit(ticked, times[changed], 1)
    ticks = np.arange(first - interval * np.floor((first - times[0]) / interval), times[-1], interval)
    held = np.searchsorted(times, ticks + interval / 2).clip(0, len(times) - 1)
    return ticks, values[held]


def _means(pace: Pace, count: int) -> tuple[Floats, Floats]:
    """Means of so many readings each [the file's unit], and the time of their middle [s].

    Of readings that are held, which means would blur, one of so many.
    """
    column, size = pace.column, (1 << 16) // count * count or count
    assert column.rate is not None
    held = np.mean(np.diff(column.part(slice(0, size))) == 0) > HELD
    times, values = [], []
    for where in pieces(len(column), size):
        part = column.part(where)
        whole = len(part) // count * count
        rows, firsts = part[:whole].reshape(-1, count), where.start + np.arange(0, whole, count)
        if held:
            times.append(column.start + firsts / column.rate)
            values.append(rows[:, 0])
            continue
        there = np.isfinite(rows)  # a speed may be written only where it is new, blanks between
        with np.errstate(invalid="ignore"):
            middle = there @ np.arange(count) / there.sum(axis=1)
            values.append(np.where(there, rows, 0.0).sum(axis=1) / there.sum(axis=1))
        times.append(column.start + (firsts + middle) / column.rate)
    return np.concatenate(times), np.concatenate(values)


def rounded_to(values: Floats) -> float:
    """The coarsest usual step that all readings are multiples of, in their own unit; 0 where there is none.

    >>> [rounded_to(np.array(speeds)) for speeds in ([80.0, 81.0, 83.0], [80.5, 81.25], [80.123])]
    [1.0, 0.25, 0.0]
    """
    for step in reversed(STEPS):
        if len(values) and np.abs(values / step - np.round(values / step)).max() < 1e-6:
            return step
    return 0.0


def without_jumps(points: SpeedPoints) -> tuple[SpeedPoints, list[HealthNote]]:
    """The readings without those that jump away and come back; a jump that stays is told and left.

    >>> points, notes = without_jumps(SpeedPoints(np.arange(6.0), np.array([20, 20, 45, 20, 20, 20.0])))
    >>> points.speeds.tolist(), notes[0].found
    ([20.0, 20.0, 20.0, 20.0, 20.0], '25 m/s^2 between two readings')
    """
    times, speeds = points.times, points.speeds
    kept, notes = np.ones(len(times), dtype=bool), []
    i = 0
    while i < len(times) - 1:
        steep = abs(speeds[i + 1] - speeds[i]) / (times[i + 1] - times[i])
        allowed = STEEPEST + points.step / (times[i + 1] - times[i])
        if steep <= allowed:
            i += 1
            continue
        back = _back(points, i)
        found, until = f"{steep:.2g} m/s^2 between two readings", times[back or i + 1]
        done = "the readings were left out and bridged" if back else "left as it is"
        notes.append(HealthNote("speed", "speed jump", float(times[i]), float(until), found, done))
        kept[i + 1 : back or i + 1] = False
        i = back or i + 1
    return SpeedPoints(times[kept], speeds[kept], points.step), notes


def _back(points: SpeedPoints, before: int) -> int | None:
    """The first reading after a jump that could follow the one before it."""
    times, speeds = points.times, points.speeds
    for i in range(before + 2, len(times)):
        passed = times[i] - times[before]
        if passed > SPIKE:
            return None
        if abs(speeds[i] - speeds[before]) <= STEEPEST * passed / 2 + points.step:
            return i
    return None


def smoothed(points: SpeedPoints) -> SpeedPoints:
    """Rounded readings as the stiffest line that misses them by 0.9 of what rounding does, step / sqrt 12.

    The line weighs its bends (second differences) against its distance to the readings, after Whittaker
    1923, "On a new method of graduation" (from memory).

    >>> times = np.arange(60.0)
    >>> points = SpeedPoints(times, np.round(20 + 0.07 * times), 1.0)
    >>> bool(np.abs(smoothed(points).speeds - (20 + 0.07 * times))[5:-5].max() < 0.15)
    True
    """
    if not points.step or len(points.times) < 5:
        return points
    allowed, low, high = CLOSER * points.step / np.sqrt(12), 1e-3, STIFFEST
    for _ in range(40):
        middle = np.sqrt(low * high)
        missed = np.sqrt(np.mean((_line(points, middle) - points.speeds) ** 2))
        low, high = (middle, high) if missed < allowed else (low, middle)
    return SpeedPoints(points.times, _line(points, low), points.step)


def _line(points: SpeedPoints, stiffness: float) -> Floats:
    """The line that costs least, where stiffness is the cost of its bends [s^4]."""
    from scipy.linalg import solveh_banded

    steps, count = np.diff(points.times), len(points.times)
    before, after = steps[:-1], steps[1:]
    width = (before + after) / 2
    bends = np.stack([1 / (before * width), -(1 / before + 1 / after) / width, 1 / (after * width)])
    banded = np.zeros((3, count))
    banded[2] = 1.0
    for i in range(3):
        for j in range(i, 3):
            banded[2 - (j - i), j : count - 2 + j] += stiffness * bends[i] * bends[j]
    return np.asarray(solveh_banded(banded, points.speeds))


def filled(points: SpeedPoints, grid: Grid, out: Floats, lag: float = 0.0) -> None:
    """The speed at every instant of a clock [m/s], into `out` [m/s] (count,).

    lag  [s] by which the readings are late
    """
    for where in pieces(grid.count):
        out[where] = points.at(grid.times(where), lag)
