"""The numbers that a plan cannot do without; a fault for each that nobody gave and no rule can estimate."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from ..numbers import Missing, Numbers
from ..plan import LAW_NUMBERS, AxlePlan, BodyPlan, Plan, PointPlan
from .facts import numbers_of
from .key_faults import Finding, example_of
from .lines import Key
from .plans import plan_of
from .schema import CaseFile

# Facts that rules ask for, and the key that gives them
WRITTEN_AS = {
    "tyre_width": "tyre", "tyre_aspect": "tyre", "rim_diameter": "tyre", "tyre_diameter": "tyre",
    "sprung_load": "load",
}  # fmt: skip


def needed_paths(plan: Plan, wheels: bool) -> Iterator[str]:
    """Paths of the numbers that the vehicle of a plan asks for; `wheels`: and its wheel orders."""
    quarter = plan.kind == "quarter"
    for axle in plan.axles:
        names = ["spring_rate", "damping"] + ([] if quarter else ["station"])
        if not axle.massless:
            names += ["unsprung_mass", "tyre_rate", "tyre_damping"] + (["circumference"] if wheels else [])
        yield from (f"axle.{axle.name}.{name}" for name in [*names, *_of_laws(plan, axle)])
    yield "vehicle.sprung_mass"
    if not quarter:
        yield from ("vehicle.centre_of_gravity", "vehicle.pitch_inertia", "frame.front_end", "frame.rear_end")
    if plan.kind == "bending":
        numbers = range(1, plan.segments + 1)
        yield from (f"frame.segment.{n}.bending_stiffness" for n in numbers)
        yield from ([] if plan.segments else ["frame.bending_stiffness"])
    for body in plan.bodies:
        yield from _of_body(body, quarter)
    turning = ["frame", *(body.name for body in plan.bodies if body.rotates)]
    for point in plan.points:
        yield from _of_point(point, not quarter and point.on in turning)


def _of_laws(plan: Plan, axle: AxlePlan) -> Iterator[str]:
    for law in plan.laws:
        if law != "leaf friction" or axle.springing == "leaf":
            yield from LAW_NUMBERS[law]


def _of_body(body: BodyPlan, quarter: bool) -> Iterator[str]:
    yield f"body.{body.name}.mass"
    if not quarter:
        yield f"body.{body.name}.station"
        if len(body.mounts) > 1:
            yield from (f"body.{body.name}.mount.{mount.index}.station" for mount in body.mounts)
        yield from [f"body.{body.name}.pitch_inertia"] if body.rotates else []
        yield from [f"body.{body.name}.length"] if body.bends else []
    yield from (f"body.{body.name}.mount.{mount.index}.rate" for mount in body.mounts)


def _of_point(point: PointPlan, somewhere: bool) -> Iterator[str]:
    if somewhere:
        yield f"point.{point.name}.station"
    if point.direction == "fore-aft":
        yield f"point.{point.name}.height"


def missing_numbers(file: CaseFile) -> Iterator[Finding]:
    """A finding for each number that is neither given nor can be estimated."""
    numbers = numbers_of(file)
    seen: set[Key] = set()
    for asked in _asked(file):
        try:
            with np.errstate(all="ignore"):
                numbers[asked]
        except ArithmeticError:  # it is known, and impossible
            continue
        except Missing as missing:
            found = _missing(missing, asked, file)
            if found.key not in seen:
                seen.add(found.key)
                yield found


def impossible_numbers(file: CaseFile) -> Iterator[Finding]:
    """A finding for each number that is known, but cannot be: no finite one, or no more than nothing."""
    numbers = numbers_of(file)
    for asked in _asked(file):
        value = _value(numbers, asked)
        positive = asked.endswith(("_mass", "_inertia", "_rate", "stiffness"))
        massless = asked.endswith("unsprung_mass") and value == 0
        if not math.isfinite(value) or (positive and value <= 0 and not massless):
            possible = "more than nothing" if positive else "finite"
            wanted = f"the numbers given lead to this; it must be {possible}"
            yield Finding(key_of(asked, file), f"{value:.4g}", wanted)


def _value(numbers: Numbers, path: str) -> float:
    try:
        with np.errstate(all="ignore"):
            return float(numbers[path])
    except ArithmeticError:
        return math.nan


def _asked(file: CaseFile) -> Iterator[str]:
    return needed_paths(plan_of(file), file.inputs.wheel_orders != [])


def _missing(missing: Missing, asked: str, file: CaseFile) -> Finding:
    head, _, last = missing.path.rpartition(".")
    key = key_of(f"{head}.{WRITTEN_AS.get(last, last)}", file)
    if "circle" in missing.because:
        return Finding(key, "", f"needed; estimates go round in a {missing.because}", example=example_of(key))
    wanted = "needed, and neither given nor to be estimated"
    if missing.path != asked:
        wanted = f"needed to estimate {asked}: give one of the two"
    if asked.endswith("circumference"):
        wanted += ", or inputs.wheel_orders = [] to leave wheels out"
    return Finding(key, "", wanted, example=example_of(key))


def key_of(path: str, file: CaseFile) -> Key:
    """The key of a case file that gives the number at a path.

    Items of lists are found by their names; "body.cab.mount.0.rate" is ("body", 0, "mounts", 0, "rate").
    """
    head, *rest = path.split(".")
    if head in ("body", "point", "spring", "damper", "mass") and rest:
        names = [item.name for item in getattr(file, head)]
        index = names.index(rest[0]) if rest[0] in names else 0
        mounts = rest[1:2] == ["mount"] and len(rest) > 2
        return (head, index, "mounts", int(rest[2]), *rest[3:]) if mounts else (head, index, *rest[1:])
    if head == "frame" and rest[:1] == ["segment"]:
        return ("frame", "along", int(rest[1]) - 1, *rest[2:])
    return (head, *rest)
