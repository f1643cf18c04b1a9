"""Many vehicles, each ready for any damper at one place: the same as `absorber`, with one more axis.

The link of a damper to its place need not be stiff: a bracket in series is so much more give of the place.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..model.many_response import FAST, responses, shared
from ..model.plausible import Plausible
from ..model.points import dense
from ..model.response import felt_per_metre
from ..model.road import Input

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

LANES = 40  # points of a curve side by side in compiled steps
LONG = 3_000_000  # dampers times points from which loading the compiled steps pays
BLOCK = 8192  # complex numbers per block: fits the nearest caches


@dataclass(frozen=True)
class Hosts:
    """V vehicles under N inputs at S speeds, as P watched points and one place feel them.

    speeds  [m/s] (V, S)
    omega   [rad/s] (V, N, S)
    rise    typical level of the watched points without a damper [m/s^2] r.m.s., complex, (V, N, S, P)
    push    the same per newton at the place times the place's own motion without it, (V, N, S, P)
    give    motion of the place per newton there [m/N], (V, N, S)
    lift    motion of the place without a damper, all parts of a cause adding [m], (V, N, S)
    """

    speeds: Floats
    omega: Floats
    rise: Complexes
    push: Complexes
    give: Complexes
    lift: Complexes

    def __len__(self) -> int:
        return len(self.omega)

    def before(self) -> Floats:
        """Typical level of all causes together [m/s^2] r.m.s., (V, S, P)."""
        return _levels(self.rise)

    def with_damper(self, m: ArrayLike, k: ArrayLike, c: ArrayLike) -> tuple[Floats, Floats]:
        """Typical level of all causes together [m/s^2] r.m.s., (V, S, P), and stroke when all causes add [m],
        (V, S), an upper bound, with a damper of each vehicle's own.

        m [kg], k [N/m], c [N s/m]: one for all, or (V,)
        """
        m, k, c = (np.asarray(x, dtype=float).reshape(-1, 1, 1) for x in (m, k, c))
        a, link = m * self.omega**2, k + 1j * self.omega * c
        stretch = a / (link - a - a * link * self.give)
        levels = _levels(self.rise + self.push * (stretch * link)[..., None])
        return levels, np.asarray(np.abs(stretch * self.lift).sum(axis=1))

    def largest(self, m: ArrayLike, k: ArrayLike, c: ArrayLike, fast: bool | None = None) -> Floats:
        """The largest level over speeds and points with each of D dampers [m/s^2] r.m.s., (V, D).

        m [kg], k [N/m], c [N s/m]: (D,), or (V, D) where each vehicle has its own
        fast  compiled or not; None: where numba is installed and there is enough to do [-]

        >>> rise = np.full((1, 1, 2, 1), 1.0 + 0j)
        >>> give, lift, omega = 1e-5 * rise[..., 0], rise[..., 0], np.full((1, 1, 2), 9.0)
        >>> one = Hosts(np.ones((1, 2)), omega, rise, 0.1 * rise, give, lift)
        >>> one.largest([0.0, 1.0], [1.0, 81.5], [0.0, 1.0]).round(3).tolist()     # no mass, no change
        [[1.0, 73.934]]
        """
        m, k, c = (_spread(x, len(self)) for x in (m, k, c))
        wanted = m.size * self.omega[0].size >= LONG if fast is None else fast
        go = _compiled() if wanted else None
        answer = np.empty(m.shape)
        if go is None:
            self._largest(m, k, c, answer)
        else:
            go(self._laned(), m, k, c, answer)
        return answer

    def _largest(self, m: Floats, k: Floats, c: Floats, answer: Floats) -> None:
        step = max(BLOCK // self.omega[0].size, 1)
        for v in range(len(self)):
            w, give = self.omega[v].ravel(), self.give[v].ravel()
            for start in range(0, m.shape[1], step):
                part = slice(start, start + step)
                a, link = m[v, part, None] * w**2, k[v, part, None] + 1j * w * c[v, part, None]
                coupling = (a * link / (link - a - a * link * give)).reshape(-1, *self.omega[v].shape)
                after = self.rise[v] + self.push[v] * coupling[..., None]
                squared = (after.real**2 + after.imag**2).sum(axis=1)
                answer[v, part] = np.sqrt(squared.max(axis=(-2, -1)))

    def _laned(self) -> Floats:
        """(V, blocks, N, 3 + 4 P, LANES): omega, give and, point by point, rise and push, parts by turns; the
        last speed is repeated to fill the last block."""
        speeds = self.omega.shape[-1]
        blocks = -(-speeds // LANES)
        kept = np.minimum(np.arange(blocks * LANES), speeds - 1)
        rows = [self.omega, self.give.real, self.give.imag]
        for p in range(self.rise.shape[-1]):
            both = self.rise[..., p], self.push[..., p]
            rows += [part for one in both for part in (one.real, one.imag)]
        laid = np.stack(rows, axis=2)[..., kept]
        laid = laid.reshape(*laid.shape[:-1], blocks, LANES)
        return np.ascontiguousarray(np.moveaxis(laid, -2, 1))


def _levels(felt: Complexes) -> Floats:
    return np.asarray(np.sqrt((felt.real**2 + felt.imag**2).sum(axis=1)))


def _spread(values: ArrayLike, vehicles: int) -> Floats:
    known = np.atleast_1d(np.asarray(values, dtype=float))
    return np.broadcast_to(known, (vehicles, known.shape[-1]))


def many_hosts(
    many: Plausible,
    causes: Sequence[Sequence[Input]],
    speeds: Floats,
    watched: Sequence[str],
    place: str,
    bracket: ArrayLike = 0.0,
) -> Hosts:
    """Prepare a place on many vehicles for any number of dampers.

    causes   of each vehicle: the same ones, in one order, each with a level
    speeds   [m/s] (V, S)
    watched  names of the points that are judged
    place    the point where dampers are to hang
    bracket  compliance of what a damper is bolted to the place with [m/N], one or (V,)

    >>> from ..model.example import small_case
    >>> from ..model.plausible import draw
    >>> from ..model.road import inputs
    >>> from ..model.settle import settled
    >>> one = small_case()
    >>> many = draw(one.plan, one.numbers, settled(one.plan, one.numbers).frame.terms, 8)
    >>> causes = [inputs(one.roads, many.outline(i), 5.0) for i in range(8)]
    >>> found = many_hosts(many, causes, np.tile([7.0, 7.2], (8, 1)), ["rear end"], "rear end")
    >>> found.before().shape, found.largest([10.0, 20.0], [4e3, 8e3], [50.0, 90.0]).shape
    ((8, 2, 1), (8, 2))
    """
    vehicles, s = len(many), many.system
    points = [many.vehicle.points[name] for name in watched]
    outputs = dense([*(p.row for p in points), many.vehicle.points[place].row], s.coordinates)
    frequency = np.array([[c.frequency(v) for c in mine] for mine, v in zip(causes, speeds, strict=True)])
    shape = np.array([[c.shape for c in mine] for mine in causes])
    levels = np.array([[c.amplitude(v) for c in mine] for mine, v in zip(causes, speeds, strict=True)])
    still = np.broadcast_to(np.swapaxes(outputs[..., -1:, :], -1, -2), (vehicles, len(s.coordinates), 1))
    pushes = np.concatenate([still, s.push_0], axis=-1), np.concatenate([0 * still, s.push_1], axis=-1)
    omega = 2 * np.pi * frequency
    found = responses(s, omega.reshape(vehicles, -1), outputs, *pushes)
    found = found.reshape(*omega.shape, len(points) + 1, -1)
    moved = (found[..., 1:] * shape[:, :, None, None, :]).sum(axis=-1)
    felt = felt_per_metre(frequency, points) * levels[:, :, 0, :, None]
    lift = moved[..., -1]
    push = found[..., :-1, 0] * lift[..., None] * felt
    give = found[..., -1, 0] + np.reshape(bracket, (-1, 1, 1))
    return Hosts(np.asarray(speeds), omega, moved[..., :-1] * felt, push, give, lift * levels[:, :, 1])


# --- compiled -----------------------------------------------------------------------------------------------


@cache
def _compiled() -> Callable[..., None] | None:
    """`_largest_of_each`, compiled, vehicles shared among the cores; None without numba (extra `fast`)."""
    try:
        from numba import njit
    except ImportError:
        return None
    one: Callable[..., None] = njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)(
        _largest_of_each
    )

    def go(laned: Floats, m: Floats, k: Floats, c: Floats, answer: Floats) -> None:
        parts = shared(len(laned))
        with ThreadPoolExecutor(len(parts)) as pool:
            list(pool.map(lambda p: one(laned[p], m[p], k[p], c[p], answer[p]), parts))

    return go


def _largest_of_each(laned: Floats, m: Floats, k: Floats, c: Floats, answer: Floats) -> None:
    """LANES speeds at a time; `laned` as from Hosts._laned."""
    vehicles, blocks, causes, rows, _ = laned.shape
    points = (rows - 3) // 4
    coupling, total, most = np.empty((2, LANES)), np.empty((points, LANES)), np.empty(LANES)
    for v in range(vehicles):
        for d in range(m.shape[1]):
            mass, rate, dash = m[v, d], k[v, d], c[v, d]
            most[:] = 0.0
            for b in range(blocks):
                total[:] = 0.0
                for n in range(causes):
                    one = laned[v, b, n]
                    for lane in range(LANES):
                        a, link_im = mass * one[0, lane] * one[0, lane], one[0, lane] * dash
                        both_re, both_im = a * rate, a * link_im
                        re = rate - a - (both_re * one[1, lane] - both_im * one[2, lane])
                        im = link_im - (both_re * one[2, lane] + both_im * one[1, lane])
                        size = 1.0 / (re * re + im * im)
                        coupling[0, lane] = (both_re * re + both_im * im) * size
                        coupling[1, lane] = (both_im * re - both_re * im) * size
                    for p in range(points):
                        of = one[3 + 4 * p : 7 + 4 * p]
                        for lane in range(LANES):
                            x, y = coupling[0, lane], coupling[1, lane]
                            re = of[0, lane] + (of[2, lane] * x - of[3, lane] * y)
                            im = of[1, lane] + (of[2, lane] * y + of[3, lane] * x)
                            total[p, lane] += re * re + im * im
                for p in range(points):
                    for lane in range(LANES):
                        most[lane] = total[p, lane] if total[p, lane] > most[lane] else most[lane]
            answer[v, d] = np.sqrt(most.max())
