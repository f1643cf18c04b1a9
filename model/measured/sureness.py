"""How surely a mode is a mode, a part at fault: probabilities out of a few margins.

Each is a logistic function of what was measured.  Its constants were fitted by maximum likelihood to
simulated recordings whose every fault is known (tests/study/fit_sureness.py: seeds 1000 to 1323 for modes,
1000 to 1197 for what turns), and are judged on others (tests/study/confusion.py).
"""

from __future__ import annotations

from math import exp, log

from .shakes import Mode, Turning

# constant, then one for each margin, in the order of the functions below
MODE = (-11.35, 1.72, 1.68, 1.57, 1.18, -1.89, 5.51)
WHEEL = (-2.99, 2.85, 0.39, 1.51, 1.86)
OTHER = (-0.5, 0.51, 2.6)

TEMPER = 0.75  # [-] of the fitted logarithm of odds: on other rides the bare fit was surer than it was right
MEANT = 0.5  # [-] probability from which it is said
RINGS = 0.12  # [-] damping ratio at which a mode is neither light nor heavy
FAULTY = 2.5  # [-] size over a healthy one at which a wheel is neither


def _logistic(constants: tuple[float, ...], margins: tuple[float, ...]) -> float:
    total = constants[0] + sum(c * x for c, x in zip(constants[1:], margins, strict=True))
    return 1 / (1 + exp(-TEMPER * min(max(total, -30.0), 30.0)))


def mode_margins(mode: Mode) -> tuple[float, ...]:
    """Clearness in spectra and in orders, lightness and sureness of damping, share, how fully passed [-]."""
    return (
        log(1 + min(mode.steady, 60.0) / 10),
        log(1 + min(mode.turning, 60.0) / 10),
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
