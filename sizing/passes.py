"""Passes over a road, cut into pieces of road: how hard each point shook in each, and how fast it went.

A piece is short, so that it has one speed; a beat is long.  The wheels of a vehicle never turn at quite the
same rate: what they do together swells and dies away once in a beat, and whoever compares a loud stretch of
one pass with a quiet one of another compares nothing.  So pieces are gathered into beats, and a pass that is
shorter than one counts once.
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

Floats = NDArray[np.float64]

PIECE = 60.0  # [m] of road: lines of a wheel of 2.4 m are told apart where they lie 0.06 orders apart
A_METRE = 16  # samples: 25 Hz are held down to 3.6 m/s
LINE = 2  # bins on either side that a line under the window spreads over
AROUND = 6  # further bins on either side that tell what is there without the line
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


@dataclass(frozen=True)
class Pass:
    """One pass over a road in K pieces.

    names    of the channels, C of them
    speed    [m/s] (K,) mean of each piece
    beat     (K,) which beat of the pass each piece lies in, from 0
    power    (K, C, Q) mean square of each channel in each shake [unit^2]; of lines, by chance below zero
    beats    [-] how many of them the pass holds; below one: it is shorter than a beat
    """

    names: tuple[str, ...]
    speed: Floats
    beat: NDArray[np.intp]
    power: Floats
    beats: float


def in_pieces(ride: Ride, shakes: Sequence[Shake], beat: float) -> Pass:
    """A ride with its road speed, in pieces.

    beat  [m] that a beat is long

    Raises CounterbounceError for a ride without a road speed, and for one that is shorter than a piece.

    >>> from ..model.ride import Channel
    >>> t = np.arange(16_000) / 200
    >>> rows = np.stack([2 * np.cos(2 * np.pi * 20 / 2.5 * t), np.full_like(t, 20.0)])
    >>> ride = Ride("", 200.0, 0.0, (Channel("floor", "m/s^2"), Channel("speed", "m/s")), rows)
    >>> found = in_pieces(ride, [whole(), wheel_order(1, 2.5), wheel_order(2, 2.5)], 750.0)
    >>> found.beats.__round__(1), sorted(set(found.beat.tolist())), found.power.mean(axis=0).round(3).tolist()
    (2.1, [0, 1], [[2.0, 2.0, 0.0]])
    """
    if "speed" not in [one.name for one in ride.channels]:
        raise refused(ride.name, "wanted a road speed, by which rides are matched")
    along = along_angle(ride, angle_from_speed(ride), A_METRE)
    how = cut(along, PIECE)
    clock, length = along.samples[-1], len(how.weights) - 1
    starts, speeds, powers = [], [], []
    for first, found in transforms(along, how):
        speed = length / A_METRE / (clock[first + length] - clock[first])
        density = np.moveaxis(np.abs(found) ** 2 * how.density, 0, 1) * how.frequency[1]
        inside = np.stack([_counted(one, how.frequency, speed) for one in shakes], axis=-1)
        starts.append(first / A_METRE)
        speeds.append(speed)
        powers.append(density @ inside)
    if not starts:
        raise refused(ride.name, f"too short: wanted {PIECE:g} m of road or more without a stop or a gap")
    way, driven = np.concatenate(starts), len(along) / A_METRE
    count = max(int(driven / beat), 1)
    which = np.minimum((way / driven * count).astype(int), count - 1)
    return Pass(how.names, np.concatenate(speeds), which, np.concatenate(powers), driven / beat)


def _counted(shake: Shake, per_metre: Floats, speed: Floats) -> Floats:
    """How much each bin of each piece counts in a shake, (K, F) [-].

    Of each line: what lies beside it on either side, in the mean, is taken off.  Where a line lies on a
    narrow resonance, a rough road stirs that up more under the line than beside it, and the rest stays in.
    """
    frequency = per_metre * speed[:, None]
    heard = ((frequency >= shake.low) & (frequency <= shake.high)).astype(float)
    if not shake.lines:
        return heard
    away = np.abs(np.arange(len(per_metre)) - np.rint(np.array(shake.lines) / per_metre[1])[:, None])
    near, beside = away <= LINE, away <= LINE + AROUND
    beside &= ~near.any(axis=0) & (np.arange(len(per_metre)) > LINE)
    near &= np.cumsum(near, axis=0) == 1  # a bin that two lines share counts once
    counted = np.zeros_like(heard)
    for own, around in zip(near, beside, strict=True):
        line = heard * own
        counted += line - around * line.sum(axis=1, keepdims=True) / max(int(around.sum()), 1)
    return counted
