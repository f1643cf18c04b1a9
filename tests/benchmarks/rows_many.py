"""The rows of many vehicles at once, and of many dampers on each of them.

By themselves: .venv/bin/python tests/benchmarks/rows_many.py
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from bench import Bench, Row, medians
from rows_dampers import candidates

from counterbounce.model.many_response import responses
from counterbounce.model.matrices import Matrices
from counterbounce.model.plausible import Plausible, draw
from counterbounce.model.points import Point, dense
from counterbounce.model.response import felt_per_metre
from counterbounce.model.road import inputs
from counterbounce.sizing.many_hosts import many_hosts

VEHICLES, DRAWN, CHUNK = 100_000, 8192, 2048  # asked for, drawn, and answered at a time
SAMPLE, TOGETHER = 400, 20  # vehicles that the peer is measured on, and solves at a time
THREADS = 2


def in_threads(work: Callable[[int], np.ndarray], count: int) -> np.ndarray:
    with ThreadPoolExecutor(THREADS) as pool:
        return np.concatenate(list(pool.map(work, range(count))))


def largest(rise: np.ndarray) -> np.ndarray:
    """Largest rise over the frequencies, (vehicles, outputs): output by output, for NumPy is slow along an
    axis that a short one follows."""
    return np.stack([np.abs(one).max(axis=1) for one in np.moveaxis(rise[..., 0], -1, 0)], axis=-1)


def many_vehicles(bench: Bench) -> Row:
    """The largest rise of two points over 200 frequencies, per metre of road under the rear axle."""
    many = _drawn(bench, DRAWN)
    s, omega = many.system, 2 * np.pi * np.linspace(4.0, 16.0, 200)
    rows = np.broadcast_to(dense(bench.rows, s.coordinates), (DRAWN, 2, len(s.coordinates)))
    still, moving = s.push_0[..., -1:], s.push_1[..., -1:]

    def ours() -> np.ndarray:
        found = []
        for start in range(0, VEHICLES, CHUNK):  # the same ones come round again
            first = start % DRAWN
            part = slice(first, first + min(CHUNK, VEHICLES - start))
            rise = responses(_some(s, part), omega, rows[part], still[part], moving[part])
            found.append(largest(rise))
        return np.concatenate(found)

    def solved(chunk: int) -> np.ndarray:
        part, w = slice(chunk * TOGETHER, (chunk + 1) * TOGETHER), omega[:, None, None]
        m, c, k, one, other = (a[part, None] for a in (s.M, s.C, s.K, still, moving))
        moved = np.linalg.solve(k + 1j * w * c - w**2 * m, one + 1j * w * other)
        return largest(rows[part, None] @ moved)

    def theirs() -> np.ndarray:
        return in_threads(solved, SAMPLE // TOGETHER)

    apart = float(np.abs(ours()[:SAMPLE] / theirs() - 1).max())
    one, other = medians(ours, theirs, 1)
    work = f"{VEHICLES:,} plausible vehicles x 200 frequencies x 2 outputs ({DRAWN:,} drawn)"
    peer = f"np.linalg.solve in chunks, two threads ({SAMPLE} vehicles measured)"
    return Row(5, work, peer, one, other * VEHICLES / SAMPLE, apart, 10, 1e-9)


def robust_search(bench: Bench) -> Row:
    """The largest level of 1,000 vehicles with 10,000 dampers each, preparing the vehicles included."""
    vehicles, dampers, points, pairs = 1024, 10_000, 500, 20
    case, many = bench.one.case, _drawn(bench, vehicles)
    m, k, c = candidates(dampers)
    speeds = np.tile(np.linspace(*bench.one.target.band, points), (vehicles, 1))
    cause = bench.one.target.critical.cause.name
    causes = [
        [one for one in inputs(case.roads, many.outline(i), case.speeds[0]) if one.name == cause]
        for i in range(vehicles)
    ]
    watched = many.vehicle.points["driver's floor"]

    def ours() -> np.ndarray:
        return many_hosts(many, causes, speeds, ["driver's floor"], "rear end").largest(m, k, c)

    def solved(pair: int) -> np.ndarray:
        i, d = 37 * pair % vehicles, 499 * pair % dampers
        frequency = causes[i][0].frequency(speeds[i])
        height = causes[i][0].amplitude(speeds[i])[0]
        w = 2 * np.pi * frequency[:, None, None]
        mass, damping, stiffness, row = _with_damper(many, i, (m[d], k[d], c[d]), watched)
        push = many.system.push_0[i] + 1j * w * many.system.push_1[i]
        push = np.concatenate([push @ causes[i][0].shape[:, None], np.zeros((points, 1, 1))], axis=1)
        rise = np.abs(np.linalg.solve(stiffness + 1j * w * damping - w**2 * mass, push)[..., 0] @ row)
        return np.array([(rise * height * felt_per_metre(frequency, [watched])[:, 0]).max()])

    def theirs() -> np.ndarray:
        return in_threads(solved, pairs)

    found, exact = ours(), theirs()
    mine = np.array([found[37 * pair % vehicles, 499 * pair % dampers] for pair in range(pairs)])
    apart = float(np.abs(mine / exact - 1).max())
    one, other = medians(ours, theirs, 1)
    work = f"robust search: {vehicles:,} vehicles x {dampers:,} dampers x {points} points, worst of each pair"
    peer = f"np.linalg.solve for each pair, two threads ({pairs} measured)"
    return Row(6, work, peer, one, other * vehicles * dampers / pairs, apart, 500, 1e-9)


def _drawn(bench: Bench, count: int) -> Plausible:
    case = bench.one.case
    return draw(case.plan, case.numbers, bench.one.vehicle.frame.terms, count)


def _some(s: Matrices, part: slice) -> Matrices:
    return Matrices(s.coordinates, s.roads, *(a[part] for a in (s.M, s.C, s.K, s.push_0, s.push_1)))


def _with_damper(many: Plausible, i: int, hung: tuple[float, float, float], watched: Point) -> tuple:
    """M, C, K of one vehicle with a damper at its rear end, and the row of the watched point."""
    s, (m, k, c) = many.system, hung
    one = many.outline(i)
    place = dense([one.points["rear end"].row], s.coordinates)[0]
    stretch = np.append(-place, 1.0)
    square = [np.pad(a[i], (0, 1)) for a in (s.M, s.C, s.K)]
    square[0][-1, -1] += m
    square[1] += c * np.outer(stretch, stretch)
    square[2] += k * np.outer(stretch, stretch)
    row = dense([one.points[watched.name].row], s.coordinates)[0]
    return (*square, np.append(row, 0.0))


if __name__ == "__main__":
    bench = Bench()
    for row in (many_vehicles(bench), robust_search(bench)):
        print(f"{row.work}: {row.ours:.2f} s, {row.peer} {row.theirs:.0f} s")
        print(f"ratio {row.ratio:.1f}, answers apart {row.apart:.0e}, holds: {row.holds}")
