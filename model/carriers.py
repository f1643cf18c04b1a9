"""What points ride on, and how everything follows when it moves."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from .plan import Plan
from .points import Point, Row


@dataclass(frozen=True)
class Carrier:
    """Something that points ride on: the rows of its rise and of its slope at a station [m]."""

    rise: Callable[[float], Row]
    slope: Callable[[float], Row]


def following(
    coordinate: str, plan: Plan, carriers: Mapping[str, Carrier], points: Mapping[str, Point]
) -> Row:
    """One unit of a frame coordinate with everything that stands on the frame going along."""
    moved = Row({coordinate: 1.0})
    for body in (b for b in plan.bodies if b.mounts):
        station, base = points[body.name].station, carriers[body.on]
        moved[f"body.{body.name}"] = _motion(base.rise(station), moved)
        if body.rotates:
            moved[f"body.{body.name}.pitch"] = _motion(base.slope(station), moved)
    for point in (p for p in plan.points if p.soft):
        base = carriers[point.on]
        moved[f"point.{point.name}"] = _motion(base.rise(points[point.name].station), moved)
    return moved


def _motion(row: Mapping[str, Any], coordinates: Mapping[str, Any]) -> Any:
    return sum(share * coordinates.get(c, 0.0) for c, share in row.items())
