"""Which line belongs to what: rolling circumference, joint spacing and shaft ratio from lines per metre.

All of them are on the scale of the recorded speed: where that reads 2 % high, so do they.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, sqrt
from typing import Literal

from ..numbers import NORMAL_95
from .findings import Estimate
from .lines import Line

Family = Literal["wheel", "joints", "shaft", "unknown"]

CIRCUMFERENCES = (1.5, 3.8)  # [m] of the tyres of road vehicles, from small cars to heavy trucks
SCALE = 0.05  # [-] by which a speedometer or a tyre size may be off
TIGHT = 0.010  # [-] within which a line is a whole multiple
LARGE = 1.9  # [m] a smaller wheel whose first order is not heard is taken for something else
HIGHEST_ORDER, SURE_ORDER = 6, 3  # orders of a wheel that are looked for; those that a lone line may be
JOINTS = (3.4, 31.0)  # [m] apart (about 12 to 100 ft)
MOST_HARMONICS = 14
SPEEDOMETER = 0.01  # [-] one standard deviation of the scale of a speed of unknown origin
AS_GIVEN = "as given; no wheel order was heard"
DRIVE = (2.4, 12.0)  # [-] turns of a driven shaft per turn of a wheel, its first and second order


@dataclass(frozen=True)
class Sorted:
    """A line, and what it belongs to.

    line    as it was found
    family  wheel, joints, shaft or unknown
    order   [-] per turn of a wheel; for joints the harmonic of their spacing; 0 where nothing is known
    """

    line: Line
    family: Family
    order: float


@dataclass(frozen=True)
class Rolled:
    """All lines sorted, and the estimates that came of it by name."""

    lines: tuple[Sorted, ...]
    estimates: dict[str, Estimate]

    @property
    def circumference(self) -> float | None:
        """[m] on the scale of the recorded speed; None where it is not known."""
        found = self.estimates.get("circumference")
        return found.value if found else None


def sorted_lines(
    lines: Sequence[Line], circumference: float | None = None, axle_ratio: float | None = None
) -> Rolled:
    """What each line belongs to.

    circumference  [m] as given, from a tyre size or a roll-out; None: estimated
    axle_ratio     [-] as given; None: estimated

    >>> heard = [(0.42, 30.0), (0.84, 12.0), (1.75, 9.0)]
    >>> found = sorted_lines([Line(per_metre, 1e-3, 4.0, clear) for per_metre, clear in heard])
    >>> [(one.family, round(one.order, 2)) for one in found.lines], round(found.circumference, 2)
    ([('wheel', 1.0), ('wheel', 2.0), ('shaft', 4.17)], 2.38)
    """
    apart, of_joints = _joints(lines, circumference)
    rest = [line for line in lines if line not in of_joints]
    heard = _around(rest, circumference)
    around = heard or circumference
    highest = _highest_order(rest, heard) if heard else 0
    told = [_sorted(line, apart if line in of_joints else None, around, highest) for line in lines]
    estimates: dict[str, Estimate] = {}
    wheels = [one for one in told if one.family == "wheel"]
    if wheels and around:
        estimates["circumference"] = _estimate(
            around, [(one.line, one.order) for one in wheels], _said(circumference)
        )
    elif circumference:
        wide = circumference * SCALE
        estimates["circumference"] = Estimate(
            circumference,
            circumference - wide,
            circumference + wide,
            "m",
            AS_GIVEN,
        )
    if apart:
        harmonics = [(o.line, o.order) for o in told if o.family == "joints"]
        estimates["joint spacing"] = _estimate(apart, harmonics, "lines at whole multiples of one per slab")
    shafts = [one for one in told if one.family == "shaft"]
    if shafts and around:
        estimates["shaft ratio"] = _ratio(shafts[0], around, axle_ratio)
    return Rolled(tuple(told), estimates)


def _said(given: float | None) -> str:
    return "wheel orders per metre, near the one given" if given else "wheel orders per metre, none given"


def _estimate(length: float, found: Sequence[tuple[Line, float]], how: str) -> Estimate:
    """A length with its interval: what the lines scatter, and the scale of the speed."""
    precision = sum((order / line.error / length) ** 2 for line, order in found) ** -0.5
    half = NORMAL_95 * hypot(precision, SPEEDOMETER) * length
    return Estimate(length, length - half, length + half, "m", how)


def _ratio(shaft: Sorted, around: float, given: float | None) -> Estimate:
    """Turns of the shaft per turn of a wheel; the second order of it where that is what was given."""
    order = shaft.order
    if given and abs(order / given - 2) < 0.1:
        order /= 2
    half = order * sqrt((shaft.line.error / shaft.line.per_metre) ** 2 + 0.003**2) * NORMAL_95
    return Estimate(
        order,
        order - half,
        order + half,
        "",
        "a line beside the wheel orders; its first order if nothing else is known",
    )


def _whole(value: float) -> float:
    """How far a number is from a whole one, as a share of it [-]."""
    return abs(value - round(value)) / value if value > 0.5 else 1.0


def _around(lines: Sequence[Line], given: float | None) -> float | None:
    """The circumference [m] that makes most of the lines whole orders; None where none stands out."""
    low, high = ((1 - SCALE) * given, (1 + SCALE) * given) if given else CIRCUMFERENCES
    trials = [h / line.per_metre for line in lines for h in range(1, 5) if low <= h / line.per_metre <= high]
    scored = [(_score(lines, one, given), one) for one in trials]
    best = max(scored, default=(0.0, 0.0))
    return _refined(lines, best[1]) if best[0] > 0 else None


def _matched(lines: Sequence[Line], around: float) -> list[tuple[int, Line]]:
    """The lines that are whole orders of a wheel, with their orders."""
    turned = [(line.per_metre * around, line) for line in lines]
    return [(round(order), line) for order, line in turned if _whole(order) < TIGHT]


def _score(lines: Sequence[Line], around: float, given: float | None) -> float:
    """How well a circumference explains the lines: higher orders count less, alone they count nothing."""
    matched = _matched(lines, around)
    orders = {order for order, _ in matched if order <= HIGHEST_ORDER}
    if not orders or min(orders) > 2 or (not given and min(orders) == 2 and around < LARGE):
        return 0.0
    near = -0.5 * ((around / given - 1) / 0.02) ** 2 if given else 0.0
    heard = sum(min(one.clear, 40.0) / order for order, one in matched if order <= HIGHEST_ORDER)
    return heard * (1 + 0.1 * near)


def _refined(lines: Sequence[Line], around: float) -> float:
    matched = _matched(lines, around)
    weights = [(order / line.error) ** 2 for order, line in matched]
    total = sum(w * order / line.per_metre for w, (order, line) in zip(weights, matched, strict=True))
    return total / sum(weights)


def _joints(lines: Sequence[Line], given: float | None) -> tuple[float | None, list[Line]]:
    """The spacing [m] of which several lines are harmonics, and these lines; None where there is none."""
    best: tuple[float, float, list[Line]] = (0.0, 0.0, [])
    for line in lines[:8]:
        for n in range(1, MOST_HARMONICS):
            apart = n / line.per_metre
            if not JOINTS[0] <= apart <= JOINTS[1]:
                continue
            matched = [one for one in lines if _harmonic(one, apart)]
            score = _plausible_joints(matched, apart, given) * (1 - 0.004 * apart)
            if score > best[0]:
                best = (score, apart, matched)
    return (best[1], best[2]) if best[2] else (None, [])


def _harmonic(line: Line, apart: float) -> bool:
    n = line.per_metre * apart
    return round(n) >= 1 and abs(n - round(n)) < min(0.15, max(0.012 * n, 1.5 * line.error * apart))


def _plausible_joints(matched: Sequence[Line], apart: float, given: float | None) -> float:
    """How many lines a spacing explains, of those that no wheel would; 0 where neighbours are missing."""
    own = [one for one in matched if not (given and _whole(one.per_metre * given) < 0.03)]
    numbers = sorted({round(one.per_metre * apart) for one in matched})
    steps = [b - a for a, b in pairwise(numbers)]
    if len(numbers) < 3 or len(own) < 2 or steps.count(1) < 2 or numbers[0] > 9:
        return 0.0
    dense = len(numbers) / (numbers[-1] - numbers[0] + 1)
    return len(numbers) * dense if dense >= 0.55 else 0.0


def _highest_order(lines: Sequence[Line], around: float) -> int:
    """The highest order that is taken for a wheel's: beyond the third only where two lower ones are heard, as
    a shaft may turn a whole number of times too."""
    low = {order for order, _ in _matched(lines, around) if order <= SURE_ORDER}
    return HIGHEST_ORDER if len(low) > 1 else SURE_ORDER


def _sorted(line: Line, apart: float | None, around: float | None, highest: int) -> Sorted:
    if apart:
        return Sorted(line, "joints", float(round(line.per_metre * apart)))
    if around is None:
        return Sorted(line, "unknown", 0.0)
    order = line.per_metre * around
    if 1 <= round(order) <= highest and _whole(order) < 1.5 * TIGHT:
        return Sorted(line, "wheel", float(round(order)))
    return Sorted(line, "shaft" if DRIVE[0] <= order <= DRIVE[1] else "unknown", order)
