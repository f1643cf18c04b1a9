"""What follows the road: lines in a spectrum per metre, and how large each is along speed.

A wheel, a shaft or a row of slabs makes so many shakes a metre whatever the speed is, so it stands as a line
in spectra per metre; what stays at a frequency is smeared there as the speed changes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .travelled import HIGHEST, STEP, Floats

LONGEST, SHORTEST = 200.0, 80.0  # [m] of a piece in which lines are looked for
PIECES = 12  # that the road should hold
TRACK = 60.0  # [m] of a piece in which a line is followed
LOWEST, MOST = 0.09, 3.0  # [1/m] where lines are looked for
AROUND = 9  # bins on either side that a mean of ratios is compared with
SPREAD = 0.9  # [1/m] above which half a percent of speed is more than half a bin
HEARD = 4.5  # [1/m] up to which spectra are kept: 26 Hz at the slowest
BATCH = 64  # pieces that are looked at in one go
NEAR, FAR = 3, 12  # bins beside a line that are its background
CLEAR = 5.0  # [-] robust standard deviations by which a line stands out
STANDS = 1.5  # [-] and its ratio to its background
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
    ratio      [-] power over the background, mean over the pieces and points
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


def _ratios(found: NDArray[np.complex128], high: int) -> tuple[Floats, Floats]:
    """Power over its background (pieces, F), mean of the points: as it is, and held down where it is loud.

    From the bin `high` on an inexact speed spreads a line over five bins, below over three.
    """
    raw, held = np.zeros(found.shape[1:]), np.zeros(found.shape[1:])
    for point in found:
        for first in range(0, len(point), BATCH):
            part = slice(first, first + BATCH)
            power = np.abs(point[part]) ** 2
            wide = np.hstack([_smooth(power, 1)[:, :high], _smooth(power, 2)[:, high:]])
            ratio = wide / np.maximum(_local(power), 1e-30)
            raw[part] += ratio / len(found)
            held[part] += _held(ratio) / len(found)
    return raw, held


def _smooth(power: Floats, reach: int) -> Floats:
    """The mean of each bin and so many on either side (pieces, F)."""
    padded = np.pad(power, ((0, 0), (reach, reach)), mode="edge")
    return np.asarray(np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1, axis=-1).mean(axis=-1))


def _local(power: Floats, near: int = NEAR, far: int = FAR) -> Floats:
    """The background of each bin: the mean of what lies beside it, the largest fifth left out (..., F)."""
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


def lines(shake: Floats, speed: Floats) -> tuple[Line, ...]:
    """The lines of a ride along the road, the clearest first.

    shake  [m/s^2] (points, steps) along the road
    speed  [m/s] (steps,)
    """
    metres = float(np.clip(len(speed) * STEP / PIECES, SHORTEST, LONGEST))
    found, mean, _ = _pieces(shake, speed, metres)
    if found.shape[1] < FEWEST:
        return ()
    k = _per_metre(found, metres)
    raw, ratio = _ratios(found, int(np.searchsorted(k, SPREAD)))
    heard = (k[None] * mean[:, None] < HIGHEST) & (k[None] * mean[:, None] > LEAST)
    weights = np.where(heard, _even(mean)[:, None], 0.0)
    total = np.maximum(weights.sum(axis=0), 1e-9)
    count = total**2 / np.maximum((weights**2).sum(axis=0), 1e-9)
    there = (k > LOWEST) & (k < MOST) & (heard.sum(axis=0) >= FEWEST)
    score = np.where(there, (weights * ratio).sum(axis=0) / total, np.nan)
    return _tops(k, score, (weights * raw).sum(axis=0) / total, count)


def _tops(k: Floats, score: Floats, raw: Floats, count: Floats) -> tuple[Line, ...]:
    """What stands out of a mean of ratios; without lines that mean is distributed as gamma."""
    there = np.isfinite(score)
    if there.sum() < 8:
        return ()
    middle = np.full(len(score), np.nan)
    middle[there] = _running_median(score[there])
    below = there & (score < middle)  # lines lie above
    spread = 1.4826 * np.median((1 - score[below] / middle[below]) * np.sqrt(count[below])) + 1e-9
    clear = _deviations(score / middle, count / spread**2)
    tops = []
    for i in range(2, len(k) - 2):
        beside = score[i - 2 : i + 3]
        stands = clear[i] > CLEAR and score[i] > STANDS * middle[i]
        if stands and there[i - 2 : i + 3].all() and score[i] == beside.max():
            weights = raw[i - 2 : i + 3] - raw[i - 2 : i + 3].min()
            centre = float(np.sum(weights * k[i - 2 : i + 3]) / weights.sum())
            error = float(k[1] / max(clear[i], 4.0))
            tops.append(Line(centre, error, float(score[i]), float(clear[i])))
    return _apart(sorted(tops, key=lambda line: -line.clear), (NEAR + 1) * float(k[1]))


def _running_median(score: Floats) -> Floats:
    padded = np.pad(score, AROUND, mode="edge")
    view = np.lib.stride_tricks.sliding_window_view(padded, 2 * AROUND + 1)
    return np.asarray(np.median(view, axis=-1))


def _deviations(ratio: Floats, shape: Floats) -> Floats:
    """How many standard deviations a gamma-distributed ratio of mean one stands out [-].

        3 sqrt(a) (x^(1/3) - 1 + 1 / (9 a))

    Source: E. B. Wilson, M. M. Hilferty, Proc. Natl. Acad. Sci. 17 (1931) 684-688 (from memory).
    """
    return np.asarray(3 * np.sqrt(shape) * (np.cbrt(ratio) - 1 + 1 / (9 * shape)))


def _apart(tops: list[Line], least: float) -> tuple[Line, ...]:
    """Lines without the side lobes of clearer ones."""
    kept: list[Line] = []
    for top in tops:
        if all(abs(top.per_metre - one.per_metre) > least for one in kept):
            kept.append(top)
    return tuple(kept)


def followed(shake: Floats, speed: Floats, per_metre: float) -> Track:
    """One line along a ride.

    shake      [m/s^2] (points, steps) along the road
    speed      [m/s] (steps,)
    per_metre  [1/m]
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
    heard = (per_metre * mean < HIGHEST) & (per_metre * mean > 1.5)
    return Track(
        mean[heard], change[heard], per_metre * mean[heard], (whole - background)[:, heard],
        background[:, heard], (level * EIGHTH * 2 * per_metre / k[1] * 4 / 3)[:, heard], band[:, heard],
        amplitude[:, heard],
    )  # fmt: skip
