"""The same plausible vehicles for every remedy, each counted as in the survey; and the best estimate itself.

All remedies meet the same vehicles, drawn once: what tells one from another is then the remedy, not the draw.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..model.laws import ground_loads
from ..model.numbers import Numbers
from ..model.plausible import Plausible, gathered
from ..model.response import Sweep, dynamics, sweep
from ..model.road import Input, inputs
from ..model.tyres import GRAVITY
from ..model.vehicle import Vehicle
from .before_after import Comparison
from .changes import as_it_is
from .proposal import Bare, Proposal
from .ratings import RatingCheck, rating_checks
from .study import BAND_POINTS, Host, loud
from .survey import Survey

Floats = NDArray[np.float64]

COUNTED = 0.99  # of all weight: vehicles that hardly agree with the complaint are left out
PANEL_POINTS, REST_POINTS = 21, 91  # speeds in a vehicle's band, and over the range for the best estimate


AS_IT_IS = Proposal("", "as it is")


@dataclass(frozen=True)
class Trial:
    """What a remedy does to the best estimate.

    comparison  before and after along speed; `ballast` stands for before
    checks      every rating, before and after
    weight      [kg] that it adds
    """

    comparison: Comparison
    checks: tuple[RatingCheck, ...]
    weight: float

    @property
    def reduction(self) -> float:
        """Share by which it lowers the largest level in the band [-]."""
        return self.comparison.reduction

    @property
    def rated(self) -> bool:
        """Whether every rating holds with it."""
        return all(check.met for check in self.checks)

    @property
    def allowed(self) -> bool:
        """Whether every rating holds and no other speed gets worse than is allowed."""
        elsewhere = self.comparison.elsewhere
        return self.rated and (elsewhere is None or elsewhere.allowed)


@dataclass(frozen=True)
class Still:
    """The best estimate before a remedy: as it is built, and with losses as dampers.

    speeds  [m/s] (V,)
    levels  [m/s^2] r.m.s. of all causes together at the watched points, typical, (V, P)
    """

    bare: Bare
    vehicle: Vehicle
    speeds: Floats
    levels: Floats


def still(one: Host, proposed: Proposal = AS_IT_IS) -> Still:
    """The best estimate before anything is done: what every remedy with the same base is held against.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> before = still(host(small_case()))
    >>> before.levels.shape == (len(before.speeds), 2)
    True
    """
    assert one.target is not None
    grid = np.linspace(*one.case.speeds, REST_POINTS), np.linspace(*one.target.band, BAND_POINTS)
    bare = Bare(one.case.plan, one.case.numbers.with_scores({}), one.vehicle.frame.terms)
    vehicle, speeds = proposed.before.made(bare), np.unique(np.concatenate(grid))
    return Still(bare, vehicle, speeds, _along(one, proposed.before, vehicle, speeds))


def trial(one: Host, proposed: Proposal, known: Still | None = None) -> Trial:
    """Try a remedy on the best estimate.

    known  the same without any remedy, where that was looked at before

    >>> from ..model.example import small_case
    >>> from .changes import other_tyres
    >>> from .study import host
    >>> found = trial(host(small_case()), Proposal("tyres", "softer", other_tyres("rear", 0.5)))
    >>> round(found.reduction, 2), found.weight
    (0.08, 0.0)
    """
    assert one.target is not None
    base = known if known and proposed.base is as_it_is else still(one, proposed)
    changed = proposed.made(base.bare)
    after = _along(one, proposed, changed, base.speeds)
    points, band, worth = base.vehicle.watched, one.target.band, one.case.limits.worth
    comparison = Comparison(base.speeds, points, base.levels, after, base.levels, band, worth)
    checks = _checks(one, proposed, base.vehicle, changed)
    return Trial(comparison, checks, changed.total_mass - base.vehicle.total_mass)


def _along(one: Host, proposed: Proposal, vehicle: Vehicle, speeds: Floats) -> Floats:
    causes = proposed.causes(one.case.roads, vehicle, one.case.speeds[0])
    return sweep(dynamics(vehicle), causes, speeds, vehicle.watched).total()


def _checks(one: Host, proposed: Proposal, base: Vehicle, changed: Vehicle) -> tuple[RatingCheck, ...]:
    """Every rating, with what the remedy does to the loads on the ground."""
    standing, then = ground_loads(base), ground_loads(changed)
    after = {name: load + (then[name] - standing[name]) / GRAVITY for name, load in one.loads.items()}
    case = replace(one.case, numbers=one.case.numbers.with_given(proposed.given))
    return rating_checks(case, one.loads, after, proposed.place)


# --- the same vehicles for all ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Panel:
    """Plausible vehicles of a host, V of them, that every remedy is tried on.

    asked  what each is, and how much it counts; only vehicles that count
    bare   all of them at once, as they are built
    bands  [m/s] where each is judged, (V, 2)
    """

    one: Host
    asked: Survey
    bare: Bare
    bands: Floats

    @property
    def numbers(self) -> Numbers:
        """The numbers of all of them at once."""
        return self.bare.numbers

    def levels(self, proposed: Proposal) -> Floats:
        """Largest typical level in the band once a remedy is done [m/s^2] r.m.s., (V,)."""
        return np.array([s.total().max() for s in self.sweeps(proposed)])

    def vehicles(self, proposed: Proposal) -> Plausible:
        """All of them once a remedy is done, ready to be asked one by one."""
        return gathered(self.asked.paths, self.asked.scores, proposed.made(self.bare))

    def sweeps(self, proposed: Proposal) -> list[Sweep]:
        """Each vehicle over its band, once a remedy is done; causes that nobody hears are left out."""
        one, heard = self.one, {cause.name for cause in loud(self.one)}
        many = self.vehicles(proposed)
        found = []
        for i, (low, high) in enumerate(self.bands.tolist()):
            vehicle = many.outline(i)
            causes = proposed.causes(one.case.roads, vehicle, one.case.speeds[0])
            mine, speeds = [c for c in causes if c.name in heard], np.linspace(low, high, PANEL_POINTS)
            found.append(sweep(many.ready(i), mine, speeds, vehicle.judged))
        return found

    def reduction(self, proposed: Proposal) -> Floats:
        """Share by which a remedy lowers each vehicle's level [-], (V,)."""
        before = self.as_they_are if proposed.base is as_it_is else self.levels(proposed.before)
        return np.asarray(1 - self.levels(proposed) / before)

    @cached_property
    def as_they_are(self) -> Floats:
        """Largest typical level in the band [m/s^2] r.m.s., (V,), without any remedy."""
        return self.levels(AS_IT_IS)


def panel(one: Host, asked: Survey) -> Panel:
    """The vehicles of a survey that count, ready for any remedy.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> from .survey import survey
    >>> one = host(small_case())
    >>> asked = survey(one, None)
    >>> found = panel(one, asked)
    >>> bool(np.allclose(found.as_they_are, found.asked.before, rtol=0.01))
    True
    """
    kept = _counted(asked.weight)
    mine = {f.name: getattr(asked, f.name) for f in fields(Survey)}
    single = ("paths", "speeds", "refused")
    some = replace(asked, **{name: a[kept] for name, a in mine.items() if name not in single})
    numbers = one.case.numbers.with_scores(dict(zip(some.paths, some.scores.T, strict=True)))
    bare = Bare(one.case.plan, numbers, one.vehicle.frame.terms)
    return Panel(one, some, bare, _bands(one, some, bare))


def _counted(weight: Floats) -> NDArray[np.intp]:
    """The heaviest vehicles, until they have nearly all the weight; in the order in which they were drawn."""
    order = np.argsort(-weight, kind="stable")
    enough = int(np.searchsorted(np.cumsum(weight[order]), COUNTED)) + 1
    return np.sort(order[:enough])


def _bands(one: Host, asked: Survey, bare: Bare) -> Floats:
    """The complaint's band; without one, the target's, moved with each vehicle's own critical speed."""
    assert one.target is not None
    felt = one.case.complaint.speed if one.case.complaint else None
    if felt:
        return np.tile(np.array(felt), (len(asked.scores), 1))
    best, still = one.target.critical, one.modes.undamped[one.target.critical.mode] / (2 * np.pi)
    many = gathered(asked.paths, asked.scores, AS_IT_IS.made(bare))
    per_metre = np.array([_cause(one, many.outline(i)).per_metre for i in range(len(many))])
    moved = asked.frequency[:, best.mode] / still * best.cause.per_metre / per_metre
    return np.asarray(moved[:, None] * np.array(one.target.band))


def _cause(one: Host, vehicle: Vehicle) -> Input:
    assert one.target is not None
    wanted = one.target.critical.cause.name
    return next(c for c in inputs(one.case.roads, vehicle, one.case.speeds[0]) if c.name == wanted)
