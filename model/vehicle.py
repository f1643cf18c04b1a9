"""What a vehicle is: parts between points, and the axles that meet the road."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from .faults import nearest
from .frame import Frame
from .parts import Part
from .points import Point, Row, judged


@dataclass(frozen=True)
class Axle:
    """What the road needs to know of an axle; rates are of the whole axle, both sides.

    name, station [m], road (the coordinate of the height under it), tyre_rate [N/m], tyre_damping [N s/m],
    circumference [m] rolling and contact_length [m] (None: not known), wheels (hubs) and tyres on it
    """

    name: str
    station: float
    road: str
    tyre_rate: float
    tyre_damping: float
    circumference: float | None
    contact_length: float | None
    wheels: int
    tyres: int
    driven: bool


@dataclass(frozen=True)
class Vehicle:
    """Parts between points, ready to be assembled.

    kind         quarter, half or bending
    coordinates  what moves, (n,) names
    roads        heights of the road under the axles, (r,) names
    parts        springs, dampers and masses
    points       by name; the watched ones are where the shake is judged
    axles        in order of station
    components   (label, row over coordinates): axles, bounce, pitch, bending, bodies; what modes are named
        after
    frame        the sprung body
    """

    kind: str
    coordinates: tuple[str, ...]
    roads: tuple[str, ...]
    parts: tuple[Part, ...]
    points: Mapping[str, Point]
    axles: tuple[Axle, ...]
    components: tuple[tuple[str, Row], ...]
    frame: Frame

    @property
    def watched(self) -> tuple[Point, ...]:
        """The points whose shake is told."""
        return tuple(p for p in self.points.values() if p.watched)

    @property
    def judged(self) -> tuple[Point, ...]:
        """The points whose shake decides: those of the watched ones where a person's weighting is given."""
        return judged(self.watched)

    @property
    def total_mass(self) -> float:
        """Mass that a lift of the whole vehicle moves [kg]."""
        lift = self.lift()
        return float(
            sum(
                p.value * sum(share * lift[c] for c, share in p.row.items()) ** 2
                for p in self.parts
                if p.kind == "mass"
            )
        )

    def lift(self) -> dict[str, float]:
        """Coordinates [m, or none] after the whole vehicle rises by one metre."""
        rotating = {
            c for c in self.coordinates if c.endswith(".pitch") or c == "pitch" or c.startswith("bend ")
        }
        return {c: 0.0 if c in rotating else 1.0 for c in self.coordinates}

    def point(self, name: str) -> Point:
        """A named point; KeyError with the nearest name otherwise."""
        if name not in self.points:
            raise KeyError(f"no point {name!r}; {nearest(name, self.points) or ', '.join(self.points)}")
        return self.points[name]
