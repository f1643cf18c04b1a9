"""The sprung frame, and how the mass that is not listed as bodies lies along it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from .bending import borders, stretches, together
from .faults import CounterbounceError, Fault
from .frame import Frame
from .numbers import Numbers
from .plan import Plan

LEAST_INERTIA = 1e-6  # [-] of mass times length squared: a rigid body that hardly resists pitching


@dataclass(frozen=True)
class LineMass:
    """A quadratic line density matched to mass, centre of gravity and pitch inertia; or many of them.

    mass [kg], centre [m], inertia [kg m^2] about the centre; over a frame from front to rear [m]

    >>> uniform = LineMass(600.0, 3.0, 600.0 * 6.0**2 / 12, 0.0, 6.0)
    >>> [round(float(uniform.density(x)), 6) for x in (0.0, 3.0, 6.0)]
    [100.0, 100.0, 100.0]
    """

    mass: Any
    centre: Any
    inertia: Any
    front: Any
    rear: Any

    @property
    def _even_and_leaning(self) -> tuple[Any, Any]:
        """Of the Legendre polynomials of degree 0 and 1 over the length [kg/m]."""
        half, middle = (self.rear - self.front) / 2, (self.rear + self.front) / 2
        return self.mass / (2 * half), 1.5 * self.mass * (self.centre - middle) / half**2

    @property
    def coefficients(self) -> tuple[Any, Any, Any]:
        """Of the Legendre polynomials of degree 0, 1, 2 over the length [kg/m]."""
        half, middle = (self.rear - self.front) / 2, (self.rear + self.front) / 2
        second = self.inertia + self.mass * (self.centre - middle) ** 2
        a0, a1 = self._even_and_leaning
        return a0, a1, (second / half**3 - 2 * a0 / 3) * 15 / 4

    def density(self, station: Any) -> Any:
        """Line density [kg/m] at a station [m]."""
        s = 2 * (station - self.front) / (self.rear - self.front) - 1
        a0, a1, a2 = self.coefficients
        return a0 + a1 * s + a2 * (3 * s * s - 1) / 2

    @property
    def inertias(self) -> tuple[Any, Any]:
        """The pitch inertias [kg m^2] about the centre, least and most, of which the density is negative
        nowhere; not a number where the centre lies so far from the middle that none is.

        At an end a0 ± a1 + a2 >= 0.  Inside, a parabola with a2 > |a1| / 3 is least at a0 - a2 / 2 - a1^2 /
        (6 a2) >= 0, so that a2 lies between a0 - root and a0 + root, root^2 = a0^2 - a1^2 / 3.
        """
        a0, a1 = self._even_and_leaning
        lean = np.abs(a1)
        with np.errstate(invalid="ignore"):
            root = np.sqrt(a0**2 - a1**2 / 3)
        low, high = np.where(lean > 1.5 * a0, a0 - root, lean - a0 + 0 * root), a0 + root
        return self._inertia(low), self._inertia(high)

    def _inertia(self, a2: Any) -> Any:
        half, middle = (self.rear - self.front) / 2, (self.rear + self.front) / 2
        a0 = self._even_and_leaning[0]
        return half**3 * (4 * a2 / 15 + 2 * a0 / 3) - self.mass * (self.centre - middle) ** 2


def sprung_frame(plan: Plan, numbers: Numbers, terms: int) -> Frame:
    """The sprung body's frame: a point, a rigid bar, or a bar that bends in `terms` shapes."""
    if plan.kind == "quarter":
        return Frame(-0.5, 0.5, None, 1)
    front, rear = numbers["frame.front_end"], numbers["frame.rear_end"]
    if plan.kind == "half":
        return Frame(front, rear, None, 2)
    pieces = stretches(plan, numbers)
    return Frame(front, rear, lambda x: together(pieces, x), terms, borders(pieces))


def line_mass(plan: Plan, numbers: Numbers, frame: Frame) -> LineMass:
    """What is left of the sprung mass once the listed bodies that it includes are taken out.

    An estimated pitch inertia is moved to the nearest value that the listed bodies allow; a given one
    that they contradict is a fault of the file.  Of many vehicles, one whose numbers contradict each other
    gets a mass that is not a number.
    """
    total = numbers["vehicle.sprung_mass"]
    listed = [b for b in plan.bodies if b.included]
    masses = [numbers[f"body.{b.name}.mass"] for b in listed]
    rest = _or_fault(
        total - sum(masses),
        total - sum(masses) > 0,
        "vehicle.sprung_mass",
        lambda: (f"{total:.0f} kg", f"more than the {sum(masses):.0f} kg of listed bodies"),
    )
    if plan.kind == "quarter":
        return LineMass(rest, 0.0, 0.0, frame.front, frame.rear)
    stations = [numbers[f"body.{b.name}.station"] for b in listed]
    own = sum(numbers[f"body.{b.name}.pitch_inertia"] for b in listed if b.rotates)
    gravity = numbers["vehicle.centre_of_gravity"]
    levers = [(m, x - gravity) for m, x in zip(masses, stations, strict=True)]
    centre = gravity - sum(m * lever for m, lever in levers) / rest
    taken = sum(m * lever**2 for m, lever in levers) + own + rest * (centre - gravity) ** 2
    line = LineMass(rest, centre, numbers["vehicle.pitch_inertia"] - taken, frame.front, frame.rear)
    return _possible(line, taken, plan, numbers)


def _possible(line: LineMass, taken: Any, plan: Plan, numbers: Numbers) -> LineMass:
    """The line, its inertia moved into what is possible where it is only an estimate.

    taken  [kg m^2] of the pitch inertia by the listed bodies
    """
    least, most = line.inertias if plan.kind == "bending" else _rigid_inertias(line)
    mass = _or_fault(
        line.mass,
        ~np.isnan(most),
        "vehicle.centre_of_gravity",
        lambda: (
            f"the unlisted {line.mass:.0f} kg would have to be centred at {line.centre:.2f} m",
            f"inside the frame, {line.front:.2f} to {line.rear:.2f} m",
        ),
    )
    if numbers.known("vehicle.pitch_inertia").origin == "estimated":
        return replace(line, mass=mass, inertia=np.clip(line.inertia, least, most))
    mass = _or_fault(
        mass,
        (line.inertia >= least) & (line.inertia <= most),
        "vehicle.pitch_inertia",
        lambda: (
            f"{numbers['vehicle.pitch_inertia']:.0f} kg*m^2",
            f"between {least + taken:.0f} and {most + taken:.0f} kg m^2 "
            "with these bodies, loads and overhangs",
        ),
    )
    return replace(line, mass=mass)


def _rigid_inertias(line: LineMass) -> tuple[Any, Any]:
    """A rigid body need not be spread along the frame; all that it needs is some inertia."""
    return LEAST_INERTIA * line.mass * (line.rear - line.front) ** 2, np.inf


def _or_fault(value: Any, fine: Any, key: str, words: Callable[[], tuple[str, str]]) -> Any:
    """The value where it is fine; a fault where it is not, or, of many vehicles, not a number."""
    if np.ndim(fine) == 0:
        if not fine:
            given, wanted = words()
            raise CounterbounceError([Fault("", None, key, given, wanted)])
        return value
    return np.where(fine, value, np.nan)
