"""One change of a vehicle at a time: some of its parts made anew, all others as they were.

A change takes a vehicle as it was just built, one or many at once, before its losses become dampers.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from ..model.estimates import STEEL_MODULUS
from ..model.parts import Part, damper, mass, spring
from ..model.points import Row
from ..model.vehicle import Axle, Vehicle
from .absorber import with_ballast

Change = Callable[[Vehicle], Vehicle]

STEEL_DENSITY = 7850.0  # [kg/m^3]


def as_it_is(vehicle: Vehicle) -> Vehicle:
    """No change.

    >>> from ..model.example import small_truck
    >>> as_it_is(small_truck()) is small_truck()
    True
    """
    return vehicle


def _made_anew(vehicle: Vehicle, kind: str, path: str, new: Callable[[Part], tuple[Part, ...]]) -> Vehicle:
    """With every part of a kind whose number's path begins so replaced by what is made of it."""
    parts = [
        made
        for part in vehicle.parts
        for made in (new(part) if part.kind == kind and part.path.startswith(path) else (part,))
    ]
    return replace(vehicle, parts=tuple(parts))


def scaled(kind: str, path: str, factor: float) -> Change:
    """Every part of a kind whose number's path begins so, times a factor.

    path    as the resolver calls it, or how it begins [-]
    factor  [-]

    >>> from ..model.example import small_truck
    >>> softer = scaled("spring", "axle.rear.spring_rate", 0.5)(small_truck())
    >>> [part.value for part in softer.parts if part.name == "rear spring"]
    [300000.0]
    """

    def change(vehicle: Vehicle) -> Vehicle:
        return _made_anew(vehicle, kind, path, lambda part: (replace(part, value=factor * part.value),))

    return change


# --- tyres and springs ------------------------------------------------------------------------------------


def other_tyres(axle: str, rate: float = 1.0, circumference: float = 1.0, contact: float = 1.0) -> Change:
    """Other tyres on an axle, or another pressure in them.

    rate           factor [-]; the loss factor stays, so the damping goes with it
    circumference  factor [-]
    contact        factor [-] of the footprint's length

    >>> from ..model.example import small_truck
    >>> round(other_tyres("rear", circumference=0.95)(small_truck()).axles[1].circumference, 3)
    2.28
    """

    def own(one: Axle) -> Axle:
        return replace(
            one,
            tyre_rate=rate * one.tyre_rate,
            tyre_damping=rate * one.tyre_damping,
            circumference=None if one.circumference is None else circumference * one.circumference,
            contact_length=None if one.contact_length is None else contact * one.contact_length,
        )

    def change(vehicle: Vehicle) -> Vehicle:
        stiffer = scaled("spring", f"axle.{axle}.tyre_rate", rate)(vehicle)
        stiffer = scaled("damper", f"axle.{axle}.tyre_damping", rate)(stiffer)
        return replace(stiffer, axles=tuple(own(a) if a.name == axle else a for a in vehicle.axles))

    return change


def leaf_worth(axle: str, rate: float, damping: float) -> Change:
    """An axle's leaves as they are worth at an amplitude.

    rate     over the rate for small shakes [-]
    damping  of friction, over the rate for small shakes [s]

    >>> from ..model.example import small_truck
    >>> freed = leaf_worth("rear", 0.5, 0.01)(small_truck())
    >>> [(part.kind, part.value) for part in freed.parts if part.name == "rear spring"]
    [('spring', 300000.0), ('damper', 6000.0)]
    """

    def worth(leaf: Part) -> tuple[Part, ...]:
        return replace(leaf, value=rate * leaf.value), damper(
            leaf.name, damping * leaf.value, leaf.row, Row()
        )

    return lambda vehicle: _made_anew(vehicle, "spring", f"axle.{axle}.spring_rate", worth)


def bushed_shocks(axle: str, times: float, bush: float, omega: float) -> Change:
    """Shocks so many times as strong behind bushes that stay as they are, at one frequency.

        k = b (w c)^2 / (b^2 + (w c)^2),   c_eff = c b^2 / (b^2 + (w c)^2)

    times  [-]
    bush   rate of the bushes over the damping of the present shocks [1/s]; b is their rate
    omega  w [rad/s]: right there, and near it

    A dashpot and a spring in series, as in any handbook.

    >>> from ..model.example import small_truck
    >>> soft = bushed_shocks("rear", 2.0, 60.0, 60.0)(small_truck())
    >>> [(part.kind, part.value) for part in soft.parts if part.name == "rear shock"]
    [('spring', 144000.0), ('damper', 1200.0)]
    """

    def worth(shock: Part) -> tuple[Part, ...]:
        given, rate = times * shock.value, bush * shock.value
        both = rate**2 + (omega * given) ** 2
        stiff = spring(shock.name, rate * (omega * given) ** 2 / both, shock.row, Row())
        return stiff, replace(shock, value=given * rate**2 / both)

    return lambda vehicle: _made_anew(vehicle, "damper", f"axle.{axle}.damping", worth)


# --- bodies and loads ---------------------------------------------------------------------------------------


def other_mounts(body: str, rate: float = 1.0, loss: float = 0.0) -> Change:
    """A body's mounts softer or stiffer, and with at least some loss.

    rate  factor [-]
    loss  loss factor [-] that each of them has at least

    >>> from ..model.example import small_truck
    >>> other_mounts("cab", 0.5)(small_truck()) == small_truck()     # it has no cab
    True
    """

    def worth(mount: Part) -> tuple[Part, ...]:
        return (replace(mount, value=rate * mount.value, loss_factor=np.maximum(mount.loss_factor, loss)),)

    return lambda vehicle: _made_anew(vehicle, "spring", f"body.{body}.mount.", worth)


def moved(body: str, by: float) -> Change:
    """What rides rigidly on the frame, farther to the rear; all other masses stay where they are.

    by  [m]
    """

    def change(vehicle: Vehicle) -> Vehicle:
        point = vehicle.points[body]
        station = point.station + by
        rise, turn = vehicle.frame.row(station), vehicle.frame.slope(station)
        rows = {f"body.{body}.mass": rise, f"body.{body}.pitch_inertia": turn}
        parts = tuple(replace(p, row=rows[p.path]) if p.path in rows else p for p in vehicle.parts)
        points = {**vehicle.points, body: replace(point, station=station, row=rise)}
        return replace(vehicle, parts=parts, points=points)

    return change


def ballasted(place: str, kilograms: float) -> Change:
    """A weight bolted down at a point.

    kilograms  [kg]

    >>> from ..model.example import small_truck
    >>> ballasted("rear end", 40.0)(small_truck()).parts[-1].value
    40.0
    """
    return lambda vehicle: with_ballast(vehicle, place, kilograms)


# --- the frame ----------------------------------------------------------------------------------------------


def plates_per_stiffness(height: float) -> float:
    """Weight of steel plates upright on the webs, over the stiffness that they add [kg/m per N m^2].

        m' / EI = 12 rho / (E h^2)

    height  h [m], of the plates

    An upright plate of height h has I = A h^2 / 12: elementary.  E = 207 GPa, rho = 7850 kg/m^3.

    >>> round(plates_per_stiffness(0.2) * 1e6, 2)     # kilograms a metre for one MN m^2
    11.38
    """
    return 12 * STEEL_DENSITY / (STEEL_MODULUS * height**2)


def stiffened(gain: float, height: float) -> Change:
    """Plates upright on the frame's webs, from end to end; nothing happens where the frame cannot bend.

    gain    what they add to the bending stiffness of the rails, as a share of it [-]
    height  of the plates [m]
    """
    stiffer, heavy = scaled("spring", "frame.", 1 + gain), gain * plates_per_stiffness(height)

    def change(vehicle: Vehicle) -> Vehicle:
        own = [p for p in vehicle.parts if p.kind == "spring" and p.path.startswith("frame.")]
        if not own or not gain:
            return vehicle
        along = np.moveaxis(vehicle.frame.gauss()[0], -1, 0)
        plates = [_plate(heavy * p.value, vehicle.frame.row(x)) for p, x in zip(own, along, strict=True)]
        changed = stiffer(vehicle)
        return replace(changed, parts=(*changed.parts, *plates))

    return change


def _plate(kilograms: Any, carried_by: Row) -> Part:
    return mass("plates", kilograms, carried_by)
