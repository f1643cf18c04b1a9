"""The damper that is best for a stated share of the plausible vehicles, built within its own tolerances.

The nominal optimum is best for one vehicle, the best estimate, and for a damper exactly as drawn.  Here every
plausible vehicle gets a damper of its own, off by what its tolerances allow, and of all the levels that are
left the q-quantile is made smallest: what nine in ten stay below.  Vehicles count as in the survey.  Levels
outside the band count as in the search; stroke, clearance and ratings hold for the same share.

The search: a grid around the nominal optimum at every allowed place, then a descent without slopes from its
best (Nelder and Mead), because a quantile has kinks everywhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from ..model.case import Case
from .absorber import Damper
from .assess import bounds_of, without_sizing
from .crowd import Crowd, crowds
from .limits import Bounds
from .minimax import LEAST_DAMPED, MOST_DAMPED
from .reasons import decide
from .search import SLACK, STEEP, Found, judge
from .study import Host, Progress, host, place_of, quiet, size
from .tolerances import Tolerances
from .verdict import CAUTIONS, Outcome, Verdict

Floats = NDArray[np.float64]

NINE_IN_TEN, VEHICLES = 0.9, 256
MASSES = (1.0, 0.75, 0.5)  # of what may hang there
TUNINGS = np.geomspace(0.84, 1.16, 15)  # times the nominal optimum's
DAMPINGS = (0.6, 1.0, 1.5, 2.2, 3.3, 5.0)
PROMISING = 6  # candidates of a place that are judged in full
STEPS = 90  # of the descent, each one damper on every vehicle


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


@dataclass(frozen=True)
class Robust:
    """The robust damper beside the nominal one, on each case that was asked about; the first one decides what
    "nominal" means.

    seed      of the draw [-]
    verdict   why nothing was sized; None where something was
    nominal   the nominal optimum, on each case
    robust    the robust one, on each case
    alone     what is best for each case alone, with more than one case
    """

    hosts: tuple[Host, ...]
    tolerances: Tolerances
    quantile: float
    seed: int
    verdict: Verdict | None = None
    nominal: tuple[Fared, ...] = ()
    robust: tuple[Fared, ...] = ()
    alone: tuple[Fared, ...] = ()
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def damper(self) -> Damper:
        """The robust damper."""
        return self.robust[0].found.damper

    @property
    def lost(self) -> float:
        """What robustness costs: reduction on the best estimate that is given up [-]."""
        return self.nominal[0].found.reduction - self.robust[0].found.reduction

    @property
    def won(self) -> float:
        """What robustness brings: gain for the stated share of vehicles, in the worst case asked about [-]."""
        return min(f.gain for f in self.robust) - min(f.gain for f in self.nominal)

    @property
    def serves(self) -> bool:
        """Whether the robust damper is worth it on every case, for the stated share of vehicles."""
        return all(fared.serves for fared in self.robust)

    @property
    def each_alone(self) -> bool:
        """Whether every case has a damper of its own that is worth it."""
        return all(fared.serves for fared in self.alone)


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


def robust(
    cases: Sequence[Case],
    tolerances: Tolerances | None = None,
    quantile: float = NINE_IN_TEN,
    vehicles: int = VEHICLES,
    seed: int = 0,
    progress: Progress = quiet,
) -> Robust:
    """Size a damper that survives doubt, for one case or for several states of one vehicle.

    cases       the vehicle, and the same one in other states: empty, laden, at other pressures
    tolerances  of the damper; None: those of steel springs, with the friction of the first case's limits
    quantile    [-] share of the plausible vehicles that is to be served
    vehicles    how many are drawn at first [-], rounded up to a power of two
    seed        of the draw [-]

    >>> from ..model.example import small_case
    >>> one = robust([small_case()])
    >>> one.damper.place, one.lost >= -0.005, one.won >= 0
    ('rear end', True, True)
    """
    if not 0 < quantile < 1:
        raise ValueError(f"quantile must lie between 0 and 1, got {quantile}")
    own = tolerances or Tolerances(friction=cases[0].limits.friction or 0.0)
    with threadpool_limits(1):  # small matrices: threads cost more than they bring
        return _robust(cases, own, quantile, 1 << (vehicles - 1).bit_length(), seed, progress)


def _robust(
    cases: Sequence[Case], own: Tolerances, quantile: float, vehicles: int, seed: int, progress: Progress
) -> Robust:
    hosts = tuple(host(case, progress) for case in cases)
    stopped = [verdict for one in hosts if (verdict := _stopped(one))]
    if stopped:
        return Robust(hosts, own, quantile, seed, stopped[0])
    bounds = tuple(bounds_of(one) for one in hosts)
    names = [name for name in hosts[0].places if all(name in one.vehicle.points for one in hosts)]
    if not names:
        raise ValueError("none of the places where a damper may hang is a point of every case")
    best = size(hosts[0], bounds[0], names, progress)
    if best is None:
        return Robust(hosts, own, quantile, seed, decide(hosts[0], None, bounds[0]))
    asked = tuple(
        crowds(one, limit, names, own, vehicles, seed, progress)
        for one, limit in zip(hosts, bounds, strict=True)
    )
    whole = _Problem(hosts, bounds, asked, quantile)
    progress("searching a damper for the stated share")
    found = whole.best([best.damper])
    alone = _alone(whole, names, found) if len(hosts) > 1 else ()
    return Robust(hosts, own, quantile, seed, None, whole.fared(best.damper), whole.fared(found), alone)


def _stopped(one: Host) -> Verdict | None:
    """Why no damper is to be sized: as in the main job."""
    verdict = without_sizing(one)
    goes_on = verdict is None or (one.target is not None and verdict.outcome is Outcome.UNSURE)
    return None if goes_on else verdict


def _alone(whole: _Problem, names: Sequence[str], shared: Damper) -> tuple[Fared, ...]:
    """The best damper of each case for itself."""
    found: list[Fared] = []
    for one, limit, asked in zip(whole.hosts, whole.bounds, whole.crowds, strict=True):
        single = _Problem((one,), (limit,), (asked,), whole.quantile)
        start = size(one, limit, names)
        found += single.fared(single.best([*([start.damper] if start else []), shared]))
    return tuple(found)


@dataclass(frozen=True)
class _Problem:
    """What is made smallest: over the cases, the largest share of its level before that the quantile is left at,
    with broken limits priced in."""

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

    def best(self, starts: Sequence[Damper]) -> Damper:
        """The best damper of grids around good ones at every place, polished; never worse than the starts."""
        able = {d: self.cost(d) for d in starts if d.mass <= self.heaviest(d.place) * (1 + SLACK)}
        for place in self.crowds[0]:
            if (most := self.heaviest(place)) > 0:
                able |= {d: self.cost(d) for d in self._promising(place, most, starts)}
        first = min(able, key=lambda d: able[d])
        polished = self._polished(first)
        return min((first, polished), key=self.cost)

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
        from scipy.optimize import minimize

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
