"""Pieces of a ride under a window, and their Fourier transforms, batch by batch.

An hour of recording passes through a few megabytes.  A piece that holds something that is no number counts
as not there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..faults import nearest
from ..ride import Ride
from .columns import refused

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

BATCH = 1 << 18  # values of a batch, all channels together: what the cache of a processor holds
FEWEST = 8  # samples in a piece
LOOKED_PAST = ("speed", "time")  # channels that say when and how fast, and do not shake

COSINES: dict[str, tuple[float, ...]] = {
    "boxcar": (1.0,),
    "hann": (0.5, 0.5),
    "flattop": (0.21557895, 0.41663158, 0.277263158, 0.083578947, 0.006947368),
}
"""Windows as sums of cosines, with alternating sign [-].  Flat top: G. D'Antona, A. Ferrero, Digital Signal
Processing for Measurement Systems, 2006, p. 70 (from memory, as general-purpose libraries give it)."""


def window_weights(name: str, samples: int) -> Floats:
    """A window of so many samples [-], periodic; ValueError for another name.

    >>> window_weights("hann", 4).round(3).tolist()
    [0.0, 0.5, 1.0, 0.5]
    """
    if name not in COSINES:
        raise ValueError(f"no window {name!r}; one of {', '.join(COSINES)}")
    angle = 2 * np.pi * np.arange(samples) / samples
    return np.asarray(sum((-1) ** k * c * np.cos(k * angle) for k, c in enumerate(COSINES[name])))


def noise_bandwidth(weights: Floats) -> float:
    """Equivalent noise bandwidth of a window, in bins of its spectrum [-].

    weights  [-] (samples,)

        n sum(w^2) / sum(w)^2

    Source: F. J. Harris, On the use of windows for harmonic analysis, Proc. IEEE 66 (1978), table 1 (from
    memory).

    >>> [round(noise_bandwidth(window_weights(name, 1000)), 4) for name in ("boxcar", "hann", "flattop")]
    [1.0, 1.5, 3.7702]
    """
    return float(len(weights) * np.sum(weights**2) / np.sum(weights) ** 2)


def independent_averages(weights: Floats, hop: int, pieces: int) -> float:
    """How many pieces without overlap would scatter as little as these, one every `hop` samples [-].

    weights  [-] (samples,)

        K / (1 + 2 sum_j (1 - j/K) r_j^2),  r_j = sum(w_n w_{n + j hop}) / sum(w_n^2)

    Source: P. D. Welch, IEEE Trans. Audio Electroacoust. 15 (1967) 70-73 (from memory).

    >>> round(independent_averages(window_weights("hann", 64), 32, 1000) / 1000, 3)
    0.947
    """
    overlaps = range(1, min(-(-len(weights) // hop), pieces))
    power = np.sum(weights**2)
    shared = [(j, np.sum(weights[: -j * hop] * weights[j * hop :]) / power) for j in overlaps]
    return float(pieces / (1 + 2 * sum((1 - j / pieces) * r**2 for j, r in shared)))


@dataclass(frozen=True)
class Cut:
    """How a ride is cut into pieces, and which rows of its samples are looked at.

    rows     numbers of the channels
    names    their names
    units    their units
    weights  the window over each piece [-] (samples,)
    hop      samples from one piece to the next
    rate     [Hz] of the ride
    """

    rows: tuple[int, ...]
    names: tuple[str, ...]
    units: tuple[str, ...]
    weights: Floats
    hop: int
    rate: float

    @property
    def frequency(self) -> Floats:
        """[Hz] (F,) of the bins; per turn, or per metre, for a ride along an angle."""
        return np.asarray(np.fft.rfftfreq(len(self.weights), 1 / self.rate))

    @property
    def density(self) -> Floats:
        """What makes a one-sided density of a squared transform [1/Hz] (F,)."""
        one_sided = np.full(len(self.frequency), 2.0)
        one_sided[0] = 1.0
        if len(self.weights) % 2 == 0:
            one_sided[-1] = 1.0
        return np.asarray(one_sided / (self.rate * np.sum(self.weights**2)))


def cut(
    ride: Ride,
    seconds: float,
    channels: Sequence[str] | None = None,
    window: str = "hann",
    overlap: float = 0.5,
) -> Cut:
    """A way to cut a ride into pieces.

    seconds   [s] of a piece; turns, or metres, for a ride along an angle
    channels  names; None: all but the road speed and the time
    overlap   [-] share of a piece that the next one shares, from 0 to below 1

    Raises CounterbounceError for a ride that is shorter than a piece, ValueError for a piece of fewer than 8
    samples, another overlap or window, KeyError for a channel that is not there.
    """
    if not 0 <= overlap < 1:
        raise ValueError(f"overlap must be a share from 0 to below 1, got {overlap}")
    if not FEWEST / ride.rate <= seconds < np.inf:
        raise ValueError(f"a piece must last {FEWEST / ride.rate:g} or longer, got {seconds:g}")
    samples = round(seconds * ride.rate)
    if len(ride) < samples:
        raise refused(
            ride.name, f"too short: lasts {ride.duration:.4g}, wanted at least one piece of {seconds:.4g}"
        )
    rows = _rows(ride, channels)
    held = [ride.channels[row] for row in rows]
    names, units = tuple(one.name for one in held), tuple(one.unit for one in held)
    hop = max(round(samples * (1 - overlap)), 1)
    return Cut(rows, names, units, window_weights(window, samples), hop, ride.rate)


def _rows(ride: Ride, channels: Sequence[str] | None) -> tuple[int, ...]:
    names = [channel.name for channel in ride.channels]
    wanted = [name for name in names if name not in LOOKED_PAST] if channels is None else list(channels)
    for name in wanted:
        if name not in names:
            raise KeyError(f"no channel {name!r}; {nearest(name, names) or ', '.join(names)}")
    if not wanted:
        raise refused(ride.name, "holds no channel that shakes")
    return tuple(names.index(name) for name in wanted)


def transforms(ride: Ride, how: Cut) -> Iterator[tuple[NDArray[np.intp], Complexes]]:
    """The pieces in batches: (first sample of each (B,), transforms (C, B, F) [unit of channel]).

    The mean of each piece is taken out, as `detrend="constant"` does elsewhere.

    >>> from ..ride import Channel
    >>> ride = Ride("", 8.0, 0.0, (Channel("seat", "m"),), 3 + np.cos(np.pi / 2 * np.arange(16.0))[None])
    >>> (starts, found), = transforms(ride, cut(ride, 1.0, window="boxcar", overlap=0.0))
    >>> starts.tolist(), np.abs(found[0]).round(9).tolist()
    ([0, 8], [[0.0, 0.0, 4.0, 0.0, 0.0], [0.0, 0.0, 4.0, 0.0, 0.0]])
    """
    from scipy.fft import rfft

    bins = len(COSINES["flattop"])
    leak = rfft(how.weights)[:bins]  # a sum of cosines puts a mean into no further bin
    for starts, pieces in _batches(ride, how):
        with np.errstate(invalid="ignore"):  # a piece with a gap, which is left out
            found = np.asarray(rfft(pieces * how.weights, overwrite_x=True))
            found[..., :bins] -= pieces.mean(axis=-1, keepdims=True) * leak
        there = np.isfinite(found[..., -1]).all(axis=0)
        if not there.all():
            starts, found = starts[there], found[:, there]
        if len(starts):
            yield starts, found


def _batches(ride: Ride, how: Cut) -> Iterator[tuple[NDArray[np.intp], Floats]]:
    """Pieces without their window (C, B, samples), views of what was read."""
    samples, hop, rows = len(how.weights), how.hop, list(how.rows)
    total = (len(ride) - samples) // hop + 1
    batch = max(BATCH // (len(rows) * samples), 1)
    some = rows != list(range(len(ride.channels)))
    for first in range(0, total, batch):
        count = min(batch, total - first)
        where = slice(first * hop, first * hop + (count - 1) * hop + samples)
        part = np.asarray(ride.samples[:, where][rows] if some else ride.samples[:, where], dtype=float)
        pieces = np.lib.stride_tricks.sliding_window_view(part, samples, axis=-1)[:, ::hop]
        yield np.arange(first, first + count) * hop, pieces
