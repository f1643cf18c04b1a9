"""A plan and its numbers in, the parts between the points out.

One sprung body carries everything: with one shape it is a quarter vehicle, with two a rigid half
vehicle, with more a half vehicle on a bending frame.  Each axle counts with both of its sides.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from .bending import stretches
from .carriers import Carrier, following
from .distribution import LineMass, line_mass, sprung_frame
from .faults import CounterbounceError, Fault, nearest
from .numbers import Numbers
from .parts import Part, damper, mass, spring
from .plan import AxlePlan, BodyPlan, Plan, PointPlan
from .points import Point, Row, at
from .vehicle import Axle, Vehicle

RIGID_TERMS = {"quarter": 1, "half": 2}
SPRUNG = "vehicle.sprung_mass"
LINK_NUMBERS = {"spring": "rate", "damper": "damping", "mass": "mass"}


def build(plan: Plan, numbers: Numbers, terms: int = 9) -> Vehicle:
    """The vehicle of a plan; `terms` shapes where its frame bends.

    Raises CounterbounceError where the numbers contradict each other: listed bodies heavier than the sprung
    mass, a mass distribution that would have to be negative, a name that is not there, a coordinate
    without mass.
    """
    builder = _Builder(plan, numbers, RIGID_TERMS.get(plan.kind, terms))
    builder.add_axles()
    builder.add_bodies()
    builder.add_sprung_mass()
    builder.add_bending()
    builder.add_points()
    builder.add_links()
    builder.refuse_massless()
    return builder.vehicle()


@dataclass
class _Builder:
    plan: Plan
    numbers: Numbers
    terms: int
    parts: list[Part] = field(default_factory=list)
    coordinates: list[str] = field(default_factory=list)
    components: list[tuple[str, Row]] = field(default_factory=list)
    axles: list[Axle] = field(default_factory=list)
    carriers: dict[str, Carrier] = field(default_factory=dict)
    points: dict[str, Point] = field(default_factory=dict)
    body_components: list[tuple[str, Row]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.frame = sprung_frame(self.plan, self.numbers, self.terms)
        self.carriers["frame"] = Carrier(self.frame.row, self.frame.slope)
        self.coordinates += self.frame.coordinates

    # --- axles ------------------------------------------------------------------------------------------

    def add_axles(self) -> None:
        for axle in self.plan.axles:
            self._add_axle(axle)
        for pair in self.plan.load_sharing:
            self._share_load(*pair)
        self.components = [
            (f"{a.name} axle hop", at(f"axle.{a.name}")) for a in self.plan.axles if not a.massless
        ]

    def _add_axle(self, axle: AxlePlan) -> None:
        path, coordinate, road = f"axle.{axle.name}", f"axle.{axle.name}", f"road.{axle.name}"
        station = self.numbers[f"{path}.station"] if self.plan.kind != "quarter" else 0.0
        on_frame, stands_on = self.frame.row(station), at(road) if axle.massless else at(coordinate)
        shared = any(axle.name in pair for pair in self.plan.load_sharing)
        rate, damping = self.numbers[f"{path}.spring_rate"], self.numbers[f"{path}.damping"]
        if not shared:
            self.parts.append(
                spring(f"{axle.name} spring", rate, on_frame, stands_on, path=f"{path}.spring_rate")
            )
        self.parts.append(damper(f"{axle.name} shock", damping, on_frame, stands_on, path=f"{path}.damping"))
        tyre_rate, tyre_damping = rate, damping
        if not axle.massless:
            tyre_rate, tyre_damping = self.numbers[f"{path}.tyre_rate"], self.numbers[f"{path}.tyre_damping"]
            hub, tyres = at(coordinate), f"{axle.name} tyres"
            unsprung = f"{path}.unsprung_mass"
            self.parts.append(mass(f"{axle.name} axle", self.numbers[unsprung], hub, path=unsprung))
            self.parts.append(spring(tyres, tyre_rate, hub, at(road), path=f"{path}.tyre_rate"))
            self.parts.append(damper(tyres, tyre_damping, hub, at(road), path=f"{path}.tyre_damping"))
            self.coordinates.append(coordinate)
            self.carriers[coordinate] = Carrier(lambda _: at(coordinate), lambda _: Row())
            self.points[coordinate] = Point(coordinate, station, at(coordinate))
        self.axles.append(
            Axle(
                axle.name,
                station,
                road,
                tyre_rate,
                tyre_damping,
                self.numbers.optional(f"{path}.circumference"),
                None if axle.massless else self.numbers.optional(f"{path}.contact_length"),
                1 if self.plan.kind == "quarter" else 2,
                axle.tyres,
                axle.driven,
            )
        )

    def _share_load(self, first: str, second: str) -> None:
        """An equaliser: one spring against the mean of both axles, so that both always carry the same."""
        stations = [self.numbers[f"axle.{name}.station"] for name in (first, second)]
        upper = 0.5 * (self.frame.row(stations[0]) + self.frame.row(stations[1]))
        lower = 0.5 * (at(f"axle.{first}") + at(f"axle.{second}"))
        for name in (first, second):
            path = f"axle.{name}.spring_rate"
            rate = self.numbers[path]
            self.parts.append(spring(f"{first} and {second} springs", rate, upper, lower, path=path))

    # --- bodies -----------------------------------------------------------------------------------------

    def add_bodies(self) -> None:
        for body in self.plan.bodies:
            self._add_body(body)

    def _carrier(self, name: str, asked_by: str) -> Carrier:
        if name not in self.carriers:
            raise CounterbounceError([_unknown(asked_by, name, self.carriers)])
        return self.carriers[name]

    def _add_body(self, body: BodyPlan) -> None:
        path, base = f"body.{body.name}", self._carrier(body.on, f"body.{body.name}.on")
        station = self.numbers[f"{path}.station"] if self.plan.kind != "quarter" else 0.0
        rises, turns = base.rise(station), base.slope(station)
        if body.mounts:
            own = f"body.{body.name}"
            self.coordinates.append(own)
            self.body_components.append((f"{body.name} on its mounts", at(own)))
            rises = at(own)
            if body.rotates:
                self.coordinates.append(f"{own}.pitch")
                self.body_components.append((f"{body.name} pitching on its mounts", at(f"{own}.pitch")))
                turns = at(f"{own}.pitch")
        carrier = Carrier(lambda x: rises + (x - station) * turns, lambda _: turns)
        if not body.mounts:
            carrier = base
        self.parts.append(mass(body.name, self.numbers[f"{path}.mass"], rises, path=f"{path}.mass"))
        if body.rotates:
            self.parts.append(
                mass(body.name, self.numbers[f"{path}.pitch_inertia"], turns, path=f"{path}.pitch_inertia")
            )
        for mount in body.mounts:
            self._add_mount(f"{path}.mount.{mount.index}", f"{body.name} mounts", carrier, base, station)
        self.carriers[body.name] = carrier
        self.points[body.name] = Point(body.name, station, rises)

    def _add_mount(self, path: str, name: str, body: Carrier, base: Carrier, middle: float) -> None:
        station = self.numbers[f"{path}.station"] if self.numbers.has(f"{path}.station") else middle
        upper, lower = body.rise(station), base.rise(station)
        loss = self._loss(path)
        self.parts.append(spring(name, self.numbers[f"{path}.rate"], upper, lower, loss, f"{path}.rate"))
        if self.numbers.has(f"{path}.damping"):
            self.parts.append(damper(name, self.numbers[f"{path}.damping"], upper, lower, f"{path}.damping"))

    def _loss(self, path: str) -> Any:
        loss = self.numbers.optional(f"{path}.loss_factor")
        return 0.0 if loss is None else loss

    # --- the sprung body itself --------------------------------------------------------------------------

    def add_sprung_mass(self) -> None:
        rest = line_mass(self.plan, self.numbers, self.frame)
        if self.plan.kind == "bending":
            stations, weights = self.frame.gauss()
            for x, w in zip(np.moveaxis(stations, -1, 0), np.moveaxis(weights, -1, 0), strict=True):
                self.parts.append(mass("sprung mass", w * rest.density(x), self.frame.row(x), path=SPRUNG))
        else:
            self._add_rigid_mass(rest)

    def _add_rigid_mass(self, rest: LineMass) -> None:
        self.parts.append(mass("sprung mass", rest.mass, self.frame.row(rest.centre), path=SPRUNG))
        if self.plan.kind == "half":
            turns = self.frame.slope(rest.centre)
            self.parts.append(mass("sprung pitch inertia", rest.inertia, turns, path="vehicle.pitch_inertia"))

    def add_bending(self) -> None:
        if self.frame.stiffness is None:
            return
        stations, weights = self.frame.gauss()
        loss = self._loss("frame")
        rows = self.frame.curvature_rows()
        for piece in stretches(self.plan, self.numbers):
            values = np.moveaxis(weights * piece.along(stations), -1, 0)
            self.parts += [
                Part("spring", "frame bending", value, row, loss, piece.path)
                for value, row in zip(values, rows, strict=True)
                if np.any(value)
            ]

    # --- points and links --------------------------------------------------------------------------------

    def add_points(self) -> None:
        if self.plan.kind != "quarter":
            for name, x in (("front end", self.frame.front), ("rear end", self.frame.rear)):
                self.points[name] = Point(name, x, self.frame.row(x))
        else:
            self.points["body"] = Point("body", 0.0, self.frame.row(0.0))
        for point in self.plan.points:
            self._add_point(point)
        if not any(p.watched for p in self.points.values()):
            self._watch_the_body()

    def _watch_the_body(self) -> None:
        names = [b.name for b in self.plan.bodies if b.mounts] or ["front end", "rear end", "body"]
        for name in names:
            if name in self.points:
                self.points[name] = replace(self.points[name], watched=True)

    def _add_point(self, point: PointPlan) -> None:
        path, carrier = f"point.{point.name}", self._carrier(point.on, f"point.{point.name}.on")
        given = self.numbers.has(f"{path}.station") and self.plan.kind != "quarter"
        station = self.numbers[f"{path}.station"] if given else self._station_of(point.on)
        row = carrier.rise(station)
        if point.direction == "fore-aft":
            row = self.numbers[f"{path}.height"] * carrier.slope(station)
        if point.soft:
            own = f"point.{point.name}"
            self.coordinates.append(own)
            self.body_components.append((f"{point.name} on its bracket", at(own)))
            self.parts.append(mass(f"{point.name} bracket", self.numbers[f"{path}.bracket_mass"], at(own)))
            self.parts.append(
                spring(f"{point.name} bracket", self.numbers[f"{path}.bracket_rate"], at(own), row)
            )
            row = at(own)
        self.points[point.name] = Point(
            point.name, station, row, point.direction, point.weighting, point.watched
        )

    def _station_of(self, carrier: str) -> float:
        return self.points[carrier].station if carrier in self.points else 0.0

    def add_links(self) -> None:
        for link in self.plan.links:
            upper = self._end(link.upper, link.name)
            lower = self._end(link.lower, link.name) if link.lower else Row()
            path = f"{link.kind}.{link.name}.{LINK_NUMBERS[link.kind]}"
            self.parts.append(Part(link.kind, link.name, self.numbers[path], upper - lower, path=path))

    def _end(self, name: str, asked_by: str) -> Row:
        if name == "ground":
            return Row()
        if name not in self.points:
            raise CounterbounceError([_unknown(asked_by, name, self.points)])
        return self.points[name].row

    # --- the whole ---------------------------------------------------------------------------------------

    def refuse_massless(self) -> None:
        carried = {
            c
            for p in self.parts
            if p.kind == "mass" and not np.any(np.asarray(p.value) <= 0)
            for c in p.row
            if np.any(p.row[c])
        }
        faults = [
            Fault("", None, c, "no mass", "a mass on each thing that moves", example='mass = "40 kg"')
            for c in self.coordinates
            if c not in carried
        ]
        if faults:
            raise CounterbounceError(faults)

    def vehicle(self) -> Vehicle:
        words = ["body"] * 2 + ["frame"] * self.terms
        moved = tuple(
            (f"{word} {c}", following(c, self.plan, self.carriers, self.points))
            for word, c in zip(words, self.frame.coordinates, strict=False)
        )
        return Vehicle(
            self.plan.kind,
            tuple(self.coordinates),
            tuple(a.road for a in self.axles),
            tuple(self.parts),
            self.points,
            tuple(self.axles),
            (*self.components, *moved, *self.body_components),
            self.frame,
        )


def _unknown(key: str, given: str, known: Mapping[str, Any]) -> Fault:
    return Fault("", None, key, given, f"one of {', '.join(known)}", nearest(given, known))
