"""Which critical speed the complaint is about, and in which band a damper is judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp

import numpy as np
from numpy.typing import NDArray

from ..model.speeds import CriticalSpeed

Floats = NDArray[np.float64]

SPEEDOMETER = 0.05  # [-] that a speedometer may be off, either way: common practice, no source
FLANK = 0.5  # of the worst level: a peak that high may be what the worst one stands on the flank of


@dataclass(frozen=True)
class Target:
    """What a damper would be for.

    critical  the input and the mode it meets
    band      [m/s] where the damper is judged
    range     [m/s] where the critical speed may lie, 95 %, given the spread of the numbers
    certain   whether the best estimate itself meets the complaint (always, without a complaint)
    """

    critical: CriticalSpeed
    band: tuple[float, float]
    range: tuple[float, float]
    certain: bool


def target(
    critical: Sequence[CriticalSpeed],
    spread: Floats,
    complaint: tuple[float, float] | None,
    heard: tuple[float, float] | None = None,
) -> Target | None:
    """The worst critical speed that the complaint can be about; without a complaint, the worst of all.

    critical   worst first
    spread     half the 95 % width of ln f, per mode [-]
    complaint  [m/s]
    heard      [Hz] how fast it was found to shake: what is slower or faster is left out, unless nothing fits

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> one = host(small_case())
    >>> aim = target(one.critical, one.spread, (7.0, 7.5))
    >>> aim.critical.mode_name, aim.band, aim.certain
    ('body pitch', (7.0, 7.5), True)
    >>> target(one.critical, one.spread, (9.0, 10.0)) is None     # nothing meets a mode there
    True
    """
    known = [c for c in critical if c.typical is not None]
    fitting = [c for c in known if heard is not None and sounds_like(c, complaint, heard)]
    return _among(fitting, spread, complaint) or _among(known, spread, complaint)


def _among(
    known: Sequence[CriticalSpeed], spread: Floats, complaint: tuple[float, float] | None
) -> Target | None:
    if not known:
        return None
    if complaint is None:
        chosen = _worst(known)
        return Target(chosen, _own_band(chosen), _range(chosen, spread), True)
    meets = [c for c in known if _meets(_own_band(c), complaint)]
    if meets:
        chosen = _worst(meets)
        return Target(chosen, complaint, _range(chosen, spread), True)
    may = [c for c in known if _meets(_range(c, spread), complaint)]
    return Target(_worst(may), _own_band(_worst(may)), _range(_worst(may), spread), False) if may else None


def shakes(critical: CriticalSpeed, complaint: tuple[float, float] | None) -> tuple[float, float]:
    """How often its input comes in a second at the speeds of the complaint, or else at its own [Hz].

    complaint  [m/s], by a speedometer, which may be off by a twentieth

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> [round(hertz, 2) for hertz in shakes(host(small_case()).critical[0], (7.2, 7.2))]
    [2.85, 3.15]
    """
    low, high = complaint or (critical.speed, critical.speed)
    return (
        critical.cause.per_metre * low * (1 - SPEEDOMETER),
        critical.cause.per_metre * high * (1 + SPEEDOMETER),
    )


def sounds_like(
    critical: CriticalSpeed, complaint: tuple[float, float] | None, heard: tuple[float, float]
) -> bool:
    """Whether a critical speed may be a shake as fast as was found.

    complaint  [m/s]
    heard      [Hz]

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> first = host(small_case()).critical[0]     # one turn of 2.4 m, met at 7.2 m/s
    >>> sounds_like(first, (7.0, 7.5), (2.5, 3.5)), sounds_like(first, (7.0, 7.5), (16.0, 99.0))
    (True, False)
    """
    return _meets(shakes(critical, complaint), heard)


def _worst(among: Sequence[CriticalSpeed]) -> CriticalSpeed:
    """The first, unless it only stands on the flank of one that has a peak and is nearly as bad."""
    peaks = [c for c in among if c.peak is not None and _level(c) >= FLANK * _level(among[0])]
    return peaks[0] if peaks else among[0]


def _level(critical: CriticalSpeed) -> float:
    return critical.typical or 0.0


def _own_band(critical: CriticalSpeed) -> tuple[float, float]:
    return critical.band or (0.95 * critical.speed, 1.05 * critical.speed)


def _range(critical: CriticalSpeed, spread: Floats) -> tuple[float, float]:
    factor = exp(float(spread[critical.mode]))
    low, high = _own_band(critical)
    return low / factor, high * factor


def _meets(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return one[0] <= other[1] and other[0] <= one[1]
