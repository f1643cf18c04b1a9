"""Shakes of a ride, each with what can be measured of it: level, share, size of its input, who meets whom.

Two kinds are told apart here.  A *turning* shake comes so many times a metre; a *mode* stays at a frequency.
Where a turning shake passes a mode, both are there, and what each brings is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..comfort import PERCEPTION_THRESHOLD, weighting_response
from .lines import Track, followed
from .mode_fit import ModeFit, fit_mode
from .rolling import Family, Sorted
from .steady import CLEAR, Hump, Steady, humps, risen
from .travelled import Floats, Slow, is_unsprung

MOST_LINES = 8
HEALTHY = {1: 0.30e-3, 2: 0.15e-3, 3: 0.10e-3, 4: 0.08e-3}
"""Amplitude [m] of the radial run-out of one healthy wheel by order.  Common practice, no source; a factor of
two either way."""
WHEELS = 2  # of an axle: of n with phases of their own the mean is 1 / sqrt(n) of one
HOP = (11.5, 0.25)  # [Hz], [-] an axle's hop as it usually is, taken off where only fast pieces are there
ISOLATED = (
    0.2  # [-] of a wheel's height that reaches a body well above its bounce; a factor of two either way
)
LIGHT = 0.12  # [-] damping ratio below which a mode rings
BROAD = 0.25  # [-] damping ratio above which nobody would speak of a resonance
SAME = 0.09  # [-] within which two natural frequencies are one


@dataclass(frozen=True)
class Turning:
    """A shake that comes so many times a metre.

    line         what it is, and which order
    track        along the ride
    row          of the sprung point where it is felt most
    best         piece at which it is felt most
    level        [m/s^2] r.m.s. then and there
    felt         [m/s^2] weighted peak then and there
    share        [-] of the power between 3 and 25 Hz then and there
    tonal        [-] of the power within an eighth of its frequency, then and there
    band         [m/s] from the lowest to the highest speed above 0.71 of the level
    fits         the modes that explain its rise and fall along frequency, if any
    size         [-] of its input over a healthy one; None where nothing tells
    size_from    "axle" where sensors on axles tell, else "body"
    axle         the unsprung point where its height is largest, if there is one
    """

    line: Sorted
    track: Track
    row: int
    best: int
    level: float
    felt: float
    share: float
    tonal: float
    band: tuple[float, float]
    fits: tuple[ModeFit, ...]
    size: float | None
    size_from: str
    axle: str | None

    @property
    def frequency(self) -> float:
        """[Hz] where it is felt most."""
        return float(self.track.frequency[self.best])


@dataclass(frozen=True)
class Mode:
    """A shake that stays at a frequency.

    fit      the best of all fits that agree on it
    steady   [-] how clearly spectra without lines show it: the gain of its fit, 0 where they do not
    turning  [-] how clearly an order that passes shows it, likewise
    row      of the point where it shows best
    rough    [m/s^2] r.m.s. level in its width that follows no line, in rough stretches
    share    [-] of that in the power between 3 and 25 Hz
    felt     [m/s^2] weighted peak of it
    """

    fit: ModeFit
    steady: float
    turning: float
    row: int
    rough: float
    share: float
    felt: float


def felt_peak(level: float, frequency: float) -> float:
    """Weighted peak [m/s^2] of a vertical sine on a seat.

    level      [m/s^2] r.m.s.
    frequency  [Hz]

    >>> round(felt_peak(0.1, 8.0), 3)     # ISO 2631-1, Table 3: Wk is 1.036
    0.147
    """
    return float(np.sqrt(2) * level * abs(weighting_response("Wk", np.array([frequency]))[0]))


# --- what turns ---------------------------------------------------------------------------------------------


def turning(slow: Slow, shake: Floats, speed: Floats, found: Sequence[Sorted]) -> tuple[Turning, ...]:
    """Every line as a shake, the most felt first.

    shake  [m/s^2] (points, steps) along the road
    speed  [m/s] (steps,)
    """
    tracks = [(one, followed(shake, speed, one.line.per_metre, slow.highest)) for one in found[:MOST_LINES]]
    heard = [(one, track) for one, track in tracks if len(track.speed) >= 3 and _is_heard(slow, track)]
    told = [_turning(slow, one, track) for one, track in heard]
    return tuple(sorted(told, key=lambda one: -one.felt))


def _is_heard(slow: Slow, track: Track) -> bool:
    """Whether the line rises above what is beside it at any speed, where somebody would feel it."""
    return any((_along_speed(track, track.power[row]) > 0).any() for row in slow.sprung)


def _turning(slow: Slow, line: Sorted, track: Track) -> Turning:
    row, best = _felt_most(slow, track)
    power = _along_speed(track, track.power[row])
    loud = track.speed[power > power[best] / 2]
    level = float(np.sqrt(power[best]))
    frequency = float(track.frequency[best])
    share = float(power[best] / max(_along_speed(track, track.band[row])[best], 1e-30))
    beside = float(_along_speed(track, track.beside[row])[best])
    tonal = level**2 / (level**2 + beside)
    size, source, axle = _size(slow, line, track)
    fits = _fits(slow, track, row) if felt_peak(level, frequency) > PERCEPTION_THRESHOLD else ()
    return Turning(
        line, track, row, best, level, felt_peak(level, frequency), min(share, 1.0), tonal,
        (float(loud.min()), float(loud.max())), fits, size, source, axle,
    )  # fmt: skip


def _felt_most(slow: Slow, track: Track) -> tuple[int, int]:
    """Row and piece at which a line is felt most; what does not stand out there counts little, for where the
    road is rough its power is mostly chance."""
    rows = list(slow.sprung)
    power = np.stack([_along_speed(track, one) for one in track.power[rows]]).clip(1e-30)
    beside = np.stack([_along_speed(track, one) for one in track.beside[rows]])
    tonal = power / (power + beside)
    felt = power * np.abs(weighting_response("Wk", track.frequency)) ** 2
    top = int(np.argmax(felt * tonal**2))
    return rows[top // len(track.speed)], top % len(track.speed)


def _along_speed(track: Track, values: Floats) -> Floats:
    """Values smoothed along speed: the mean of some neighbours, so that beating and noise average out."""
    order = np.argsort(track.speed)
    reach = max(len(values) // 24, 1)
    kernel = np.ones(2 * reach + 1) / (2 * reach + 1)
    padded = np.pad(values[order], reach, mode="edge")
    smooth = np.empty(len(values))
    smooth[order] = np.convolve(padded, kernel, mode="valid")
    return smooth


def _fits(slow: Slow, track: Track, row: int) -> tuple[ModeFit, ...]:
    """The modes that the order passes: the clearest, and the one that is left when that is taken away."""
    power = np.maximum(track.power[row] + track.background[row], 1e-12)
    spread = track.change * track.frequency / np.maximum(track.speed, 1)
    first = _fit(slow, track, row, power, spread)
    if first is None or first.peak < CLEAR:
        return () if first is None else (first,)
    rise = risen(track.frequency, first)
    second = fit_mode(track.frequency, power / rise, None, track.background[row] / rise, spread)
    return (first,) if second is None else (first, second)


def _fit(slow: Slow, track: Track, row: int, power: Floats, spread: Floats) -> ModeFit | None:
    """The clearest of them; what the axles do is taken off where sensors tell, for wheels beat."""
    axles = [i for i, name in enumerate(slow.names) if is_unsprung(name)]
    plain = fit_mode(track.frequency, power, None, track.background[row], spread)
    if not axles or row in axles:
        return plain
    moved = sum(track.power[i] + track.background[i] for i in axles) / (track.frequency / 8) ** 4
    moved = np.maximum(np.asarray(moved), 1e-12)
    ratio = fit_mode(track.frequency, power / (moved / np.median(moved)), None, None, spread)
    fits = [fit for fit in (plain, ratio) if fit is not None]
    return max(fits, key=lambda fit: fit.peak, default=None)


def _size(slow: Slow, line: Sorted, track: Track) -> tuple[float | None, str, str | None]:
    """Size of a wheel's input over a healthy one, what told it, and the axle where it is largest.

    Pieces count by how little else there is in them: where the road is rough, or the noise of a sensor made
    into a height, the few in which the wheel stands out tell more than all others.
    """
    if line.family != "wheel":
        return None, "", None
    healthy = HEALTHY.get(round(line.order), 0.3e-3 / max(line.order, 1)) / np.sqrt(WHEELS)
    per_height = (2 * np.pi * track.frequency) ** 4 / 2
    axles = [i for i, name in enumerate(slow.names) if is_unsprung(name)]
    rows = axles or list(slow.sprung)
    if axles:
        per_height = per_height * _hop(track.frequency) ** 2
    squares = track.power[rows] / per_height
    weights = per_height / np.maximum(track.background[rows], 1e-30)
    if axles:
        typical = np.sqrt(np.clip((weights * squares).sum(axis=1) / weights.sum(axis=1), 0, None))
        top = int(np.argmax(typical))
        return float(typical[top] / healthy), "axle", slow.names[axles[top]].split(", ")[0]
    # The median: where a mode is passed, a body moves many times as much.
    middle = max(_weighted_median(*both) for both in zip(squares, weights, strict=True))
    return float(np.sqrt(max(middle, 0.0)) / ISOLATED / healthy), "body", None


def _weighted_median(values: Floats, weights: Floats) -> float:
    order = np.argsort(values)
    heavy = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(heavy, heavy[-1] / 2)])


def _hop(frequency: Floats) -> Floats:
    r = frequency / HOP[0]
    return np.asarray(1 / np.abs(1 - r**2 + 2j * HOP[1] * r))


# --- what stays at a frequency ------------------------------------------------------------------------------


def modes(slow: Slow, found: Steady | None, turned: Sequence[Turning]) -> tuple[Mode, ...]:
    """Modes that spectra or orders show, each once, the clearest first."""
    standing = list(humps(found, slow.sprung)) if found else []
    passed = [Hump(one.row, fit) for one in turned for fit in one.fits]
    grouped: list[list[Hump]] = []
    for one in [*_clear(standing), *_clear(passed)]:
        group = next((g for g in grouped if _same(one.fit, g[0].fit)), None)
        if group is None:
            grouped.append([one])
        else:
            group.append(one)
    return tuple(_mode(found, group, standing) for group in grouped)


def _clear(seen: Sequence[Hump]) -> list[Hump]:
    """Those that may be a mode that rings, the clearest first."""
    ringing = [h for h in seen if h.fit.peak > CLEAR and h.fit.damping < BROAD and h.fit.inside > 0.4]
    return sorted(ringing, key=lambda hump: -hump.fit.peak)


def _same(one: ModeFit, other: ModeFit) -> bool:
    return bool(abs(np.log(one.frequency / other.frequency)) < SAME)


def _mode(found: Steady | None, group: Sequence[Hump], standing: Sequence[Hump]) -> Mode:
    best = group[0]
    fit = best.fit
    seen = [
        max((h.fit.peak for h in group if (h in standing) == which), default=0.0) for which in (True, False)
    ]
    if found is None:
        return Mode(fit, seen[0], seen[1], best.row, 0.0, 0.0, 0.0)
    wide = max(2 * fit.damping, 0.06)
    rough = found.level(best.row, fit.frequency * (1 - wide), fit.frequency * (1 + wide))
    whole = found.level(best.row, 3.0, 25.0)
    share = (rough / whole) ** 2 if whole > 0 else 0.0
    return Mode(fit, seen[0], seen[1], best.row, rough, share, felt_peak(rough, fit.frequency))


def meets(one: Turning, mode: Mode) -> float:
    """R.m.s. level that a turning shake reaches while it passes a mode [m/s^2]; 0 where it never does."""
    f = one.track.frequency
    near = np.abs(f / mode.fit.frequency - 1) < max(1.5 * mode.fit.damping, 0.05)
    if not near.any():
        return 0.0
    return float(np.sqrt(np.clip(_along_speed(one.track, one.track.power[mode.row])[near].max(), 0, None)))


def family_level(turned: Sequence[Turning], mode: Mode, families: Sequence[Family]) -> float:
    """R.m.s. level that the shakes of some families reach together as they pass a mode [m/s^2]."""
    return float(np.sqrt(sum(meets(one, mode) ** 2 for one in turned if one.line.family in families)))
