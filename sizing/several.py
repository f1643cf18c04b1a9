"""Two dampers instead of one: side by side, at two places, or one on the other, where they earn their weight.

Against the single best of the same total weight: by the same minimax on the same speeds, then on the same
plausible vehicles.  Two brackets are built, fastened and re-torqued, and two springs tuned, so a pair has to
bring more than a person just notices, or help clearly more of the vehicles that the numbers allow.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from ..model.case import Case
from ..model.comfort import JUST_NOTICEABLE
from ..model.response import dynamics, sweep
from .absorber import with_ballast
from .assess import bounds_of, without_sizing
from .before_after import Comparison
from .limits import Bounds
from .pair import Pair, pair_road, with_pair
from .pair_minimax import Footing, FoundPair, best_pair, problem
from .pair_starts import from_single, starts
from .pair_survey import Fared, fared, pair_fared
from .pair_weights import both_checks, weights
from .panel import Panel, panel
from .ratings import RatingCheck
from .reasons import decide
from .search import Found
from .study import (
    AGREES,
    BAND_POINTS,
    REST_POINTS,
    SHOWN_POINTS,
    Host,
    Progress,
    Sized,
    host,
    judged,
    loud,
    place_of,
    quiet,
    size,
)
from .survey import survey
from .verdict import CAUTIONS, Outcome, Verdict

Floats = NDArray[np.float64]

OFF = 0.05  # of its frequency: what a spring is off by where nobody tunes it on the vehicle
MORE_HELPED = 0.10  # of the plausible vehicles: what a second damper must help beyond the first
MOST = 0.5  # of the plausible vehicles must be calmer by what is just noticed
TWICE = (
    "Two dampers are two brackets, two second retainers and two re-torque dates, and both springs are tuned on "
    "the vehicle; a damper that comes loose or sticks leaves the other one mistuned."
)
ON_TOP = "Where one hangs on the other, the first's bracket, mass and fasteners carry both at every bump."


@dataclass(frozen=True)
class JudgedPair:
    """The best pair of its kind and what it does.

    comparison  before, after and ballast, re-assembled
    agreement   relative difference of the band's largest level, coupled against re-assembled [-]
    checks      every rating, before and with both weights
    off         [-] the reduction that is left with each spring 5 % off in frequency, the worst way
    fared       on the plausible vehicles
    left        [-] the largest level that it leaves, over what the single best leaves
    calmer      [-] share of the plausible vehicles on which that is a tenth less or better, both tuned on them
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


@dataclass(frozen=True)
class Several:
    """Two dampers beside one of the same weight.

    verdict  what comes before any sizing; then nothing is sized
    single   the best single damper; pairs weigh no more than it
    off, alone  of the single one, as for a pair: the reduction [-] with its spring off, and on the vehicles
    pairs    the best of each kind, best first
    vehicles how many plausible vehicles had a say [-]
    """

    host: Host
    bounds: Bounds
    verdict: Verdict | None
    single: Sized | None = None
    off: float = 0.0
    alone: Fared | None = None
    pairs: tuple[JudgedPair, ...] = ()
    vehicles: int = 0

    @property
    def earning(self) -> JudgedPair | None:
        """The best pair that earns its second bracket."""
        return next((pair for pair in self.pairs if pair.earns), None)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What is said with every answer, and what two dampers add to it."""
        return (*CAUTIONS, TWICE, ON_TOP) if self.pairs else CAUTIONS


def several(case: Case, progress: Progress = quiet) -> Several:
    """Size two dampers every way, and hold them against one of the same weight.

    progress  called with a few words before each long step

    >>> from ..model.example import small_case
    >>> found = several(small_case())
    >>> [pair.found.pair.kind for pair in found.pairs], found.earning is None
    (['side by side', 'one on the other'], True)
    """
    with threadpool_limits(1):  # small matrices: threads cost more than they bring
        return _several(case, progress)


def _several(case: Case, progress: Progress) -> Several:
    one = host(case, progress)
    verdict, bounds = without_sizing(one), bounds_of(one)
    if one.target is None or (verdict is not None and verdict.outcome is not Outcome.UNSURE):
        return Several(one, bounds, verdict)
    found = size(one, bounds, progress=progress)
    if found is None:
        return Several(one, bounds, verdict or decide(one, None, bounds))
    single = judged(one, found)
    pairs = best_of_each_kind(one, bounds, found, progress)
    many = panel(one, survey(one, found.damper, progress=progress))
    alone = fared(many, many.asked.reduction, many.asked.retuned_reduction)
    each = [_judged(one, pair, found, many, alone, progress) for pair in pairs]
    each.sort(key=lambda pair: (not pair.earns, bool(pair.found.broken), pair.found.left))
    off = _single_off(one, bounds, found)
    return Several(one, bounds, None, single, off, alone, tuple(each), len(many.asked.speed))


# --- the best of each kind ----------------------------------------------------------------------------------


def best_of_each_kind(
    one: Host, bounds: Bounds, single: Found, progress: Progress = quiet
) -> tuple[FoundPair, ...]:
    """The best pair of each kind over all places, none heavier together than the single damper.

    >>> from ..model.example import small_case
    >>> one = host(small_case())
    >>> bounds = bounds_of(one)
    >>> single = size(one, bounds)
    >>> [found.left <= single.level * (1 + 1e-6) for found in best_of_each_kind(one, bounds, single)]
    [True, True]
    """
    best: dict[str, FoundPair] = {}
    for footing in _footings(one, bounds, single.damper.mass):
        progress(f"sizing two dampers at {' and '.join(dict.fromkeys(footing.names))}")
        found = on_footing(one, bounds, footing, single)
        kind = found.pair.kind
        if kind not in best or _order(found) < _order(best[kind]):
            best[kind] = found
    return tuple(sorted(best.values(), key=_order))


def _order(found: FoundPair) -> tuple[bool, float]:
    return bool(found.broken), found.left


def _footings(one: Host, bounds: Bounds, together: float) -> Iterator[Footing]:
    """Every place twice, in both ways, and every two places: where anything at all may hang."""
    for name in one.places:
        yield from (footing_of(one, bounds, (name, name), together, stacked) for stacked in (False, True))
    for first, second in combinations(one.places, 2):
        yield footing_of(one, bounds, (first, second), together)


def footing_of(
    one: Host, bounds: Bounds, names: tuple[str, str], together: float, stacked: bool = False
) -> Footing:
    """Two places of a host, or one twice, prepared for any number of pairs.

    together  [kg] that both may weigh

    >>> from ..model.example import small_case
    >>> one = host(small_case())
    >>> found = footing_of(one, bounds_of(one), ("front end", "rear end"), 30.0)
    >>> found.inside, found.road.stacked, found.weights.room.round(3).tolist()
    (33, False, [30.0, 50.0])
    """
    assert one.target is not None
    band, points = one.target.band, one.vehicle.points
    rest = np.linspace(*one.case.speeds, REST_POINTS)
    rest = rest[(rest < band[0]) | (rest > band[1])]
    speeds = np.concatenate([np.linspace(*band, BAND_POINTS), rest])
    places = points[names[0]], points[names[1]]
    road = pair_road(one.ready, loud(one), speeds, one.vehicle.judged, places, stacked)
    return Footing(names, road, BAND_POINTS, weights(one, names, together, bounds.ratings))


def on_footing(one: Host, bounds: Bounds, footing: Footing, single: Found) -> FoundPair:
    """The best pair on a footing: from a grid, and from the single best taken apart, which it contains.

    >>> from ..model.example import small_case
    >>> one = host(small_case())
    >>> bounds = bounds_of(one)
    >>> footing = footing_of(one, bounds, ("rear end", "rear end"), 30.0)
    >>> found = on_footing(one, bounds, footing, size(one, bounds))
    >>> round(found.pair.mass, 3), found.broken
    (30.0, ())
    """
    assert one.target is not None
    asked = problem(footing, bounds)
    opened, alike = from_single(asked, single.damper)
    return best_pair(asked, [*starts(asked, one.target.critical.frequency), *opened], alike)


# --- what it does -------------------------------------------------------------------------------------------


def _judged(
    one: Host, found: FoundPair, single: Found, many: Panel, alone: Fared, progress: Progress
) -> JudgedPair:
    progress(f"asking the same plausible vehicles: two dampers {found.pair.kind}")
    comparison, agreement = _reassembled(one, found)
    checks = both_checks(one, _masses(found.pair))
    did, left = pair_fared(many, found.pair), found.left / _left(one, single)
    kept = (
        not found.broken and all(check.met for check in checks) and found.reduction >= one.case.limits.worth
    )
    more = max(did.share - alone.share, did.share_retuned - alone.share_retuned)
    felt = 1 - JUST_NOTICEABLE
    calmer = many.asked.share(1 - did.retuned <= felt * (1 - alone.retuned))
    earns = kept and ((left <= felt and calmer >= MOST) or (left <= 1 and more >= MORE_HELPED))
    return JudgedPair(found, comparison, agreement, checks, _pair_off(found), did, left, calmer, earns)


def _left(one: Host, single: Found) -> float:
    """What the single one leaves [m/s^2] r.m.s., in the band or where elsewhere it is more than before."""
    return single.level if single.elsewhere <= 1 else single.level * single.elsewhere


def _masses(pair: Pair) -> dict[str, float]:
    masses = dict.fromkeys((d.place for d in pair.both), 0.0)
    for d in pair.both:
        masses[d.place] += d.mass
    return masses


def _reassembled(one: Host, found: FoundPair) -> tuple[Comparison, float]:
    """Before, after and ballast, all assembled; and how far coupling is off.  Raises ArithmeticError."""
    assert one.target is not None
    band, vehicle, causes = one.target.band, one.vehicle, one.causes
    inside = np.linspace(*band, BAND_POINTS)
    speeds = np.unique(np.concatenate([np.linspace(*one.case.speeds, SHOWN_POINTS), inside]))
    bolted = vehicle
    for place, kilograms in _masses(found.pair).items():
        bolted = with_ballast(bolted, place, kilograms)
    with_both = dynamics(with_pair(vehicle, found.pair))
    three = one.ready, with_both, dynamics(bolted)
    levels = (sweep(each, causes, speeds, vehicle.watched).total() for each in three)
    comparison = Comparison(speeds, vehicle.watched, *levels, band, one.case.limits.worth)
    level = float(sweep(with_both, loud(one), inside, vehicle.judged).total().max())
    agreement = abs(level / found.level - 1)
    if agreement > AGREES:
        raise ArithmeticError(f"coupled and assembled pairs differ by {agreement:.1e}; please report this")
    return comparison, agreement


def _pair_off(found: FoundPair) -> float:
    """The reduction left in the band with both springs off, the worst of all ways [-]."""
    factors = np.array([(a, b) for a in _off_factors() for b in _off_factors()])
    m, k, c = np.array([(d.mass, d.stiffness, d.damping) for d in found.pair.both]).T
    band = found.footing.road.thinned(np.arange(found.footing.inside))
    worst = band.after(
        np.broadcast_to(m, factors.shape), k * factors**2, np.broadcast_to(c, factors.shape)
    ).max()
    return 1 - float(worst) / found.before


def _single_off(one: Host, bounds: Bounds, found: Found) -> float:
    hung, factors = found.damper, np.array(_off_factors())
    band = place_of(one, one.vehicle.points[hung.place], bounds).band
    k = hung.stiffness * factors**2
    return (
        1
        - float(band.after(np.full_like(k, hung.mass), k, np.full_like(k, hung.damping)).max()) / found.before
    )


def _off_factors() -> Sequence[float]:
    return (1 - OFF, 1.0, 1 + OFF)


def equal_single(found: Several, most: float = 3.0) -> float | None:
    """How heavy one damper at the best place would have to be to do as well as the pair that earns its
    bracket [kg], whatever the ratings say; None where none earns it, or where it would be more than `most`
    times as heavy.

    most  [-]

    >>> from ..model.example import small_case
    >>> equal_single(several(small_case())) is None
    True
    """
    pair, single = found.earning, found.single
    if pair is None or single is None:
        return None
    wanted, mass = pair.found.left, single.found.damper.mass
    low, high = mass, most * mass
    if _alone_leaves(found, high) > wanted:
        return None
    while high - low > 0.02 * mass:
        middle = (low + high) / 2
        low, high = (middle, high) if _alone_leaves(found, middle) > wanted else (low, middle)
    return high


def _alone_leaves(found: Several, mass: float) -> float:
    best = size(found.host, replace(found.bounds, mass=mass, ratings=False))
    return np.inf if best is None else _left(found.host, best)
