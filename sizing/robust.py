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
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from ..model.case import Case
from .absorber import Damper
from .assess import bounds_of, without_sizing
from .crowd import Crowd, crowds
from .limits import Bounds
from .search import SLACK, STEEP, Found, judge
from .study import Host, Progress, host, place_of, quiet, size
from .tolerances import Tolerances
from .verdict import Outcome, Verdict

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
    broken    limits that do not hold for it
    """

    found: Found
    left: Floats
    before: Floats
    weight: Floats
    quantile: float
    stroke: float
    broken: tuple[str, ...]

    @property
    def gain(self) -> float:
        """Share by which the quantile of the level falls [-]."""
        return 1 - weighted_quantile(self.left, self.weight, self.quantile) / weighted_quantile(
            self.before, self.weight, self.quantile
        )

    def helped(self, worth: float) -> float:
        """The share of the vehicles that it helps as it is, not tuned anew [-].

        worth  [-]
        """
        return float(self.weight[self.left <= (1 - worth) * self.before].sum())


@dataclass(frozen=True)
class Robust:
    """The robust damper beside the nominal one, on each case that was asked about; the first one decides what
    "nominal" means.

    verdict   why nothing was sized; None where something was
    nominal   the nominal optimum, on each case
    robust    the robust one, on each case
    alone     what is best for each case alone, with more than one case
    """

    hosts: tuple[Host, ...]
    tolerances: Tolerances
    quantile: float
    verdict: Verdict | None = None
    nominal: tuple[Fared, ...] = ()
    robust: tuple[Fared, ...] = ()
    alone: tuple[Fared, ...] = ()

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
        return all(_worth_it(f, one) for f, one in zip(self.robust, self.hosts, strict=True))

    @property
    def each_alone(self) -> bool:
        """Whether every case has a damper of its own that is worth it."""
        return all(_worth_it(f, one) for f, one in zip(self.alone, self.hosts, strict=True))


def _worth_it(fared: Fared, one: Host) -> bool:
    return fared.gain >= one.case.limits.worth and not fared.broken


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
    vehicles    how many are drawn at first [-]
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
        return _robust(cases, own, quantile, vehicles, seed, progress)


def _robust(
    cases: Sequence[Case], own: Tolerances, quantile: float, vehicles: int, seed: int, progress: Progress
) -> Robust:
    hosts = tuple(host(case, progress) for case in cases)
    for one in hosts:
        if (verdict := _stopped(one)) is not None:
            return Robust(hosts, own, quantile, verdict)
    bounds = [bounds_of(one) for one in hosts]
    names = [name for name in hosts[0].places if all(name in one.vehicle.points for one in hosts)]
    best = size(hosts[0], bounds[0], progress=progress)
    asked = [crowds(one, b, names, own, quantile, vehicles, seed, progress) for one, b in zip(hosts, bounds, strict=True)]
    if best is None or best.damper.place not in names:
        return Robust(hosts, own, quantile, _no_room(hosts[0]))
    problem = _Problem(hosts, tuple(bounds), tuple(asked), quantile)
    progress("searching a damper for the stated share")
    found = problem.search([best.damper])
    alone: list[Fared] = []
    if len(hosts) > 1:
        for i, one in enumerate(hosts):
            single = _Problem((one,), (bounds[i],), (asked[i],), quantile)
            start = size(one, bounds[i], names)
            alone += single.fared(single.search([found, *([start.damper] if start else [])]))
    return Robust(hosts, own, quantile, None, problem.fared(best.damper), problem.fared(found), tuple(alone))
