"""What the keys of a case file say against each other: every contradiction, and names that are not there."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from os.path import isfile
from pathlib import Path
from typing import get_args

from ..observations import PACE, PACES, USUAL_PLACE, WEIGHT, Result
from ..roughness import misread
from ..units import display_of, shorten
from .body_checks import body_findings
from .evidence import evidence_findings
from .key_faults import Finding
from .law_checks import law_findings
from .lines import Key
from .plans import kind_of
from .recorded import recording_findings
from .schema import CaseFile, ObservationTable, SpeedTable, WheelTable
from .vehicle_checks import metres, places, unknown, vehicle_findings


def findings(file: CaseFile, folder: Path) -> Iterator[Finding]:
    """All contradictions of a file whose keys were read; files that it names are looked for in a folder."""
    yield from vehicle_findings(file)
    yield from body_findings(file)
    yield from law_findings(file)
    for check in (_speeds, _wheels, _joints, _roughness, _complaint, _observations, _limits):
        yield from check(file)
    yield from _profile(file, folder)
    yield from recording_findings(file)
    yield from evidence_findings(file)


def _band(speed: SpeedTable) -> str:
    """A band of speeds in the unit that it was written in."""
    display = display_of([speed.from_.unit_written, speed.to.unit_written])
    return " to ".join(display.show(reading.value, "speed") for reading in (speed.from_, speed.to))


def _rising(key: Key, speed: SpeedTable | None, equal: bool) -> Iterator[Finding]:
    if speed and (speed.to.value < speed.from_.value or (speed.to.value == speed.from_.value and not equal)):
        given = _band(speed)
        yield Finding(key, given, "from slow to fast")


def _speeds(file: CaseFile) -> Iterator[Finding]:
    yield from _rising(("inputs", "speeds"), file.inputs.speeds, equal=False)


def _wheels(file: CaseFile) -> Iterator[Finding]:
    rolling = [name for name, axle in file.axle.items() if not axle.massless]
    orders = file.inputs.wheel_orders
    seen: set[tuple[str, int]] = set()
    for index, wheel in enumerate(file.inputs.wheel):
        key: Key = ("inputs", "wheel", index)
        yield from unknown((*key, "axle"), wheel.axle, rolling, "axle with tyres")
        yield from _wheel(key, wheel, 1 if kind_of(file) == "quarter" else 2)
        if orders is not None and wheel.order not in orders:
            wanted = f"one of the wheel_orders {orders}"
            yield Finding((*key, "order"), str(wheel.order), wanted, others=(("inputs", "wheel_orders"),))
        if (wheel.axle, wheel.order) in seen:
            yield Finding(key, "", f"order {wheel.order} of axle {wheel.axle} is given already")
        seen.add((wheel.axle, wheel.order))


def _wheel(key: Key, wheel: WheelTable, count: int) -> Iterator[Finding]:
    if wheel.run_out and wheel.force_variation:
        wanted = "run_out or force_variation, not both: one makes the other"
        yield Finding((*key, "force_variation"), "", wanted, others=((*key, "run_out"),))
    if wheel.imbalance and wheel.order != 1:
        wanted = f"imbalance is of order 1 only, not of {wheel.order}"
        yield Finding((*key, "imbalance"), "", wanted, others=((*key, "order"),))
    lists = {name: getattr(wheel, name) for name in ("run_out", "force_variation", "imbalance")}
    if not any(lists.values()):
        yield Finding(
            key, "", "one of run_out, force_variation, imbalance", example='run_out = ["0.8 mm", "0.5 mm"]'
        )
    for name, values in lists.items():
        if values and len(values) != count:
            wanted = (
                "1 value, for a quarter vehicle"
                if count == 1
                else "2 values, left and right; a dual pair is one"
            )
            yield Finding((*key, name), f"{len(values)} values" if len(values) > 1 else "1 value", wanted)


def _joints(file: CaseFile) -> Iterator[Finding]:
    joints, key = file.inputs.joints, ("inputs", "joints")
    if joints is None:
        return
    if (joints.gap_width is None) != (joints.gap_depth is None):
        there = "gap_width" if joints.gap_width else "gap_depth"
        yield Finding((*key, there), "", "a gap has gap_width and gap_depth")
    heights = [r.value for r in (joints.step, joints.curl, joints.gap_depth) if r is not None]
    if not any(heights):
        yield Finding(
            key, "", "at least one of step, curl, gap_width with gap_depth", example='step = "3 mm"'
        )
    if joints.gap_width and joints.gap_width.value >= joints.spacing.value:
        wanted = f"less than the spacing of {metres(joints.spacing)}"
        yield Finding((*key, "gap_width"), metres(joints.gap_width), wanted)


def _roughness(file: CaseFile) -> Iterator[Finding]:
    road, key = file.inputs.roughness, ("inputs", "roughness")
    if road is None:
        return
    given = [name for name in ("class_", "density", "angular_density") if getattr(road, name) is not None]
    if len(given) != 1:
        wanted = "one of class, density (at 0.1 cycle/m) and angular_density (at 1 rad/m)"
        yield Finding(key, "", wanted, example='{ class = "B" }')
    if road.class_ and road.waviness:
        yield Finding((*key, "waviness"), "", "none beside a class, which has 2", others=((*key, "class"),))
    if road.density and (doubt := misread(road.density.value)):
        example = f'angular_density = "{road.density.value:g} m^3"'
        yield Finding((*key, "density"), f"{road.density.value:g} m^3", doubt, example=example)


def _profile(file: CaseFile, folder: Path) -> Iterator[Finding]:
    name = file.inputs.profile
    if name is not None and not isfile(folder / name):
        wanted = "a file, its path from the folder of the case: none is there"
        yield Finding(("inputs", "profile"), shorten(name), wanted, example='"profile.csv"')


def _complaint(file: CaseFile) -> Iterator[Finding]:
    complaint, speeds = file.complaint, file.inputs.speeds
    if complaint is None:
        return
    key: Key = ("complaint", "speed")
    yield from _rising(key, complaint.speed, equal=True)
    if complaint.where is not None:
        yield from unknown(("complaint", "where"), complaint.where, places(file), "point")
    band = complaint.speed
    if not (band and speeds) or speeds.from_.value > speeds.to.value:
        return
    if band.from_.value < speeds.from_.value or band.to.value > speeds.to.value:
        wanted = f"within the speeds looked at, {_band(speeds)}"
        yield Finding(key, _band(band), wanted, others=(("inputs", "speeds"),))


def _observations(file: CaseFile) -> Iterator[Finding]:
    for index, seen in enumerate(file.observation):
        key: Key = ("observation", index)
        yield from _rising((*key, "speed"), seen.speed, equal=True)
        yield from _now_felt(key, seen, file)
        yield from _pace(key, seen)
        if seen.at is not None:
            yield from unknown((*key, "at"), seen.at, places(file), "point")
        for name in ("mass", "at"):
            if seen.change != WEIGHT and getattr(seen, name) is not None:
                wanted, hangs_on = f'{name} belongs to the change "{WEIGHT}" only', ((*key, "change"),)
                yield Finding((*key, name), "", wanted, others=hangs_on)
        if seen.change == WEIGHT and seen.at is None and USUAL_PLACE not in places(file):
            yield Finding(
                key, "", "where the weight was put: this vehicle has no rear end", example='at = "body"'
            )


def _now_felt(key: Key, seen: ObservationTable, file: CaseFile) -> Iterator[Finding]:
    """Speeds that contradict what the shake is said to have done."""
    if seen.speed is None:
        return
    given, speed = _band(seen.speed), (*key, "speed")
    if seen.result in ("stayed", "vanished"):
        wanted = f"no other speed: a shake that {seen.result} is not felt at one"
        yield Finding(speed, given, wanted, others=((*key, "result"),))
    felt = file.complaint.speed if file.complaint else None
    if seen.result == "moved" and felt and given == _band(felt):
        wanted = "another speed than the complaint's: it has moved"
        yield Finding(speed, given, wanted, others=((*key, "result"), ("complaint", "speed")))


def _pace(key: Key, seen: ObservationTable) -> Iterator[Finding]:
    """Words of how fast it shakes where something was changed, and the other way round."""
    hangs_on = ((*key, "change"),)
    words = [name for name in get_args(Result) if (name in PACES) == (seen.change == PACE)]
    if seen.result not in words:
        wanted = f"of {seen.change}, one of {', '.join(words)}"
        yield Finding((*key, "result"), seen.result, wanted, example=f'"{words[0]}"', others=hangs_on)
    if seen.frequency is None:
        return
    if seen.change != PACE:
        yield Finding(
            (*key, "frequency"), "", f'frequency belongs to the change "{PACE}" only', others=hangs_on
        )
    elif seen.result in PACES and not PACES[seen.result][0] <= seen.frequency.value <= PACES[seen.result][1]:
        low, high = PACES[seen.result]
        most = f"to {high:g}" if isfinite(high) else "or more"
        given, wanted = f"{seen.frequency.value:g} Hz", f"{low:g} {most} in a second, for a shake that is "
        yield Finding((*key, "frequency"), given, f"{wanted}{seen.result}", others=((*key, "result"),))


def _limits(file: CaseFile) -> Iterator[Finding]:
    if file.limits.centre_of_gravity_height:
        yield from _heights(file)
    for index, place in enumerate(file.limits.places):
        yield from unknown(("limits", "places", index), place, places(file), "point")


def _heights(file: CaseFile) -> Iterator[Finding]:
    """How high everything sits that moves the centre of gravity; what was weighed is in the vehicle's own."""
    limit, hangs_on = "centre_of_gravity_height", (("limits", "centre_of_gravity_height"),)
    if file.vehicle.centre_of_gravity_height is None:
        wanted = f"vehicle.{limit} beside it: how high it lies now"
        yield Finding(("limits", limit), "", wanted, example='centre_of_gravity_height = "1.2 m"')
    for index, body in enumerate(file.body):
        if not body.included and body.above_ground is None:
            wanted = f"needed for limits.{limit}: the body was not weighed"
            example = 'above_ground = "1.4 m"'
            yield Finding(("body", index, "above_ground"), "", wanted, example=example, others=hangs_on)
