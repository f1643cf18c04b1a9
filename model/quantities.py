"""The same door for whoever writes Python: SI, a text with its unit, or a quantity of a units library.

A bare number is taken as SI here, unlike in a case file: who calls a function has read what it takes.
"""

from __future__ import annotations

import math
import re
from numbers import Real
from typing import Any, Protocol, TypeAlias, cast

from .units import UnitFault, Wants, read, shorten


class WithUnit(Protocol):
    """A number that knows its unit and converts itself, as pint's quantities do."""

    @property
    def magnitude(self) -> Any:
        """The bare number, in its own unit."""

    def to(self, unit: str, /) -> Any:
        """The same quantity in another unit."""


Quantity: TypeAlias = float | str | WithUnit

# To a units library a turn is 2 pi and a hertz is 1/s: it makes 6.28 Hz of 60 rpm and of 2 pi rad/s.
_NO_ANGLE = re.compile(r"(?:kilo|milli)?hertz|k?Hz|seconds?|s|minutes?|min|hours?|h")


def si(value: Quantity, unit: str, example: str, above: float | None = None) -> float:
    """One quantity in the unit wanted.  Raises UnitFault, a ValueError, that says what was wanted.

    value    a number already in `unit`, a text such as "20 kg", or a quantity that has `to` and `magnitude`
    unit     the SI unit wanted; "" for a pure number, which may be written in %
    example  what a right text looks like
    above    what it must be more than, in `unit`; None: any finite number

    >>> si(20.0, "kg", "20 kg"), si("20 kg", "kg", "20 kg"), si("8 %", "", "8 %")
    (20.0, 20.0, 0.08)
    >>> si("20", "kg", "20 kg")
    Traceback (most recent call last):
    counterbounce.model.units.UnitFault: '20': wanted a number and its unit, kept in kg (the unit is missing)
    """
    wants = Wants(unit, example, above=above, pure=not unit)
    if isinstance(value, str):
        return read(value, wants).value
    plain = isinstance(value, Real) and not isinstance(value, bool)
    number = float(cast(float, value)) if plain else _converted(value, wants)
    if not (math.isfinite(number) and (above is None or number > above)):
        least = "" if above is None else f" more than {above:g}{f' {unit}' if unit else ''}"
        raise _fault(value, wants, f"it must be a finite number{least}")
    return number


def _converted(value: Any, wants: Wants) -> float:
    if isinstance(value, bool) or not (hasattr(value, "to") and hasattr(value, "magnitude")):
        raise _fault(value, wants, "a float in SI, a text, or a quantity with its unit")
    if wants.unit == "Hz" and not _without_angle(value):
        raise _fault(value, wants, "a turn is not one cycle to a units library: give it in hertz, or as text")
    try:
        return float(value.to(wants.unit).magnitude)
    except (TypeError, ValueError) as fault:  # of another kind, or many numbers
        raise _fault(value, wants, str(fault)) from None


def _without_angle(value: Any) -> bool:
    names = re.findall(r"[A-Za-z_]+", str(getattr(value, "units", "")))
    return all(_NO_ANGLE.fullmatch(name) for name in names)


def _fault(given: object, wants: Wants, hint: str) -> UnitFault:
    wanted = f"wanted a quantity in {wants.unit}" if wants.unit else "wanted a pure number"
    return UnitFault(shorten(given), wanted, example=f'"{wants.example}"', hint=hint)
