"""A drive of a case, with and without a damper, and what is read off it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from importlib.metadata import version
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ..model.case import Case
from ..model.comfort import Weighting
from ..model.comfort_filters import weighted
from ..model.drive import drive, followed, run_in_time
from ..model.faults import CounterbounceError, Fault
from ..model.laws import damper_laws, ground_loads, laws
from ..model.profile import Profile
from ..model.ride import Channel, Ride
from ..model.rough_drive import rough_drive
from ..model.settle import settled
from ..model.travel import Travel, Turning, road_in_time, travel, wheels_in_time
from ..model.vehicle import Vehicle
from ..sizing.absorber import Damper, with_damper
from .drive_road import road_asked

Floats = NDArray[np.float64]
Wheels = Literal["drawn", "in-phase", "true"]

WITH = ", with the damper"
LONGEST_RUN_IN = 20.0  # [s]
MOST_SAMPLES = 4_000_000


@dataclass(frozen=True)
class Asked:
    """What a drive is asked to be.

    speed, to  [m/s] at the start and at the end; between them it changes evenly
    seconds    [s]
    rate       [Hz]
    road       as `road_asked` reads it
    wheels     drawn (their phases, by the seed), in-phase (at the start) or true
    seed       of the road and of the phases
    """

    speed: float
    to: float
    seconds: float
    rate: float
    road: str
    wheels: Wheels
    seed: int


@dataclass(frozen=True)
class Level:
    """What one channel amounts to, up to 25 Hz, weighted as its point says.

    weighting  none, Wk, Wd or Wc
    rms, peak  [the channel's unit] without a damper
    rms_with, peak_with  [the channel's unit] with it; None: there is none, or there is no without
    """

    channel: Channel
    weighting: Weighting
    rms: float | None
    peak: float | None
    rms_with: float | None
    peak_with: float | None


@dataclass(frozen=True)
class Driven:
    """A drive, without and with a damper.

    ride    channels of the vehicle as it is, then with the damper
    shown   the same as far as it is followed and as it is felt, for the eye and for the table
    levels  what each channel amounts to
    """

    case: Case
    asked: Asked
    vehicle: Vehicle
    damper: Damper | None
    road: str
    ride: Ride
    shown: Ride
    levels: tuple[Level, ...]


def driven(case: Case, asked: Asked, damper: Damper | None) -> Driven:
    """Drive the vehicle of a case, and once more with a damper where there is one.

    Raises CounterbounceError for a road that is not there or too short, and for too many samples.

    >>> from ..model.example import small_case
    >>> one = driven(small_case(), Asked(7.2, 7.2, 2.0, 500.0, "smooth", "in-phase", 1), None)
    >>> [str(level.channel) for level in one.levels][:3]
    ['front end [m/s^2]', 'rear end [m/s^2]', 'front suspension travel [m]']
    """
    vehicle = settled(case.plan, case.numbers)
    run_in = min(run_in_time(vehicle), LONGEST_RUN_IN)
    if (asked.seconds + run_in) * asked.rate > MOST_SAMPLES:
        most = f"wanted fewer than {MOST_SAMPLES:,} samples: a shorter drive or a lower rate"
        raise CounterbounceError([Fault("", None, "--seconds", f"{asked.seconds:g}", most)])
    speed = asked.speed if asked.to == asked.speed else ([0.0, asked.seconds], [asked.speed, asked.to])
    way = travel(speed, asked.seconds, asked.rate, run_in)
    road = road_asked(asked.road, case, _reach(vehicle, way), asked.seed)
    labels = _labels(case, asked, road)
    under = what_comes(case, vehicle, way, road, asked)
    bare = ride_over(case, vehicle, under, way, labels)
    hung = ride_over(case, with_damper(vehicle, damper), under, way, labels) if damper else None
    felt, felt_with = _shown(bare, vehicle), hung and _shown(hung, vehicle)
    return Driven(
        case,
        asked,
        vehicle,
        damper,
        labels["road"],
        side_by_side(bare, hung).since(0.0),
        side_by_side(felt, felt_with).since(0.0),
        _levels(felt.since(0.0), felt_with and felt_with.since(0.0), vehicle),
    )


def what_comes(case: Case, vehicle: Vehicle, way: Travel, road: Profile | None, asked: Asked) -> Turning:
    """Heights under the axles, of the road and of the wheels, and forces on the hubs."""
    none = np.zeros((len(vehicle.axles), len(way.distance)))
    heights = none if road is None else road_in_time(vehicle, road, way)
    if asked.wheels == "true":
        return Turning(heights, none)
    turning = wheels_in_time(vehicle, case.roads, way, asked.seed if asked.wheels == "drawn" else None)
    return Turning(heights + turning.heights, turning.forces)


def ride_over(case: Case, vehicle: Vehicle, under: Turning, way: Travel, labels: Mapping[str, str]) -> Ride:
    """The ride of one vehicle over what comes: linear, or with the laws that the case asks for.

    Those of a hung damper join them: what its guides hold, and the end of its stroke.
    """
    points, hold = [p.name for p in vehicle.watched], laws(case.plan, case.numbers, vehicle)
    hung = any(p.kind == "spring" and p.name == "damper" for p in vehicle.parts)
    if hung and (hold or case.limits.friction):
        hold = (*hold, *damper_laws(vehicle, case.limits.friction, case.limits.stroke))
    if not hold:
        ride = drive(vehicle, under.heights, way.rate, points, under.forces, start=way.start, labels=labels)
        return replace(ride, name=case.name)
    said = {**labels, "laws": ", ".join(law.name for law in hold)}
    try:
        ride = rough_drive(
            vehicle, hold, under.heights, way.rate, points, under.forces, start=way.start, labels=said
        )
    except ValueError as error:
        wanted = f"{error}: drive slower, over a smoother road, for fewer --seconds, or at a higher --rate"
        raise CounterbounceError([Fault("", None, "laws", ", ".join(case.plan.laws), wanted)]) from None
    return replace(ride, name=case.name)


def _reach(vehicle: Vehicle, way: Travel) -> tuple[float, float]:
    """From where to where there must be road [m]: from under the last axle to in front of the first one."""
    wheelbase = vehicle.axles[-1].station - vehicle.axles[0].station
    return float(way.distance[0]) - wheelbase - 1.0, float(way.distance[-1]) + 1.0


def _labels(case: Case, asked: Asked, road: Profile | None) -> dict[str, str]:
    speeds = dict.fromkeys((asked.speed, asked.to))
    wheels = {"drawn": "phases drawn by the seed", "in-phase": "in phase at the start", "true": "true"}
    return {
        "case": case.name,
        "case sha256": case.sha256,
        "counterbounce": version("counterbounce"),
        "speed": " to ".join(case.display.show(one, "speed", 4) for one in speeds),
        "road": "smooth" if road is None else road.source,
        "wheels": wheels[asked.wheels],
        "seed": str(asked.seed),
    }


def side_by_side(bare: Ride, hung: Ride | None) -> Ride:
    """One ride of both: the channels of the vehicle as it is, then those with the damper, named so."""
    if hung is None:
        return bare
    renamed = tuple(replace(one, name=f"{one.name}{WITH}") for one in hung.channels)
    samples = np.vstack([bare.samples[:], hung.samples[:]])
    labels = {**bare.labels, **hung.labels}
    return replace(bare, channels=(*bare.channels, *renamed), samples=samples, labels=labels)


def _shown(ride: Ride, vehicle: Vehicle) -> Ride:
    """The ride up to the highest frequency that is followed, and points as a person feels them."""
    samples = np.array(ride.samples[:])
    for i, channel in enumerate(ride.channels):
        kind = _weighting(channel, vehicle)
        if kind != "none":
            samples[i] = weighted(samples[i], ride.rate, kind)
    return replace(ride, samples=followed(samples, ride.rate))


def _weighting(channel: Channel, vehicle: Vehicle) -> Weighting:
    point = vehicle.points.get(channel.name)
    return "none" if point is None else point.weighting


def _levels(bare: Ride, hung: Ride | None, vehicle: Vehicle) -> tuple[Level, ...]:
    channels = dict.fromkeys((*bare.channels, *(hung.channels if hung else ())))
    return tuple(
        Level(one, _weighting(one, vehicle), *_rms_and_peak(bare, one), *_rms_and_peak(hung, one))
        for one in channels
    )


def _rms_and_peak(ride: Ride | None, channel: Channel) -> tuple[float, float] | tuple[None, None]:
    if ride is None or channel not in ride.channels:
        return None, None
    one = ride.channel(channel.name)
    return float(np.sqrt(np.mean(one**2))), float(np.abs(one).max())


def off_the_ground(found: Driven) -> tuple[str, ...]:
    """The axles whose tyres would leave the ground in a drive that does not know that they can."""
    if "lift-off" in found.case.plan.laws:
        return ()
    loads = ground_loads(found.vehicle)
    least = {name: found.ride.channel(f"{name} tyre load variation").min() for name in loads}
    return tuple(name for name, load in loads.items() if least[name] < -load)
