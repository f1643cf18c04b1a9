"""The sprung frame, and how the mass that is not listed as bodies lies along it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from .faults import CounterbounceError, Fault
from .frame import Frame
from .numbers import Numbers
from .plan import Plan


@dataclass(frozen=True)
class LineMass:
    """A quadratic line density matched to mass, centre of gravity and pitch inertia.

    mass [kg], centre [m], inertia [kg m^2] about the centre; over a frame from front to rear [m]

    >>> uniform = LineMass(600.0, 3.0, 600.0 * 6.0**2 / 12, 0.0, 6.0)
    >>> [round(uniform.density(x), 6) for x in (0.0, 3.0, 6.0)]
    [100.0, 100.0, 100.0]
    """

    mass: float
    centre: float
    inertia: float
    front: float
    rear: float

    @property
    def coefficients(self) -> tuple[float, float, float]:
        """Of the Legendre polynomials of degree 0, 1, 2 over the length [kg/m]."""
        half, middle = (self.rear - self.front) / 2, (self.rear + self.front) / 2
        arm = self.centre - middle
        second = self.inertia + self.mass * arm**2
        a0 = self.mass / (2 * half)
        a1 = 1.5 * self.mass * arm / half**2
        a2 = (second / half**3 - 2 * a0 / 3) * 15 / 4
        return a0, a1, a2

    def density(self, station: float) -> float:
        """Line density [kg/m] at a station [m]."""
        s = 2 * (station - self.front) / (self.rear - self.front) - 1
        a0, a1, a2 = self.coefficients
        return float(a0 + a1 * s + a2 * (3 * s * s - 1) / 2)

    @property
    def least(self) -> float:
        """The smallest line density along the frame [kg/m]."""
        return float(min(self.density(x) for x in np.linspace(self.front, self.rear, 201)))


def sprung_frame(plan: Plan, numbers: Numbers, terms: int) -> Frame:
    """The sprung body's frame: a point, a rigid bar, or a bar that bends in `terms` shapes."""
    if plan.kind == "quarter":
        return Frame(-0.5, 0.5, None, 1)
    front, rear = float(numbers["frame.front_end"]), float(numbers["frame.rear_end"])
    if plan.kind == "half":
        return Frame(front, rear, None, 2)
    if not plan.segments:
        return _uniform(front, rear, float(numbers["frame.bending_stiffness"]), terms)
    indices = range(1, plan.segments + 1)
    ends = tuple(float(numbers[f"frame.segment.{i}.to"]) for i in indices)
    pieces = tuple(float(numbers[f"frame.segment.{i}.bending_stiffness"]) for i in indices)
    return _stepped(front, rear, ends, pieces, terms)


@lru_cache(maxsize=64)  # most numbers of a vehicle do not move its frame, and its shapes take the longest
def _uniform(front: float, rear: float, stiffness: float, terms: int) -> Frame:
    return Frame(front, rear, lambda x: np.full_like(x, stiffness), terms)


@lru_cache(maxsize=64)
def _stepped(
    front: float, rear: float, ends: tuple[float, ...], pieces: tuple[float, ...], terms: int
) -> Frame:
    inner, values = np.array(ends[:-1]), np.array(pieces)

    def stiffness(x: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(values[np.searchsorted(inner, x, side="right")])

    return Frame(front, rear, stiffness, terms, ends[:-1])


def stiffness_path(plan: Plan, frame: Frame, station: float) -> str:
    """The resolver's path of the bending stiffness at a station [m]."""
    if not plan.segments:
        return "frame.bending_stiffness"
    return f"frame.segment.{sum(b < station for b in frame.breaks) + 1}.bending_stiffness"


def line_mass(plan: Plan, numbers: Numbers, frame: Frame) -> LineMass:
    """What is left of the sprung mass once the listed bodies that it includes are taken out.

    An estimated pitch inertia is moved to the nearest value that the listed bodies allow; a given one
    that they contradict is a fault of the file.
    """
    total = float(numbers["vehicle.sprung_mass"])
    listed = [b for b in plan.bodies if b.included]
    masses = np.array([float(numbers[f"body.{b.name}.mass"]) for b in listed])
    rest = total - masses.sum()
    if rest <= 0:
        raise _fault(
            "vehicle.sprung_mass", f"{total:.0f} kg", f"more than the {masses.sum():.0f} kg of listed bodies"
        )
    if plan.kind == "quarter":
        return LineMass(rest, 0.0, 0.0, frame.front, frame.rear)
    stations = np.array([float(numbers[f"body.{b.name}.station"]) for b in listed])
    own = sum(float(numbers[f"body.{b.name}.pitch_inertia"]) for b in listed if b.rotates)
    gravity = float(numbers["vehicle.centre_of_gravity"])
    centre = float((total * gravity - masses @ stations) / rest)
    taken = float(masses @ (stations - gravity) ** 2) + own + rest * (centre - gravity) ** 2
    pitch = float(numbers["vehicle.pitch_inertia"])
    left = LineMass(rest, centre, pitch - taken, frame.front, frame.rear)
    return left if _possible(left, plan.kind) else _moved(left, taken, pitch, plan, numbers)


def _possible(line: LineMass, kind: str) -> bool:
    return line.least >= 0 if kind == "bending" else line.inertia > 0


def _moved(line: LineMass, taken: float, pitch: float, plan: Plan, numbers: Numbers) -> LineMass:
    allowed = [
        inertia
        for inertia in np.linspace(0.002, 0.3, 597) * line.mass * (line.rear - line.front) ** 2
        if _possible(LineMass(line.mass, line.centre, float(inertia), line.front, line.rear), plan.kind)
    ]
    if not allowed:
        where = f"the unlisted {line.mass:.0f} kg would have to be centred at {line.centre:.2f} m"
        raise _fault(
            "vehicle.centre_of_gravity", where, f"inside the frame, {line.front:.2f} to {line.rear:.2f} m"
        )
    low, high = allowed[0] + taken, allowed[-1] + taken
    if numbers.known("vehicle.pitch_inertia").origin != "estimated":
        wanted = f"between {low:.0f} and {high:.0f} kg m^2 with these bodies, loads and overhangs"
        raise _fault("vehicle.pitch_inertia", f"{pitch:.0f} kg*m^2", wanted)
    inertia = min(max(pitch - taken, allowed[0]), allowed[-1])
    return LineMass(line.mass, line.centre, float(inertia), line.front, line.rear)


def _fault(key: str, given: str, wanted: str) -> CounterbounceError:
    return CounterbounceError([Fault("", None, key, given, wanted)])
