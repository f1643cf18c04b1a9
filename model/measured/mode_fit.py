"""A mode fitted to power along frequency: natural frequency and damping from a sweep or a spectrum.

Near one mode the power of a point is that of the mode on top of what else moves it, both under a slope that
the input brings along:

    P(f) = a f^p [ 1 + c / ((1 - r^2)^2 + (2 z r)^2) ],   r = f / f_n

What is read off is where it peaks and how wide it is.  The scatter about the best fit tells the intervals,
and whether there is a peak at all: the same fit with c = 0 must be clearly worse.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, log, sqrt

import numpy as np
from numpy.typing import NDArray

from ..numbers import NORMAL_95

Floats = NDArray[np.float64]

DAMPING = (0.004, 0.35)  # [-] that a mode may have here
SLOPES = (-4.0, 8.0)  # p: 4 for a height that stays, 8 for an imbalance, 2 for a rough road
FEWEST = 7  # values along frequency
STEEPNESS = 1.5  # one standard deviation of the slope about what is expected


@dataclass(frozen=True)
class ModeFit:
    """A mode, and how surely it is one.

    frequency      [Hz] natural, undamped
    damping        [-] ratio
    frequency_low, frequency_high, damping_low, damping_high   95 % intervals [Hz, -]
    amplification  [-] level at the peak over what the slope alone would make of it
    peak           [-] by how much the fit gains over a slope without a peak: a logarithm of likelihood, the
                   three further numbers paid for (Schwarz); above 0 the peak is worth having
    inside         [-] half-widths passed on either side, the fewer; 0: it lies at an end
    slope          [-] p
    level          [its own unit] r.m.s. level without the mode at the natural frequency
    scatter        [-] standard deviation of the logarithm of power about the fit
    """

    frequency: float
    damping: float
    frequency_low: float
    frequency_high: float
    damping_low: float
    damping_high: float
    amplification: float
    peak: float
    inside: float
    slope: float
    level: float
    scatter: float


def _shape(f: Floats, natural: float, damping: float) -> Floats:
    r2 = (f / natural) ** 2
    return 1 / ((1 - r2) ** 2 + 4 * damping**2 * r2)


def _logarithm(x: Floats, f: Floats, spread: Floats, floor: Floats, middle: float, mode: bool) -> Floats:
    """ln of power and floor, averaged over what each value is spread over."""
    total = np.zeros(len(f))
    for shift in (-0.8, 0.0, 0.8):
        at = f + shift * spread / 2
        rise = 1 + np.exp(x[2]) * _shape(at, np.exp(x[3]), np.exp(x[4])) if mode else 1.0
        total += np.exp(np.clip(x[0] + x[1] * np.log(at / middle), -80, 80)) * rise / 3
    return np.asarray(np.log(total + floor + 1e-30))


def fit_mode(
    frequency: Floats,
    power: Floats,
    weights: Floats | None = None,
    floor: Floats | None = None,
    spread: Floats | None = None,
    slope: float = 4.0,
) -> ModeFit | None:
    """The mode that best explains power along frequency; None where there are too few values.

    frequency  [Hz] (n,)
    power      [its own unit, squared] (n,), above 0, what is no signal included
    weights    [-] (n,) how many independent values each power is the mean of; None: one
    floor      [its own unit, squared] (n,) how much of it is no signal; None: nothing
    spread     [Hz] (n,) how much frequency each value covers; None: none
    slope      [-] p that is expected

    >>> f = np.linspace(5.0, 12.0, 60)
    >>> power = f**4 * (1 + 0.02 / ((1 - (f / 8) ** 2) ** 2 + (2 * 0.03 * f / 8) ** 2))
    >>> found = fit_mode(f, power * np.exp(0.05 * np.sin(40 * f)))
    >>> round(found.frequency, 1), round(found.damping, 2), found.peak > 0
    (8.0, 0.03, True)
    """
    f, y = np.asarray(frequency, float), np.log(np.maximum(power, 1e-30))
    if len(f) < FEWEST or np.ptp(f) == 0:
        return None
    w = np.sqrt(np.ones(len(f)) if weights is None else np.asarray(weights, float))
    w = w / w.mean()
    nothing = np.zeros(len(f))
    base = nothing if floor is None else np.asarray(floor, float)
    wide = nothing if spread is None else np.asarray(spread, float)
    problem = _Problem(f, y, w, base, wide, float(np.exp(np.mean(np.log(f)))), slope)
    plain = problem.best([np.median(y) - 0.0, slope], False)
    modes = [problem.best(start, True) for start in problem.starts(plain.x)]
    return problem.told(plain.x, min(modes, key=lambda one: one.cost))


@dataclass(frozen=True)
class _Solution:
    x: Floats
    cost: float
    jacobian: Floats


@dataclass(frozen=True)
class _Problem:
    f: Floats
    y: Floats
    w: Floats
    floor: Floats
    spread: Floats
    middle: float
    slope: float

    def residuals(self, x: Floats, mode: bool) -> Floats:
        away = (self.y - _logarithm(x, self.f, self.spread, self.floor, self.middle, mode)) * self.w
        return np.append(away / 0.5, (x[1] - self.slope) / STEEPNESS)

    def best(self, start: list[float], mode: bool) -> _Solution:
        from scipy.optimize import least_squares

        low = [-np.inf, SLOPES[0]]
        high = [np.inf, SLOPES[1]]
        if mode:
            low += [log(1e-5), log(self.f.min() * 0.9), log(DAMPING[0])]
            high += [log(50.0), log(self.f.max() * 1.1), log(DAMPING[1])]
        x0 = np.clip(start, np.array(low) + 1e-6, np.array(high) - 1e-6)
        # A few pieces that hold something else must not bend the curve: soft_l1.
        found = least_squares(
            self.residuals, x0, bounds=(low, high), args=(mode,), loss="soft_l1", max_nfev=40, x_scale="jac"
        )
        return _Solution(found.x, float(found.cost), np.asarray(found.jac))

    def starts(self, plain: Floats) -> list[list[float]]:
        """Where to begin: the places that stand highest above the slope."""
        above = self.y - _logarithm(plain, self.f, self.spread, self.floor, self.middle, False)
        order = np.argsort(self.f)
        smooth = np.convolve(above[order], np.ones(3) / 3, mode="same")
        tops = self.f[order][np.argsort(-smooth)]
        chosen: list[float] = []
        for top in tops:
            if all(abs(log(top / one)) > 0.12 for one in chosen) and len(chosen) < 2:
                chosen.append(float(top))
        return [
            [plain[0] - 0.5, self.slope, log(0.03), log(top), log(z)]
            for top, z in zip(chosen, (0.03, 0.08), strict=False)
        ]

    def told(self, plain: Floats, best: _Solution) -> ModeFit:
        x, n = best.x, len(self.f)
        away = self.residuals(x, True)[:-1]
        before = self.residuals(plain, False)[:-1]
        robust = [float(np.sum(2 * (np.sqrt(1 + r**2) - 1))) for r in (before, away)]
        scatter = max(sqrt(robust[1] / max(n - 5, 1)), 0.05)
        gain = n / 2 * log(max(robust[0], 1e-9) / max(robust[1], 1e-9)) - 1.5 * log(n)
        variance = np.linalg.pinv(best.jacobian.T @ best.jacobian) * scatter**2
        error = np.sqrt(np.clip(np.diag(variance), 0, None)) * NORMAL_95
        natural, damping = float(np.exp(x[3])), float(np.exp(x[4]))
        rise = sqrt(1 + np.exp(x[2]) / (4 * damping**2))
        sides = (natural - self.f.min(), self.f.max() - natural)
        inside = max(0.0, min(sides) / (max(damping, 0.02) * natural))
        level = sqrt(np.exp(x[0] + x[1] * log(natural / self.middle)))
        times = np.exp(np.minimum(error, 3.0))
        return ModeFit(
            natural, damping, natural / times[3], natural * times[3], damping / times[4], damping * times[4],
            rise, gain if np.isfinite(gain) else -inf, min(inside, 9.0), float(x[1]), level, scatter / 2,
        )  # fmt: skip
