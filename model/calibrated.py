"""A calibrated vehicle: what moved and by how much, what the data cannot tell apart, and what is strange."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .case import Case
from .datum import Datum
from .notebook import shown_as_html
from .numbers import Numbers
from .score_fit import Solution
from .settle import settled
from .vehicle import Vehicle

Floats = NDArray[np.float64]

MISFIT = 0.01  # probability of a worse agreement below which no plausible vehicle agrees
STRANGE = 2.0  # standard deviations from which something is a stranger, where nothing agrees
AS_STRANGE = 0.9  # of the strangest: what cannot be told from it
TIED = 0.9  # correlation beyond which two numbers cannot be told apart
MOVED, NARROWED = 0.05, 0.98  # standard deviations; share of a spread that is left


@dataclass(frozen=True)
class Told:
    """One datum beside the vehicle, before and after.

    before, after  what the vehicle says, in the datum's unit; of a shape its agreement, from 0 to 1 [-]
    strange        standard deviations from what all else says [-]
    """

    datum: Datum
    before: float
    after: float
    strange: float


@dataclass(frozen=True)
class ModeKnown:
    """A natural frequency, best and 95 % [Hz], and damping ratio [-], before and after."""

    name: str
    before: tuple[float, float, float]
    after: tuple[float, float, float]
    damping: tuple[float, float]


@dataclass(frozen=True)
class Calibrated:
    """The vehicle that agrees with the data as far as the spreads allow.

    paths       (D,) the numbers that were not exact
    scores      (D,) standard deviations off their best estimates [-]
    covariance  (D, D) of the scores, once the data are known, all readings of them counted [-]
    prior       (D, D) before [-]
    told        each datum, before and after
    modes       natural frequencies below 25 Hz, before and after
    misfit      chi-square of the data [-], of `freedom` degrees [-]
    words       which mode each datum was taken for
    other       the runner-up, with its odds against the one kept [-]; None: there is none
    solution    how it was found
    """

    case: Case
    data: tuple[Datum, ...]
    paths: tuple[str, ...]
    scores: Floats
    covariance: Floats
    prior: Floats
    told: tuple[Told, ...]
    modes: tuple[ModeKnown, ...]
    misfit: float
    freedom: int
    words: str
    other: tuple[str, float] | None
    solution: Solution | None

    @property
    def numbers(self) -> Numbers:
        """The resolver at the most plausible vehicle."""
        return self.case.numbers.with_scores(dict(zip(self.paths, self.scores.tolist(), strict=True)))

    @property
    def vehicle(self) -> Vehicle:
        """The most plausible vehicle."""
        return settled(self.case.plan, self.numbers)

    @property
    def left(self) -> Floats:
        """What is left of each number's spread, as a share [-], (D,)."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))

    @property
    def moved(self) -> Mapping[str, tuple[float, float]]:
        """The numbers that moved or narrowed, furthest first: by how many standard deviations, and what is
        left of their spread as a share [-]."""
        each = zip(self.paths, self.scores.tolist(), self.left.tolist(), strict=True)
        found = {p: (s, left) for p, s, left in each if abs(s) > MOVED or left < NARROWED}
        return dict(sorted(found.items(), key=lambda one: -abs(one[1][0])))

    @property
    def alike(self) -> tuple[tuple[str, str, float], ...]:
        """Pairs of numbers that the data cannot tell apart, with their correlation [-]."""
        spread = self.left
        tied = self.covariance / np.outer(spread, spread)
        pairs = zip(*np.where(np.triu(np.abs(tied), 1) > TIED), strict=True)
        return tuple((self.paths[i], self.paths[j], float(tied[i, j])) for i, j in pairs)

    @property
    def directions(self) -> int:
        """How many independent things the data tell about the numbers [-]: each at least halves a
        variance."""
        if self.solution is None:
            return 0
        return int((np.linalg.eigvalsh(self.solution.expected) > 2).sum())

    @property
    def probability(self) -> float:
        """Of a worse agreement, if numbers and data are what they say [-]."""
        from scipy.special import chdtrc

        return float(chdtrc(self.freedom, self.misfit)) if self.freedom else 1.0

    @property
    def agrees(self) -> bool:
        """Whether a plausible vehicle agrees with the data."""
        return self.probability >= MISFIT

    @property
    def strangers(self) -> tuple[str, ...]:
        """Where none agrees: the data or numbers that lie furthest from all others; several where they cannot
        be told apart."""
        if self.agrees:
            return ()
        known = np.clip(np.diag(self.prior) - np.diag(self.covariance), 0.0, None)
        off = np.where(known > 0.02, np.abs(self.scores) / np.sqrt(np.maximum(known, 1e-12)), 0.0)
        found = {str(one.datum): abs(one.strange) for one in self.told}
        found |= dict(zip(self.paths, off.tolist(), strict=True))
        most = max(found.values(), default=0.0)
        near = [name for name, z in found.items() if z >= max(AS_STRANGE * most, STRANGE)]
        return tuple(sorted(near, key=lambda name: -found[name]))

    def draw(self, count: int, seed: int = 0) -> Floats:
        """Scores of vehicles that agree with the data, (count, D) [-].

        count, seed  [-]
        """
        free = np.random.default_rng(seed).standard_normal((count, len(self.paths)))
        strength, ways = np.linalg.eigh(self.covariance)
        return np.asarray(self.scores + free @ (ways * np.sqrt(np.maximum(strength, 0))).T)

    def _repr_html_(self) -> str:
        rows = [(path, f"{s:+.2f}", f"{left:.0%}") for path, (s, left) in self.moved.items()]
        columns = ("number", "moved by [standard deviations]", "spread left")
        return shown_as_html(f"{self.case.name}, calibrated", columns, rows, self.words)
