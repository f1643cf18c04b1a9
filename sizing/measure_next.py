"""What to do next: what is expected to remove most of the decision's doubt per minute spent on it.

The decision is whether to hang a damper on.  It is right where the shake is a mode that healthy wheels or the
road meet (one of the kinds that remain, all equally likely) and where the damper helps that vehicle (as many
as of the plausible ones that agree with what is known).  With q the product of both, its doubt is q (1 - q).

What a measurement leaves of it is found before it is made, from the survey's sample (preposterior analysis:
Raiffa and Schlaifer, Applied Statistical Decision Theory, 1961; from memory).  The reduction, as a normal
score among the vehicles, is regressed on what would be measured and on its square, each blurred by the usual
accuracy; where that explains the share R of its variance, and what it does not explain is normal, the doubt
left about "helped or not" has a closed form (`doubt_left`).
R is adjusted for the number of columns, and is zero where chance would show as much once in a hundred times.
With 128 vehicles of equal weight the share of doubt left is then known to about 0.1.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from ..model.numbers import NORMAL_95, Known
from .measurements import RUN_OUT, Measurement, measurements, readings
from .next_test import TESTS, impossible, mean_square, open_tests
from .observed import Reading, reading
from .shake_kinds import Kind
from .study import Host
from .survey import Survey
from .verdict import Outcome, Verdict

Floats = NDArray[np.float64]

SETTLED = 0.0475  # of q (1 - q): nineteen to one
CHANCE = 0.01  # how often chance alone may look like a measurement that tells something [-]
TELLS = 0.02  # of the doubt [-]: less is not worth the trip
FOUND = (0.6, 0.05)  # how often run-out is found on wheels at fault, and on others: our own, no source [-]
ROOMY = 4  # vehicles for each column, at least, before squares are looked at as well


@dataclass(frozen=True)
class Step:
    """One thing to do: minutes [min] it takes, and the share of the decision's doubt left then [-]."""

    what: str
    minutes: float
    doubt_left: float
    how: str

    @property
    def rate(self) -> float:
        """Share of the doubt removed per minute [1/min]."""
        return (1 - self.doubt_left) / self.minutes


@dataclass(frozen=True)
class WhatNext:
    """Steps, the one that removes most per minute first.

    chance   that a damper is the cure and helps, as far as is known [-]
    settled  whether too little doubt is left to measure anything
    why      in words, where there are no steps
    """

    chance: float
    settled: bool
    why: str
    steps: tuple[Step, ...]

    @property
    def doubt(self) -> float:
        """Variance of the decision, q (1 - q) [-]."""
        return self.chance * (1 - self.chance)


def measure_next(one: Host, verdict: Verdict, found: Survey | None) -> WhatNext:
    """What to do next about a case, ranked.

    found  what plausible vehicles do with its damper; None where none was sized
    """
    read = reading(one.case)
    kinds = read.remaining
    mode = 1 / len(kinds) if Kind.MODE in kinds else 0.0
    share = 1.0 if found is None else found.share(_helped(one, found))
    chance = mode * share
    if verdict.outcome is Outcome.INSPECT_FIRST:
        return WhatNext(chance, False, "The vehicle is inspected first: nothing else is worth measuring.", ())
    if read.contradictions:
        return WhatNext(chance, False, "Do the tests again that contradict each other.", ())
    if chance * (1 - chance) <= SETTLED:
        return WhatNext(chance, True, _settled_words(chance), ())
    steps = [*_of_kind(one, read, mode, share), *(_of_numbers(one, found, mode, share) if found else ())]
    told = [step for step in steps if 1 - step.doubt_left >= TELLS]
    ranked = tuple(sorted(told, key=lambda step: -round(step.rate, 9)))  # the first of equals
    why = "" if ranked else "Nothing that is usually measured would make the answer any surer."
    return WhatNext(chance, False, why, ranked)


def _settled_words(chance: float) -> str:
    what = "a damper helps" if chance > 0.5 else "a damper is not the cure"
    return f"Settled: as far as the numbers and what was observed can tell, {what}."


def _helped(one: Host, found: Survey) -> NDArray[np.bool_]:
    return np.asarray(found.retuned_reduction >= one.case.limits.worth)


# --- what tells kinds of shake apart ------------------------------------------------------------------------


def _of_kind(one: Host, read: Reading, mode: float, share: float) -> Iterator[Step]:
    chance = mode * share
    for change in open_tests(read, impossible(one)) if mode else ():
        after = mean_square(change, read.remaining, Kind.MODE)
        left = (chance - share**2 * after) / (chance - chance**2)
        yield Step(change, TESTS[change].minutes, left, TESTS[change].how)
    if mode and Kind.WHEEL in read.remaining and not one.case.roads.wheel_faults:
        left = (chance - share**2 * _after_run_out(len(read.remaining))) / (chance - chance**2)
        yield Step(RUN_OUT.what, RUN_OUT.minutes, left, RUN_OUT.how)


def _after_run_out(kinds: int) -> float:
    """The mean square of the chance of a mode, among equally likely kinds, once run-out is measured."""
    at_fault, true = FOUND
    found = (at_fault + (kinds - 1) * true) / kinds
    return ((true / kinds) ** 2 / found) + ((1 - true) / kinds) ** 2 / (1 - found)


# --- what narrows the numbers -----------------------------------------------------------------------------


def _of_numbers(one: Host, found: Survey, mode: float, share: float) -> Iterator[Step]:
    chance, score = mode * share, normal_scores(found.retuned_reduction, found.weight)
    seen = readings(one, found)
    for test in measurements(one.case.plan):
        columns, errors = pinned(test, found, one.case.numbers.ledger, seen)
        if not len(errors):
            continue  # all of it is known better already
        told = explained(score, columns, errors, found.weight)
        square = share - doubt_left(share, told)  # the mean of the squared share, once it is measured
        left = (chance - mode**2 * square) / (chance - chance**2)
        yield Step(test.what, test.minutes, left, test.how)


def pinned(
    test: Measurement, found: Survey, ledger: Mapping[str, Known], seen: Mapping[str, Floats]
) -> tuple[Floats, Floats]:
    """What a measurement reads on each vehicle, in its standard deviations, and how far that may be off.

    found   V vehicles
    seen    what can be read off each vehicle, as logarithms [-], (V,)

    Returns (V, columns) and (columns,), one standard deviation [-]; what is known better already is left out.
    """
    columns, errors = [], []
    for i, path in enumerate(found.paths):
        if (accuracy := test.accuracy(path)) is not None:
            columns.append(found.scores[:, i])
            errors.append(_error(ledger[path], accuracy))
    for name, accuracy in test.reads.items():
        spread = float(seen[name].std()) if name in seen else 0.0
        if spread > 0:
            columns.append((seen[name] - seen[name].mean()) / spread)
            errors.append(np.log1p(accuracy) / NORMAL_95 / spread)
    kept = [n for n, error in enumerate(errors) if error < 1]
    chosen = [columns[n] for n in kept]
    return np.array(chosen).reshape(len(kept), len(found.scores)).T, np.array([errors[n] for n in kept])


def _error(known: Known, accuracy: float) -> float:
    """A measurement's error over the number's spread [-]; accuracies are shares, or metres of a station."""
    if known.law == "shift" or not known.value:
        return accuracy / known.half
    return float(np.log1p(accuracy) / np.log1p(known.half / abs(known.value)))


def normal_scores(values: Floats, weight: Floats) -> Floats:
    """Values as standard-normal scores by their rank [-], (V,).

    values  (V,) [any]
    weight  how much each counts, summing to one [-], (V,)

    >>> normal_scores(np.array([5.0, 1.0, 2.0]), np.full(3, 1 / 3)).round(2).tolist()
    [0.97, -0.97, 0.0]
    """
    from scipy.special import ndtri

    order = np.argsort(values, kind="stable")
    reached = np.cumsum(weight[order]) - weight[order] / 2
    scores = np.empty_like(values)
    scores[order] = ndtri(np.clip(reached, 1e-9, 1 - 1e-9))
    return scores


def explained(score: Floats, columns: Floats, errors: Floats, weight: Floats) -> float:
    """Which share of the variance of a score a measurement explains, 0 to 1 [-].

    score    (V,) [-]
    columns  what is measured, in standard deviations, (V, columns) [-]
    errors   one standard deviation of the measurement of each [-], (columns,)
    weight   how much each vehicle counts, summing to one [-], (V,)

    A column is measured with an error e, its square with the error that goes with it; each adds its variance
    to the diagonal of the columns' covariance.
    """
    from scipy.special import fdtrc

    many = 1 / float((weight**2).sum())
    noise = errors**2
    if ROOMY * 2 * columns.shape[1] <= many:
        columns = np.hstack([columns, columns**2])
        noise = np.concatenate([noise, 2 * ((1 + noise) ** 2 - 1)])
    x, z = columns - weight @ columns, score - weight @ score
    covariance, shared = (weight[:, None] * x).T @ x, (weight[:, None] * x).T @ z
    measured = covariance + np.diag(noise + 1e-9)
    told = float(shared @ np.linalg.solve(measured, shared)) / float(weight @ z**2)
    used = float(np.trace(np.linalg.solve(measured, covariance)))
    rest = many - 1 - used
    if rest <= 0 or fdtrc(used, rest, told / used * rest / max(1 - told, 1e-12)) > CHANCE:
        return 0.0
    return float(np.clip(1 - (1 - told) * (many - 1) / rest, 0.0, 1.0))


def doubt_left(share: float, told: float) -> float:
    """The expected variance of "helped or not" after a measurement [-].

        E[p (1 - p)] = 2 T(t, sqrt((1 - R) / (1 + R))),   t the normal score that the share lies above

    share  of the vehicles helped, before [-]
    told   R, the share of the variance of the reduction that the measurement explains [-]

    T is Owen's (Tables for computing bivariate normal probabilities, 1956, Annals of Mathematical Statistics
    27; from memory): two vehicles alike in what was measured are bivariate normal with the correlation R.

    >>> doubt_left(0.5, 0.0), doubt_left(0.5, 1.0), round(doubt_left(0.5, 0.5), 4)     # arccos(0.5) / 2 pi
    (0.25, 0.0, 0.1667)
    """
    from scipy.special import ndtri, owens_t

    if not 0 < share < 1:
        return 0.0
    return float(2 * owens_t(float(ndtri(share)), sqrt((1 - told) / (1 + told))))
