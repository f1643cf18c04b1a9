"""What a case file says is there, as a plan: its axles, bodies, points and links, without their numbers."""

from __future__ import annotations

from dataclasses import replace
from typing import cast, get_args

from ..mount_estimates import preset_mounts, preset_of
from ..plan import (
    AxlePlan,
    BodyKind,
    BodyPlan,
    FrameSource,
    LinkPlan,
    ModelKind,
    MountPlan,
    Plan,
    PointPlan,
)
from .schema import CaseFile
from .vehicle_keys import AxleTable, BodyTable


def plan_of(file: CaseFile) -> Plan:
    """The vehicle of a case file, without its numbers."""
    source, segments = _frame_source(file)
    return Plan(
        kind=kind_of(file),
        axles=tuple(axle_plan(name, file.axle[name]) for name in axles_in_order(file)),
        bodies=tuple(body_plan(body, kind_of(file)) for body in file.body),
        points=tuple(
            PointPlan(p.name, p.on, p.direction, p.weighting, p.watch, p.bracket_rate is not None)
            for p in file.point
        ),
        links=(
            *(LinkPlan("spring", s.name, s.upper, s.lower) for s in file.spring),
            *(LinkPlan("damper", d.name, d.upper, d.lower) for d in file.damper),
            *(LinkPlan("mass", m.name, m.at) for m in file.mass),
        ),
        frame_source=source,
        segments=segments,
        load_sharing=tuple((pair[0], pair[1]) for pair in file.vehicle.load_sharing if len(pair) == 2),
        stiffness_known=_stiffness_known(file),
        laws=tuple(dict.fromkeys(file.vehicle.laws)),
    )


def kind_of(file: CaseFile) -> ModelKind:
    """The model asked for; else quarter for one axle, bending for a body on a frame, half for a shell."""
    if file.vehicle.model is not None:
        return file.vehicle.model
    if len(file.axle) == 1:
        return "quarter"
    separate = file.vehicle.separate_frame
    return "bending" if (file.frame is not None if separate is None else separate) else "half"


def axles_in_order(file: CaseFile) -> list[str]:
    """Names front to rear: by station; where one has none as written, but "front" first and "rear" last."""

    def place(name: str) -> tuple[int, float]:
        station, word = file.axle[name].station, name.casefold()
        if all(axle.station is not None for axle in file.axle.values()):
            return 0, station.value if station else 0.0
        return 0 if word.startswith("front") else 2 if word.startswith("rear") else 1, 0.0

    return sorted(file.axle, key=place)


def axle_plan(name: str, axle: AxleTable) -> AxlePlan:
    """One axle without its numbers."""
    springing = axle.spring or ("air" if axle.air else "other")
    return AxlePlan(
        name, springing, axle.massless, axle.tyre, axle.tyres, axle.driven, axle.type or "unknown"
    )


def body_plan(body: BodyTable, model: ModelKind) -> BodyPlan:
    """One body without its numbers; a mounting fills in the mounts where none are listed."""
    kind, flat = body_kind(body), model == "quarter"
    preset = preset_of(kind, body.mounting) if body.mounting else None
    bends = bool(preset and preset.composite and body.bending_stiffness)
    turns, mounting = body.pitch_inertia is not None, body.mounting if preset else None
    plan = BodyPlan(body.name, body.on, (), turns, body.included, kind, mounting, bends)
    usual = preset_mounts(plan)[: 1 if flat else None]
    mounts = tuple(MountPlan(index) for index in range(len(body.mounts or usual)))
    turns = turns or (mounting is not None and len(mounts) > 1 and not flat)
    return replace(plan, mounts=mounts, rotates=turns)


def body_kind(body: BodyTable) -> BodyKind:
    """What a body is: as it says, else as it is called, else a body."""
    called = body.name.casefold()
    return body.kind or (cast(BodyKind, called) if called in get_args(BodyKind) else "body")


def _frame_source(file: CaseFile) -> tuple[FrameSource, int]:
    frame = file.frame
    if frame is None:
        return "assumed", 0
    if frame.along:
        return "along", len(frame.along)
    if frame.bending_stiffness:
        return "stiffness", 0
    return ("rail", 0) if frame.rail else ("free_free", 0) if frame.free_free else ("assumed", 0)


def _stiffness_known(file: CaseFile) -> bool:
    """Measured or published (in a textbook: given); a rail's section leaves out what is bolted to it."""
    frame = file.frame
    if frame is None:
        return False
    given = [segment.bending_stiffness for segment in frame.along]
    given += [frame.bending_stiffness] if frame.bending_stiffness else []
    given += [frame.free_free.frequency] if frame.free_free else []
    measured = file.calibrated is not None and not file.calibrated.felt
    origins = ("measured", "published", *(["calibrated"] if measured else []))
    known = [file.exact or reading.origin in origins for reading in given]
    return bool(known) and all(known)
