"""How often a reading of a recording is right, and whether it is as sure as it says.

    .venv/bin/python tests/study/confusion.py [RIDES [FIRST_SEED]]

simulates so many recordings of invented vehicles (324 unless told), reads each, and prints which kind was
found for which story, how well causes and numbers were met, and how often what was said with a certain
confidence was right; then the same of a third as many in which two things shake at once.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.stats import binomtest
from simulated import BESIDES, STORIES, Told, drawn, ride

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


def read(seed: int, story: str | None = None) -> Read:
    """The ride of a seed, its story by turns unless told; of two in three the circumference is given."""
    told = drawn(story or STORIES[seed % len(STORIES)], seed)
    return Read(told, evidence(ride(told), told.circumference if seed % 3 else None))


def confusion(reads: Sequence[Read], stories: Sequence[str] = STORIES) -> np.ndarray:
    """(stories, kinds): how many rides of a story were taken for a kind."""
    table = np.zeros((len(stories), len(KINDS)), dtype=int)
    for one in reads:
        table[stories.index(one.told.story), KINDS.index(one.kind)] += 1
    return table


def reliability(reads: Sequence[Read]) -> list[tuple[int, float, float, float]]:
    """(rides, mean stated confidence, share that was right, how likely it is to be as far from what was said)
    of each bin of BINS."""
    stated = np.array([one.confidence for one in reads])
    right = np.array([one.right for one in reads])
    found = []
    for low, high in pairwise(BINS):
        inside = (stated >= low) & (stated < high)
        if inside.any():
            n, k, p = int(inside.sum()), int(right[inside].sum()), float(stated[inside].mean())
            found.append((n, p, k / n, float(binomtest(k, n, p).pvalue)))
    return found


def both_named(one: Read) -> bool:
    """Whether each of two things that shake at once is among the findings."""
    told, kinds = one.told, {finding.kind for finding in one.found.findings}
    if told.second is None:
        return kinds >= set(told.right)
    rung = [f.frequency_hz for f in one.found.findings if f.kind == "resonance" and f.frequency_hz]
    return all(any(abs(f / true - 1) < 0.06 for f in rung) for true in (told.natural, told.second[0]))


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


def shares(reads: Sequence[Read], names: Sequence[str]) -> str:
    """How many rides of each name there are, and how many of them were read right."""
    told = [
        (name, [one.right for one, its in zip(reads, names, strict=True) if its == name])
        for name in dict.fromkeys(names)
    ]
    return ", ".join(f"{name} {sum(right)} of {len(right)}" for name, right in told)


def table(reads: Sequence[Read], stories: Sequence[str]) -> str:
    """The table of confusions."""
    rows = [f"{'':24}" + "".join(f"{kind:>19}" for kind in KINDS)]
    for story, row in zip(stories, confusion(reads, stories), strict=True):
        rows.append(f"{story:24}" + "".join(f"{n:19d}" for n in row))
    right = 100 * np.mean([one.right for one in reads])
    return "\n".join([*rows, f"right: {right:.1f} %; Brier score {brier(reads):.3f}"])


def all_read(seeds: Sequence[int], story: str | None = None) -> list[Read]:
    """The rides of some seeds; what is read wrong is told aside."""
    reads = []
    for seed in seeds:
        reads.append(read(seed, story))
        if not reads[-1].right:
            one = reads[-1]
            print(f"  seed {seed}: {one.told.story}, taken for {one.found.findings[0]}", file=sys.stderr)
    return reads


def main(count: int = 324, first: int = 0) -> None:
    """Prints the tables."""
    reads = all_read(range(first, first + count))
    print(f"{count} simulated recordings, seeds from {first}")
    print(table(reads, STORIES))
    for rides, stated, right, chance in reliability(reads):
        print(f"  said {100 * stated:.0f} % sure {rides} times: right {100 * right:.0f} %, p {chance:.2f}")
    for name, value in numbers(reads).items():
        print(f"{name}: {value:.3g}")
    print("by speed:", shares(reads, [one.told.profile for one in reads]))
    each = range(first, first + count // len(STORIES))
    more = [one for story in BESIDES for one in all_read(each, story)]
    print(f"{len(more)} more, seeds from {first}")
    print(table(more, BESIDES))
    twice = [one for one in (*reads, *more) if len(one.told.right) > 1 or one.told.second]
    for story in dict.fromkeys(one.told.story for one in twice):
        named = [both_named(one) for one in twice if one.told.story == story]
        print(f"{story}: both named in {sum(named)} of {len(named)}")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:3]))
