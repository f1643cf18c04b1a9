"""The damper that leaves a quantile of many vehicles least, in the worst state that a vehicle may be in.

A grid around good dampers at every allowed place, judged by the band alone; the best few in full; then a
descent without slopes from the best (Nelder and Mead), because a quantile has kinks everywhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .absorber import Damper
from .crowd import Crowd
from .limits import SLACK, Bounds
from .minimax import LEAST_DAMPED, MOST_DAMPED
from .search import STEEP, Found, judge
from .study import Host, place_of

Floats = NDArray[np.float64]

MASSES = (1.0, 0.75, 0.5)  # of what may hang there
TUNINGS = np.geomspace(0.84, 1.16, 15)  # times the nominal optimum's
DAMPINGS = (0.6, 1.0, 1.5, 2.2, 3.3, 5.0)
PROMISING = 6  # candidates of a place that are judged in full
POLISHED, STEPS = 2, 80  # descents, and steps of each: one damper on every vehicle


@dataclass(frozen=True)
class Fared:
    """How a damper fares on the plausible vehicles of one case, V of them.

    found     the same damper, exactly as drawn, on the best estimate
    left      largest level that each vehicle is left with [m/s^2] r.m.s., (V,)
    before    the same without a damper (V,)
    weight    how much each vehicle counts [-], (V,)
    quantile  [-] the share of vehicles that is asked about
    stroke    [m] that this share stays below
    worth     [-] gain that is worth it in this case
    broken    limits that do not hold for that share
    """

    found: Found
    left: Floats
    before: Floats
    weight: Floats
    quantile: float
    stroke: float
    worth: float
    broken: tuple[str, ...]

    @property
    def gain(self) -> float:
        """Share by which the quantile of the level falls [-]."""
        return 1 - weighted_quantile(self.left, self.weight, self.quantile) / weighted_quantile(
            self.before, self.weight, self.quantile
        )

    @property
    def helped(self) -> float:
        """The share of the vehicles that it helps as it is, not tuned anew [-]."""
        return float(self.weight[self.left <= (1 - self.worth) * self.before].sum())

    @property
    def serves(self) -> bool:
        """Whether it is worth it for the stated share, and keeps every limit for it."""
        return self.gain >= self.worth and not self.broken


def weighted_quantile(values: Floats, weight: Floats, share: float) -> float:
    """What a share of the vehicles stays below, in the unit of the values [any].

    values  (V,) [any]
    weight  (V,) [-] that sum to one
    share   [-]

    >>> weighted_quantile(np.array([3.0, 1.0, 2.0]), np.full(3, 1 / 3), 0.5)
    2.0
    """
    order = np.argsort(values)
    reached = np.cumsum(weight[order]) - weight[order] / 2
    return float(np.interp(share, reached, values[order]))


@dataclass(frozen=True)
class Problem:
    """What is made smallest: what is left of the quantile of the level before, as a share, in the worst of
    the cases, with broken limits priced in.

    crowds    of each case: the plausible vehicles by place
    quantile  share of the vehicles that is to be served [-]
    """

    hosts: tuple[Host, ...]
    bounds: tuple[Bounds, ...]
    crowds: tuple[dict[str, Crowd], ...]
    quantile: float

    def heaviest(self, place: str) -> float:
        """What may hang at a place [kg]: what ratings allow on the stated share of vehicles."""
        rooms = [
            min(limit.mass, weighted_quantile(asked[place].rooms, asked[place].weight, 1 - self.quantile))
            for limit, asked in zip(self.bounds, self.crowds, strict=True)
        ]
        return min(rooms)

    def best(self, starts: Sequence[Damper]) -> Damper | None:
        """The best damper of grids around good ones at every place, polished; never worse than a start that
        the ratings allow.  None where they leave no room."""
        able = {d: self.cost(d) for d in starts if d.mass <= self.heaviest(d.place) * (1 + SLACK)}
        for place in self.crowds[0]:
            if (most := self.heaviest(place)) > 0:
                able |= {d: self.cost(d) for d in self._promising(place, most, starts)}
        first = sorted(able, key=lambda d: able[d])[:POLISHED]
        return min((*first, *map(self._polished, first)), key=self.cost, default=None)

    def _promising(self, place: str, most: float, starts: Sequence[Damper]) -> list[Damper]:
        """The best few of the grids by the band alone."""
        m, k, c = np.concatenate([_grid(most, start) for start in starts], axis=1)
        costs = np.max([self._in_band(asked[place], m, k, c) for asked in self.crowds], axis=0)
        chosen = np.argsort(costs)[:PROMISING]
        return [Damper(place, float(m[i]), float(k[i]), float(c[i])) for i in chosen]

    def _in_band(self, crowd: Crowd, m: Floats, k: Floats, c: Floats) -> Floats:
        levels = crowd.in_band(m, k, c).T
        left = [weighted_quantile(level, crowd.weight, self.quantile) for level in levels]
        return np.array(left) / weighted_quantile(crowd.before, crowd.weight, self.quantile)

    def cost(self, hung: Damper) -> float:
        """What is left of the shake, as a share, in the worst of the cases [-]."""
        return max(
            self._cost(asked[hung.place], limit, hung)
            for asked, limit in zip(self.crowds, self.bounds, strict=True)
        )

    def _cost(self, crowd: Crowd, limit: Bounds, hung: Damper) -> float:
        left, stroke, room = crowd.with_damper(hung.mass, hung.stiffness, hung.damping)
        q, weight = self.quantile, crowd.weight
        level = weighted_quantile(left, weight, q) / weighted_quantile(crowd.before, weight, q)
        used = _used(limit, weighted_quantile(stroke, weight, q), weighted_quantile(room, weight, q))
        return level * (1 + STEEP * sum(max(share - 1, 0.0) for share in used.values()))

    def _polished(self, start: Damper) -> Damper:
        """Downhill from a damper, over ln tuning, ln damping ratio and ln mass."""
        from scipy import optimize

        minimize: Any = optimize.minimize  # the stubs ask for more than the function does
        most = self.heaviest(start.place)
        first = np.log([2 * np.pi * start.tuned_hz, max(start.damping_ratio, LEAST_DAMPED), start.mass])

        def hung(x: Floats) -> Damper:
            omega, ratio, m = np.exp(x)
            ratio, m = np.clip(ratio, LEAST_DAMPED, MOST_DAMPED), min(m, most)
            return Damper(start.place, float(m), float(m * omega**2), float(2 * ratio * m * omega))

        corners = first + np.array([[0, 0, 0], [0.02, 0, 0], [0, 0.15, 0], [0, 0, -0.1]])
        options = {"maxfev": STEPS, "initial_simplex": corners, "xatol": 1e-4, "fatol": 1e-5}
        found = minimize(lambda x: self.cost(hung(x)), first, method="Nelder-Mead", options=options)
        return hung(found.x)

    def fared(self, hung: Damper) -> tuple[Fared, ...]:
        """How one damper fares on each case."""
        return tuple(
            self._fared(one, limit, asked[hung.place], hung)
            for one, limit, asked in zip(self.hosts, self.bounds, self.crowds, strict=True)
        )

    def _fared(self, one: Host, limit: Bounds, crowd: Crowd, hung: Damper) -> Fared:
        place = place_of(one, one.vehicle.points[hung.place], limit)
        found = judge(place, limit).found(hung.mass, hung.stiffness, hung.damping)
        left, stroke, room = crowd.with_damper(hung.mass, hung.stiffness, hung.damping)
        moved, needed = (weighted_quantile(x, crowd.weight, self.quantile) for x in (stroke, room))
        broken = [name for name, share in _used(limit, moved, needed).items() if share > 1 + SLACK]
        if hung.mass > self.heaviest(hung.place) * (1 + SLACK):
            broken.append("ratings")
        worth = one.case.limits.worth
        return Fared(found, left, crowd.before, crowd.weight, self.quantile, moved, worth, tuple(broken))


def _used(limit: Bounds, stroke: float, room: float) -> dict[str, float]:
    """How much of stroke and clearance is used [-]."""
    limits = {"stroke": (stroke, limit.stroke), "clearance": (room, limit.clearance)}
    return {name: need / given for name, (need, given) in limits.items() if given is not None}


def _grid(most: float, around: Damper) -> Floats:
    """(m [kg], k [N/m], c [N s/m]) of candidates around a damper, (3, D)."""
    m, tuning, ratio = (
        a.ravel() for a in np.meshgrid(np.multiply(MASSES, most), TUNINGS, np.array(DAMPINGS), indexing="ij")
    )
    omega = 2 * np.pi * around.tuned_hz * tuning
    ratio = np.clip(around.damping_ratio * ratio, LEAST_DAMPED, MOST_DAMPED)
    return np.array([m, m * omega**2, 2 * ratio * m * omega])
