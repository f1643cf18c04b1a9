"""Road and wheels in time: how far a vehicle has gone, and what comes under its axles on the way.

Everything follows the distance travelled, so that a sweep or a coast-down is as right as a steady speed: each
axle meets the road when it gets there, and each wheel turns by its own rolling circumference.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import cycle

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .profile import Profile
from .road import Roads
from .vehicle import Vehicle
from .wheels import turns_per_metre, uneven

Floats = NDArray[np.float64]
Speed = float | tuple[ArrayLike, ArrayLike]


@dataclass(frozen=True)
class Travel:
    """Where the front axle is, sample by sample.

    rate      [Hz]
    start     [s] time of the first sample
    distance  [m] (samples,), 0 at time 0
    speed     [m/s] (samples,)
    """

    rate: float
    start: float
    distance: Floats
    speed: Floats


def travel(speed: Speed, seconds: float, rate: float, run_in: float = 0.0) -> Travel:
    """The way of a vehicle at one speed or at a varying one, exact for speeds straight between their times.

    speed    [m/s]; or (times [s], speeds [m/s]): straight between them, held before the first and after the
        last
    seconds  how long it lasts [s], from time 0 on
    rate     [Hz] samples a second
    run_in   [s] before time 0

    Raises ValueError for a speed that is nowhere above zero or somewhere below, and for times that do not
    rise.

    >>> slower = travel(([0.0, 10.0], [20.0, 10.0]), 10.0, 100.0, run_in=1.0)     # a coast-down over 150 m
    >>> slower.distance[[0, 100, -1]].round(2).tolist(), slower.speed[-1].round(2).item()
    ([-20.0, 0.0, 149.9], 10.01)
    """
    if not (np.isfinite(seconds) and seconds > 0 and 0 <= run_in < np.inf and 0 < rate < np.inf):
        raise ValueError("seconds and rate must be above zero, run_in zero or above, and all finite")
    times, speeds = _knots(speed)
    before = round(run_in * rate)
    time = (np.arange(before + round(seconds * rate)) - before) / rate
    distance = _distance(time, times, speeds) - _distance(np.zeros(1), times, speeds)
    return Travel(rate, -before / rate, distance, np.interp(time, times, speeds))


def _knots(speed: Speed) -> tuple[Floats, Floats]:
    given = speed if isinstance(speed, tuple) else ([0.0], [speed])
    times, speeds = (np.atleast_1d(np.asarray(one, dtype=float)) for one in given)
    if times.shape != speeds.shape or times.ndim != 1 or not np.all(np.isfinite([times, speeds])):
        raise ValueError("a varying speed is as many finite speeds as times")
    if np.any(np.diff(times) <= 0):
        raise ValueError("the times of a varying speed must rise")
    if np.any(speeds < 0) or not np.any(speeds > 0):
        raise ValueError("speed must be above 0 m/s somewhere, and nowhere below")
    return times, speeds


def _distance(time: Floats, times: Floats, speeds: Floats) -> Floats:
    """Distance from the first of `times` on [m]; backward before it."""
    at_knots = np.concatenate([[0.0], np.cumsum(np.diff(times) * (speeds[1:] + speeds[:-1]) / 2)])
    last = np.maximum(np.searchsorted(times, time, side="right") - 1, 0)
    since = time - times[last]
    return np.asarray(at_knots[last] + since * (speeds[last] + np.interp(time, times, speeds)) / 2)


# --- the road ---------------------------------------------------------------------------------------------


def road_in_time(vehicle: Vehicle, profile: Profile, way: Travel) -> Floats:
    """Height of the road under each axle [m], (axles, samples): delayed, and smoothed by its footprint.

    The front axle is at distance 0 of the profile at time 0.  Before the profile begins the road is level:
    there the vehicle runs in.  Raises ValueError where the way leads beyond the end of the profile.

    >>> from .example import small_truck
    >>> kerb = Profile(1.0, 0.0, np.array([0.0, 0.0, 0.1, 0.1, 0.1, 0.1, 0.1]), "an invented kerb")
    >>> road_in_time(small_truck(), kerb, travel(1.0, 7.0, 1.0)).round(2).tolist()     # 4 m from axle to axle
    [[0.0, 0.0, 0.1, 0.1, 0.1, 0.1, 0.1], [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.1]]
    """
    end, reach = profile.start + profile.length, float(way.distance[-1])
    if reach > end + profile.spacing * 1e-6:
        raise ValueError(f"the road ends {end:.6g} m on, and the front axle goes {reach:.6g} m")
    first = vehicle.axles[0].station
    return np.array(
        [profile.at(way.distance - (a.station - first), a.contact_length or 0.0) for a in vehicle.axles]
    )


# --- the wheels -------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Turning:
    """What the wheels ask of each axle.

    heights  [m] (axles, samples): run-out and force variation, as heights under the tyres
    forces   [N] (axles, samples): imbalance, upward on the hubs
    """

    heights: Floats
    forces: Floats


def wheels_in_time(vehicle: Vehicle, roads: Roads, way: Travel, seed: int | None = 1) -> Turning:
    """What the wheels of a vehicle ask along its way.

    Each wheel turns at its own rate: those of an axle lie evenly over `roads.rolling_difference`, and the
    axles a little apart, so that all beat with each other.  An axle rises by the mean of its wheels.  The
    force of an imbalance U is U omega^2 at the speed of the moment; what a change of speed adds is left out.

    seed  of the phases at distance 0, each drawn by itself; None: all wheels begin in phase

    >>> from .example import small_truck
    >>> still = wheels_in_time(small_truck(), Roads((1,)), travel(10.0, 1.0, 100.0), seed=None)
    >>> still.heights.max(axis=1).round(6).tolist()     # a healthy wheel's run-out, half of peak to peak
    [0.0003, 0.0003]
    """
    heights, forces = np.zeros((2, len(vehicle.axles), len(way.distance)))
    draw = np.random.default_rng(seed)

    def harmonic(per_metre: float) -> Floats:
        first = 0.0 if seed is None else draw.uniform(0.0, 2 * np.pi)
        return np.asarray(np.cos(2 * np.pi * per_metre * way.distance + first))

    for i, axle in enumerate(vehicle.axles):
        rates = turns_per_metre(vehicle, axle, roads.rolling_difference)
        for order in roads.wheel_orders if len(rates) else ():
            rises, moments, _ = uneven(roads.wheel_faults, axle, order)
            for rise, rate in zip(rises, cycle(order * rates), strict=False):
                heights[i] += rise / axle.wheels * harmonic(rate)
            for moment, rate in zip(moments, cycle(order * rates), strict=False):
                forces[i] += moment * (2 * np.pi * rate * way.speed) ** 2 * harmonic(rate)
    return Turning(heights, forces)
