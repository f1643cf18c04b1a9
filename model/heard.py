"""What was read off recordings, as data: resonances of a drive, and what rang after a release."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from math import log, sqrt

import numpy as np

from .datum import USUAL_ERROR, Condition, Datum
from .measured.decay import Decay, ring_down
from .measured.findings import Estimate, Evidence, Finding
from .measured.recording import Recording
from .measured.rolling import AS_GIVEN
from .measured.travelled import is_unsprung
from .vehicle import Vehicle

SURE = 0.7  # [-] a resonance that is told less surely is right less often than it says, and is left out
NEARLY_STILL = 0.02  # of the strongest point: what moves less has no phase to speak of
PHASE_KNOWN = 0.35  # [rad] standard error up to which a phase tells something
FOLLOWS = 0.5  # coherence from which a point takes part in a shake
FEWEST_POINTS = 2
DRIVEN_OFF = 0.05  # of a ring-down's power: a weaker mode is left out
SLOWEST = 3.0  # [Hz] in a ring-down: below it, a body on its springs, which a snap does not tell
ALIKE = 0.01  # [-] two rolling circumferences that a recording cannot tell apart


def from_ride(found: Evidence, vehicle: Vehicle, name: str) -> tuple[Datum, ...]:
    """What a drive tells of a vehicle: its resonances, and how far its wheels roll in a turn.

    name  of the recording
    """
    told = from_evidence(found, vehicle.points, name)
    return (*told, *(rolled(one, axle) for one, axle in _wheels(found, vehicle)))


def _wheels(found: Evidence, vehicle: Vehicle) -> Iterator[tuple[Estimate, str]]:
    """The circumference that was heard, for the axles that it may be of; what was only given is not told."""
    heard = found.estimates.get("circumference")
    known = {axle.name: float(axle.circumference) for axle in vehicle.axles if axle.circumference}
    if heard is None or heard.how == AS_GIVEN or not known:
        return
    nearest = min(known.values(), key=lambda around: abs(log(around / heard.value)))
    yield from ((heard, name) for name, around in known.items() if abs(log(around / nearest)) < ALIKE)


def from_evidence(found: Evidence, points: Collection[str], name: str) -> tuple[Datum, ...]:
    """Frequency, damping and shape of each resonance that is sure enough.

    points  of the vehicle: what was recorded elsewhere is left out
    name    of the recording

    >>> from .measured.findings import NextStep
    >>> shake = Finding("resonance", "wheels", 0.9, frequency_hz=8.7, interval=(8.6, 8.8))
    >>> [str(one) for one in from_evidence(Evidence((shake,), {}, NextStep("", "", "", "")), (), "ride")]
    ['natural frequency of ride, shake 1']
    """
    rings = [one for one in found.findings if one.kind == "resonance" and one.frequency_hz]
    shakes = [one for one in rings if one.confidence >= SURE and _is_of_vehicle(one, points)]
    each = [_of_finding(one, points, f"{name}, shake {n}") for n, one in enumerate(shakes, 1)]
    return tuple(replace(datum, recording=name) for told in each for datum in told)


def _is_of_vehicle(one: Finding, points: Collection[str]) -> bool:
    """Whether a shake may be the vehicle's: not where a point that the vehicle does not have, a mirror or a
    bracket, shakes by itself."""
    if one.where is None or one.where in points or is_unsprung(one.where):
        return True
    followed = [motion.followed for name, motion in one.points.items() if name in points]
    return not one.points or max(followed, default=0.0) > FOLLOWS


def _of_finding(one: Finding, points: Collection[str], shake: str) -> Iterator[Datum]:
    assert one.frequency_hz is not None
    if one.interval:
        half = (one.interval[1] - one.interval[0]) / 2
        yield Datum("natural frequency", one.frequency_hz, half, shake=shake, source=one.cause)
    if one.damping_ratio and one.damping_interval and one.damping_interval[0] > 0:
        yield _damping(one.damping_ratio, one.damping_interval, shake, "rolling")
    moves = {  # what sits on an axle is moved by the road and the wheels, not by the mode alone
        name: sqrt(motion.followed) * motion.level * complex(np.exp(1j * motion.phase))
        for name, motion in one.points.items()
        if name in points and not is_unsprung(name) and motion.error <= PHASE_KNOWN
    }
    yield from _shape(moves, shake, "rolling")


def _damping(best: float, interval: tuple[float, float], shake: str, condition: Condition) -> Datum:
    half = best * (sqrt(interval[1] / interval[0]) - 1) if interval[0] > 0 else best
    return Datum("damping ratio", best, half, shake=shake, condition=condition)


def _shape(moves: Mapping[str, complex], shake: str, condition: Condition) -> Iterator[Datum]:
    most = max((abs(one) for one in moves.values()), default=0.0)
    clear = {point: one for point, one in moves.items() if abs(one) >= NEARLY_STILL * most}
    if len(clear) >= FEWEST_POINTS:
        error = USUAL_ERROR["shape"]
        yield Datum("shape", 1.0, error, shake=shake, shape=clear, condition=condition)


def rolled(estimate: Estimate, axle: str) -> Datum:
    """A rolling circumference that a recording tells, of an axle's wheels.

    >>> rolled(Estimate(2.41, 2.36, 2.46, "m", "wheel order 1"), "rear").half.__round__(3)
    0.05
    """
    half = estimate.value * log(estimate.high / estimate.low) / 2
    return Datum("rolling circumference", estimate.value, half, axle=axle, source=estimate.how)


def from_ring_down(recording: Recording, points: Collection[str], name: str) -> tuple[Datum, ...]:
    """Frequency, damping and shape of what rings from the largest instant of a recording on, at standstill.

    points  of the vehicle: what was recorded elsewhere is left out
    name    of the recording

    Raises CounterbounceError for a recording that is too short.
    """
    rows = [i for i, one in enumerate(recording.ride.channels) if one.name in points]
    if not rows:
        return ()
    shake = np.asarray(recording.ride.samples)[rows]
    shake = shake - shake.mean(axis=1)[:, None]
    released = int(np.argmax((shake**2).sum(axis=0)))
    modes = ring_down(shake[:, released:], recording.ride.rate, low=SLOWEST)
    names = [recording.ride.channels[i].name for i in rows]
    strong = [one for one in modes if one.share >= DRIVEN_OFF]
    each = [_of_decay(one, names, f"{name}, mode {n}") for n, one in enumerate(strong, 1)]
    return tuple(replace(datum, recording=name) for told in each for datum in told)


def _of_decay(one: Decay, names: list[str], shake: str) -> Iterator[Datum]:
    half = (one.frequency_interval[1] - one.frequency_interval[0]) / 2
    yield Datum(
        "natural frequency", one.frequency, half, shake=shake, condition="standstill", source="ring-down"
    )
    yield _damping(one.damping, one.damping_interval, shake, "standstill")
    yield from _shape(dict(zip(names, one.amplitude.tolist(), strict=True)), shake, "standstill")
