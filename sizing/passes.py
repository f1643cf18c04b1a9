"""Passes over a road, cut into pieces of road: how hard each point shook in each, and how fast it went.

A piece is short, so that it has one speed, or longer where a line is to be told from a resonance.  A beat is
longer still.  The wheels of a vehicle never turn at quite the same rate: what they do together swells and
dies away once in a beat, and whoever compares a loud stretch of one pass with a quiet one of another compares
nothing.  So pieces are gathered into beats, and a pass that is shorter than one counts once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..model.measured.columns import refused
from ..model.measured.resampling import along_angle, angle_from_speed
from ..model.measured.segments import cut, transforms
from ..model.ride import Ride
from ..model.road import HIGHEST, Roads
from .line_power import line_bins, near

Floats = NDArray[np.float64]

PIECE = 60.0  # [m] of road
LONG, SHORT = 720.0, 240.0  # [m] of a piece in which lines are told from resonances, where the ride allows
SLOWLY = 0.03  # [-] by which the speed may change in a piece that is longer than SHORT
A_METRE = 16  # samples: 25 Hz are held down to 3.6 m/s
LOWEST = 1.0  # [Hz]
USUAL_WHEEL = 2.6  # [m] rolling circumference, where nobody says it; it only sets how long a beat is
CLOSEST = 0.382  # [-] of the spread of the wheels of an axle, by which any two wheels are taken to differ


@dataclass(frozen=True)
class Shake:
    """What is looked at: all between two frequencies, or only lines that follow the road.

    name       for people
    low, high  [Hz]
    lines      [1/m] that follow the road, without what lies beside them; none: all between low and high

    >>> whole(), wheel_order(1, 2.5).lines
    (Shake(name='1 to 25 Hz', low=1.0, high=25.0, lines=()), (0.4,))
    """

    name: str
    low: float = LOWEST
    high: float = HIGHEST
    lines: tuple[float, ...] = ()


def whole() -> Shake:
    """All that a person feels and the model follows."""
    return Shake(f"{LOWEST:g} to {HIGHEST:g} Hz")


def wheel_order(order: int, circumference: float) -> Shake:
    """One order of the wheels.

    circumference  [m] rolling
    """
    return Shake(f"wheel order {order}", lines=(order / circumference,))


def beat_length(circumference: float | None = None, difference: float = Roads.rolling_difference) -> float:
    """How far a vehicle goes while the slowest of its wheels' beats comes round [m].

        C / (0.382 x difference)

    circumference  [m] rolling; None: that of a usual wheel
    difference     [-] spread of the rolling circumferences of an axle's wheels

    That two wheels of different axles come closer to each other than those of one axle, by the golden section
    of their spread, is assumed; no source.

    >>> round(beat_length(2.4))
    2094
    """
    return (circumference or USUAL_WHEEL) / (CLOSEST * difference)


def line_piece(rides: Sequence[Ride]) -> float:
    """How long pieces of road are in which lines are told from resonances [m]: three or more in each ride.

    rides  along the road, as `along_road` makes them

    >>> from ..model.ride import Channel
    >>> speed = (Channel("speed", "m/s"),)
    >>> rides = [Ride("", 16.0, 0.0, speed, np.linspace(24.0, to, 32_000)[None]) for to in (24.0, 36.0)]
    >>> [line_piece([ride]) for ride in rides]
    [720.0, 240.0]
    """
    longest = LONG
    for ride in rides:
        speed = ride.channel("speed")
        speed = speed[np.isfinite(speed)][:: round(SHORT * A_METRE / 4)]
        change = np.abs(np.diff(np.log(np.maximum(speed, 0.1)))).sum()
        way = ride.duration
        longest = min(longest, max(SLOWLY * way / max(float(change), 1e-9), SHORT), way / 2)
    return max(longest, PIECE)


@dataclass(frozen=True)
class Pass:
    """One pass over a road in K pieces.

    names      of the channels, C of them
    speed      [m/s] (K,) mean of each piece
    beat       (K,) which beat of the pass each piece lies in, from 0
    per_metre  [1/m] (F,) of the bins
    power      (K, C, F) mean square of each channel in each bin [unit^2]
    beats      [-] how many of them the pass holds; below one: it is shorter than a beat
    """

    names: tuple[str, ...]
    speed: Floats
    beat: NDArray[np.intp]
    per_metre: Floats
    power: Floats
    beats: float


def along_road(ride: Ride) -> Ride:
    """A ride along the road, so many samples a metre.  Raises CounterbounceError for one without a speed.

    >>> from ..model.ride import Channel
    >>> t = np.arange(800) / 200
    >>> ride = Ride("", 200.0, 0.0, (Channel("floor", "m/s^2"), Channel("speed", "m/s")), np.ones((2, 800)))
    >>> round(along_road(ride).duration)  # at 1 m/s
    4
    """
    if "speed" not in [one.name for one in ride.channels]:
        raise refused(ride.name, "wanted a road speed, by which rides are matched")
    return along_angle(ride, angle_from_speed(ride), A_METRE)


def in_pieces(along: Ride, beat: float, piece: float = PIECE) -> Pass:
    """A ride along the road, in pieces.

    along  as `along_road` makes it
    beat   [m] that a beat is long
    piece  [m]

    Raises CounterbounceError for a ride that is shorter than a piece.

    >>> from ..model.ride import Channel
    >>> t = np.arange(16_000) / 200
    >>> rows = np.stack([2 * np.cos(2 * np.pi * 20 / 2.5 * t), np.full_like(t, 20.0)])
    >>> ride = Ride("", 200.0, 0.0, (Channel("floor", "m/s^2"), Channel("speed", "m/s")), rows)
    >>> found = in_pieces(along_road(ride), 750.0)
    >>> found.beats.__round__(1), sorted(set(found.beat.tolist()))
    (2.1, [0, 1])
    >>> [shaken(found, one).power.mean().round(3).item() for one in (whole(), wheel_order(2, 2.5))]
    [2.0, 0.0]
    """
    how = cut(along, piece)
    clock, length = along.samples[-1], len(how.weights) - 1
    starts, speeds, powers = [], [], []
    for first, found in transforms(along, how):
        starts.append(first / A_METRE)
        speeds.append(length / A_METRE / (clock[first + length] - clock[first]))
        powers.append(np.moveaxis(np.abs(found) ** 2 * how.density, 0, 1) * how.frequency[1])
    if not starts:
        raise refused(along.name, f"too short: wanted {piece:g} m of road or more without a stop or a gap")
    way, driven = np.concatenate(starts), len(along) / A_METRE
    count = max(int(driven / beat), 1)
    which = np.minimum((way / driven * count).astype(int), count - 1)
    power = np.concatenate(powers)
    return Pass(how.names, np.concatenate(speeds), which, how.frequency, power, driven / beat)


@dataclass(frozen=True)
class Shaken:
    """How hard each channel shook in each piece, and what a rough road makes of that; (K, C) each.

    power   [unit^2] mean square; of lines, by chance below zero
    chance  [unit^4] variance that a rough road gives it by chance
    bend    [unit^2] how far the road's share under the lines was taken to lie above what lies beside them
    """

    power: Floats
    chance: Floats
    bend: Floats


def shaken(one: Pass, shake: Shake) -> Shaken:
    """How hard each channel shook: of lines, what lies beside them is taken off; of all that lies between two
    frequencies nothing is, and nothing is in doubt.
    """
    if not shake.lines:
        frequency = one.per_metre * one.speed[:, None]
        heard = ((frequency >= shake.low) & (frequency <= shake.high)).astype(float)
        none = np.zeros(one.power.shape[:2])
        return Shaken(np.einsum("kcf,kf->kc", one.power, heard), none, none)
    power, chance, bend = np.zeros((3, *one.power.shape[:2]))
    step = float(one.per_metre[1])
    for places in _together(shake.lines, step):
        rest = [line for line in shake.lines if line not in places]
        bins = line_bins(one.per_metre, places, near(one.per_metre, rest, step))
        frequency = np.mean(places) * one.speed
        heard = ((frequency >= shake.low) & (frequency <= shake.high)).astype(float)[:, None]
        if bins is not None:
            power += heard * (one.power @ bins.power)
            chance += heard * bins.doubt * (one.power @ bins.background) ** 2
            bend += heard * (one.power @ bins.bend)
    return Shaken(power, chance, bend)


def _together(lines: Sequence[float], step: float) -> list[list[float]]:
    """Lines so close to each other that little is left between them, together."""
    groups: list[list[float]] = []
    for line in sorted(lines):
        if groups and near(np.array([groups[-1][-1]]), [line], 2 * step).any():
            groups[-1].append(line)
        else:
            groups.append([line])
    return groups
