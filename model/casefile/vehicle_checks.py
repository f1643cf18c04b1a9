"""What the vehicle in a case file says against itself: contradictions, and names that are not there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import Any

from ..comfort import CONTACTS
from ..faults import nearest
from ..units import Reading, shorten
from .key_faults import Finding
from .lines import Key
from .plans import axles_in_order, kind_of, plan_of
from .schema import CaseFile
from .vehicle_keys import AxleTable, PointTable

SAME_PLACE = 1e-3  # [m]


def vehicle_findings(file: CaseFile) -> Iterator[Finding]:
    """All contradictions of the vehicle, of a file whose keys were read."""
    for check in (_model, _frame, _axles, _stations, _load_sharing, _names, _points, _links):
        yield from check(file)


# --- names ----------------------------------------------------------------------------------------------


def carriers(file: CaseFile) -> list[str]:
    """What a point can be on."""
    axles = [f"axle.{name}" for name, axle in file.axle.items() if not axle.massless]
    return ["frame", *(body.name for body in file.body), *axles]


def places(file: CaseFile) -> list[str]:
    """All points that can be referred to by name."""
    ends = ["body"] if kind_of(file) == "quarter" else ["front end", "rear end"]
    return [*ends, *carriers(file)[1:], *(point.name for point in file.point)]


def unknown(key: Key, name: str, known: Iterable[str], what: str) -> Iterator[Finding]:
    """A finding where `name` is none of those known."""
    listed = list(dict.fromkeys(known))
    if name not in listed:
        near = nearest(name, listed) or next((one for one in listed if one == f"axle.{name}"), "")
        yield Finding(key, shorten(name), f"no such {what}; there are {', '.join(listed[:20])}", near)


def _names(file: CaseFile) -> Iterator[Finding]:
    reserved = {"frame", "ground", "front end", "rear end", "body"}
    used = Counter([*(b.name for b in file.body), *(p.name for p in file.point)])
    items: Any
    for kind, items in (("body", file.body), ("point", file.point)):
        for index, item in enumerate(items):
            if item.name in reserved:
                yield Finding(
                    (kind, index, "name"), shorten(item.name), "this name is taken: it is always there"
                )
            elif used[item.name] > 1:
                yield Finding(
                    (kind, index, "name"), shorten(item.name), "bodies and points need names of their own"
                )
    links: Any
    for kind, links in (("spring", file.spring), ("damper", file.damper), ("mass", file.mass)):
        times = Counter(link.name for link in links)
        for index, link in enumerate(links):
            if times[link.name] > 1:
                yield Finding(
                    (kind, index, "name"), shorten(link.name), f"each {kind} needs a name of its own"
                )


# --- the vehicle ----------------------------------------------------------------------------------------


def _model(file: CaseFile) -> Iterator[Finding]:
    kind, vehicle, key = kind_of(file), file.vehicle, ("vehicle", "model")
    count = len(file.axle)
    if kind == "quarter" and count != 1:
        yield Finding(key, '"quarter"', f"a quarter vehicle has one axle, not {count}", others=(("axle",),))
    if kind != "quarter" and count == 1:
        wanted = f'model "{kind}" needs two axles or more; with one it is "quarter"'
        yield Finding(key, shorten(kind), wanted, others=(("axle",),))
    if kind == "quarter" and file.frame is not None:
        yield Finding(("frame",), "", "a quarter vehicle has no frame: leave [frame] out", others=(key,))
    if vehicle.model == "bending" and vehicle.separate_frame is False:
        wanted = 'model "bending" is a body on a separate frame: leave one of the two out'
        yield Finding(("vehicle", "separate_frame"), "false", wanted, others=(key,))
    yield from only_one(file.vehicle, ("vehicle",), "pitch_inertia", "radius_of_gyration", "dynamic_index")


def only_one(table: object, key: Key, *names: str) -> Iterator[Finding]:
    """A finding for each of these keys of a table but the first that is given."""
    given = [name for name in names if getattr(table, name)]
    for name in given[1:]:
        wanted = f"{given[0]} is given already: give one of {', '.join(names)}"
        yield Finding((*key, name), "", wanted, others=((*key, given[0]),))


def _frame(file: CaseFile) -> Iterator[Finding]:
    frame = file.frame
    if frame is None:
        return
    yield from only_one(frame, ("frame",), "bending_stiffness", "rail", "free_free", "along")
    last = -1e9
    for index, segment in enumerate(frame.along):
        key: Key = ("frame", "along", index, "to")
        end = index == len(frame.along) - 1
        if isinstance(segment.to, Reading):
            if end:
                yield Finding(
                    key, metres(segment.to), "the last length of frame goes to its end", example='to = "end"'
                )
            elif segment.to.value <= last:
                yield Finding(key, metres(segment.to), "lengths of frame follow each other, front to rear")
            last = segment.to.value
        elif not end:
            yield Finding(
                key, '"end"', "only the last length of frame goes to its end", example='to = "1.5 m"'
            )
    rail = frame.rail
    if rail and not (
        2 * rail.thickness.value < rail.height.value and rail.thickness.value < rail.flange.value
    ):
        key = ("frame", "rail", "thickness")
        yield Finding(key, metres(rail.thickness), "thinner than half the height, and than the flange")


def metres(reading: Reading) -> str:
    """A length, as a fault shows it."""
    return f"{reading.value:g} m"


def _axles(file: CaseFile) -> Iterator[Finding]:
    for name, axle in file.axle.items():
        key: Key = ("axle", name)
        yield from _massless(key, axle)
        yield from only_one(axle, key, "tyre_damping", "tyre_loss_factor")
        yield from _tyre_ratings(axle, key)
        if axle.air and axle.spring not in (None, "air"):
            yield Finding((*key, "air"), "", f'its spring is "{axle.spring}"', others=((*key, "spring"),))
        if axle.load and axle.unsprung_mass and axle.unsprung_mass.value >= axle.load.value:
            given = f"{axle.unsprung_mass.value:g} kg"
            wanted = f"less than the load of {axle.load.value:g} kg, which includes it"
            yield Finding((*key, "unsprung_mass"), given, wanted, others=((*key, "load"),))


def _tyre_ratings(axle: AxleTable, key: Key) -> Iterator[Finding]:
    if axle.dual_rating and axle.tyres != 4:
        wanted = "tyre_rating in its place: the axle has single wheels (tyres = 4 for dual ones)"
        yield Finding((*key, "dual_rating"), "", wanted, others=((*key, "tyres"),))
    if axle.rated_pressure and not (axle.tyre_rating or axle.dual_rating):
        wanted = "tyre_rating beside it: what a tyre may carry at this pressure"
        yield Finding((*key, "rated_pressure"), "", wanted, example='tyre_rating = "1450 kg"')


def _massless(key: Key, axle: AxleTable) -> Iterator[Finding]:
    tyre_keys = (
        "unsprung_mass", "tyre", "pressure", "tyre_rate", "tyre_damping", "tyre_loss_factor", "tyre_rating",
        "dual_rating", "rated_pressure",
    )  # fmt: skip
    for name in tyre_keys if axle.massless else ():
        if getattr(axle, name) is not None:
            wanted = "a massless axle has neither tyres nor unsprung mass: leave it out, or massless"
            yield Finding((*key, name), "", wanted, others=((*key, "massless"),))


def _stations(file: CaseFile) -> Iterator[Finding]:
    order, wheelbase = axles_in_order(file), file.vehicle.wheelbase
    stations = [(name, file.axle[name].station) for name in order]
    given = [(name, station) for name, station in stations if station is not None]
    for (before, one), (name, other) in pairwise(given):
        if other.value - one.value < SAME_PLACE:
            wanted, neighbour = f"behind axle {before}, at {metres(one)}", ("axle", before, "station")
            yield Finding(("axle", name, "station"), metres(other), wanted, others=(neighbour,))
    if wheelbase is None or len(order) < 2:
        return
    (first, start), (last, end) = stations[0], stations[-1]
    begins = start.value if start else 0.0
    span = end.value - begins if end else wheelbase.value
    to_blame, others = ("axle", last, "station"), (("vehicle", "wheelbase"), ("axle", first, "station"))
    if abs(span - wheelbase.value) > SAME_PLACE:
        wanted = f"the wheelbase says {metres(wheelbase)}, the stations {span:g} m: give one of the two"
        yield Finding(to_blame, f"{begins + span:g} m", wanted, others=others)
    elif abs(begins) > SAME_PLACE and end is None:
        wanted = "with a wheelbase the first axle stands at 0: give the stations instead"
        yield Finding(("axle", first, "station"), f"{begins:g} m", wanted, others=others)


def _load_sharing(file: CaseFile) -> Iterator[Finding]:
    seen: set[str] = set()
    springs = [name for name, axle in file.axle.items() if not axle.massless]
    for index, pair in enumerate(file.vehicle.load_sharing):
        key: Key = ("vehicle", "load_sharing", index)
        if len(pair) != 2 or pair[0] == pair[-1]:
            yield Finding(key, shorten(pair), "two different axles", example='["rear 1", "rear 2"]')
        for name in pair:
            yield from unknown(key, name, springs, "axle with tyres")
            if name in seen:
                yield Finding(key, shorten(name), "an axle shares its load with one other")
        seen |= set(pair)


def _points(file: CaseFile) -> Iterator[Finding]:
    known = carriers(file)
    bodies = plan_of(file).bodies
    turning = ["frame", *(body.name for body in bodies if body.rotates or not body.mounts)]
    for index, point in enumerate(file.point):
        key: Key = ("point", index)
        yield from unknown((*key, "on"), point.on, known, "body or axle")
        still = kind_of(file) == "quarter" or point.on not in turning
        if point.direction == "fore-aft" and still and point.on in known:
            wanted = "fore-aft comes from pitch, and what it is on does not pitch"
            yield Finding((*key, "direction"), '"fore-aft"', wanted, others=((*key, "on"),))
        yield from _point_pairs(key, point)


def _point_pairs(key: Key, point: PointTable) -> Iterator[Finding]:
    if (point.bracket_rate is None) != (point.bracket_mass is None):
        there, absent = (
            ("bracket_rate", "bracket_mass") if point.bracket_rate else ("bracket_mass", "bracket_rate")
        )
        example = 'bracket_mass = "4 kg"' if absent == "bracket_mass" else 'bracket_rate = "0.25 MN/m"'
        yield Finding((*key, there), "", f"it needs {absent} beside it", example=example)
    if point.height is not None and point.direction == "vertical":
        yield Finding(
            (*key, "height"), "", 'height is for direction = "fore-aft"', others=((*key, "direction"),)
        )
    weightings = {kind for (_, along), (kind, _) in CONTACTS.items() if along == point.direction}
    if point.weighting not in {"none", *weightings}:
        wanted = f"what a person feels {point.direction}: none, {' or '.join(sorted(weightings))}"
        yield Finding((*key, "weighting"), f'"{point.weighting}"', wanted, others=((*key, "direction"),))


def _links(file: CaseFile) -> Iterator[Finding]:
    known = places(file)
    links: Any
    for kind, links in (("spring", file.spring), ("damper", file.damper)):
        for index, link in enumerate(links):
            yield from unknown((kind, index, "upper"), link.upper, known, "point")
            yield from unknown((kind, index, "lower"), link.lower, [*known, "ground"], "point")
            if link.upper == link.lower:
                yield Finding((kind, index, "lower"), shorten(link.lower), "a point other than the upper one")
    for index, mass in enumerate(file.mass):
        yield from unknown(("mass", index, "at"), mass.at, known, "point")
