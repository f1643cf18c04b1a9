"""Spectra, cross-spectra and coherence of any number of channels, in one pass over the ride.

All densities are one-sided.  What a number is worth comes with it: how many independent averages it is the
mean of, its interval, the level below which a coherence means nothing, and which bins not to read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, sqrt

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from ..faults import nearest
from ..notebook import shown_as_html
from ..ride import Ride
from .columns import refused
from .segments import COSINES, Complexes, Floats, cut, independent_averages, noise_bandwidth, transforms

NEAR_NYQUIST = 0.8  # of half the rate: above, filters before the converter bend what is seen
FEW_AVERAGES = 10.0  # below, a density is known to no better than a factor of two, up or down


@dataclass(frozen=True)
class Spectra:
    """Spectra of some channels, and what each pair of them shares.

    frequency   [Hz] (F,); per turn, or per metre, for a ride along an angle
    cross       (F, C, C) one-sided densities [unit of i x unit of j / Hz]: mean of conj(X_i) X_j, so that the
                phase of cross[:, i, j] is that of channel j against channel i
    names       of the channels
    units       of the channels
    averages    [-] how many independent pieces would scatter as little
    pieces      how many overlapping pieces were averaged, and how many were left out
    resolution  [Hz] how close two lines may lie and still be seen as two: the window's noise bandwidth
    main_lobe   bins on either side that a line spreads over
    rate        [Hz] of the ride
    """

    frequency: Floats
    cross: Complexes
    names: tuple[str, ...]
    units: tuple[str, ...]
    averages: float
    pieces: int
    left_out: int
    resolution: float
    main_lobe: int
    rate: float

    @property
    def psd(self) -> Floats:
        """One-sided power spectral density (C, F) [unit^2/Hz]."""
        return np.asarray(np.einsum("fcc->cf", self.cross).real, dtype=float)

    def density(self, channel: str | int) -> Floats:
        """One-sided power spectral density of one channel (F,) [unit^2/Hz]."""
        i = self.index(channel)
        return np.asarray(self.cross[:, i, i].real)

    def coherence(self, one: str | int, other: str | int) -> Floats:
        """Share of one channel's power that follows the other linearly (F,) [-]; 0 where one is still."""
        i, j = self.index(one), self.index(other)
        power = self.cross[:, i, i].real * self.cross[:, j, j].real
        shared = np.abs(self.cross[:, i, j]) ** 2
        return np.asarray(np.divide(shared, power, out=np.zeros(len(shared)), where=power > 0))

    @property
    def significance(self) -> float:
        """The coherence [-] below which two independent channels stay with 95 %; 1 for a single average.

            1 - 0.05^(1 / (n - 1))

        Source: J. S. Bendat, A. G. Piersol, Random Data (from memory).
        """
        return float(1 - 0.05 ** (1 / (self.averages - 1))) if self.averages > 1 else 1.0

    def interval(self, share: float = 0.95) -> tuple[Floats, Floats]:
        """Factors on a density between which the true one lies, (F,) and (F,) [-].

        share  [-] of such intervals that hold the truth

        Chi-square with 2 n degrees of freedom, n at zero and at half the rate.  Source: Bendat, Piersol,
        Random Data (from memory).
        """
        from scipy.special import gammaincinv

        halves = np.full(len(self.frequency), self.averages)
        halves[self.frequency == 0] /= 2
        halves[self.frequency >= self.rate / 2 * (1 - 1e-12)] /= 2
        tail = (1 - share) / 2
        return halves / gammaincinv(halves, 1 - tail), halves / gammaincinv(halves, tail)

    @property
    def edge(self) -> NDArray[np.bool_]:
        """Bins not to be read (F,): what the mean leaves near zero, and what lies near half the rate."""
        bins = np.arange(len(self.frequency))
        return np.asarray((bins < self.main_lobe) | (self.frequency > NEAR_NYQUIST * self.rate / 2))

    @property
    def warnings(self) -> tuple[str, ...]:
        """What limits these spectra, in sentences; empty where nothing does."""
        said = []
        if self.averages < FEW_AVERAGES:
            low, high = (float(np.median(factor)) for factor in self.interval())
            said.append(
                f"{self.averages:.3g} independent averages: each density is known to a factor of {low:.2g} "
                f"to {high:.2g}, and a coherence below {self.significance:.2f} means nothing"
            )
        if self.left_out:
            said.append(
                f"{self.left_out} pieces of {self.pieces + self.left_out} hold gaps and were left out"
            )
        return tuple(said)

    def level(self, low: float, high: float) -> Floats:
        """R.m.s. level of each channel between two frequencies (C,) [unit], both bins in.

        low, high  [Hz]
        """
        inside = (self.frequency >= low) & (self.frequency <= high)
        return np.asarray(np.sqrt(self.psd[:, inside].sum(axis=1) * self.frequency[1]))

    def relative(self, reference: str | int) -> tuple[Complexes, Floats]:
        """Each channel against one: complex ratio (F, C) [unit/unit], and its standard error (F, C) [-].

        The ratio is that of what follows the reference, cross[:, r, c] / cross[:, r, r]: at a frequency at
        which one mode shakes, its shape.  The error is a share of the ratio, and in radians that of its
        phase: sqrt((1 - coherence) / (2 n coherence)); infinite where nothing follows.
        Source: Bendat, Piersol, Random Data (from memory).
        """
        r = self.index(reference)
        power = self.cross[:, r, r].real[:, None]
        ratio = np.divide(
            self.cross[:, r], power, out=np.zeros(self.cross[:, r].shape, complex), where=power > 0
        )
        shared = np.stack([self.coherence(r, c) for c in range(len(self.names))], axis=1)
        with np.errstate(divide="ignore"):
            return ratio, np.sqrt(np.clip(1 - shared, 0, None) / (2 * self.averages * shared))

    def index(self, channel: str | int) -> int:
        """The place of a channel; KeyError with the nearest name otherwise."""
        if isinstance(channel, int):
            return range(len(self.names))[channel]
        if channel not in self.names:
            raise KeyError(f"no channel {channel!r}; {nearest(channel, self.names) or ', '.join(self.names)}")
        return self.names.index(channel)

    def _repr_html_(self) -> str:
        psd = np.where(self.edge, 0.0, self.psd)
        rows = [
            (
                name,
                f"{self.frequency[top]:.4g}",
                f"{sqrt(psd[c].sum() * self.frequency[1]):.4g} {self.units[c]}",
            )
            for c, (name, top) in enumerate(zip(self.names, psd.argmax(axis=1), strict=True))
        ]
        title = f"Spectra: {self.averages:.4g} independent averages, resolution {self.resolution:.3g}"
        return shown_as_html(
            title, ("channel", "highest at", "level, r.m.s."), rows, "; ".join(self.warnings)
        )


def spectra(
    ride: Ride,
    seconds: float,
    channels: Sequence[str] | None = None,
    window: str = "hann",
    overlap: float = 0.5,
) -> Spectra:
    """All spectra and cross-spectra of a ride, averaged over pieces of so many seconds.

    seconds   [s] of a piece; turns, or metres, for a ride along an angle
    channels  names; None: all but the road speed and the time
    window    boxcar, hann or flattop
    overlap   [-] share of a piece that the next one shares

    Raises CounterbounceError for a ride that is shorter than a piece or has no piece without a gap,
    ValueError and KeyError as `cut` says.

    >>> from ..ride import Channel
    >>> t = np.arange(8000) / 100
    >>> both = np.stack([np.cos(2 * np.pi * 5 * t), 2 * np.sin(2 * np.pi * 5 * t)])
    >>> ride = Ride("", 100.0, 0.0, (Channel("floor", "m/s^2"), Channel("rear end", "m/s^2")), both)
    >>> found = spectra(ride, 4.0)
    >>> found.level(4.0, 6.0).round(6).tolist()
    [0.707107, 1.414214]
    >>> ratio, _ = found.relative("floor")
    >>> abs(ratio[20, 1]).round(3).item(), np.angle(ratio[20, 1], deg=True).round(3).item()
    (2.0, -90.0)
    """
    how = cut(ride, seconds, channels, window, overlap)
    total: Floats | float = 0.0
    pieces = 0
    with threadpool_limits(1):  # small matrices: threads cost more than they bring
        for starts, found in transforms(ride, how):
            total = total + _products(found)
            pieces += len(starts)
    possible = (len(ride) - len(how.weights)) // how.hop + 1
    if not pieces:
        raise refused(ride.name, f"each of its {possible} pieces of {seconds:.4g} holds a gap")
    cross = _paired(np.asarray(total)) * (how.density / pieces)[:, None, None]
    bandwidth = noise_bandwidth(how.weights)
    return Spectra(
        how.frequency,
        cross,
        how.names,
        how.units,
        independent_averages(how.weights, how.hop, pieces),
        pieces,
        possible - pieces,
        bandwidth * float(how.frequency[1]),
        max(len(COSINES[window]), ceil(bandwidth)),
        ride.rate,
    )


def _products(found: Complexes) -> Floats:
    """Sums over the pieces of all products of real and imaginary parts, (F, 2C, 2C).

    One small real matrix product a bin: several times faster than the complex products pair by pair.
    """
    parts = np.ascontiguousarray(found.transpose(2, 1, 0)).view(np.float64)
    return np.asarray(parts.transpose(0, 2, 1) @ parts)


def _paired(products: Floats) -> Complexes:
    """conj(X_i) X_j (F, C, C) of such sums."""
    real, imag = slice(0, None, 2), slice(1, None, 2)
    even = products[:, real, real] + products[:, imag, imag]
    odd = products[:, real, imag] - products[:, imag, real]
    return np.asarray(even + 1j * odd)
