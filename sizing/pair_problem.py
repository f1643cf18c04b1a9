"""What is asked of a pair of dampers at two places: the limits, as constraints with slopes.

Minimise t, subject to: every level in the band below t, every level elsewhere below what is allowed there,
the stroke of each kept, its clearance, and every rating with both weights on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .absorber import GRAVITY, Damper
from .limits import Bounds, allowed_elsewhere, left_anywhere
from .minimax import LEAST_DAMPED, STEEP
from .pair import Pair, PairRoad
from .pair_slopes import FeltPair, felt_pair
from .pair_weights import Weights

Floats = NDArray[np.float64]

SLACK = 1e-3  # what a limit may be exceeded by when it is met with equality


@dataclass(frozen=True)
class Footing:
    """Two places, or one place twice, ready for any number of pairs.

    names    of both
    road     the vehicle as felt there: the band's speeds first, then the rest
    inside   how many speeds the band has [-]
    weights  what both may weigh
    """

    names: tuple[str, str]
    road: PairRoad
    inside: int
    weights: Weights

    def pair(self, x: Floats) -> Pair:
        """A pair here, spelt out.

        x  (ln omega_damper [rad/s], ln damping ratio [-], ln mass [kg]) of each, (6,)
        """
        m, k, c = built(x)
        first, second = (Damper(self.names[j], float(m[j]), float(k[j]), float(c[j])) for j in (0, 1))
        return Pair(first, second, self.road.stacked)


@dataclass(frozen=True)
class FoundPair:
    """The best pair found on one footing, as `Found` is for one damper.

    level      [m/s^2] r.m.s., largest over points and band with it
    left       [m/s^2] r.m.s., the same with what is worse elsewhere
    before     [m/s^2] r.m.s., without it
    strokes    [m] each way, of each mass against what it hangs on, when all causes add
    broken     names of the limits that it could not keep
    """

    pair: Pair
    footing: Footing
    level: float
    left: float
    before: float
    strokes: tuple[float, float]
    broken: tuple[str, ...]

    @property
    def reduction(self) -> float:
        """Share by which the largest level in the band falls [-]."""
        return 1 - self.level / self.before


def built(x: Floats) -> tuple[Floats, Floats, Floats]:
    """Masses [kg], spring rates [N/m] and dashpot rates [N s/m] of pairs, candidates + (2,) each.

    x  (ln omega_damper [rad/s], ln damping ratio [-], ln mass [kg]) of each, candidates + (6,)

    >>> [part.round(6).tolist() for part in built(np.log([2.0, 0.1, 5.0, 1.0, 0.5, 3.0]))]
    [[5.0, 3.0], [20.0, 3.0], [2.0, 3.0]]
    """
    own, ratio, m = np.exp(np.moveaxis(x.reshape(*x.shape[:-1], 2, 3), -1, 0))
    return m, m * own**2, 2 * ratio * m * own


@dataclass
class Problem:
    """What is asked of a pair on one footing: constraints g(x, t) >= 0, scaled so that 1 is the whole of a
    limit; the last answer is kept.

    before        [m/s^2] r.m.s. without dampers, (V, P)
    scale         [m/s^2] what t is counted in
    least_damped  [-] the least damping ratio of either: no spring is without loss
    """

    footing: Footing
    bounds: Bounds
    before: Floats
    scale: float
    least_damped: float = LEAST_DAMPED
    _asked: Floats | None = None
    _felt: FeltPair | None = None

    def felt(self, x: Floats) -> FeltPair:
        """What the pair x does, in the band and, behind it, over the rest of the speeds.

        x  (ln omega_damper [rad/s], ln damping ratio [-], ln mass [kg]) of each, (6,)
        """
        if self._felt is None or not np.array_equal(self._asked, x):  # type: ignore[arg-type]
            self._asked, self._felt = x.copy(), felt_pair(self.footing.road, x)
        return self._felt

    def constraints(self, z: Floats) -> tuple[Floats, Floats]:
        """(values, slopes) of all constraints [-], slopes (constraints, 7).

        z  x and t [in units of `scale`], (7,)
        """
        now, t, n = self.felt(z[:6]), z[6] * self.scale, self.footing.inside
        allowed = np.full_like(now.level, t)
        if self.bounds.elsewhere:
            allowed[n:] = allowed_elsewhere(self.before[n:], t)
        else:
            allowed[n:] = np.inf
        kept = np.isfinite(allowed).ravel()
        values = [((allowed - now.level) / self.scale).ravel()[kept]]
        slopes = [_rows(-now.level_slope / self.scale, (allowed == t).ravel())[kept]]
        for used, slope in self.room(z[:6], now):
            values.append((1 - used).ravel())
            slopes.append(_rows(-slope, np.zeros(used.size)))
        return np.concatenate(values), np.concatenate(slopes)

    def merit(self, x: Floats) -> float:
        """The least t that x allows [in units of `scale`]; what breaks another limit is priced in.

        x  (ln omega_damper [rad/s], ln damping ratio [-], ln mass [kg]) of each, (6,)
        """
        return self.left(x) / self.scale * (1 + STEEP * max(self.over(x), 0.0))

    def left(self, x: Floats) -> float:
        """The largest level in the band, or wherever it is more than before [m/s^2] r.m.s.

        x  (ln omega_damper [rad/s], ln damping ratio [-], ln mass [kg]) of each, (6,)
        """
        level, n = self.felt(x).level, self.footing.inside
        band = float(level[:n].max())
        return float(left_anywhere(band, level[n:], self.before[n:])) if self.bounds.elsewhere else band

    def over(self, x: Floats) -> float:
        """The share by which stroke, clearance or a weight is exceeded [-]; below zero: what is left.

        x  (ln omega_damper [rad/s], ln damping ratio [-], ln mass [kg]) of each, (6,)
        """
        return max(float(used.max()) - 1 for used, _ in self.room(x, self.felt(x)))

    def lighter(self, x: Floats) -> Floats:
        """The same pair with both masses (ln kg) so much lighter that all ratings hold.

        x  (ln omega_damper [rad/s], ln damping ratio [-], ln mass [kg]) of each, (6,)
        """
        used = float(self.footing.weights.used(np.exp(x[2::3])).max())
        return np.asarray(x - np.tile([0.0, 0.0, np.log(max(used, 1.0))], 2))

    def room(self, x: Floats, now: FeltPair) -> list[tuple[Floats, Floats]]:
        """How much of each limit is used up [-], with slopes over x: weights, then stroke and clearance.

        x  (ln omega_damper [rad/s], ln damping ratio [-], ln mass [kg]) of each, (6,)
        """
        m, limits = np.exp(x[2::3]), self.footing.weights
        slope = np.zeros((6, len(limits.room)))
        slope[2::3] = (limits.per_kilogram * m).T / np.maximum(limits.room, 1e-9)
        found = [(limits.used(m), slope)]
        if self.bounds.stroke is not None:
            found.append((now.stroke / self.bounds.stroke, now.stroke_slope / self.bounds.stroke))
        if self.bounds.clearance is not None:
            sag, change = self._sags(x)
            room = self.bounds.clearance
            found.append(((now.stroke + sag) / room, (now.stroke_slope + change[:, None]) / room))
        return found

    def _sags(self, x: Floats) -> tuple[Floats, Floats]:
        """Static sags [m], (2,), with slopes over x, (6, 2)."""
        sag, change = GRAVITY / np.exp(2 * x[::3]), np.zeros((6, 2))
        if self.footing.road.stacked:
            carried = sag[0] * np.exp(x[5] - x[2])  # by the first spring, of the second's weight
            change[[2, 5], 0] = -carried, carried
            sag[0] += carried
        change[0, 0], change[3, 1] = -2 * sag
        return sag, change


def _rows(slope: Floats, t_slope: NDArray[Any]) -> Floats:
    """Slopes over (x, t) as rows."""
    return np.column_stack([slope.reshape(6, -1).T, t_slope.astype(float)])


def problem(footing: Footing, bounds: Bounds, least_damped: float = LEAST_DAMPED) -> Problem:
    """What is asked of any pair on a footing; levels are counted in the largest before.

    least_damped  the least damping ratio of either [-]
    """
    before = footing.road.before()
    return Problem(footing, bounds, before, float(before[: footing.inside].max()), least_damped)


def found_pair(asked: Problem, x: Floats) -> FoundPair:
    """One pair, spelt out, with the limits that it breaks.

    x  (ln omega_damper [rad/s], ln damping ratio [-], ln mass [kg]) of each, (6,)
    """
    now, n, footing = asked.felt(x), asked.footing.inside, asked.footing
    level, before = float(now.level[:n].max()), float(asked.before[:n].max())
    kept = max(level, (1 - asked.bounds.worth) * before)
    names = ["ratings", *(["stroke"] if asked.bounds.stroke is not None else [])]
    names += ["clearance"] if asked.bounds.clearance is not None else []
    used = {name: float(share.max()) for name, (share, _) in zip(names, asked.room(x, now), strict=True)}
    if asked.bounds.elsewhere:
        share = now.level[n:] / allowed_elsewhere(asked.before[n:], kept)
        used["worse_elsewhere"] = float(share.max(initial=0.0))
    broken = tuple(name for name, share in used.items() if share > 1 + SLACK)
    strokes = now.stroke.max(axis=0)
    return FoundPair(
        footing.pair(x), footing, level, asked.left(x), before, (float(strokes[0]), float(strokes[1])), broken
    )
