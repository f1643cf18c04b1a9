"""A ride along an angle, or along the road: samples a turn, or a metre, instead of samples a second.

What follows a turning part then stays at one place of the spectrum while the speed changes.  Between samples
the signal is what a sine cardinal under a Kaiser window makes of its neighbours.  Where the shaft turns so
slowly that the new samples could not follow the old ones, the window gets wider and keeps out what they could
not; where even that does not do, there is no number (NaN), and spectra leave the place out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import ceil, floor, isfinite

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from ..faults import nearest
from ..ride import Channel, Ride
from .columns import refused, room
from .rotation import Angle

Floats = NDArray[np.float64]

LOBES = 24  # of the sine cardinal on either side
SHAPE = 8.0  # of the Kaiser window over it
FINE = 512  # places between two zeros of the kernel that are tabled
WIDEST = 16.0  # times wider than its narrowest the kernel may get
PIECE = 1 << 14  # samples of the ride that are looked at in one go
POINTS = 128  # new samples that are made in one go
STEP = 0.05  # [s] over which a road speed is summed up

INTERPOLATION_ERROR = 2e-4
"""Largest share [-] of a sine's amplitude that resampling gets wrong, up to FLAT of either sampling rate; a
sine beyond 1.12 times half the new rate comes through as no more than that."""

FLAT = 0.44
"""Share [-] of the lower of both sampling rates, the old one and the new one, up to which amplitudes hold."""


def angle_from_speed(ride: Ride, circumference: float | None = None, channel: str = "speed") -> Angle:
    """How far a vehicle has gone [m], or its wheels have turned [rev], from the road speed in a ride.

    circumference  [m] rolling, of the wheels; None: the way itself
    channel        of the road speed [m/s]

    Raises KeyError for a channel that is not there, CounterbounceError for a speed with gaps or one that
    never moves, ValueError for a circumference not above zero.

    >>> ride = Ride("", 100.0, 0.0, (Channel("speed", "m/s"),), np.full((1, 1001), 24.4))
    >>> float(angle_from_speed(ride, 2.44).turns_at(3.0).round(6))
    30.0
    """
    if circumference is not None and not (isfinite(circumference) and circumference > 0):
        raise ValueError(f"circumference must be above 0 m, got {circumference}")
    names = [one.name for one in ride.channels]
    if channel not in names:
        raise KeyError(f"no channel {channel!r}; {nearest(channel, names) or ', '.join(names)}")
    row, step = names.index(channel), max(round(STEP * ride.rate), 1)
    ways = [np.zeros(1)]
    for part in _with_next(ride, row, step * 4096):
        if not np.isfinite(part).all():
            raise refused(ride.name, "wanted a road speed without gaps", channel)
        way = np.concatenate([[0.0], np.cumsum((part[1:] + part[:-1]) / 2)])
        marks = np.append(np.arange(step, len(way) - 1, step), len(way) - 1)
        ways.append(ways[-1][-1] + way[marks] / ride.rate)
    turns = np.concatenate(ways)
    places = np.append(np.arange(len(turns) - 1) * step, len(ride) - 1)
    if not turns[-1] > 0:
        raise refused(ride.name, "the road speed never leaves zero", channel)
    return Angle(
        ride.start + places / ride.rate, turns / (circumference or 1.0), "rev" if circumference else "m"
    )


def _with_next(ride: Ride, row: int, step: int) -> Iterator[Floats]:
    """One channel in blocks of `step` intervals, each with the next one's first sample; none below zero."""
    for first in range(0, len(ride) - 1, step):
        yield np.maximum(np.asarray(ride.samples[row, first : first + step + 1], dtype=float), 0.0)


def along_angle(ride: Ride, angle: Angle, per_turn: int) -> Ride:
    """The ride with so many samples a turn: its `rate` is per turn, its `start` and its "time" are turns.

    angle     of the shaft or the wheel [rev], or the way along the road [m]
    per_turn  new samples a turn, or a metre

    One channel more, "time" [s], says when each sample was.  For orders up to h to be read, a
    turn needs 2.3 h samples.  Raises ValueError for `per_turn` below one, CounterbounceError where ride and
    angle share no two samples.

    >>> t = np.arange(4000) / 500
    >>> turns = 5 * t + t**2  # from 5 to 21 turns a second
    >>> ride = Ride("", 500.0, 0.0, (Channel("floor", "m/s^2"),), np.cos(2 * np.pi * turns)[None])
    >>> along = along_angle(ride, Angle(t[::50], turns[::50]), 16)
    >>> along.channel("floor")[800:805].round(3).tolist()
    [1.0, 0.924, 0.707, 0.383, 0.0]
    """
    if per_turn < 1:
        raise ValueError(f"per_turn must be 1 or more, got {per_turn}")
    start, end = max(ride.start, angle.time[0]), min(ride.start + (len(ride) - 1) / ride.rate, angle.time[-1])
    shared = angle.turns_at(np.array([start, end])) if start < end else np.zeros(2)
    first, last = ceil(shared[0] * per_turn - 1e-9), floor(shared[1] * per_turn + 1e-9)
    if last <= first:
        raise refused(ride.name, "the ride and the turning share no time in which anything turns")
    samples = room(len(ride.channels) + 1, last - first + 1)
    with threadpool_limits(1):  # small matrices: threads cost more than they bring
        for numbers, times, rates in _instants(ride, angle, per_turn, (start, end)):
            inside = (numbers >= first) & (numbers <= last)
            where = numbers[inside] - first
            samples[:-1, where] = _between(ride, times[inside], rates[inside], per_turn)
            samples[-1, where] = times[inside]
    channels = (*ride.channels, Channel("time", "s"))
    labels = {**ride.labels, "samples": f"along an angle, per {angle.unit}"}
    return replace(
        ride, rate=float(per_turn), start=first / per_turn, channels=channels, samples=samples, labels=labels
    )


def _instants(
    ride: Ride, angle: Angle, per_turn: int, span: tuple[float, float]
) -> Iterator[tuple[NDArray[np.intp], Floats, Floats]]:
    """New samples, some at a time: their numbers, when they were [s] and how fast it turned then."""
    steps = max(ceil((span[1] - span[0]) * ride.rate), 1)
    for low in range(0, steps, PIECE):
        known = span[0] + (span[1] - span[0]) * np.arange(low, min(low + PIECE, steps) + 1) / steps
        turned = angle.turns_at(known) * per_turn
        begin = ceil(turned[0] - 1e-9) if low == 0 else floor(turned[0] + 1e-9) + 1
        numbers = np.arange(begin, floor(turned[-1] + 1e-9) + 1)
        times = np.interp(numbers, turned, known)
        rates = angle.rate_at(times)
        for at in range(0, len(numbers), POINTS):
            part = slice(at, at + POINTS)
            yield numbers[part], times[part], rates[part]


_AWAY = np.arange(LOBES * FINE + 2) / FINE
_KERNEL = (
    np.sinc(_AWAY) * np.i0(SHAPE * np.sqrt(np.clip(1 - (_AWAY / LOBES) ** 2, 0, None))) * (_AWAY < LOBES)
)


def _between(ride: Ride, times: Floats, rates: Floats, per_turn: int) -> Floats:
    """All channels between their samples (channels, n); NaN near both ends and where it turns too slowly."""
    if not len(times):
        return np.zeros((len(ride.channels), 0))
    with np.errstate(divide="ignore"):
        wide = np.clip(ride.rate / (per_turn * rates), 1.0, None)
    served = wide <= WIDEST
    wide = np.minimum(wide, WIDEST)
    places = (times - ride.start) * ride.rate
    half = ceil(LOBES * float(wide.max()))
    lowest = np.floor(places).astype(int) - half + 1
    first, end = int(lowest.min()), int(lowest.max()) + 2 * half
    held = np.asarray(ride.samples[:, max(first, 0) : min(end, len(ride))], dtype=float)
    held = np.pad(held, ((0, 0), (max(-first, 0), max(end - len(ride), 0))))
    taps = (lowest - first)[:, None] + np.arange(2 * half)
    weights = _weights(places[:, None] - (taps + first), wide[:, None])
    spread = np.zeros((len(places), held.shape[1]))
    np.put_along_axis(spread, taps, weights, axis=1)
    found = held @ spread.T  # of all channels at once, several times faster than tap by tap
    reach = LOBES * wide
    served &= (places - reach >= -1) & (places + reach <= len(ride))
    return np.where(served, found, np.nan)


def _weights(away: Floats, wide: Floats) -> Floats:
    """What each old sample counts at each new one; they add up to one."""
    place = np.minimum(np.abs(away) / wide, LOBES) * FINE
    index = place.astype(int)
    share = place - index
    weights = _KERNEL[index] * (1 - share) + _KERNEL[index + 1] * share
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))
