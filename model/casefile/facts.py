"""What a case file says, as the numbers beside its plan.

Facts that are no numbers (kind of spring, tyre size, number of tyres) become numbers too, so that rules can
ask for them by path: yes is 1.0, no is 0.0.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any, cast

from pydantic import BaseModel

from ..estimates import RULES
from ..mount_estimates import mount_rules
from ..numbers import Known, Numbers, Origin, Rule
from ..tyres import parse_size
from ..units import Reading, Wants
from .kinds import Quantity
from .plans import axle_plan, axles_in_order, kind_of, plan_of
from .schema import CaseFile

SPREAD: Mapping[str, float] = {
    "measured": 0.02,
    "published": 0.05,
    "estimated": 0.20,
    "assumed": 0.20,
    "calibrated": 0.05,
}  # shares
SHIFT: Mapping[str, float] = {
    "measured": 0.010,
    "published": 0.020,
    "estimated": 0.020,
    "assumed": 0.020,
    "calibrated": 0.010,
}  # [m]
NO_ORIGIN = "stated in the case, origin not given"
STATED = "stated in the case"
RATING = "stated in the case, taken as the plate's"


def numbers_of(file: CaseFile) -> Numbers:
    """What is given, with origin and spread, and the rules for the rest."""
    given: dict[str, Known] = {}
    for name in axles_in_order(file):
        given |= _axle_numbers(name, file)
    given |= _vehicle_numbers(file)
    for path, reading, wants in _readings_of_parts(file):
        given[path] = known(reading, wants, file.exact)
    if kind_of(file) == "quarter":
        given |= {
            f"body.{body.name}.station": _fact(0.0, "a quarter vehicle has one station") for body in file.body
        }
    return Numbers(given, {**RULES, **_own_rules(file), **_mount_rules(file, given)})


def _mount_rules(file: CaseFile, given: Mapping[str, Known]) -> dict[str, Rule]:
    """What the mountings say of what is not given; a mount loses by its damping or by its loss factor."""
    bodies, other = plan_of(file).bodies, {"damping": "loss_factor", "loss_factor": "damping"}
    rules = {path: rule for body in bodies for path, rule in mount_rules(body, bodies).items()}
    said = {f"{head}.{other[last]}" for head, _, last in (p.rpartition(".") for p in given) if last in other}
    return {path: rule for path, rule in rules.items() if path not in said}


def rated(reading: Reading, wants: Wants) -> Known:
    """A rating: what the plate says is what holds."""
    source = reading.source if reading.origin else RATING
    return Known(reading.value, reading.half or 0.0, "published", source, wants.law, wants.unit)


def known(reading: Reading, wants: Wants, exact: bool) -> Known:
    """A reading with the spread of its origin, where none is written; `exact`: without one."""
    origin = reading.origin or "assumed"
    half = reading.half
    if half is None:
        half = (
            0.0 if exact else SHIFT[origin] if wants.law == "shift" else SPREAD[origin] * abs(reading.value)
        )
    source = reading.source if reading.origin else NO_ORIGIN
    return Known(reading.value, half, cast(Origin, origin), source, wants.law, wants.unit)


def _fact(value: float, source: str = STATED, origin: Origin = "published", unit: str = "") -> Known:
    return Known(value, 0.0, origin, source, "shift", unit)


def readings(table: BaseModel) -> Iterator[tuple[str, Reading, Wants]]:
    """Every quantity written in a table and the tables in it: dotted path, reading, what was wanted."""
    for name, info in type(table).model_fields.items():
        value = getattr(table, name)
        if isinstance(value, BaseModel):
            yield from ((f"{name}.{path}", reading, wants) for path, reading, wants in readings(value))
        elif isinstance(value, Reading):
            wanted = [meta.wants for meta in info.metadata if isinstance(meta, Quantity)]
            yield info.alias or name, value, wanted[0]


def _readings_of_parts(file: CaseFile) -> Iterator[tuple[str, Reading, Wants]]:
    """Bodies, points and links, each under its name."""
    named: list[tuple[str, Any]] = [
        (kind, item) for kind in ("body", "point", "spring", "damper", "mass") for item in getattr(file, kind)
    ]
    for kind, item in named:
        yield from ((f"{kind}.{item.name}.{path}", *rest) for path, *rest in readings(item))  # type: ignore[misc]
    for body in file.body:
        for index, mount in enumerate(body.mounts):
            prefix = f"body.{body.name}.mount.{index}"
            yield from ((f"{prefix}.{path}", reading, wants) for path, reading, wants in readings(mount))


def _axle_numbers(name: str, file: CaseFile) -> dict[str, Known]:
    axle, prefix = file.axle[name], f"axle.{name}"
    given = {
        f"{prefix}.{path}": rated(reading, wants)
        if path.endswith(("rating", "rated_pressure"))
        else known(reading, wants, file.exact)
        for path, reading, wants in readings(axle)
    }
    first = name == axles_in_order(file)[0]
    if first and (axle.station is None or (axle.station.value == 0 and axle.station.half is None)):
        given[f"{prefix}.station"] = _fact(0.0, "stations are counted from the first axle", unit="m")
    plan = axle_plan(name, axle)
    yes_or_no = {f"is_{kind}": plan.springing == kind for kind in ("leaf", "coil", "air")}
    yes_or_no |= {"driven": axle.driven, "massless": axle.massless, "is_front": first}
    yes_or_no |= {"is_solid": axle.type == "solid"} if axle.type else {}
    given |= {f"{prefix}.{fact}": _fact(float(so)) for fact, so in yes_or_no.items()}
    given[f"{prefix}.tyres"] = _fact(float(axle.tyres))
    if axle.massless:
        given[f"{prefix}.unsprung_mass"] = _fact(0.0, "massless", unit="kg")
    return given | _tyre_numbers(prefix, axle.tyre)


def _tyre_numbers(prefix: str, tyre: str | None) -> dict[str, Known]:
    if tyre is None:
        return {}
    size = parse_size(tyre)
    facts = {
        "tyre_width": (size.width, "m"),
        "tyre_aspect": (size.aspect, ""),
        "rim_diameter": (size.rim, "m"),
        "tyre_diameter": (size.diameter, "m"),
    }
    return {
        f"{prefix}.{fact}": _fact(value, f"tyre size {tyre}", unit=unit)
        for fact, (value, unit) in facts.items()
    }


def _vehicle_numbers(file: CaseFile) -> dict[str, Known]:
    given = {f"vehicle.{path}": known(r, wants, file.exact) for path, r, wants in readings(file.vehicle)}
    given["vehicle.axles"] = _fact(float(len(file.axle)))
    for path, reading, wants in readings(file.limits):
        if path == "gross_rating":
            given["vehicle.gross_rating"] = rated(reading, wants)
    if file.frame:
        given |= {f"frame.{path}": known(r, wants, file.exact) for path, r, wants in readings(file.frame)}
        for number, segment in enumerate(file.frame.along, 1):
            prefix = f"frame.segment.{number}"
            given |= {f"{prefix}.{path}": known(r, wants, file.exact) for path, r, wants in readings(segment)}
    return given


def _own_rules(file: CaseFile) -> dict[str, Rule]:
    """Rules that hold for this file alone: what was written in one way and is asked for in another."""
    order, rules = axles_in_order(file), {}
    vehicle, frame = file.vehicle, file.frame
    first, last = f"axle.{order[0]}.station", f"axle.{order[-1]}.station"
    if vehicle.wheelbase is None and file.axle[order[-1]].station is not None:
        rules["vehicle.wheelbase"] = Rule(lambda n, _: n[last] - n[first], 0.0, "stations of the axles")
    written = vehicle.radius_of_gyration or vehicle.dynamic_index
    if written:
        source = written.source if written.origin else NO_ORIGIN
        origin = cast(Origin, written.origin or "assumed")
        rules["vehicle.pitch_inertia"] = replace(RULES["vehicle.pitch_inertia"], source=source, origin=origin)
    if frame and frame.along:
        end = f"frame.segment.{len(frame.along)}.to"
        rules[end] = Rule(lambda n, _: n["frame.rear_end"], 0.0, "the frame's rear end")
    return rules


def units_written(table: BaseModel) -> Iterator[str]:
    """The units that the person wrote, all of them."""
    for name in type(table).model_fields:
        yield from _units_in(getattr(table, name))


def _units_in(value: object) -> Iterator[str]:
    if isinstance(value, Reading):
        yield value.unit_written
    elif isinstance(value, BaseModel):
        yield from units_written(value)
    elif isinstance(value, dict | list):
        for item in value.values() if isinstance(value, dict) else value:
            yield from _units_in(item)
