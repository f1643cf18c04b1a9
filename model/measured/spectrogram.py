"""Level against time and frequency: the spectra of a ride, one after the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..ride import Ride
from .columns import refused
from .segments import cut, noise_bandwidth, transforms

Floats = NDArray[np.float64]

MOST_ROWS = 600  # spectra that are kept: an hour of six channels at 2 kHz then takes 30 MB


@dataclass(frozen=True)
class Spectrogram:
    """Spectra along a ride.

    time        [s] (T,) the middle of each; turns, or metres, for a ride along an angle
    frequency   [Hz] (F,); per turn, or per metre
    density     (C, T, F) one-sided power spectral densities [unit^2/Hz]; NaN where nothing was read
    names       of the channels
    resolution  [Hz] the window's noise bandwidth
    span        [s] of the pieces that each is the mean of
    """

    time: Floats
    frequency: Floats
    density: Floats
    names: tuple[str, ...]
    resolution: float
    span: float

    def level(self, low: float, high: float) -> Floats:
        """R.m.s. level of each channel along time between two frequencies (C, T) [unit].

        low, high  [Hz], both bins in
        """
        inside = (self.frequency >= low) & (self.frequency <= high)
        return np.asarray(np.sqrt(self.density[..., inside].sum(axis=-1) * self.frequency[1]))


def spectrogram(
    ride: Ride,
    seconds: float,
    channels: Sequence[str] | None = None,
    window: str = "hann",
    rows: int = MOST_ROWS,
) -> Spectrogram:
    """The spectra of a ride, piece after piece; neighbours are averaged where `rows` would not do.

    seconds   [s] of a piece, half of which the next one shares; turns, or metres, along an angle
    channels  names; None: all but the road speed and the time
    rows      spectra at most

    Raises what `spectra` raises.

    >>> from ..ride import Channel
    >>> t = np.arange(4000) / 100
    >>> ride = Ride("", 100.0, 0.0, (Channel("floor", "m/s^2"),), np.sin(2 * np.pi * (2 + t / 8) * t)[None])
    >>> found = spectrogram(ride, 4.0)
    >>> tops = found.frequency[found.density[0].argmax(axis=1)]
    >>> found.time[[0, 10]].tolist(), tops[[0, 10]].tolist()
    ([2.0, 22.0], [2.5, 7.5])
    """
    if rows < 1:
        raise ValueError(f"rows must be 1 or more, got {rows}")
    how = cut(ride, seconds, channels, window)
    possible = (len(ride) - len(how.weights)) // how.hop + 1
    together = -(-possible // rows)
    count = -(-possible // together)
    power = np.zeros((len(how.rows), count, len(how.frequency)))
    held = np.zeros(count)
    for starts, found in transforms(ride, how):
        into = starts // how.hop // together
        for row in np.unique(into):
            power[:, row] += (np.abs(found[:, into == row]) ** 2).sum(axis=1)
            held[row] += (into == row).sum()
    if not held.any():
        raise refused(ride.name, f"each of its {possible} pieces of {seconds:.4g} holds a gap")
    with np.errstate(divide="ignore", invalid="ignore"):
        power *= how.density / held[:, None]
    first = np.arange(count) * together
    last = np.minimum(first + together, possible) - 1
    middle = ride.start + ((first + last) * how.hop + len(how.weights)) / 2 / ride.rate
    span = ((together - 1) * how.hop + len(how.weights)) / ride.rate
    bandwidth = noise_bandwidth(how.weights) * float(how.frequency[1])
    return Spectrogram(middle, how.frequency, power, how.names, bandwidth, span)
