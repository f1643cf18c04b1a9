"""Simulated complaints: an invented vehicle, what is really the matter with it, and what a person would say.

The vehicle that shakes is not the one that its case describes: each number that nobody knows exactly is drawn
from its spread.  Where the cause feeds or weakens a mode, the speeds complained of are those at which that
very vehicle shakes most; elsewhere they are drawn.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from ..model.case import Case, Complaint, parse
from ..model.estimates import healthy_run_out
from ..model.numbers import Known
from ..model.observations import COUNTED
from ..model.response import dynamics, sweep
from ..model.road import inputs
from ..model.settle import settled
from ..model.wheels import WheelFault
from .invented import invented
from .reasons import percent
from .witness import LOOKED, MISFELT, MISSED, TRIED, WRONG, Care, Cause, said

Floats = NDArray[np.float64]

AT_FAULT = (4.0, 10.0)  # run-out of a wheel at fault over a healthy one's [-]
CRACKED = (0.3, 0.7)  # bending stiffness of a cracked frame over a sound one's [-]
SHIMMY, ANY_SPEED, SHAFT = (17.9, 26.8), (12.0, 31.0), (18.0, 31.0)  # [m/s] middle of the complaint
HALF_WIDTH = (0.03, 0.10)  # of a complaint's speeds, where they are drawn [-]
HALF_POWER = 0.71  # of the largest level: a person still complains of it [-]
RATIO = (3.0, 5.0)  # turns of a propshaft to one of the wheels [-]
ANY_RATE = (3.0, 30.0)  # shakes in a second [Hz]: something loose
POINTS = 181

RATES: Mapping[Cause, tuple[float, float]] = MappingProxyType(
    {Cause.SHIMMY: (5.0, 12.0), Cause.SIDEWAYS: (1.5, 15.0)}
)
"""Shakes in a second [Hz]: steering that feeds itself, and torsion, roll or tramp; ranges from memory."""

ASSUMPTIONS = (
    "Vehicles of four sizes, from pickup to medium truck, of which door, tyres, scale and tape were read; of "
    "half of them the frame's stiffness is known to 10 %, of another quarter its rails were measured.",
    "The vehicle that shakes is another than its case describes: each number is drawn from its spread.",
    f"A wheel at fault has {AT_FAULT[0]:.0f} to {AT_FAULT[1]:.0f} times a healthy run-out, at any axle, in "
    f"order 1 or 2; a cracked frame {percent(CRACKED[0])} to {percent(CRACKED[1])} of its stiffness.",
    "Wheels, cracks and half of the loose parts are felt where that very vehicle then shakes most; shimmy at "
    "40 to 60 mph on a solid axle, the driveline above 65 km/h, all else at any speed.",
    f"As people do: {percent(LOOKED)} of the walk round is answered, and {percent(MISSED)} of what is bad "
    f"called good; {percent(TRIED)} of seven things are tried, {percent(WRONG)} of the results are wrong and "
    f"as many not known; {percent(MISFELT)} of directions other than vertical are felt as vertical.",
    "Then all that was asked for: the rest of the walk round, known-good wheels, and a phone that says how "
    f"fast it shakes to {percent(COUNTED)}, all with as many mistakes; a wrong line is that of the wheels.",
    "All looked at: the whole walk round and all seven, without a mistake.",
    f"A propshaft at fault turns {RATIO[0]:.0f} to {RATIO[1]:.0f} times as fast as the wheels.",
    "All causes are equally frequent, which they are not on the road. Common practice, no source.",
)
"""What the simulation takes for granted, for whoever reads its result."""


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
    band, rate = _felt(actual, cause, rng)
    felt = Complaint(band, "driver's floor", "vertical", None, "", False, False)
    case = replace(described, complaint=felt)
    actual = replace(actual, complaint=felt)
    return Simulated(cause, case, actual, said(case, cause, rate, rng))


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


def _felt(actual: Case, cause: Cause, rng: Generator) -> tuple[tuple[float, float], float]:
    """The speeds complained of [m/s], and how many shakes there are in a second then [Hz]."""
    drawn = {Cause.SHIMMY: SHIMMY, Cause.SIDEWAYS: ANY_SPEED, Cause.DRIVELINE: SHAFT}.get(cause)
    anywhere = rng.uniform() < 0.5  # a loose part speaks up anywhere, or makes a mode louder
    if drawn is None and not (cause is Cause.LOOSE and anywhere):
        return _loudest(actual)
    middle, half = rng.uniform(*(drawn or ANY_SPEED)), rng.uniform(*HALF_WIDTH)
    band = _rounded(middle * (1 - half), middle * (1 + half))
    if cause is Cause.DRIVELINE:
        turns = [
            actual.numbers[f"axle.{axle.name}.circumference"] for axle in actual.plan.axles if axle.driven
        ]
        return band, float(rng.uniform(*RATIO) * middle / turns[0])
    return band, float(np.exp(rng.uniform(*np.log(RATES.get(cause, ANY_RATE)))))


def _loudest(actual: Case) -> tuple[tuple[float, float], float]:
    """The speeds around the largest level that are nearly as bad [m/s], and how fast it shakes there [Hz]."""
    vehicle, speeds = settled(actual.plan, actual.numbers), np.linspace(*actual.speeds, POINTS)
    causes = inputs(actual.roads, vehicle, actual.speeds[0])
    found = sweep(dynamics(vehicle), causes, speeds, vehicle.watched)
    level = found.total().max(axis=-1)
    quiet = np.flatnonzero(level < HALF_POWER * level.max())
    top = int(level.argmax())
    first = max((i for i in quiet if i < top), default=0)
    last = min((i for i in quiet if i > top), default=POINTS - 1)
    strongest = found.inputs[int(found.typical[:, top].max(axis=-1).argmax())]
    return _rounded(float(speeds[first]), float(speeds[last])), float(strongest.per_metre * speeds[top])


def _rounded(low: float, high: float) -> tuple[float, float]:
    """Speeds [m/s] as a person reads them off: whole km/h, at least 4 km/h wide."""
    slow, fast = round(low * 3.6), round(high * 3.6)
    if fast - slow < 4:
        slow, fast = slow - 1, slow + 3
    return slow / 3.6, fast / 3.6
