"""What the best pair of its kind does, and whether it is worth a second bracket.

Against the single best of the same total weight, on the same speeds and the same plausible vehicles: a pair
has to bring more than a person just notices, or help clearly more of the vehicles that the numbers allow.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..model.comfort import JUST_NOTICEABLE
from ..model.response import dynamics, sweep
from .absorber import with_ballast
from .before_after import Comparison
from .limits import Bounds
from .pair import Pair, with_pair
from .pair_problem import FoundPair
from .pair_survey import Fared, pair_fared
from .pair_weights import both_checks
from .panel import Panel
from .ratings import RatingCheck
from .search import Found, judge
from .study import AGREES, BAND_POINTS, SHOWN_POINTS, Host, loud, place_of

Floats = NDArray[np.float64]

OFF = 0.05  # of its frequency: what a spring is off by where nobody tunes it on the vehicle
FACTORS = (1 - OFF, 1.0, 1 + OFF)
MORE_HELPED = 0.10  # of the plausible vehicles: what a second damper must help beyond the first
MOST = 0.5  # of the plausible vehicles must be calmer by what is just noticed


@dataclass(frozen=True)
class JudgedPair:
    """The best pair of its kind and what it does.

    comparison  before, after and ballast, re-assembled
    agreement   relative difference of the band's largest level, coupled against re-assembled [-]
    checks      every rating, before and with both weights
    off         [-] the reduction that is left with each spring 5 % off in frequency, the worst way
    fared       on the plausible vehicles
    left        [-] the largest level that it leaves, over what the single best leaves
    calmer      [-] share of the plausible vehicles on which it leaves a tenth less or better, both tuned
    earns       whether it is worth a second bracket
    """

    found: FoundPair
    comparison: Comparison
    agreement: float
    checks: tuple[RatingCheck, ...]
    off: float
    fared: Fared
    left: float
    calmer: float
    earns: bool


def judged_pair(
    one: Host, bounds: Bounds, found: FoundPair, single: Found, many: Panel, alone: Fared
) -> JudgedPair:
    """Re-assemble a pair, check every rating, try it on the plausible vehicles, hold it against one damper.

    alone  what the single one does to the same vehicles
    """
    comparison, agreement = _reassembled(one, found)
    checks, did = both_checks(one, masses(found.pair)), pair_fared(many, found.pair)
    left, noticed = found.left / single_left(one, bounds, single), 1 - JUST_NOTICEABLE
    calmer = many.asked.share(1 - did.retuned <= noticed * (1 - alone.retuned))
    more = max(did.share - alone.share, did.share_retuned - alone.share_retuned)
    better = (left <= noticed and calmer >= MOST) or (left <= 1 and more >= MORE_HELPED)
    kept = not found.broken and all(check.met for check in checks)
    earns = better and kept and found.reduction >= one.case.limits.worth
    return JudgedPair(found, comparison, agreement, checks, _pair_off(found), did, left, calmer, earns)


def single_left(one: Host, bounds: Bounds, single: Found) -> float:
    """What one damper leaves in the band, or where elsewhere it is more than before [m/s^2] r.m.s.

    >>> from ..model.example import small_case
    >>> from .study import host, size
    >>> one, bounds = host(small_case()), Bounds(20.0)
    >>> single = size(one, bounds)
    >>> round(single_left(one, bounds, single) / single.level, 9)     # nothing rises elsewhere
    1.0
    """
    hung = single.damper
    place = place_of(one, one.vehicle.points[hung.place], bounds)
    parts = (np.array([x]) for x in (hung.mass, hung.stiffness, hung.damping))
    return float(judge(place, bounds).parts(*parts)[1][0])


def masses(pair: Pair) -> dict[str, float]:
    """What hangs at each place [kg].

    >>> from .absorber import tuned
    >>> masses(Pair(tuned("rear end", 10.0, 7.0, 0.1), tuned("rear end", 5.0, 7.0, 0.1)))
    {'rear end': 15.0}
    """
    found = dict.fromkeys((d.place for d in pair.both), 0.0)
    for d in pair.both:
        found[d.place] += d.mass
    return found


def _reassembled(one: Host, found: FoundPair) -> tuple[Comparison, float]:
    """Before, after and ballast, all assembled; and how far coupling is off.  Raises ArithmeticError."""
    assert one.target is not None
    band, vehicle, causes = one.target.band, one.vehicle, one.causes
    inside = np.linspace(*band, BAND_POINTS)
    speeds = np.unique(np.concatenate([np.linspace(*one.case.speeds, SHOWN_POINTS), inside]))
    bolted = vehicle
    for place, kilograms in masses(found.pair).items():
        bolted = with_ballast(bolted, place, kilograms)
    with_both = dynamics(with_pair(vehicle, found.pair))
    three = one.ready, with_both, dynamics(bolted)
    before, after, ballast = (sweep(each, causes, speeds, vehicle.watched).total() for each in three)
    comparison = Comparison(speeds, vehicle.watched, before, after, ballast, band, one.case.limits.worth)
    level = float(sweep(with_both, loud(one), inside, vehicle.judged).total().max())
    agreement = abs(level / found.level - 1)
    if agreement > AGREES:
        raise ArithmeticError(f"coupled and assembled pairs differ by {agreement:.1e}; please report this")
    return comparison, agreement


def _pair_off(found: FoundPair) -> float:
    """The reduction left in the band with both springs off, the worst of all ways [-]."""
    factors = np.array([(a, b) for a in FACTORS for b in FACTORS])
    m, k, c = np.array([(d.mass, d.stiffness, d.damping) for d in found.pair.both]).T
    band = found.footing.road.thinned(np.arange(found.footing.inside))
    worst = band.after(
        np.broadcast_to(m, factors.shape), k * factors**2, np.broadcast_to(c, factors.shape)
    ).max()
    return 1 - float(worst) / found.before


def single_off(one: Host, bounds: Bounds, found: Found) -> float:
    """The reduction left in the band with the spring of a single damper off, the worse way [-].

    >>> from ..model.example import small_case
    >>> from .study import host, size
    >>> one, bounds = host(small_case()), Bounds(20.0)
    >>> single = size(one, bounds)
    >>> single_off(one, bounds, single) < single.reduction
    True
    """
    hung, factors = found.damper, np.array(FACTORS)
    band = place_of(one, one.vehicle.points[hung.place], bounds).band
    k = hung.stiffness * factors**2
    return (
        1
        - float(band.after(np.full_like(k, hung.mass), k, np.full_like(k, hung.damping)).max()) / found.before
    )
