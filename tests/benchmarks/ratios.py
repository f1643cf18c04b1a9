"""What fast means: each row a ratio against a named general-purpose peer, on the same work, in one run.

    .venv/bin/python tests/benchmarks/ratios.py

prints the table with machine and versions; medians of interleaved repeats; answers are compared in the
same run
and a row whose answers differ, or whose ratio is below its floor, makes the command fail.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import platform
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

import numpy as np

from counterbounce.model.case import load
from counterbounce.model.matrices import matrices
from counterbounce.model.points import dense
from counterbounce.model.response import Dynamics, sweep
from counterbounce.model.road import Joints, Roads, inputs
from counterbounce.sizing.absorber import Damper as Hung
from counterbounce.sizing.absorber import Host, RoadHost, with_damper
from counterbounce.sizing.limits import Bounds, Place
from counterbounce.sizing.search import best_damper
from counterbounce.sizing.study import host as studied

ROOT = Path(__file__).parents[2]
CASE = ROOT / "examples" / "engineer" / "box_truck.toml"
REPEATS = 7


@dataclass(frozen=True)
class Row:
    """One line of the table: ours and the peer's time [s], and how far their answers lie apart [-]."""

    number: int
    work: str
    peer: str
    ours: float
    theirs: float
    apart: float
    floor: float
    within: float

    @property
    def ratio(self) -> float:
        return self.theirs / self.ours

    @property
    def holds(self) -> bool:
        return self.ratio >= self.floor and self.apart <= self.within


def medians(
    ours: Callable[[], object], theirs: Callable[[], object], repeats: int = REPEATS
) -> tuple[float, float]:
    """Median times of two pieces of work, interleaved, each run once before."""
    times: tuple[list[float], list[float]] = ([], [])
    for turn in range(repeats + 1):
        for work, kept in zip((ours, theirs), times, strict=True):
            start = time.perf_counter()
            work()
            if turn:
                kept.append(time.perf_counter() - start)
    return float(np.median(times[0])), float(np.median(times[1]))


class Bench:
    """The engineer's example, and the same vehicle as a state space of python-control."""

    def __init__(self) -> None:
        self.one = studied(load(CASE))
        self.system = self.one.ready.system
        points = self.one.vehicle.points
        self.rows = [points["driver's floor"].row, points["rear end"].row]

    def state_space(self, push: np.ndarray) -> object:
        import control

        s, n = self.system, len(self.system.coordinates)
        inverse = np.linalg.inv(s.M)
        a = np.block([[np.zeros((n, n)), np.eye(n)], [-inverse @ s.K, -inverse @ s.C]])
        b = np.vstack([np.zeros((n, push.shape[1])), inverse @ push])
        c = np.hstack([dense(self.rows, s.coordinates), np.zeros((2, n))])
        return control.ss(a, b, c, np.zeros((2, push.shape[1])))


def frequency_response(bench: Bench) -> Row:
    import control

    frequency = np.linspace(0.5, 25.0, 2000)
    peer = bench.state_space(dense(bench.rows, bench.system.coordinates).T)

    def ours() -> np.ndarray:
        return Dynamics(bench.system).receptance(frequency, bench.rows, bench.rows)

    def theirs() -> np.ndarray:
        return control.frequency_response(peer, 2 * np.pi * frequency).complex.transpose(2, 0, 1)

    one, other = ours(), theirs()
    apart = float(np.abs(one - other).max() / np.abs(one).max())
    work = "frequency response, 2,000 frequencies, 2 inputs, 2 outputs, preparation included"
    return Row(1, work, "control.frequency_response", *medians(ours, theirs), apart, 10, 1e-9)


def along_speed(bench: Bench) -> Row:
    speeds, s = np.linspace(11.0, 30.0, 200), bench.system
    causes = inputs(
        Roads(wheel_orders=(), joints=Joints(4.6, step=0.003)), bench.one.vehicle, 25 * 4.6 / 16.2
    )
    points = [bench.one.vehicle.points["driver's floor"], bench.one.vehicle.points["rear end"]]
    frequency = np.array([c.frequency(speeds) for c in causes]).ravel()
    shape = np.repeat(np.array([c.shape for c in causes]), len(speeds), axis=0)
    peer, omega = bench.state_space(np.hstack([s.push_0, s.push_1])), 2 * np.pi * frequency
    order = np.argsort(omega)

    def ours() -> np.ndarray:
        return Dynamics(s).along(frequency, shape, [p.row for p in points])

    def theirs() -> np.ndarray:
        columns = np.hstack([shape, 1j * omega[:, None] * shape])[order]
        both = peer(1j * omega[order]).transpose(2, 0, 1) @ columns[..., None]  # type: ignore[operator]
        answer = np.empty((len(omega), 2), dtype=complex)
        answer[order] = both[..., 0]
        return answer

    causes = causes[:16]
    assert sweep(bench.one.ready, causes, speeds, points).typical.shape == (16, 200, 2)
    one, other = ours(), theirs()
    apart = float(np.abs(one - other).max() / np.abs(one).max())
    work = "response on 200 speeds x 16 harmonics, 2 outputs"
    return Row(2, work, "one vectorised control call", *medians(ours, theirs), apart, 10, 1e-9)


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


def help_text(_: Bench) -> Row:
    bare = [sys.executable, "-c", "pass"]
    ours = [str(Path(sys.executable).parent / "counterbounce"), "--help"]
    times = medians(lambda: run(ours), lambda: run(bare), 9)
    return Row(11, "counterbounce --help", "python -c pass", *times, 0.0, 1 / 8, 1.0)


def cold_assess(_: Bench) -> Row:
    """Not a ratio: 3 s is the peer."""
    with tempfile.TemporaryDirectory() as folder:
        command = [str(Path(sys.executable).parent / "counterbounce"), "assess", str(CASE), "--out"]
        turns = iter(range(100))
        ours, _ = medians(lambda: run([*command, f"{folder}/{next(turns)}"]), lambda: None, 3)
    return Row(
        13, "assess on the bending-frame example, report included, cold", "3 s", ours, 3.0, 0.0, 1.0, 1.0
    )


def run(command: list[str]) -> None:
    subprocess.run(command, check=True, capture_output=True)


ROWS = (frequency_response, along_speed, many_dampers, exact_minimax, help_text, cold_assess)


def table(rows: list[Row]) -> str:
    """The table as Markdown."""
    names = ("numpy", "scipy", "control")
    versions = ", ".join(f"{name} {version(name)}" for name in names)
    lines = [
        f"Python {platform.python_version()}, {versions}; {platform.machine()}, {os.cpu_count()} cores, "
        "one BLAS thread.",
        "",
        "| # | work | peer | ours | peer's | ratio | floor | answers apart |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for r in rows:
        ours, theirs = (f"{t * 1e3:.3g} ms" for t in (r.ours, r.theirs))
        apart = f"{r.apart:.0e}" if r.number < 10 else "–"
        lines.append(
            f"| {r.number} | {r.work} | {r.peer} | {ours} | {theirs} "
            f"| {r.ratio:.3g} | {r.floor:.3g} | {apart} |"
        )
    return "\n".join(lines)


def main() -> int:
    warnings.simplefilter("ignore")  # the peers' own
    bench = Bench()
    rows = [row(bench) for row in ROWS]
    print(table(rows))
    broken = [r.number for r in rows if not r.holds]
    print(f"below their floor or apart: {broken}" if broken else "every floor holds")
    return 1 if broken else 0


if __name__ == "__main__":
    raise SystemExit(main())
