"""One clock for columns of different rates, starts and stamps; gaps are found, and long ones cut the ride."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor

import numpy as np

from .columns import PIECE, Column, Floats, pieces, refused

FASTEST = 2000.0  # [Hz] of the common clock: what shakes people lies below 30 Hz
BRIDGED = 0.05  # [s] without samples that a cubic spline may bridge, or three steps where that is longer
JITTERY = 1.75  # [-] of a step of uneven stamps, from which on a sample is missing and not merely late
SHORTEST = 1.0  # [s] of a stretch between two cuts that is worth keeping
LOBES = 24  # of the sine cardinal on either side of an instant between samples
SHAPE = 8.0  # of the Kaiser window over it: what lies beyond half the rate is 80 dB down
SAME = 0.01  # [-] of a step within which two clocks are one


@dataclass(frozen=True)
class Grid:
    """Instants of a common clock: `count` of them from `start` [s] on, `rate` [Hz] a second."""

    start: float
    rate: float
    count: int

    @property
    def end(self) -> float:
        """The last instant [s]."""
        return self.start + (self.count - 1) / self.rate

    def times(self, where: slice) -> Floats:
        """Some of its instants [s]."""
        return self.start + np.arange(where.start, where.stop) / self.rate


def nominal_rate(column: Column) -> float:
    """The rate of an even clock, or one over the median step of stamps [Hz]."""
    if column.rate is not None:
        return column.rate
    steps = np.diff(np.asarray(column.times))
    rising = steps[steps > 0]
    return float(1 / np.median(rising)) if len(rising) else 0.0


def rising(column: Column) -> tuple[Column, int]:
    """The column without values that are missing or whose stamps do not rise, and how many stamps did not.

    Columns with an even clock stay as they are.
    """
    if column.rate is not None or _rises_whole(column):
        return column, 0
    times, values = np.asarray(column.times, dtype=float), column.part(slice(None))
    times = np.where(np.isfinite(times), times, -np.inf)
    before = np.concatenate([[-np.inf], np.maximum.accumulate(times)[:-1]])
    late = times > before
    kept = late & np.isfinite(values)
    return replace(column, times=times[kept], values=values[kept], scale=1.0), int(np.sum(~late))


def _rises_whole(column: Column) -> bool:
    """Whether every stamp rises and every value is there, so that nothing has to be copied."""
    last = -np.inf
    for where in pieces(len(column)):
        times = np.asarray(column.times[where], dtype=float)
        if not (np.isfinite(column.part(where)).all() and (np.diff(times, prepend=last) > 0).all()):
            return False
        last = times[-1]
    return True


@dataclass(frozen=True)
class Survey:
    """When a column has values: from first to last [s], but for long gaps; how many short ones there are."""

    first: float
    last: float
    gaps: tuple[tuple[float, float], ...]
    bridged: int


def survey(column: Column, bridged: float = BRIDGED) -> Survey:
    """When a column has values.  Raises CounterbounceError where it has none.

    bridged  [s] that may be bridged, or three steps where that is longer

    >>> holed = Column("seat", "g", np.array([1.0, np.nan, 1.0, np.nan, np.nan, np.nan, np.nan, 1.0]), 10.0)
    >>> survey(holed)
    Survey(first=0.0, last=0.7, gaps=((0.2, 0.7),), bridged=1)
    """
    rate = nominal_rate(column)
    allowed = max(bridged, 3.01 / rate) if rate else 0.0
    lost = 1.5 if column.rate else JITTERY
    long: list[tuple[float, float]] = []
    short, first, last = 0, None, None
    for times in _stamps(column):
        joined = times if last is None else np.concatenate([[last], times])
        first, last = (joined[0] if first is None else first), joined[-1]
        for i in np.flatnonzero(np.diff(joined) > lost / rate):
            if joined[i + 1] - joined[i] > allowed:
                long.append((float(joined[i]), float(joined[i + 1])))
            else:
                short += 1
    if first is None or last is None or last <= first:
        raise refused(column.file, "holds no numbers in this column", given=column.name)
    return Survey(float(first), float(last), tuple(long), short)


def _stamps(column: Column) -> Iterator[Floats]:
    """Times [s] of the values that are there, piece by piece."""
    if column.rate is None:
        if len(column.times):
            yield np.asarray(column.times)
        return
    for where in pieces(len(column)):
        there = np.flatnonzero(np.isfinite(column.part(where))) + where.start
        if len(there):
            yield column.start + there / column.rate


def stretches(surveys: Sequence[Survey]) -> list[tuple[float, float]]:
    """(from, to) [s] of what all columns share between their long gaps, in order of time.

    >>> whole, cut = Survey(0.0, 60.0, (), 0), Survey(1.0, 70.0, ((20.0, 21.0),), 0)
    >>> stretches([whole, cut])
    [(1.0, 20.0), (21.0, 60.0)]
    """
    start, end = max(s.first for s in surveys), min(s.last for s in surveys)
    found = []
    for begins, ends in sorted(gap for one in surveys for gap in one.gaps):
        if ends <= start or begins >= end:
            continue
        found.append((start, begins))
        start = max(start, ends)
    found.append((start, end))
    return [(a, b) for a, b in found if b - a >= SHORTEST]


def common_rate(rates: Sequence[float]) -> float:
    """The fastest of some rates [Hz], divided by the whole number that brings it down to 2 kHz or less.

    rates  [Hz]

    >>> common_rate([100.0, 400.0]), common_rate([48_000.0]), round(common_rate([44_100.0]), 3)
    (400.0, 2000.0, 1917.391)
    """
    return max(rates) / ceil(max(rates) / FASTEST - 1e-9)


def grid_between(start: float, end: float, rate: float, leading: Column) -> Grid:
    """The common clock from one time to another, on the samples of the column that leads.

    start, end  [s]
    rate        [Hz]
    """
    if leading.rate is not None:
        step = 1 / leading.rate
        start = leading.start + ceil((start - leading.start) / step - 1e-6) * step
    return Grid(start, rate, floor((end - start) * rate + 1e-6) + 1)


# --- from clock to clock ----------------------------------------------------------------------------------


def on_grid(column: Column, grid: Grid) -> Iterator[tuple[slice, Floats]]:
    """A column on the common clock, piece by piece (n,) [its unit].

    Samples of the same clock are taken as they are.  Another even clock is resampled with a sine cardinal
    under a Kaiser window, which cuts at half the lower of both rates; uneven stamps, and values that are
    missing, by a cubic spline through those that are there.

    >>> slow = Column("seat", "g", np.sin(2 * np.pi * 8 * np.arange(400) / 200), 200.0)
    >>> grid = Grid(0.5, 300.0, 300)
    >>> (_, found), = on_grid(slow, grid)
    >>> bool(np.abs(found - np.sin(2 * np.pi * 8 * grid.times(slice(0, 300)))).max() < 1e-3)
    True
    """
    if column.rate is None:
        yield from _by_spline(column, grid)
        return
    ratio = column.rate / grid.rate
    first = (grid.start - column.start) * column.rate
    drifts = abs(ratio - 1) * grid.count
    if drifts < SAME and abs(first - round(first)) < SAME:
        for where in pieces(grid.count):
            yield where, _read(column, round(first) + where.start, where.stop - where.start)
    else:
        for where in pieces(grid.count, max(int(PIECE / 64 / max(ratio, 1)), 64)):
            yield where, _by_cardinal(column, first + ratio * np.arange(where.start, where.stop), ratio)


def _read(column: Column, first: int, count: int) -> Floats:
    """Some values by their number; missing ones filled, and beyond the ends the first and last go on."""
    low, high = max(first - 8, 0), min(first + count + 8, len(column))
    held = _filled(column.part(slice(low, high)))
    wanted = np.clip(np.arange(first, first + count) - low, 0, len(held) - 1)
    return np.asarray(held[wanted])


def _filled(values: Floats) -> Floats:
    there = np.isfinite(values)
    if there.all():
        return values
    index = np.flatnonzero(there)
    if len(index) < 4:
        return np.full(len(values), values[index[0]] if len(index) else 0.0)
    from scipy.interpolate import CubicSpline

    lost = np.flatnonzero(~there)
    inside = np.clip(lost, index[0], index[-1])
    filled = values.copy()
    filled[lost] = CubicSpline(index, values[index])(inside)
    return filled


def _by_cardinal(column: Column, places: Floats, ratio: float) -> Floats:
    """Values at places between samples, of which `ratio` lie between two instants."""
    wide = max(ratio, 1.0)
    half = ceil(LOBES * wide)
    first = floor(places[0]) - half + 1
    held = _read(column, first, floor(places[-1]) + half + 1 - first)
    lowest = np.floor(places).astype(int) - half + 1 - first
    if abs(ratio - round(ratio)) * len(places) < 1e-9 and round(ratio) >= 1:  # the same weights everywhere
        weights = _weights(places[:1] - (lowest[:1] + first), half, wide)[0]
        windows = np.lib.stride_tricks.sliding_window_view(held, 2 * half)
        return np.asarray(windows[lowest] @ weights)
    weights = _weights(places - (lowest + first), half, wide)
    taps = held[lowest[:, None] + np.arange(2 * half)]
    return np.asarray(np.einsum("ij,ij->i", taps, weights))


def _weights(offset: Floats, half: int, wide: float) -> Floats:
    """What each of 2 x half samples counts at an instant that lies `offset` behind the first of them."""
    away = (offset[:, None] - np.arange(2 * half)) / wide
    inside = np.clip(1 - (away / LOBES) ** 2, 0.0, None)
    weights = np.sinc(away) * np.i0(SHAPE * np.sqrt(inside)) * (inside > 0)
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))


def _by_spline(column: Column, grid: Grid) -> Iterator[tuple[slice, Floats]]:
    from scipy.interpolate import CubicSpline

    times = np.asarray(column.times)
    for where in pieces(grid.count, PIECE // 4):
        wanted = grid.times(where)
        low, high = np.searchsorted(times, [wanted[0], wanted[-1]])
        part = slice(max(low - 16, 0), min(high + 16, len(times)))
        known, values = times[part], column.part(part)
        inside = np.clip(wanted, known[0], known[-1])
        spline = len(known) >= 4
        yield (
            where,
            np.asarray(CubicSpline(known, values)(inside) if spline else np.interp(inside, known, values)),
        )
