"""What a damper as it is built may differ from a damper as it was sized.

Widths are half of 95 % intervals, as everywhere.  They stand for a damper of steel springs, weighed on a
workshop's scale, with a bought dashpot; a rubber spring takes `RUBBER`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..model.numbers import NORMAL_95
from ..model.plausible import scores

Floats = NDArray[np.float64]

STUCK = 20.0  # times its own spring: what a guide that sticks adds to it, common practice, no source


@dataclass(frozen=True)
class Tolerances:
    """How far each number of a damper may be off, half of a 95 % interval as a share [-].

    mass         [-] 1 %: a workshop's scale (common practice, no source)
    stiffness    [-] 5 %: coil springs as bought (common practice, no source)
    damping      [-] 20 %: dashpots as bought, fluid and friction included (common practice, no source)
    temperature  [-] what a year's temperatures do to stiffness and damping alike; 0 for steel springs
    bracket      [N/m] stiffness of what bolts it to its place; None: stiff.  5 MN/m: a short plate bracket on
        a crossmember (assumed, no source)
    bracket_off  [-] 1: the bracket is known to a factor of two
    friction     [N] breakaway force of its guides
    """

    mass: float = 0.01
    stiffness: float = 0.05
    damping: float = 0.20
    temperature: float = 0.0
    bracket: float | None = 5e6
    bracket_off: float = 1.0
    friction: float = 0.0


# Rubber as ordered is known to 5 points of hardness, which is about 15 % of its stiffness, and its stiffness
# drifts by about 15 % between a winter's and a summer's day (P. B. Lindley, Engineering Design with Natural
# Rubber, 1974, from memory).
RUBBER = Tolerances(stiffness=0.15, temperature=0.15)
EXACT = Tolerances(0.0, 0.0, 0.0, 0.0, None, 0.0, 0.0)


@dataclass(frozen=True)
class Built:
    """V dampers as they are built, over one as it was sized.

    mass, stiffness, damping  factors [-] (V,)
    bracket                   compliance of the bracket [m/N] (V,)
    friction                  [N] breakaway force of the guides
    """

    mass: Floats
    stiffness: Floats
    damping: Floats
    bracket: Floats
    friction: float


def built(tolerances: Tolerances, count: int, seed: int = 1) -> Built:
    """Dampers within their tolerances, spread evenly.

    count  [-]
    seed   of the draw [-]

    >>> one = built(Tolerances(), 256)
    >>> [round(float(np.std(np.log(f))), 3) for f in (one.mass, one.stiffness, one.damping)]
    [0.005, 0.025, 0.093]
    """
    drawn = scores(5, 1 << max(count - 1, 1).bit_length(), seed)
    shuffled = np.random.default_rng(seed).permutation(drawn)  # or they would go with the vehicles' own
    mass, stiffness, damping, warm, bracket = shuffled[:count].T
    t = tolerances
    drift = _factor(t.temperature, warm)
    soft = 0.0 if t.bracket is None else 1 / t.bracket
    return Built(
        _factor(t.mass, mass),
        _factor(t.stiffness, stiffness) * drift,
        _factor(t.damping, damping) * drift,
        soft * _factor(t.bracket_off, bracket),
        t.friction,
    )


def _factor(share: float, score: Floats) -> Floats:
    return np.asarray(np.exp(np.log1p(share) / NORMAL_95 * score))


def sliding(
    friction: float, stiffness: ArrayLike, amplitude: ArrayLike, omega: ArrayLike
) -> tuple[Floats, Floats]:
    """Spring [N/m] and dashpot [N s/m] that guides add to a damper, by the first harmonic of their force.

    friction   breakaway force [N]
    stiffness  of the damper's own spring [N/m]; a guide that sticks is `STUCK` times as stiff
    amplitude  of the stroke [m]
    omega      [rad/s]

    Source: T. K. Caughey, Sinusoidal excitation of a system with bilinear hysteresis, J. Appl. Mech. 27
    (1960) (from memory), as in `DryFriction`, for arrays.

    >>> k, c = sliding(5.0, 5e3, np.array([1e-5, 1e-3]), 40.0)
    >>> k.round(1).tolist(), c.round(1).tolist()
    ([100000.0, 1869.3], [0.0, 151.2])
    """
    rate, stroke, omega = (np.asarray(x, dtype=float) for x in (stiffness, amplitude, omega))
    if not friction:
        return np.zeros_like(stroke), np.zeros_like(stroke)
    rate = STUCK * rate
    give = friction / rate
    reached = np.maximum(stroke, give)
    turned = np.arccos(1 - 2 * give / reached)
    k = rate / np.pi * (turned - np.sin(2 * turned) / 2)
    return np.asarray(k), np.asarray(4 * friction * (reached - give) / (np.pi * omega * reached**2))
