"""A datum: one thing that was measured, weighed or felt on a vehicle, as a function of its numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

What = Literal[
    "natural frequency", "damping ratio", "effective mass", "critical speed", "shape", "axle load",
    "rolling circumference", "frequency with a weight",
]  # fmt: skip
Condition = Literal["rolling", "standstill"]

USUAL_ERROR: Mapping[What, float] = MappingProxyType(
    {
        "natural frequency": 0.02,
        "damping ratio": 0.3,
        "effective mass": 0.2,
        "critical speed": 0.04,
        "shape": 0.15,
        "axle load": 0.01,
        "rolling circumference": 0.01,
        "frequency with a weight": 0.03,
    }
)
"""Half a 95 % interval as a share, where none is told; common practice, no source."""
OF_A_MODE: tuple[What, ...] = (
    "natural frequency",
    "damping ratio",
    "effective mass",
    "shape",
    "frequency with a weight",
)
OF_AN_AXLE: Mapping[What, str] = MappingProxyType(
    {"axle load": "load", "rolling circumference": "circumference"}
)
"""What is a number of an axle itself, and which one."""


@dataclass(frozen=True)
class Datum:
    """One thing that was found on the vehicle; what does not apply is None.

    what       kind
    value      SI: Hz, a ratio, kg, m/s, kg, m; `frequency with a weight` is over that without it
    half       half the 95 % interval, in the unit of `value`; of a shape as a share of its length
    mode       name of the mode, or its index; None: whichever agrees best
    shake      data of one unknown mode carry the same word
    point      where an effective mass was found, or a weight was put
    mass       [kg] of that weight
    axle       that was weighed or rolled
    cause      that meets the mode at a critical speed; None: whichever agrees best
    shape      motion of points against one another, complex, in any unit
    condition  rolling, or at standstill, where leaves are locked
    source     who says so
    felt       whether it was felt, not measured
    recording  that it was read off: two shakes of one recording are of two modes, those of two may be of one

    >>> str(Datum("natural frequency", 8.7, 0.1, mode="frame bending 1"))
    'natural frequency of frame bending 1'
    """

    what: What
    value: float
    half: float
    mode: str | int | None = None
    shake: str = ""
    point: str | None = None
    mass: float | None = None
    axle: str | None = None
    cause: str | None = None
    shape: Mapping[str, complex] = field(default_factory=dict)
    condition: Condition = "rolling"
    source: str = ""
    felt: bool = False
    recording: str = ""

    def __str__(self) -> str:
        of = self.mode if isinstance(self.mode, str) else None if self.mode is None else f"mode {self.mode}"
        words = [self.what] + [f"of {one}" for one in (of or self.shake, self.axle) if one]
        words += [f"at {self.point}"] if self.point else []
        return " ".join(words) + (f" ({self.condition})" if self.condition != "rolling" else "")

    @property
    def group(self) -> str:
        """Data of one group are of one mode: its name, the shake's word, or what the datum calls itself."""
        return str(self.mode) if self.mode is not None else self.shake or str(self)
