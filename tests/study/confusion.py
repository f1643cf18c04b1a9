"""How often a reading of a recording is right, and whether it is as sure as it says.

    .venv/bin/python tests/study/confusion.py [RIDES [FIRST_SEED]]

simulates so many recordings of invented vehicles (324 unless told), reads each, and prints which kind was
found for which story, how well causes and numbers were met, and how often what was said with a certain
confidence was right.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from simulated import STORIES, Told, drawn, ride

from counterbounce.model.measured.evidence import evidence
from counterbounce.model.measured.findings import Evidence

KINDS = ("rotating_part", "resonance", "not_separable", "nothing", "outside_the_model")
MET_BY = {"resonance, joints": "joints", "resonance, roughness": "roughness"}
BINS = (0.0, 0.7, 0.85, 0.95, 1.001)


@dataclass(frozen=True)
class Read:
    """A ride, and what was read out of it."""

    told: Told
    found: Evidence

    @property
    def kind(self) -> str:
        return self.found.findings[0].kind

    @property
    def right(self) -> bool:
        return self.kind in self.told.right

    @property
    def confidence(self) -> float:
        return self.found.findings[0].confidence


def read(seed: int) -> Read:
    """The ride of a seed, its story by turns, read with the circumference given two times of three."""
    told = drawn(STORIES[seed % len(STORIES)], seed)
    return Read(told, evidence(ride(told), told.circumference if seed % 3 else None))


def confusion(reads: Sequence[Read]) -> np.ndarray:
    """(stories, kinds): how many rides of a story were taken for a kind."""
    table = np.zeros((len(STORIES), len(KINDS)), dtype=int)
    for one in reads:
        table[STORIES.index(one.told.story), KINDS.index(one.kind)] += 1
    return table


def reliability(reads: Sequence[Read]) -> list[tuple[int, float, float]]:
    """(rides, mean stated confidence, share that was right) of each bin of BINS."""
    stated = np.array([one.confidence for one in reads])
    right = np.array([one.right for one in reads])
    found = []
    for low, high in pairwise(BINS):
        inside = (stated >= low) & (stated < high)
        if inside.any():
            found.append((int(inside.sum()), float(stated[inside].mean()), float(right[inside].mean())))
    return found


def brier(reads: Sequence[Read]) -> float:
    """Mean square of confidence less outcome: 0 is best, 0.25 is a coin that says 50 %."""
    return float(np.mean([(one.confidence - one.right) ** 2 for one in reads]))


def numbers(reads: Sequence[Read]) -> dict[str, float]:
    """How well what was measured meets what was drawn."""
    modes = [
        (one.told, finding)
        for one in reads
        if one.told.story in ("resonance, wheel", "resonance, joints", "resonance, roughness", "both")
        for finding in one.found.findings
        if finding.kind == "resonance" and abs(finding.frequency_hz / one.told.natural - 1) < 0.1
    ]
    apart = np.array([f.frequency_hz / t.natural - 1 for t, f in modes])
    inside = [f.interval[0] <= t.natural <= f.interval[1] for t, f in modes]
    damped = [f.damping_interval[0] <= t.damping <= f.damping_interval[1] for t, f in modes]
    ratio = np.log([f.damping_ratio / t.damping for t, f in modes])
    met = [
        f.met_by == MET_BY[one.told.story]
        for one in reads
        if one.told.story in MET_BY
        for f in one.found.findings[:1]
        if f.kind == "resonance"
    ]
    rolled = [
        one.found.estimates["circumference"].value / (one.told.circumference * one.told.scale) - 1
        for one in reads
        if "circumference" in one.found.estimates and "wheel" in one.found.estimates["circumference"].how
    ]
    return {
        "natural frequency, r.m.s. share off": float(np.sqrt(np.mean(apart**2))),
        "natural frequency, share of 95 % intervals that hold it": float(np.mean(inside)),
        "damping ratio, typical factor off": float(np.exp(np.sqrt(np.mean(ratio**2)))),
        "damping ratio, share of 95 % intervals that hold it": float(np.mean(damped)),
        "what meets a resonance, share right": float(np.mean(met)),
        "circumference, share within 2 %": float(np.mean(np.abs(rolled) < 0.02)),
    }


def main(count: int = 324, first: int = 0) -> None:
    """Prints the tables."""
    reads = []
    for seed in range(first, first + count):
        reads.append(read(seed))
        if not reads[-1].right:
            one = reads[-1]
            print(f"  seed {seed}: {one.told.story}, taken for {one.found.findings[0]}", file=sys.stderr)
    print(f"{count} simulated recordings, seeds from {first}")
    print(f"{'':22}" + "".join(f"{kind:>19}" for kind in KINDS))
    for story, row in zip(STORIES, confusion(reads), strict=True):
        print(f"{story:22}" + "".join(f"{n:19d}" for n in row))
    print(f"right: {100 * np.mean([one.right for one in reads]):.1f} %; Brier score {brier(reads):.3f}")
    for rides, stated, right in reliability(reads):
        print(f"  said {100 * stated:.0f} % sure {rides} times: right {100 * right:.0f} %")
    for name, value in numbers(reads).items():
        print(f"{name}: {value:.3g}")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:3]))
