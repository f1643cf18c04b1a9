"""What a person felt, as data: the speeds of the complaint, and where a weight moved the shake."""

from __future__ import annotations

from math import hypot, sqrt

from .case import Case
from .datum import Datum
from .numbers import NORMAL_95
from .observations import WEIGHT, Observation

NOTICED = 0.03  # of a speed: a smaller move is not felt from the seat; common practice, no source
COMPLAINT = "the complaint"


def felt(case: Case) -> tuple[Datum, ...]:
    """The complaint's speeds, and what the heaviest weight did to them; nothing without a complaint's speeds.

    >>> from dataclasses import replace
    >>> from .case import parse
    >>> from .example import TEXT
    >>> told = felt(parse(TEXT + '[complaint]\\nspeed = { from = "7 m/s", to = "7.4 m/s" }'))
    >>> [(str(one), round(one.value, 2), round(one.half, 2)) for one in told]
    [('critical speed of the complaint', 7.2, 0.48)]
    """
    band = case.complaint.speed if case.complaint else None
    if band is None:
        return ()
    middle = sum(band) / 2
    spread = hypot((band[1] - band[0]) / 2 / sqrt(3), NOTICED * middle)
    half = NORMAL_95 * spread
    speed = Datum("critical speed", middle, half, shake=COMPLAINT, source="as felt", felt=True)
    told = [seen for seen in case.observations if seen.change == WEIGHT and _tells(seen)]
    if not told:
        return (speed,)
    return speed, _moved(max(told, key=lambda seen: seen.mass or 0.0), band)


def _tells(seen: Observation) -> bool:
    return seen.result == "stayed" or (seen.result == "moved" and seen.speed is not None)


def _moved(seen: Observation, band: tuple[float, float]) -> Datum:
    """The frequency with the weight over that without it, as far as bands of speed tell."""
    after = seen.speed or band
    ratio = sum(after) / sum(band)
    halves = (band[1] - band[0] + after[1] - after[0]) / 4 if seen.speed else (band[1] - band[0]) / 2
    spread = max(halves / (sum(after) / 2), NOTICED)
    return Datum(
        "frequency with a weight",
        ratio,
        NORMAL_95 * spread * ratio,
        shake=COMPLAINT,
        point=seen.at,
        mass=seen.mass,
        source="felt",
        felt=True,
    )
