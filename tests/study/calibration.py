"""Does a corrected vehicle tell the truth?  Vehicles drawn, measured, calibrated, and given a damper.

    .venv/bin/python tests/study/calibration.py [CASES] [--first SEED]

Each truth is drawn from the spreads of a case; what would be measured on it is computed by the model and
scattered by the stated errors (the instrument's and the model's).  `calibrate` corrects the case, the case is
written and read again, `assess` sizes a damper, and that damper is hung on the truth.  Printed: how often
intervals hold the truth, for natural frequencies, for the numbers, for the reduction; how far the reduction
is off; ranks of truths among draws; how often a weighing gone wrong is named; and how often a truth that
breaks the model goes unnoticed.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import sys
from argparse import ArgumentParser
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from broken import WAYS, Quiet, broken
from scipy.special import ndtri
from scipy.stats import chisquare
from truths import NAMES, Means, Truth, corrected, measured, same, shapes, truth

from counterbounce.model.calibrate import calibrate
from counterbounce.model.calibrated import Calibrated
from counterbounce.model.datum import Datum
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.numbers import NORMAL_95
from counterbounce.model.predicted import error, followed
from counterbounce.model.response import dynamics
from counterbounce.model.score_fit import Solution
from counterbounce.sizing.absorber import road_host
from counterbounce.sizing.assess import assess
from counterbounce.sizing.scored import share_interval
from counterbounce.sizing.sureness import POINTS
from counterbounce.sizing.sureness import known as known_to_ten
from counterbounce.sizing.survey import RETUNED

INSIDE = float(ndtri(0.95)) / NORMAL_95  # of half a 95 % width: half a 90 % one
DRAWS, BINS = 99, 10
ALIKE = 0.8  # of two shapes of unit mass: one mode on two vehicles
FAR = 10  # standard deviations that a weighing is off
SWEPT = 33  # speeds in the band
MEANS = {"one drive": Means(), "four drives, sensors on the axles": Means(4, axles=True)}


@dataclass(frozen=True)
class Promise:
    """A damper on the calibrated vehicle and on the truth; reductions are shares of the level [-].

    outcome     of `assess`
    predicted   best estimate
    expected    mean of the plausible vehicles
    low, high   where nine in ten plausible vehicles lie
    known       whether the tool says that it is known to ten points
    true        on the vehicle itself
    held_tuned  whether the interval of the reduction once tuned on the vehicle holds the true one
    """

    outcome: str
    predicted: float
    expected: float
    low: float
    high: float
    known: bool
    true: float
    held_tuned: bool

    @property
    def close(self) -> bool:
        """Within ten points of what is expected."""
        return abs(self.expected - self.true) <= POINTS

    @property
    def close_to_best(self) -> bool:
        """Within ten points of the best estimate."""
        return abs(self.predicted - self.true) <= POINTS

    @property
    def held(self) -> bool:
        """By its interval."""
        return self.low <= self.true <= self.high


@dataclass(frozen=True)
class Scored:
    """One calibration beside its truth.

    inside   whether the 90 % interval of each natural frequency holds the truth
    before   the same before the calibration
    ranks    [0 to 99] of each true score among draws
    whole    [0 to 99] of the truth's distance from what was found, among the draws'
    off      true scores off what was found, in standard deviations that are left
    agrees   whether a plausible vehicle was found to agree
    meant    whether the modes were taken for those that were measured
    named    whether something was said to be a stranger
    promise  what a damper does; None where none was sized, or nobody asked
    """

    inside: tuple[bool, ...]
    before: tuple[bool, ...]
    ranks: tuple[int, ...]
    whole: int
    off: tuple[float, ...]
    agrees: bool
    meant: bool
    named: bool
    promise: Promise | None


def trial(drawn: Truth, means: Means, seed: int, named: bool, damper: bool = True) -> Scored | None:
    """One truth measured and found again; None where no mode comes near what was measured."""
    start, true = drawn.bench.start, drawn.scores
    try:
        found = calibrate(drawn.bench.case, measured(drawn, means, named, np.random.default_rng((seed, 1))))
    except CounterbounceError:
        return None
    draws, apart = found.draw(DRAWS, seed + 1), np.linalg.pinv(found.covariance, hermitian=True)
    near, far = (_distance(one, found, apart) for one in (true[None], draws))
    like, inside, before = shapes(drawn, found), [], []
    for known in found.modes:
        real = float(followed(drawn.many.system, like[known.name]).frequency[0])
        for answers, (best, _, high) in ((inside, known.after), (before, known.before)):
            answers.append(bool(abs(np.log(real / best)) <= INSIDE * np.log(high / best)))
    assert found.solution is not None
    return Scored(
        tuple(inside),
        tuple(before),
        tuple(int(r) for r in (draws < true).sum(axis=0)),
        int((far < near).sum()),
        tuple(float(x) for x in (true - found.scores) / np.maximum(found.left, 1e-9)),
        found.agrees,
        _meant(drawn, start.modes.shapes[:, list(drawn.bench.bends)].T, found.solution),
        bool(found.strangers),
        promised(drawn, found) if damper else None,
    )


def _distance(scores: np.ndarray, found: Calibrated, apart: np.ndarray) -> np.ndarray:
    off = scores - found.scores
    return np.einsum("vi,ij,vj->v", off, apart, off)


def _meant(drawn: Truth, bends: np.ndarray, found: Solution) -> bool:
    """Whether each group's shape is that of the mode that was measured."""
    system = drawn.many.system
    real = [followed(system, bend).shape[0] for bend in bends]
    return min(same(system, a, b) for a, b in zip(real, found.like.values(), strict=False)) > ALIKE


def promised(drawn: Truth, found: Calibrated) -> Promise | None:
    """The damper that the calibrated case would get, on the truth."""
    try:
        told = assess(corrected(drawn, found))
    except CounterbounceError as error:
        print(f"no case: {error}", file=sys.stderr)
        return None
    aim, asked = told.host.target, told.survey
    if told.sized is None or asked is None or aim is None:
        return None
    hung, said = told.sized.found.damper, told.sized.comparison.reduction
    speeds, place = np.linspace(*aim.band, SWEPT), drawn.vehicle.points[hung.place]
    real = road_host(dynamics(drawn.vehicle), drawn.causes, speeds, drawn.vehicle.judged, place)
    factors = np.array([1.0, *RETUNED])
    m, k, c = np.full_like(factors, hung.mass), hung.stiffness * factors**2, hung.damping * factors
    falls = 1 - real.after(m, k, c).max(axis=(-2, -1)) / real.before().max()
    low, high = asked.interval(asked.retuned_reduction)
    held = bool(low <= falls.max() <= high)
    return Promise(
        told.verdict.outcome.value,
        said,
        asked.expected,
        *asked.interval(asked.reduction),
        known_to_ten(asked),
        float(falls[0]),
        held,
    )


def named(drawn: Truth, seed: int) -> bool:
    """Whether a weighing that is ten standard deviations off, either way, is named as the stranger."""
    random = np.random.default_rng((seed, 2))
    right, *others = measured(drawn, Means(), True, random)
    wrong = _wrong(right, FAR if random.random() < 0.5 else -FAR)
    return str(wrong) in calibrate(drawn.bench.case, [wrong, *others]).strangers


def _wrong(one: Datum, by: float) -> Datum:
    factor = float(np.exp(by * error(one)))
    return replace(one, value=one.value * factor, half=one.half * factor)


# --- printing ---------------------------------------------------------------------------------------------


def told(held: Iterable[bool]) -> str:
    """A share with its 95 % interval, as text."""
    each = list(held)
    if not each:
        return "of none"
    low, high = share_interval(sum(each), len(each))
    return f"{np.mean(each):.1%} of {len(each)} ({low:.0%} to {high:.0%})"


def even(ranks: Sequence[int]) -> float:
    """Probability of ranks at least as uneven, were they even [-]."""
    return float(chisquare(np.histogram(ranks, BINS, (0, DRAWS + 1))[0]).pvalue)


def every(found: Sequence[Scored], field: str) -> np.ndarray:
    """One field of all trials, laid end to end."""
    return np.concatenate([getattr(one, field) for one in found])


def show_found(found: Sequence[Scored]) -> None:
    """Intervals and ranks."""
    print("  natural frequencies inside 90 %:", told(every(found, "inside")), flush=True)
    print("  the same before:", told(every(found, "before")))
    print("  numbers inside 90 %:", told(np.abs(every(found, "off")) <= INSIDE * NORMAL_95))
    print(f"  ranks even: numbers p = {even(every(found, 'ranks')):.3f},", end=" ")
    print(f"whole vehicles p = {even([one.whole for one in found]):.3f}")
    print("  nothing agrees:", told(not one.agrees for one in found), end="; ")
    print("a stranger is named:", told(one.named for one in found))
    print("  modes meant rightly:", told(one.meant for one in found), flush=True)


def show_promises(found: Sequence[Scored]) -> None:
    """Reductions, of all that were advised and of the rest."""
    told_of = [one.promise for one in found if one.promise is not None]
    good = [one for one in told_of if one.outcome == "helps"]
    surely = [one for one in good if one.known]
    print(f"  no damper sized: {len(found) - len(told_of)}; unsure: {_count(told_of, 'unsure')};", end=" ")
    print(f"another no: {len(told_of) - len(good) - _count(told_of, 'unsure')}")
    for name, some in (("advised", good), ("  said to be known to ten points", surely),
                       ("not advised", [one for one in told_of if one.outcome != "helps"])):  # fmt: skip
        off = np.array([(one.true - one.expected, one.true - one.predicted) for one in some] or [(0.0, 0.0)])
        print(f"  {name}: within ten points", told(one.close for one in some), end=", ")
        print("of the best estimate", told(one.close_to_best for one in some), end="; ")
        print("90 % interval holds", told(one.held for one in some), end=", ")
        print("tuned on the vehicle", told(one.held_tuned for one in some), end="; ")
        (mean, best), spread = off.mean(axis=0), off[:, 0].std()
        print(f"mean error {mean:+.3f}, of the best estimate {best:+.3f}, spread {spread:.3f}", flush=True)


def _count(promises: Sequence[Promise], outcome: str) -> int:
    return sum(one.outcome == outcome for one in promises)


def show_broken(way: str, each: Sequence[Quiet]) -> None:
    """How often a truth that breaks the model was missed in silence."""
    print(f"  {way}: said {told(one.said for one in each)}; missed in silence, of the shake", end=" ")
    print(told(one.missed[0] for one in each if one.missed), end="; of each mode ")
    print(told(miss for one in each for miss in one.missed), flush=True)


def main() -> None:
    """Prints the table."""
    parser = ArgumentParser()
    parser.add_argument("cases", type=int, nargs="?", default=200)
    parser.add_argument("--first", type=int, default=0)
    asked = parser.parse_args()
    split = np.array_split(asked.first + np.arange(asked.cases), len(NAMES))
    seeds = {name: some.tolist() for name, some in zip(NAMES, split, strict=True)}
    drawn = {seed: one for name in NAMES for seed in seeds[name] if (one := truth(name, seed))}
    for words, means in MEANS.items():
        trials = {seed: trial(one, means, seed, bool(seed % 2)) for seed, one in drawn.items()}
        for name in NAMES:
            found = [one for seed in seeds[name] if (one := trials.get(seed))]
            print(f"{name}, {words}: {len(found)} of {len(seeds[name])} truths")
            show_found(found)
            show_promises(found)
        print(f"both, {words}")
        show_found([one for one in trials.values() if one])
        show_promises([one for one in trials.values() if one])
    print(
        "a weighing gone wrong is named:", told(named(one, seed) for seed, one in drawn.items()), flush=True
    )
    print("truths that break the model")
    ways, each = list(WAYS), []
    for n, way in enumerate(ways):
        some = [broken(one, seed, way) for seed, one in drawn.items() if seed % len(ways) == n]
        show_broken(way, some)
        each += some
    show_broken("all", each)


if __name__ == "__main__":
    main()
