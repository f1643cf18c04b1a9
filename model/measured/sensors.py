"""Where a column of a recording was taken, which way it points, and what one unit of it is."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from math import cos, isfinite, pi
from typing import Literal

from ..unit_names import factor

Direction = Literal[
    "vertical", "fore-aft", "lateral", "unknown", "horizontal 1", "horizontal 2", "axis 1", "axis 2", "axis 3"
]
Side = Literal["", "left", "right"]
Kind = Literal["acceleration", "speed", "turning", "voltage", "count", "time", "none", "other"]

GRAVITY = 9.80665  # [m/s^2], standard
STEEPEST = pi / 3  # [rad] of tilt: beyond it a sensor feels mostly something else
DIRECTIONS: tuple[Direction, ...] = ("vertical", "fore-aft", "lateral", "unknown")  # that may be asked for
SIDES: tuple[Side, ...] = ("left", "right")

_IN_GRAVITY = {"g": 1.0, "gn": 1.0, "g0": 1.0, "standard_gravity": 1.0, "milli-g": 1e-3, "mg": 1e-3}
_TURNING = {"rpm": 1 / 60, "rev/min": 1 / 60, "1/min": 1 / 60, "r/min": 1 / 60, "rev/s": 1.0, "hz": 1.0}
_COUNTS = {"pulse", "pulses", "count", "counts", "tooth", "teeth"}
_NO_NUMBER = {"", "-", "1", "fs", "full scale", "counts/lsb", "lsb"}
_OTHERS = {"%", "°", "deg", "rad", "°/s", "deg/s", "rad/s", "dps", "°c", "degc", "ut", "µt", "lx", "db"}
_OTHER_KINDS = ("m", "N", "Pa", "kg", "N*m", "A", "K", "W", "T", "m^3/s", "V/A")
_KINDS: tuple[tuple[Kind, str], ...] = (
    ("acceleration", "m/s^2"), ("speed", "m/s"), ("time", "s"), ("voltage", "V"),
)  # fmt: skip


@dataclass(frozen=True)
class Sensor:
    """One acceleration column of a recording: its name there, and where it was taken.

    point        as the case file calls it
    direction    vertical (up positive), fore-aft (forward), lateral (left), or unknown: three sensors at one
                 point whose axes nobody knows, which gravity will tell; then horizontal 1 and 2 where the
                 speed does not tell which way is forward, axis 1 to 3 where gravity is not in the readings
    side         left or right, where the point has two
    sign         [-] 1.0, or -1.0 for a sensor that was mounted upside down
    sensitivity  [m/s^2] per volt where the column is a voltage, otherwise per unit of the file; None: the
                 column carries a unit of acceleration
    tilt         [rad] between the sensor's axis and its direction

    >>> Sensor("ch 3", "rear axle", side="left").name, Sensor("ch 4", "seat", "fore-aft").name
    ('rear axle, left', 'seat, fore-aft')
    """

    column: str
    point: str
    direction: Direction = "vertical"
    side: Side = ""
    sign: float = 1.0
    sensitivity: float | None = None
    tilt: float = 0.0

    def __post_init__(self) -> None:
        if self.sign not in (1.0, -1.0):
            raise ValueError(f"sign must be 1 or -1, got {self.sign}")
        if self.sensitivity is not None and not 0 < self.sensitivity < 1e9:
            raise ValueError(f"sensitivity must be above 0 m/s^2 per unit, got {self.sensitivity}")
        if not abs(self.tilt) <= STEEPEST:
            raise ValueError(f"tilt must be within {STEEPEST:.3g} rad of the direction, got {self.tilt}")

    @property
    def name(self) -> str:
        """What the channel is called in a ride."""
        direction = "" if self.direction == "vertical" else self.direction
        return ", ".join(part for part in (self.point, direction, self.side) if part)

    @property
    def upright(self) -> float:
        """What one reading is along the direction [-], with sign and tilt; what else it feels is left in."""
        return self.sign / cos(self.tilt)


@dataclass(frozen=True)
class Speedometer:
    """The road-speed column of a recording, and what turns it into a speed.

    circumference  [m] rolled in one turn, where the column counts turns (rev/min, Hz)
    per_metre      [1/m] pulses, where the column counts pulses (pulses, pulses/s, Hz)
    lag            [s] by which the column is late; None: estimated from the recording where that is possible
    """

    column: str
    circumference: float | None = None
    per_metre: float | None = None
    lag: float | None = None


def from_header(column: str) -> Sensor:
    """The sensor that a column's own name tells of: point, then direction and side where they are said.

    >>> from_header("rear axle, fore-aft, left").name, from_header("driver's floor").direction
    ('rear axle, fore-aft, left', 'vertical')
    """
    parts = [part.strip() for part in column.split(",")]
    direction: Direction = "vertical"
    side: Side = ""
    while len(parts) > 1:
        word = parts[-1].casefold()
        if word in SIDES:
            side = next(one for one in SIDES if one == word)
        elif word in DIRECTIONS:
            direction = next(one for one in DIRECTIONS if one == word)
        else:
            break
        parts.pop()
    return Sensor(column, ", ".join(parts), direction, side)


def _tidy(unit: str) -> str:
    """A unit as the door of this project spells it."""
    text = unit.strip().replace("μ", "µ").replace("−", "-")
    text = re.sub(r"\bms-2\b|\bm\*?s\^-2", "m/s^2", text)
    text = re.sub(r"\bs2\b", "s^2", text)
    return {"kph": "km/h", "knots": "knot", "kt": "knot", "kts": "knot", "sec": "s"}.get(text, text)


@lru_cache(512)
def kind_of(unit: str) -> tuple[Kind, float] | None:
    """What a unit in a header measures, and its size [m/s^2, m/s, turns/s, V, s]; None: not known.

    >>> kind_of("m/s2"), kind_of("V"), kind_of("furlong per moon")
    (('acceleration', 1.0), ('voltage', 1.0), None)
    >>> kind, one = kind_of("g")
    >>> kind, round(0.3 * one, 3)
    ('acceleration', 2.942)
    """
    text = _tidy(unit)
    lower = text.casefold()
    if lower in _IN_GRAVITY:
        return "acceleration", _IN_GRAVITY[lower] * GRAVITY
    if lower in _TURNING:
        return "turning", _TURNING[lower]
    if lower in _COUNTS | {"pulse/s", "pulses/s", "count/s"}:
        return "count", 1.0
    if lower in _NO_NUMBER:
        return "none", 1.0
    if lower in _OTHERS:
        return "other", 1.0
    for kind, wanted in _KINDS:
        if one := _factor(text, wanted):
            return kind, one
    return ("other", 1.0) if any(_factor(text, wanted) for wanted in _OTHER_KINDS) else None


def _factor(unit: str, wanted: str) -> float | None:
    try:
        return factor(unit, wanted)
    except ValueError:
        return None


def tilt_of(text: str) -> float:
    """An angle as written [rad]: "12 deg", "12°" or "0.2 rad".  Raises ValueError.

    >>> round(tilt_of("30 deg"), 4), tilt_of("-0.2 rad")
    (0.5236, -0.2)
    """
    found = re.fullmatch(r"\s*([+-]?[0-9]+\.?[0-9]*)\s*(deg|°|rad)\s*", text.replace("−", "-"))
    angle = float(found[1]) * (1.0 if found[2] == "rad" else pi / 180) if found else 4.0
    if abs(angle) > STEEPEST:
        raise ValueError(f"wanted an angle of up to {180 * STEEPEST / pi:.0f} deg, such as 12 deg")
    return angle


def sensitivity_of(text: str) -> float:
    """A sensitivity as written, as acceleration [m/s^2] per volt, or per unit of the file.

    Volts per acceleration, as on a data sheet ("100 mV/g", g being standard gravity), or the acceleration
    that one unit of the file stands for ("20 m/s^2", of a WAV file its full scale).  Raises ValueError.

    >>> round(sensitivity_of("100 mV/g"), 4), sensitivity_of("20 m/s^2"), round(sensitivity_of("2 g"), 3)
    (98.0665, 20.0, 19.613)
    """
    found = re.fullmatch(r"\s*([0-9.]+(?:[eE][+-]?[0-9]+)?)\s*([^\d\s].*?)\s*", text)
    wanted = "wanted volts per acceleration, or the acceleration of one unit of the file"
    try:
        number, unit = float(found[1]) if found else 0.0, found[2] if found else ""
    except ValueError:
        number, unit = 0.0, ""
    if not (0 < number < 1e9 and isfinite(number)):
        raise ValueError(wanted)
    kind = kind_of(unit)
    if kind and kind[0] == "acceleration":
        return number * kind[1]
    spelt = re.sub(r"/\s*g\b", "/standard_gravity", _tidy(unit))
    volts = _factor(spelt, "V*s^2/m")
    if volts is None:
        raise ValueError(wanted)
    return 1 / (number * volts)
