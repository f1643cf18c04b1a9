"""The door: "4.2 t" comes in, 4200.0 kg stays; a bare number is refused where a unit is wanted.

A quantity is NUMBER UNIT [± NUMBER (UNIT or %)] [(ORIGIN: source)], for example
"2.61 t ± 20 kg (measured: weighbridge, driver aboard)".  ± is half the 95 % width.  Only the name of a unit
is looked up in the units library, never the whole text: its own reading of "3 1/2 in" is an inch and a half.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from .faults import nearest
from .unit_names import factor, names_in, nearest_unit

LONGEST = 400  # characters of a quantity, source and all
ORIGINS = ("measured", "published", "estimated", "assumed", "calibrated")

_NUMBER = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_MAIN = re.compile(rf"({_NUMBER})\s*(.*)\Z", re.DOTALL)
_PLUS_MINUS = re.compile(r"±|\+/-|\+-")
_NOTE = re.compile(r"(?<![*/·\s(])\s*\(\s*([A-Za-z][^()]*|[A-Za-z]+\s*:.*)\)\s*\Z", re.DOTALL)


class UnitFault(ValueError):
    """A text that is no quantity of the kind wanted: what came, what was wanted, and how to put it right."""

    def __init__(self, given: str, wanted: str, *, near: str = "", example: str = "", hint: str = "") -> None:
        self.given, self.wanted, self.near, self.example, self.hint = given, wanted, near, example, hint
        super().__init__(f"{given}: {wanted}" + (f" ({hint})" if hint else ""))


@dataclass(frozen=True)
class Reading:
    """A quantity that was read: `value` and `half` (±, None where not written) in the unit wanted."""

    value: float
    half: float | None
    unit_written: str
    origin: str | None
    source: str


@dataclass(frozen=True)
class Wants:
    """What a key wants: the unit it is kept in, an example, bounds in that unit, and how the number varies.

    law   factor: positive and uncertain by a factor; shift: a station or offset, uncertain by a length
    pure  a number without a unit, which may stand bare or in %
    """

    unit: str
    example: str
    above: float | None = None
    at_least: float | None = None
    below: float | None = None
    law: Literal["factor", "shift"] = "factor"
    pure: bool = False


def _wanted(wants: Wants) -> str:
    if wants.pure:
        return "wanted a pure number, bare or in %"
    return f"wanted a number and its unit, kept in {wants.unit}"


def _grammar_hint(text: str) -> str:
    """Why a text is no NUMBER UNIT, for the ways of writing that are met most."""
    start = text.lstrip()
    if re.match(r"[+-]?[0-9]+\s+[0-9]+/[0-9]+|[+-]?[0-9]+/[0-9]+|[0-9]*\s*[¼½¾⅛⅜⅝⅞]", start):
        return "no fractions: write 3.5 in for 3 1/2 in"
    if re.match(r"[+-]?[0-9]+[,'_][0-9]", start):
        return "no separators: write 1200, and 4.2 with a point"
    if re.match(rf"{_NUMBER}\s*[A-Za-z\"']+\s*[0-9][0-9.]*\s*[A-Za-z\"']+", start):
        return "one number and one unit: write 15.5 ft for 15 ft 6 in"
    if re.match(r"(?i)[+-]?(nan|inf)", start):
        return "not a finite number"
    if re.match(r"[A-Za-zµ%]", start):
        return "the number is missing"
    if re.match(rf"{_NUMBER}\s*[*+/^(-]", start):
        return "one number and then its unit, no arithmetic"
    return ""


def shorten(given: object, longest: int = 80) -> str:
    """What came, as the person wrote it, cut where it is long."""
    try:
        text = repr(given[: 2 * longest]) if isinstance(given, str) else repr(given)
    except (ValueError, RecursionError):  # an integer of thousands of digits, a table of thousands of levels
        return f"a very long {type(given).__name__}"
    return text if len(text) <= longest else text[: longest - 1] + "…"


def read(text: object, wants: Wants) -> Reading:
    """A quantity out of a case file, in the unit wanted.  Raises UnitFault.

    >>> read("310 kN/m ± 10 %", Wants("N/m", "310 kN/m"))
    Reading(value=310000.0, half=31000.0, unit_written='kN/m', origin=None, source='')
    >>> read("2.61 t ± 20 kg (measured: weighbridge)", Wants("kg", "2.6 t")).source
    'weighbridge'
    >>> read(0.03, Wants("", "3 %", pure=True)).value
    0.03
    """
    if isinstance(text, int | float) and not isinstance(text, bool):
        return _read_bare(text, wants)
    if not isinstance(text, str):
        raise UnitFault(shorten(text), _wanted(wants), example=f'"{wants.example}"', hint="not a quantity")
    if len(text) > LONGEST:
        raise _fault(text, wants, f"longer than {LONGEST} characters")
    body, origin, source = _split_note(text, wants)
    pieces = _PLUS_MINUS.split(body.replace("−", "-").strip())  # a minus sign that was pasted
    if len(pieces) > 2:
        raise _fault(text, wants, "more than one ±")
    value, unit, scale = _read_one(pieces[0].strip(), text, wants)
    half = _read_half(pieces[1].strip(), text, wants, value, unit, scale) if len(pieces) == 2 else None
    _check_bounds(value, text, wants)
    return Reading(value, half, unit, origin, source)


def _fault(text: str, wants: Wants, hint: str = "", near: str = "") -> UnitFault:
    return UnitFault(shorten(text), _wanted(wants), near=near, example=f'"{wants.example}"', hint=hint)


def _read_bare(number: int | float, wants: Wants) -> Reading:
    given = shorten(number)
    if not wants.pure:
        hint = "a bare number has no unit"
        raise UnitFault(given, _wanted(wants), example=f'"{wants.example}"', hint=hint)
    try:
        value = float(number)
    except OverflowError:
        value = math.inf
    _check_bounds(value, given, wants)
    return Reading(value, None, "", None, "")


def _split_note(text: str, wants: Wants) -> tuple[str, str | None, str]:
    """The quantity, its origin and its source."""
    found = _NOTE.search(text)
    if not found:
        return text, None, ""
    origin, _, source = found[1].partition(":")
    word = origin.strip().lower()
    if word not in ORIGINS:
        near = nearest(word, ORIGINS)
        raise _fault(
            text, wants, f"the note must begin with {', '.join(ORIGINS[:-1])} or {ORIGINS[-1]}", near
        )
    return text[: found.start()], word, " ".join(source.split())


def _read_one(piece: str, text: str, wants: Wants) -> tuple[float, str, float]:
    """Value in the unit wanted, unit as written, and how many wanted units one written unit is."""
    found = _MAIN.match(piece)
    if not found:
        raise _fault(text, wants, _grammar_hint(piece))
    number, unit = float(found[1]), found[2].strip()
    scale = _scale(unit, piece, text, wants)
    value = number * scale
    if not math.isfinite(value):
        raise _fault(text, wants, "too large a number")
    return value, unit, scale


def _scale(unit: str, piece: str, text: str, wants: Wants) -> float:
    if wants.pure:
        if unit in ("", "%"):
            return 0.01 if unit else 1.0
        raise _fault(text, wants, _grammar_hint(piece) or "it has no unit")
    if not unit:
        raise _fault(text, wants, "the unit is missing")
    try:
        return factor(unit, wants.unit)
    except ValueError as fault:
        hint = _grammar_hint(piece) or str(fault)
        near = "" if hint else nearest_unit(unit, wants.unit)
        raise _fault(text, wants, hint, near) from None


def _read_half(piece: str, text: str, wants: Wants, value: float, unit: str, scale: float) -> float:
    """± in the unit wanted; in % it is a share of the value, unless the value itself is written in %."""
    found = _MAIN.match(piece)
    if not found:
        raise _fault(text, wants, "after ± a number and a unit, or %")
    number, half_unit = float(found[1]), found[2].strip()
    if half_unit == "%" and unit != "%":
        half = number / 100 * abs(value)
        if value == 0 and number:
            raise _fault(text, wants, "a share of nothing is nothing: give ± in a unit")
    elif half_unit == unit:
        half = number * scale
    else:
        half = _read_one(piece, text, wants)[0]
    if not (math.isfinite(half) and half >= 0):
        raise _fault(text, wants, "± must be finite and not negative")
    if half_unit == unit == "%" and half > abs(value):
        share = f"{value:g} ± {piece.strip()}"
        raise _fault(
            text, wants, f"± {number:g} % of a number in % is percentage points; as a share write {share}"
        )
    if wants.law == "factor" and half > 10 * abs(value):
        raise _fault(text, wants, "± is more than ten times the number")
    return half


def _check_bounds(value: float, text: str, wants: Wants) -> None:
    unit = f" {wants.unit}" if wants.unit else ""
    checks = [(math.isfinite(value), "a finite number")]
    if wants.above is not None:
        checks.append((value > wants.above, f"more than {wants.above:g}{unit}"))
    if wants.at_least is not None:
        checks.append((value >= wants.at_least, f"at least {wants.at_least:g}{unit}"))
    if wants.below is not None:
        checks.append((value < wants.below, f"less than {wants.below:g}{unit}"))
    for holds, rule in checks:
        if not holds:
            raise _fault(text, wants, f"it must be {rule}")


Kind = Literal[
    "speed", "mass", "length", "small_length", "stiffness", "damping", "force", "acceleration", "frequency"
]
# what is shown, and how many of the SI unit one of it is
_SHOWN: dict[str, dict[str, tuple[str, float]]] = {
    "metric": {
        "mass": ("kg", 1.0), "length": ("m", 1.0), "small_length": ("mm", 1e-3), "stiffness": ("kN/m", 1e3),
        "damping": ("N*s/m", 1.0), "force": ("N", 1.0), "acceleration": ("m/s^2", 1.0),
        "frequency": ("Hz", 1.0),
    },
    "US": {
        "mass": ("lb", 0.45359237), "length": ("ft", 0.3048), "small_length": ("in", 0.0254),
        "stiffness": ("lbf/in", 4.4482216152605 / 0.0254), "damping": ("lbf*s/in", 4.4482216152605 / 0.0254),
        "force": ("lbf", 4.4482216152605), "acceleration": ("m/s^2", 1.0), "frequency": ("Hz", 1.0),
    },
}  # fmt: skip
_SPEEDS = {"km/h": 1 / 3.6, "mph": 0.44704}


def significant(value: float, digits: int = 3) -> str:
    """`value` [in any unit] to some significant digits, never in powers of ten.

    >>> significant(6214.2), significant(0.012345), significant(0.0)
    ('6210', '0.0123', '0')
    """
    if not math.isfinite(value) or value == 0:
        return f"{value:g}"
    power = math.floor(math.log10(abs(value)))
    rounded = round(value, digits - 1 - power)
    if abs(rounded) >= 10.0 ** (power + 1):  # 9.996 became 10.0
        power += 1
    return f"{rounded:.{max(digits - 1 - power, 0)}f}"


@dataclass(frozen=True)
class Display:
    """The units a person wrote, and so gets back."""

    speed: str = "km/h"
    system: Literal["metric", "US"] = "metric"

    def unit(self, kind: Kind) -> tuple[str, float]:
        """The unit shown for a kind of quantity, and how many of the SI unit one of it is."""
        if kind == "speed":
            return self.speed, _SPEEDS[self.speed]
        return _SHOWN[self.system][kind]

    def show(self, value: float, kind: Kind, digits: int = 3) -> str:
        """`value` in SI units, as the person would write it.

        >>> Display().show(25.0, "speed"), Display("mph", "US").show(0.0254, "small_length")
        ('90.0 km/h', '1.00 in')
        """
        unit, one = self.unit(kind)
        return f"{significant(value / one, digits)} {unit}"


_US = {"lb", "lbs", "lbm", "lbf", "in", "inch", "ft", "foot", "mi", "mph", "psi", "slug", "kip"}


def display_of(units_written: Iterable[str]) -> Display:
    """The display that answers in the units of the questions.

    >>> display_of(["mph", "lb", "in"]), display_of(["km/h", "kg"])
    (Display(speed='mph', system='US'), Display(speed='km/h', system='metric'))
    """
    written = [unit for unit in units_written if unit and unit != "%"]
    us = sum(bool(_US & names_in(unit)) for unit in written)
    system: Literal["metric", "US"] = "US" if 2 * us > len(written) else "metric"
    mph = sum(unit in ("mph", "mi/h", "mi/hr") for unit in written)
    kmh = sum(unit.replace(" ", "") in ("km/h", "kph", "kmh", "km/hr") for unit in written)
    by_system = "mph" if system == "US" and not kmh else "km/h"
    return Display("mph" if mph > kmh else "km/h" if kmh > mph else by_system, system)
