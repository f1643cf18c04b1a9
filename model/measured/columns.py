"""What a reader brings home: columns of numbers, each with its unit and its clock."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..faults import CounterbounceError, Fault
from .notes import HealthNote

Floats = NDArray[np.float64]

IN_MEMORY = 32_000_000  # [byte] of samples that are kept there; more go to a temporary file
TOO_LARGE = 1e15  # in any unit of a reading: such a number is none
PIECE = 1 << 18  # samples looked at in one go
EVEN = 0.05  # [-] of a step by which stamps of an even clock may lie off its straight line
INSTALL = "python -m pip install 'counterbounce[recordings]'"


@dataclass(frozen=True)
class Column:
    """A column as the file has it, in its own unit.

    values  (n,) in the file's unit once times `scale` [-], NaN where a number is missing; anything that
            slices like an array
    lost    (first, end) numbers of values that were found to be none: they count as missing
    rate    [Hz] of an even clock; None: `times` tell
    start   [s] of the first value on the file's clock
    times   [s] (n,) of each value, where they are not even
    """

    name: str
    unit: str
    values: Any
    rate: float | None
    start: float = 0.0
    times: Any = None
    file: str = ""
    scale: float = 1.0
    lost: tuple[tuple[int, int], ...] = ()

    def __len__(self) -> int:
        return len(self.values)

    def part(self, where: slice) -> Floats:
        """Some of its values [its unit]."""
        found = np.asarray(self.values[where], dtype=float)
        found = found if self.scale == 1.0 else found * self.scale
        wild = ~(np.abs(found) < TOO_LARGE)
        if wild.any():
            found = np.where(wild, np.nan, found)
        first, end, _ = where.indices(len(self))
        hit = [(a - first, b - first) for a, b in self.lost if a < end and b > first]
        if hit:
            found = found.copy()
        for a, b in hit:
            found[max(a, 0) : b] = np.nan
        return found

    @property
    def ends(self) -> tuple[float, float]:
        """The times of its first and last value [s]."""
        count = len(self)
        if self.rate is not None:
            return self.start, self.start + max(count - 1, 0) / self.rate
        return float(self.times[0]), float(self.times[-1])


@dataclass(frozen=True)
class Began:
    """When the zero of a file's clock was.

    seconds  [s] since 1970 in universal time, or in a zone that the file does not say; or since midnight, or
             since the hour
    period   [s] after which such a time comes back: 0 where the day is known, 86400, 3600
    zone     as the file says it: Z, UTC, +02:00; empty where it does not
    """

    seconds: float
    period: float = 0.0
    zone: str = ""

    def at(self, later: float = 0.0) -> str:
        """An instant on the file's clock, as people write it: later [s] than its zero.

        >>> Began(1778673781.25, zone="+02:00").at(60.0), Began(43381.25, 86400.0).at()
        ('2026-05-13 12:04:01 in universal time', '12:03:01')
        """
        instant = np.datetime64(int((self.seconds + later) * 1000), "ms")
        text = str(instant)[:19].replace("T", " ")
        return text[11:] if self.period else text + (" in universal time" if self.zone else "")


@dataclass(frozen=True)
class Found:
    """All columns of one file, what it says of the ride, how it was read in sentences, and what is wrong.

    began  when the zero of its clock was; None: it does not say
    """

    columns: tuple[Column, ...]
    labels: Mapping[str, str] = field(default_factory=dict)
    done: tuple[str, ...] = ()
    name: str = ""
    began: Began | None = None
    notes: tuple[HealthNote, ...] = ()


def shifted(column: Column, seconds: float) -> Column:
    """The same column on a clock that began `seconds` [s] earlier.

    >>> shifted(Column("seat", "g", (0.0, 1.0), 2.0, 10.0), 10.0).start
    0.0
    """
    times = None if column.times is None else column.times - seconds
    return replace(column, start=column.start - seconds, times=times)


def refused(
    file: str, wanted: str, given: str = "", line: int | None = None, example: str = ""
) -> CounterbounceError:
    """An error of one fault.

    >>> print(refused("a.csv", "is empty"))
    1 fault:
      a.csv: is empty
    """
    return CounterbounceError([Fault(file, line, "", given, wanted, example=example)])


def room(rows: int, count: int) -> Any:
    """An array of zeros (rows, count) [any unit]: in memory where small, otherwise in a temporary file.

    >>> room(2, 3).shape
    (2, 3)
    """
    if rows * count * 8 <= IN_MEMORY:
        return np.zeros((rows, count))
    with tempfile.TemporaryFile() as held:  # the mapping keeps it alive, and nothing is left behind
        return np.memmap(held, dtype=np.float64, mode="w+", shape=(rows, count))


class Pile:
    """Rows of numbers put one piece on the other, in a temporary file where they get many.

    >>> with Pile() as pile:
    ...     pile.add(np.zeros((3, 2)))
    ...     pile.add(np.ones((1, 2)))
    ...     pile.rows().shape
    (4, 2)
    """

    def __init__(self) -> None:
        self.width = self.count = 0
        self._held = tempfile.SpooledTemporaryFile(max_size=IN_MEMORY)  # noqa: SIM115  (closed on leaving)

    def __enter__(self) -> Pile:
        return self

    def __exit__(self, *_: object) -> None:
        self._held.close()

    def add(self, piece: Floats) -> None:
        """More rows [any unit], (n, width); the first piece sets the width."""
        self.width = piece.shape[1]
        self._held.write(np.ascontiguousarray(piece, dtype=np.float64).data)
        self.count += len(piece)

    def rows(self) -> Any:
        """All of them [the same unit], (n, width); what was mapped outlives the pile."""
        if self.count * self.width * 8 <= IN_MEMORY:
            self._held.seek(0)
            return np.frombuffer(self._held.read(), dtype=np.float64).reshape(self.count, self.width)
        self._held.rollover()
        self._held.flush()
        return np.memmap(self._held._file, dtype=np.float64, mode="r+", shape=(self.count, self.width))


def pieces(count: int, size: int = PIECE) -> Sequence[slice]:
    """Slices that cover `count` samples, one after the other.

    >>> [(one.start, one.stop) for one in pieces(5, 2)]
    [(0, 2), (2, 4), (4, 5)]
    """
    return [slice(first, min(first + size, count)) for first in range(0, count, size)]


def even_clock(times: Any) -> tuple[float, float] | None:
    """(rate [Hz], start [s]) of stamps that lie on a straight line but for how they were rounded, or None.

    times  [s] (n,), two or more

    >>> even_clock(np.round(np.arange(100) / 300.0, 3)), even_clock(np.array([0.0, 1.0, 3.0]))
    ((300.0, 0.0), None)
    """
    count = len(times)
    start, end = float(times[0]), float(times[-1])
    if count < 2 or not np.isfinite([start, end]).all() or end <= start:
        return None
    step = (end - start) / (count - 1)
    allowed = max(EVEN * step, 1.05 * _resolution(np.asarray(times[: min(count, 2000)])))
    for part in pieces(count):
        line = start + step * np.arange(part.start, part.stop)
        if not np.abs(np.asarray(times[part]) - line).max() <= allowed:  # NaN is not even either
            return None
    return _plain(1 / step, count, allowed, end - start), start


def _resolution(times: Floats) -> float:
    """The decimal place that stamps were rounded to [s]; 0 where they were not."""
    since = times - times[0]
    step = since[-1] / (len(times) - 1)
    for places in range(7):
        unit = 10.0**-places
        if np.abs(since - np.round(since / unit) * unit).max() < 1e-9 + 1e-9 * abs(times[0]):
            # Stamps about as coarse as the step itself would hide a sample that is not there.
            return unit if unit < 0.5 * step or 1.2 * step < unit < 3 * step else 0.0
    return 0.0


def _plain(rate: float, count: int, off: float, length: float) -> float:
    """The rate without the digits that nobody meant: what the ends' rounding leaves open is chosen simple."""
    doubt = max(2 * off / length, 1e-9)
    for digits in range(1, 10):
        simple = float(f"{rate:.{digits - 1}e}")
        if abs(simple - rate) <= doubt * rate and abs(simple - rate) / rate * count < 0.1 + off * rate:
            return simple
    return rate
