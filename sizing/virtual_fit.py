"""A recorded ride as it would have been with a damper on: nothing of road or wheels needs to be known.

What a damper does to a vehicle follows from how its place moves without it.  That was recorded; what a newton
there does to each point, and to the place itself, the vehicle tells:

    y = y0 + G H_w D,   D = a l / (l - a - a l H),   a = m w^2,  l = k + i w c,

G the motion of the place, H its receptance, H_w what a newton there does to a watched point.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..model.drive import STROKE, run_in_time
from ..model.faults import CounterbounceError, Fault, nearest
from ..model.response import dynamics
from ..model.ride import Channel, Ride
from ..model.road import GONE, HIGHEST
from ..model.vehicle import Vehicle
from .absorber import Damper, Host, with_damper
from .matched_speeds import STEP
from .passes import along_road, in_pieces, shaken, whole

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

LONGEST = 60.0  # [s] that a vehicle is given to come to rest
UNIT = "m/s^2"


@dataclass(frozen=True)
class Fitted:
    """A ride as it was, and as it would have been; both hold the same points, up and down [m/s^2], and the
    road speed where there is one.

    after     with the damper, which begins at rest; one channel more, its stroke [m]
    settles   [s] until what it was at the beginning is forgotten
    left_out  channels that the vehicle has no point for
    """

    before: Ride
    after: Ride
    damper: Damper
    settles: float
    left_out: tuple[str, ...]

    def levels(self) -> dict[str, tuple[float, float]]:
        """R.m.s. level of each point, before and after [m/s^2], once the damper has settled."""
        begin = self.before.start + self.settles
        sides = [ride.since(begin) for ride in (self.before, self.after)]
        names = [one.name for one in self.before.channels if one.unit == UNIT]
        return {name: (_rms(sides[0].channel(name)), _rms(sides[1].channel(name))) for name in names}

    def along_speed(self) -> tuple[Floats, Floats]:
        """Speeds [m/s] (S,) that were driven, and levels up to 25 Hz [m/s^2] r.m.s. (2, points, S).

        Before and after, once the damper has settled.  Raises CounterbounceError for a ride without a speed.
        """
        begin = self.before.start + self.settles
        names = [one.name for one in self.before.channels if one.unit == UNIT]
        sides = [in_pieces(along_road(ride.since(begin)), np.inf) for ride in (self.before, self.after)]
        bins = np.rint(sides[0].speed / STEP).astype(int)
        driven = np.unique(bins)
        rows = [[one.names.index(name) for name in names] for one in sides]
        power = [shaken(one, whole()).power[:, own] for one, own in zip(sides, rows, strict=True)]
        levels = [[np.sqrt(one[bins == b].mean(axis=0)) for b in driven] for one in power]
        return driven * STEP, np.array(levels).swapaxes(1, 2)


def _rms(samples: Floats) -> float:
    return float(np.sqrt(np.mean(samples**2)))


def virtual_fit(ride: Ride, vehicle: Vehicle, hung: Damper) -> Fitted:
    """What a ride would have been with a damper on.

    ride     with vertical accelerations [m/s^2], one of them at the damper's place; a point of the vehicle is
             known by its name
    vehicle  without the damper, and as it was in the ride

    What the damper does above 25 Hz is left out, fading until 30 Hz: there the vehicle's model ends.  Raises
    CounterbounceError where the place was not recorded, and for a ride with gaps, too short, or too coarse.

    >>> from ..model.drive import drive
    >>> from ..model.example import small_truck
    >>> from .absorber import tuned
    >>> way = 0.002 * np.sin(2 * np.pi * 3.0 * np.arange(6000) / 200)
    >>> truck, hung = small_truck(), tuned("rear end", 30.0, 2.94, 0.14)
    >>> found = virtual_fit(drive(truck, np.stack([way, way]), 200.0), truck, hung)
    >>> before, after = found.levels()["rear end"]
    >>> round(1 - after / before, 1)
    0.7
    """
    settles = min(run_in_time(with_damper(vehicle, hung)), LONGEST)
    names, left_out = _known(ride, vehicle, hung, settles)
    samples = np.stack([ride.channel(name) for name in names])
    added = _added(samples, ride.rate, settles, names, vehicle, hung)
    speed = [ride.channel("speed")] if _has_speed(ride) else []
    pace = [Channel("speed", "m/s")] * len(speed)
    points = [Channel(name, UNIT) for name in names]
    before = replace(ride, channels=(*points, *pace), samples=np.vstack([samples, *speed]))
    channels = (*points, Channel(STROKE, "m"), *pace)
    after = replace(
        before,
        name=f"{ride.name}, with the damper",
        channels=channels,
        samples=np.vstack([samples + added[:-1], added[-1], *speed]),
        labels={**ride.labels, "damper": f"computed: {hung.mass:.4g} kg at {hung.place}"},
    )
    return Fitted(before, after, hung, settles, tuple(left_out))


def _has_speed(ride: Ride) -> bool:
    return "speed" in [one.name for one in ride.channels]


def _known(ride: Ride, vehicle: Vehicle, hung: Damper, settles: float) -> tuple[list[str], list[str]]:
    """Channels that are points of the vehicle, and those that are not."""
    moved = [one.name for one in ride.channels if one.unit == UNIT]
    names = [name for name in moved if name in vehicle.points]
    faults = []
    if hung.place not in names:
        wanted = f"wanted an acceleration recorded at {hung.place}, where the damper hangs"
        faults.append(Fault(ride.name, None, "", ", ".join(moved), wanted, nearest(hung.place, moved)))
    if ride.rate < 2 * HIGHEST:
        wanted = f"wanted {2 * HIGHEST:g} samples a second or more"
        faults.append(Fault(ride.name, None, "rate", f"{ride.rate:g} Hz", wanted))
    if ride.duration < 2 * settles:
        wanted = f"wanted {2 * settles:.0f} s or longer: within {settles:.0f} s the damper settles"
        faults.append(Fault(ride.name, None, "", f"{ride.duration:.3g} s", wanted))
    gaps = [name for name in names if not np.isfinite(ride.channel(name)).all()]
    if gaps:
        faults.append(Fault(ride.name, None, ", ".join(gaps), "", "wanted no gaps: take a stretch without"))
    if faults:
        raise CounterbounceError(faults)
    return names, [name for name in moved if name not in names]


def _added(
    samples: Floats, rate: float, settles: float, names: Sequence[str], vehicle: Vehicle, hung: Damper
) -> Floats:
    """What the damper adds to each channel [m/s^2], and below them its stroke [m], (C + 1, samples).

    Zeros are put behind the ride, so that its end does not reach round to its beginning.
    """
    from scipy.fft import irfft, next_fast_len, rfft, rfftfreq

    count = next_fast_len(samples.shape[1] + round(settles * rate), real=True)
    frequency = np.asarray(rfftfreq(count, 1 / rate))
    heard = np.flatnonzero((frequency > 0) & (frequency < GONE))
    place = rfft(samples[names.index(hung.place)], count)[heard]
    added = np.zeros((len(names) + 1, len(frequency)), dtype=complex)
    added[:, heard] = _responses(place, frequency[heard], names, vehicle, hung)
    return np.asarray(irfft(added, count)[:, : samples.shape[1]])


def _responses(
    place: Complexes, frequency: Floats, names: Sequence[str], vehicle: Vehicle, hung: Damper
) -> Complexes:
    """The same along frequency, (C + 1, F); `place` is how the damper's place moved without it [m/s^2]."""
    rows, omega = [vehicle.points[name].row for name in names], 2 * np.pi * frequency
    felt = dynamics(vehicle).receptance(frequency, rows, [vehicle.points[hung.place].row])[..., 0]
    lift = -place / omega**2
    host = Host(omega, place[:, None], felt * place[:, None], felt[:, names.index(hung.place)], lift)
    force = host.coupling(hung.mass, hung.stiffness, hung.damping)
    stroke = force * lift / (hung.stiffness + 1j * omega * hung.damping)
    over = np.clip((frequency - HIGHEST) / (GONE - HIGHEST), 0.0, 1.0)
    kept = (1 - over) ** 2 * (1 + 2 * over)
    return np.asarray(kept * np.vstack([(host.push * force[:, None]).T, stroke]))
