"""What people say of a shake who look and drive, with the mistakes that people make.

How often people look, and how often they err, are assumptions: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from enum import StrEnum
from types import MappingProxyType
from typing import get_args

import numpy as np
from numpy.random import Generator

from ..model.case import Case
from ..model.observations import CHECKS, COUNTED, PACE, PACES, Change, Observation, Result

LOOKED, TRIED = 0.6, 0.4  # share of checks answered, and of the observations made, as people do [-]
MISSED = 0.1  # of bad parts, called good [-]
WRONG = 0.05  # of the observations made; as many again are not known [-]
MISFELT = 0.05  # of directions [-]
GUESSED = 0.15  # how far people are off about how fast it shakes, a standard deviation [-]
BLURS, BUZZES = 5.0, 19.0  # [1/s] where people change the word: the middle of where the words overlap
CHANGED = tuple(result for result in get_args(Result) if result not in PACES)


class Cause(StrEnum):
    """What is really the matter."""

    WHEEL = "a wheel or tyre at fault"
    LOOSE = "a loose or worn part"
    SHIMMY = "shimmy"
    SIDEWAYS = "torsion, roll or tramp"
    DRIVELINE = "a driveline at fault"
    FRAME = "a cracked frame"
    MODE = "a mode met by healthy wheels"


FOREIGN = tuple(cause for cause in Cause if cause is not Cause.MODE)


class Care(StrEnum):
    """How carefully somebody looked before asking."""

    NOTHING = "nothing looked at"
    USUAL = "as people do"
    ASKED = "as people do, then all that was asked for"
    CAREFUL = "all looked at, no mistake"


Table = Mapping[Change, tuple[Result, ...]]
STEADY: Table = MappingProxyType(
    {
        "neutral coast-down": ("stayed",),
        "another gear at the same speed": ("stayed",),
        "off the throttle": ("stayed",),
        "known-good wheels": ("stayed",),
        "after a bump": ("stayed",),
        "braking": ("stayed",),
    }
)
"""What is tried, and what a shake does that cares for none of it."""

DOES: Mapping[Cause, Table] = MappingProxyType(
    {
        Cause.WHEEL: {"known-good wheels": ("vanished", "weaker")},
        Cause.LOOSE: {"known-good wheels": ("stayed", "weaker"), "after a bump": ("stronger",)},
        Cause.SHIMMY: {"known-good wheels": ("stayed", "weaker"), "after a bump": ("started",)},
        Cause.SIDEWAYS: {"known-good wheels": ("stayed", "weaker"), "after a bump": ("stronger",)},
        Cause.DRIVELINE: {
            "neutral coast-down": ("stayed", "vanished"),
            "off the throttle": ("stayed", "vanished", "weaker"),
        },
        Cause.FRAME: {"after a bump": ("stronger", "stayed")},
        Cause.MODE: {"after a bump": ("stronger", "stayed")},
    }
)
"""Where it differs, by cause: any of these, equally likely; a propshaft out of balance goes on in neutral."""


def said(case: Case, cause: Cause, rate: float, rng: Generator) -> Mapping[Care, Case]:
    """What a person adds to a case, by care.

    rate  how many shakes there are in a second [Hz]
    """
    bad, direction, feeds = _bad(cause, rng), _direction(cause, rng), cause is Cause.SHIMMY
    felt = direction if rng.uniform() >= MISFELT else "vertical"
    owned = feeds and rng.uniform() >= MISSED
    does = {change: _one_of(results, rng) for change, results in {**STEADY, **DOES[cause]}.items()}
    walked = {name: "bad" if name == bad and rng.uniform() >= MISSED else "good" for name in CHECKS}
    usual = {name: answer for name, answer in walked.items() if rng.uniform() < LOOKED}
    found = {change: _erred(change, result, rng) for change, result in does.items()}
    tried = {change: seen for change, seen in found.items() if seen and rng.uniform() < TRIED}
    if (word := _pace(rate, rng)) and rng.uniform() < TRIED:
        tried[PACE] = word
    asked = {"known-good wheels": found["known-good wheels"], PACE: _read_off(rate, case, rng)}
    all_of_it = [seen for seen in {**tried, **asked}.values() if seen]
    careful = {name: "bad" if name == bad else "good" for name in CHECKS}
    honest = [Observation(change, result) for change, result in does.items()]
    honest.append(Observation(PACE, _word(rate), frequency=rate))
    return {
        Care.NOTHING: _with(case, felt),
        Care.USUAL: _with(case, felt, usual, tried.values(), owned),
        Care.ASKED: _with(case, felt, walked, all_of_it, owned),
        Care.CAREFUL: _with(case, direction, careful, honest, feeds),
    }


def _with(
    case: Case,
    direction: str,
    checks: Mapping[str, str] = MappingProxyType({}),
    seen: Iterable[Observation] = (),
    bump: bool = False,
) -> Case:
    assert case.complaint is not None
    complaint = replace(case.complaint, direction=direction, starts_after_bump=bump, feeds_itself=bump)
    return replace(case, complaint=complaint, checks=checks, observations=tuple(seen))


def _bad(cause: Cause, rng: Generator) -> str:
    """What somebody who looks finds bad; "" for nothing."""
    if cause is Cause.FRAME:
        return "frame"
    loose = [name for name in CHECKS if name != "frame"]
    steers = ["steering_joints", "lateral_link", "bearings"]
    found = {Cause.LOOSE: loose, Cause.SHIMMY: steers}.get(cause)
    return str(rng.choice(found)) if found else ""


def _direction(cause: Cause, rng: Generator) -> str:
    if cause is Cause.SIDEWAYS:
        return str(rng.choice(["twist", "roll", "side to side"]))
    return "steering" if cause is Cause.SHIMMY else "vertical"


def _erred(change: Change, result: Result, rng: Generator) -> Observation | None:
    """An observation as people make it: not sure, wrong, or right."""
    drawn, other = rng.uniform(), _one_of([r for r in CHANGED if r != result], rng)
    return None if drawn < WRONG else Observation(change, other if drawn < 2 * WRONG else result)


def _pace(rate: float, rng: Generator) -> Observation | None:
    """How fast it shakes, as people put it: not sure, wrong, or as far off as anybody's guess.

    rate  [Hz]
    """
    drawn, word = rng.uniform(), _word(rate * float(np.exp(rng.normal() * GUESSED)))
    other = _one_of([name for name in PACES if name != word], rng)
    return None if drawn < WRONG else Observation(PACE, other if drawn < 2 * WRONG else word)


def _read_off(rate: float, case: Case, rng: Generator) -> Observation | None:
    """How fast it shakes, read off a phone: not at all, the line of the wheels in its place, or right.

    rate  [Hz]
    """
    drawn, off = rng.uniform(), float(np.exp(rng.normal() * COUNTED / 2))
    assert case.complaint is not None
    assert case.complaint.speed is not None
    turns = float(case.numbers[f"axle.{case.plan.axles[-1].name}.circumference"])
    there = sum(case.complaint.speed) / 2 / turns if drawn < 2 * WRONG else rate * off
    return None if drawn < WRONG else Observation(PACE, _word(there), frequency=there)


def _word(rate: float) -> Result:
    """What people call so many shakes in a second.

    rate  [Hz]

    >>> [_word(rate) for rate in (2.0, 9.0, 40.0)]
    ['countable', 'blur', 'buzz']
    """
    return "countable" if rate < BLURS else "blur" if rate < BUZZES else "buzz"


def _one_of(results: Sequence[Result], rng: Generator) -> Result:
    return results[int(rng.integers(len(results)))]
