"""A vehicle from the side, at rest and in a mode: lines, boxes and wheels in metres, not yet drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..model.points import Row
from ..model.response import HIGHEST
from ..sizing.assess import Assessment

Floats = NDArray[np.float64]

MOST_SHAPES = 6
LARGEST_MOTION = 0.34  # [m] on the drawing: shapes are exaggerated to this
USUAL_RADIUS = 0.40  # [m] of a wheel whose circumference is not known
FRAME_HEIGHT = 1.15  # [m] of the frame above the ground, in the drawing
BODY_HEIGHT, BODY_LENGTH = 0.85, 1.3  # [m] of a body on mounts
LUMP = 0.22  # [m] side of a body that rides rigidly


@dataclass(frozen=True)
class Wheel:
    """An axle's wheel: station, radius, and its rise in the mode [m]."""

    name: str
    station: float
    radius: float
    rise: float


@dataclass(frozen=True)
class Box:
    """A body: the station of its middle, its length, height and foot above the ground, its rise [m] and slope [-]."""

    name: str
    station: float
    length: float
    height: float
    foot: float
    rise: float
    slope: float
    rigid: bool


@dataclass(frozen=True)
class SideView:
    """One mode seen from the side; the same without motion is the vehicle at rest.

    index     of the mode
    stations  [m] along the frame (S,), `rise` of the frame there [m] (S,)
    height    [m] of the frame above the ground at rest
    """

    index: int
    name: str
    stations: Floats
    rise: Floats
    wheels: tuple[Wheel, ...]
    boxes: tuple[Box, ...]
    height: float = FRAME_HEIGHT


def shown_modes(a: Assessment) -> list[int]:
    """The first modes below 25 Hz, as many as fit a page; the one that the answer is about is always there."""
    heard = [i for i, f in enumerate(a.host.modes.frequency_hz) if f <= HIGHEST]
    first = heard[:MOST_SHAPES]
    aim = a.host.target.critical.mode if a.host.target else None
    if aim is not None and aim not in first and first:
        first[-1] = aim
    return first


def side_view(a: Assessment, mode: int) -> SideView:
    """A mode from the side, its largest motion upwards and as large as the drawing allows."""
    frame, found = a.host.vehicle.frame, a.host.modes
    shape = dict(zip(found.coordinates, found.shapes[:, mode].tolist(), strict=True))
    stations = np.linspace(frame.front, frame.rear, 61)
    rise = np.array([_motion(frame.row(x), shape) for x in stations])
    wheels = _wheels(a, shape)
    boxes = _boxes(a, shape)
    moves = [*rise, *(w.rise for w in wheels), *(b.rise for b in boxes)]
    scale = LARGEST_MOTION / max(moves, key=abs)
    return SideView(
        mode,
        found.names[mode],
        stations,
        rise * scale,
        tuple(Wheel(w.name, w.station, w.radius, w.rise * scale) for w in wheels),
        tuple(
            Box(b.name, b.station, b.length, b.height, b.foot, b.rise * scale, b.slope * scale, b.rigid)
            for b in boxes
        ),
    )


def _motion(row: Mapping[str, float], shape: Mapping[str, float]) -> float:
    return float(sum(share * shape.get(coordinate, 0.0) for coordinate, share in row.items()))


def _wheels(a: Assessment, shape: Mapping[str, float]) -> list[Wheel]:
    return [
        Wheel(
            axle.name,
            axle.station,
            axle.circumference / (2 * np.pi) if axle.circumference else USUAL_RADIUS,
            shape.get(f"axle.{axle.name}", 0.0),
        )
        for axle in a.host.vehicle.axles
    ]


def _boxes(a: Assessment, shape: Mapping[str, float]) -> list[Box]:
    """Bodies on mounts as boxes above the frame, bodies that ride rigidly as small blocks on it."""
    boxes: dict[str, Box] = {}
    for body in a.case.plan.bodies:
        point = a.host.vehicle.points[body.name]
        foot = FRAME_HEIGHT + 0.12
        if body.on in boxes:  # it stands in another body
            foot = boxes[body.on].foot + 0.2
        size = (BODY_LENGTH, BODY_HEIGHT) if body.mounts else (LUMP, LUMP)
        if body.on in boxes:
            size = size[0] / 2.5, size[1] / 2.5
        slope = _motion(_slope(a, body.name, point.station), shape)
        boxes[body.name] = Box(
            body.name, point.station, *size, foot, _motion(point.row, shape), slope, not body.mounts
        )
    return list(boxes.values())


def _slope(a: Assessment, body: str, station: float) -> Row:
    own = f"body.{body}.pitch"
    if own in a.host.vehicle.coordinates:
        return Row({own: 1.0})
    mounted = f"body.{body}" in a.host.vehicle.coordinates
    return Row() if mounted or a.host.vehicle.kind == "quarter" else a.host.vehicle.frame.slope(station)
