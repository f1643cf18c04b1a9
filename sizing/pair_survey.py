"""What plausible vehicles do with a pair of dampers: the same vehicles that a single damper was put to."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..model.plausible import Plausible, gathered
from ..model.road import inputs
from .pair import Pair, pair_road
from .panel import AS_IT_IS, Panel
from .study import loud
from .survey import BAND_POINTS, RETUNED

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Fared:
    """What a damper or a pair does to plausible vehicles, V of them, as shares of the level before [-].

    reduction  (V,) as it was sized
    retuned    (V,) with each spring changed on that very vehicle, within 15 % of its frequency
    share      of the vehicles that are helped, as it was sized
    share_retuned  the same once tuned on the vehicle
    interval   of the reduction as it was sized, nine in ten vehicles
    interval_retuned  the same once tuned on the vehicle
    """

    reduction: Floats
    retuned: Floats
    share: float
    share_retuned: float
    interval: tuple[float, float]
    interval_retuned: tuple[float, float]


def fared(many: Panel, reduction: Floats, retuned: Floats) -> Fared:
    """The shares and intervals of what plausible vehicles do.

    reduction  (V,) [-]
    retuned    (V,) [-]
    """
    worth, asked = many.one.case.limits.worth, many.asked
    share, share_retuned = (asked.share(each >= worth) for each in (reduction, retuned))
    low_high, retuned_low_high = (asked.interval(each) for each in (reduction, retuned))
    return Fared(reduction, retuned, share, share_retuned, low_high, retuned_low_high)


def pair_fared(many: Panel, pair: Pair) -> Fared:
    """Put a pair to the vehicles of a panel.

    >>> from ..model.example import small_case
    >>> from .absorber import tuned
    >>> from .panel import panel
    >>> from .study import host
    >>> from .survey import survey
    >>> one = host(small_case())
    >>> two = Pair(tuned("rear end", 15.0, 2.8, 0.1), tuned("rear end", 15.0, 3.1, 0.1))
    >>> found = pair_fared(panel(one, survey(one, None)), two)
    >>> round(found.share, 6), bool((found.retuned >= found.reduction - 1e-12).all())
    (1.0, True)
    """
    vehicles = _vehicles(many)
    levels = np.array([_levels(many, vehicles, i, pair) for i in range(len(vehicles))])
    before, after, retuned = levels.T
    return fared(many, 1 - after / before, 1 - retuned / before)


def _vehicles(many: Panel) -> Plausible:
    one, asked = many.one, many.asked
    vehicle = AS_IT_IS.vehicle(one.case.plan, many.numbers, one.vehicle.frame.terms)
    return gathered(asked.paths, asked.scores, vehicle)


def _levels(many: Panel, vehicles: Plausible, i: int, pair: Pair) -> tuple[float, float, float]:
    """One vehicle's largest level in its band [m/s^2] r.m.s.: before, with the pair, with it retuned."""
    one, vehicle, (low, high) = many.one, vehicles.outline(i), many.bands[i].tolist()
    heard = {c.name for c in loud(one)}
    causes = [c for c in inputs(one.case.roads, vehicle, one.case.speeds[0]) if c.name in heard]
    speeds = np.union1d(many.asked.speeds, np.linspace(low, high, BAND_POINTS))
    speeds = speeds[(speeds >= low - 1e-9) & (speeds <= high + 1e-9)]
    places = vehicle.points[pair.first.place], vehicle.points[pair.second.place]
    road = pair_road(vehicles.ready(i), causes, speeds, vehicle.judged, places, pair.stacked)
    after = road.after(*_retuned(pair)).max(axis=(-2, -1))
    return float(road.before().max()), float(after[0]), float(after.min())


def _retuned(pair: Pair) -> tuple[Floats, Floats, Floats]:
    """The pair as it is, then with both springs changed every way, (C, 2) each."""
    steps = RETUNED[::2]  # half as fine as for one damper: there are two to turn
    grid = np.meshgrid(steps, steps, indexing="ij")
    factors = np.vstack([[1.0, 1.0], np.stack([g.ravel() for g in grid], axis=-1)])
    m, k, c = np.array([(d.mass, d.stiffness, d.damping) for d in pair.both]).T
    return np.broadcast_to(m, factors.shape), k * factors**2, c * factors
