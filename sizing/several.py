"""Two dampers instead of one: side by side, at two places, or one on the other, where they earn their weight.

By the same minimax, on the same speeds and within the same limits as one damper, and no heavier together.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from ..model.case import Case
from .assess import bounds_of, without_sizing
from .limits import Bounds
from .pair import pair_road
from .pair_judged import JudgedPair, judged_pair, single_left, single_off
from .pair_minimax import best_pair
from .pair_problem import Footing, FoundPair, problem
from .pair_starts import from_single, starts
from .pair_survey import Fared, fared
from .pair_weights import weights
from .panel import panel
from .reasons import decide
from .search import Found
from .study import BAND_POINTS, REST_POINTS, Host, Progress, Sized, host, judged, loud, quiet, size
from .survey import survey
from .verdict import CAUTIONS, Outcome, Verdict

TWICE = (
    "Two dampers are two brackets, two second retainers and two re-torque dates, and both springs are tuned "
    "on the vehicle; a damper that comes loose or sticks leaves the other one mistuned."
)
ON_TOP = "Where one hangs on the other, the first's bracket, mass and fasteners carry both at every bump."


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
        if not self.pairs:
            return CAUTIONS
        stacked = self.earning is not None and self.earning.found.pair.stacked
        return (*CAUTIONS, TWICE, *([ON_TOP] if stacked else []))


def several(case: Case, progress: Progress = quiet) -> Several:
    """Size two dampers every way, and hold them against one of the same weight.

    progress  called with a few words before each long step

    >>> from ..model.example import small_case
    >>> found = several(small_case())
    >>> [pair.found.pair.kind for pair in found.pairs], found.earning is None
    (['one on the other', 'side by side'], False)
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
    each = []
    for pair in pairs:
        progress(f"asking the same plausible vehicles: two dampers {pair.pair.kind}")
        each.append(judged_pair(one, bounds, pair, found, many, alone))
    each.sort(key=lambda pair: (not pair.earns, *_order(pair.found)))
    off = single_off(one, bounds, found)
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


def equal_single(found: Several, most: float = 3.0) -> float | None:
    """How heavy one damper at the best place would have to be to do as well as the pair that earns its
    bracket [kg], whatever the ratings say; None where none earns it, or where it would be more than `most`
    times as heavy.

    most  [-]
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
    bounds = replace(found.bounds, mass=mass, ratings=False)
    best = size(found.host, bounds)
    assert best is not None  # nothing but the mass bounds what hangs there
    return single_left(found.host, bounds, best)
