"""By how much the readings of a road speed are late, estimated from the recording itself.

What turns with the wheels makes lines in a spectrum per metre travelled.  They are sharpest where speed and
shake belong to the same instant, whatever the circumference is.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from .clock import Grid
from .columns import Floats
from .speed import SpeedPoints

LAGS = np.arange(-1.0, 4.51, 0.1)  # [s] that are tried
RATE = 80.0  # [Hz] or more, at which the shake is looked at
LONGEST = 600.0  # [s] looked at: where the speed changes most
SHORTEST, LONGEST_SEGMENT = (
    100.0,
    600.0,
)  # [m] of a spectrum per metre: the finer the better, if there are enough
SEGMENTS = 16  # that the road should hold
SLOWEST = 3.0  # [m/s] below which nothing is looked at
CHANGED = 0.05  # [-] of its mean by which the speed must vary (r.m.s.)
AGREED = 0.3  # [s] within which both halves of the segments, and all of them, must agree
CONTRAST = 0.4  # [-] by which the sharpest lag must stand out, as a natural logarithm
STILL = 1e-9  # [m/s^2] a channel that moves no more is dead, and has no lines
SMALLEST = 0.35  # [s]: a smaller lag is not told from none


@dataclass(frozen=True)
class Lag:
    """By how much a speed is late [s], how far both halves and the whole differ in it [s]; why, in words."""

    seconds: float
    apart: float
    said: str


def lag_of(samples: Any, channels: int, grid: Grid, points: SpeedPoints) -> Lag:
    """The lag of a speed behind the first rows of samples; 0 where the recording does not tell.

    samples   (rows, samples) [m/s^2], of which the first `channels` are accelerations
    points    readings of the speed [m/s]
    """
    shake, times = _looked_at(samples, channels, grid, points)
    shake = shake[np.ptp(shake, axis=1) > STILL]
    speeds = points.at(times)
    moving = np.min([points.at(times, lag) for lag in LAGS[::5]], axis=0) > SLOWEST
    if not len(shake):
        return Lag(0.0, 0.0, "no channel moves, so nothing tells whether the speed is late")
    if float(np.sum(speeds[moving])) * np.mean(np.diff(times)) < SEGMENTS * SHORTEST / 2:
        return Lag(0.0, 0.0, "too little road to tell whether the speed is late")
    if speeds[moving].std() < CHANGED * speeds[moving].mean():
        return Lag(0.0, 0.0, "the speed changes too little to tell whether it is late")
    shake = np.where(moving, shake, 0.0)  # a stop that is shifted against the shake makes lines of its own
    sharp = np.array([_sharpness(shake, times, np.where(moving, points.at(times, lag), 0.0)) for lag in LAGS])
    halves = [_peak(sharp[:, half]) for half in range(2)]
    both = sharp.mean(axis=1)
    best = _peak(both)
    apart = float(np.ptp([best, *halves]))
    inside = -SMALLEST < best < LAGS[-1] - 0.2  # no speedometer knows a speed before it is driven
    stands = min(np.ptp(sharp[:, half]) for half in range(2)) > CONTRAST
    if not (inside and stands and apart <= AGREED):
        return Lag(0.0, 0.0, "the recording does not tell whether the speed is late")
    if abs(best) < SMALLEST:
        return Lag(0.0, apart, f"the speed is not late by more than {SMALLEST:g} s")
    said = f"the speed is {best:.1f} s late, by the sharpness of what turns with the wheels"
    return Lag(best, apart, said)


def _looked_at(samples: Any, channels: int, grid: Grid, points: SpeedPoints) -> tuple[Floats, Floats]:
    """(channels, n) shake [m/s^2] at a lower rate, and its times [s], where the speed changes most."""
    every = max(int(grid.rate // RATE), 1)
    count = grid.count // every
    times = grid.start + (np.arange(count, dtype=float) * every + (every - 1) / 2) / grid.rate
    size = min(int(LONGEST * grid.rate / every), count)
    firsts = range(0, count - size + 1, max(size // 4, 1))
    first = max(firsts, key=lambda i: float(np.std(points.at(times[i : i + size : 10]))))
    held = np.asarray(samples[:channels, first * every : (first + size) * every], dtype=float)
    shake: Floats = held.reshape(channels, size, every).mean(axis=2)
    shake -= shake.mean(axis=1, keepdims=True)
    return shake, times[first : first + size]


def _sharpness(shake: Floats, times: Floats, speeds: Floats) -> Floats:
    """How sharp the lines per metre are, for the odd and for the even segments (2,) [-]."""
    step = np.mean(np.diff(times))
    metres = np.cumsum(np.maximum(speeds, 0.0)) * step
    spacing = float(np.median(speeds[speeds > SLOWEST])) * step
    size = int(np.clip((metres[-1] - metres[0]) / SEGMENTS, SHORTEST, LONGEST_SEGMENT) / spacing)
    along = np.arange(metres[0], metres[-1], spacing)
    window = np.hanning(size)
    found = np.zeros(2)
    for channel in shake:
        even = np.interp(along, metres, channel)
        parts = np.lib.stride_tricks.sliding_window_view(even, size)[:: size // 2]
        power = np.abs(np.fft.rfft(parts * window, axis=1)) ** 2
        power /= power.sum(axis=1, keepdims=True) + 1e-300
        for half in range(2):
            found[half] += np.log(_peaked(power[half::2].mean(axis=0)))
    return found / len(shake)


def _peaked(power: Floats) -> float:
    """Mean square of a spectrum over its own running median: large where it has lines."""
    from scipy.ndimage import median_filter

    part = power[4:]
    return float(np.mean((part / (median_filter(part, 41) + 1e-300)) ** 2))


def _peak(curve: Floats) -> float:
    """The lag [s] of the largest value, by a parabola through its neighbours."""
    i = int(np.clip(np.argmax(curve), 1, len(curve) - 2))
    before, at, after = curve[i - 1 : i + 2]
    bend = before - 2 * at + after
    return float(LAGS[i] + (LAGS[1] - LAGS[0]) * (0.5 * (before - after) / bend if bend < 0 else 0.0))
