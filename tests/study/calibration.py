"""How often intervals hold the truth after a calibration: vehicles drawn, measured, and calibrated.

    python tests/study/calibration.py [CASES] [SEED]

Each truth is drawn from the spreads of a case; what would be measured on it is computed by the model,
scattered by the stated errors (the instrument's and the model's), and handed to `calibrate`.  Printed: the
share of 90 % intervals that hold the truth, for natural frequencies and for every number; ranks of the true
scores among draws from what is left (even, where posteriors are right); and how many calibrations found that
nothing agrees, which happens to one in a hundred truths by chance.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from scipy.special import ndtri

from counterbounce.model.calibrate import calibrate
from counterbounce.model.case import Case, load
from counterbounce.model.datum import Datum
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.meanings import Ground, ground
from counterbounce.model.modes import modes
from counterbounce.model.numbers import NORMAL_95
from counterbounce.model.plausible import Plausible, scored
from counterbounce.model.predicted import error, followed
from counterbounce.model.road import HIGHEST
from counterbounce.model.score_fit import Solution

EXAMPLES = Path(__file__).parents[2] / "examples"
INSIDE = float(ndtri(0.95)) / NORMAL_95  # of half a 95 % width: half a 90 % one
DRAWS, BINS = 99, 10
ALIKE = 0.8  # of two shapes of unit mass: one mode on two vehicles


@dataclass(frozen=True)
class Scored:
    """One calibration beside its truth.

    inside   whether the 90 % interval of each natural frequency holds the truth
    before   the same before the calibration
    ranks    [0 to 99] of each true score among draws
    off      true scores off what was found, in standard deviations that are left
    agrees   whether a plausible vehicle was found to agree
    meant    whether the modes were taken for those that were measured
    """

    inside: tuple[bool, ...]
    before: tuple[bool, ...]
    ranks: tuple[int, ...]
    off: tuple[float, ...]
    agrees: bool
    meant: bool


def measured(start: Ground, truth: Plausible, named: bool, random: np.random.Generator) -> list[Datum]:
    """What would be found on a vehicle: the first two frame modes, the damping and effective mass of the
    first, and the load on the rear axle."""
    bends = [i for i, name in enumerate(start.modes.names) if "frame bending" in name][:2]
    told: list[Datum] = []
    for n, mode in enumerate(bends):
        seen = followed(truth.system, start.modes.shapes[:, mode])
        who = {"mode": mode} if named else {"shake": f"shake {n}"}
        frequency = float(seen.frequency[0])
        if frequency > HIGHEST:  # nobody looks there
            continue
        told.append(Datum("natural frequency", frequency, 0.012 * frequency, **who))
        if n == 0:
            ratio = float(seen.damping_ratio[0])
            row = truth.one(0).points["rear end"].row
            rise = sum(share * seen.shape[0, truth.system.coordinates.index(c)] for c, share in row.items())
            told.append(Datum("damping ratio", ratio, 0.2 * ratio, **who))
            told.append(Datum("effective mass", 1 / rise**2, 0.15 / rise**2, point="rear end", **who))
    scattered = [np.exp(error(one) * random.standard_normal()) for one in told]
    return [
        replace(one, value=one.value * by, half=one.half * by)
        for one, by in zip(told, scattered, strict=True)
    ]


def trial(case: Case, seed: int, named: bool = True) -> Scored | None:
    """One truth drawn, measured and found again; None where the draw was no vehicle."""
    random = np.random.default_rng(seed)
    start = ground(case, speeds=False)
    paths = case.numbers.uncertain()
    true = random.standard_normal(len(paths)) @ case.numbers.root(paths).T
    truth = scored(case.plan, case.numbers, paths, true[None], start.vehicle.frame.terms)
    if truth.refused:
        return None
    data = measured(start, truth, named, random)
    try:
        found = calibrate(case, data)
    except CounterbounceError:  # a shake that no mode comes near
        return Scored((), (), (), (), agrees=False, meant=False)
    left = np.maximum(found.left, 1e-9)
    draws = found.draw(DRAWS, seed + 1)
    chosen = modes(
        scored(case.plan, case.numbers, paths, found.scores[None], start.vehicle.frame.terms).one(0)
    )
    inside, before = [], []
    for known in found.modes:
        like = chosen.shapes[:, chosen.names.index(known.name)]
        real = float(followed(truth.system, like).frequency[0])
        for answers, (best, _, high) in ((inside, known.after), (before, known.before)):
            answers.append(bool(abs(np.log(real / best)) <= INSIDE * np.log(high / best)))
    meant = found.solution is not None and _meant(start, truth, found.solution)
    return Scored(
        tuple(inside),
        tuple(before),
        tuple(int(r) for r in (draws < true).sum(axis=0)),
        tuple(float(x) for x in (true - found.scores) / left),
        found.agrees,
        meant,
    )


def _meant(start: Ground, truth: Plausible, found: Solution) -> bool:
    """Whether each group's shape is that of the mode that was measured."""
    bends = [i for i, name in enumerate(start.modes.names) if "frame bending" in name][:2]
    real = [followed(truth.system, start.modes.shapes[:, mode]).shape[0] for mode in bends]
    alike = [float(abs(a @ truth.system.M[0] @ b)) for a, b in zip(real, found.like.values(), strict=False)]
    return min(alike) > ALIKE


def main() -> None:
    cases, seed = (int(sys.argv[i]) if len(sys.argv) > i else usual for i, usual in ((1, 200), (2, 0)))
    for name in ("technician/flatbed.toml", "engineer/box_truck.toml"):
        case = load(EXAMPLES / name)
        for named in (True, False):
            found = [one for i in range(cases) if (one := trial(case, seed + 7919 * i, named)) is not None]
            inside, before, off, ranks = (
                np.concatenate([getattr(one, field) for one in found])
                for field in ("inside", "before", "off", "ranks")
            )
            counts = np.histogram(ranks, BINS, (0, DRAWS + 1))[0] / len(ranks)
            print(f"{name}, modes {'named' if named else 'not named'}: {len(found)} calibrations")
            print(f"  natural frequencies inside 90 %: {inside.mean():.1%}, before {before.mean():.1%}")
            print(f"  numbers inside 90 %: {(np.abs(off) <= INSIDE * NORMAL_95).mean():.1%}")
            print("  ranks:", " ".join(f"{share:.1%}" for share in counts))
            print(f"  nothing agrees: {np.mean([not one.agrees for one in found]):.1%}")
            print(f"  meant rightly: {np.mean([one.meant for one in found]):.1%}", flush=True)


if __name__ == "__main__":
    main()
