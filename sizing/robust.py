"""The damper that is best for a stated share of the plausible vehicles, built within its own tolerances.

The nominal optimum is best for one vehicle, the best estimate, and for a damper exactly as drawn.  Here every
plausible vehicle gets a damper of its own, off by what its tolerances allow, and of all the levels that are
left the q-quantile is made smallest: what nine in ten stay below.  Vehicles count as in the survey.  Levels
outside the band count as in the search; stroke, clearance and ratings hold for the same share.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from ..model.case import Case
from .absorber import Damper
from .assess import bounds_of, without_sizing
from .crowd import crowds
from .reasons import decide, percent
from .robust_search import Fared, Problem
from .study import Host, Progress, host, quiet, size
from .tolerances import Tolerances
from .verdict import CAUTIONS, Outcome, Verdict

NINE_IN_TEN, VEHICLES = 0.9, 256


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
        """What robustness brings: gain for the stated share of vehicles, in the worst case asked for [-]."""
        return min(f.gain for f in self.robust) - min(f.gain for f in self.nominal)

    @property
    def serves(self) -> bool:
        """Whether the robust damper is worth it on every case, for the stated share of vehicles."""
        return all(fared.serves for fared in self.robust)

    @property
    def each_alone(self) -> bool:
        """Whether every case has a damper of its own that is worth it."""
        return all(fared.serves for fared in self.alone)


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

    >>> from dataclasses import replace
    >>> from ..model.example import small_case
    >>> from ..model.numbers import Known
    >>> one, more = small_case(), {"axle.rear.rating": Known(4e3, 0.0, "published")}
    >>> robust([one]).verdict.outcome.value     # 50 kg below its rating, by a scale reading that is not exact
    'ratings'
    >>> found = robust([replace(one, numbers=one.numbers.with_given(more))])
    >>> found.damper.place, found.lost >= -0.005, found.won >= 0
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
    whole = Problem(hosts, bounds, asked, quantile)
    progress("searching a damper for the stated share")
    found = whole.best([best.damper])
    if found is None:
        return Robust(hosts, own, quantile, seed, _no_room(quantile))
    alone = _alone(whole, names, found) if len(hosts) > 1 else ()
    return Robust(hosts, own, quantile, seed, None, whole.fared(best.damper), whole.fared(found), alone)


def _stopped(one: Host) -> Verdict | None:
    """Why no damper is to be sized: as in the main job."""
    verdict = without_sizing(one)
    goes_on = verdict is None or (one.target is not None and verdict.outcome is Outcome.UNSURE)
    return None if goes_on else verdict


def _no_room(quantile: float) -> Verdict:
    """Loads so doubtful that the ratings may be used up already."""
    return Verdict(
        Outcome.RATINGS,
        f"With loads as doubtful as these, more than {percent(1 - quantile)} of the vehicles have no room "
        "for any damper, at none of its places, without being over a rating.",
        "Weigh each axle with everything on board, give the readings with their spread, and ask again.",
    )


def _alone(whole: Problem, names: Sequence[str], shared: Damper) -> tuple[Fared, ...]:
    """The best damper of each case for itself."""
    found: list[Fared] = []
    for one, limit, asked in zip(whole.hosts, whole.bounds, whole.crowds, strict=True):
        single = Problem((one,), (limit,), (asked,), whole.quantile)
        start = size(one, limit, names)
        own = single.best([*([start.damper] if start else []), shared])
        found += single.fared(own or shared)
    return tuple(found)
