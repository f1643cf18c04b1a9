"""Natural frequencies and damping from a ring-down, and effective mass from an added weight.

What is left to itself rings as a sum of damped cosines.  A matrix pencil finds how many and roughly which; a
least-squares fit of all points at once settles them, and its covariance gives the intervals.

Which standstill test rings which mode: a push on a corner, the body's bounce or pitch, a few cycles at most;
a weight hung on the rear end and snapped off, or a small step driven off, frame bending.  Leaves are locked
by their own friction at standstill, so what rings there rings at a higher frequency, and with less damping,
than on the road.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pi, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..numbers import NORMAL_95
from .columns import refused

Floats = NDArray[np.float64]

MOST_MODES = 3
MOST_SAMPLES = 400  # in a pencil: its cost grows with the third power
PER_CYCLE = 6.0  # samples of the highest frequency that are kept
FEWEST = 24  # samples
CYCLES = 1.5  # of the slowest mode that must be there
LIGHTEST, HEAVIEST = 2e-4, 0.6  # [-] damping ratios that are believed
WORTH = 10.0  # by which a further mode must better Schwarz's criterion: it was picked from several
TRIED = 2  # of the strongest poles, at each step
FAINTEST = 1e-8  # [-] share of the power that a mode must have to be more than rounding


@dataclass(frozen=True)
class Decay:
    """One mode of a ring-down.

    frequency      [Hz] natural, undamped
    damping        [-] ratio
    frequency_interval  [Hz] 95 %
    damping_interval    [-] 95 %
    amplitude      [its own unit] (points,) complex: at the first instant x = Re(amplitude)
    share          [-] of the power of the ring-down
    """

    frequency: float
    damping: float
    frequency_interval: tuple[float, float]
    damping_interval: tuple[float, float]
    amplitude: NDArray[np.complex128]
    share: float


def decrement(damping: float) -> float:
    """Logarithm of the ratio of successive peaks of one side [-].

    damping  ratio z [-], 0 <= z < 1

        d = 2 pi z / sqrt(1 - z^2)

    Source: elementary; W. T. Thomson, Theory of Vibration with Applications, section 2.7 (from memory).

    >>> round(decrement(0.05), 6)
    0.314553
    """
    if not 0 <= damping < 1:
        raise ValueError(f"damping must be a ratio from 0 to below 1, got {damping}")
    return 2 * pi * damping / sqrt(1 - damping**2)


def damping_of(first: float, last: float, cycles: int) -> float:
    """Damping ratio [-] from two peaks of one side, so many cycles apart.

    first, last  heights of the peaks, in one unit, above the level of rest
    cycles       from one to the other

    >>> round(damping_of(1.0, 0.5, 3), 4)     # ln 2 / 3 a cycle
    0.0367
    """
    if not (first > last > 0 and cycles >= 1):
        raise ValueError(f"peaks must fall and stay above zero, got {first} and {last} after {cycles} cycles")
    d = np.log(first / last) / cycles
    return float(d / np.hypot(2 * pi, d))


def ring_down(
    shake: ArrayLike, rate: float, low: float = 1.0, high: float = 25.0, most: int = MOST_MODES
) -> tuple[Decay, ...]:
    """The modes of what is left to itself, the strongest first; none where nothing rings.

    shake  [its own unit] (samples,) or (points, samples) from the instant of release on
    rate   [Hz]
    low    [Hz] lowest frequency that is looked for
    high   [Hz] highest
    most   modes

    Raises CounterbounceError for a record that is too short or holds what is no number.

    >>> t = np.arange(400) / 100
    >>> noise = 0.01 * np.random.default_rng(1).standard_normal(400)
    >>> found = ring_down(np.exp(-0.03 * 2 * pi * 7 * t) * np.cos(2 * pi * 7 * t) + noise, 100.0)
    >>> [(round(one.frequency, 1), round(one.damping, 3)) for one in found]
    [(7.0, 0.03)]
    """
    x = np.atleast_2d(np.asarray(shake, dtype=float))
    if not np.isfinite(x).all():
        raise refused("", "a ring-down must not hold gaps")
    x, rate = _slower(x, rate, high)
    if x.shape[1] < FEWEST or x.shape[1] / rate < CYCLES / low:
        raise refused("", f"too short for a ring-down: {x.shape[1] / rate:.3g} s at {rate:.4g} Hz")
    poles = _strongest_first(x, rate, _poles(x, rate, low, high))
    chosen: list[complex] = []
    best, left = _without_modes(x), list(poles)
    fitted: _Fit | None = None
    while left and len(chosen) < most:
        trials = [_fitted(x, rate, [*chosen, pole]) for pole in left[:TRIED]]
        trial = min(trials, key=lambda one: one.criterion)
        if trial.criterion > best - WORTH or trial.shares.min() < FAINTEST:
            break
        best, fitted, chosen = trial.criterion, trial, list(trial.poles)
        left = [pole for pole in left if all(abs(pole.imag / one.imag - 1) > 0.02 for one in chosen)]
    return _told(fitted, low, high) if fitted else ()


def _without_modes(x: Floats) -> float:
    """Schwarz's criterion of a constant alone [-]."""
    power = float(np.mean((x - x.mean(axis=1, keepdims=True)) ** 2)) / (float(np.mean(x**2)) or 1.0)
    return x.size * float(np.log(max(power, 1e-30))) + len(x) * float(np.log(x.size))


def _slower(x: Floats, rate: float, high: float) -> tuple[Floats, float]:
    """No more samples a second than the highest frequency needs, nothing aliased."""
    from scipy.signal import decimate

    factor = int(rate / (PER_CYCLE * high))
    while factor > 1:
        step = min(factor, 10)
        x = decimate(x, step, ftype="fir", axis=-1, zero_phase=True)
        rate, factor = rate / step, factor // step
    return x, rate


def _poles(x: Floats, rate: float, low: float, high: float) -> list[complex]:
    """Poles [rad/s] of a total-least-squares matrix pencil that oscillate within the range.

    Source: Y. Hua, T. K. Sarkar, IEEE Trans. Acoust. Speech Signal Process. 38 (1990) 814-824 (from memory).
    """
    from scipy.linalg import eigvals, hankel

    samples = min(x.shape[1], MOST_SAMPLES)
    pencil = samples // 3
    split = samples - pencil
    centred = x - x.mean(axis=1, keepdims=True)
    stacked = np.vstack([hankel(one[:split], one[split - 1 : samples]) for one in centred])
    _, strength, right = np.linalg.svd(stacked, full_matrices=False)
    noise = float(np.median(strength))
    order = int(np.clip((strength > 3 * noise).sum(), 2, 6 * MOST_MODES))
    kept = right[:order].T
    found = eigvals(np.linalg.pinv(kept[:-1]) @ kept[1:])
    found = found[np.abs(found) > 1e-6]
    poles = np.log(found) * rate
    natural = np.abs(poles) / (2 * pi)
    damping = -poles.real / np.abs(poles)
    there = (poles.imag > 0) & (natural >= low) & (natural <= high) & (damping > -0.02) & (damping < HEAVIEST)
    kept_damping = np.clip(damping[there], LIGHTEST, HEAVIEST)
    return [_pole(w, z) for w, z in zip(np.abs(poles)[there], kept_damping, strict=True)]


def _strongest_first(x: Floats, rate: float, poles: list[complex]) -> list[complex]:
    """Poles in order of what each brings to the record, all of them fitted at once."""
    if not poles:
        return []
    logs = np.log([value for p in poles for value in (abs(p), -p.real / abs(p))])
    basis = _basis(logs, x.shape[1], rate)
    linear = np.linalg.lstsq(basis, x.T, rcond=None)[0]
    count = len(poles)
    power = [np.sum((basis[:, [m, count + m]] @ linear[[m, count + m]]) ** 2) for m in range(count)]
    return [poles[m] for m in np.argsort(power)[::-1]]


def _pole(natural: float, damping: float) -> complex:
    return complex(-damping * natural, natural * sqrt(1 - damping**2))


@dataclass(frozen=True)
class _Fit:
    """Poles, their amplitudes, their covariance in ln f and ln z, and what a further number must be worth."""

    poles: tuple[complex, ...]
    amplitude: NDArray[np.complex128]
    error: Floats
    criterion: float
    shares: Floats


def _basis(logs: Floats, count: int, rate: float) -> Floats:
    """Damped cosines and sines, and a constant, (samples, 2 modes + 1)."""
    t = np.arange(count) / rate
    w, z = np.exp(logs[::2]), np.clip(np.exp(logs[1::2]), LIGHTEST, 0.95)
    decay = np.exp(-np.outer(t, z * w))
    phase = np.outer(t, w * np.sqrt(1 - z**2))
    return np.column_stack([decay * np.cos(phase), decay * np.sin(phase), np.ones(count)])


def _fitted(x: Floats, rate: float, poles: list[complex]) -> _Fit:
    """Least squares over frequency and damping; amplitudes are solved for on the way."""
    from scipy.optimize import least_squares

    count = x.shape[1]
    start = np.log([value for p in poles for value in (abs(p), max(-p.real / abs(p), LIGHTEST))])
    size = float(np.sqrt(np.mean(x**2))) or 1.0

    def left(logs: Floats) -> Floats:
        basis = _basis(logs, count, rate)
        return np.asarray(((x.T - basis @ np.linalg.lstsq(basis, x.T, rcond=None)[0]) / size).ravel())

    found = least_squares(left, start, method="lm", max_nfev=200 * len(start))
    linear = np.linalg.lstsq(_basis(found.x, count, rate), x.T, rcond=None)[0]
    modes = len(poles)
    numbers = len(start) + linear.size
    variance = 2 * found.cost / max(x.size - numbers, 1) * _correlated(found.fun.reshape(count, -1))
    jacobian = np.asarray(found.jac)
    covariance = np.linalg.pinv(jacobian.T @ jacobian) * variance
    w, z = np.exp(found.x[::2]), np.clip(np.exp(found.x[1::2]), LIGHTEST, 0.95)
    basis = _basis(found.x, count, rate)
    parts = [basis[:, [m, modes + m]] @ linear[[m, modes + m]] for m in range(modes)]
    power = float(np.sum((x - x.mean(axis=1, keepdims=True)) ** 2))
    shares = np.array([np.sum(part**2) for part in parts]) / max(power, 1e-300)
    return _Fit(
        tuple(_pole(a, b) for a, b in zip(w, z, strict=True)),
        linear[:modes] - 1j * linear[modes : 2 * modes],
        np.sqrt(np.clip(np.diag(covariance), 0, None)),
        x.size * float(np.log(max(2 * found.cost / x.size, 1e-30))) + numbers * float(np.log(x.size)),
        shares,
    )  # fmt: skip


def _correlated(left: Floats) -> float:
    """How much larger a variance is where residuals hang together [-]: the sum of their correlations."""
    centred = left - left.mean(axis=0)
    power = float(np.sum(centred**2))
    lags = range(1, min(20, len(left) // 4))
    near = [float(np.sum(centred[lag:] * centred[:-lag])) / power for lag in lags] if power > 0 else []
    return max(1.0, 1 + 2 * sum(max(r, 0.0) for r in near if r > 2 / sqrt(left.size)))


def _told(fit: _Fit, low: float, high: float) -> tuple[Decay, ...]:
    found = []
    for m, pole in enumerate(fit.poles):
        w = abs(pole)
        f, z = w / (2 * pi), -pole.real / w
        errors = np.exp(np.minimum(NORMAL_95 * fit.error[2 * m : 2 * m + 2], 5.0))
        if low <= f <= high and z < HEAVIEST:
            found.append(
                Decay(
                    f, z, (f / errors[0], f * errors[0]), (z / errors[1], z * errors[1]),
                    fit.amplitude[m], float(fit.shares[m]),
                )
            )  # fmt: skip
    return tuple(sorted(found, key=lambda one: -one.share))


def effective_mass(
    without: float, loaded: float, mass: float, error: float = 0.0, mass_error: float = 0.0
) -> tuple[float, float, float]:
    """Effective modal mass at the place of an added weight, and its 95 % interval [kg].

        m = M / ((f_1 / f_2)^2 - 1)

    without     [Hz] natural frequency without the weight
    loaded      [Hz] with it
    mass        M [kg] of the weight
    error       [Hz] half the 95 % interval of each frequency
    mass_error  [kg] half the 95 % interval of M

    Exact for one mode; the weight should stay below a third of what it is to find, and move nothing else.
    Source: elementary (the stiffness stays).

    >>> [round(x) for x in effective_mass(8.0, 7.5, 50.0, error=0.05)]
    [363, 315, 427]
    """
    if not (0 < loaded < without and mass > 0):
        raise ValueError(f"an added weight lowers a frequency: {without} Hz without it, {loaded} Hz with it")
    shift = (without / loaded) ** 2 - 1
    wide = 2 * (without / loaded) ** 2 * error * np.hypot(1 / without, 1 / loaded)
    share = np.hypot(wide / shift, mass_error / mass)
    best = mass / shift
    low = best / (1 + share)
    return float(best), float(low), float(best / (1 - share)) if share < 1 else inf
