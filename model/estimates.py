"""Placard facts to numbers: the cited rules that stand in for what nobody has measured.

Here the whole vehicle and its frame, from what the axles carry; a healthy wheel; and all the rules in one.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import reduce
from types import MappingProxyType
from typing import Any

import numpy as np

from .axle_estimates import AXLE_RULES, PRACTICE, axle_names, is_given
from .law_estimates import LAW_RULES
from .numbers import Numbers, Rule

STEEL_MODULUS = 207e9  # [Pa]
FREE_FREE = 4.730040744862704  # [-] first root of cos(x) cosh(x) = 1: a uniform beam free at both ends
HEALTHY_RUN_OUT = MappingProxyType({1: 0.6e-3, 2: 0.3e-3, 3: 0.2e-3, 4: 0.12e-3})  # [m] peak to peak


def healthy_run_out(order: int) -> float:
    """Radial run-out of one healthy wheel [m], peak to peak of one order.

    order  [-], events in one turn, 1 or above; beyond 4 it falls as 1 / order

    Common practice, no source; a factor of two either way.

    >>> healthy_run_out(1), healthy_run_out(8)
    (0.0006, 6e-05)
    """
    if order < 1:
        raise ValueError(f"order must be 1 or above, got {order}")
    return HEALTHY_RUN_OUT.get(order, 4 * HEALTHY_RUN_OUT[4] / order)


def channel_second_moment(height: Any, flange: Any, thickness: Any) -> Any:
    """Second moment of area of one sharp-cornered channel about its strong axis [m^4].

        I = (b h^3 - (b - t) (h - 2t)^3) / 12

    height     h [m]
    flange     b [m], width over all
    thickness  t [m], the same in web and flanges

    Source: elementary; exact.

    >>> round(channel_second_moment(0.2032, 0.0762, 0.0065) * 1e5, 6)
    1.331232
    """
    return (flange * height**3 - (flange - thickness) * (height - 2 * thickness) ** 3) / 12


def free_free_stiffness(frequency: Any, mass: Any, length: Any) -> Any:
    """Bending stiffness of a uniform beam, free at both ends, from its first bending [N m^2].

        EI = (m / L) (2 pi f)^2 (L / 4.73004)^4

    frequency  f [Hz]
    mass       m [kg]
    length     L [m]

    Source: Euler-Bernoulli beam; the root in any handbook of vibration.
    """
    return mass / length * (2 * np.pi * frequency) ** 2 * (length / FREE_FREE) ** 4


# --- the sprung body ----------------------------------------------------------------------------------------


def _ends(numbers: Numbers) -> tuple[Any, Any]:
    stations = [numbers[f"axle.{name}.station"] for name in axle_names(numbers)]
    return reduce(np.minimum, stations), reduce(np.maximum, stations)


def _sprung_mass(numbers: Numbers, _: str) -> Any:
    return sum(numbers[f"axle.{name}.sprung_load"] for name in axle_names(numbers))


def _centre_of_gravity(numbers: Numbers, _: str) -> Any:
    names = axle_names(numbers)
    loads = [numbers[f"axle.{name}.sprung_load"] for name in names]
    stations = [numbers[f"axle.{name}.station"] for name in names]
    return sum(w * x for w, x in zip(loads, stations, strict=True)) / sum(loads)


def _levers(numbers: Numbers) -> Any:
    """Centre of gravity to first axle, times centre of gravity to last [m^2]."""
    (first, last), centre = _ends(numbers), numbers["vehicle.centre_of_gravity"]
    return (centre - first) * (last - centre)


def _radius_of_gyration(numbers: Numbers, _: str) -> Any:
    """Between two guesses of r^2 [m^2]: 0.95 a b, and L^2 / 12 of a uniform bar as long as the frame.

    Cars and short trucks come near the first (bounce and pitch centres at the axles); a box or flatbed
    that overhangs comes near the second.  Their geometric mean serves both.
    """
    front, rear = numbers["frame.front_end"], numbers["frame.rear_end"]
    squared = np.sqrt(0.95 * np.abs(_levers(numbers)) * (rear - front) ** 2 / 12)
    return np.sqrt(_within_the_frame(squared, numbers["vehicle.centre_of_gravity"], front, rear))


def _within_the_frame(squared: Any, centre: Any, front: Any, rear: Any) -> Any:
    """r^2 [m^2] moved to where a quadratic line density is positive from end to end.

    With t the centre's distance from mid-frame over the half length, and p the second Legendre moment of the
    density, (3|t| - 1) / 5 <= p <= (1 + sqrt(1 - 3 t^2)) / 5; for t = 0 that is r^2 / L^2 from 0.05 to 0.15.
    Half as much again is kept off either border, so that the scatter stays inside too.
    """
    half = (rear - front) / 2
    off = np.abs(centre - (front + rear) / 2) / half
    low, high = (
        half**2 * ((2 * p + 1) / 3 - off**2)
        for p in ((3 * off - 1) / 5, (1 + np.sqrt(np.maximum(0, 1 - 3 * off**2))) / 5)
    )
    middle = np.sqrt(np.maximum(low * high, 1e-6 * half**4))
    return np.clip(squared, np.minimum(1.5 * low, middle), np.maximum(high / 1.5, middle))


def _pitch_inertia(numbers: Numbers, _: str) -> Any:
    """From the dynamic index where given, else from the radius of gyration [kg m^2]."""
    mass = numbers["vehicle.sprung_mass"]
    if is_given(numbers, "vehicle", "dynamic_index") and not is_given(
        numbers, "vehicle", "radius_of_gyration"
    ):
        return mass * numbers["vehicle.dynamic_index"] * _levers(numbers)
    return mass * numbers["vehicle.radius_of_gyration"] ** 2


# --- the frame ----------------------------------------------------------------------------------------------


def _front_overhang(numbers: Numbers, _: str) -> Any:
    first, last = _ends(numbers)
    return 0.25 * (last - first)


def _rear_overhang(numbers: Numbers, _: str) -> Any:
    first, last = _ends(numbers)
    return 0.4 * (last - first)


def _front_end(numbers: Numbers, _: str) -> Any:
    return _ends(numbers)[0] - numbers["frame.front_overhang"]


def _rear_end(numbers: Numbers, _: str) -> Any:
    return _ends(numbers)[1] + numbers["frame.rear_overhang"]


def _bending_stiffness(numbers: Numbers, _: str) -> Any:
    """Of both rails together [N m^2]: from their section, or the bare frame hung free, or assumed."""
    rail = [f"frame.rail.{side}" for side in ("height", "flange", "thickness")]
    if all(path in numbers.given for path in rail):
        return 2 * STEEL_MODULUS * channel_second_moment(*(numbers[path] for path in rail))
    length = numbers["frame.rear_end"] - numbers["frame.front_end"]
    if is_given(numbers, "frame.free_free", "frequency", "mass"):
        return free_free_stiffness(
            numbers["frame.free_free.frequency"], numbers["frame.free_free.mass"], length
        )
    return free_free_stiffness(numbers["frame.first_bending"], numbers["vehicle.sprung_mass"], length)


def _above_ground(numbers: Numbers, _: str) -> Any:
    """The rails' middle: as high as the front tyres, or 0.8 m where their size is not known [m]."""
    tyre = f"axle.{axle_names(numbers)[0]}.tyre_diameter"
    return numbers[tyre] if tyre in numbers.given else 0.8


VEHICLE_RULES: Mapping[str, Rule] = MappingProxyType(
    {
        "vehicle.sprung_mass": Rule(_sprung_mass, 0.0, "sum of what the axles' springs carry"),
        "vehicle.centre_of_gravity": Rule(
            _centre_of_gravity, 0.0, "what each axle's springs carry, by its station"
        ),
        "vehicle.radius_of_gyration": Rule(
            _radius_of_gyration,
            0.2,
            "between a dynamic index of 0.95 and a uniform bar of the frame's length; " + PRACTICE,
        ),
        "vehicle.pitch_inertia": Rule(
            _pitch_inertia, 0.0, "sprung mass and radius of gyration, or dynamic index"
        ),
        "frame.front_overhang": Rule(
            _front_overhang, 0.4, "a quarter of the wheelbase; " + PRACTICE, "assumed"
        ),
        "frame.rear_overhang": Rule(_rear_overhang, 0.5, "0.4 of the wheelbase; " + PRACTICE, "assumed"),
        "frame.front_end": Rule(_front_end, 0.0, "first axle and front overhang"),
        "frame.rear_end": Rule(_rear_end, 0.0, "last axle and rear overhang"),
        "frame.above_ground": Rule(_above_ground, 0.25, "as high as the tyres; " + PRACTICE, "assumed"),
        "frame.first_bending": Rule(
            lambda numbers, _: 7.5,
            0.31,
            "loaded frame as a uniform beam; trucks bend at 6 to 9 Hz: Gillespie, SAE 850001 (from memory)",
            "assumed",
        ),
        "frame.bending_stiffness": Rule(
            _bending_stiffness,
            0.25,
            "rails, or the bare frame hung free, or first bending; what stands on it adds or takes",
        ),
        "frame.loss_factor": Rule(
            lambda numbers, _: 0.04, 1.0, "bolted or riveted frame; " + PRACTICE, "assumed"
        ),
    }
)

RULES: Mapping[str, Rule] = MappingProxyType({**AXLE_RULES, **LAW_RULES, **VEHICLE_RULES})
"""All rules by path; a * stands for the name of an axle."""
