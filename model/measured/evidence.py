"""What shakes, where, at what speed, how surely: a recording in, evidence out.

Nothing is known here of what a calculation predicts.
"""

from __future__ import annotations

from dataclasses import replace
from math import inf

import numpy as np

from ..numbers import NORMAL_95
from ..ride import Channel, Ride
from .driveline import swing
from .findings import Estimate, Evidence, Finding
from .judged import Scene, judged, span_of
from .lines import lines
from .opposite import opposites
from .recording import Recording
from .rolling import Rolled, sorted_lines
from .rotation import Shaft
from .shakes import modes, turning
from .spectra import Spectra, spectra
from .steady import steady
from .travelled import Slow, along_road, slowed
from .unseen import limits
from .what_next import next_step

PIECE = 4.0  # [s] of the spectra that phases are read off


def evidence(
    recording: Recording,
    circumference: float | None = None,
    axle_ratio: float | None = None,
    shaft: Shaft | None = None,
    shaft_ratio: float | None = None,
) -> Evidence:
    """What a recording says.

    circumference  [m] rolling, from a tyre size or a roll-out; None: estimated where wheels are heard
    axle_ratio     [-] turns of the propshaft per turn of a wheel; None: not known
    shaft          from pulses on the clock of the recording
    shaft_ratio    [-] turns of that shaft per turn of a wheel; None: estimated

    Raises CounterbounceError for a recording without a vertical channel, or one that is too slow.

    >>> t = np.arange(12000) / 100
    >>> speed = 14 + 0.1 * t
    >>> turn = 2 * np.pi * np.cumsum(speed) / 100 / 2.4
    >>> noise = 0.05 * np.random.default_rng(3).standard_normal(len(t))
    >>> samples = np.stack([0.002 * speed**2 * np.cos(turn) + noise, speed])
    >>> ride = Ride("invented", 100.0, 0.0, (Channel("seat", "m/s^2"), Channel("speed", "m/s")), samples)
    >>> from .sensors import Sensor
    >>> found = evidence(Recording(ride, (Sensor("seat", "seat"),), "speed"))
    >>> found.findings[0].kind, round(found.estimates["circumference"].value, 2)
    ('rotating_part', 2.4)
    """
    slow = _with_speed(slowed(recording), recording, shaft, shaft_ratio, circumference)
    scene = _on_one_clock(seen(slow, circumference, axle_ratio), recording)
    findings = [_with_driveline(one, scene, recording, shaft) for one in judged(scene)]
    findings = [_without_phases(one, recording) for one in findings]
    known = bool(slow.speed.any())
    estimates = dict(scene.rolled.estimates) | _shaft_ratio(slow, recording, shaft, scene.rolled)
    told = limits(scene, known)
    if recording.clocks:
        told = (*told, "Points of different devices: no phases between them, for their clocks differ.")
    return Evidence(tuple(findings), estimates, next_step(findings[0], known, slow.fastest), told)


def seen(slow: Slow, circumference: float | None = None, axle_ratio: float | None = None) -> Scene:
    """What a ride on a slow clock holds, before it is judged.

    circumference  [m]; None: estimated
    axle_ratio     [-]; None: not known
    """
    shake, speed = along_road(slow)
    found = lines(shake, speed, slow.highest)
    rolled = sorted_lines(found, circumference, axle_ratio)
    spectrum = steady(slow, [line.per_metre for line in found])
    turned = turning(slow, shake, speed, rolled.lines)
    return Scene(
        slow, rolled, turned, modes(slow, spectrum, turned), opposites(slow, turned), _spectra(slow),
        span_of(slow), axle_ratio,
    )  # fmt: skip


def _spectra(slow: Slow) -> Spectra | None:
    if slow.shake.shape[1] < 2 * PIECE * slow.rate:
        return None
    channels = tuple(Channel(name, "m/s^2") for name in slow.names)
    return spectra(Ride("slow", slow.rate, 0.0, channels, slow.shake), PIECE)


def _with_speed(
    slow: Slow, recording: Recording, shaft: Shaft | None, ratio: float | None, circumference: float | None
) -> Slow:
    """The speed from a shaft whose ratio is known, where none was recorded."""
    if recording.speed or not (shaft and ratio and circumference):
        return slow
    time = recording.ride.start + np.arange(slow.shake.shape[1]) / slow.rate
    speed = np.interp(time, shaft.time, shaft.speed, left=0.0, right=0.0) / ratio * circumference
    travelled = np.concatenate([[0.0], np.cumsum((speed[1:] + speed[:-1]) / 2) / slow.rate])
    return replace(slow, speed=speed, travelled=travelled)


def _with_driveline(one: Finding, scene: Scene, recording: Recording, shaft: Shaft | None) -> Finding:
    if one.frequency_hz is None or one.kind == "nothing":
        return one
    names = scene.slow.names
    row = names.index(one.where) if one.where in names else scene.slow.sprung[0]
    found = swing(scene.slow, recording.ride.start, shaft, row, one.frequency_hz)
    if found.said == "unknown":
        return one
    more = {"coherence": found.coherence, "significance": found.significance, "shaft_swing": found.swing}
    return replace(one, driveline=found.said, numbers={**one.numbers, **more})


def _on_one_clock(scene: Scene, recording: Recording) -> Scene:
    """The scene without left against right of two devices: nobody knows what moved when."""
    devices: dict[str, set[int]] = {}
    for sensor, clock in zip(recording.sensors, recording.clocks, strict=False):
        devices.setdefault(sensor.point, set()).add(clock)
    kept = [one for one in scene.opposites if one.sideways or len(devices.get(one.point, ())) < 2]
    return replace(scene, opposites=tuple(kept))


def _without_phases(one: Finding, recording: Recording) -> Finding:
    """A finding without the phases of points on another clock than the one it leads."""
    if not (recording.clocks and one.points):
        return one
    clocks = {s.name: clock for s, clock in zip(recording.sensors, recording.clocks, strict=True)}
    leads = max(one.points, key=lambda name: one.points[name].followed)
    points = {
        name: point if clocks[name] == clocks[leads] else replace(point, error=inf)
        for name, point in one.points.items()
    }
    return replace(one, points=points)


def _shaft_ratio(
    slow: Slow, recording: Recording, shaft: Shaft | None, rolled: Rolled
) -> dict[str, Estimate]:
    """Turns of a shaft per turn of a wheel, from its pulses and the road speed.

    Of crank pulses this is the gear's times the axle's ratio; of a propshaft the axle's alone.
    """
    around = rolled.estimates.get("circumference")
    if shaft is None or around is None or not slow.moving.any():
        return {}
    time = recording.ride.start + np.arange(len(slow.speed)) / slow.rate
    use = slow.moving & (time > shaft.time[0]) & (time < shaft.time[-1])
    if use.sum() < slow.rate:
        return {}
    ratios = np.interp(time[use], shaft.time, shaft.speed) / slow.speed[use] * around.value
    middle = float(np.median(ratios))
    settled = ratios[np.abs(ratios / middle - 1) < 0.05]  # other gears and slipping clutches aside
    pieces = max(len(settled) / slow.rate / 5, 1.0)
    scatter = float(settled.std() / middle / np.sqrt(pieces)) if len(settled) else 0.05
    wide = NORMAL_95 * float(np.hypot(scatter, (around.high - around.low) / 2 / NORMAL_95 / around.value))
    said = "pulses against road speed: gear times axle ratio for a crank, axle ratio for a propshaft"
    return {"shaft ratio": Estimate(middle, middle * (1 - wide), middle * (1 + wide), "", said)}
