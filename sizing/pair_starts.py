"""Where the search for a pair starts: a first look at many pairs, and the single best damper, taken apart."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .absorber import Damper
from .pair_problem import Problem, built

Floats = NDArray[np.float64]

TUNINGS = np.array([0.78, 0.87, 0.94, 1.0, 1.06, 1.14, 1.28])  # of the mode complained of
DAMPINGS, SHARES = np.array([0.03, 0.08, 0.2]), np.array([0.5, 0.25, 0.75])  # side by side; of the second
INNER, OUTER, OUTER_SHARES = np.array([0.006]), np.array([0.08, 0.2, 0.5]), np.array([0.04, 0.12])  # stacked
LOOKED_AT, TRIED, STARTED = 2, 24, 3  # every second speed at first; candidates of a second look; starts
APART = 0.05  # of ln tuning or of a share: what is closer leads to the same end
BLOCK = 64  # candidates at a time
ALMOST_NONE = 1e-9  # share of the mass, where one damper is to be alone


def starts(asked: Problem, frequency: float) -> list[Floats]:
    """The best pairs of a grid, (6,) each: (ln omega_damper [rad/s], ln damping ratio [-], ln mass [kg]) of
    both.

    frequency  [Hz] of the mode that is complained of

    Side by side the best few lead to the best end.  Stacked there are several valleys, by how heavy and how
    damped the second is, and the deepest does not look best from outside: the best of each is a start.
    """
    grid = _grid(asked, 2 * np.pi * frequency)
    road = asked.footing.road.thinned(np.arange(0, asked.footing.inside, LOOKED_AT))
    parts = (built(grid[i : i + BLOCK]) for i in range(0, len(grid), BLOCK))
    level = np.concatenate([road.after(*part).max(axis=(-2, -1)) for part in parts])
    if asked.footing.road.stacked:
        valleys = np.unique(grid[:, 4:].round(6), axis=0, return_inverse=True)[1].ravel()
        return [grid[np.argmin(np.where(valleys == v, level, np.inf))] for v in range(valleys.max() + 1)]
    kept: list[Floats] = []
    for x in sorted(grid[np.argsort(level)[:TRIED]], key=asked.merit):
        if all(_apart(x, other) for other in kept):
            kept.append(x)
    return kept[:STARTED]


def _grid(asked: Problem, omega: float) -> Floats:
    """Tunings, dampings and shares of both, at the full weight that is allowed, (C, 6)."""
    footing = asked.footing
    dampings = (INNER, OUTER) if footing.road.stacked else (DAMPINGS, DAMPINGS)
    shares = OUTER_SHARES if footing.road.stacked else SHARES
    axes = np.meshgrid(TUNINGS, dampings[0], TUNINGS, dampings[1], shares, indexing="ij")
    tuning, ratio, other_tuning, other_ratio, share = np.array([axis.ravel() for axis in axes])
    m = np.stack([1 - share, share], axis=-1)
    m = m / footing.weights.used(m).max(axis=-1, keepdims=True)
    each = [omega * tuning, ratio, m[:, 0], omega * other_tuning, other_ratio, m[:, 1]]
    return np.asarray(np.log(np.stack(each, axis=-1)))


def _apart(x: Floats, other: Floats) -> bool:
    shares = [float(np.exp(y[5] - np.logaddexp(y[2], y[5]))) for y in (x, other)]
    return bool(np.abs(x - other)[[0, 3]].max() > APART or abs(shares[0] - shares[1]) > APART)


def from_single(asked: Problem, single: Damper) -> tuple[list[Floats], list[Floats]]:
    """The single best damper as a pair: starts of a search, and pairs that do just as it does, (6,) each: (ln
    omega_damper [rad/s], ln damping ratio [-], ln mass [kg]) of both; nothing where it hangs elsewhere."""
    names = asked.footing.names
    if single.place not in names:
        return [], []
    own, ratio, m = np.sqrt(single.stiffness / single.mass), single.damping_ratio, single.mass
    whole = [own, ratio, m * (1 - ALMOST_NONE)]
    none = [own, max(ratio, asked.least_damped), m * ALMOST_NONE]
    if asked.footing.road.stacked:
        opened = [own, 0.3 * ratio, 0.9 * m, own, 2 * ratio, 0.1 * m]
        return [np.log(opened)], [np.log([*whole, *none])]
    if names[0] == names[1]:
        half = [own, ratio, m / 2]
        opened = [own * (1 - ratio / 2), 0.7 * ratio, m / 2, own * (1 + ratio / 2), 0.7 * ratio, m / 2]
        return [np.log(opened)], [np.log([*half, *half])]
    first = names[0] == single.place
    opened = (
        [own, ratio, 0.8 * m, own, ratio, 0.2 * m] if first else [own, ratio, 0.2 * m, own, ratio, 0.8 * m]
    )
    return [np.log(opened)], [np.log([*whole, *none] if first else [*none, *whole])]
