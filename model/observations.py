"""What a person finds without instruments: a walk round the vehicle, and what changed conditions did."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf
from types import MappingProxyType
from typing import Literal

Answer = Literal["good", "bad"]
Change = Literal[
    "neutral coast-down", "another gear at the same speed", "on the throttle", "off the throttle",
    "known-good wheels", "weight over the rear end", "pressure changed", "laden", "empty", "after a bump",
    "braking", "warm", "cold", "how fast it shakes",
]  # fmt: skip
Pace = Literal["countable", "blur", "buzz"]
Result = Literal[
    "stayed", "moved", "vanished", "weaker", "stronger", "started", "countable", "blur", "buzz",
]  # fmt: skip

CHECKS = (
    "tyres", "wheel_nuts", "bearings", "steering_joints", "lateral_link", "u_bolts", "mounts", "frame",
    "hitch_play",
)  # fmt: skip
"""What is looked at before anyone drives, in the order of the walk."""

WEIGHT: Change = "weight over the rear end"
USUAL_WEIGHT = 50.0  # [kg]
USUAL_PLACE = "rear end"

PACE: Change = "how fast it shakes"
PACES: Mapping[Result, tuple[float, float]] = MappingProxyType(
    {"countable": (0.0, 6.0), "blur": (4.0, 22.0), "buzz": (16.0, inf)}
)
"""What each word may mean [1/s].  People tap along to about 5 in a second, and no longer tell single shakes
from about 20; the words overlap, because people differ.  Common practice, no source."""
COUNTED = 0.1  # [-] of a frequency that somebody read off a phone, either way: common practice, no source


@dataclass(frozen=True)
class Observation:
    """One condition changed, everything else alike, and what it did to the shake; or how fast it shakes.

    speed      (from, to) [m/s] where the shake is felt now; None: not said
    mass       [kg] of the weight over the rear end, `at` the point that it was put on; None for other changes
    frequency  [Hz] of the shake, read off a phone; None: only the word is known
    """

    change: Change
    result: Result
    speed: tuple[float, float] | None = None
    mass: float | None = None
    at: str | None = None
    note: str = ""
    frequency: float | None = None

    @property
    def per_second(self) -> tuple[float, float] | None:
        """How many shakes in a second that may be [Hz]; None where the observation is not about that.

        >>> Observation(PACE, "blur").per_second, Observation(PACE, "blur", frequency=10.0).per_second
        ((4.0, 22.0), (9.0, 11.0))
        """
        if self.frequency is not None:
            return self.frequency * (1 - COUNTED), self.frequency * (1 + COUNTED)
        return PACES.get(self.result)


def pace_of(seen: Sequence[Observation]) -> Observation | None:
    """The observation that says best how fast it shakes: one that was read off, before a word; None where no
    observation says it.

    >>> pace_of([Observation(PACE, "blur"), Observation(PACE, "blur", frequency=9.0)]).frequency
    9.0
    """
    told = [one for one in seen if one.per_second is not None]
    return max(told, key=lambda one: one.frequency is not None, default=None)
