"""A ride, simulated or recorded: channels on one clock, read in blocks.

The samples may lie in a file (np.memmap, or anything that slices like an array): `blocks` reads them bit by
bit, so that an hour of recording needs no more memory than a few seconds of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from math import ceil, isfinite
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from .faults import nearest
from .notebook import shown_as_html

Floats = NDArray[np.float64]


class Samples(Protocol):
    """What samples must be able to do: tell their shape (channels, samples) and be sliced [each its unit]."""

    @property
    def shape(self) -> tuple[int, ...]:
        """(channels, samples)."""

    def __getitem__(self, key: Any, /) -> Any:
        """Samples of some channels and instants, as NumPy slices."""


@dataclass(frozen=True)
class Channel:
    """What one row of samples is: its name, and its SI unit as text.

    >>> str(Channel("driver's floor", "m/s^2"))
    "driver's floor [m/s^2]"
    """

    name: str
    unit: str

    def __str__(self) -> str:
        return f"{self.name} [{self.unit}]"


@dataclass(frozen=True)
class Ride:
    """Channels on one clock.

    name      for people
    rate      [Hz] samples a second, the same for all channels
    start     [s] time of the first sample
    channels  what each row of `samples` is
    samples   (channels, samples), each row in the unit of its channel
    labels    what else is known of the ride, as text: speed, gear, load, pressure, road, direction, seed ...

    Raises ValueError for samples of another shape, a rate not above zero, or two channels of one name.

    >>> ride = Ride("a hum", 4.0, 10.0, (Channel("seat", "m/s^2"),), np.array([[0.0, 1.0, 0.0, -1.0, 0.0]]))
    >>> ride.time.tolist(), ride.duration, ride.channel("seat").max().item()
    ([10.0, 10.25, 10.5, 10.75, 11.0], 1.25, 1.0)
    """

    name: str
    rate: float
    start: float
    channels: tuple[Channel, ...]
    samples: Samples
    labels: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not (isfinite(self.rate) and self.rate > 0):
            raise ValueError(f"rate must be above 0 Hz and finite, got {self.rate}")
        if not isfinite(self.start):
            raise ValueError(f"start must be a finite time in seconds, got {self.start}")
        shape = tuple(self.samples.shape)
        if len(shape) != 2 or shape[0] != len(self.channels):
            wanted = f"({len(self.channels)}, samples)"
            raise ValueError(f"samples of shape {shape} for {len(self.channels)} channels, wanted {wanted}")
        names = [channel.name for channel in self.channels]
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise ValueError(f"two channels have one name: {', '.join(twice)}")

    def __len__(self) -> int:
        return int(self.samples.shape[1])

    @property
    def time(self) -> Floats:
        """When each sample was taken [s] (samples,)."""
        return self.start + np.arange(len(self)) / self.rate

    @property
    def duration(self) -> float:
        """How long the ride lasts [s]: each sample stands for one step of the clock."""
        return len(self) / self.rate

    def channel(self, name: str) -> Floats:
        """All samples of one channel [its unit] (samples,); KeyError with the nearest name otherwise."""
        return np.asarray(self.samples[self._index(name)], dtype=float)

    def blocks(self, seconds: float) -> Iterator[tuple[float, Floats]]:
        """The ride piece by piece: (time of the first sample [s], samples (channels, n) [each its unit]).

        seconds  length of a piece [s], at least one sample; the last piece is as long as what is left

        >>> ride = Ride("", 2.0, 0.0, (Channel("seat", "m"),), np.arange(5.0)[None])
        >>> [(when, part.tolist()) for when, part in ride.blocks(1.0)]
        [(0.0, [[0.0, 1.0]]), (1.0, [[2.0, 3.0]]), (2.0, [[4.0]])]
        """
        step = round(seconds * self.rate) if isfinite(seconds) else 0
        if step < 1:
            raise ValueError(f"a block must last one sample or longer, {1 / self.rate:g} s; got {seconds} s")
        for first in range(0, len(self), step):
            part = self.samples[:, first : first + step]
            yield self.start + first / self.rate, np.asarray(part, dtype=float)

    def since(self, time: float) -> Ride:
        """What is left of the ride from a time on: the first sample is the first one not before it.

        time  [s]

        >>> ride = Ride("", 2.0, -1.0, (Channel("seat", "m"),), np.arange(5.0)[None])
        >>> ride.since(-0.1).start, ride.since(-0.1).samples.tolist()
        (0.0, [[2.0, 3.0, 4.0]])
        """
        first = min(max(ceil((time - self.start) * self.rate - 1e-6), 0), len(self))
        return replace(self, start=self.start + first / self.rate, samples=self.samples[:, first:])

    def _index(self, name: str) -> int:
        names = [channel.name for channel in self.channels]
        if name not in names:
            raise KeyError(f"no channel {name!r}; {nearest(name, names) or ', '.join(names)}")
        return names.index(name)

    def _repr_html_(self) -> str:
        rows = [(channel.name, channel.unit) for channel in self.channels]
        note = "; ".join(f"{key}: {value}" for key, value in self.labels.items())
        title = f"{self.name}: {self.duration:.4g} s at {self.rate:.6g} Hz"
        return shown_as_html(title, ("channel", "unit"), rows, note)
