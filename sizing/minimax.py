"""The best tuning, damping and mass at one place, in epigraph form with exact gradients.

Minimise t, subject to: every level in the band below t, every level elsewhere below what is allowed there,
stroke and clearance kept.  Levels and slopes come from the coupling identity: F = a l / D, D = l - a - a l H,

    dF = (l^2 da - a^2 dl) / D^2,      a = m w^2,      l = m (w_d^2 + 2 i z w_d w).

Only the constraints that are nearly active are handed to the solver (SciPy's SLSQP); those that turn out
violated are added and the solution repeated.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .absorber import GRAVITY, Host, RoadHost
from .limits import Bounds, Place, allowed_elsewhere, left_anywhere
from .lowering import lowered

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

REACH = np.array([0.3, 1.2, 1.5])  # how far ln(tuning), ln(damping) and ln(mass) may go in one round
LEAST_DAMPED, MOST_DAMPED = 0.005, 2.0  # no spring is without loss: common practice, no source
NEARLY = 0.85  # share of its limit from which a constraint is handed to the solver
ROUNDS = 8
PROMISING = 1.5  # times the least level left after one round: what stays above it is given up
CLOSE = 1.05  # times the best of all coarse ends: what lies below goes on to the fine end
ALIKE = 0.05  # of tuning, damping and mass alike [-]: one valley
STEEP = 10.0  # a hundredth over stroke or clearance costs a tenth of the level


@dataclass(frozen=True)
class _Pace:
    """How finely one round is solved: steps at most, `within` of t in units of `scale` [-], and the share
    gained below which rounds end [-]."""

    steps: int
    within: float
    settled: float


# Where several starts go on, the coarse pace is no loss: it finds better valleys than the fine one as often.
COARSE, FINE = _Pace(15, 2e-3, 1e-3), _Pace(60, 1e-7, 1e-5)


@dataclass(frozen=True)
class Felt:
    """What one damper does on one grid, with slopes over x = (ln omega_damper, ln damping ratio, ln mass).

    level [m/s^2] (V, P), level_slope (3, V, P); stroke [m] (V,), stroke_slope (3, V)
    """

    level: Floats
    level_slope: Floats
    stroke: Floats
    stroke_slope: Floats


def felt(road: RoadHost, x: Floats) -> Felt:
    """Levels and stroke of one damper, with exact slopes.

    x  (ln omega_damper [rad/s], ln damping ratio [-], ln mass [kg]), (3,)

    >>> from .any_host import host_from_modes
    >>> f = np.linspace(4.0, 6.0, 101)
    >>> host = host_from_modes(f, [5.0], [0.01], [1.0], [1.0], [1.0], 10.0, modal_mass=100.0)
    >>> one = felt(host, np.log([30.0, 0.1, 5.0]))
    >>> one.level.shape, one.level_slope.shape, one.stroke_slope.shape
    ((101, 1), (3, 101, 1), (3, 101))
    """
    own, ratio, m = np.exp(x)
    host = road.host
    a = m * host.omega**2
    dash = 2j * ratio * m * own * host.omega
    link = m * own**2 + dash
    rest = link - a - a * link * host.give
    slopes = np.array([2 * m * own**2 + dash, dash, link])  # of l, over x
    mass_slopes = np.array([0 * a, 0 * a, a])  # of a, over x
    coupling = a * link / rest
    coupling_slope = (link**2 * mass_slopes - a**2 * slopes) / rest**2
    level, level_slope = _levels(road, coupling, coupling_slope)
    moved = a * host.lift / rest
    rest_slope = slopes * (1 - a * host.give) - mass_slopes * (1 + link * host.give)
    moved_slope = host.lift * mass_slopes / rest - moved * rest_slope / rest
    stroke, stroke_slope = _sizes(road, moved, moved_slope)
    return Felt(level, level_slope, stroke, stroke_slope)


def _levels(road: RoadHost, coupling: Complexes, slope: Complexes) -> tuple[Floats, Floats]:
    grid = (len(road.causes), len(road.speeds), len(road.points))
    after = (road.host.rise + road.host.push * coupling[:, None]).reshape(grid)
    moved = (road.host.push * slope[:, :, None]).reshape(3, *grid)
    level = np.sqrt((after.real**2 + after.imag**2).sum(axis=0))
    change = (after.real * moved.real + after.imag * moved.imag).sum(axis=1)
    return level, change / np.maximum(level, 1e-300)


def _sizes(road: RoadHost, moved: Complexes, slope: Complexes) -> tuple[Floats, Floats]:
    grid = (len(road.causes), len(road.speeds))
    each, change = moved.reshape(grid), slope.reshape(3, *grid)
    size = np.abs(each)
    share = (each.real * change.real + each.imag * change.imag) / np.maximum(size, 1e-300)
    return size.sum(axis=0), share.sum(axis=1)


@dataclass
class _Problem:
    """Constraints g(x, t) >= 0, scaled so that 1 is the whole of a limit; the last answer is kept.

    everywhere  band and rest in one: the band's speeds come first
    inside      how many speeds the band has
    before      [m/s^2] over the rest
    """

    everywhere: RoadHost
    inside: int
    bounds: Bounds
    before: Floats
    scale: float  # [m/s^2] what t is counted in
    _asked: Floats | None = None
    _felt: Felt | None = None

    def felt(self, x: Floats) -> Felt:
        """What the damper x does in the band and, behind it, over the rest of the speeds."""
        if self._felt is None or not np.array_equal(self._asked, x):  # type: ignore[arg-type]
            self._asked, self._felt = x.copy(), felt(self.everywhere, x)
        return self._felt

    def constraints(self, z: Floats) -> tuple[Floats, Floats]:
        """(values, slopes) of all constraints at z = (x, t); slopes (constraints, 4)."""
        now, t, n = self.felt(z[:3]), z[3] * self.scale, self.inside
        allowed = np.full_like(now.level, t)
        if len(now.level) > n:
            allowed[n:] = allowed_elsewhere(self.before, t) if self.bounds.elsewhere else np.inf
        values = [((allowed - now.level) / self.scale).ravel()]
        slopes = [_with_t(-now.level_slope / self.scale, (allowed == t).ravel())]
        for value, slope in self._room(z[:3], now):
            values.append(value)
            slopes.append(_with_t(slope, 0.0))
        return np.concatenate(values), np.concatenate(slopes)

    def merit(self, x: Floats) -> float:
        """The least t that x allows, in units of `scale`; stroke and clearance priced in where broken."""
        now, n = self.felt(x), self.inside
        level = float(now.level[:n].max())
        if self.bounds.elsewhere and len(now.level) > n:
            level = float(left_anywhere(level, now.level[n:], self.before))
        return level / self.scale * (1 + STEEP * self.over(x))

    def over(self, x: Floats) -> float:
        """The share by which stroke or clearance is exceeded [-]."""
        return max([0.0, *(-float(value.min()) for value, _ in self._room(x, self.felt(x)))])

    def _room(self, x: Floats, now: Felt) -> Iterator[tuple[Floats, Floats]]:
        """What is left of stroke and clearance (V,), with slopes over x, (3, V)."""
        sag = float(GRAVITY / np.exp(2 * x[0]))
        if self.bounds.stroke is not None:
            yield 1 - now.stroke / self.bounds.stroke, -now.stroke_slope / self.bounds.stroke
        if self.bounds.clearance is not None:
            change = now.stroke_slope + np.array([[-2 * sag], [0.0], [0.0]])
            yield 1 - (now.stroke + sag) / self.bounds.clearance, -change / self.bounds.clearance


def _everywhere(place: Place, bounds: Bounds) -> tuple[RoadHost, int]:
    """Band and, where it is bound by anything, rest of a place in one, the band's speeds first; how many
    those are."""
    band, rest = place.band, place.rest
    if not (bounds.beyond_the_band and len(rest.speeds)):
        return band, len(band.speeds)
    causes, one, other = len(band.causes), vars(band.host), vars(rest.host)

    def joined(name: str) -> Any:
        parts = [host[name].reshape(causes, -1, *host[name].shape[1:]) for host in (one, other)]
        return np.concatenate(parts, axis=1).reshape(-1, *one[name].shape[1:])

    speeds = np.concatenate([band.speeds, rest.speeds])
    host = Host(**{name: joined(name) for name in one})
    return RoadHost(host, speeds, band.points, band.causes), len(band.speeds)


def _with_t(slope: Floats, t_slope: float | NDArray[np.bool_]) -> Floats:
    """Slopes over (x, t) as rows."""
    rows = np.empty((slope[0].size, 4))
    rows[:, :3] = slope.reshape(3, -1).T
    rows[:, 3] = t_slope
    return rows


def minimax(
    place: Place,
    bounds: Bounds,
    starts: Sequence[tuple[float, float, float]],
    heaviest: float,
    beaten: float = np.inf,
) -> tuple[float, float, float]:
    """The best (m [kg], k [N/m], c [N s/m]) at a place, and never worse than the best of the starts.

    starts    good ones, (m [kg], k [N/m], c [N s/m]) each: all that stay promising go on, the best to the end
    heaviest  [kg] that may hang there
    beaten    [m/s^2] r.m.s. what another place leaves: this one is given up once it stays far above that

    >>> from .any_host import host_from_modes, place_in_band
    >>> f = np.linspace(4.0, 6.0, 101)
    >>> host = host_from_modes(f, [5.0], [0.01], [1.0], [1.0], [1.0], 10.0, modal_mass=100.0)
    >>> m, k, c = minimax(place_in_band(host, (4.0, 6.0), "mass"), Bounds(5.0), [(5.0, 4.4e3, 30.0)], 5.0)
    >>> round(m, 2), round(float(np.sqrt(k / m)) / (2 * np.pi), 2)
    (5.0, 4.89)
    """
    points = [
        np.array([np.log(k / m) / 2, np.log(c / (2 * np.sqrt(k * m))), np.log(m)]) for m, k, c in starts
    ]
    scale = float(felt(place.band, points[0]).level.max())
    problem = _Problem(*_everywhere(place, bounds), bounds, place.rest.before(), scale)
    most = np.log(heaviest)
    each = [_better(problem, x, problem.merit(x), REACH, most, COARSE)[:2] for x in points]
    least = min(merit for _, merit in each)
    limit = PROMISING * min(least, beaten / scale)
    on = [_end(problem, x, merit, most, COARSE) for x, merit in each if merit <= limit or problem.over(x) > 0]
    ended = sorted(on or each, key=lambda one: one[1])
    close = CLOSE if bounds.beyond_the_band else 1.0  # the band alone has hardly ever two valleys
    finals = [one for one in _unlike(ended) if one[1] <= min(close * ended[0][1], limit)]
    ends = [_end(problem, *one, most, FINE) for one in finals] or ended
    x, _ = min(ends, key=lambda one: one[1])
    own, ratio, m = np.exp(x)
    return float(m), float(m * own**2), float(2 * ratio * m * own)


def _unlike(ended: Sequence[tuple[Floats, float]]) -> Iterator[tuple[Floats, float]]:
    """Of dampers (x, merit), best first, those that no better one is like."""
    seen: list[Floats] = []
    for x, merit in ended:
        if all(np.abs(x - other).max() > ALIKE for other in seen):
            seen.append(x)
            yield x, merit


def _end(problem: _Problem, x: Floats, merit: float, heaviest: float, pace: _Pace) -> tuple[Floats, float]:
    """Round after round from x until nothing is gained: where it ends, and its merit."""
    reach = REACH
    for _ in range(ROUNDS):
        x, merit, gained = _better(problem, x, merit, reach, heaviest, pace)
        if abs(gained) < pace.settled:
            break
        if gained < 0:
            reach = reach / 4  # the slopes promised too much: look nearer
    return x, merit


def _better(
    problem: _Problem, x: Floats, merit: float, reach: Floats, heaviest: float, pace: _Pace
) -> tuple[Floats, float, float]:
    """One round from x: where it ends, its merit, and the share gained; x itself where nothing was gained."""
    tried = _round(problem, x, merit, reach, heaviest, pace)
    found = problem.merit(tried)
    gained = 1 - found / merit
    return (tried, found, gained) if gained > 0 else (x, merit, gained)


def _round(problem: _Problem, x: Floats, level: float, reach: Floats, heaviest: float, pace: _Pace) -> Floats:
    """One solution within reach of x, constraints added as they turn out to be violated."""
    z = np.append(x, level)
    low = np.maximum(x - reach, [-np.inf, np.log(LEAST_DAMPED), -np.inf])
    high = np.minimum(x + reach, [np.inf, np.log(MOST_DAMPED), heaviest])
    box = [*zip(np.minimum(low, x), np.maximum(high, x), strict=True), (0.0, 2.0)]
    chosen = problem.constraints(z)[0] < 1 - NEARLY
    for _ in range(3):
        z = _solve(problem, z, box, np.flatnonzero(chosen), pace)
        left = problem.constraints(z)[0]
        if not ((left < -1e-7) & ~chosen).any():
            break
        chosen |= left < 1 - NEARLY
    return z[:3]


def _solve(
    problem: _Problem,
    z: Floats,
    box: Sequence[tuple[float, float]],
    kept: NDArray[np.intp],
    pace: _Pace,
) -> Floats:
    """Lower t under the kept constraints."""
    return lowered(problem.constraints, z, box, kept, pace.steps, pace.within)
