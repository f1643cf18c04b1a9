"""What follows the road: lines in a spectrum per metre, and how large each is along speed.

A wheel, a shaft or a row of slabs makes so many shakes a metre whatever the speed is, so it stands as a line
in spectra per metre; what stays at a frequency is smeared there as the speed changes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .travelled import HIGHEST, STEP, Floats

LONGEST, SHORTEST = 200.0, 160.0  # [m] of a piece in which lines are looked for
PIECES, LEAST_PIECES = 10, 3  # that the road should hold, end to end, and those that it must
TRACK = 60.0  # [m] of a piece in which a line is followed
LOWEST, MOST = 0.09, 3.0  # [1/m] where lines are looked for
REACHES = 1, 2, 4  # bins on either side over which a line may be spread: a speed is never quite right
BESIDE, UPPER = 0.15, 0.8  # [1/m] on either side, and the quantile there, that a line must stand above
HEARD = 4.5  # [1/m] up to which spectra are kept: 27 Hz at the slowest
BATCH = 64  # pieces that are looked at in one go
NEAR, FAR = 3, 12  # bins beside a line that are its background
CLEAR = 2.5  # [-] robust standard deviations by which a line stands out
STANDS = 1.7  # [-] and its ratio to its background
EIGHTH = 0.125
LOUD = 8.0  # [-] ratio from which a piece hardly counts more
LEAST = 2.0  # [Hz] below which no line is looked for
SAME_SPEED = 0.04  # [-] within which two speeds are one, as a natural logarithm
FEWEST = 5  # pieces in which a line must be heard
SLACK = 0.012  # [-] by which a line is followed when the speed is not quite right


@dataclass(frozen=True)
class Line:
    """What comes so many times per metre.

    per_metre  [1/m], and its standard error
    error      [1/m]
    ratio      [-] power over what lies beside it, mean over the pieces and points
    clear      [-] by how many standard deviations it stands out
    """

    per_metre: float
    error: float
    ratio: float
    clear: float


@dataclass(frozen=True)
class Track:
    """One line along the ride, piece by piece.

    speed       [m/s] (pieces,) mean, and how far it changes within a piece
    change      [m/s] (pieces,)
    frequency   [Hz] (pieces,)
    power       [m^2/s^4] (points, pieces) of the line, mean square, background taken off; may be negative
    background  [m^2/s^4] (points, pieces) of what else lies in the line's width
    beside      [m^2/s^4] (points, pieces) what else lies within an eighth of the frequency
    band        [m^2/s^4] (points, pieces) all from 3 to 25 Hz
    amplitude   [m/s^2] (points, pieces) complex, of the line's peak
    """

    speed: Floats
    change: Floats
    frequency: Floats
    power: Floats
    background: Floats
    beside: Floats
    band: Floats
    amplitude: NDArray[np.complex128]


def _pieces(shake: Floats, speed: Floats, metres: float) -> tuple[NDArray[np.complex128], Floats, Floats]:
    """Transforms of half-overlapping pieces (points, pieces, F), their speeds, and how far these change."""
    samples = max(round(metres / STEP / 2) * 2, 16)
    bins = int(HEARD * samples * STEP) + 1
    if len(speed) < samples:
        return np.zeros((len(shake), 0, bins), complex), np.zeros(0), np.zeros(0)
    window = np.hanning(samples + 1)[:-1]
    view = np.lib.stride_tricks.sliding_window_view(shake, samples, axis=-1)[:, :: samples // 2]
    v = np.lib.stride_tricks.sliding_window_view(speed, samples)[:: samples // 2]
    found = np.empty((*view.shape[:2], bins), complex)
    for row, point in enumerate(view):
        for first in range(0, len(point), BATCH):
            part = point[first : first + BATCH]
            centred = part - part.mean(axis=-1, keepdims=True)
            found[row, first : first + BATCH] = np.fft.rfft(centred * window)[:, :bins] * (2 / samples)
    middle = v[:, samples // 4 : -samples // 4]
    return found, v @ window / window.sum(), np.ptp(middle, axis=1)


def _per_metre(found: NDArray[np.complex128], metres: float) -> Floats:
    """[1/m] of the bins of such transforms (F,)."""
    samples = max(round(metres / STEP / 2) * 2, 16)
    return np.asarray(np.arange(found.shape[-1]) / (samples * STEP))


def _ratios(found: NDArray[np.complex128], weights: Floats) -> tuple[Floats, Floats]:
    """Weighted mean over pieces and points of power over its background: as it is (F,), and held down where
    it is loud, by reach (reaches, F)."""
    raw, held = np.zeros(found.shape[2]), np.zeros((len(REACHES), found.shape[2]))
    shares = weights / np.maximum(weights.sum(axis=0), 1e-9) / len(found)
    for point in found:
        for first in range(0, len(point), BATCH):
            share = shares[first : first + BATCH]
            power = np.abs(point[first : first + BATCH]) ** 2
            local = np.maximum(_local(power), 1e-30)
            raw += (share * power / local).sum(axis=0)
            for i, reach in enumerate(REACHES):
                held[i] += (share * _held(_smooth(power, reach) / local)).sum(axis=0)
    return raw, held


def _smooth(power: Floats, reach: int) -> Floats:
    """The mean of each bin and so many on either side (pieces, F)."""
    padded = np.pad(power, ((0, 0), (reach, reach)), mode="edge")
    return np.asarray(np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1, axis=-1).mean(axis=-1))


def _local(power: Floats, near: int = NEAR, far: int = FAR) -> Floats:
    """The background of each bin: the mean power of noise with the median of what lies beside it (..., F)."""
    width = 2 * far + 1
    padded = np.pad(power, [(0, 0)] * (power.ndim - 1) + [(far, far)], mode="edge")
    view = np.lib.stride_tricks.sliding_window_view(padded, width, axis=-1)
    beside = np.r_[0 : far - near + 1, far + near : width]
    return np.asarray(np.median(view[..., beside], axis=-1) / np.log(2))


def _held(ratio: Floats) -> Floats:
    """Ratios that hardly grow beyond LOUD, so that one loud piece does not speak for all."""
    over = np.log(np.maximum(ratio, LOUD) / LOUD)
    return np.where(ratio < LOUD, ratio, LOUD * (1 + 0.05 * over))


def _even(speed: Floats) -> Floats:
    """Weights of pieces, so that every speed counts the same however long it was driven [-]."""
    steps = np.floor(np.log(speed) / SAME_SPEED).astype(int)
    _, which, counts = np.unique(steps, return_inverse=True, return_counts=True)
    return np.asarray(1.0 / counts[which])


def lines(shake: Floats, speed: Floats, highest: float = HIGHEST) -> tuple[Line, ...]:
    """The lines of a ride along the road, the clearest first.

    shake    [m/s^2] (points, steps) along the road
    speed    [m/s] (steps,)
    highest  [Hz] up to which the recording can be looked at
    """
    road = len(speed) * STEP
    metres = min(float(np.clip(road / PIECES, SHORTEST, LONGEST)), road / LEAST_PIECES)
    found, mean, _ = _pieces(shake, speed, metres)
    if found.shape[1] < FEWEST:
        return ()
    k = _per_metre(found, metres)
    heard = (k[None] * mean[:, None] < highest) & (k[None] * mean[:, None] > LEAST)
    weights = np.where(heard, _even(mean)[:, None], 0.0)
    there = (k > LOWEST) & (k < MOST) & (heard.sum(axis=0) >= FEWEST)
    count = weights.sum(axis=0) ** 2 / np.maximum((weights**2).sum(axis=0), 1e-9)
    raw, scores = _ratios(found, weights)
    clear, ratio = np.full(len(k), -np.inf), np.zeros(len(k))
    for score, reach in zip(scores, REACHES, strict=True):
        one, above = _standing_out(score, np.where(there, count, 0.0), reach, float(k[1]))
        ratio = np.where(one > clear, above, ratio)
        clear = np.maximum(clear, one)
    return _tops(k, raw, clear, ratio)


def _standing_out(score: Floats, count: Floats, reach: int, step: float) -> tuple[Floats, Floats]:
    """By how many robust standard deviations a mean of ratios stands above the upper part of what lies beside
    (F,), and how many times as large it is (F,): the upper part, for the comb that two axles make of a rough
    road has tops of its own.

    count  [-] (F,) pieces behind each; step  [1/m] from one to the next
    """
    clear, above = np.full(len(score), -np.inf), np.zeros(len(score))
    near = reach + NEAR
    far = max(near + 6, int(BESIDE / step) + reach)
    there = count > 0
    if there.sum() <= 2 * far:
        return clear, above
    level = np.log(np.maximum(score[there], 1e-9))
    beside = np.r_[0 : far - near + 1, far + near : 2 * far + 1]
    away = level - np.quantile(_windows(level, far)[:, beside], UPPER, axis=-1)
    scaled = away * np.sqrt(count[there])
    spread = 1.4826 * np.median(np.abs(scaled - np.median(scaled))) + 1e-9
    clear[there], above[there] = scaled / spread, np.exp(away)
    return clear, above


def _windows(values: Floats, reach: int) -> Floats:
    """Each value with so many on either side (n, 2 reach + 1); beyond an end lies its mirror image."""
    padded = np.pad(values, reach, mode="reflect")
    return np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1)


def _tops(k: Floats, raw: Floats, clear: Floats, ratio: Floats) -> tuple[Line, ...]:
    """What stands out."""
    tops = []
    for i in range(2, len(k) - 2):
        near = slice(i - 2, i + 3)
        stands = clear[i] > CLEAR and ratio[i] > STANDS and clear[i] == clear[near].max()
        if stands and np.isfinite(clear[near]).all():
            weights = raw[near] - raw[near].min()
            centre = float(np.sum(weights * k[near]) / weights.sum())
            error = float(k[1] / max(clear[i], 4.0))
            tops.append(Line(centre, error, float(ratio[i]), float(clear[i])))
    return _apart(sorted(tops, key=lambda line: -line.clear), (NEAR + 1) * float(k[1]))


def _apart(tops: list[Line], least: float) -> tuple[Line, ...]:
    """Lines without the side lobes of clearer ones."""
    kept: list[Line] = []
    for top in tops:
        if all(abs(top.per_metre - one.per_metre) > least for one in kept):
            kept.append(top)
    return tuple(kept)


def followed(shake: Floats, speed: Floats, per_metre: float, highest: float = HIGHEST) -> Track:
    """One line along a ride.

    shake      [m/s^2] (points, steps) along the road
    speed      [m/s] (steps,)
    per_metre  [1/m]
    highest    [Hz] up to which the recording can be looked at
    """
    metres = max(TRACK, 12 / per_metre)
    found, mean, change = _pieces(shake, speed, metres)
    k = _per_metre(found, metres)
    power = np.abs(found) ** 2
    # Under a Hann window of mean one half a line of amplitude A makes 3/8 A^2 in the sum of its bins.
    slack = per_metre * SLACK + 1.5 * k[1]
    on = np.abs(k - per_metre) <= slack
    off = (np.abs(k - per_metre) > slack + k[1]) & (np.abs(k - per_metre) <= slack + (3 + FAR / 2) * k[1])
    level = np.median(power[..., off], axis=-1) / np.log(2)
    whole = power[..., on].sum(axis=-1) * 4 / 3
    background = level * on.sum() * 4 / 3
    inside = (k[None] * mean[:, None] >= 3) & (k[None] * mean[:, None] <= 25)
    band = np.where(inside, power, 0.0).sum(axis=-1) * 4 / 3
    top = np.argmax(np.where(on, power.sum(axis=0), 0.0), axis=-1)
    amplitude = np.take_along_axis(found, top[None, :, None], axis=-1)[..., 0] * 2
    heard = (per_metre * mean < highest) & (per_metre * mean > 1.5)
    return Track(
        mean[heard], change[heard], per_metre * mean[heard], (whole - background)[:, heard],
        background[:, heard], (level * EIGHTH * 2 * per_metre / k[1] * 4 / 3)[:, heard], band[:, heard],
        amplitude[:, heard],
    )  # fmt: skip
