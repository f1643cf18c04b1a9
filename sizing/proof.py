"""What would prove an assessment wrong, in numbers that can be measured without its help."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import exp, log, sqrt

from ..model.observations import USUAL_PLACE, USUAL_WEIGHT, WEIGHT, Observation
from ..model.points import Point
from ..model.speeds import CriticalSpeed
from .study import Host, allowed_mass
from .weight_test import WeightTest, weight_test

REPEATABLE = 0.15  # half of 95 %: two rides alike in all that is written down; assumed, no source
LEAST_WEIGHT = 10.0  # [kg] a lighter weight moves nothing that anyone could measure
MOST_POINTS = 7


@dataclass(frozen=True)
class Motion:
    """How a point moves in the mode in question: over the point that moves most, with its sign [-]."""

    point: Point
    share: float


def speed_interval(one: Host) -> tuple[float, float]:
    """Where the critical speed may lie, 95 % [m/s]: as wide as the frequency of its mode."""
    assert one.target is not None
    speed, factor = one.target.critical.speed, exp(float(one.spread[one.target.critical.mode]))
    return speed / factor, speed * factor


def motions(one: Host, also: str | None = None) -> tuple[Motion, ...]:
    """The vertical points in the order of their stations, each with its share of the largest motion: the
    watched ones, the place `also`, and then those that move most.

    Real shapes: what is in phase has one sign, what is opposed the other.
    """
    assert one.target is not None
    mode, points = one.target.critical.mode, one.vehicle.points.values()
    rises = {p.name: float(one.modes.shape_at(p.row)[mode]) for p in points if p.direction == "vertical"}
    most = max(rises.values(), key=abs)
    first = sorted(rises, key=lambda n: (not (one.vehicle.points[n].watched or n == also), -abs(rises[n])))
    shown = [Motion(one.vehicle.points[name], rises[name] / most) for name in first[:MOST_POINTS]]
    return tuple(sorted(shown, key=lambda motion: motion.point.station))


def remeasured(ratio: float, repeatable: float = REPEATABLE) -> tuple[float, float]:
    """Where a ratio of two levels [-] may be measured, 95 %, when each ride repeats within `repeatable` [-].

    Two independent rides: the logarithm of their ratio is wider by sqrt 2.

    >>> [round(r, 3) for r in remeasured(0.3, 0.15)]
    [0.246, 0.366]
    """
    factor = exp(sqrt(2) * log(1 + repeatable))
    return ratio / factor, ratio * factor


def weight_moves(one: Host) -> WeightTest | None:
    """What 50 kg at the rear end, or what the ratings leave of it, does to the critical speed; None where
    there is no such place or no room."""
    room = allowed_mass(one, USUAL_PLACE, USUAL_WEIGHT) if USUAL_PLACE in one.vehicle.points else 0.0
    if room < LEAST_WEIGHT:
        return None
    asked = Observation(WEIGHT, "weaker", mass=room, at=USUAL_PLACE)  # its result is not asked
    return weight_test(replace(one, case=replace(one.case, observations=(asked,))))


def harmonics(one: Host) -> tuple[CriticalSpeed, ...]:
    """Where the other harmonics of the same joints, or orders of the same axle's wheels, meet the same mode,
    the target among them; fastest first."""
    assert one.target is not None
    aim = one.target.critical
    same = [
        c
        for c in one.critical
        if c.mode == aim.mode and (c.cause.kind, c.cause.axle) == (aim.cause.kind, aim.cause.axle)
    ]
    return tuple(sorted(same, key=lambda c: -c.coincidence))
