"""What stays at a frequency while the speed changes: the spectrum of a ride without what follows the road.

Each piece is brought to a common size first, so that rough and fast stretches do not outweigh the others, and
bins near a line that follows the road are left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .mode_fit import ModeFit, fit_mode
from .travelled import Floats, Slow

PIECE = 8.0  # [s]
LOW, HIGH = 3.0, 25.0  # [Hz] looked at
AROUND = 1.55  # [-] how far beside a top the fit looks, as a factor
PEAKS = 3  # tops that are tried at each point
STANDS = 1.6  # [-] a top must stand above its surroundings, as a ratio of powers
CLEAR = 2.0  # [-] gain of a fit from which it is a peak
SLOPE = 1.0  # [-] of power along frequency that a body on a rough road is expected to have


@dataclass(frozen=True)
class Steady:
    """Spectra of the points without what follows the road.

    frequency  [Hz] (F,)
    density    [m^2/s^4/Hz] (points, F) of a piece of middling size
    averages   [-] (F,) independent pieces behind it
    size       [-] (points, pieces) power of each piece over a middling one
    speed      [m/s] (pieces,)
    """

    frequency: Floats
    density: Floats
    averages: Floats
    size: Floats
    speed: Floats

    def level(self, row: int, low: float, high: float) -> float:
        """R.m.s. level between two frequencies in the roughest fifth of the ride [m/s^2]; low, high  [Hz]."""
        inside = (self.frequency >= low) & (self.frequency <= high)
        power = float(self.density[row, inside].sum() * self.frequency[1])
        return float(np.sqrt(power * np.quantile(self.size[row], 0.9)))


@dataclass(frozen=True)
class Hump:
    """A mode seen in a spectrum: which point, and the fit."""

    row: int
    fit: ModeFit


def steady(slow: Slow, per_metre: Sequence[float]) -> Steady | None:
    """Spectra without lines that follow the road; None where the ride is shorter than three pieces.

    per_metre  [1/m] of those lines
    """
    samples = round(PIECE * slow.rate / 2) * 2
    if slow.shake.shape[1] < 2 * samples:
        return None
    window = np.hanning(samples + 1)[:-1]
    hop = samples // 2
    pieces = np.lib.stride_tricks.sliding_window_view(slow.shake, samples, axis=-1)[:, ::hop]
    speed = np.lib.stride_tricks.sliding_window_view(slow.speed, samples)[::hop]
    power = np.stack(
        [np.abs(np.fft.rfft((p - p.mean(axis=-1, keepdims=True)) * window)) ** 2 for p in pieces]
    )
    power *= 2 / (slow.rate * np.sum(window**2))
    f = np.asarray(np.fft.rfftfreq(samples, 1 / slow.rate), dtype=np.float64)
    mean = speed.mean(axis=1)
    there = _without_lines(f, mean, np.ptp(speed[:, hop // 2 : -hop // 2], axis=1), per_metre)
    if slow.speed.any():
        there &= (mean > 0.3 * np.quantile(mean, 0.9))[:, None]
    density, size = _common(power, there, (f >= LOW) & (f <= HIGH))
    used = there.any(axis=1)
    return Steady(f, density, 0.95 * there.sum(axis=0), size[:, used], mean[used])


def _without_lines(f: Floats, speed: Floats, change: Floats, per_metre: Sequence[float]) -> NDArray[np.bool_]:
    there = np.ones((len(speed), len(f)), dtype=bool)
    for k in per_metre:
        wide = 2.5 * f[1] + 0.5 * k * change + 0.01 * k * speed
        there &= np.abs(f[None] - k * speed[:, None]) > wide[:, None]
    return there


def _common(power: Floats, there: NDArray[np.bool_], inside: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Mean spectrum of pieces brought to one size, and their sizes; two rounds are enough."""
    use = there & inside
    size = np.ones(power.shape[:2])
    for _ in range(3):
        scaled = np.where(there, power / size[..., None], 0.0)
        density = scaled.sum(axis=1) / np.maximum(there.sum(axis=0), 1)
        ratio = np.where(use, power / np.maximum(density[:, None], 1e-30), np.nan)
        lively = use.any(axis=1)
        size[:, lively] = np.nanmedian(ratio[:, lively], axis=-1) / np.log(2)
        size = np.maximum(size, 1e-9)
        size /= np.median(size[:, lively], axis=1, keepdims=True) if lively.any() else 1.0
    return density, size


def humps(found: Steady, rows: Sequence[int]) -> tuple[Hump, ...]:
    """The modes that stand out of the spectra of some points."""
    return tuple(hump for row in rows for hump in _humps(found, row))


def _humps(found: Steady, row: int) -> list[Hump]:
    f = found.frequency
    use = (f >= LOW) & (f <= HIGH) & (found.averages >= 3)
    if use.sum() < 20:
        return []
    at, density = f[use], np.maximum(found.density[row, use], 1e-30)
    left = density
    smooth = np.exp(np.convolve(np.log(density), np.ones(3) / 3, mode="same"))
    around = np.array([np.median(smooth[(at > one / AROUND) & (at < one * AROUND)]) for one in at])
    above = smooth / around
    humps: list[Hump] = []
    tried: list[float] = []
    for top in np.argsort(-above):
        if len(tried) >= PEAKS or above[top] < STANDS:
            break
        if any(abs(np.log(at[top] / one)) < 0.2 for one in tried) or not 0 < top < len(at) - 1:
            continue
        tried.append(float(at[top]))
        beside = (at > at[top] / AROUND) & (at < at[top] * AROUND)
        weights = found.averages[use][beside] / 1.5
        wide = np.full(beside.sum(), 1.5 * f[1])
        for power in (density, left):  # the second without the modes that outshone the top
            fit = fit_mode(at[beside], power[beside], weights, spread=wide, slope=SLOPE)
            if fit is not None and all(abs(np.log(fit.frequency / one.fit.frequency)) > 0.1 for one in humps):
                humps.append(Hump(row, fit))
                left = left / risen(at, fit)
                break
    return humps


def risen(frequency: Floats, fit: ModeFit) -> Floats:
    """What a mode makes of power along frequency, as a ratio (n,) [-]: without it, others beside it are seen.

    frequency  [Hz] (n,)

    One that is no clear peak takes nothing.
    """
    if fit.peak < CLEAR:
        return np.ones(len(frequency))
    r2, z2 = (frequency / fit.frequency) ** 2, 4 * fit.damping**2
    return np.asarray(1 + (fit.amplification**2 - 1) * z2 / ((1 - r2) ** 2 + z2 * r2))
