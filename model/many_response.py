"""The response of many vehicles at many frequencies: one order of elimination for all of them.

D = K + i omega C - omega^2 M is symmetric, and its zeros lie at the same places in every vehicle of a layout:
an axle meets the frame and the road, and no other axle.  So the order in which coordinates are eliminated is
found once, and each step of D = L diag(d) LT is taken for many frequencies side by side.  The pushes are
carried along as further rows of the same table; what moves comes of them backwards, from the last pivot to
the first.  No pivot is looked for: the vehicle must carry damping, as for every response of this model.

The steps are compiled where numba is installed (extra `fast`); without it NumPy solves vehicle by vehicle.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .matrices import Matrices

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Counts = NDArray[np.intp]

LANES = 40  # frequencies side by side: the fastest of those tried between 16 and 64
FAST = {"reassoc", "contract"}  # what the compiler may do with sums
LONG = 50_000  # solutions from which loading the compiled steps pays
BLOCK = 2000  # solutions side by side in NumPy


def responses(
    system: Matrices,
    omega: Floats,
    outputs: Floats,
    pushes: Floats,
    push_rates: Floats | None = None,
    fast: bool | None = None,
) -> Complexes:
    """outputs (K + i omega C - omega^2 M)^-1 (pushes + i omega push_rates): metres per unit of each push,
    (vehicles, frequencies, outputs, pushes).

    system      matrices of many vehicles [SI], (V, n, n)
    omega       [rad/s] (F,), or (V, F) where each vehicle has its own
    outputs     rows [m per unit coordinate], (P, n) or (V, P, n)
    pushes      forces on the coordinates [N per unit of each push], (n, m) or (V, n, m)
    push_rates  the same per rate of each push [N s per unit], in the shape of `pushes`; None: none
    fast        compiled or not; None: where numba is installed and there is enough to do

    >>> from .example import small_case
    >>> from .plausible import draw
    >>> from .settle import settled
    >>> case = small_case()
    >>> truck = settled(case.plan, case.numbers)
    >>> system = draw(case.plan, case.numbers, truck.frame.terms, 8).system
    >>> bounce = np.eye(len(system.coordinates))[:1]
    >>> rise = responses(system, np.array([0.01, 20.0]), bounce, system.push_0, system.push_1)
    >>> rise.shape, bool(np.allclose(rise[:, 0].sum(axis=-1), 1.0, atol=1e-3))     # a slow road lifts it
    ((8, 2, 1, 2), True)
    """
    each = np.ascontiguousarray(np.broadcast_to(omega, (len(system.M), np.shape(omega)[-1])))
    rates = np.zeros_like(pushes) if push_rates is None else push_rates
    wanted = each.size >= LONG if fast is None else fast
    go = compiled() if wanted else None
    if go is None:
        return _solved(system, each, outputs, pushes, rates)
    return _eliminated(system, each, outputs, pushes, rates, go)


def _solved(system: Matrices, omega: Floats, outputs: Floats, pushes: Floats, rates: Floats) -> Complexes:
    """A block of vehicles after the other, by dense solution."""
    vehicles, frequencies = omega.shape
    answer = np.empty((vehicles, frequencies, outputs.shape[-2], pushes.shape[-1]), dtype=complex)
    step = max(BLOCK // frequencies, 1)
    outputs, pushes, rates = (np.broadcast_to(a, (vehicles, *a.shape[-2:])) for a in (outputs, pushes, rates))
    for start in range(0, vehicles, step):
        part = slice(start, start + step)
        w = omega[part, :, None, None]
        m, c, k, push, rate = (a[part, None] for a in (system.M, system.C, system.K, pushes, rates))
        moved = np.linalg.solve(k + 1j * w * c - w**2 * m, push + 1j * w * rate)
        answer[part] = outputs[part, None] @ moved
    return answer


# --- one order of elimination ------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Steps:
    """How a table of E entries is eliminated in place.

    rows, columns  where in D, with the pushes as further rows below it, each entry stands, (E,)
    pivots         entries of D's diagonal in order of elimination, (n,)
    scaled         (target, a, place of a's row in that order) each: target = a / pivot
    taken          (target, l, a) each: target -= l a
    ends           where the steps of each pivot end in `scaled` and in `taken`, (n + 1, 2)
    at             the entry of each (row, column)
    """

    rows: Counts
    columns: Counts
    pivots: Counts
    scaled: Counts
    taken: Counts
    ends: Counts
    at: dict[tuple[int, int], int]

    def of_rows(self, rows: range) -> Counts:
        """Entries of further rows in order of elimination, -1 for a zero, (rows, n)."""
        order = self.columns[self.pivots]
        return np.array([[self.at.get((i, int(k)), -1) for k in order] for i in rows], dtype=np.intp)


def _eliminated(
    system: Matrices, omega: Floats, outputs: Floats, pushes: Floats, rates: Floats, go: Callable[..., None]
) -> Complexes:
    vehicles, n = len(system.M), len(system.coordinates)
    p, m = outputs.shape[-2], pushes.shape[-1]
    still, rate, inertia = np.zeros((3, vehicles, n + m, n))
    still[:, :n], rate[:, :n], inertia[:, :n] = system.K, system.C, system.M
    still[:, n:], rate[:, n:] = np.swapaxes(pushes, -1, -2), np.swapaxes(rates, -1, -2)
    steps = _steps(((still != 0) | (rate != 0) | (inertia != 0)).any(axis=0))
    entries = [np.ascontiguousarray(a[:, steps.rows, steps.columns]) for a in (still, rate, inertia)]
    seen = np.broadcast_to(outputs, (vehicles, p, n))[..., steps.columns[steps.pivots]]
    answer = np.empty((*omega.shape, p, m), dtype=complex)
    pushed = steps.of_rows(range(n, n + m))
    go(omega, *entries, seen, steps.pivots, steps.scaled, steps.taken, steps.ends, pushed, answer.view(float))
    return answer


def _order(used: NDArray[np.bool_]) -> list[int]:
    """Coordinates in the order of least fill: the one that meets fewest of those left is next."""
    met, left, order = used.copy(), list(range(len(used))), []
    while left:
        fewest = min(left, key=lambda k: int(met[k, left].sum()))
        order.append(fewest)
        left.remove(fewest)
        touched = [i for i in left if met[i, fewest]]
        met[np.ix_(touched, touched)] = True
    return order


def _steps(used: NDArray[np.bool_]) -> _Steps:
    """What to do, entry by entry; `used` (n + further rows, n) tells which entries are not zero anywhere."""
    rows, n = used.shape
    order = _order(used[:n])
    place = {**{k: i for i, k in enumerate(order)}, **{i: i for i in range(n, rows)}}
    met = {(int(i), int(j)) for i, j in np.argwhere(used) if place[int(i)] >= place[int(j)]}
    each = []
    for k in order:
        below = [i for i in place if place[i] > place[k] and (i, k) in met]
        targets = [(i, j) for i in below for j in below if j < n and place[i] >= place[j]]
        met.update(targets)
        each.append((k, below, targets))
    at = {entry: e for e, entry in enumerate(sorted(met))}
    scaled, taken, ends = [], [], [(0, 0)]
    for k, below, targets in each:  # the scaled column of a pivot stands behind the table
        scaled += [(len(at) + j, at[j, k], place[j]) for j in below if j < n]
        taken += [(at[i, j], len(at) + j, at[i, k]) for i, j in targets]
        ends.append((len(scaled), len(taken)))
    rows_of, columns_of = np.array(list(at), dtype=np.intp).T
    pivots = [at[k, k] for k in order]
    return _Steps(
        rows_of, columns_of, _counts(pivots), _counts(scaled, 3), _counts(taken, 3), _counts(ends, 2), at
    )


def _counts(listed: Sequence[object], *width: int) -> Counts:
    return np.array(listed, dtype=np.intp).reshape(-1, *width)


# --- compiled -----------------------------------------------------------------------------------------------


@cache
def compiled() -> Callable[..., None] | None:
    """`eliminate`, compiled, its vehicles shared among the processor's cores; None where numba is not
    installed (extra `fast`)."""
    try:
        from numba import njit
    except ImportError:
        return None
    one: Callable[..., None] = njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)(eliminate)

    def go(*arrays: NDArray[np.generic]) -> None:
        of_each, steps, answer = arrays[:5], arrays[5:-1], arrays[-1]
        parts = shared(len(answer))
        with ThreadPoolExecutor(len(parts)) as pool:
            list(pool.map(lambda p: one(*(a[p] for a in of_each), *steps, answer[p]), parts))

    return go


def shared(count: int) -> list[slice]:
    """What each core that this process may use gets of so many things.

    count  [-]

    >>> sum(part.stop - part.start for part in shared(1001))
    1001
    """
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    edges = np.linspace(0, count, max(min(cores, count), 1) + 1).astype(int).tolist()
    return [slice(a, b) for a, b in pairwise(edges)]


def eliminate(
    omega: Floats,
    still: Floats,
    rate: Floats,
    inertia: Floats,
    outputs: Floats,
    pivots: Counts,
    scaled: Counts,
    taken: Counts,
    ends: Counts,
    pushed: Counts,
    answer: Floats,
) -> None:
    """Plain arithmetic for the compiler: LANES frequencies of one vehicle at a time.

    omega    [rad/s] (vehicles, frequencies)
    still    entries of K and pushes (vehicles, E) [SI]
    rate     entries of C and push rates (vehicles, E) [SI]
    inertia  entries of M (vehicles, E) [SI]
    outputs  rows in order of elimination [m per unit coordinate], (vehicles, outputs, n)
    pivots, scaled, taken, ends  as in _Steps [-]
    pushed   entries of the pushes in order of elimination [-], (pushes, n)
    answer   [m per unit of each push] (vehicles, frequencies, outputs, 2 pushes): parts by turns
    """
    entries, n = still.shape[1], len(pivots)
    x, y = np.empty((entries + n, 2, LANES)), np.empty((n, 2, LANES))
    w, total = np.empty(LANES), np.empty((2, LANES))
    for v in range(len(omega)):
        for start in range(0, omega.shape[1], LANES):
            for lane in range(LANES):
                w[lane] = omega[v, min(start + lane, omega.shape[1] - 1)]
            for e in range(entries):
                k_e, c_e, m_e = still[v, e], rate[v, e], inertia[v, e]
                for lane in range(LANES):
                    x[e, 0, lane] = k_e - w[lane] * w[lane] * m_e
                    x[e, 1, lane] = w[lane] * c_e
            for k in range(n):
                d = pivots[k]
                for lane in range(LANES):
                    size = x[d, 0, lane] * x[d, 0, lane] + x[d, 1, lane] * x[d, 1, lane]
                    x[d, 0, lane], x[d, 1, lane] = x[d, 0, lane] / size, -x[d, 1, lane] / size
                for s in range(ends[k, 0], ends[k + 1, 0]):
                    t, a = scaled[s, 0], scaled[s, 1]
                    for lane in range(LANES):
                        x[t, 0, lane] = x[a, 0, lane] * x[d, 0, lane] - x[a, 1, lane] * x[d, 1, lane]
                        x[t, 1, lane] = x[a, 0, lane] * x[d, 1, lane] + x[a, 1, lane] * x[d, 0, lane]
                for s in range(ends[k, 1], ends[k + 1, 1]):
                    t, b, a = taken[s, 0], taken[s, 1], taken[s, 2]
                    for lane in range(LANES):
                        re, im, of, of_im = x[b, 0, lane], x[b, 1, lane], x[a, 0, lane], x[a, 1, lane]
                        x[t, 0, lane] = (x[t, 0, lane] - re * of) + im * of_im
                        x[t, 1, lane] = (x[t, 1, lane] - re * of_im) - im * of
            for j in range(len(pushed)):
                for k in range(n - 1, -1, -1):
                    d, b = pivots[k], pushed[j, k]
                    if b >= 0:
                        total[:] = x[b]
                    else:
                        total[:] = 0.0
                    for s in range(ends[k, 0], ends[k + 1, 0]):
                        a, q = scaled[s, 1], scaled[s, 2]
                        for lane in range(LANES):
                            re, im, of, of_im = x[a, 0, lane], x[a, 1, lane], y[q, 0, lane], y[q, 1, lane]
                            total[0, lane] = (total[0, lane] - re * of) + im * of_im
                            total[1, lane] = (total[1, lane] - re * of_im) - im * of
                    for lane in range(LANES):
                        y[k, 0, lane] = total[0, lane] * x[d, 0, lane] - total[1, lane] * x[d, 1, lane]
                        y[k, 1, lane] = total[0, lane] * x[d, 1, lane] + total[1, lane] * x[d, 0, lane]
                for i in range(outputs.shape[1]):
                    total[:] = 0.0
                    for k in range(n):
                        share = outputs[v, i, k]
                        for lane in range(LANES):
                            total[0, lane] += share * y[k, 0, lane]
                            total[1, lane] += share * y[k, 1, lane]
                    for lane in range(min(LANES, omega.shape[1] - start)):
                        answer[v, start + lane, i, 2 * j] = total[0, lane]
                        answer[v, start + lane, i, 2 * j + 1] = total[1, lane]
