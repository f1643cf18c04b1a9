"""One vehicle, studied: from its plan and numbers to the best damper and what it does."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..model.case import Case
from ..model.doubt import frequency_doubt, frequency_spread
from ..model.modes import Modes, modes
from ..model.observations import pace_of
from ..model.points import Point
from ..model.response import Dynamics, Sweep, dynamics, sweep
from ..model.road import Input, inputs
from ..model.settle import settled
from ..model.speeds import CriticalSpeed, critical_speeds
from ..model.vehicle import Vehicle
from .absorber import road_host, with_damper
from .before_after import Comparison, compare
from .closed_form import Optimum, den_hartog
from .limits import Bounds, Place
from .ratings import RatingCheck, axle_loads, heaviest, load_change, rating_checks
from .search import Found, best_damper
from .target import Target, target

Floats = NDArray[np.float64]
Progress = Callable[[str], None]

BAND_POINTS, REST_POINTS, SHOWN_POINTS = 33, 90, 181
HEARD = (
    0.03  # a cause below this share of the level, everywhere, is left out of the search (not of the answer)
)
AGREES = 1e-6  # coupling against re-assembly


def quiet(_: str) -> None:
    """Progress that nobody reads.

    >>> quiet("looking for critical speeds")
    """


@dataclass(frozen=True)
class Host:
    """A vehicle with all that the road asks of it: what every later question starts from.

    doubt     what each uncertain number does to ln f, half a 95 % width [-], (modes,)
    spread    all of it together, half the 95 % width of ln f, (modes,) [-]
    critical  worst first
    loads     load on the ground under each axle [kg]
    """

    case: Case
    vehicle: Vehicle
    modes: Modes
    doubt: Mapping[str, Floats]
    spread: Floats
    causes: tuple[Input, ...]
    ready: Dynamics
    critical: tuple[CriticalSpeed, ...]
    sweep: Sweep
    target: Target | None
    loads: Mapping[str, float]

    @property
    def places(self) -> tuple[str, ...]:
        """Names of the points where a damper may hang."""
        given = tuple(p for p in self.case.limits.places if p in self.vehicle.points)
        ends = tuple(p for p in ("body", "front end", "rear end") if p in self.vehicle.points)
        return given or ends


@dataclass(frozen=True)
class Sized:
    """The best damper of a host and what it does.

    found        the search's answer by coupling
    comparison   before, after and ballast, re-assembled
    agreement    relative difference of the band's largest level, coupled against re-assembled [-]
    closed_form  where a textbook would start: Den Hartog on the mode's effective mass at the place
    checks       every rating, before and after
    loads        load on the ground under each axle with the damper on [kg]
    """

    found: Found
    comparison: Comparison
    agreement: float
    closed_form: Optimum | None
    checks: tuple[RatingCheck, ...]
    loads: Mapping[str, float]


def host(case: Case, progress: Progress = quiet) -> Host:
    """Modes, inputs, critical speeds and the complaint's target of a case.

    >>> from ..model.example import small_case
    >>> one = host(small_case())
    >>> one.target.critical.mode_name, round(one.target.critical.speed, 2), one.places
    ('body pitch', 7.24, ('rear end',))
    """
    progress("building the vehicle")
    vehicle = settled(case.plan, case.numbers)
    found = modes(vehicle)
    doubt = frequency_doubt(case.plan, case.numbers, vehicle, found)
    spread = frequency_spread(doubt, len(found.undamped), case.numbers)
    causes = inputs(case.roads, vehicle, case.speeds[0])
    ready = dynamics(vehicle)
    complaint = case.complaint.speed if case.complaint else None
    progress("looking for critical speeds")
    critical = critical_speeds(ready, found, causes, vehicle.judged, case.speeds, complaint)
    shown = sweep(ready, causes, np.linspace(*case.speeds, SHOWN_POINTS), vehicle.watched)
    aim = _target(case, critical, spread)
    return Host(
        case, vehicle, found, doubt, spread, causes, ready, critical, shown, aim, axle_loads(case, vehicle)
    )


def told(one: Host, case: Case) -> Host:
    """The same vehicle, and something else told of it: what was looked at and tried, how fast it shakes.

    >>> from dataclasses import replace
    >>> from ..model.example import small_case
    >>> one = host(small_case())
    >>> told(one, replace(one.case, observations=())).target == one.target
    True
    """
    return replace(one, case=case, target=_target(case, one.critical, one.spread))


def _target(case: Case, critical: Sequence[CriticalSpeed], spread: Floats) -> Target | None:
    seen = pace_of(case.observations)
    complaint = case.complaint.speed if case.complaint else None
    return target(critical, spread, complaint, seen.per_second if seen else None)


def size(
    one: Host, bounds: Bounds, names: Sequence[str] | None = None, progress: Progress = quiet
) -> Found | None:
    """The best damper of a host within bounds, over its places or over other named points.

    >>> from ..model.example import small_case
    >>> best = size(host(small_case()), Bounds(20.0, stroke=0.02))
    >>> round(best.damper.mass, 2), round(best.damper.tuned_hz, 2), round(best.reduction, 2)
    (20.0, 2.97, 0.63)
    """
    assert one.target is not None
    places = [place_of(one, one.vehicle.points[name], bounds) for name in names or one.places]
    return best_damper(places, bounds, one.target.critical.frequency, progress)


def allowed_mass(one: Host, name: str, cap: float) -> float:
    """The largest weight [kg] up to `cap` [kg] that the ratings allow at a named point.

    >>> from ..model.example import small_case
    >>> round(allowed_mass(host(small_case()), "rear end", 60.0), 2)     # the axle's rating
    33.33
    """
    shares = load_change(one.ready.system, one.vehicle.points[name].row, 1.0)
    return heaviest(one.case, one.loads, shares, cap, name)


def place_of(one: Host, point: Point, bounds: Bounds) -> Place:
    """A point of a host, prepared for any number of dampers.

    >>> from ..model.example import small_case
    >>> one = host(small_case())
    >>> place = place_of(one, one.vehicle.points["rear end"], Bounds(60.0))
    >>> place.name, round(place.heaviest, 2), len(place.band.speeds)
    ('rear end', 33.33, 33)
    """
    assert one.target is not None
    band, causes = one.target.band, loud(one)
    rest = np.linspace(*one.case.speeds, REST_POINTS)
    rest = rest[(rest < band[0]) | (rest > band[1])]
    inside = np.linspace(*band, BAND_POINTS)
    deciding = one.vehicle.judged
    return Place(
        point.name,
        road_host(one.ready, causes, inside, deciding, point),
        road_host(one.ready, causes, rest, deciding, point),
        allowed_mass(one, point.name, bounds.mass) if bounds.ratings else np.inf,
    )


def loud(one: Host) -> tuple[Input, ...]:
    """The causes that are heard at some speed: those that a search has to carry along.

    >>> from ..model.example import small_case
    >>> [cause.name for cause in loud(host(small_case()))]
    ['wheel order 1, front axle', 'wheel order 1, rear axle']
    """
    total = np.maximum(one.sweep.total(), 1e-12)
    share = (one.sweep.typical / total).max(axis=(1, 2))
    return tuple(c for c, s in zip(one.sweep.inputs, share, strict=True) if s >= HEARD)


def judged(one: Host, found: Found) -> Sized:
    """Re-assemble the winner, compare before, after and ballast, and check every rating.

    >>> from ..model.example import small_case
    >>> one = host(small_case())
    >>> sized = judged(one, size(one, Bounds(20.0, stroke=0.02)))
    >>> round(sized.comparison.reduction, 2), round(sized.loads["rear"], 3), sized.agreement < AGREES
    (0.63, 2730.0, True)
    """
    assert one.target is not None
    hung, band = found.damper, one.target.band
    grid = [np.linspace(*one.case.speeds, SHOWN_POINTS), np.linspace(*band, BAND_POINTS)]
    speeds = np.unique(np.concatenate(grid))
    comparison = compare(one.vehicle, hung, one.causes, speeds, band, one.ready, one.case.limits.worth)
    agreement = _agreement(one, found)
    point = one.vehicle.points[hung.place]
    added = load_change(one.ready.system, point.row, hung.mass)
    after = {name: load + more for (name, load), more in zip(one.loads.items(), added.tolist(), strict=True)}
    checks = rating_checks(one.case, one.loads, after, hung.place)
    return Sized(found, comparison, agreement, _closed_form(one, found), checks, after)


def _agreement(one: Host, found: Found) -> float:
    """The winner coupled against the winner assembled, over the band and the causes that were searched."""
    assert one.target is not None
    inside = np.linspace(*one.target.band, BAND_POINTS)
    assembled = dynamics(with_damper(one.vehicle, found.damper))
    level = sweep(assembled, loud(one), inside, one.vehicle.judged).total().max()
    difference = abs(float(level) / found.level - 1)
    if difference > AGREES:
        raise ArithmeticError(f"coupled and assembled dampers differ by {difference:.1e}; please report this")
    return difference


def _closed_form(one: Host, found: Found) -> Optimum | None:
    """Den Hartog's design for the mode as a single mass; None outside its range."""
    assert one.target is not None
    place = one.vehicle.points[found.damper.place]
    effective = one.modes.effective_mass(place.row)[one.target.critical.mode]
    try:
        return den_hartog(float(found.damper.mass / effective))
    except ValueError:
        return None
