"""A size on the sidewall to diameters and rolling circumference, and how stiff such a tyre is."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

import numpy as np

INCH = 0.0254
MILE = 1609.344
GRAVITY = 9.80665

ROLLING_FACTOR = 3.05
"""Rolling circumference over nominal outside diameter, radial tyres (ETRTO, from memory)."""

# Section height over width where the size does not say it; all three within about 3 % of the diameters in the
# trade's tables.  Common practice, no source.
TUBELESS_ASPECT = 0.87  # whole-inch widths on 17.5, 19.5, 22.5 and 24.5 in rims: 11R22.5
TUBE_TYPE_ASPECT = 1.06  # widths with decimals on whole-inch rims: 8.25R20, 7.50R16
METRIC_ASPECT = 0.82  # millimetres and no aspect: 185R14C

_PLY = r"\s*(?P<ply>Z?RF?|D|B|-)\s*"
_RIM = r"(?P<rim>\d\d(?:\.5)?)(?P<rest>(?:(?:LT|ST|CP|C)?(?:[\s(].*)?)?)$"
_METRIC = re.compile(r"(?:LT|ST|P|T)?\s*(?P<width>\d{3})(?:\s*/\s*(?P<aspect>\d\d\d?))?" + _PLY + _RIM)
_FLOTATION = re.compile(r"(?:LT)?\s*(?P<diameter>\d\d(?:\.\d+)?)\s*X\s*(?P<width>\d\d?\.\d+)" + _PLY + _RIM)
_NUMERIC = re.compile(r"(?P<width>\d\d?(?:\.\d\d?)?)" + _PLY + _RIM)
_ANOTHER = re.compile(r"\d\s*(?:R|-)\s*\d\d")
_WANTED = 'a tyre size as on the sidewall, such as "225/70R19.5", "LT245/75R16", "35x12.50R20" or "11R22.5"'


@dataclass(frozen=True)
class TyreSize:
    """A tyre by the size on its sidewall.

    width         [m] nominal section
    aspect        [-] section height over width
    rim           [m] nominal diameter
    diameter      [m] nominal outside diameter, new
    aspect_given  False where the trade's rule stands in for an aspect that the size does not state
    radial        False for bias and belted bias tyres
    """

    width: float
    aspect: float
    rim: float
    diameter: float
    aspect_given: bool = True
    radial: bool = True


def parse_size(text: str) -> TyreSize:
    """Width, aspect and diameters [m] from a size on the sidewall; load indices and the like are passed over.

    text     the size [-]: metric, flotation or numeric
    returns  TyreSize

    Raises ValueError, saying what is wanted.  Source: the arithmetic of the ETRTO and TRA size markings.

    >>> round(parse_size("225/70R19.5 128/126M").diameter, 4)
    0.8103
    >>> parse_size("35x12.50R20").diameter == 35 * 0.0254
    True
    """
    written = text.strip().upper().replace("×", "X").replace("\N{EN DASH}", "-")
    for pattern, read in ((_FLOTATION, _flotation), (_METRIC, _metric), (_NUMERIC, _numeric)):
        found = pattern.match(written)
        if found and not _ANOTHER.search(found["rest"]):
            return _checked(read(found), text)
    raise ValueError(f"wanted {_WANTED}, got {text!r}")


def _size(found: re.Match[str], width: float, aspect: float, given: bool) -> TyreSize:
    rim = float(found["rim"]) * INCH
    return TyreSize(width, aspect, rim, rim + 2 * width * aspect, given, found["ply"].startswith(("R", "Z")))


def _metric(found: re.Match[str]) -> TyreSize:
    aspect = float(found["aspect"]) / 100 if found["aspect"] else METRIC_ASPECT
    return _size(found, float(found["width"]) / 1000, aspect, given=bool(found["aspect"]))


def _flotation(found: re.Match[str]) -> TyreSize:
    width, height = float(found["width"]) * INCH, (float(found["diameter"]) - float(found["rim"])) * INCH / 2
    return _size(found, width, height / width, given=True)


def _numeric(found: re.Match[str]) -> TyreSize:
    aspect = TUBELESS_ASPECT if found["rim"].endswith(".5") else TUBE_TYPE_ASPECT
    return _size(found, float(found["width"]) * INCH, aspect, given=False)


def _checked(size: TyreSize, text: str) -> TyreSize:
    """A size that some road tyre could have: a misread digit shows up in one of these."""
    ranges = (
        ("a width of 0.1 to 0.5 m", size.width, 0.1, 0.5),
        ("an aspect of 25 to 115 %", size.aspect, 0.25, 1.15),
        ("a rim of 10 to 26 in", size.rim, 10 * INCH, 26 * INCH),
    )
    for wanted, value, low, high in ranges:
        if not low <= value <= high:
            raise ValueError(f"wanted {_WANTED}, with {wanted}, got {text!r}")
    return size


def rolling_circumference(diameter: Any) -> Any:
    """Distance rolled in one turn [m] by a radial tyre.

        C = 3.05 D

    diameter  D [m], nominal outside diameter, new

    A tyre flattens on the road: pi D would put every critical speed 3 % too high.
    Source: ETRTO (from memory).

    >>> round(rolling_circumference(1.0755), 2)
    3.28
    """
    return ROLLING_FACTOR * diameter


def revolutions_per_mile(circumference: Any) -> Any:
    """Turns in a mile [-].

    circumference  [m], rolling
    """
    return MILE / circumference


def revolutions_per_kilometre(circumference: Any) -> Any:
    """Turns in a kilometre [-].

    circumference  [m], rolling
    """
    return 1000 / circumference


def order_speed(frequency: Any, circumference: Any, order: Any = 1) -> Any:
    """Road speed [m/s] at which a wheel order has a frequency.

        v = f C / n

    frequency      f [Hz]
    circumference  C [m], rolling
    order          n [-], events in one turn of the wheel

    >>> round(order_speed(8.0, 2.53), 2)
    20.24
    """
    return frequency * circumference / order


def radial_tyre_rate(pressure: Any, width: Any, aspect: Any, rim: Any) -> Any:
    """Vertical rate of one belted radial tyre [N/m].

        K = 0.00028 P sqrt((1.03 - 0.4 A) W (2 A W + R)) + 3.45      K in kgf/mm, P in kPa, W and R in mm

    pressure  P [Pa], inflation
    width     W [m], nominal section
    aspect    A [-], section height over width
    rim       R [m], nominal diameter

    Source: Rhyne 2005, Development of a vertical stiffness relationship for belted radial tires, Tire Science
    and Technology 33(3), 136-155.  Its abstract was seen; the formula and its constants are from memory.

    >>> round(radial_tyre_rate(220e3, 0.205, 0.55, 0.4064) / 1000)
    230
    """
    shape = (1.03 - 0.4 * aspect) * width * (2 * aspect * width + rim) * 1e6
    return (0.00028 * pressure / 1e3 * np.sqrt(shape) + 3.45) * GRAVITY * 1e3


def contact_length(load: Any, pressure: Any, width: Any, diameter: Any) -> Any:
    """Length of the footprint of one tyre [m].

        L = F / (0.75 W p), within 0.15 D and 0.3 D

    load      F [N], on one tyre
    pressure  p [Pa], inflation
    width     W [m], nominal section; the tread is about three quarters of it
    diameter  D [m], outside

    Common practice, no source: the air carries the load on the tread's width.  The bounds keep a lightly
    loaded stiff carcass from having no footprint at all, and an overloaded one from having more than it can.

    >>> round(float(contact_length(27e3, 720e3, 0.279, 1.054)), 2)
    0.18
    """
    return np.clip(load / (0.75 * width * pressure), 0.15 * diameter, 0.3 * diameter)
