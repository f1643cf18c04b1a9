"""Simulated complaints: an invented vehicle, what is really the matter with it, and what a person would say.

The vehicle that shakes is not the one that its case describes: each number that nobody knows exactly is drawn
from its spread.  Where the cause feeds or weakens a mode, the speeds complained of are those at which that
very vehicle shakes most; elsewhere they are drawn.  How often people look, and how often they err, are
assumptions: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from types import MappingProxyType
from typing import get_args

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from ..model.case import Case, Complaint, parse
from ..model.estimates import healthy_run_out
from ..model.numbers import Known
from ..model.observations import CHECKS, Change, Observation, Result
from ..model.response import dynamics, sweep
from ..model.road import inputs
from ..model.settle import settled
from ..model.wheels import WheelFault
from .invented import invented
from .reasons import percent

Floats = NDArray[np.float64]

AT_FAULT = (4.0, 10.0)  # run-out of a wheel at fault over a healthy one's [-]
CRACKED = (0.3, 0.7)  # bending stiffness of a cracked frame over a sound one's [-]
SHIMMY, ANY_SPEED, SHAFT = (17.9, 26.8), (12.0, 31.0), (18.0, 31.0)  # [m/s] middle of the complaint
HALF_WIDTH = (0.03, 0.10)  # of a complaint's speeds, where they are drawn [-]
HALF_POWER = 0.71  # of the largest level: a person still complains of it [-]
LOOKED, TRIED = 0.6, 0.4  # share of checks answered, and of the observations made, as people do [-]
MISSED = 0.1  # of bad parts, called good [-]
WRONG = 0.05  # of the observations made; as many again are not known [-]
MISFELT = 0.05  # of directions [-]
POINTS = 181

ASSUMPTIONS = (
    "Vehicles of four sizes, from pickup to medium truck, of which door, tyres, scale and tape were read; of "
    "half of them the frame's stiffness is known to 10 %, of another quarter its rails were measured.",
    "The vehicle that shakes is another than its case describes: each number is drawn from its spread.",
    f"A wheel at fault has {AT_FAULT[0]:.0f} to {AT_FAULT[1]:.0f} times a healthy run-out, at any axle, in "
    f"order 1 or 2; a cracked frame {percent(CRACKED[0])} to {percent(CRACKED[1])} of its stiffness.",
    "Wheels, cracks and half of the loose parts are felt where that very vehicle then shakes most; shimmy at "
    "40 to 60 mph on a solid axle, the driveline above 65 km/h, all else at any speed.",
    f"As people do: {percent(LOOKED)} of the walk round is answered, and {percent(MISSED)} of what is bad "
    f"called good; {percent(TRIED)} of six changes are tried, {percent(WRONG)} of the results are wrong and "
    f"as many not known; {percent(MISFELT)} of directions other than vertical are felt as vertical.",
    "All looked at: the whole walk round and all six changes, without a mistake.",
    "All causes are equally frequent, which they are not on the road. Common practice, no source.",
)
"""What the simulation takes for granted, for whoever reads its result."""


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
    CAREFUL = "all looked at, no mistake"


@dataclass(frozen=True)
class Simulated:
    """A complaint.

    case    the vehicle as its case describes it, with the speeds complained of; nothing looked at yet
    actual  the vehicle that shakes, healthy wheels where its cause is a mode
    said    what the person adds, by care
    """

    cause: Cause
    case: Case
    actual: Case
    said: Mapping[Care, Case]


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


def simulated(cause: Cause, seed: int, number: int) -> Simulated:
    """One complaint of a cause, always the same for the same seed and number [-].

    >>> one = simulated(Cause.SHIMMY, 0, 1)
    >>> one.said[Care.CAREFUL].complaint.starts_after_bump, dict(one.said[Care.NOTHING].checks)
    (True, {})
    """
    rng = np.random.default_rng((seed, list(Cause).index(cause), number))
    text = invented(rng)
    if cause is Cause.SHIMMY:
        text = text.replace('type = "independent"', 'type = "solid"')
    described = parse(text)
    settled(described.plan, described.numbers)  # so that its ledger tells what is not exact
    actual = _actual(described, cause, rng)
    felt = Complaint(_felt(actual, cause, rng), "driver's floor", "vertical", None, "", False, False)
    case = replace(described, complaint=felt)
    actual = replace(actual, complaint=felt)
    return Simulated(cause, case, actual, _said(case, cause, rng))


# --- the vehicle that shakes ------------------------------------------------------------------------------


def _actual(case: Case, cause: Cause, rng: Generator) -> Case:
    """The vehicle that shakes: its numbers drawn, its wheel or frame at fault."""
    numbers = case.numbers
    scores = {path: float(score) for path in numbers.uncertain() if abs(score := rng.normal()) < 3}
    wheels = (_wheel_at_fault(rng),) if cause is Cause.WHEEL else ()
    if cause is Cause.FRAME:
        sound = numbers.known("frame.bending_stiffness")
        weak = Known(sound.value * float(rng.uniform(*CRACKED)), 0.0, "assumed")
        numbers = numbers.with_given({"frame.bending_stiffness": weak})
    roads = replace(case.roads, wheel_faults=wheels)
    return replace(case, numbers=numbers.with_scores(scores), roads=roads)


def _wheel_at_fault(rng: Generator) -> WheelFault:
    order = 1 if rng.uniform() < 0.7 else 2
    healthy = healthy_run_out(order)
    return WheelFault(str(rng.choice(["front", "rear"])), order, (healthy * rng.uniform(*AT_FAULT), healthy))


def _felt(actual: Case, cause: Cause, rng: Generator) -> tuple[float, float]:
    """The speeds complained of [m/s]."""
    drawn = {Cause.SHIMMY: SHIMMY, Cause.SIDEWAYS: ANY_SPEED, Cause.DRIVELINE: SHAFT}.get(cause)
    anywhere = rng.uniform() < 0.5  # a loose part speaks up anywhere, or makes a mode louder
    if drawn is None and not (cause is Cause.LOOSE and anywhere):
        return _rounded(*_loudest(actual))
    middle, half = rng.uniform(*(drawn or ANY_SPEED)), rng.uniform(*HALF_WIDTH)
    return _rounded(middle * (1 - half), middle * (1 + half))


def _loudest(actual: Case) -> tuple[float, float]:
    """The speeds around the largest level that are nearly as bad [m/s]."""
    vehicle, speeds = settled(actual.plan, actual.numbers), np.linspace(*actual.speeds, POINTS)
    causes = inputs(actual.roads, vehicle, actual.speeds[0])
    level = sweep(dynamics(vehicle), causes, speeds, vehicle.watched).total().max(axis=-1)
    quiet = np.flatnonzero(level < HALF_POWER * level.max())
    top = int(level.argmax())
    first = max((i for i in quiet if i < top), default=0)
    last = min((i for i in quiet if i > top), default=POINTS - 1)
    return float(speeds[first]), float(speeds[last])


def _rounded(low: float, high: float) -> tuple[float, float]:
    """Speeds [m/s] as a person reads them off: whole km/h, at least 4 km/h wide."""
    slow, fast = round(low * 3.6), round(high * 3.6)
    if fast - slow < 4:
        slow, fast = slow - 1, slow + 3
    return slow / 3.6, fast / 3.6


# --- what a person says of it -----------------------------------------------------------------------------


def _said(case: Case, cause: Cause, rng: Generator) -> Mapping[Care, Case]:
    bad, direction = _bad(cause, rng), _direction(cause, rng)
    felt = direction if rng.uniform() >= MISFELT else "vertical"
    does = {change: _one_of(results, rng) for change, results in {**STEADY, **DOES[cause]}.items()}
    usual = {name: "bad" if name == bad and rng.uniform() >= MISSED else "good" for name in CHECKS}
    usual = {name: answer for name, answer in usual.items() if rng.uniform() < LOOKED}
    tried = tuple(o for change, result in does.items() for o in _tried(change, result, rng))
    careful = {name: "bad" if name == bad else "good" for name in CHECKS}
    honest = tuple(Observation(change, result) for change, result in does.items())
    feeds = cause is Cause.SHIMMY
    return {
        Care.NOTHING: _with(case, felt),
        Care.USUAL: _with(case, felt, usual, tried, feeds and rng.uniform() >= MISSED),
        Care.CAREFUL: _with(case, direction, careful, honest, feeds),
    }


def _with(
    case: Case,
    direction: str,
    checks: Mapping[str, str] = MappingProxyType({}),
    seen: tuple[Observation, ...] = (),
    bump: bool = False,
) -> Case:
    assert case.complaint is not None
    complaint = replace(case.complaint, direction=direction, starts_after_bump=bump, feeds_itself=bump)
    return replace(case, complaint=complaint, checks=checks, observations=seen)


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


def _tried(change: Change, result: Result, rng: Generator) -> list[Observation]:
    """An observation as people make it: not at all, not sure, wrong, or right."""
    drawn, other = rng.uniform(), _one_of([r for r in get_args(Result) if r != result], rng)
    if rng.uniform() >= TRIED or drawn < WRONG:
        return []
    return [Observation(change, other if drawn < 2 * WRONG else result)]


def _one_of(results: Sequence[Result], rng: Generator) -> Result:
    return results[int(rng.integers(len(results)))]
