"""The same questions to two vehicles: before, with the damper, and with the same weight as plain ballast."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..model.points import Point, judged
from ..model.response import Dynamics, dynamics, sweep
from ..model.road import Input
from ..model.vehicle import Vehicle
from .absorber import Damper, with_ballast, with_damper
from .limits import allowed_elsewhere

Floats = NDArray[np.float64]

BETWEEN = 0.01  # what may hide between the speeds that the search looked at


@dataclass(frozen=True)
class Elsewhere:
    """Where outside the band the level rises most.

    ratio          after over before [-]
    speed          [m/s]
    before, after  [m/s^2] r.m.s. at the point
    allowed        whether every speed outside the band stays within what the search allows
    """

    ratio: float
    speed: float
    point: str
    before: float
    after: float
    allowed: bool


@dataclass(frozen=True)
class Comparison:
    """Typical levels of all causes together along speed [m/s^2] r.m.s., as each point is weighted.

    speeds   [m/s] (V,)
    points   P of them, all that are watched; only the judged ones decide
    before, after, ballast  (V, P)
    band     [m/s] where the damper is judged
    worth    [-] fall in the band that is worth it
    """

    speeds: Floats
    points: tuple[Point, ...]
    before: Floats
    after: Floats
    ballast: Floats
    band: tuple[float, float]
    worth: float = 0.25

    @property
    def inside(self) -> NDArray[np.bool_]:
        """Which speeds lie in the band, (V,)."""
        return (self.speeds >= self.band[0] - 1e-9) & (self.speeds <= self.band[1] + 1e-9)

    @property
    def deciding(self) -> NDArray[np.intp]:
        """Indices of the points that are judged [-], (J,)."""
        return np.array([self.points.index(point) for point in judged(self.points)])

    @property
    def point(self) -> Point:
        """The judged point that shakes most in the band before."""
        return judged(self.points)[int(np.argmax(self._in_band(self.before).max(axis=0)))]

    def largest(self, levels: Floats) -> float:
        """Largest level [m/s^2] over judged points and band of one of the three (V, P) tables."""
        return float(self._in_band(levels).max())

    def _in_band(self, levels: Floats) -> Floats:
        return levels[self.inside][:, self.deciding]

    @property
    def reduction(self) -> float:
        """Share by which the damper lowers the largest level in the band [-]."""
        return 1 - self.largest(self.after) / self.largest(self.before)

    @property
    def ballast_reduction(self) -> float:
        """The same for plain ballast [-]."""
        return 1 - self.largest(self.ballast) / self.largest(self.before)

    @property
    def elsewhere(self) -> Elsewhere | None:
        """Where a judged level rises most outside the band; None where the band is the whole range."""
        outside = ~self.inside
        if not outside.any():
            return None
        before, after = (levels[outside][:, self.deciding] for levels in (self.before, self.after))
        left = max(self.largest(self.after), (1 - self.worth) * self.largest(self.before))
        share = after / allowed_elsewhere(before, left)
        v, p = np.unravel_index(int(np.argmax(after - before)), share.shape)
        one, two = float(before[v, p]), float(after[v, p])
        speed = float(self.speeds[outside][v])
        allowed = bool(share.max() <= 1 + BETWEEN)
        name = judged(self.points)[p].name
        return Elsewhere(two / one if one else 1.0, speed, name, one, two, allowed)


def compare(
    vehicle: Vehicle,
    hung: Damper,
    causes: Sequence[Input],
    speeds: Floats,
    band: tuple[float, float],
    ready: Dynamics | None = None,
    worth: float = 0.25,
) -> Comparison:
    """Assemble the vehicle with the damper and with ballast, and sweep all three.

    speeds  [m/s] (V,)
    band    [m/s]
    ready   the vehicle prepared, where that was done before; it must be of this vehicle
    worth   fall in the band that is worth it [-]

    >>> from ..model.example import small_truck
    >>> from ..model.road import Roads, inputs
    >>> from .absorber import tuned
    >>> truck, hung = small_truck(), tuned("rear end", 30.0, 2.94, 0.14)
    >>> found = compare(truck, hung, inputs(Roads((1,)), truck, 5.0), np.linspace(5.0, 9.0, 81), (7.0, 7.5))
    >>> round(found.reduction, 2), round(found.ballast_reduction, 2)
    (0.68, 0.03)
    """
    points = vehicle.watched
    changed = with_damper(vehicle, hung), with_ballast(vehicle, hung.place, hung.mass)
    three = (ready or dynamics(vehicle), *map(dynamics, changed))
    before, after, ballast = (sweep(each, causes, speeds, points).total() for each in three)
    return Comparison(speeds, points, before, after, ballast, band, worth)
