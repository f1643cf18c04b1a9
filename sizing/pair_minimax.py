"""The best pair of dampers for two places, in epigraph form with exact gradients: as for one damper, with six
unknowns instead of three (SciPy's SLSQP, constraints added as they turn out to be violated).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from .lowering import lowered
from .minimax import MOST_DAMPED, NEARLY
from .pair_problem import FoundPair, Problem, found_pair

Floats = NDArray[np.float64]

REACH = np.tile([0.3, 1.2, 1.5], 2)  # how far ln(tuning), ln(damping) and ln(mass) may go in one round
ROUNDS = 12
NEAREST = 0.01  # of that reach: where nothing is gained so near, rounds end
PROMISING = 1.2  # times the least level after a first round: what stays above it is given up
SETTLED = 1e-4  # share gained below which the next round looks nearer
STEPS, WITHIN = 60, 1e-7  # of one solution


def best_pair(asked: Problem, starts: Sequence[Floats], also: Sequence[Floats] = ()) -> FoundPair:
    """The best pair on a footing, and never worse than the best it was started from.

    starts  of the search: (ln omega_damper [rad/s], ln damping ratio [-], ln mass [kg]) of each, (6,)
    also    [the same] pairs that it must not fall behind, too degenerate to start from
    """
    asked = replace(asked, scale=min(asked.left(asked.lighter(x)) for x in (*starts, *also)))
    rounds = [_better(asked, x, asked.merit(x), REACH)[:2] for x in map(asked.lighter, starts)]
    limit = PROMISING * min((merit for _, merit in rounds), default=np.inf)
    ends = [_end(asked, x, merit) for x, merit in rounds if merit <= limit]
    ends += [(x, asked.merit(x)) for x in map(asked.lighter, also)]
    return found_pair(asked, min(ends, key=lambda end: end[1])[0])


# --- rounds -------------------------------------------------------------------------------------------------


def _end(asked: Problem, x: Floats, merit: float) -> tuple[Floats, float]:
    """Round after round from x until nothing is gained: where it ends, and its merit."""
    reach = REACH
    for _ in range(ROUNDS):
        x, merit, gained = _better(asked, x, merit, reach)
        if gained < SETTLED:
            reach = reach / 4  # the slopes promised too much: look nearer
        if reach[0] < NEAREST * REACH[0]:
            break
    return x, merit


def _better(asked: Problem, x: Floats, merit: float, reach: Floats) -> tuple[Floats, float, float]:
    """One round from x: where it ends, its merit, and the share gained; x itself where nothing was gained."""
    tried = asked.lighter(_round(asked, x, merit, reach))
    found = asked.merit(tried)
    gained = 1 - found / merit
    return (tried, found, gained) if gained > 0 else (x, merit, gained)


def _round(asked: Problem, x: Floats, merit: float, reach: Floats) -> Floats:
    """One solution within reach of x, constraints added as they turn out to be violated."""
    z = np.append(x, merit)
    low, high = x - reach, x + reach
    low[1::3] = np.maximum(low[1::3], np.log(asked.least_damped))
    high[1::3] = np.minimum(high[1::3], np.log(MOST_DAMPED))
    box = [*zip(np.minimum(low, x), np.maximum(high, x), strict=True), (0.0, max(2.0, 1.1 * merit))]
    chosen = asked.constraints(z)[0] < 1 - NEARLY
    for _ in range(3):
        z = _solve(asked, z, box, np.flatnonzero(chosen))
        left = asked.constraints(z)[0]
        if not ((left < -1e-7) & ~chosen).any():
            break
        chosen |= left < 1 - NEARLY
    return z[:6]


def _solve(asked: Problem, z: Floats, box: Sequence[tuple[float, float]], kept: NDArray[np.intp]) -> Floats:
    """Lower t under the kept constraints."""
    return lowered(asked.constraints, z, box, kept, STEPS, WITHIN)
