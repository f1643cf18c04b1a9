"""How far the search for a damper stays from the best damper known.

    .venv/bin/python tests/study/best_known.py [VEHICLES [FIRST_SEED]]

draws so many invented vehicles (60 unless told), searches a damper at the last place of each, and looks for a
better one by brute force: a fine grid over mass, tuning and damping, and the search's own last step from each
of the grid's valleys.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import sys
from dataclasses import dataclass

import numpy as np

from counterbounce.model.case import parse
from counterbounce.sizing import study
from counterbounce.sizing.invented import invented
from counterbounce.sizing.limits import Bounds, Place
from counterbounce.sizing.minimax import minimax
from counterbounce.sizing.search import Judge, best_damper, judge

Candidate = tuple[float, float, float]  # m [kg], k [N/m], c [N s/m]

BOUNDS = Bounds(40.0, stroke=0.02)
MASSES = np.array([0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 0.85, 1.0])  # of the heaviest
TUNINGS, DAMPINGS = np.geomspace(0.4, 2.3, 60), np.geomspace(0.005, 1.5, 24)
VALLEYS, BLOCK = 25, 200


@dataclass(frozen=True)
class Gap:
    """What the search leaves of the shake of one vehicle, and the least that is known [m/s^2]."""

    ours: float
    known: float

    @property
    def share(self) -> float:
        """By how much the search is above the best known [-]."""
        return self.ours / min(self.known, self.ours) - 1


def gap(seed: int) -> Gap | None:
    """The gap on one invented vehicle; None where no speed is to be cured or no mass may be hung."""
    one = study.host(parse(invented(np.random.default_rng(seed))))
    if one.target is None:
        return None
    place = study.place_of(one, one.vehicle.points[one.places[-1]], BOUNDS)
    frequency, heaviest = one.target.critical.frequency, min(BOUNDS.mass, place.heaviest)
    found = best_damper([place], BOUNDS, frequency)
    if found is None:
        return None
    d, asked = found.damper, judge(place, BOUNDS)
    known = least_known(asked, place, frequency, heaviest)
    return Gap(cost(asked, (d.mass, d.stiffness, d.damping)), known)


def cost(asked: Judge, one: Candidate) -> float:
    """What the search makes smallest, of one candidate."""
    return float(asked.cost(*(np.array([x]) for x in one))[0])


def least_known(asked: Judge, place: Place, frequency: float, heaviest: float) -> float:
    """The least cost of a fine grid and of what each of its valleys leads to."""
    ratio, m, damping = np.meshgrid(TUNINGS, MASSES * heaviest, DAMPINGS, indexing="ij")
    omega = 2 * np.pi * frequency * ratio
    every = [x.ravel() for x in (m, m * omega**2, 2 * damping * m * omega)]
    blocks = [[x[i : i + BLOCK] for x in every] for i in range(0, m.size, BLOCK)]
    costs = np.concatenate([asked.cost(*block) for block in blocks])
    low = np.flatnonzero(valleys(costs.reshape(m.shape)))
    starts = [tuple(float(x[i]) for x in every) for i in low[np.argsort(costs[low])][:VALLEYS]]
    ends = [minimax(place, BOUNDS, [start], heaviest) for start in starts]
    return min([float(costs.min()), *(cost(asked, end) for end in ends)])


def valleys(costs: np.ndarray) -> np.ndarray:
    """Where no neighbour along any one axis is lower."""
    low = np.ones(costs.shape, dtype=bool)
    for axis in range(costs.ndim):
        padded = np.pad(
            costs, [(1, 1) if i == axis else (0, 0) for i in range(costs.ndim)], constant_values=np.inf
        )
        for side in (0, 2):
            low &= costs <= np.take(padded, np.arange(costs.shape[axis]) + side, axis=axis)
    return low


def main(count: int = 60, first: int = 1000) -> None:
    """Print each gap above 0.01 %, and how many are above 0.5 %."""
    gaps = {seed: found.share for seed in range(first, first + count) if (found := gap(seed))}
    for seed, share in sorted(gaps.items(), key=lambda one: -one[1]):
        if share > 1e-4:
            print(f"vehicle {seed}: {share:.2%} above the best known")
    print(f"{len(gaps)} vehicles; {sum(share > 5e-3 for share in gaps.values())} more than 0.5 % above")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
