"""How much less, and how surely: an interval for the change between two sets of beats or passes.

What is drawn again and again in the bootstrap is a whole beat, or a whole pass: a piece of road says little
that its neighbour in the same beat has not said already.  What a rough road does under a line by chance is a
doubt of its own: it does not shrink with the line.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, cosh, hypot, inf, isfinite, log, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ..model.numbers import NORMAL_95

Floats = NDArray[np.float64]
Said = Literal["less", "more", "not_shown"]

LEVEL = 0.95  # that an interval holds the truth: of 20 pairs without any change, one is told to differ
DRAWS = 2000
FEWEST = 4  # beats or passes on each side, below which nobody can say how much they differ
SHARPER = 1 / 3  # [-] of the bend of a background: what a resonance of 2 to 3 % of critical has more
POWER, WORTH = 0.90, 0.20  # to be shown with this probability [-], where the shake falls by this share [-]
MOST_PASSES = 999


@dataclass(frozen=True)
class Change:
    """One shake at one place over some speeds, before and after.

    shake, channel  what, and where
    speeds       [m/s] from and to
    before, after  r.m.s. level [unit of the channel], both weighted to the same speeds
    least        the line after does not rise above what is there without it: `after` is the most that it may
                 be, and the reduction the least
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
    least: bool = False

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


@dataclass(frozen=True)
class Drawn:
    """What is drawn again and again on one side, U of them: beats or passes.

    power   [unit^2] (U,) mean square of each, times its weight
    weight  [-] (U,)
    chance  [unit^4] (U,) variance of `power` that a rough road explains; None: nothing does
    bend    [unit^2] how far what the road does under a line was taken to lie above what it does beside it,
            weighted and summed up
    """

    power: Floats
    weight: Floats
    chance: Floats | None = None
    bend: float = 0.0


def change_of(
    before: Drawn,
    after: Drawn,
    shake: str = "",
    channel: str = "",
    speeds: tuple[float, float] = (0.0, inf),
) -> Change:
    """The change between two sets of beats, or passes, with a bootstrap interval.

    speeds  [m/s] from and to

    With x and y the levels' squares, after and before, a ratio r of them is inside where

        (x - r y)^2 <= 4 sinh^2(t s / 2) x r y + 1.96^2 (n_x^2 + r^2 n_y^2)

    s is the scatter of ln x and ln y over beats that are drawn with replacement, widened by sqrt(U / (U - 1))
    on each side and without what the road explains; n what the road explains, and a third of its bend: by so
    much a resonance is sharper than a parabola, give or take as much, and that is taken off.  t is that of
    Welch and Satterthwaite's degrees of freedom.  On a smooth road all this is ln(x / y) +- t s; where only
    the road makes it doubtful, it is the theorem of E. C. Fieller, J. R. Stat. Soc. B 16 (1954) 175-185 (from
    memory).  Source for the widening: T. C. Hesterberg, What teachers should know about the bootstrap,
    Am. Stat. 69 (2015) 371-386 (from memory).

    >>> quiet, loud = np.array([1.0, 1.1, 0.9, 1.0, 1.05, 0.95]), np.ones(6)
    >>> found = change_of(Drawn(4 * quiet, loud), Drawn(quiet, loud))
    >>> found.reduction, found.said, [round(end, 2) for end in found.interval]
    (0.5, 'less', [0.48, 0.52])
    """
    one, other = _side(before), _side(after)
    drawn = (one.count, other.count)
    levels = sqrt(max(one.power, 0.0)), sqrt(max(other.power, 0.0))
    errors = _errors(one, other)
    if min(drawn) < FEWEST or one.power <= 0 or not isfinite(max(errors)):
        return Change(shake, channel, speeds, *levels, None, drawn, (inf, inf))
    t = _t(LEVEL, _degrees(errors, drawn))
    ratios = _ratios(one, other, t * sqrt(errors[0] ** 2 + errors[1] ** 2))
    scatter = _scatter(one, errors[0], one.power), _scatter(other, errors[1], one.power)
    if ratios is None:
        return Change(shake, channel, speeds, *levels, None, drawn, scatter)
    interval, least = (1 - sqrt(ratios[1]), 1 - sqrt(ratios[0])), other.power <= NORMAL_95 * other.chance
    most = levels[0] * sqrt(ratios[1]) if least else levels[1]
    return Change(shake, channel, speeds, levels[0], most, interval, drawn, scatter, least)


@dataclass(frozen=True)
class _Side:
    """Before, or after: mean square [unit^2], what the road makes of it by chance [unit^2], and how far ln of
    it scatters from draw to draw beyond that [-]; infinite where it is hardly there."""

    power: float
    chance: float
    error: float
    count: int


def _side(drawn: Drawn) -> _Side:
    total, count = float(drawn.weight.sum()), len(drawn.power)
    if not total > 0:
        return _Side(0.0, 0.0, inf, count)
    sharper = SHARPER * drawn.bend / total
    mean = float(drawn.power.sum()) / total - max(sharper, 0.0)
    explained = 0.0 if drawn.chance is None else float(drawn.chance.sum()) / total**2
    own, spread = mean * drawn.weight, drawn.power - drawn.power.sum() / total * drawn.weight
    scatter = float((spread**2).sum()) * count / max(count - 1, 1) / total**2
    left = sqrt(max(1 - explained / scatter, 0.0)) if scatter > 0 else 1.0
    error = _error(own + left * spread, drawn.weight) if count >= FEWEST and mean > 0 else inf
    return _Side(mean, hypot(sqrt(explained), sharper), error, count)


def _error(power: Floats, weight: Floats) -> float:
    """Standard error of ln(mean square) over beats that are drawn with replacement [-]."""
    count = len(power)
    times = np.random.default_rng(0).multinomial(count, np.full(count, 1 / count), DRAWS)
    drawn = (times @ power) / (times @ weight)
    if drawn.min() <= 0:  # a line that is hardly there
        return inf
    return float(np.log(drawn).std() * sqrt(count / (count - 1)))


def _errors(one: _Side, other: _Side) -> tuple[float, float]:
    """How far each side scatters [-]; of a line that is hardly there after a change: as it did before."""
    if other.error < inf or one.error == inf:
        return one.error, other.error
    return one.error, one.error * sqrt(one.count / max(other.count, 1))


def _degrees(errors: tuple[float, float], drawn: tuple[int, int]) -> float:
    """Degrees of freedom of both together, by Welch and Satterthwaite [-]."""
    terms = [max(error, 1e-6) ** 2 for error in errors]
    return max(sum(terms) ** 2 / sum(e**2 / (n - 1) for e, n in zip(terms, drawn, strict=True)), 1.0)


def _scatter(side: _Side, error: float, power: float) -> float:
    """Of one beat or pass, the road's chance included, about a mean square [unit^2] (-)."""
    return hypot(error, side.chance / power) * sqrt(side.count)


def _ratios(before: _Side, after: _Side, reach: float) -> tuple[float, float] | None:
    """Between which ratios of the mean squares the truth lies [-]; None: before, nothing rises above what is
    there without it."""
    top = before.power**2 - (NORMAL_95 * before.chance) ** 2
    left = max(after.power, 0.0)  # there is no shake below none
    middle = left * before.power * cosh(min(reach, 300.0))
    bottom = left**2 - (NORMAL_95 * after.chance) ** 2
    inside = middle**2 - top * bottom
    if top <= 0 or inside < 0:
        return None
    return max((middle - sqrt(inside)) / top, 0.0), (middle + sqrt(inside)) / top


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
