"""A case and data in, the vehicle that agrees with them out, and how surely.

The spreads of the numbers are the prior; what moves is told in standard deviations of it.  To first order
about the most plausible vehicle; where data may be read in several ways, each is tried, the most plausible is
kept, the runner-up is named, and the spreads hold them all.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from .calibrated import Calibrated, ModeKnown, Told
from .case import Case
from .datum import OF_AN_AXLE, Datum
from .matrices import matrices
from .meanings import Ground, Meaning, ground, meanings, meets_of, met_by
from .modes import modes
from .numbers import NORMAL_95
from .predicted import LOCKED_PATH, MODEL_ERROR, error, followed
from .road import HIGHEST
from .score_fit import STEP, Problem, Solution, freedom, residuals, solved, strangeness, vehicles

Floats = NDArray[np.float64]

UNHEARD = 0.05  # of the highest level: the least that counts, where a shake is to be the one complained of
SAME = 0.1  # standard deviations: two readings that end nearer to each other are one
SLACK = 0.05  # of a logarithm: as plausible, but for where the search stopped [-]
NEAR_ODDS = 1e-3  # a reading less plausible than that is not worth naming


def calibrate(case: Case, data: Sequence[Datum], model: Mapping[str, float] = MODEL_ERROR) -> Calibrated:
    """The vehicle of a case that agrees with data as far as the spreads of its numbers allow.

    model  how far a right model may be off, by kind of datum: half a 95 % interval as a share [-]

    Raises CounterbounceError for data of a mode, point, axle or cause that is not there.

    >>> from .example import small_case
    >>> found = calibrate(small_case(), [Datum("natural frequency", 2.9, 0.05, mode="body pitch")])
    >>> pitch = found.modes[1]
    >>> [round(x, 2) for x in pitch.before], [round(x, 2) for x in pitch.after], found.agrees
    ([3.01, 2.72, 3.34], [2.9, 2.85, 2.96], True)
    """
    start = ground(case, any(datum.what == "critical speed" for datum in data))
    if not data:
        return _unmoved(start)
    read = [_read(start, tuple(data), meaning, model) for meaning in meanings(start, data)]
    return _result(start, _distinct(read))


def _distinct(read: Sequence[tuple[Solution, float]]) -> list[tuple[Solution, float]]:
    """Readings that end at different vehicles, with their odds against the most plausible [-], that first.

    read  with the logarithm of how plausible each is [-], the nearest to the best estimate first
    """
    apart: list[tuple[Solution, float]] = []
    for solution, plausible in read:
        same = [i for i, (one, _) in enumerate(apart) if np.abs(one.at - solution.at).max(initial=0.0) < SAME]
        if not same:
            apart.append((solution, plausible))
        elif plausible > apart[same[0]][1] + SLACK:
            apart[same[0]] = solution, plausible
    most = max(plausible for _, plausible in apart)
    odds = [(solution, float(np.exp(plausible - most))) for solution, plausible in apart]
    return sorted((one for one in odds if one[1] > NEAR_ODDS), key=lambda one: -one[1])


def _read(
    start: Ground, data: tuple[Datum, ...], meaning: Meaning, model: Mapping[str, float]
) -> tuple[Solution, float]:
    """One reading solved, and the logarithm of how plausible it is [-]."""
    case, numbers = start.case, start.case.numbers
    paths = numbers.uncertain()
    if any(datum.condition == "standstill" for datum in data):
        paths = (*paths, LOCKED_PATH)
    like = {group: start.modes.shapes[:, mode] for group, mode in meaning.modes.items()}
    terms = start.vehicle.frame.terms
    problem = Problem(case.plan, numbers, terms, paths, numbers.root(paths), data, like, meaning.meets, model)
    solution = solved(problem)
    solution, loud = _peaked(case, solution) if meaning.meets else (solution, 0.0)
    return solution, solution.plausibility + loud


def _peaked(case: Case, solution: Solution) -> tuple[Solution, float]:
    """Once more with each peak where it lies over its coincidence on the vehicle found, and how loud it is
    beside the loudest, squared, as a logarithm [-]."""
    problem, weight = solution.problem, 0.0
    vehicle = vehicles(problem, solution.at[None])[0].one(0)
    found = modes(vehicle)
    met = met_by(case, vehicle, found)
    highest = max((c.typical or 0.0 for c in met if case.speeds[0] <= c.speed <= case.speeds[1]), default=0.0)
    meets = dict(problem.meets)
    for i, old in problem.meets.items():
        alike = np.abs(found.shapes.T @ matrices(vehicle).M @ solution.like[problem.data[i].group])
        own = [c for c in met if c.mode == int(alike.argmax()) and c.cause.name == old.cause]
        if own:
            meets[i] = replace(meets_of(own[0]), per_metre=old.per_metre)
        if problem.data[i].felt:  # nobody complains of what another shake drowns
            heard = (own[0].typical or 0.0) / highest if own and highest else 0.0
            weight += 2 * float(np.log(np.clip(heard, UNHEARD, 1.0)))
    return solved(replace(problem, meets=meets), solution), weight


def _unmoved(start: Ground) -> Calibrated:
    paths = start.case.numbers.uncertain()
    prior, still = start.case.numbers.correlation(paths), np.zeros(len(paths))
    return Calibrated(start.case, (), paths, still, prior, prior, (), (), 0.0, 0, "", None, None)


def _result(start: Ground, read: Sequence[tuple[Solution, float]]) -> Calibrated:
    solution, problem = read[0][0], read[0][0].problem
    root, covariance = problem.root, _all_readings(read)
    return Calibrated(
        start.case,
        problem.data,
        problem.paths,
        root @ solution.at,
        root @ covariance @ root.T,
        start.case.numbers.correlation(problem.paths),
        _told(solution),
        _modes(solution, covariance),
        solution.least,
        freedom(problem.data),
        _words(solution),
        (_words(read[1][0]), read[1][1]) if len(read) > 1 else None,
        solution,
    )


def _all_readings(read: Sequence[tuple[Solution, float]]) -> Floats:
    """Covariance of the scores about the most plausible reading, the others with their share in it."""
    whole, best = sum(odds for _, odds in read), read[0][0].at
    each = [odds * (one.covariance + np.outer(one.at - best, one.at - best)) for one, odds in read]
    return np.asarray(np.sum(each, axis=0) / whole)


def _words(solution: Solution) -> str:
    """Which mode of the vehicle found each group of data is of, and what meets it."""
    problem = solution.problem
    told: dict[str, str] = {}
    many = vehicles(problem, solution.at[None])[0]
    found = modes(many.one(0))
    for i, datum in enumerate(problem.data):
        if datum.what in OF_AN_AXLE:
            continue
        alike = np.abs(found.shapes.T @ many.system.M[0] @ solution.like[datum.group])
        met = f", met by {problem.meets[i].cause}" if i in problem.meets else ""
        told[datum.group] = told.get(datum.group, found.names[int(alike.argmax())]) + met
    return "; ".join(f"{name}" if group == name else f"{group}: {name}" for group, name in told.items())


def _told(solution: Solution) -> tuple[Told, ...]:
    problem, still = solution.problem, np.zeros_like(solution.at)
    ways = [(solution.start, still), (solution.like, solution.at)]
    found = np.vstack([residuals(replace(problem, like=like), at[None])[0] for like, at in ways])
    owners, told = np.array(problem.owners), []
    for i, (datum, strange) in enumerate(zip(problem.data, strangeness(solution), strict=True)):
        before, after = (_said(datum, one, error(datum, problem.model)) for one in found[:, owners == i])
        told.append(Told(datum, before, after, strange))
    return tuple(told)


def _said(datum: Datum, residual: Floats, sigma: float) -> float:
    """What a vehicle says in place of a datum, in its unit; of a shape the modal assurance criterion [-]."""
    if datum.what != "shape":
        return float(datum.value * np.exp(-residual[0] * sigma))
    found = np.array(list(datum.shape.values()), dtype=complex)
    real = (1 + abs((found**2).sum()) / (abs(found) ** 2).sum()) / 2  # of its square, once turned
    return float(real - (residual @ residual) * sigma**2)


def _modes(solution: Solution, covariance: Floats) -> tuple[ModeKnown, ...]:
    """Natural frequencies below 25 Hz, before and after, to first order about the vehicle found."""
    problem, at = solution.problem, solution.at
    steps = STEP * np.vstack([0 * at, np.eye(len(at)), -np.eye(len(at))])
    (before, _, _), (after, sound, _) = (vehicles(problem, one + steps) for one in (0 * at, at))
    if before.refused or after.refused or not sound[0]:
        return ()
    chosen, told = modes(after.one(0)), []
    for mode in np.flatnonzero(chosen.frequency_hz <= HIGHEST):
        like = chosen.shapes[:, mode]
        still, moved = (followed(many.system, like) for many in (before, after))
        was, now = _known(still.frequency, np.eye(len(at))), _known(moved.frequency, covariance)
        damping = float(still.damping_ratio[0]), float(moved.damping_ratio[0])
        told.append(ModeKnown(chosen.names[mode], was, now, damping))
    return tuple(told)


def _known(frequency: Floats, covariance: Floats) -> tuple[float, float, float]:
    """Best estimate and 95 % interval of a frequency [Hz] out of those a step off each score, (1 + 2 D,)."""
    many, best = len(covariance), float(frequency[0])
    slope = (np.log(frequency[1 : 1 + many]) - np.log(frequency[1 + many :])) / (2 * STEP)
    wide = float(np.exp(NORMAL_95 * np.sqrt(slope @ covariance @ slope)))
    return best, best / wide, best * wide
