"""What one written unit is of the unit wanted: the only place that asks the units library.

A unit is names joined by * / or a space, with powers: "kN*s/m", "lbf/in", "kg*m^2".
"""

from __future__ import annotations

import math
import re
from functools import cache, lru_cache
from typing import Any

from .faults import nearest

_NAME = r"[A-Za-zµμ][A-Za-zµμ_]*[0-9]?"
_FACTOR = rf"\(?{_NAME}(?:(?:\^|\*\*)-?[1-9]|[²³])?\)?"
_UNIT = re.compile(rf"{_FACTOR}(?:\s*[*/·]\s*{_FACTOR}|\s+{_FACTOR}){{0,5}}\Z")

# Frequencies are read by this table alone: the units library takes a turn for 2 pi, so 60 rpm for 6.28 Hz.
_PER_SECOND = {
    "Hz": 1.0, "kHz": 1e3, "1/s": 1.0, "cycle/s": 1.0, "cycles/s": 1.0, "rev/s": 1.0,
    "1/min": 1 / 60, "rpm": 1 / 60, "rev/min": 1 / 60, "cycle/min": 1 / 60, "cycles/min": 1 / 60,
    "rad/s": 0.5 / math.pi,
}  # fmt: skip
# Written together in the workshop, but not known to the units library, or known to it as something else.
_SPELLINGS = {
    "Ns": "N*s", "kNs": "kN*s", "Nm": "N*m", "kNm": "kN*m", "MNm": "MN*m", "kgm": "kg*m", "lbs": "lb",
    "lbfs": "lbf*s", "kmh": "km/h", "mps": "m/s", "ftlbf": "ft*lbf",
}  # fmt: skip
_KNOWN = (
    "m", "mm", "cm", "km", "in", "ft", "mi", "kg", "t", "lb", "slug", "N", "kN", "MN", "lbf", "kgf", "N/m",
    "kN/m", "MN/m", "N/mm", "lbf/in", "lbf/ft", "N*s/m", "kN*s/m", "lbf*s/in", "kg*m", "kg*m^2", "N*m^2",
    "kN*m^2", "MN*m^2", "lbf*in^2", "bar", "kPa", "psi", "m/s", "km/h", "mph", "m/s^2", "ft/s^2", "milli-g",
    "m^3", "L", "Hz",
)  # fmt: skip
_HINTS = {
    "lb": "lb is a mass; the force is lbf, so a rate is lbf/in",
    "lbs": "lb is a mass; the force is lbf, so a rate is lbf/in",
    "g": "g is the gram; an acceleration is written m/s^2, standard_gravity or milli-g",
    "mg": "mg is the milligram; a thousandth of gravity is written milli-g",
    "kg": "kg is a mass; a force is N or kN",
    "kn": "kn is the knot; the kilonewton is kN",
    "T": "T is the tesla; the tonne is t",
    "ton": "ton has several meanings; write t for 1000 kg, or give it in lb",
    "tons": "ton has several meanings; write t for 1000 kg, or give it in lb",
    "rpm": "rpm is for frequencies only",
    "Nm": "Nm is a torque; a rate is N/m",
}
_TOO_AMBIGUOUS = {"ton", "tons"}
_MASSES = {"kg", "lb", "lbs"}


@cache
def _registry() -> Any:
    import pint  # late: it costs more than all else here

    try:
        return pint.UnitRegistry(cache_folder=":auto:")
    except OSError:  # no home to keep the cache in
        return pint.UnitRegistry()


def _spelt_out(unit: str) -> str:
    """The unit as the units library spells it."""
    text = unit.replace("·", "*").replace("²", "^2").replace("³", "^3").replace("μ", "µ")
    text = text.replace("milli-g", "millistandard_gravity")
    text = re.sub(r"(?<=[A-Za-z])\.(?=[A-Za-z])", "*", text)
    return re.sub(_NAME, lambda found: _SPELLINGS.get(found[0], found[0]), text)


def _hint(unit: str, wanted: str) -> str:
    """Why a unit is of another kind, where a name in it is often taken for something else."""
    if re.search(r"[A-Za-z]-[A-Za-z]", unit):
        return "a hyphen is not a product; write N*m"
    names = [name for name in re.findall(_NAME, unit) if name not in names_in(wanted)]
    names = [name for name in names if name not in _MASSES or "N" in names_in(wanted)]
    return next((_HINTS[name] for name in names if name in _HINTS), "")


@lru_cache(4096)
def factor(unit: str, wanted: str) -> float:
    """How many of `wanted` one `unit` is.  Raises ValueError, with a hint where there is one to give.

    >>> factor("km/h", "m/s") * 36, factor("rpm", "Hz") * 60
    (10.0, 1.0)
    """
    if wanted == "Hz":
        per_second = _PER_SECOND.get(re.sub(r"\s*/\s*", "/", unit))
        if per_second is None:
            raise ValueError(_hint(unit, wanted))
        return per_second
    spelt = _spelt_out(unit)
    if not _UNIT.match(spelt) or spelt.count("(") != spelt.count(")") or len(spelt) > 60:
        raise ValueError(_hint(unit, wanted))
    if _TOO_AMBIGUOUS & names_in(spelt):
        raise ValueError(_hint(unit, wanted))
    return _library_factor(spelt, wanted, _hint(unit, wanted))


def _library_factor(spelt: str, wanted: str, hint: str) -> float:
    registry = _registry()
    try:
        parsed = registry.parse_units(spelt)
        # Turns, counts and radians are silent factors to the library; here they are part of no kind.
        kinds = [set(registry.Unit(name).dimensionality.items()) for name in parsed._units]
        if any(not kind or kind == {("[time]", -1)} for kind in kinds):
            raise ValueError(hint)
        one = float(registry.Quantity(1.0, parsed).to(wanted).magnitude)
    except Exception:  # the library raises many kinds, down to AttributeError; each means: not such a unit
        raise ValueError(hint) from None
    if not (math.isfinite(one) and one > 0):
        raise ValueError(hint)
    return one


def nearest_unit(unit: str, wanted: str) -> str:
    """The unit of the kind wanted that is spelt most like `unit`, or nothing."""
    near = nearest(unit, [known for known in _KNOWN if _fits(known, wanted)])
    return near if near != unit else ""


@cache
def _fits(unit: str, wanted: str) -> bool:
    try:
        return factor(unit, wanted) > 0
    except ValueError:
        return False


def names_in(unit: str) -> set[str]:
    """The bare names in a unit as written.

    >>> sorted(names_in("lbf*s/in"))
    ['in', 'lbf', 's']
    """
    return set(re.findall(_NAME, unit))
