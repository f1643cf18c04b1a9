"""What the bodies in a case file and their mountings say against themselves."""

from __future__ import annotations

from collections.abc import Iterator

from ..faults import nearest
from ..mount_estimates import mountings_of, preset_of
from ..units import shorten
from .key_faults import Finding
from .lines import Key
from .plans import body_kind, body_plan, kind_of
from .schema import CaseFile
from .vehicle_checks import only_one, unknown
from .vehicle_keys import BodyTable


def body_findings(file: CaseFile) -> Iterator[Finding]:
    """All contradictions of the bodies of a file whose keys were read."""
    names = {body.name: body for body in file.body}
    for index, body in enumerate(file.body):
        key: Key = ("body", index)
        yield from unknown((*key, "on"), body.on, ["frame", *(n for n in names if n != body.name)], "body")
        if _circle(body, names):
            yield Finding((*key, "on"), shorten(body.on), "bodies that stand on each other stand on nothing")
        yield from _mounts(key, body, file)
        yield from _mounting(key, body)
        yield from _sills(key, body)


def _circle(body: BodyTable, names: dict[str, BodyTable]) -> bool:
    seen, here = {body.name}, names.get(body.on)
    while here is not None and here.name not in seen:
        seen.add(here.name)
        here = names.get(here.on)
    return here is not None


def _mounts(key: Key, body: BodyTable, file: CaseFile) -> Iterator[Finding]:
    plan, others = body_plan(body, kind_of(file)), ((*key, "mounts"), (*key, "mounting"))
    if body.pitch_inertia and len(plan.mounts) == 1 and kind_of(file) != "quarter":
        wanted = "a body that pitches needs two mounts; leave it out for one that only rises"
        yield Finding((*key, "pitch_inertia"), "", wanted, others=others)
    if body.pitch_inertia and plan.mounts and kind_of(file) == "quarter":
        yield Finding((*key, "pitch_inertia"), "", "a quarter vehicle does not pitch")
    for number, mount in enumerate(body.mounts):
        yield from only_one(mount, (*key, "mounts", number), "damping", "loss_factor")
    stations = {mount.station.value for mount in body.mounts if mount.station}
    if plan.rotates and len(body.mounts) > 1 and len(stations) == 1:
        yield Finding((*key, "mounts"), "", "a body that pitches needs mounts at two stations")


def _mounting(key: Key, body: BodyTable) -> Iterator[Finding]:
    if body.mounting is None:
        return
    kind, possible = body_kind(body), mountings_of(body_kind(body))
    if preset_of(kind, body.mounting) is None:
        wanted = f"how a {kind} is mounted: {', '.join(possible)} (or another kind than {kind})"
        near = nearest(body.mounting, possible)
        yield Finding((*key, "mounting"), shorten(body.mounting), wanted, near, others=((*key, "kind"),))
    if body.mounting == "rigid" and body.mounts:
        wanted = "no mounts beside it, or another mounting"
        yield Finding((*key, "mounting"), '"rigid"', wanted, others=((*key, "mounts"),))


def _sills(key: Key, body: BodyTable) -> Iterator[Finding]:
    """Sills bend with the frame where a mounting holds them to it along their length."""
    if body.bending_stiffness is None:
        return
    preset = preset_of(body_kind(body), body.mounting) if body.mounting else None
    if body.on != "frame":
        wanted = "none: only a body on the frame stiffens the frame"
        yield Finding((*key, "bending_stiffness"), "", wanted, others=((*key, "on"),))
    elif preset is None or preset.composite is None:
        held = [word for word in mountings_of("body") if getattr(preset_of("body", word), "composite", None)]
        wanted = f"a body whose mounting holds its sills to the frame: {', '.join(held)}"
        others, example = ((*key, "mounting"), (*key, "kind")), f'mounting = "{held[0]}"'
        yield Finding((*key, "bending_stiffness"), "", wanted, example=example, others=others)
