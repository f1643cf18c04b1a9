"""A ride made ready for findings: slowed down to what shakes, along time and along the road.

A few samples per shake are enough here, so an hour of recording comes down to some megabytes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..ride import Channel, Ride
from .columns import refused
from .recording import SPEED, Recording
from .resampling import along_angle, angle_from_speed

Floats = NDArray[np.float64]

RATE = 100.0  # [Hz] or more, down to which a ride is slowed
HIGHEST = 40.0  # [Hz] nothing above is looked at
SERVED = 0.42  # [-] share of a rate up to which amplitudes hold
STEP = 1 / 16  # [m] along the road
FEWEST = 64  # steps of a road that is looked at
SLOWEST = 6.0  # [m/s] below it the road is not looked at
BLOCK = 1 << 18  # samples read at a time, all channels together
TAPS = 24  # of the filter, on either side, per step of the slower clock
ABOVE = ("frame", "body", "above")
UNSPRUNG = ("axle", "hub", "spindle", "knuckle", "wheel end")


@dataclass(frozen=True)
class Slow:
    """Vertical accelerations on a slow clock, and how far the vehicle has gone.

    rate       [Hz]
    shake      [m/s^2] (points, samples)
    names      of the points, as the channels are called
    speed      [m/s] (samples,); all zero where it is not known
    travelled  [m] (samples,)
    sideways   [m/s^2] lateral channels (n, samples), and their names
    """

    rate: float
    shake: Floats
    names: tuple[str, ...]
    speed: Floats
    travelled: Floats
    sideways: Floats
    sideways_names: tuple[str, ...]

    @property
    def fastest(self) -> float:
        """Road speed that is hardly exceeded [m/s]; 0 where it never moves."""
        return float(np.quantile(self.speed[self.moving], 0.97)) if self.moving.any() else 0.0

    @property
    def highest(self) -> float:
        """Up to which frequency it is looked at along the road [Hz]."""
        return min(HIGHEST, SERVED * self.rate)

    @property
    def moving(self) -> NDArray[np.bool_]:
        """When it is fast enough to be looked at along the road (samples,)."""
        return np.asarray(self.speed > SLOWEST)

    @property
    def sprung(self) -> tuple[int, ...]:
        """Rows of points that people or loads ride on; all rows where there are none."""
        above = tuple(i for i, name in enumerate(self.names) if not is_unsprung(name))
        return above or tuple(range(len(self.names)))


def is_unsprung(name: str) -> bool:
    """Whether a point's name says that it sits on an axle or a wheel.

    >>> is_unsprung("rear axle, left"), is_unsprung("driver's floor"), is_unsprung("frame above rear axle")
    (True, False, False)
    """
    word = name.casefold()
    above = any(part in word for part in ABOVE)
    return any(part in word for part in UNSPRUNG) and not above


def slowed(recording: Recording) -> Slow:
    """A recording on a slow clock.

    Raises CounterbounceError where no vertical channel is left, or the rate is too low to see 20 Hz.
    """
    ride = recording.ride
    names = [channel.name for channel in ride.channels]
    there = [sensor for sensor in recording.sensors if sensor.name in names]
    vertical = [s.name for s in there if s.direction in ("vertical", "unknown")]
    lateral = [s.name for s in there if s.direction == "lateral"]
    if not vertical:
        raise refused(ride.name, "holds no vertical acceleration")
    if ride.rate < 50:
        raise refused(ride.name, f"{ride.rate:.4g} Hz is too slow: wanted 50 Hz or more to see up to 20 Hz")
    wanted = [*vertical, *lateral, *([recording.speed] if recording.speed else [])]
    samples, rate = _decimated(ride, [names.index(name) for name in wanted])
    speed = np.clip(samples[-1], 0, None) if recording.speed else np.zeros(samples.shape[1])
    travelled = np.concatenate([[0.0], np.cumsum((speed[1:] + speed[:-1]) / 2) / rate])
    count = len(vertical)
    sideways = samples[count : count + len(lateral)]
    return Slow(rate, samples[:count], tuple(vertical), speed, travelled, sideways, tuple(lateral))


def _decimated(ride: Ride, rows: list[int]) -> tuple[Floats, float]:
    """Some rows of a ride, every so manieth sample of them, nothing aliased; and their rate [Hz]."""
    from scipy.signal import firwin, upfirdn

    factor = max(int(ride.rate // RATE), 1)
    reach = TAPS * factor if factor > 1 else 0
    taps = firwin(2 * reach + 1, 0.9 / factor) if factor > 1 else np.ones(1)
    step = max(BLOCK // (len(ride.channels) * factor), 1) * factor
    parts = []
    for first in range(0, len(ride), step):
        begin, end = max(first - reach, 0), min(first + step + reach, len(ride))
        part = np.nan_to_num(np.asarray(ride.samples[:, begin:end], dtype=float)[rows])
        short = reach - (first - begin), reach - max(end - min(first + step, len(ride)), 0)
        part = np.pad(part, ((0, 0), short), mode="edge")
        count = -(-(min(first + step, len(ride)) - first) // factor)
        low = 2 * reach // factor
        parts.append(upfirdn(taps, part, down=factor, axis=-1)[:, low : low + count])
    return np.concatenate(parts, axis=1), ride.rate / factor


def along_road(slow: Slow) -> tuple[Floats, Floats]:
    """The shake along the road: (points, steps) [m/s^2], and the speed at each step (steps,) [m/s].

    Only where the vehicle moves; stretches of standstill or crawling are cut out.
    """
    if slow.travelled[-1] < STEP * FEWEST:
        return np.zeros((len(slow.names), 0)), np.zeros(0)
    names = (*(f"{i}" for i in range(len(slow.names))), SPEED)
    channels = tuple(Channel(name, "m/s^2") for name in names)
    ride = Ride("", slow.rate, 0.0, channels, np.vstack([slow.shake, slow.speed]))
    along = along_angle(ride, angle_from_speed(ride, channel=SPEED), round(1 / STEP))
    speed = along.channel(SPEED)
    shake = np.asarray(along.samples[: len(slow.names)])
    there = (speed > SLOWEST) & np.isfinite(shake).all(axis=0)
    return shake[:, there], speed[there]
