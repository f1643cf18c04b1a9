"""What recordings say of the complaint: which findings count, and what they clear.

Our own limits, judged on simulated rides (tests/study/simulated.py).
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from ..model.case import Case
from ..model.measured.findings import Finding
from ..model.said import Said
from ..model.units import Display
from .reasons import percent
from .shake_kinds import Kind

SURE = 0.7  # [-] below it findings are right less often than they say
DOUBTED = 0.5  # [-] from which a wheel is no longer cleared
CLEARED, LARGE = (
    2.0,
    2.5,
)  # [-] over a healthy input, which is read to a factor of two: what is less is cleared,
# what is more is at fault; between them lies doubt
SLOWER_THAN_SHAFTS = 2.0  # [-] turns per turn of a wheel: a propshaft turns 2.4 times or more
SPEEDOMETER = 0.03  # [-] of a speed, by which a recorded one and a dial may differ
SPEEDS = re.compile(r"(\d+) to (\d+) km/h")


def in_percent(confidence: float) -> str:
    """How surely, never as if there were no doubt.

    confidence  [-]

    >>> in_percent(0.84), in_percent(0.997)
    ('84 %', 'over 99 %')
    """
    return "over 99 %" if confidence > 0.99 else percent(confidence)


def at_complaint(case: Case) -> Iterator[tuple[Said, Finding]]:
    """The findings of all recordings that may be of the complaint, by where they were felt along speed.

    >>> from ..model.example import small_case
    >>> list(at_complaint(small_case()))
    []
    """
    band = case.complaint.speed if case.complaint else None
    for said in case.said:
        for shake in said.found.findings:
            own = shake.speed_band_m_s
            wide = band and (band[0] * (1 - SPEEDOMETER), band[1] * (1 + SPEEDOMETER))
            if wide is None or own is None or (own[0] <= wide[1] and wide[0] <= own[1]):
                yield said, shake


def wheels_that_stand_out(case: Case) -> list[Finding]:
    """Wheels that a recording takes to be larger than healthy ones, at whatever speed.

    >>> from ..model.example import small_case
    >>> wheels_that_stand_out(small_case())
    []
    """
    shakes = (shake for said in case.said for shake in said.found.findings)
    turns = (s for s in shakes if s.kind == "rotating_part" and s.confidence >= DOUBTED)
    return [shake for shake in turns if kind_of(shake) is Kind.WHEEL]


def at_fault(part: Finding) -> bool:
    """Whether a part that turns is surely at fault: a size near a healthy one, which is read to a factor of
    two, accuses nobody.

    >>> from dataclasses import replace
    >>> wheel = Finding("rotating_part", "wheel order 1, rear axle", 0.9, input_over_healthy=1.9)
    >>> at_fault(wheel), at_fault(replace(wheel, input_over_healthy=3.0))
    (False, True)
    """
    size = part.input_over_healthy
    return part.kind == "rotating_part" and part.confidence >= SURE and (size is None or size >= LARGE)


def kind_of(part: Finding) -> Kind:
    """What a part that turns is: a wheel or tyre, or else of the driveline.

    >>> kind_of(Finding("rotating_part", "wheel order 1, rear axle", 0.9)).value
    'a wheel or tyre at fault'
    """
    return Kind.WHEEL if part.cause.startswith("wheel order") else Kind.DRIVELINE


def wheels_heard_healthy(case: Case) -> bool:
    """Whether recordings measured, on every axle, that the wheels bring no more than healthy ones do where
    the complaint is.

    >>> from ..model.example import small_case
    >>> wheels_heard_healthy(small_case())
    False
    """
    if wheels_that_stand_out(case):
        return False
    axles = {f"{axle.name} axle" for axle in case.plan.axles}
    return any(
        shake.met_by == "wheel_order"
        and shake.confidence >= SURE
        and shake.input_over_healthy is not None
        and shake.input_over_healthy < CLEARED
        and axles <= {point.removesuffix(", left").removesuffix(", right") for point in said.points}
        for said, shake in at_complaint(case)
    )


def driveline_heard_quiet(case: Case) -> bool:
    """Whether recordings measured that the wheels, and no shaft, turn with the shake of the complaint: a
    propshaft turns some four times as fast.

    >>> from ..model.example import small_case
    >>> driveline_heard_quiet(small_case())
    False
    """
    shakes = [shake for _, shake in at_complaint(case)]
    if any(_moves_driveline(shake) for shake in shakes):
        return False
    met = [s for s in shakes if s.met_by == "wheel_order" and s.confidence >= SURE]
    return any(0 < (shake.order or 0.0) <= SLOWER_THAN_SHAFTS for shake in met)


def _moves_driveline(shake: Finding) -> bool:
    turns = shake.kind == "rotating_part" and kind_of(shake) is Kind.DRIVELINE
    return shake.driveline == "moves_with_it" or (turns and shake.confidence >= DOUBTED)


def in_units(text: str, show: Display) -> str:
    """A sentence with its speeds as its reader writes them.

    >>> in_units("Rise slowly from 64 to 113 km/h.", Display("mph", "US"))
    'Rise slowly from 40 to 70 mph.'
    """
    unit, one = show.unit("speed")
    return SPEEDS.sub(lambda found: f"{_round(found[1], one)} to {_round(found[2], one)} {unit}", text)


def _round(kmh: str, one: float) -> str:
    return f"{float(kmh) / 3.6 / one:.0f}"
