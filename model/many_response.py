"""The response of many vehicles at many frequencies: one order of elimination for all of them.

D = K + i omega C - omega^2 M is symmetric, and its zeros lie at the same places in every vehicle of one layout:
an axle meets the frame and the road, and no other axle.  So the order in which coordinates are eliminated is
found once, and each step of D = L diag(d) LT is taken for many vehicles and frequencies side by side:

    outputs D^-1 pushes = sum over k of (outputs L^-T)_k (L^-1 pushes)_k / d_k,

for which outputs and pushes are carried along as further rows of the same table.  No pivot is looked for; the
vehicle must carry damping, as every response of this model does.  Where numba is installed (extra `fast`) the
same steps are compiled.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from .matrices import Matrices

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Counts = NDArray[np.intp]

LANES = 40  # frequencies side by side in compiled steps: two to four registers' worth
BLOCK = 4096  # vehicles times frequencies side by side in plain ones: they stay in the nearest caches
FAST = {"reassoc", "contract"}  # of fastmath: no infinities or signed zeros are given up
LONG = 100_000  # solutions from which loading the compiled steps pays


@dataclass(frozen=True)
class _Steps:
    """How a table of E entries is eliminated in place; each row of an array is one step's entries.

    first, second  where in (augmented) D each entry stands, (E,)
    pivots         entries of D's diagonal in order of elimination, (n,)
    scaled         (target, from): l = a / d; row k of `ends` says where those of pivot k begin
    taken          (target, l, a): target -= l a; the same
    ends           (n + 1, 2) into `scaled` and `taken`
    """

    first: Counts
    second: Counts
    pivots: Counts
    scaled: Counts
    taken: Counts
    ends: Counts


def responses(
    system: Matrices,
    omega: Floats,
    outputs: Floats,
    pushes: Floats,
    push_rates: Floats | None = None,
    fast: bool | None = None,
) -> Complexes:
    """outputs (K + i omega C - omega^2 M)^-1 (pushes + i omega push_rates), (vehicles, frequencies, outputs,
    pushes): metres per unit of each push.

    system      matrices of many vehicles [SI], (V, n, n)
    omega       [rad/s] (F,), or (V, F) where each vehicle has its own
    outputs     rows [m per unit coordinate], (P, n), or (V, P, n)
    pushes      forces on the coordinates per unit of each push [N per unit], (n, m), or (V, n, m)
    push_rates  the same per rate of each push [N s per unit]; None: none
    fast        compiled or not; None: where numba is installed and there is enough to do

    >>> from dataclasses import fields
    >>> from .example import small_truck
    >>> from .matrices import matrices
    >>> one = matrices(small_truck())
    >>> many = Matrices(one.coordinates, one.roads, *(a[None] for a in (one.M, one.C, one.K, one.push_0, one.push_1)))
    >>> rise = np.eye(4)[:1]     # bounce, per metre of road under either axle
    >>> responses(many, np.array([0.01, 15.0]), rise, many.push_0, many.push_1).shape
    (1, 2, 1, 2)
    """
    table, where = _table(system, omega, outputs, pushes, push_rates)
    steps, left, right = where
    wanted = table.count >= LONG if fast is None else fast
    go = _compiled() if wanted else None
    if go is None:
        return _plain(table, steps, left, right)
    answer = np.empty((*table.omega.shape, len(left), len(right)), dtype=complex)
    kinds = (steps.pivots, steps.scaled, steps.taken, steps.ends, left, right)
    go(table.omega, table.still, table.rate, table.inertia, *kinds, answer.view(float))
    return answer


@dataclass(frozen=True)
class _Table:
    """Every entry that elimination touches: still + i omega rate - omega^2 inertia, (V, E) each, at omega
    (V, F)."""

    omega: Floats
    still: Floats
    rate: Floats
    inertia: Floats

    @property
    def count(self) -> int:
        """How many solutions are asked for."""
        return self.omega.size


def _table(
    system: Matrices, omega: Floats, outputs: Floats, pushes: Floats, push_rates: Floats | None
) -> tuple[_Table, tuple[_Steps, Counts, Counts]]:
    vehicles, n = len(system.M), len(system.coordinates)
    rates = np.zeros_like(pushes) if push_rates is None else push_rates
    beside = [np.swapaxes(pushes, -1, -2), np.swapaxes(rates, -1, -2)]
    p, m = outputs.shape[-2], pushes.shape[-1]
    still, rate = np.zeros((2, vehicles, n + p + m, n))
    still[:, :n], rate[:, :n] = system.K, system.C
    still[:, n : n + p] = outputs
    still[:, n + p :], rate[:, n + p :] = beside
    used = ((still != 0) | (rate != 0)).any(axis=0)
    used[:n] |= (system.M != 0).any(axis=0)
    steps = _steps(_order(used[:n]), used)
    inertia = np.where(steps.first < n, system.M[:, np.minimum(steps.first, n - 1), steps.second], 0.0)
    entries = still[:, steps.first, steps.second], rate[:, steps.first, steps.second], inertia
    each = np.ascontiguousarray(np.broadcast_to(omega, (vehicles, np.shape(omega)[-1])))
    at = {(int(i), int(j)): e for e, (i, j) in enumerate(zip(steps.first, steps.second, strict=True))}
    order = steps.second[steps.pivots]
    left, right = (
        np.array([[at.get((i, int(k)), -1) for k in order] for i in range(*rows)], dtype=np.intp)
        for rows in ((n, n + p), (n + p, n + p + m))
    )
    return _Table(each, *map(np.ascontiguousarray, entries)), (steps, left, right)


def _order(used: NDArray[np.bool_]) -> list[int]:
    """Coordinates in the order of least fill: the one that meets fewest of those left is next."""
    met, left, order = used.copy(), list(range(len(used))), []
    while left:
        fewest = min(left, key=lambda k: met[k, left].sum())
        order.append(fewest)
        left.remove(fewest)
        touched = [i for i in left if met[i, fewest]]
        met[np.ix_(touched, touched)] = True
    return order


def _steps(order: list[int], used: NDArray[np.bool_]) -> _Steps:
    """What to do, entry by entry; `used` (n + further rows, n) tells which entries are not zero."""
    n, rows = len(order), len(used)
    place = {k: i for i, k in enumerate(order)}
    met = {(i, j) for i in range(rows) for j in range(n) if used[i, j] and (i >= n or place[i] >= place[j])}
    pairs = []
    for k in order:
        below = [i for i in (*order[place[k] + 1 :], *range(n, rows)) if (i, k) in met]
        square = [j for j in below if j < n]
        new = [(i, j) for i in below for j in square if i >= n or place[i] >= place[j]]
        met.update(new)
        pairs.append((k, square, new))
    at = {entry: e for e, entry in enumerate(sorted(met))}
    first, second = np.array(list(at)).T
    scaled, taken, ends = [], [], [(0, 0)]
    work = len(at)  # the scaled column of a pivot stands behind the table: it is needed only while k is
    for k, square, new in pairs:
        column = {j: work + c for c, j in enumerate(square)}
        scaled += [(column[j], at[j, k]) for j in square]
        taken += [(at[i, j], column[j], at[i, k]) for i, j in new]
        ends.append((len(scaled), len(taken)))
    pivots = [at[k, k] for k in order]
    return _Steps(first, second, *(np.array(a, dtype=np.intp) for a in (pivots, _as(scaled, 2), _as(taken, 3), ends)))


def _as(rows: list[tuple[int, ...]], width: int) -> Counts:
    return np.array(rows, dtype=np.intp).reshape(-1, width)


# --- plain --------------------------------------------------------------------------------------------------


def _plain(table: _Table, steps: _Steps, left: Counts, right: Counts) -> Complexes:
    """Blocks of vehicles, all their frequencies in one row."""
    vehicles, frequencies = table.omega.shape
    answer = np.empty((vehicles, frequencies, len(left), len(right)), dtype=complex)
    width = max(BLOCK // frequencies, 1)
    for start in range(0, vehicles, width):
        part = slice(start, start + width)
        omega = table.omega[part]
        entries = np.empty((len(steps.first), *omega.shape), dtype=complex)
        still, rate, inertia = (a[part].T[..., None] for a in (table.still, table.rate, table.inertia))
        entries.real, entries.imag = still - omega**2 * inertia, omega * rate
        _eliminate(entries, steps)
        answer[part] = _products(entries, steps.pivots, left, right)
    return answer


def _eliminate(entries: Complexes, steps: _Steps) -> None:
    """In place; each pivot's place holds 1 / pivot afterwards."""
    column = np.empty((len(steps.pivots), *entries.shape[1:]), dtype=complex)
    product = np.empty(entries.shape[1:], dtype=complex)
    work = len(entries)
    for k, pivot in enumerate(steps.pivots):
        entries[pivot] = 1 / entries[pivot]
        for target, a in steps.scaled[steps.ends[k, 0] : steps.ends[k + 1, 0]]:
            np.multiply(entries[a], entries[pivot], out=column[target - work])
        for target, scaled, a in steps.taken[steps.ends[k, 1] : steps.ends[k + 1, 1]]:
            np.multiply(column[scaled - work], entries[a], out=product)
            entries[target] -= product


def _products(entries: Complexes, pivots: Counts, left: Counts, right: Counts) -> Complexes:
    """(vehicles, frequencies, outputs, pushes)."""
    answer = np.zeros((*entries.shape[1:], len(left), len(right)), dtype=complex)
    for j, pushed in enumerate(right):
        for k in np.flatnonzero(pushed >= 0):
            share = entries[pushed[k]] * entries[pivots[k]]
            for i in np.flatnonzero(left[:, k] >= 0):
                answer[..., i, j] += entries[left[i, k]] * share
    return answer


# --- compiled -----------------------------------------------------------------------------------------------


@cache
def _compiled() -> Callable[..., None] | None:
    """The same in lanes of frequencies, vehicles shared among the processor's cores; None without numba."""
    try:
        from numba import njit
    except ImportError:
        return None
    made: Callable[..., None] = njit(cache=True, nogil=True, error_model="numpy", fastmath=FAST)(_lanes)

    def go(omega: Floats, still: Floats, rate: Floats, inertia: Floats, *rest: NDArray[np.generic]) -> None:
        *steps, answer = rest
        cores = max(min(_cores(), len(omega)), 1)
        parts = [slice(len(omega) * i // cores, len(omega) * (i + 1) // cores) for i in range(cores)]

        def one(part: slice) -> None:
            made(omega[part], still[part], rate[part], inertia[part], *steps, answer[part])

        if cores == 1:
            one(parts[0])
            return
        with ThreadPoolExecutor(cores) as pool:
            list(pool.map(one, parts))

    return go


def _cores() -> int:
    """Processors that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _lanes(
    omega: Floats,
    still: Floats,
    rate: Floats,
    inertia: Floats,
    pivots: Counts,
    scaled: Counts,
    taken: Counts,
    ends: Counts,
    left: Counts,
    right: Counts,
    answer: Floats,
) -> None:
    """`answer` (vehicles, frequencies, outputs, 2 pushes), real and imaginary parts by turns."""
    vehicles, frequencies = omega.shape
    entries, n = still.shape[1], len(pivots)
    x, share = np.empty((entries + n, 2, LANES)), np.empty((n, 2, LANES))
    w, total = np.empty(LANES), np.empty((2, LANES))
    for v in range(vehicles):
        for start in range(0, frequencies, LANES):
            for lane in range(LANES):
                w[lane] = omega[v, min(start + lane, frequencies - 1)]
            for e in range(entries):
                for lane in range(LANES):
                    x[e, 0, lane] = still[v, e] - w[lane] * w[lane] * inertia[v, e]
                    x[e, 1, lane] = w[lane] * rate[v, e]
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
                        x[t, 0, lane] -= x[b, 0, lane] * x[a, 0, lane] - x[b, 1, lane] * x[a, 1, lane]
                        x[t, 1, lane] -= x[b, 0, lane] * x[a, 1, lane] + x[b, 1, lane] * x[a, 0, lane]
            for j in range(len(right)):
                for k in range(n):
                    a, d = right[j, k], pivots[k]
                    if a < 0:
                        continue
                    for lane in range(LANES):
                        share[k, 0, lane] = x[a, 0, lane] * x[d, 0, lane] - x[a, 1, lane] * x[d, 1, lane]
                        share[k, 1, lane] = x[a, 0, lane] * x[d, 1, lane] + x[a, 1, lane] * x[d, 0, lane]
                for i in range(len(left)):
                    total[:] = 0.0
                    for k in range(n):
                        a = left[i, k]
                        if a < 0 or right[j, k] < 0:
                            continue
                        for lane in range(LANES):
                            total[0, lane] += x[a, 0, lane] * share[k, 0, lane] - x[a, 1, lane] * share[k, 1, lane]
                            total[1, lane] += x[a, 0, lane] * share[k, 1, lane] + x[a, 1, lane] * share[k, 0, lane]
                    for lane in range(min(LANES, frequencies - start)):
                        answer[v, start + lane, i, 2 * j] = total[0, lane]
                        answer[v, start + lane, i, 2 * j + 1] = total[1, lane]
