"""What is wrong with channels on one clock: dead, drifting, humming, upside down, aliased, loose."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .clock import Grid
from .columns import Floats, pieces
from .notes import HealthNote
from .sensors import Sensor

HIGHEST = 30.0  # [Hz] up to which a vehicle is looked at
ENOUGH = 2.5 * HIGHEST  # [Hz] of a rate
DEAD = 0.005  # [-] of the median level of the others below which a channel is dead
STILL = 0.002  # [m/s^2] r.m.s. that nothing on a moving vehicle falls below
DRIFTS, BY_AT_LEAST = (
    0.5,
    0.2,
)  # [-] of its level, [m/s^2]: a straight trend over the ride that is none of the road
SEGMENT, SEGMENTS = 10.0, 60  # [s] of a spectrum, and how many are spread over the ride at most
MAINS = (50.0, 60.0)  # [Hz]
HARMONICS = 3
OFF_MAINS = 0.15  # [Hz] by which a mains line may lie off
STANDS_OUT = 20.0  # times its neighbours: a line
BESIDE = (0.5, 3.0)  # [Hz] away, where the neighbours lie
LOUD = 1e-4  # [-] of the channel's power, from which on a hum is told
TOP = 0.2  # [-] of the band below half the rate, in which nothing much should be left
ALIASED = 0.1  # [-] of the power that may lie there
WATCHED = 300.0  # [Hz] of a rate above which aliases do not reach what is looked at
ALIKE = 0.9  # [-] of coherence between neighbours
OPPOSED = 0.8  # [-] of the lines from 1 to 20 Hz that must be alike, and opposed
BURST = 12.0  # standard deviations (by the median) of the second differences
BARE = 2.0  # times the channel's level that a burst must reach
OFTEN = 20.0  # [s] in which there is one
TOGETHER = 0.05  # [s] within which a burst elsewhere means the road


@dataclass(frozen=True)
class _Lines:
    """Spectra from segments spread over the ride: frequency [Hz] (F,), densities (C, F), cross (C, C, F)."""

    frequency: Floats
    power: Floats
    cross: NDArray[np.complex128]


def of_ride(
    samples: Any, sensors: Sequence[Sensor], grid: Grid, recorded: Sequence[float]
) -> tuple[list[HealthNote], list[int]]:
    """What was found, and which channels are dead; a drift is taken off in place.

    samples   (channels, samples) [m/s^2], one row for each sensor first
    recorded  [Hz] rate at which each column was recorded
    """
    names = [one.name for one in sensors]
    level, trend = _levels(samples, len(names), grid)
    notes = list(_slow(names, grid, recorded))
    dead = _dead(level)
    done = "left out" if len(dead) < len(names) else "left in: there is nothing else"
    for row in dead:
        found = f"{level[row]:.2g} m/s^2 r.m.s., others {np.median(level):.2g} m/s^2"
        notes.append(HealthNote(names[row], "dead", grid.start, grid.end, found, done))
    notes += _drift(samples, sensors, level, trend, grid)
    alive = [row for row in range(len(names)) if row not in dead]
    lines = _lines(samples, len(names), grid)
    if lines is not None:
        notes += [note for row in alive for note in _hum(names[row], lines, row, grid)]
        notes += [note for row in alive for note in _aliased(names[row], lines, row, grid, recorded[row])]
        notes += list(_opposed(sensors, alive, lines, grid))
    notes += _loose(samples, names, alive, level, grid)
    return notes, dead


def _slow(names: Sequence[str], grid: Grid, recorded: Sequence[float]) -> Iterator[HealthNote]:
    for name, rate in zip(names, recorded, strict=True):
        if rate < ENOUGH * 0.999:
            found = f"{rate:.4g} Hz, wanted {ENOUGH:g} Hz for what shakes up to {HIGHEST:g} Hz"
            done = f"left as it is: believe it up to {rate / 2.5:.3g} Hz"
            yield HealthNote(name, "too low a rate", grid.start, grid.end, found, done)


# --- levels -----------------------------------------------------------------------------------------------


def _levels(samples: Any, count: int, grid: Grid) -> tuple[Floats, Floats]:
    """(r.m.s. about the mean [m/s^2], straight trend from end to end [m/s^2]) of each channel."""
    total, squares, tilted = np.zeros(count), np.zeros(count), np.zeros(count)
    middle = (grid.count - 1) / 2
    for where in pieces(grid.count):
        part = np.asarray(samples[:count, where], dtype=float)
        total += part.sum(axis=1)
        squares += (part**2).sum(axis=1)
        tilted += part @ (np.arange(where.start, where.stop) - middle)
    mean = total / grid.count
    slope = tilted / (grid.count * (grid.count**2 - 1) / 12)
    return np.sqrt(np.clip(squares / grid.count - mean**2, 0, None)), slope * (grid.count - 1)


def _dead(level: Floats) -> list[int]:
    """Rows that stand still, or hardly move beside the others: beside the quieter of the middle two."""
    dead = []
    for row, own in enumerate(level):
        others = np.delete(level, row)
        usual = float(np.quantile(others, 0.5, method="lower")) if len(others) else 0.0
        dead += [row] if own <= max(DEAD * usual, STILL) else []
    return dead


def _drift(
    samples: Any, sensors: Sequence[Sensor], level: Floats, trend: Floats, grid: Grid
) -> Iterator[HealthNote]:
    """A trend that no road makes: hills tilt fore-aft and lateral sensors, hardly vertical ones."""
    for row, one in enumerate(sensors):
        if one.direction != "vertical" or not abs(trend[row]) > max(DRIFTS * level[row], BY_AT_LEAST):
            continue
        per = trend[row] / max(grid.count - 1, 1)
        for where in pieces(grid.count):
            samples[row, where] -= per * (np.arange(where.start, where.stop) - (grid.count - 1) / 2)
        found = f"{trend[row]:+.2g} m/s^2 from end to end"
        yield HealthNote(one.name, "drift", grid.start, grid.end, found, "the straight trend was taken off")


# --- spectra ----------------------------------------------------------------------------------------------


def _lines(samples: Any, count: int, grid: Grid) -> _Lines | None:
    size = round(SEGMENT * grid.rate)
    if grid.count < size:
        return None
    firsts = np.unique(np.linspace(0, grid.count - size, min(SEGMENTS, 2 * (grid.count // size))).astype(int))
    window = np.hanning(size)
    frequency = np.asarray(np.fft.rfftfreq(size, 1 / grid.rate), dtype=float)
    low = int(np.searchsorted(frequency, 20.0))
    power, cross = np.zeros((count, len(frequency))), np.zeros((count, count, low), dtype=complex)
    for first in firsts:
        part = np.asarray(samples[:count, first : first + size], dtype=float)
        lines = np.fft.rfft((part - part.mean(axis=1, keepdims=True)) * window, axis=1)
        power += np.abs(lines) ** 2
        cross += lines[:, None, :low] * lines[None, :, :low].conj()
    return _Lines(frequency, power, cross)


def _hum(name: str, lines: _Lines, row: int, grid: Grid) -> Iterator[HealthNote]:
    """A line at the mains or a harmonic that stands far above what lies beside it."""
    power, frequency = lines.power[row], lines.frequency
    for mains in MAINS:
        found = []
        for harmonic in range(1, HARMONICS + 1):
            away = np.abs(frequency - mains * harmonic)
            at, near = away <= OFF_MAINS, (away >= BESIDE[0]) & (away <= BESIDE[1])
            if mains * harmonic + BESIDE[1] > grid.rate / 2:
                break
            ratio = power[at].max() / (np.median(power[near]) + 1e-300)
            if ratio > STANDS_OUT and power[at].sum() > LOUD * power.sum():
                found.append(f"{mains * harmonic:g} Hz {ratio:.3g} times its neighbours")
        if found:
            done = f"left in: above the {HIGHEST:g} Hz that are looked at"
            yield HealthNote(name, "mains hum", grid.start, grid.end, ", ".join(found), done)


def _aliased(name: str, lines: _Lines, row: int, grid: Grid, recorded: float) -> Iterator[HealthNote]:
    """Power close below half the rate, where a filter before sampling would have left none."""
    if recorded > WATCHED:
        return
    power, half = lines.power[row], min(recorded, grid.rate) / 2
    below = (lines.frequency > 0.5) & (lines.frequency <= half)
    top = below & (lines.frequency > (1 - TOP) * half)
    share = power[top].sum() / (power[below].sum() + 1e-300)
    if share > ALIASED:
        found = f"{100 * share:.2g} % of its power between {(1 - TOP) * half:.4g} and {half:.4g} Hz"
        done = "left as it is: shake from above half the rate may look like a lower one"
        yield HealthNote(name, "aliasing suspect", grid.start, grid.end, found, done)


def _opposed(
    sensors: Sequence[Sensor], alive: Sequence[int], lines: _Lines, grid: Grid
) -> Iterator[HealthNote]:
    """Two vertical channels that do the same with opposite sign, whatever the frequency."""
    upright = [row for row in alive if sensors[row].direction == "vertical"]
    band = lines.frequency[: lines.cross.shape[2]] >= 1.0
    for n, i in enumerate(upright):
        for j in upright[n + 1 :]:
            both = lines.cross[i, j, band]
            size = lines.power[i, : len(band)][band] * lines.power[j, : len(band)][band] + 1e-300
            alike = np.abs(both) ** 2 / size > ALIKE
            against = alike & (both.real < -0.9 * np.abs(both))
            if against.mean() > OPPOSED:
                found = f"{100 * against.mean():.0f} % of 1 to 20 Hz as {sensors[i].name}, with opposite sign"
                done = "left as it is: one hangs upside down, or the two sides move against each other"
                yield HealthNote(sensors[j].name, "inverted", grid.start, grid.end, found, done)


# --- bursts -----------------------------------------------------------------------------------------------


def _loose(
    samples: Any, names: Sequence[str], alive: Sequence[int], level: Floats, grid: Grid
) -> list[HealthNote]:
    """Short bursts of one channel alone, as of a sensor that knocks."""
    bursts = {row: _bursts(samples, row, level[row], grid) for row in alive}
    notes = []
    for row, times in bursts.items():
        others = np.sort(np.concatenate([[-np.inf, np.inf], *(bursts[one] for one in alive if one != row)]))
        places = np.searchsorted(others, times)
        near = np.minimum(times - others[places - 1], others[places] - times) if len(times) else times
        alone = times[near > TOGETHER]
        if len(alone) >= max(5, (grid.end - grid.start) / OFTEN) and len(alone) > 0.5 * len(times):
            found = f"{len(alone)} short bursts of this channel alone, above {BARE:g} times its level"
            done = "left as it is: fix it and drive again"
            notes.append(
                HealthNote(names[row], "loose sensor", float(alone[0]), float(alone[-1]), found, done)
            )
    return notes


def _bursts(samples: Any, row: int, level: float, grid: Grid) -> Floats:
    """When the second differences leave their own noise far behind [s], each burst once."""
    found: list[Floats] = []
    for where in pieces(grid.count):
        part = np.asarray(samples[row, where], dtype=float)
        if len(part) < 16:
            continue
        sharp = np.abs(np.diff(part, 2)) / 4
        usual = np.median(sharp) * 1.4826
        hits = np.flatnonzero(sharp > max(BURST * usual, BARE * level))
        found.append(grid.times(slice(where.start + 1, where.stop - 1))[hits])
    times = np.concatenate(found or [np.zeros(0)])
    return times[np.concatenate([[True], np.diff(times) > 2 * TOGETHER])] if len(times) else times
