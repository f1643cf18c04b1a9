"""What is wrong with a channel of a recording, from when to when, and what was done about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Ill = Literal[
    "clipping", "dropout", "gap", "drift", "mains hum", "dead", "swapped", "inverted", "too low a rate",
    "aliasing suspect", "speed jump", "loose sensor", "lag", "clock", "unit suspect",
]  # fmt: skip

TAKEN_OFF, BRIDGED = "taken off", "bridged by a cubic spline"
MENDED = (TAKEN_OFF, BRIDGED)
"""What was done where nothing is left that anyone would have to look at."""


@dataclass(frozen=True)
class HealthNote:
    """One thing wrong with one channel.

    start, end  [s] on the clock of the ride
    found       what was found, with its number
    done        what was done about it

    >>> print(HealthNote("seat", "clipping", 3.0, 9.5, "41 samples at 19.6 m/s^2", "left as it is"))
    seat, clipping, 3 to 9.5 s: 41 samples at 19.6 m/s^2; left as it is
    """

    channel: str
    kind: Ill
    start: float
    end: float
    found: str
    done: str

    def __str__(self) -> str:
        when = f"{self.start:.6g} to {self.end:.6g} s"
        return f"{self.channel}, {self.kind}, {when}: {self.found}; {self.done}"
