"""How much less, and how surely: an interval for the change between two sets of beats or passes.

What is drawn again and again in the bootstrap is a whole beat, or a whole pass: a piece of road says little
that its neighbour in the same beat has not said already.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, exp, inf, log, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Said = Literal["less", "more", "not_shown"]

LEVEL = 0.95  # that an interval holds the truth: of 20 pairs without any change, one is told to differ
DRAWS = 2000
FEWEST = 4  # beats or passes on each side, below which nobody can say how much they differ
POWER, WORTH = 0.90, 0.20  # to be shown with this probability [-], where the shake falls by this share [-]
MOST_PASSES = 999


@dataclass(frozen=True)
class Change:
    """One shake at one place over some speeds, before and after.

    shake, channel  what, and where
    speeds       [m/s] from and to
    before, after  r.m.s. level [unit of the channel], both weighted to the same speeds
    interval     of the reduction [-], 95 %; None: too few beats or passes, or hardly anything there
    drawn        how many beats or passes stand behind it, before and after
    scatter      standard deviation of ln(mean square) from one of them to the next [-], before and after
    """

    shake: str
    channel: str
    speeds: tuple[float, float]
    before: float
    after: float
    interval: tuple[float, float] | None
    drawn: tuple[int, int]
    scatter: tuple[float, float]

    @property
    def reduction(self) -> float:
        """Share by which the level fell [-]; below zero: it rose."""
        return 1 - self.after / self.before if self.before > 0 else 0.0

    @property
    def said(self) -> Said:
        """Whether it is less, more, or not shown to be either: an interval that spans zero shows nothing."""
        if self.interval is None or self.interval[0] <= 0 <= self.interval[1]:
            return "not_shown"
        return "less" if self.interval[0] > 0 else "more"


def change_of(
    before: Floats,
    before_weight: Floats,
    after: Floats,
    after_weight: Floats,
    shake: str = "",
    channel: str = "",
    speeds: tuple[float, float] = (0.0, inf),
) -> Change:
    """The change between two sets of beats, or passes, with a bootstrap interval.

    before, after                weighted mean square of each [unit^2] (U,), not yet over the weights
    before_weight, after_weight  [-] (U,)
    speeds                       [m/s]

    The interval is ln(ratio) +- t s: s from beats drawn with replacement on each side, widened by
    sqrt(U / (U - 1)) on each, t of Welch and Satterthwaite's degrees of freedom.  Source for the widening: T.
    C. Hesterberg, What teachers should know about the bootstrap, Am. Stat. 69 (2015) 371-386 (from memory).

    >>> quiet, loud = np.array([1.0, 1.1, 0.9, 1.0, 1.05, 0.95]), np.ones(6)
    >>> found = change_of(4 * quiet, loud, quiet, loud)
    >>> found.reduction, found.said, [round(end, 2) for end in found.interval]
    (0.5, 'less', [0.48, 0.52])
    """
    sides = (before, before_weight), (after, after_weight)
    levels = [sqrt(max(float(power.sum() / weight.sum()), 0.0)) for power, weight in sides]
    drawn = (len(before), len(after))
    surely = min(drawn) >= FEWEST and min(levels) > 0
    errors = [_error(power, weight) if surely else inf for power, weight in sides]
    if max(errors) == inf:
        return Change(shake, channel, speeds, levels[0], levels[1], None, drawn, (inf, inf))
    total = errors[0] ** 2 + errors[1] ** 2
    degrees = total**2 / sum(max(e, 1e-12) ** 4 / (n - 1) for e, n in zip(errors, drawn, strict=True))
    reach = _t(LEVEL, max(degrees, 1.0)) * sqrt(total)
    middle = 2 * log(levels[1] / levels[0])
    interval = 1 - exp((middle + reach) / 2), 1 - exp((middle - reach) / 2)
    scatter = errors[0] * sqrt(drawn[0]), errors[1] * sqrt(drawn[1])
    return Change(shake, channel, speeds, levels[0], levels[1], interval, drawn, scatter)


def _error(power: Floats, weight: Floats) -> float:
    """Standard error of ln(mean square) over beats that are drawn with replacement [-]."""
    count = len(power)
    times = np.random.default_rng(0).multinomial(count, np.full(count, 1 / count), DRAWS)
    drawn = (times @ power) / (times @ weight)
    if drawn.min() <= 0:  # a line that is hardly there
        return inf
    return float(np.log(drawn).std() * sqrt(count / (count - 1)))


def _t(inside: float, degrees: float) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(degrees, (1 + inside) / 2))


# --- how many passes would do ----------------------------------------------------------------------------


def power_of(shift: float, scatter: float, count: int, level: float = LEVEL) -> float:
    """The probability that a shift is shown by so many on each side, Student's t for two samples [-].

    shift    difference of the means, in the unit of the scatter [any]
    scatter  standard deviation of one of them [any]
    count    on each side, 2 or more
    level    [-] of the interval, two-sided

    Source: the noncentral t distribution, as in J. Cohen, Statistical Power Analysis for the Behavioral
    Sciences, 2nd ed. 1988, chapter 2 (from memory): 64 on each side for half a standard deviation and 80 %.

    >>> [round(power_of(0.5, 1.0, count), 3) for count in (63, 64)]
    [0.795, 0.801]
    """
    from scipy.special import nctdtr

    degrees, away = 2 * (count - 1), abs(shift) / scatter * sqrt(count / 2)
    return float(1 - nctdtr(degrees, away, _t(level, degrees)))


def passes_needed(change: Change, passes: tuple[int, int]) -> int | None:
    """Passes on each side, such as these, that would show a fall of 20 % in nine of ten tries.

    passes  how many there were, before and after
    """
    scatter = sqrt((change.scatter[0] ** 2 + change.scatter[1] ** 2) / 2)
    if not scatter < inf:
        return None
    shift = 2 * log(1 / (1 - WORTH))
    most = min(change.drawn) / max(passes)  # beats that a pass holds, or one
    low, high = FEWEST, FEWEST
    while power_of(shift, max(scatter, 1e-6), high) < POWER:
        low, high = high, 2 * high
        if high > 2 * MOST_PASSES * max(most, 1.0):
            return None
    while low < high:
        middle = (low + high) // 2
        enough = power_of(shift, max(scatter, 1e-6), middle) >= POWER
        low, high = (low, middle) if enough else (middle + 1, high)
    needed = ceil(high / max(most, 1.0))
    return needed if needed <= MOST_PASSES else None
