"""Every number of a case: what it is, how surely, who said so.  Models ask by path and get floats.

A resolver answers "axle.rear.tyre_rate" from what is given, or from an estimating rule, and keeps a ledger of
what was asked.  Given standard-normal scores it answers for another plausible vehicle, or for many at once.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Origin = Literal["measured", "published", "estimated", "assumed", "calibrated"]
NORMAL_95 = 1.959963984540054  # half the 95 % width of a standard normal


class Missing(LookupError):
    """Neither given nor to be estimated: `path` would have to be given; `because` says what asked."""

    def __init__(self, path: str, because: str = "") -> None:
        self.path, self.because = path, because
        super().__init__(f"{path} is not known" + (f": {because}" if because else ""))


def _scaled(share: float, score: Any) -> Any:
    """The factor of a number `score` standard deviations off, where half its 95 % width is `share` of it."""
    return np.exp(np.log1p(share) / NORMAL_95 * score)


@dataclass(frozen=True)
class Known:
    """One number in SI, with half its 95 % width; `law` says how it varies.

    factor: positive, uncertain by a factor of 1 + half/value; shift: an offset, uncertain by a length.

    >>> Known(100.0, 20.0, "assumed").at(0.0), round(Known(100.0, 20.0, "assumed").at(1.96), 1)
    (100.0, 120.0)
    """

    value: float
    half: float
    origin: Origin
    source: str = ""
    law: Literal["factor", "shift"] = "factor"
    unit: str = ""

    def at(self, score: Any) -> Any:
        """The number `score` standard deviations from its best estimate (an array: for many vehicles)."""
        if self.law == "shift":
            return _plain(self.value + self.half / NORMAL_95 * score)
        if self.value == 0 or self.half == 0:
            return self.value
        return _plain(self.value * _scaled(self.half / abs(self.value), score))


@dataclass(frozen=True)
class Rule:
    """A number estimated from others.

    formula  of the numbers and of what the pattern's * stood for ("rear" of "axle.*.tyre_rate"; "" if none)
    scatter  [-] half the 95 % width of the estimate itself, as a share: 0.6 is a factor of 1.6
    """

    formula: Callable[[Numbers, str], Any]
    scatter: float
    source: str
    origin: Origin = "estimated"


@dataclass(frozen=True)
class Numbers:
    """Given numbers, and rules for the rest.

    rules   by path, or by pattern with one * for what lies between: "axle.*.tyre_rate"; the longest wins
    scores  standard deviations off the best estimate, by path: floats, or arrays (one a vehicle)
    ledger  what was asked, in order of first asking
    tied    correlations [-] of the scores, by two paths; those that are not there vary independently

    >>> rules = {"axle.*.rate": Rule(lambda numbers, name: 2 * numbers[f"axle.{name}.load"], 0.1, "demo")}
    >>> numbers = Numbers({"axle.rear.load": Known(1000.0, 20.0, "measured")}, rules)
    >>> numbers["axle.rear.rate"], list(numbers.ledger)
    (2000.0, ['axle.rear.rate', 'axle.rear.load'])
    """

    given: Mapping[str, Known]
    rules: Mapping[str, Rule]
    scores: Mapping[str, Any] = field(default_factory=dict)
    ledger: dict[str, Known] = field(default_factory=dict)
    tied: Mapping[tuple[str, str], float] = field(default_factory=dict)
    _answers: dict[str, Any] = field(default_factory=dict, init=False, repr=False, compare=False)
    _asking: list[str] = field(default_factory=list, init=False, repr=False, compare=False)

    def __getitem__(self, path: str) -> Any:
        """The number, a float or an array with one value per plausible vehicle [SI].  Raises Missing."""
        if path not in self._answers:
            if path in self._asking:
                circle = [*self._asking[self._asking.index(path) :], path]
                raise Missing(path, "a circle of estimates: " + " needs ".join(circle))
            self._asking.append(path)
            try:
                self._answers[path] = self._answer(path)
            finally:
                self._asking.pop()
        return self._answers[path]

    def _answer(self, path: str) -> Any:
        score = self.scores.get(path, 0.0)
        if path in self.given:
            self.ledger[path] = self.given[path]
            return self.given[path].at(score)
        found = self._rule(path)
        if found is None:
            asked_by = self._asking[-2] if len(self._asking) > 1 else ""
            raise Missing(
                path, f"{asked_by} is estimated from it" if asked_by else "it is neither given nor estimated"
            )
        rule, between = found
        self.ledger.setdefault(
            path, Known(0.0, 0.0, rule.origin, rule.source)
        )  # its place, while its sources answer
        try:
            base = rule.formula(self, between)
        except BaseException:
            del self.ledger[path]
            raise
        middle = float(np.median(base))
        self.ledger[path] = Known(middle, rule.scatter * abs(middle), rule.origin, rule.source)
        return _plain(base * _scaled(rule.scatter, score))

    def _rule(self, path: str) -> tuple[Rule, str] | None:
        if path in self.rules:
            return self.rules[path], ""
        best: tuple[int, Rule, str] | None = None
        for pattern, rule in self.rules.items():
            between = _between(pattern, path)
            if between and (best is None or len(pattern) > best[0]):
                best = len(pattern), rule, between
        return best[1:] if best else None

    def has(self, path: str) -> bool:
        """Whether it is given or a rule exists for it; the rule may still find its own sources missing."""
        return path in self.given or self._rule(path) is not None

    def optional(self, path: str) -> Any | None:
        """The number, or None where it is neither given nor can be estimated."""
        try:
            return self[path]
        except Missing:
            return None

    def known(self, path: str) -> Known:
        """The number with its origin, spread and source.  Raises Missing."""
        self[path]
        return self.ledger[path]

    def uncertain(self) -> tuple[str, ...]:
        """The paths asked so far whose numbers are not exact: the dimensions of doubt."""
        return tuple(path for path, known in self.ledger.items() if known.half > 0)

    def with_scores(self, scores: Mapping[str, Any]) -> Numbers:
        """The same numbers for another plausible vehicle, or for many."""
        return Numbers(self.given, self.rules, scores, tied=self.tied)

    def plausible(self, normal: Callable[[int], Any]) -> Numbers:
        """Many vehicles at once: `normal(i)` scores the i-th uncertain number asked so far."""
        return self.with_scores({path: normal(i) for i, path in enumerate(self.uncertain())})

    def with_given(self, given: Mapping[str, Known]) -> Numbers:
        """The same rules and scores with some numbers given anew."""
        return Numbers({**self.given, **given}, self.rules, self.scores, tied=self.tied)

    def correlation(self, paths: Sequence[str]) -> Floats:
        """Correlations of the scores of some numbers [-], (D, D).

        >>> Numbers({}, {}, tied={("a", "b"): 0.5}).correlation(["b", "c", "a"])[0].tolist()
        [1.0, 0.0, 0.5]
        """
        at, found = {path: i for i, path in enumerate(paths)}, np.eye(len(paths))
        for (one, other), share in self.tied.items():
            if one in at and other in at:
                found[at[one], at[other]] = found[at[other], at[one]] = share
        return found

    def root(self, paths: Sequence[str]) -> Floats:
        """What makes scores of some numbers out of independent ones [-], (D, D): R with R RT their
        correlations, the nearest that there are where those written down contradict each other."""
        found = self.correlation(paths)
        if not self.tied:
            return found
        strength, ways = np.linalg.eigh(found)
        made = ways * np.sqrt(np.maximum(strength, 0.0))
        return np.asarray(made / np.maximum(np.linalg.norm(made, axis=1), 1e-12)[:, None])


def _between(pattern: str, path: str) -> str:
    """What the pattern's * stands for in the path, or nothing where they do not match.

    >>> _between("axle.*.load", "axle.rear 2.load"), _between("axle.*.load", "axle.load")
    ('rear 2', '')
    """
    before, star, after = pattern.partition("*")
    if not star or len(path) <= len(before) + len(after):
        return ""
    if not (path.startswith(before) and path.endswith(after)):
        return ""
    return path[len(before) : len(path) - len(after)]


def _plain(number: Any) -> Any:
    return float(number) if np.ndim(number) == 0 else number
