"""What an axle carries, weighs and stands on, from its load and its placard: the cited rules.

A rule is a formula of other numbers, with the scatter of the estimate: half its 95 % width as a share, so
that 0.6 is a factor of 1.6.  Rules lean on one another, always downwards: what is given ends every chain.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

import numpy as np

from .numbers import Missing, Numbers, Rule
from .tyres import GRAVITY, contact_length, radial_tyre_rate, rolling_circumference

ATMOSPHERE = 101_325.0  # [Pa]
POLYTROPIC = 1.3  # [-] air worked faster than it can trade heat: between 1 (slow) and 1.4 (fast)


def air_spring_rate(load: Any, pressure: Any, volume: Any) -> Any:
    """Rate of the air springs of an axle for small shakes [N/m].

        k = n (p + p_atm) A^2 / V,   A = W / p,   n = 1.3

    load      W [N], what they carry together
    pressure  p [Pa], gauge, at that load
    volume    V [m^3], all of them together

    Source: polytropic air at constant effective area, as in any handbook.

    >>> round(air_spring_rate(40e3, 500e3, 0.03) / 1e3)
    167
    """
    return POLYTROPIC * (pressure + ATMOSPHERE) * (load / pressure) ** 2 / volume


def axle_names(numbers: Numbers) -> tuple[str, ...]:
    """Names of the axles, in the order in which the given numbers first mention them.

    numbers  with "axle.<name>.load", ".tyres" or ".station" among the given [any unit]
    """
    ends = (".load", ".tyres", ".station")
    found = (path[len("axle.") : path.rindex(".")] for path in numbers.given if path.endswith(ends))
    axles = (name for name in found if any(f"axle.{name}{end}" in numbers.given for end in ends))
    return tuple(dict.fromkeys(axles))


def is_given(numbers: Numbers, prefix: str, *facts: str) -> bool:
    """Whether all of these stand in the case itself, under one prefix."""
    return all(f"{prefix}.{fact}" in numbers.given for fact in facts)


def is_so(numbers: Numbers, name: str, fact: str) -> bool:
    """A yes-or-no fact of an axle; it has no spread and stays out of the ledger."""
    known = numbers.given.get(f"axle.{name}.{fact}")
    return known is not None and known.value > 0.5


# --- where it stands, and what it carries ---------------------------------------------------------------


def _station(numbers: Numbers, name: str) -> Any:
    """First axle at 0, last at the wheelbase; an axle between them has to be given."""
    names = axle_names(numbers)
    if name == names[0]:
        return 0.0
    if name == names[-1]:
        return numbers["vehicle.wheelbase"]
    raise Missing(f"axle.{name}.station", "it stands between the first axle and the last")


def _sprung_load(numbers: Numbers, name: str) -> Any:
    """Load less unsprung mass [kg]; without a load, what other axles or levers leave of the sprung mass."""
    own, whole = f"axle.{name}.load", "vehicle.sprung_mass"
    if own in numbers.given or whole not in numbers.given:
        return numbers[own] - numbers[f"axle.{name}.unsprung_mass"]
    others = [other for other in axle_names(numbers) if other != name]
    if all(is_given(numbers, f"axle.{other}", "load") for other in others):
        return numbers[whole] - sum(numbers[f"axle.{other}.sprung_load"] for other in others)
    if len(others) == 1 and is_given(numbers, "vehicle", "centre_of_gravity"):
        here, there = numbers[f"axle.{name}.station"], numbers[f"axle.{others[0]}.station"]
        return numbers[whole] * (there - numbers["vehicle.centre_of_gravity"]) / (there - here)
    return numbers[own]


def _carried(numbers: Numbers, name: str) -> Any:
    """Mass that the axle's tyres carry [kg]: its load, or what stands on its springs and an eighth more."""
    if is_given(numbers, f"axle.{name}", "load"):
        return numbers[f"axle.{name}.load"]
    return 1.125 * numbers[f"axle.{name}.sprung_load"]


def _unsprung_mass(numbers: Numbers, name: str) -> Any:
    """Wheels by the size of the tyre, axle with hubs and brakes by the fourth power of its diameter [kg].

        m = 260 n D^2 W + (590 driven beam, 340 other beam, 240 independent) D^4,   at most 0.35 of the load

    Set to the ranges of UMTRI-86-12 on 11R22.5 (steer 1200, drive 2300 to 2500, trailer 1500 lb; from
    memory), and below to published sets of cars and vans: the cube of the diameter made their axles a third
    too heavy.  A driven axle that is independent has its differential on the body.  Without a size: 15 % of
    the load if driven, else 11 %.
    """
    if is_so(numbers, name, "massless"):
        return 0.0
    carried, driven = _carried(numbers, name), is_so(numbers, name, "driven")
    if not is_given(numbers, f"axle.{name}", "tyre_diameter", "tyre_width"):
        return (0.15 if driven else 0.11) * carried
    diameter, width = numbers[f"axle.{name}.tyre_diameter"], numbers[f"axle.{name}.tyre_width"]
    wheels = 260 * numbers[f"axle.{name}.tyres"] * diameter**2 * width
    independent = is_given(numbers, f"axle.{name}", "is_solid") and not is_so(numbers, name, "is_solid")
    axle = 0.7 * 340 if independent else 590 if driven else 340
    return np.minimum(wheels + axle * diameter**4, 0.35 * carried)


# --- springs and shocks -------------------------------------------------------------------------------------


def _static_deflection(numbers: Numbers, name: str) -> Any:
    """Load over static rate [m]: a ride of 1.7 Hz on leaves, 1.4 on coils, 1.4 on air; 1.9 where not known.

    The last is a guess for small shakes of whatever spring it is.  Common practice, no source; coils under
    less than 1.5 t are softer, 1.3 Hz under a tonne or less, as published sets of cars have them.
    """
    if is_so(numbers, name, "is_coil"):
        return np.interp(numbers[f"axle.{name}.sprung_load"], [1000.0, 1500.0], [0.145, 0.12])
    kinds = (("is_leaf", 0.09), ("is_air", 0.13))
    return next((deflection for kind, deflection in kinds if is_so(numbers, name, kind)), 0.07)


def _damping_ratio(numbers: Numbers, name: str) -> Any:
    """0.2 under 1.5 t or more, as trucks have it; 0.3 under a tonne or less, as published cars do [-].

    By the load, not the kind of vehicle: a truck's shocks are chosen laden, and damp it more when empty.
    """
    return np.interp(numbers[f"axle.{name}.sprung_load"], [1000.0, 1500.0], [0.3, 0.2])


def _static_spring_rate(numbers: Numbers, name: str) -> Any:
    """A leaf's rate for small shakes without what friction adds; else load over static deflection [N/m]."""
    if is_so(numbers, name, "is_leaf") and is_given(numbers, f"axle.{name}", "spring_rate"):
        return numbers[f"axle.{name}.spring_rate"] / numbers[f"axle.{name}.small_shake_factor"]
    return numbers[f"axle.{name}.sprung_load"] * GRAVITY / numbers[f"axle.{name}.static_deflection"]


def _air_rate(numbers: Numbers, name: str) -> Any:
    load = numbers[f"axle.{name}.sprung_load"] * GRAVITY
    return air_spring_rate(load, numbers[f"axle.{name}.air.pressure"], numbers[f"axle.{name}.air.volume"])


def _spring_rate(numbers: Numbers, name: str) -> Any:
    """Air by pressure and volume; a leaf's static rate times its small-shake factor; else the static rate."""
    if is_given(numbers, f"axle.{name}", "air.pressure", "air.volume"):
        return numbers[f"axle.{name}.air_rate"]
    static = numbers[f"axle.{name}.static_spring_rate"]
    return static * numbers[f"axle.{name}.small_shake_factor"] if is_so(numbers, name, "is_leaf") else static


def _damping(numbers: Numbers, name: str) -> Any:
    """c = 2 z sqrt(k m), of the sprung load on its springs [N s/m].

    Shocks are chosen for leaves as they ride, so k is without what friction adds for small shakes.  Where
    both directions are given, their mean.
    """
    if is_given(numbers, f"axle.{name}", "compression_damping", "rebound_damping"):
        return (numbers[f"axle.{name}.compression_damping"] + numbers[f"axle.{name}.rebound_damping"]) / 2
    rate = numbers[f"axle.{name}.spring_rate"]
    if is_so(numbers, name, "is_leaf"):
        rate = rate / numbers[f"axle.{name}.small_shake_factor"]
    return 2 * numbers[f"axle.{name}.damping_ratio"] * np.sqrt(rate * numbers[f"axle.{name}.sprung_load"])


# --- tyres --------------------------------------------------------------------------------------------------


def _tyre_deflection(numbers: Numbers, name: str) -> Any:
    """25 mm under a tonne on the tyre, 30 mm under two and a half; 20 mm under 400 kg, 12 under 200 [m].

    Common practice, no source; the light end by published sets of cars.
    """
    on_one = _carried(numbers, name) / numbers[f"axle.{name}.tyres"]
    return np.interp(on_one, [200.0, 400.0, 1000.0, 2500.0], [0.012, 0.020, 0.025, 0.030])


def _tyre_rate(numbers: Numbers, name: str) -> Any:
    """All tyres of the axle together, by size and pressure (Rhyne 2005); else load over deflection [N/m]."""
    facts = ("pressure", "tyre_width", "tyre_aspect", "rim_diameter")
    if is_given(numbers, f"axle.{name}", *facts):
        one = radial_tyre_rate(*(numbers[f"axle.{name}.{fact}"] for fact in facts))
        return numbers[f"axle.{name}.tyres"] * one
    return _carried(numbers, name) * GRAVITY / numbers[f"axle.{name}.tyre_deflection"]


def _tyre_damping(numbers: Numbers, name: str) -> Any:
    """c = eta k / w, w of the axle hop between tyres and springs [N s/m]."""
    tyre, spring = numbers[f"axle.{name}.tyre_rate"], numbers[f"axle.{name}.spring_rate"]
    hop = np.sqrt((tyre + spring) / numbers[f"axle.{name}.unsprung_mass"])
    return numbers[f"axle.{name}.tyre_loss_factor"] * tyre / hop


def _circumference(numbers: Numbers, name: str) -> Any:
    return rolling_circumference(numbers[f"axle.{name}.tyre_diameter"])


def _contact_length(numbers: Numbers, name: str) -> Any:
    """By load, pressure and tread width; else a fifth of the diameter; else 0.18 m."""
    try:
        load = _carried(numbers, name) * GRAVITY / numbers[f"axle.{name}.tyres"]
        facts = (numbers[f"axle.{name}.{fact}"] for fact in ("pressure", "tyre_width", "tyre_diameter"))
        return contact_length(load, *facts)
    except Missing:
        known = is_given(numbers, f"axle.{name}", "tyre_diameter")
        return 0.2 * numbers[f"axle.{name}.tyre_diameter"] if known else 0.18


PRACTICE = "common practice, no source"

AXLE_RULES: Mapping[str, Rule] = MappingProxyType(
    {
        "axle.*.station": Rule(_station, 0.0, "the first axle stands at 0, the last at the wheelbase"),
        "axle.*.tyres": Rule(
            lambda numbers, name: 2.0, 0.0, "single wheels, where not said otherwise", "assumed"
        ),
        "axle.*.sprung_load": Rule(
            _sprung_load, 0.0, "load less unsprung mass, or its lever's share of the sprung mass"
        ),
        "axle.*.unsprung_mass": Rule(
            _unsprung_mass,
            0.55,
            "tyre size, driven or not; ranges of UMTRI-86-12 (from memory), published sets of light vehicles",
        ),
        "axle.*.static_deflection": Rule(_static_deflection, 1.0, "kind of spring; " + PRACTICE, "assumed"),
        "axle.*.static_spring_rate": Rule(
            _static_spring_rate, 0.0, "load over deflection, or a leaf's small-shake rate over its factor"
        ),
        "axle.*.small_shake_factor": Rule(
            lambda numbers, name: 2.0, 0.6, "a leaf pack held by its own friction; " + PRACTICE, "assumed"
        ),
        "axle.*.air_rate": Rule(_air_rate, 0.2, "polytropic air at constant effective area, exponent 1.3"),
        "axle.*.spring_rate": Rule(
            _spring_rate, 0.0, "air, or static rate, times the small-shake factor of leaves"
        ),
        "axle.*.damping_ratio": Rule(
            _damping_ratio, 0.8, "body on its springs, by the load on them; " + PRACTICE, "assumed"
        ),
        "axle.*.damping": Rule(_damping, 0.0, "damping ratio of the body on its springs; both ways: mean"),
        "axle.*.tyre_deflection": Rule(_tyre_deflection, 0.5, PRACTICE, "assumed"),
        "axle.*.tyre_rate": Rule(
            _tyre_rate,
            0.15,
            "size and pressure: Rhyne 2005, Tire Sci. Technol. 33(3), from memory; else load over deflection",
        ),
        "axle.*.tyre_loss_factor": Rule(
            lambda numbers, name: 0.08, 0.5, "rolling tyre; " + PRACTICE, "assumed"
        ),
        "axle.*.tyre_damping": Rule(_tyre_damping, 0.0, "loss factor at the axle hop"),
        "axle.*.circumference": Rule(
            _circumference, 0.02, "3.05 times the outside diameter, radial: ETRTO (from memory)"
        ),
        "axle.*.contact_length": Rule(
            _contact_length, 0.3, "load over pressure and tread width; " + PRACTICE
        ),
    }
)
"""By path, * the name of the axle.  An axle's load is never estimated."""
