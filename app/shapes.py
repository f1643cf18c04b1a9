"""A vehicle from the side, at rest and in a mode: lines, boxes and wheels in metres, not yet drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..model.plan import BodyPlan
from ..model.points import Row
from ..model.road import HIGHEST
from ..sizing.assess import Assessment

Floats = NDArray[np.float64]

MOST_SHAPES = 6
LARGEST_MOTION = 0.34  # [m] on the drawing: shapes are exaggerated to this
USUAL_RADIUS = 0.40  # [m] of a wheel whose circumference is not known
FRAME_HEIGHT = 1.15  # [m] of the frame above the ground, in the drawing
BODY_HEIGHT, BODY_LENGTH = 0.85, 1.3  # [m] of a body on mounts
GAP = 0.4  # [m] of its mounts
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
    """A body seen from the side.

    station             of its middle [m]
    length, height      [m]
    foot                [m] above the ground at rest
    rise, slope         in the mode [m], [-]
    base, base_rise     what it stands on: height at rest and rise in the mode [m]
    rigid               rides without mounts
    """

    name: str
    station: float
    length: float
    height: float
    foot: float
    rise: float
    slope: float
    base: float
    base_rise: float
    rigid: bool

    @property
    def near(self) -> float:
        """Height [m] of its side that its mounts reach, at rest."""
        return self.foot if self.foot >= self.base else self.foot + self.height


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

    @property
    def ends(self) -> tuple[float, float]:
        """Stations [m] that the picture must reach to."""
        boxes = [b.station + side * b.length / 2 for b in self.boxes for side in (-1, 1)]
        wheels = [w.station + side * w.radius for w in self.wheels for side in (-1, 1)]
        reach = [*self.stations[[0, -1]].tolist(), *boxes, *wheels]
        return min(reach) - 0.3, max(reach) + 0.3

    @property
    def top(self) -> float:
        """Height [m] that the picture must reach to, in any of the modes."""
        return LARGEST_MOTION + 0.1 + max([self.height + 0.2, *(b.foot + b.height for b in self.boxes)])


def shown_modes(a: Assessment) -> list[int]:
    """The first modes below 25 Hz, as many as fit; the one that the answer is about is always there."""
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
        tuple(replace(w, rise=w.rise * scale) for w in wheels),
        tuple(
            replace(b, rise=b.rise * scale, slope=b.slope * scale, base_rise=b.base_rise * scale)
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
    """Bodies on mounts as boxes above what they stand on, bodies that ride rigidly as small blocks."""
    vehicle, boxes = a.host.vehicle, dict[str, Box]()
    for body in a.case.plan.bodies:
        point, under = vehicle.points[body.name], boxes.get(body.on)
        base, smaller = (FRAME_HEIGHT, 1.0) if under is None else (under.foot, 0.4)
        length, height = (_length(a, body), BODY_HEIGHT) if body.mounts else (LUMP, LUMP)
        carried = vehicle.frame.row(point.station) if under is None else vehicle.points[body.on].row
        foot = _foot(point.station, length * smaller, base, smaller, boxes, body)
        boxes[body.name] = Box(
            body.name,
            point.station,
            length * smaller,
            height * smaller / (2 if foot < base else 1),
            foot,
            _motion(point.row, shape),
            _motion(_slope(a, body.name, point.station), shape),
            base,
            _motion(carried, shape),
            not body.mounts,
        )
    return list(boxes.values())


def _foot(
    station: float, length: float, base: float, size: float, boxes: dict[str, Box], body: BodyPlan
) -> float:
    """Above what it stands on; below it where a body listed before stands there already."""
    if not body.mounts:
        return base
    others = [b for b in boxes.values() if not b.rigid and b.base == base]
    crowded = any(abs(b.station - station) < (b.length + length) / 2 for b in others)
    return base - (0.5 * GAP + BODY_HEIGHT / 2) * size if crowded else base + GAP * size


def _length(a: Assessment, body: BodyPlan) -> float:
    """As long as its mounts are apart, and no shorter than a cab."""
    paths = [f"body.{body.name}.mount.{mount.index}.station" for mount in body.mounts]
    if a.host.vehicle.kind == "quarter" or len(paths) < 2:
        return BODY_LENGTH
    stations = [float(a.case.numbers[path]) for path in paths]
    return max(BODY_LENGTH, max(stations) - min(stations) + 0.3)


def _slope(a: Assessment, body: str, station: float) -> Row:
    own = f"body.{body}.pitch"
    if own in a.host.vehicle.coordinates:
        return Row({own: 1.0})
    return Row() if a.host.vehicle.kind == "quarter" else a.host.vehicle.frame.slope(station)


# --- lines ----------------------------------------------------------------------------------------------

Line = tuple[Floats, Floats]  # stations and heights [m]


@dataclass(frozen=True)
class Outline:
    """What to draw of a side view: lines of stations and heights [m]; `lumps` are filled."""

    frame: Line
    wheels: list[Line]
    springs: list[Line]
    boxes: list[Line]
    lumps: list[Line]


def outline(view: SideView, moved: float) -> Outline:
    """The lines of a side view.

    moved  [-] share of the mode's motion: 0 at rest, 1 as drawn
    """
    turn = np.linspace(0, 2 * np.pi, 49)
    wheels = [
        (w.station + w.radius * np.cos(turn), w.radius + moved * w.rise + w.radius * np.sin(turn))
        for w in view.wheels
    ]
    hung = [view.height + moved * float(np.interp(w.station, view.stations, view.rise)) for w in view.wheels]
    springs = [
        _upright(w.station, w.radius + moved * w.rise, top) for w, top in zip(view.wheels, hung, strict=True)
    ]
    springs += [
        _upright(b.station, b.base + moved * b.base_rise, b.near + moved * b.rise)
        for b in view.boxes
        if not b.rigid
    ]
    boxes = [_corners(b, moved) for b in view.boxes if not b.rigid]
    lumps = [_corners(b, moved) for b in view.boxes if b.rigid]
    return Outline((view.stations, view.height + moved * view.rise), wheels, springs, boxes, lumps)


def _upright(station: float, low: float, high: float) -> Line:
    return np.array([station, station]), np.array([low, high])


def _corners(box: Box, moved: float) -> Line:
    """A closed line around a body; it turns as far as its slope says."""
    along = box.length / 2 * np.array([-1, 1, 1, -1, -1])
    up = np.array([0, 0, 1, 1, 0]) * box.height
    slope = moved * box.slope
    return box.station + along - slope * up, box.foot + moved * box.rise + slope * along + up
