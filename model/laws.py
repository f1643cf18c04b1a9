"""The forces of a vehicle that are not proportional: stops, lift-off, shocks, leaves, dry friction.

The linear vehicle holds for small shakes of the laden vehicle.  Each law says where a force acts, what it is,
and which of the vehicle's linear parts it takes the place of; the rest of the vehicle stays linear.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from .faults import CounterbounceError, Fault
from .forces import DryFriction, Leaf, LiftOff, Stop, TwoWayShock
from .matrices import matrices
from .numbers import Numbers
from .parts import Kind, Part
from .plan import LAW_NUMBERS, AxlePlan, LawKind, Plan
from .points import Row
from .tyres import GRAVITY
from .vehicle import Vehicle

Floats = NDArray[np.float64]
Force = Stop | LiftOff | Leaf | DryFriction | TwoWayShock

GUIDE_GIVE = 0.05e-3  # [m] that a guide gives before it slips; common practice, no source
END_STOP = 20.0  # [-] rate of a damper's end stops over its spring's; common practice, no source


@dataclass(frozen=True)
class Law:
    """One force that is not proportional.

    name   for people
    row    its stretch [m] per unit of each coordinate, roads included
    force  what it pulls with at a stretch
    part   name of the spring and damper that it takes the place of; "": it adds
    """

    name: str
    row: Row
    force: Force
    part: str = ""


def laws(plan: Plan, numbers: Numbers, vehicle: Vehicle) -> tuple[Law, ...]:
    """The laws that a case asks for, of a vehicle built from its plan and numbers; none: it is linear.

    Raises CounterbounceError for a leaf pack that is no stiffer for small shakes than under load.

    >>> from dataclasses import replace
    >>> from .example import small_case, small_truck
    >>> one = small_case()
    >>> asked = replace(one.plan, laws=("stops", "lift-off"))
    >>> [law.name for law in laws(asked, one.numbers, small_truck())]
    ['front stops', 'rear stops', 'front lift-off', 'rear lift-off']
    """
    wanted = _Wanted(plan, numbers, vehicle)
    return tuple(law for kind in plan.laws for axle in plan.axles for law in MAKERS[kind](wanted, axle))


@dataclass(frozen=True)
class _Wanted:
    plan: Plan
    numbers: Numbers
    vehicle: Vehicle

    def its_numbers(self, axle: AxlePlan, law: LawKind) -> list[float]:
        return [float(self.numbers[f"axle.{axle.name}.{name}"]) for name in LAW_NUMBERS[law]]

    def part(self, kind: Kind, axle: AxlePlan, number: str) -> Part:
        path = f"axle.{axle.name}.{number}"
        return next(p for p in self.vehicle.parts if p.kind == kind and p.path == path)


def _leaf(of: _Wanted, axle: AxlePlan) -> list[Law]:
    """What friction adds to the static rate for small shakes is friction over travel, so travel follows."""
    if axle.springing != "leaf":
        return []
    spring, (static, friction) = of.part("spring", axle, "spring_rate"), of.its_numbers(axle, "leaf friction")
    if spring.value <= static:
        wanted = f"less than the rate for small shakes, {spring.value:.4g} N/m: friction makes the difference"
        raise CounterbounceError(
            [Fault("", None, f"axle.{axle.name}.static_spring_rate", f"{static:.4g} N/m", wanted)]
        )
    force = Leaf(friction, friction / (spring.value - static), static)
    return [Law(f"{axle.name} leaf friction", spring.row, force, spring.name)]


def _stops(of: _Wanted, axle: AxlePlan) -> list[Law]:
    """Between frame and axle, where the shock is: the springs of a load-sharing pair follow both axles."""
    between = of.part("damper", axle, "damping").row
    return [Law(f"{axle.name} stops", between, Stop(*of.its_numbers(axle, "stops")))]


def _lift_off(of: _Wanted, axle: AxlePlan) -> list[Law]:
    if axle.massless:
        return []
    tyres = of.part("spring", axle, "tyre_rate")
    damping = of.part("damper", axle, "tyre_damping").value
    load = ground_loads(of.vehicle)[axle.name]
    return [Law(f"{axle.name} lift-off", tyres.row, LiftOff(load, tyres.value, damping), tyres.name)]


def _shocks(of: _Wanted, axle: AxlePlan) -> list[Law]:
    shock = of.part("damper", axle, "damping")
    if shock.value == 0:
        return []
    return [Law(f"{axle.name} shocks", shock.row, TwoWayShock(*of.its_numbers(axle, "shocks")), shock.name)]


MAKERS: Mapping[LawKind, Callable[[_Wanted, AxlePlan], list[Law]]] = MappingProxyType(
    {"leaf friction": _leaf, "stops": _stops, "lift-off": _lift_off, "shocks": _shocks}
)
"""What each word of a case asks for, axle by axle."""


def ground_loads(vehicle: Vehicle) -> dict[str, float]:
    """Load on the ground under each axle at rest [N]: weights of all parts, statics of the springs.

    >>> from .example import small_truck
    >>> {name: round(load / 9.80665) for name, load in ground_loads(small_truck()).items()}
    {'front': 2100, 'rear': 2700}
    """
    system, lift = matrices(vehicle), vehicle.lift()
    weights = system.M @ np.array([lift[c] for c in system.coordinates]) * GRAVITY
    loads = system.push_0.T @ np.linalg.solve(system.K, weights)
    return dict(zip((axle.name for axle in vehicle.axles), loads.tolist(), strict=True))


def damper_laws(
    vehicle: Vehicle, breakaway: float | None = None, stroke: float | None = None
) -> tuple[Law, ...]:
    """The laws of a tuned mass damper that hangs on a vehicle: its guides stick, its stroke ends.

    vehicle    with a body "damper" on a spring of that name
    breakaway  [N] that its guides hold before they slip; they give 0.05 mm first
    stroke     [m] each way, to end stops of 20 times its spring's rate

    Give and stop rate: common practice, no source.

    >>> from dataclasses import replace
    >>> from .example import small_truck
    >>> from .parts import spring
    >>> from .points import at
    >>> truck = small_truck()
    >>> hung = (spring("damper", 4e4, at("damper"), truck.points["rear end"].row),)
    >>> [law.force for law in damper_laws(replace(truck, parts=(*truck.parts, *hung)), 5.0, 0.012)]
    [DryFriction(breakaway=5.0, stiffness=100000.0), Stop(gap_up=0.012, gap_down=0.012, rate=800000.0)]
    """
    own = next((p for p in vehicle.parts if p.kind == "spring" and p.name == "damper"), None)
    if own is None:
        raise ValueError("no damper hangs on this vehicle")
    found = []
    if breakaway:
        found.append(Law("damper's guides", own.row, DryFriction(breakaway, breakaway / GUIDE_GIVE)))
    if stroke is not None:
        found.append(Law("damper's end stops", own.row, Stop(stroke, stroke, END_STOP * own.value)))
    return tuple(found)
