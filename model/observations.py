"""What a person finds without instruments: a walk round the vehicle, and what changed conditions did."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Answer = Literal["good", "bad"]
Change = Literal[
    "neutral coast-down", "another gear at the same speed", "on the throttle", "off the throttle",
    "known-good wheels", "weight over the rear end", "pressure changed", "laden", "empty", "after a bump",
    "braking", "warm", "cold",
]  # fmt: skip
Result = Literal["stayed", "moved", "vanished", "weaker", "stronger", "started"]

CHECKS = (
    "tyres", "wheel_nuts", "bearings", "steering_joints", "lateral_link", "u_bolts", "mounts", "frame",
    "hitch_play",
)  # fmt: skip
"""What is looked at before anyone drives, in the order of the walk."""

WEIGHT: Change = "weight over the rear end"
USUAL_WEIGHT = 50.0  # [kg]
USUAL_PLACE = "rear end"


@dataclass(frozen=True)
class Observation:
    """One condition changed, everything else alike, and what it did to the shake.

    speed  (from, to) [m/s] where the shake is felt now; None: not said
    mass   [kg] of the weight over the rear end, `at` the point that it was put on; None for other changes
    """

    change: Change
    result: Result
    speed: tuple[float, float] | None = None
    mass: float | None = None
    at: str | None = None
    note: str = ""
