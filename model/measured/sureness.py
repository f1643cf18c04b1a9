"""How surely a mode is a mode, a part at fault, and what is found right: probabilities out of a few margins.

Each is a logistic function of what was measured.  Its constants were fitted by maximum likelihood to
simulated recordings whose every fault is known (tests/study/fit_sureness.py, seeds 1000 to 1899), before a
second mode was looked for beside the clearest, and are judged on others (tests/study/confusion.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log
from typing import Literal

from .shakes import Mode, Turning

# constant, then one for each margin, in the order of the functions below
MODE = (-8.58, 1.74, 1.03, 1.52, -3.31, 5.87)
WHEEL = (-0.37, 5.49, 1.01, 0.59, 1.95)
OTHER = (0.63, 0.96, 5.3)

# constant and slope on the logarithm of odds: what is named is the likeliest of several, and may be there and
# yet beside the point
NAMED_RIGHT = {"resonance": (-0.17, 2.13), "rotating_part": (2.21, 0.23)}
NOTHING = (-0.72, 0.6, 1.24)

UNHEARD = 0.02  # [-] probability of a part at fault or a mode where none is even suspected
ROAD = 2000.0  # [m] of a road that is neither short nor long
RINGS = 0.12  # [-] damping ratio at which a mode is neither light nor heavy
FAULTY = 2.5  # [-] size over a healthy one at which a wheel is neither


def _logistic(constants: tuple[float, ...], margins: tuple[float, ...]) -> float:
    total = constants[0] + sum(c * x for c, x in zip(constants[1:], margins, strict=True))
    return 1 / (1 + exp(-min(max(total, -30.0), 30.0)))


def log_odds(probability: float) -> float:
    """Logarithm of the odds, held between one in a thousand and its opposite [-].

    probability  [-]

    >>> log_odds(0.5), round(log_odds(1.0), 2)
    (0.0, 6.91)
    """
    held = min(max(probability, 1e-3), 1 - 1e-3)
    return log(held / (1 - held))


def mode_margins(mode: Mode) -> tuple[float, ...]:
    """Clear in spectra and orders alike, lightness and sureness of damping, share, how fully passed [-]."""
    return (
        log(1 + min(mode.steady, mode.turning, 60.0) / 10),
        log(RINGS / mode.fit.damping),
        log(max(mode.share, 0.02) / 0.2),
        log(mode.fit.damping_high / mode.fit.damping_low),
        log(max(mode.fit.inside, 0.1)),
    )


def wheel_margins(one: Turning) -> tuple[float, ...]:
    """Size of a wheel's input, how far it stands out, and whether axles told it [-]."""
    size = log(min(max(one.size or 0.1, 0.1), 20.0) / FAULTY)
    told = one.size_from == "axle"
    return size * told, size * (not told), log(max(one.share, 0.01) / 0.1), log(one.line.line.clear / 6)


def other_margins(one: Turning) -> tuple[float, ...]:
    """How far something else that turns stands out of its surroundings, and how clearly it is a line [-]."""
    return (
        log(max(one.tonal, 0.01) / max(1 - one.tonal, 0.01)),
        log(one.line.line.clear / 6),
    )


def sure_of_mode(mode: Mode) -> float:
    """Probability that a lightly damped mode is there [-]."""
    return _logistic(MODE, mode_margins(mode))


def sure_of_fault(one: Turning) -> float:
    """Probability that what turns is larger than a healthy part's [-]."""
    if one.line.family == "wheel":
        return _logistic(WHEEL, wheel_margins(one))
    return _logistic(OTHER, other_margins(one))


def nothing_margins(likeliest: float, road: float) -> tuple[float, ...]:
    """How unlikely all is that was not named, and how much road there was to hear it on [-].

    likeliest  [-] probability of the likeliest mode or fault that was not named
    road       [m]
    """
    return log_odds(1 - likeliest), log(max(road, 100.0) / ROAD)


def sure_of_kind(kind: Literal["resonance", "rotating_part"], probability: float) -> float:
    """Probability that a finding's kind is right [-].

    probability  [-] that its mode or its fault is there

    >>> round(sure_of_kind("resonance", 0.5), 2), round(sure_of_kind("resonance", 0.9), 2)
    (0.46, 0.99)
    """
    return _logistic(NAMED_RIGHT[kind], (log_odds(probability),))


def sure_of_nothing(others: Sequence[float], road: float) -> float:
    """Probability that nothing of the vehicle is at fault where nothing was named [-].

    others  [-] probabilities of what was not named
    road    [m] that was driven

    >>> round(sure_of_nothing([0.3], 400.0), 2), round(sure_of_nothing([], 4000.0), 2)
    (0.1, 0.92)
    """
    return _logistic(NOTHING, nothing_margins(max(others, default=UNHEARD), road))
