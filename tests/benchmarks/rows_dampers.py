"""The rows of dampers: many of them judged, and the best one found."""

from __future__ import annotations

import numpy as np
from bench import Bench, Row, medians

from counterbounce.model.matrices import matrices
from counterbounce.model.points import dense
from counterbounce.sizing.absorber import Damper as Hung
from counterbounce.sizing.absorber import Host, RoadHost, with_damper
from counterbounce.sizing.limits import Bounds, Place
from counterbounce.sizing.search import best_damper


def candidates(count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    draw = np.random.default_rng(1)
    m = draw.uniform(5, 60, count)
    omega = 2 * np.pi * draw.uniform(6, 14, count)
    return m, m * omega**2, 2 * draw.uniform(0.02, 0.4, count) * m * omega


def solved(bench: Bench, hung: tuple[float, float, float], omega: np.ndarray) -> np.ndarray:
    """The peer: one batched dense solve of the whole vehicle with the damper assembled, (frequencies, 2)."""
    vehicle = with_damper(bench.one.vehicle, Hung("rear end", *hung))
    s, w = matrices(vehicle), omega[:, None, None]
    push = (s.push_0 + 1j * w * s.push_1).sum(axis=-1, keepdims=True)
    answer = np.linalg.solve(s.K + 1j * w * s.C - w**2 * s.M, push)[..., 0]
    return answer @ dense(bench.rows, s.coordinates).T


def felt_at_the_rear(bench: Bench, frequency: np.ndarray) -> Host:
    """The host of a damper at the rear end, both roads moving as one."""
    place = bench.one.vehicle.points["rear end"].row
    rise = bench.one.ready.road_response(frequency, [*bench.rows, place]).sum(axis=-1)
    felt = bench.one.ready.receptance(frequency, [*bench.rows, place], [place])[..., 0]
    omega = 2 * np.pi * frequency
    return Host(omega, rise[:, :-1], felt[:, :-1] * rise[:, -1:], felt[:, -1], rise[:, -1])


def many_dampers(bench: Bench) -> Row:
    host = felt_at_the_rear(bench, np.linspace(4.0, 16.0, 500))
    m, k, c = candidates(10_000)
    sample = range(0, 10_000, 500)

    def ours() -> np.ndarray:
        return host.worst(m, k, c)

    def theirs() -> np.ndarray:
        return np.array([np.abs(solved(bench, (m[i], k[i], c[i]), host.omega)).max(axis=0) for i in sample])

    apart = float(np.abs(ours()[list(sample)] / theirs() - 1).max())
    one, other = medians(ours, theirs, 3)
    work = "10,000 dampers x 500 points x 2 outputs, worst value each"
    return Row(
        3, work, "loop of np.linalg.solve (20 measured)", one, other * 10_000 / len(sample), apart, 150, 1e-9
    )


def exact_minimax(bench: Bench) -> Row:
    """The largest of 500 points x 2 outputs, as low as a damper of at most 40 kg makes it."""
    from scipy.optimize import minimize

    frequency = np.linspace(6.0, 14.0, 500)
    host = felt_at_the_rear(bench, frequency)
    points, cause = tuple(bench.one.vehicle.points.values())[:2], bench.one.causes[:1]
    band = RoadHost(host, frequency, points, cause)
    nothing = Host(*(part[:0] for part in vars(host).values()))
    place = Place("rear end", band, RoadHost(nothing, frequency[:0], points, cause))
    start = float(bench.one.modes.frequency_hz[2])

    def ours() -> float:
        found = best_damper([place], Bounds(40.0, elsewhere=False), start)
        return found.level if found else np.inf

    def level(x: np.ndarray) -> float:
        omega = 2 * np.pi * start * np.exp(x[0])
        hung = 40.0, 40.0 * omega**2, 2 * 0.1 * np.exp(x[1]) * 40.0 * omega
        return float(np.abs(solved(bench, hung, host.omega)).max())

    def theirs() -> float:
        options = {"xatol": 1e-5, "fatol": 1e-9}
        return float(minimize(level, np.zeros(2), method="Nelder-Mead", options=options).fun)

    higher = max(ours() / theirs() - 1, 0.0)
    work = "exact minimax of a damper over 500 points x 2 outputs"
    return Row(4, work, "Nelder-Mead over np.linalg.solve", *medians(ours, theirs, 3), higher, 30, 1e-6)
