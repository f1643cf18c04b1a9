"""A damper from what is known of it: text, SI or quantities, and every fault at once."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi, sqrt

from ..model.faults import CounterbounceError, Fault
from ..model.quantities import Quantity, si
from ..model.units import UnitFault
from .absorber import GRAVITY, Damper

WANTED = {  # what may be known: unit, example
    "mass": ("kg", "20 kg"),
    "tuned": ("Hz", "7.1 Hz"),
    "stiffness": ("N/m", "40 kN/m"),
    "sag": ("m", "5 mm"),
    "damping": ("", "8 %"),
    "dashpot": ("N*s/m", "150 N*s/m"),
}
TUNED_BY, DAMPED_BY = ("tuned", "stiffness", "sag"), ("damping", "dashpot")


def written(place: str, mass: Quantity, **known: Quantity) -> Damper:
    """A damper at a named place from its mass [kg] and what else is known of it.

    known  one of tuned [Hz, its own frequency on a fixed place], stiffness [N/m] or sag [m, under its mass];
           and one of damping [-, over its own critical damping] or dashpot [N s/m]

    Raises CounterbounceError with every fault at once.

    >>> one = written("rear end", "20 kg", sag="5 mm", damping="8 %")
    >>> round(one.stiffness), round(one.tuned_hz, 2)
    (39227, 7.05)
    """
    faults = [_choice(group, known) for group in (TUNED_BY, DAMPED_BY)]
    strange = [name for name in known if name not in TUNED_BY + DAMPED_BY]
    if strange:
        raise TypeError(f"written() knows no {strange[0]!r}; it takes {', '.join((*TUNED_BY, *DAMPED_BY))}")
    numbers: dict[str, float] = {}
    for name, value in {"mass": mass, **known}.items():
        try:
            numbers[name] = si(value, *WANTED[name], above=None if name in DAMPED_BY else 0.0)
        except UnitFault as fault:
            wanted = fault.wanted + (f" ({fault.hint})" if fault.hint else "")
            faults.append(Fault("damper", None, name, fault.given, wanted, fault.near, fault.example))
    found = [fault for fault in faults if fault is not None]
    if found:
        raise CounterbounceError(found)
    return _damper(place, numbers)


def _choice(group: tuple[str, ...], known: Mapping[str, Quantity]) -> Fault | None:
    given = [name for name in group if name in known]
    if len(given) == 1:
        return None
    example = f'{group[0]}="{WANTED[group[0]][1]}"'
    return Fault("damper", None, " and ".join(given), "", "wanted one of", "", example, group)


def _damper(place: str, numbers: Mapping[str, float]) -> Damper:
    mass = numbers["mass"]
    if "tuned" in numbers:
        stiffness = mass * (2 * pi * numbers["tuned"]) ** 2
    else:
        stiffness = numbers["stiffness"] if "stiffness" in numbers else mass * GRAVITY / numbers["sag"]
    critical = 2 * sqrt(stiffness * mass)
    dashpot = numbers["dashpot"] if "dashpot" in numbers else numbers["damping"] * critical
    return Damper(place, mass, stiffness, dashpot)
