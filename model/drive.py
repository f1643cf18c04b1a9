"""The linear vehicle over a road, in time: heights under its axles in, a ride out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from .exact_step import history
from .matrices import matrices
from .points import Point, Row, at, dense
from .ride import Channel, Ride
from .road import GONE, HIGHEST
from .state_space import UNITS, Motion, Signal, StateSpace, to_state_space
from .vehicle import Axle, Vehicle

Floats = NDArray[np.float64]

FEWEST = 8  # samples per period of the highest frequency that is followed
STROKE = "damper stroke"
MOTIONS: tuple[Motion, ...] = ("acceleration", "velocity", "displacement")


@dataclass(frozen=True)
class Reading:
    """One channel of a ride: a sum over what the coordinates and the roads do [each per its own unit].

    acceleration, velocity, displacement  what counts of each; a road has no acceleration
    """

    channel: Channel
    acceleration: Row = field(default_factory=Row)
    velocity: Row = field(default_factory=Row)
    displacement: Row = field(default_factory=Row)


def readings(
    vehicle: Vehicle, points: Sequence[str] | None = None, motion: Motion = "acceleration"
) -> tuple[Reading, ...]:
    """What is read off a drive: motion of points, travel and tyre load of each axle, and a damper's stroke.

    Suspension travel is positive where the spring gets longer, tyre load variation where the tyre presses
    harder than at rest.  The stroke is there where a damper hangs, positive upward against its place.

    points  names; None: the watched ones
    motion  acceleration, velocity or displacement of the points

    Raises KeyError for a point that is not there, ValueError for another motion.

    >>> from .example import small_truck
    >>> [str(one.channel) for one in readings(small_truck(), ["rear end"])[:3]]
    ['rear end [m/s^2]', 'front suspension travel [m]', 'rear suspension travel [m]']
    """
    if motion not in MOTIONS:
        raise ValueError(f"{motion!r} is no motion; one of {', '.join(MOTIONS)}")
    names = [p.name for p in vehicle.watched] if points is None else list(dict.fromkeys(points))
    moved = [_of_point(name, vehicle.point(name).row, motion) for name in names]
    travels = [_travel(vehicle, axle) for axle in vehicle.axles]
    loads = [_tyre_load(vehicle, axle) for axle in vehicle.axles]
    return (*moved, *travels, *loads, *_stroke(vehicle))


def _of_point(name: str, row: Row, motion: Motion) -> Reading:
    channel = Channel(name, UNITS[motion])
    if motion == "acceleration":
        return Reading(channel, acceleration=row)
    return Reading(channel, velocity=row) if motion == "velocity" else Reading(channel, displacement=row)


def _hub(vehicle: Vehicle, axle: Axle) -> Row:
    """What stands on the tyres: the axle, or the frame above an axle without mass."""
    own = f"axle.{axle.name}"
    return at(own) if own in vehicle.coordinates else vehicle.frame.row(axle.station)


def _travel(vehicle: Vehicle, axle: Axle) -> Reading:
    own = f"axle.{axle.name}"
    below = at(own if own in vehicle.coordinates else axle.road)
    stretch = vehicle.frame.row(axle.station) - below
    return Reading(Channel(f"{axle.name} suspension travel", "m"), displacement=stretch)


def _tyre_load(vehicle: Vehicle, axle: Axle) -> Reading:
    squeeze = at(axle.road) - _hub(vehicle, axle)
    channel = Channel(f"{axle.name} tyre load variation", "N")
    return Reading(channel, Row(), axle.tyre_damping * squeeze, axle.tyre_rate * squeeze)


def _stroke(vehicle: Vehicle) -> list[Reading]:
    """The stretch of the spring that a tuned mass damper hangs on, where there is one."""
    springs = [p for p in vehicle.parts if p.kind == "spring" and p.name == "damper"]
    return [Reading(Channel(STROKE, "m"), displacement=p.row) for p in springs[:1]]


# --- the drive --------------------------------------------------------------------------------------------


def drive(
    vehicle: Vehicle,
    heights: Floats,
    rate: float,
    points: Sequence[str] | None = None,
    forces: Floats | None = None,
    motion: Motion = "acceleration",
    start: float = 0.0,
    labels: Mapping[str, str] | None = None,
) -> Ride:
    """The ride of the linear vehicle, exact for heights that are straight between samples.

    It begins at rest, in balance on the first heights.  Where a damper of the tyres passes the rate of a road
    straight on, the rate at a sample is the mean of those before and behind it.

    heights  [m] of the road and the wheels under the axles, (axles, samples)
    rate     [Hz] samples a second, at least 8 a period of 25 Hz: below, a sine between samples is no sine
    points   names of the points to watch; None: the watched ones
    forces   [N] upward on the hubs, (axles, samples); None: none
    motion   acceleration, velocity or displacement of the points
    start    [s] time of the first sample
    labels   what is to be known of the ride

    Raises ValueError for heights or forces of another shape, and for a rate that is too low; KeyError for a
    point that is not there.

    >>> from .example import small_truck
    >>> kerb = np.where(np.arange(2000) < 10, 0.0, 0.05) * np.ones((2, 1))
    >>> ride = drive(small_truck(), kerb, 500.0, motion="displacement")
    >>> round(float(ride.channel("rear end")[-1]), 2), round(ride.duration)
    (0.05, 4)
    """
    refuse(vehicle, heights, forces, rate)
    read = readings(vehicle, points, motion)
    hubs = [] if forces is None else [f"hub.{axle.name}" for axle in vehicle.axles]
    space = to_state_space(with_hubs(vehicle), [*vehicle.roads, *hubs], [])
    seen, by_rate = with_outputs(space, vehicle, read)
    asked = heights if forces is None else np.vstack([heights, forces])
    samples = history(seen, asked, rate, _at_rest(vehicle, space, heights))
    if by_rate.any() and heights.shape[1] > 1:
        samples += by_rate @ np.gradient(heights, 1 / rate, axis=1)
    said = {"samples": _between(rate), **(labels or {})}
    return Ride("drive", rate, start, tuple(one.channel for one in read), samples, said)


def refuse(vehicle: Vehicle, heights: Floats, forces: Floats | None, rate: float) -> None:
    """Raises ValueError for what `drive` refuses.

    heights  [m] under the axles, (axles, samples)
    forces   [N] on the hubs, (axles, samples); None: none
    rate     [Hz] samples a second

    >>> from .example import small_truck
    >>> refuse(small_truck(), np.zeros((2, 10)), None, 100.0)
    Traceback (most recent call last):
    ValueError: rate must be at least 200 Hz, 8 samples a period of 25 Hz; got 100 Hz
    """
    for name, given in (("heights", heights), ("forces", heights if forces is None else forces)):
        if np.shape(given) != (len(vehicle.roads), np.shape(heights)[-1]):
            raise ValueError(f"{name} of shape {np.shape(given)}, wanted ({len(vehicle.roads)}, samples)")
    if not FEWEST * HIGHEST <= rate < np.inf:
        raise ValueError(
            f"rate must be at least {FEWEST * HIGHEST:g} Hz, {FEWEST} samples a period of {HIGHEST:g} Hz; "
            f"got {rate:g} Hz"
        )


def with_hubs(vehicle: Vehicle) -> Vehicle:
    """The vehicle with a point "hub.<axle>" on the hub of each axle, where a force pushes.

    >>> from .example import small_truck
    >>> with_hubs(small_truck()).points["hub.rear"].row
    {'axle.rear': 1.0}
    """
    hubs = [Point(f"hub.{axle.name}", axle.station, _hub(vehicle, axle)) for axle in vehicle.axles]
    return replace(vehicle, points={**vehicle.points, **{hub.name: hub for hub in hubs}})


def _between(rate: float) -> str:
    """What a road that is straight between samples makes of the highest frequency that is followed."""
    kept = float(np.sinc(HIGHEST / rate)) ** 2
    return f"the road is straight between samples, which leaves {100 * kept:.3g} % of {HIGHEST:g} Hz"


def _at_rest(vehicle: Vehicle, space: StateSpace, heights: Floats) -> Floats:
    """States in balance on the first heights: nothing moves, q' = p + B u = 0."""
    system = matrices(vehicle)
    if not heights.shape[1]:
        return np.zeros(2 * len(system.K))
    roads = heights[:, 0]
    raised = np.linalg.solve(system.K, system.push_0 @ roads)
    return np.concatenate([raised, -space.B[: len(raised), : len(roads)] @ roads])


def with_outputs(space: StateSpace, vehicle: Vehicle, read: Sequence[Reading]) -> tuple[StateSpace, Floats]:
    """The system with the readings as outputs, and what the rates of the roads add to them (readings, roads).

    q = x[:n], q' = x[n:] + B[:n] u, q'' = A[n:] x + B[n:] u + B[:n] u', in the units of the channels [SI].

    space  as from `to_state_space` with road heights; its first inputs are all roads of the vehicle

    >>> from .example import small_truck
    >>> truck = small_truck()
    >>> seen, by_rate = with_outputs(to_state_space(truck, truck.roads, []), truck, readings(truck))
    >>> [str(one) for one in seen.outputs[-2:]], by_rate.shape
    (['front tyre load variation [N]', 'rear tyre load variation [N]'], (6, 2))
    """
    n, roads = len(vehicle.coordinates), len(vehicle.roads)
    a, v, d = (
        dense([getattr(one, motion) for one in read], (*vehicle.coordinates, *vehicle.roads)).astype(float)
        for motion in MOTIONS
    )
    c = np.hstack([d[:, :n], v[:, :n]]) + a[:, :n] @ space.A[n:]
    through = v[:, :n] @ space.B[:n] + a[:, :n] @ space.B[n:]
    through[:, :roads] += d[:, n:]
    outputs = tuple(Signal(one.channel.name, one.channel.unit) for one in read)
    by_rate = v[:, n:] + a[:, :n] @ space.B[:n, :roads]
    return replace(space, C=c, D=through, outputs=outputs), by_rate


# --- what is read off it ----------------------------------------------------------------------------------


def run_in_time(vehicle: Vehicle, share: float = 0.01) -> float:
    """How long the vehicle swings on until a start has died down to a share of itself [s].

    share  [-] what is left of the slowest to die

    >>> from .example import small_truck
    >>> round(run_in_time(small_truck()), 1)
    11.1
    """
    space = to_state_space(vehicle, vehicle.roads, [])
    slowest = -np.linalg.eigvals(space.A).real.max()
    if slowest <= 0:
        return np.inf
    return float(np.log(1 / share) / slowest)


def followed(samples: Floats, rate: float) -> Floats:
    """Samples without what lies above the highest frequency that is followed [their unit], of their shape.

    As along speed, what lies above 25 Hz counts for less and less, above 30 Hz for nothing: there the model
    has no more to say.  Nothing is delayed; at its ends a history goes on as its own mirror image.

    samples  (..., n) [any unit]
    rate     [Hz] samples a second

    >>> t = np.arange(1000) / 500.0
    >>> both = np.cos(2 * np.pi * 10 * t) + np.cos(2 * np.pi * 40 * t)
    >>> float(np.abs(followed(both, 500.0) - np.cos(2 * np.pi * 10 * t))[100:-100].max()) < 2e-3
    True
    """
    count = samples.shape[-1]
    mirrored = np.concatenate([samples, samples[..., ::-1]], axis=-1)
    frequency = np.fft.rfftfreq(2 * count, 1 / rate)
    over = np.clip((frequency - HIGHEST) / (GONE - HIGHEST), 0.0, 1.0)
    kept = (1 - over) ** 2 * (1 + 2 * over)
    return np.asarray(np.fft.irfft(np.fft.rfft(mirrored) * kept, 2 * count)[..., :count])
