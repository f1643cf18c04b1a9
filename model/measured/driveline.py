"""Whether the driveline moves with a shake.

What follows is not what drives: a shaft whose speed swings along with a shake may be shaken itself.  Only a
test that changes the shaft's speed at the same road speed (neutral, another gear) tells which is which.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..ride import Channel, Ride
from .findings import Driveline
from .rotation import Shaft
from .spectra import spectra
from .travelled import Slow

PIECE = 4.0  # [s] of the spectra
FEWEST = 4.0  # independent averages below which nothing is said
LEAST_SWING = 1e-4  # [-] of the mean speed: less is no swing; common practice, no source
PER_CYCLE = 3.0  # intervals between pulses that a cycle of the shake must hold


@dataclass(frozen=True)
class Swing:
    """How a shaft's speed swings at the frequency of a shake.

    said          quiet, moves_with_it, or unknown
    coherence     [-] of the swing with the shake
    significance  [-] what independent channels stay below with 95 %
    swing         [-] r.m.s. of the swing near that frequency over the mean speed
    """

    said: Driveline
    coherence: float = 0.0
    significance: float = 1.0
    swing: float = 0.0


def swing(slow: Slow, start: float, shaft: Shaft | None, row: int, frequency: float) -> Swing:
    """What a shaft does at the frequency of a shake.

    start      [s] of the ride's clock, which is that of the pulses
    row        of the point that shakes
    frequency  [Hz]
    """
    if shaft is None or len(shaft.time) < 8:
        return Swing("unknown")
    time = start + np.arange(slow.shake.shape[1]) / slow.rate
    there = (time >= shaft.time[0]) & (time <= shaft.time[-1])
    gaps = np.median(np.diff(shaft.time))
    if there.sum() < 2 * PIECE * slow.rate or 1 / gaps < PER_CYCLE * frequency:
        return Swing("unknown")
    turning = np.interp(time[there], shaft.time, shaft.speed)
    channels = (Channel("shake", "m/s^2"), Channel("shaft", "1/s"))
    ride = Ride("shaft and shake", slow.rate, 0.0, channels, np.stack([slow.shake[row, there], turning]))
    found = spectra(ride, PIECE)
    if found.averages < FEWEST:
        return Swing("unknown")
    near = np.abs(found.frequency - frequency) <= max(0.04 * frequency, found.frequency[1])
    coherence = float(found.coherence("shake", "shaft")[near].max())
    count = int(near.sum())
    level = float(found.level(frequency * 0.94, frequency * 1.06)[1])
    # The largest of several bins: each must stay below with the n-th root of 95 %.
    beyond = 1 - (1 - 0.95 ** (1 / count)) ** (1 / (found.averages - 1))
    share = level / max(float(turning.mean()), 1e-9)
    said: Driveline = "moves_with_it" if coherence > beyond and share >= LEAST_SWING else "quiet"
    return Swing(said, coherence, float(beyond), share)
