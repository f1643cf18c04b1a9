"""Which mode, met by what, each datum may be of: every reading that the spreads of the numbers allow."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, product

import numpy as np
from numpy.typing import NDArray

from .case import Case
from .datum import OF_AN_AXLE, Datum
from .doubt import frequency_doubt, frequency_spread
from .faults import CounterbounceError, Fault, nearest
from .modes import Modes, modes
from .numbers import NORMAL_95
from .predicted import assurance
from .response import dynamics
from .road import HIGHEST, inputs
from .score_fit import Meets
from .settle import settled
from .speeds import CriticalSpeed, critical_speeds
from .vehicle import Vehicle

Floats = NDArray[np.float64]

REACH = 3.5  # standard deviations between a mode and what may be of it
FAMILIAR = 0.03  # of a frequency: how near is near enough however exact all is [-]
MOST_EACH, MOST = 4, 24  # readings of one shake, and of all together
WIDER = 1.5  # than the speeds of the case: what may move into them
LOUD = 0.1  # of the loudest: what is met more quietly is nobody's complaint [-]


class Unexplained(CounterbounceError):
    """Data that no mode comes near: `groups`, each by what it is called."""

    def __init__(self, faults: Sequence[Fault], groups: Sequence[str]) -> None:
        super().__init__(faults)
        self.groups = tuple(groups)


@dataclass(frozen=True)
class Meaning:
    """One way to read the data: the mode of each group, and what each critical speed is made by, by its place
    among the data."""

    modes: Mapping[str, int]
    meets: Mapping[int, Meets]


@dataclass(frozen=True)
class Ground:
    """The best estimate before any datum: where every reading starts.

    spread    half the 95 % width of ln f, per mode [-]
    critical  over somewhat more than the speeds of the case, worst first
    """

    case: Case
    vehicle: Vehicle
    modes: Modes
    spread: Floats
    critical: tuple[CriticalSpeed, ...]


@dataclass(frozen=True)
class _Choice:
    """A mode for a group of data, and what meets it."""

    mode: int
    off: float
    met: CriticalSpeed | None = None


def ground(case: Case, speeds: bool = True) -> Ground:
    """The best estimate of a case, with its modes and how surely they are known.

    speeds  whether critical speeds are asked for

    >>> from .example import small_case
    >>> ground(small_case()).modes.names[0]
    'body bounce'
    """
    vehicle = settled(case.plan, case.numbers)
    found = modes(vehicle)
    doubt = frequency_doubt(case.plan, case.numbers, vehicle, found)
    spread = frequency_spread(doubt, len(found.undamped), case.numbers)
    return Ground(case, vehicle, found, spread, met_by(case, vehicle, found) if speeds else ())


def met_by(case: Case, vehicle: Vehicle, found: Modes) -> tuple[CriticalSpeed, ...]:
    """Critical speeds of known level over somewhat more than the speeds of a case.

    >>> from .example import small_case, small_truck
    >>> [one.cause.name for one in met_by(small_case(), small_truck(), modes(small_truck()))][:1]
    ['wheel order 1, rear axle']
    """
    low, high = case.speeds[0] / WIDER, case.speeds[1] * WIDER
    causes = inputs(case.roads, vehicle, low)
    met = critical_speeds(dynamics(vehicle), found, causes, vehicle.judged, (low, high))
    return tuple(one for one in met if one.typical is not None)


def meanings(start: Ground, data: Sequence[Datum]) -> tuple[Meaning, ...]:
    """Every reading of the data, at most 24, the nearest to the best estimate first.

    Raises CounterbounceError for a mode, cause, point or axle that is not there, and Unexplained for a datum
    that no mode comes near, or no mode that another has not taken.

    >>> from .example import small_case
    >>> told = meanings(ground(small_case()), [Datum("natural frequency", 2.9, 0.1)])
    >>> [dict(one.modes) for one in told]
    [{'natural frequency': 1}]
    """
    faults = list(_faults(start, data))
    if faults:
        raise CounterbounceError(faults)
    groups = list(dict.fromkeys(d.group for d in data if d.what not in OF_AN_AXLE))
    choices = [_choices(start, [d for d in data if d.group == group]) for group in groups]
    lost = [group for group, found in zip(groups, choices, strict=True) if not found]
    if lost:
        raise Unexplained([_no_mode(start, group) for group in lost], lost)
    ways = sorted(islice(product(*choices), 4096), key=lambda way: sum(one.off**2 for one in way))
    told = (_meaning(data, groups, way) for way in ways if _distinct(data, groups, way))
    found = tuple(islice(told, MOST))
    if not found:
        wanted = "a mode of its own for each: these shakes of one recording come near the same one only"
        raise Unexplained([Fault(str(start.case.path), None, ", ".join(groups), "", wanted)], groups)
    return found


def _choices(start: Ground, group: Sequence[Datum]) -> list[_Choice]:
    """Modes that a group of data may be of, nearest first."""
    below = np.flatnonzero(start.modes.frequency_hz <= HIGHEST)
    named = next((d.mode for d in group if d.mode is not None), None)
    if named is not None:
        below = np.array([_index(start, named)])
    speeds = [d for d in group if d.what == "critical speed"]
    found = []
    for mode in below.tolist():
        still = sum(_off(start, datum, mode) ** 2 for datum in group if datum.what != "critical speed")
        for met in _met(start, speeds, mode) if speeds else [None]:
            more = 0.0 if met is None else sum(_off(start, datum, mode, met) ** 2 for datum in speeds)
            found.append(_Choice(mode, float(np.sqrt((still + more) / len(group))), met))
    near = [one for one in found if one.off <= REACH or named is not None]
    return sorted(near, key=lambda one: one.off)[:MOST_EACH]


def _met(start: Ground, speeds: Sequence[Datum], mode: int) -> list[CriticalSpeed]:
    """What may meet a mode: the causes that are named, else the loudest of each kind and order."""
    causes = {datum.cause for datum in speeds if datum.cause}
    own = [c for c in start.critical if c.mode == mode and (not causes or c.cause.name in causes)]
    if causes:
        return own
    loudest = max((c.typical or 0.0 for c in start.critical), default=0.0)
    alike: dict[tuple[str, float], CriticalSpeed] = {}
    for one in own:  # worst first
        if (one.typical or 0.0) >= LOUD * loudest:
            alike.setdefault((one.cause.kind, one.cause.order), one)
    return list(alike.values())


def _off(start: Ground, datum: Datum, mode: int, met: CriticalSpeed | None = None) -> float:
    """How far a mode lies from a datum, in standard deviations of what is known of both [-]."""
    if datum.what == "shape":
        said = [start.modes.shape_at(start.vehicle.points[name].row)[mode] for name in datum.shape]
        return 3 * float(np.sqrt(1 - assurance(datum.shape, said)))
    if datum.what not in ("natural frequency", "critical speed"):
        return 0.0
    told = met.speed if met else float(start.modes.frequency_hz[mode])
    known = np.hypot(np.log1p(datum.half / datum.value), start.spread[mode]) / NORMAL_95
    return float(abs(np.log(datum.value / told)) / np.hypot(known, FAMILIAR))


def _distinct(data: Sequence[Datum], groups: Sequence[str], way: Sequence[_Choice]) -> bool:
    """Whether no two shakes of one recording, or of one condition, are taken for the same mode."""
    first = {group: next(d for d in data if d.group == group) for group in groups}
    said = [(first[g].recording, first[g].condition, one.mode) for g, one in zip(groups, way, strict=True)
            if first[g].what == "natural frequency" and first[g].mode is None]  # fmt: skip
    return len(set(said)) == len(said)


def _meaning(data: Sequence[Datum], groups: Sequence[str], way: Sequence[_Choice]) -> Meaning:
    by_group = dict(zip(groups, way, strict=True))
    meets = {
        i: meets_of(by_group[datum.group].met)
        for i, datum in enumerate(data)
        if datum.what == "critical speed"
    }
    return Meaning({group: one.mode for group, one in by_group.items()}, meets)


def meets_of(met: CriticalSpeed | None) -> Meets:
    """What makes a critical speed, with its peak over its coincidence.

    >>> from .example import small_case
    >>> meets_of(ground(small_case()).critical[0]).cause
    'wheel order 1, rear axle'
    """
    assert met is not None
    return Meets(
        met.cause.name, met.cause.per_metre, met.cause.order, met.cause.axle, met.speed / met.coincidence
    )


# --- faults -------------------------------------------------------------------------------------------------


def _index(start: Ground, named: str | int) -> int:
    names = start.modes.names
    if isinstance(named, int):
        return named
    alike = [i for i, name in enumerate(names) if named in name]
    return names.index(named) if named in names else alike[0]


def _faults(start: Ground, data: Sequence[Datum]) -> Iterator[Fault]:
    names, points = start.modes.names, start.vehicle.points
    axles = [axle.name for axle in start.vehicle.axles]
    causes = [one.cause.name for one in start.critical]
    for datum in data:
        told = datum.mode if isinstance(datum.mode, str) else names[0]
        if told not in names and sum(told in name for name in names) != 1:
            yield _unknown(start, datum, told, "mode", names)
        if isinstance(datum.mode, int) and not 0 <= datum.mode < len(names):
            yield _unknown(start, datum, str(datum.mode), "mode", [str(i) for i in range(len(names))])
        for point in (*datum.shape, *([datum.point] if datum.point else [])):
            if point not in points:
                yield _unknown(start, datum, point, "point", list(points))
        if datum.axle is not None and datum.axle not in axles:
            yield _unknown(start, datum, datum.axle, "axle", axles)
        if datum.cause is not None and datum.cause not in causes:
            yield _unknown(start, datum, datum.cause, "cause", list(dict.fromkeys(causes)))


def _unknown(start: Ground, datum: Datum, given: str, kind: str, known: Sequence[str]) -> Fault:
    wanted = f"a {kind} of this vehicle: one of"
    near = nearest(given, known)
    return Fault(
        str(start.case.path), None, f"{datum.what}.{kind}", given, wanted, near, choices=tuple(known)
    )


def _no_mode(start: Ground, group: str) -> Fault:
    near = ", ".join(
        f"{name} {f:.3g} Hz"
        for name, f in zip(start.modes.names, start.modes.frequency_hz, strict=True)
        if f <= HIGHEST
    )
    wanted = f"a mode that the numbers and their spreads allow there; there are {near}"
    return Fault(str(start.case.path), None, group, "", wanted)
