"""What a damper must keep to, and the place where it is to hang."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..model.comfort import PERCEPTION_THRESHOLD
from .absorber import RoadHost

Floats = NDArray[np.float64]

NO_WORSE = 1.05  # elsewhere, against before
SLACK = 1e-3  # what a limit may be exceeded by when it is met with equality


@dataclass(frozen=True)
class Bounds:
    """What a damper must keep to; None and False take a limit away, to learn which one decides.

    mass       [kg]
    stroke     [m] each way
    clearance  [m] room each way for stroke and static sag
    elsewhere  whether levels outside the band may not get worse
    ratings    whether axle, tyre and weight ratings hold
    worth      [-] fall of the shake that is worth it: no level elsewhere may rise above what that would leave
    """

    mass: float
    stroke: float | None = None
    clearance: float | None = None
    elsewhere: bool = True
    ratings: bool = True
    worth: float = 0.25

    @property
    def beyond_the_band(self) -> bool:
        """Whether anything but the level in the band is limited.

        >>> Bounds(40.0).beyond_the_band, Bounds(40.0, elsewhere=False).beyond_the_band
        (True, False)
        """
        return self.elsewhere or self.stroke is not None or self.clearance is not None


@dataclass(frozen=True)
class Place:
    """One allowed place: the vehicle as felt there in the band, and over the rest of the speeds.

    heaviest  [kg] that axle and weight ratings allow there
    """

    name: str
    band: RoadHost
    rest: RoadHost
    heaviest: float = float("inf")


def allowed_elsewhere(before: Floats, left: ArrayLike) -> Floats:
    """What the level may be outside the band [m/s^2] r.m.s.: 1.05 times before, what is left in the band,
    or what nobody feels.

    before  [m/s^2] r.m.s., any shape
    left    [m/s^2] r.m.s., largest level that the damper leaves in the band; broadcasts

    >>> allowed_elsewhere(np.array([0.005, 0.2, 0.4]), 0.3).round(3).tolist()
    [0.3, 0.3, 0.42]
    """
    floor = np.maximum(left, PERCEPTION_THRESHOLD / np.sqrt(2))
    return np.asarray(np.maximum(NO_WORSE * before, floor))


def left_anywhere(band: ArrayLike, after: Floats, before: Floats) -> Floats:
    """What a person is left with [m/s^2] r.m.s., candidates: in the band, or wherever else it is more than
    before.

    band    [m/s^2] r.m.s., largest that each candidate leaves in the band, (...)
    after   [m/s^2] r.m.s. elsewhere, with the damper, (..., V, P)
    before  [m/s^2] r.m.s. elsewhere, without it, (V, P)

    >>> before, after = np.array([[0.4], [0.2]]), np.array([[0.41], [0.35]])     # the first is hardly more
    >>> float(left_anywhere(0.3, after, before))
    0.35
    """
    risen = np.where(after > (1 + SLACK) * allowed_elsewhere(before, 0.0), after, 0.0)
    return np.asarray(np.maximum(band, risen.max(axis=(-2, -1), initial=0.0)))
