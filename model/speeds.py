"""Where the road meets a mode: the critical speeds, worst first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .matrices import Matrices
from .modes import Modes
from .points import Point
from .response import Dynamics, Sweep, sweep
from .road import HIGHEST, Input

Floats = NDArray[np.float64]

FINE = 1.003  # ratio of neighbouring speeds where peaks are looked for
NEAR = 0.25  # |ln(peak / coincidence)| beyond which a peak is not this mode's


@dataclass(frozen=True)
class CriticalSpeed:
    """One input meeting one mode.

    cause        the input
    mode         index of the mode; `mode_name` for people
    frequency    [Hz] of the mode, |pole| / 2 pi
    coincidence  [m/s] where the input's frequency is the mode's
    peak         [m/s] where the level is largest; None: no peak of its own near the coincidence, in the range
    band         [m/s] half-power band around the peak; None without a peak
    point        the watched point that gets most of it; None where the level is unknown
    typical      [m/s^2] r.m.s. of this cause alone at the peak (without one: at the coincidence); None:
        unknown
    worst        the same when all parts of the cause add
    beat_period  [s] between wheels of one order at that speed; None: nothing beats
    overlap      [-] share of the complaint's speeds inside the band; None without a complaint
    """

    cause: Input
    mode: int
    mode_name: str
    frequency: float
    coincidence: float
    peak: float | None
    band: tuple[float, float] | None
    point: Point | None
    typical: float | None
    worst: float | None
    beat_period: float | None
    overlap: float | None = None

    @property
    def speed(self) -> float:
        """Where to meet it [m/s]: the peak, or the coincidence where there is none."""
        return self.coincidence if self.peak is None else self.peak


def critical_speeds(
    ready: Dynamics,
    found: Modes,
    causes: Sequence[Input],
    points: Sequence[Point],
    speeds: tuple[float, float],
    complaint: tuple[float, float] | None = None,
) -> tuple[CriticalSpeed, ...]:
    """Every pair of input and mode inside a speed range, ranked by what the person gets.

    points     where the shake is judged
    speeds     [m/s] slowest and fastest
    complaint  [m/s] the band complained of

    >>> from .example import small_truck
    >>> from .modes import modes
    >>> from .response import dynamics
    >>> from .road import Roads, inputs
    >>> truck = small_truck()
    >>> found = critical_speeds(
    ...     dynamics(truck), modes(truck), inputs(Roads((1,)), truck, 5.0), truck.watched, (5.0, 15.0)
    ... )
    >>> found[0].cause.name, found[0].mode_name, round(found[0].speed, 2), round(found[0].coincidence, 2)
    ('wheel order 1, rear axle', 'body pitch', 7.24, 7.23)
    """
    met: list[CriticalSpeed] = []
    for cause in causes:
        coincidences = {
            mode: float(found.frequency_hz[mode] / cause.per_metre)
            for mode in range(len(found.undamped))
            if 0.1 < found.frequency_hz[mode] <= HIGHEST
        }
        inside = {mode: v for mode, v in coincidences.items() if speeds[0] <= v <= speeds[1]}
        if not inside:
            continue
        wide = np.geomspace(speeds[0] / 1.3, speeds[1] * 1.3, _count(speeds))
        near = sweep(ready, [cause], wide, points)
        peaks = _peaks(near, found, ready.system) if cause.height is not None else []
        peaks = [k for k in peaks if speeds[0] <= k.speed <= speeds[1]]
        met += [_meet(found, cause, mode, v, near, peaks, complaint) for mode, v in inside.items()]
    return tuple(sorted(met, key=lambda c: (c.typical is None, -(c.typical or 0.0), c.coincidence)))


def _count(speeds: tuple[float, float]) -> int:
    return int(np.log(1.69 * speeds[1] / speeds[0]) / np.log(FINE)) + 2


@dataclass(frozen=True)
class _Peak:
    """A local peak of one cause at one watched point, and the mode that makes most of it."""

    mode: int
    point: int
    speed: float
    typical: float
    worst: float
    band: tuple[float, float]


def _peaks(near: Sweep, found: Modes, system: Matrices) -> list[_Peak]:
    peaks = []
    for p, point in enumerate(near.points):
        typical, worst = near.typical[0, :, p], near.worst[0, :, p]
        for i in local_peaks(typical):
            speed, height = polished(near.speeds, typical, i)
            mode = _owner(found, system, near.inputs[0], point, speed)
            band = half_power_band(near.speeds, typical, i)
            peaks.append(_Peak(mode, p, speed, height, polished(near.speeds, worst, i)[1], band))
    return peaks


def _owner(found: Modes, system: Matrices, cause: Input, point: Point, speed: float) -> int:
    """The mode with the largest part in what a point does at a speed, modes taken as uncoupled by damping."""
    omega = 2 * np.pi * cause.per_metre * speed
    push = found.shapes.T @ ((system.push_0 + 1j * omega * system.push_1) @ cause.shape)
    stiffness = found.undamped**2 - omega**2 + 2j * found.damping_ratio * found.undamped * omega
    return int(np.argmax(np.abs(found.shape_at(point.row) * push / stiffness)))


def _meet(
    found: Modes,
    cause: Input,
    mode: int,
    coincidence: float,
    near: Sweep,
    peaks: Sequence[_Peak],
    complaint: tuple[float, float] | None,
) -> CriticalSpeed:
    frequency, name = float(found.frequency_hz[mode]), found.names[mode]
    if cause.height is None:
        return CriticalSpeed(cause, mode, name, frequency, coincidence, None, None, None, None, None, None)
    own = [k for k in peaks if k.mode == mode and abs(np.log(k.speed / coincidence)) <= NEAR]
    if own:
        best = max(own, key=lambda k: k.typical)
        speed, point, typical, worst = best.speed, best.point, best.typical, best.worst
    else:
        there = np.array([_at(near, p, coincidence) for p in range(len(near.points))])
        speed, point = coincidence, int(np.argmax(there[:, 0]))
        typical, worst = there[point]
    return CriticalSpeed(
        cause,
        mode,
        name,
        frequency,
        coincidence,
        speed if own else None,
        best.band if own else None,
        near.points[point],
        float(typical),
        float(worst),
        cause.beat_length / speed if cause.beat_length else None,
        _overlap(best.band if own else (speed, speed), complaint),
    )


def _at(near: Sweep, point: int, speed: float) -> tuple[float, float]:
    """(typical, worst) level [m/s^2] of a single cause at a point and a speed [m/s]."""
    typical, worst = (
        np.interp(speed, near.speeds, level[0, :, point]) for level in (near.typical, near.worst)
    )
    return float(typical), float(worst)


def local_peaks(level: Floats) -> list[int]:
    """Indices of the inner local maxima of a curve (V,).

    >>> local_peaks(np.array([0.0, 1.0, 0.5, 0.7, 0.7, 0.2]))
    [1, 3]
    """
    inner = (level[1:-1] > level[:-2]) & (level[1:-1] >= level[2:])
    return [int(i) + 1 for i in np.flatnonzero(inner)]


def polished(x: Floats, level: Floats, i: int) -> tuple[float, float]:
    """Where a peak lies between grid points and how high it is, in the units of x and level [any].

    The parabola through a local maximum and its two neighbours.

    x      (V,) ascending
    level  (V,)
    i      index of the local maximum, not an end

    >>> x = np.array([0.0, 1.0, 2.0])
    >>> polished(x, 4 - (x - 1.25) ** 2, 1)
    (1.25, 4.0)
    """
    a, b, c = x[i - 1], x[i], x[i + 1]
    left, right = (level[i] - level[i - 1]) / (b - a), (level[i + 1] - level[i]) / (c - b)
    bend = (right - left) / (c - a)
    if bend >= 0:
        return float(b), float(level[i])
    step = min(max(-(left + bend * (b - a)) / (2 * bend), a - b), c - b)
    return float(b + step), float(level[i] + (left + bend * (b - a)) * step + bend * step**2)


def half_power_band(x: Floats, level: Floats, i: int) -> tuple[float, float]:
    """Where a curve falls to 1/sqrt 2 of its peak on either side, in the unit of x [any].

    A valley or the end of the curve also ends the band.

    x      (V,) ascending
    level  (V,)
    i      index of the peak

    >>> x = np.linspace(0.0, 2.0, 201)
    >>> level = 1 / np.sqrt(1 + ((x - 1) / 0.1) ** 2)     # a resonance with flanks of 0.1
    >>> [round(edge, 3) for edge in half_power_band(x, level, 100)]
    [0.9, 1.1]
    """
    floor = level[i] / np.sqrt(2)

    def edge(step: int) -> float:
        j = i
        while 0 <= j + step < len(x) and level[j] > floor:
            if level[j + step] > level[j] and j != i:
                return float(x[j])
            j += step
        if level[j] > floor:
            return float(x[j])
        share = (floor - level[j]) / (level[j - step] - level[j])
        return float(x[j] + share * (x[j - step] - x[j]))

    return edge(-1), edge(+1)


def _overlap(band: tuple[float, float], complaint: tuple[float, float] | None) -> float | None:
    if complaint is None:
        return None
    low, high = max(band[0], complaint[0]), min(band[1], complaint[1])
    width = complaint[1] - complaint[0]
    if width <= 0:
        return float(band[0] <= complaint[0] <= band[1])
    return max(high - low, 0.0) / width
