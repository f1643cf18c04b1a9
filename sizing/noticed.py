"""At which speeds a person would notice the shake, over what the road does anyway, before and after."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..model.background import background
from ..model.comfort import (
    JUST_NOTICEABLE,
    PERCEPTION_THRESHOLD,
    comfort_words,
    multiplying_factor,
    noticeable,
)
from ..model.points import Point
from ..model.response import Dynamics, dynamics, sweep
from ..model.roughness import ASSUMED, Roughness
from ..model.vehicle import Vehicle
from .absorber import Damper, with_damper
from .study import BAND_POINTS, SHOWN_POINTS, Host

Floats = NDArray[np.float64]

ROAD_POINTS, ROAD_FINE = 61, 0.2  # of the background: straight between its speeds, off by half a per cent
FAINTEST = PERCEPTION_THRESHOLD / 2**0.5  # [m/s^2] r.m.s. of the weakest steady shake that is felt
STANDS_OUT = ((1 + JUST_NOTICEABLE) ** 2 - 1) ** 0.5  # shake over background where both together just differ


@dataclass(frozen=True)
class Felt:
    """What a person feels along speed at each judged point.

    shake       [m/s^2] r.m.s. of all causes together, typical, weighted, (V, P)
    background  [m/s^2] r.m.s. of the rough road alone, weighted, (V, P); infinite without any damping
    """

    shake: Floats
    background: Floats

    @property
    def total(self) -> Floats:
        """Shake and road together [m/s^2] r.m.s., (V, P): they add as powers."""
        return np.hypot(self.shake, self.background)

    @property
    def over_noticeable(self) -> Floats:
        """The shake over the weakest that would be noticed there [-], the most of all points, (V,)."""
        weakest = np.maximum(STANDS_OUT * self.background, FAINTEST)
        return np.asarray((self.shake / weakest).max(axis=1))

    def with_background(self, share: float) -> Felt:
        """The same shake over `share` [-] times the background."""
        return replace(self, background=share * self.background)


@dataclass(frozen=True)
class Noticed:
    """Shake and background along speed, before and with the damper.

    speeds     [m/s] (V,)
    points     the judged points, P of them, weighted as a person there feels
    weighted   whether the case gave these weightings; otherwise as if somebody sat on the points themselves
    roughness  of the road
    assumed    whether the case did not state it
    before     as the vehicle is
    after      with the damper; None: none was sized
    band       [m/s] that the complaint is about
    """

    speeds: Floats
    points: tuple[Point, ...]
    weighted: bool
    roughness: Roughness
    assumed: bool
    before: Felt
    after: Felt | None
    band: tuple[float, float]

    @property
    def bands_before(self) -> tuple[tuple[float, float], ...]:
        """Speeds [m/s] at which a person would notice the shake, slowest first."""
        return bands_above_one(self.speeds, self.before.over_noticeable)

    @property
    def bands_after(self) -> tuple[tuple[float, float], ...] | None:
        """The same with the damper [m/s]; None without one."""
        return None if self.after is None else bands_above_one(self.speeds, self.after.over_noticeable)

    @property
    def change_noticeable(self) -> bool | None:
        """Whether the damper's change would be felt in the band, road included; None: cannot be said."""
        if self.after is None:
            return None
        both = self.largest(self.before.total), self.largest(self.after.total)
        return bool(noticeable(*both)) if np.isfinite(both).all() else None

    @property
    def roughest(self) -> float:
        """Gd(n0) [m^3] of the roughest road on which a person would notice the shake in the band; 0 where it
        is too faint to be felt on any road."""
        felt = self.before
        over = np.where(felt.shake >= FAINTEST, felt.shake / np.maximum(felt.background, 1e-12), 0.0)
        return float(self.roughness.density * (self.largest(over) / STANDS_OUT) ** 2)

    def on(self, density: float) -> Noticed:
        """The same on a road of another Gd(n0) and else alike: levels go with the root of it.

        density  [m^3]
        """
        share = (density / self.roughness.density) ** 0.5
        road = replace(self.roughness, density=density)
        after = self.after.with_background(share) if self.after else None
        return replace(self, roughness=road, before=self.before.with_background(share), after=after)

    def words(self, felt: Felt) -> tuple[str, ...]:
        """What people are likely to call the band's worst, road included (ISO 2631-1, Annex C)."""
        factors = [multiplying_factor(p.weighting, p.direction) for p in self.points]
        return comfort_words(self.largest(felt.total * np.array(factors)))

    def largest(self, levels: Floats) -> float:
        """The largest value over the band and the points of a table (V, P), in its own unit."""
        low, high = self.band
        inside = (self.speeds >= low - 1e-9) & (self.speeds <= high + 1e-9)
        return float(levels[inside].max())


def noticed(one: Host, hung: Damper | None) -> Noticed:
    """Who would notice what: the shake over the road's background, without and with a damper.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> found = noticed(host(small_case()), None)
    >>> found.assumed, found.bands_after, found.change_noticeable
    (True, None, None)
    """
    (slowest, fastest), points = one.case.speeds, tuple(map(_worn, one.vehicle.judged))
    low, high = band = one.target.band if one.target else one.case.speeds
    grid = np.linspace(slowest, fastest, SHOWN_POINTS), np.linspace(low, high, BAND_POINTS)
    speeds = np.unique(np.concatenate(grid))
    given = one.case.roads.roughness
    roughness = given or ASSUMED
    after = None
    if hung is not None:
        changed = with_damper(one.vehicle, hung)
        after = _felt(one, changed, dynamics(changed), roughness, speeds, points)
    return Noticed(
        speeds,
        points,
        points == one.vehicle.judged,
        roughness,
        given is None,
        _felt(one, one.vehicle, one.ready, roughness, speeds, points),
        after,
        band,
    )


def _worn(point: Point) -> Point:
    """A point as a person there feels it; without a weighting of its own, as if it were a hard seat."""
    if point.weighting != "none":
        return point
    return replace(point, weighting="Wk" if point.direction == "vertical" else "Wd")


def _felt(
    one: Host,
    vehicle: Vehicle,
    ready: Dynamics,
    roughness: Roughness,
    speeds: Floats,
    points: tuple[Point, ...],
) -> Felt:
    asked = np.geomspace(speeds[0], speeds[-1], ROAD_POINTS)
    road = background(ready, vehicle, roughness, asked, points, ROAD_FINE)
    between = [np.interp(speeds, asked, road[:, p]) for p in range(len(points))]
    return Felt(sweep(ready, one.causes, speeds, points).total(), np.array(between).T)


def bands_above_one(speeds: Floats, ratio: Floats) -> tuple[tuple[float, float], ...]:
    """Where a curve that is straight between its points is 1 or more: (from, to) [unit of speeds].

    speeds  [m/s] (V,) ascending
    ratio   [-] (V,)

    >>> bands_above_one(np.array([1.0, 2.0, 3.0, 4.0, 5.0]), np.array([0.0, 2.0, 0.0, 0.5, 1.5]))
    ((1.5, 2.5), (4.5, 5.0))
    """
    above = np.concatenate([[False], ratio >= 1, [False]])
    starts, ends = np.flatnonzero(~above[:-1] & above[1:]), np.flatnonzero(above[:-1] & ~above[1:]) - 1
    return tuple(
        (_crossing(speeds, ratio, i, i - 1), _crossing(speeds, ratio, j, j + 1))
        for i, j in zip(starts.tolist(), ends.tolist(), strict=True)
    )


def _crossing(speeds: Floats, ratio: Floats, inside: int, outside: int) -> float:
    """Where the curve passes 1 between two neighbours; the end of the curve where there is no neighbour."""
    if not 0 <= outside < len(speeds):
        return float(speeds[inside])
    share = (ratio[inside] - 1) / (ratio[inside] - ratio[outside])
    return float(speeds[inside] + share * (speeds[outside] - speeds[inside]))
