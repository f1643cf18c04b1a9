"""What the rows share: the vehicle that they are about, how they are timed, and what a row is."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from counterbounce.model.case import load
from counterbounce.model.points import dense
from counterbounce.sizing.study import host as studied

CASE = Path(__file__).parents[2] / "examples" / "engineer" / "box_truck.toml"
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
