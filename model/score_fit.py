"""The vehicle that agrees best with data, as far as the spreads of its numbers allow.

Unknown are standard-normal scores, one a number: the sum of their squares is what the spreads say, the sum of
squared residuals what the data say.  Gauss and Newton's step makes both together least; every column of the
derivative comes from one build of many vehicles.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .datum import OF_AN_AXLE, Datum
from .numbers import Numbers
from .plan import Plan
from .plausible import Plausible, scored
from .predicted import LOCKED_PATH, Followed, error, followed, locked, logarithm, meeting, motion, standing

Floats = NDArray[np.float64]

STEP = 0.05  # standard deviations, either way
SHARES = np.array([1.0, 0.5, 0.25, 0.1, 0.03, 0.0])  # of a full step, all tried at once: one of them can be
MOST_STEPS, SETTLED = 12, 1e-3


@dataclass(frozen=True)
class Meets:
    """What a critical speed is made by: a cause by name, its cycles per metre [1/m], its order [-] and its
    axle, and where the peak lies over the coincidence [-]."""

    cause: str
    per_metre: float
    order: float
    axle: str | None
    peak: float = 1.0


@dataclass(frozen=True)
class Problem:
    """Data beside the vehicle that they are of.

    paths  (D,) the numbers that are not exact
    root   (D, D) independent scores into theirs [-]
    terms  shapes of the frame [-]
    like   by group of data: shape of the mode meant, (n,) [-]
    meets  by place in `data`, for critical speeds
    model  how far a right model may be off, by kind of datum: half a 95 % interval as a share [-]
    """

    plan: Plan
    numbers: Numbers
    terms: int
    paths: tuple[str, ...]
    root: Floats
    data: tuple[Datum, ...]
    like: Mapping[str, Floats]
    meets: Mapping[int, Meets]
    model: Mapping[str, float]

    @property
    def owners(self) -> tuple[int, ...]:
        """The place in `data` of each residual."""
        each = [max(len(datum.shape), 1) for datum in self.data]
        return tuple(i for i, count in enumerate(each) for _ in range(count))


@dataclass(frozen=True)
class Solution:
    """The least of a problem.

    at        (D,) independent scores [-]
    residual  (K,) there, over one standard deviation of each [-]
    slope     (K, D) [-]
    start     the modes' shapes at the best estimate, by group
    like      the same there
    """

    problem: Problem
    at: Floats
    residual: Floats
    slope: Floats
    start: Mapping[str, Floats]
    like: Mapping[str, Floats]

    @property
    def least(self) -> float:
        """Sum of all squares: of the residuals and of the scores [-]."""
        return float(self.residual @ self.residual + self.at @ self.at)

    @property
    def covariance(self) -> Floats:
        """Of the independent scores, once the data are known, to first order [-], (D, D)."""
        slope = self.slope
        return np.asarray(np.eye(slope.shape[1]) - slope.T @ np.linalg.solve(self.expected, slope))

    @property
    def expected(self) -> Floats:
        """Covariance of the residuals before the data are known [-], (K, K)."""
        return np.asarray(np.eye(len(self.slope)) + self.slope @ self.slope.T)

    @property
    def plausibility(self) -> float:
        """Logarithm of how well the data were to be expected, up to what does not depend on the vehicle
        [-]."""
        return float(-0.5 * self.least - 0.5 * np.linalg.slogdet(self.expected)[1])


def vehicles(problem: Problem, at: Floats) -> tuple[Plausible, NDArray[np.bool_], Floats]:
    """The vehicles at independent scores (V, D) [-], which of them can be, and their numbers' scores."""
    scores = at @ problem.root.T
    with np.errstate(invalid="ignore"):  # a step too far makes no vehicle, and is not taken
        many = scored(problem.plan, problem.numbers, problem.paths, scores, problem.terms)
    if not many.refused:
        return many, np.ones(len(at), dtype=bool), scores
    kept = {tuple(row) for row in many.scores}
    return many, np.array([tuple(row) in kept for row in scores]), scores


def residuals(problem: Problem, at: Floats) -> tuple[Floats, Mapping[str, Floats]]:
    """Measured less computed over one standard deviation, (V, K) [-], and the shape of each group's mode,
    (V, n); vehicles that cannot be are not a number.

    at  (V, D) independent scores [-]
    """
    many, sound, scores = vehicles(problem, at)
    numbers = problem.numbers.with_scores(dict(zip(problem.paths, scores[sound].T, strict=True)))
    systems = {"rolling": many.system}
    if any(datum.condition == "standstill" for datum in problem.data):
        stiffer = locked(numbers.scores.get(LOCKED_PATH, 0.0))
        systems["standstill"] = standing(problem.plan, many, stiffer)
    modes: dict[tuple[str, str], Followed] = {}
    columns: list[Floats] = []
    for i, datum in enumerate(problem.data):
        system, key = systems[datum.condition], (datum.condition, datum.group)
        if datum.what not in OF_AN_AXLE and key not in modes:
            modes[key] = followed(system, problem.like[datum.group])
        mode, sigma = modes.get(key), error(datum, problem.model)
        if datum.what == "shape":
            assert mode is not None
            measured, said = motion(datum, many, mode)
            columns += list(((measured - said) / sigma).T)
            continue
        meets = problem.meets.get(i)
        per_metre = meeting(many, meets.per_metre, meets.order, meets.axle) / meets.peak if meets else 1.0
        told = logarithm(datum, many, system, mode, numbers, per_metre)
        columns.append((np.log(datum.value) - told) / sigma)
    found = np.full((len(at), len(columns)), np.nan)
    found[sound] = np.stack(columns, axis=-1) if columns else np.zeros((int(sound.sum()), 0))
    return found, {group: mode.shape for (_, group), mode in modes.items()}


def linear(problem: Problem, at: Floats) -> tuple[Floats, Floats, Mapping[str, Floats]]:
    """Residuals at independent scores (K,), their slope (K, D) [-], and the shapes of the modes there.

    at  (D,) [-]

    Raises ValueError where the vehicle itself cannot be.
    """
    many = len(at)
    around = np.vstack([at[None], at + STEP * np.eye(many), at - STEP * np.eye(many)])
    found, shapes = residuals(problem, around)
    still, up, down = found[0], found[1 : 1 + many], found[1 + many :]
    if np.isnan(still).any():
        raise ValueError("the numbers of the vehicle contradict each other")
    gone = np.isnan(up), np.isnan(down)  # there a step one way only
    width = STEP * (2 - gone[0].astype(float) - gone[1])
    slope = (np.where(gone[0], still, up) - np.where(gone[1], still, down)) / np.maximum(width, STEP)
    return still, slope.T, {group: shape[0] for group, shape in shapes.items()}


def solved(problem: Problem, near: Solution | None = None) -> Solution:
    """The scores at which numbers and data together are most plausible, found from the best estimate on.

    near  where to begin instead
    """
    at, start = (near.at, near.start) if near else (np.zeros(len(problem.paths)), problem.like)
    problem = replace(problem, like=near.like) if near else problem
    residual, slope, like = linear(problem, at)
    for _ in range(MOST_STEPS if len(at) and len(residual) else 0):
        problem = replace(problem, like={**problem.like, **like})
        wanted = -slope.T @ np.linalg.solve(np.eye(len(slope)) + slope @ slope.T, residual - slope @ at)
        tried = at + SHARES[:, None] * (wanted - at)
        found, _ = residuals(problem, tried)
        heights = np.nan_to_num((found**2).sum(axis=1), nan=np.inf) + (tried**2).sum(axis=1)
        before, best = residual @ residual + at @ at, int(np.argmin(heights))
        if not heights[best] < before:
            break
        at = tried[best]
        residual, slope, like = linear(problem, at)
        if before - heights[best] < SETTLED:
            break
    return Solution(problem, at, residual, slope, start, {**problem.like, **like})


def strangeness(solution: Solution) -> tuple[float, ...]:
    """How far each datum lies from what all others and the numbers say, in standard deviations [-].

    Of a shape, which is several residuals: the normal score of their probability.
    """
    from scipy.special import chdtrc, ndtri

    if not solution.problem.data:
        return ()
    inverse = np.linalg.inv(solution.expected)
    off = inverse @ (solution.residual - solution.slope @ solution.at)
    owners, told = np.array(solution.problem.owners), []
    for i, datum in enumerate(solution.problem.data):
        mine = np.flatnonzero(owners == i)
        height = off[mine] @ np.linalg.solve(inverse[np.ix_(mine, mine)], off[mine])
        if datum.what == "shape":
            chance = float(chdtrc(len(mine) - 1, height))
            told.append(-float(ndtri(max(chance, 1e-300) / 2)))
        else:
            told.append(float(np.sqrt(height) * np.sign(off[mine[0]])))
    return tuple(told)


def freedom(data: Sequence[Datum]) -> int:
    """How many independent numbers the data are [-]: a shape one less than its points."""
    return sum(len(datum.shape) - 1 if datum.what == "shape" else 1 for datum in data)
