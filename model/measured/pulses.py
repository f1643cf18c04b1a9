"""A waveform of pulses to the times of its rising edges, block by block.

A pulse counts once the signal has risen above an upper level after it was below a lower one, so that noise
smaller than the gap between both makes no pulses.  The levels come from the signal itself and follow it.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .columns import refused

Floats = NDArray[np.float64]

BLOCK = 1 << 16  # samples: blocks and the marks on them stay in the cache of a processor
PROBES = 2048  # samples of a block that its levels are read from
TAIL = (
    0.004  # [-] share of the probes beyond each level: less than a narrow pulse has, more than a few spikes
)
GAP = 0.2  # [-] of the swing, from the middle to either level
QUIET = 0.15  # [-] of the largest swing so far: a block that swings less holds no pulse
FOLLOW = 0.5  # [-] how far the levels move towards those of the next block


@dataclass(frozen=True)
class Edges:
    """Rising edges of a pulse train.

    times    [s] (n,) at which the signal rose through its middle, between samples by a straight line
    quiet    [s] total time in which the signal hardly moved
    swing    (smallest, largest) swing of the signal while it moved [its own unit]
    """

    times: Floats
    quiet: float
    swing: tuple[float, float]


@dataclass(frozen=True)
class Levels:
    """Where the signal counts as low, as half way and as high [its own unit]."""

    low: float
    middle: float
    high: float
    swing: float


def edges(waveform: Any, rate: float, start: float = 0.0, levels: tuple[float, float] | None = None) -> Edges:
    """The rising edges of a waveform.

    waveform  (samples,) [its own unit], or blocks of it one after the other; whole numbers stay whole numbers
    rate      [Hz] samples a second
    start     [s] time of the first sample
    levels    (lower, upper) [its own unit]; None: from the signal, and they follow it

    Raises ValueError for a rate not above zero or levels that do not rise, CounterbounceError for samples
    that are no row of finite numbers.

    >>> wave = np.sin(2 * np.pi * 5 * (np.arange(2000) / 1000 - 0.1234))
    >>> edges(wave, 1000.0).times[:3].round(4).tolist()
    [0.1234, 0.3234, 0.5234]
    """
    if not 0 < rate < np.inf:
        raise ValueError(f"rate must be above 0 Hz and finite, got {rate}")
    if levels is not None and not levels[0] < levels[1]:
        raise ValueError(f"the upper level must lie above the lower one, got {levels}")
    watch = _Watch(None if levels is None else _between(*levels))
    times = array("d")  # grows in place, where a list of arrays would be held twice
    for first, block in _blocks(waveform):
        times.frombytes(np.ascontiguousarray(watch.rises(first, block)).tobytes())
    found = np.frombuffer(times, dtype=np.float64) if times else np.zeros(0)
    moved, swing, quiet = watch.heard()
    found = found if moved.all() else found[moved]
    found /= rate
    found += start
    return Edges(found, quiet / rate, swing)


def _blocks(waveform: Any) -> Iterator[tuple[int, NDArray[Any]]]:
    """Blocks of at most BLOCK samples, and the number of the first sample of each."""
    first = 0
    for part in [waveform] if hasattr(waveform, "shape") else _parts(waveform):
        if np.ndim(part) != 1 or part.dtype.kind not in "iuf":
            given = f"an array of shape {np.shape(part)} of {part.dtype}"
            raise refused("pulses", "wanted one row of numbers", given)
        for at in range(0, len(part), BLOCK):
            yield first + at, np.asarray(part[at : at + BLOCK])
        first += len(part)


def _parts(waveform: Iterable[Any]) -> Iterator[NDArray[Any]]:
    held = list(waveform) if isinstance(waveform, list | tuple) else None
    if held is not None and held and np.ndim(held[0]) == 0:
        yield np.asarray(held)
    else:
        yield from map(np.asarray, waveform if held is None else held)


def _between(low: float, high: float, swing: float | None = None) -> Levels:
    return Levels(low, (low + high) / 2, high, high - low if swing is None else swing)


class _Watch:
    """Goes along a waveform and remembers whether it is high."""

    def __init__(self, fixed: Levels | None) -> None:
        self.fixed, self.levels = fixed is not None, fixed
        self.high = True  # a train that begins high has no rise there
        self.kept: NDArray[Any] = np.zeros(0)  # from the last sample below the middle on: a rise under way
        self.most = 0.0
        self.heard_of: list[tuple[int, int, float]] = []  # of each block: samples, rises, swing

    def rises(self, first: int, block: NDArray[Any]) -> Floats:
        """Places of the rises [samples]."""
        levels, swing = self._levels(block)
        joined = np.concatenate([self.kept.astype(block.dtype), block])
        places = _crossings(joined, self._ups(joined, levels), levels) + (first - len(self.kept))
        self.kept = joined[_start_of_rise(joined, levels, self.high) :].copy()
        self.heard_of.append((len(block), len(places), swing))
        return places

    def heard(self) -> tuple[NDArray[np.bool_], tuple[float, float], int]:
        """Which rises count, the least and the largest swing while the signal moved, and samples of quiet."""
        samples, rises, swings = np.array(self.heard_of or [(0, 0, 0.0)]).T
        moved = swings > QUIET * swings.max()
        least = float(swings[moved].min()) if moved.any() else 0.0
        quiet = int(samples[~moved].sum())
        return np.repeat(moved, rises.astype(int)), (least, float(swings.max())), quiet

    def _ups(self, block: NDArray[Any], levels: Levels) -> NDArray[np.intp]:
        """Where the signal is high for the first time since it was low: two compares, then few candidates."""
        above = block >= _as_samples(levels.high, block, np.ceil)
        over = block > _as_samples(levels.low, block, np.floor)
        self.high &= bool(over[0])
        ups = np.flatnonzero(above[1:] > above[:-1]) + 1
        downs = np.flatnonzero(over[1:] < over[:-1]) + 1
        passed = np.searchsorted(downs, ups)  # an up counts where a down lies between it and the up before
        real = np.diff(passed, prepend=0) > 0
        real[:1] |= not self.high
        if len(ups) or len(downs):
            self.high = max(ups[-1:], default=-1) > max(downs[-1:], default=-1)
        return np.asarray(ups[real])

    def _levels(self, block: NDArray[Any]) -> tuple[Levels, float]:
        """The levels for a block, and how far it swings; one that hardly swings leaves them as they are."""
        if self.fixed and self.levels is not None:
            return self.levels, self.levels.swing
        bottom, top = _reach(block)
        swing, middle, before = top - bottom, (top + bottom) / 2, self.levels
        self.most = max(self.most, swing)
        if before is not None and swing <= QUIET * self.most:
            return before, swing
        if before is not None and before.swing > QUIET * self.most:
            middle = before.middle + FOLLOW * (middle - before.middle)
            swing = before.swing + FOLLOW * (swing - before.swing)
        self.levels = _between(middle - GAP * swing, middle + GAP * swing, swing)
        return self.levels, top - bottom


def _reach(block: NDArray[Any]) -> tuple[float, float]:
    """Between which two values nearly all samples of a block lie."""
    probes = block[_places(len(block))]
    if probes.dtype.kind == "f" and not np.isfinite(probes).all():
        raise refused("pulses", "wanted finite numbers", "a sample that is none")
    beyond = int(TAIL * len(probes))
    ordered = np.partition(probes, (beyond, len(probes) - 1 - beyond))
    return float(ordered[beyond]), float(ordered[len(probes) - 1 - beyond])


_PLACES: dict[int, NDArray[np.intp]] = {}


def _places(count: int) -> NDArray[np.intp]:
    """Where to probe a block: spread evenly but not in step, so that no pulse rate hides between them."""
    if count not in _PLACES:
        even = np.linspace(0, count, min(PROBES, count), endpoint=False)
        spread = count / len(even)
        shake = np.random.default_rng(1).uniform(0, spread, len(even)) if spread >= 2 else 0.0
        _PLACES.clear()
        _PLACES[count] = np.minimum((even + shake).astype(np.intp), count - 1)
    return _PLACES[count]


def _as_samples(level: float, block: NDArray[Any], rounded: Callable[[float], float]) -> Any:
    """A level as the samples are: whole numbers compare with whole numbers several times faster."""
    if block.dtype.kind == "f":
        return block.dtype.type(level)
    limits = np.iinfo(block.dtype)
    return block.dtype.type(min(max(rounded(level), limits.min), limits.max))


def _crossings(block: NDArray[Any], ups: NDArray[np.intp], levels: Levels) -> Floats:
    """Where the signal rose through its middle on its way to each up [samples]."""
    if not len(ups):
        return np.zeros(0)
    after = ups
    if (block[ups - 1] >= levels.middle).any():  # slow edges: the middle lies further back
        below = np.flatnonzero(block < levels.middle)
        after = below[np.maximum(np.searchsorted(below, ups) - 1, 0)] + 1 if len(below) else ups
        after = np.where(after <= ups, after, ups)
    one, two = block[after - 1].astype(float), block[after].astype(float)
    share = np.divide(levels.middle - one, two - one, out=np.ones(len(one)), where=two != one)
    return np.asarray(after - 1 + np.clip(share, 0.0, 1.0))


def _start_of_rise(block: NDArray[Any], levels: Levels, high: bool) -> int:
    """From where on the block has to be kept for the next one."""
    if high or block[-1] < levels.middle:
        return len(block) - 1
    below = np.flatnonzero(block < levels.middle)
    return int(below[-1]) if len(below) else 0
