"""The reference quarter car and the International Roughness Index.

The index is the mean of |slope of body less slope of hub| of one fixed quarter car at 80 km/h, on a profile
that is straight between its samples; 1 mm per m is 1 m/km.  The matrices of a step are exact, by expm: those
in print lost digits to cancellation, the input coefficients up to 7e-4.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy import linalg

from .case import parse
from .profile import Profile
from .settle import settled
from .vehicle import Vehicle

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

TYRE, SPRING, HUB, DAMPER = 653.0, 63.3, 0.15, 6.0
"""Over the sprung mass: tyre and spring rate [1/s^2], unsprung mass [-], damping [1/s].

Source: M. W. Sayers, On the calculation of international roughness index from longitudinal road profile,
Transportation Research Record 1501 (1995); ASTM E1926."""

SPEED = 80 / 3.6  # [m/s]
BASE = 0.25  # [m] over which a finer profile is smoothed, as a tyre would
RUN_IN = 11.0  # [m], half a second: its mean slope starts the car
COARSE = 0.3  # [m] spacing beyond which short waves are missed (ASTM E1926, class 1 and 2, from memory)
COARSEST = 2.0  # [m] beyond it the hub's own wave, about 2 m at 80 km/h, is not there to be seen

TEXT = f"""
name = "Golden car"
exact = true
[vehicle]
sprung_mass = "1 t"
[axle.wheel]
unsprung_mass = "{1e3 * HUB:g} kg"
spring_rate = "{SPRING:g} kN/m"
damping = "{DAMPER:g} kN*s/m"
tyre_rate = "{TYRE:g} kN/m"
tyre_damping = "0 N*s/m"
contact_length = "{BASE:g} m"
[inputs]
speeds = {{ from = "79 km/h", to = "81 km/h" }}
wheel_orders = []
"""


@cache
def golden_car() -> Vehicle:
    """The quarter car itself, with one tonne on its spring: a vehicle like any other.

    >>> golden_car().coordinates
    ('bounce', 'axle.wheel')
    """
    one = parse(TEXT, "golden_car.toml")
    return settled(one.plan, one.numbers)


def transition(step: float) -> tuple[Floats, Floats]:
    """(ST, PR): what one step does to (slope, rate of slope) of body and hub, and what the road's slope adds.

    step  [m] travelled at 80 km/h, above 0

    The state is (body slope [-], its rate [1/s], hub slope [-], its rate [1/s]); ST is (4, 4) and PR (4,), in
    the order and units of the published tables.

    >>> st, pr = transition(0.25)
    >>> round(float(st[3, 3]), 7), round(float(pr[3]), 5)
    (0.4347564, 35.79262)
    """
    if not 0 < step < np.inf:
        raise ValueError(f"step must be above 0 m, got {step}")
    both = np.zeros((5, 5))
    both[:4, :4], both[:4, 4] = _motion()
    moved = linalg.expm(both * step / SPEED)
    return np.asarray(moved[:4, :4]), np.asarray(moved[:4, 4])


def _motion() -> tuple[Floats, Floats]:
    """x' = A x + b slope."""
    state = np.array(
        [
            [0, 1, 0, 0],
            [-SPRING, -DAMPER, SPRING, DAMPER],
            [0, 0, 0, 1],
            [SPRING / HUB, DAMPER / HUB, -(TYRE + SPRING) / HUB, -DAMPER / HUB],
        ]
    )
    return state, np.array([0, 0, 0, TYRE / HUB])


@dataclass(frozen=True)
class Segment:
    """A stretch of road: from and to [m], and its index [m/km]."""

    start: float
    end: float
    index: float


@dataclass(frozen=True)
class RoughnessIndex:
    """The International Roughness Index of a profile, the mean of its tracks.

    whole     [m/km] of the whole profile
    tracks    [m/km] of each track
    segments  one after the other; the last may be shorter
    distance  [m] where each step of the car ends, (n,)
    stroke    |slope of body less slope of hub| over each step [-], (tracks, n)
    done      how it was reckoned, in sentences
    """

    whole: float
    tracks: tuple[float, ...]
    segments: tuple[Segment, ...]
    distance: Floats
    stroke: Floats
    done: tuple[str, ...]


def roughness_index(profile: Profile, segment: float = 100.0) -> RoughnessIndex:
    """The index of a profile, whole and in segments.

    segment  [m] length of each stretch

    Raises ValueError for a profile shorter than 11 m, which the car needs to start, or with more than 2 m
    between samples, and for a segment shorter than a step.

    >>> x = 0.25 * np.arange(1, 121)
    >>> pulse = Profile(0.25, 0.25, np.interp(x, [1, 3, 5], [0, 0.002, 0]), "a triangular pulse of 2 mm")
    >>> round(roughness_index(pulse).whole, 5)
    0.20668
    """
    _check(profile, segment)
    over = max(BASE, profile.spacing)
    stroke = np.array(
        [
            _strokes(_slopes(profile, track, over), _slope_to(profile, track, RUN_IN), profile.spacing)
            for track in profile.tracks
        ],
        dtype=float,
    )
    ends = profile.start + over / 2 + profile.spacing * np.arange(0.5, stroke.shape[1])
    each = 1e3 * stroke.mean(axis=1)
    return RoughnessIndex(
        float(each.mean()),
        tuple(float(one) for one in each),
        _segments(profile, segment, ends, 1e3 * stroke.mean(axis=0)),
        ends,
        stroke,
        tuple(_said(profile)),
    )


def _check(profile: Profile, segment: float) -> None:
    if profile.length < RUN_IN:
        raise ValueError(
            f"the index needs {RUN_IN:g} m of road to start on, and the profile has {profile.length:g} m"
        )
    if profile.spacing > COARSEST:
        raise ValueError(f"spacing must be {COARSEST:g} m or less for the index, got {profile.spacing:g} m")
    if not segment >= profile.spacing:
        raise ValueError(f"segment must be a spacing, {profile.spacing:g} m, or more, got {segment}")


def _slope_to(profile: Profile, track: Floats, ahead: float) -> float:
    """Mean slope from the first sample to a place ahead of it [-]."""
    there = np.interp(profile.start + ahead, profile.distance, track)
    return float((there - track[0]) / ahead)


def _slopes(profile: Profile, track: Floats, over: float) -> Floats:
    """Mean slope over a base length from each sample on [-]: that of heights smoothed over it."""
    count = int((profile.length - over) / profile.spacing * (1 + 1e-9)) + 1
    ahead = np.interp(profile.distance[:count] + over, profile.distance, track)
    return np.asarray((ahead - track[:count]) / over)


def _strokes(slopes: Floats, first: float, step: float) -> Floats:
    """|body less hub| after each step [-]: the car's two pairs of poles, each a recursion of its own.

    slopes  [-] of the road over each step, (n,)
    first   [-] slope that body and hub start with
    step    [m]
    """
    from scipy.signal import lfilter

    state, push = _motion()
    poles, right = np.linalg.eig(state)
    left = np.linalg.inv(right)
    grown = np.exp(poles * step / SPEED)
    pushed, start = (grown - 1) / poles * (left @ push), left @ np.array([first, 0, first, 0])
    stroke = np.zeros(len(slopes))
    for i in np.flatnonzero(poles.imag > 0):
        moved, _ = lfilter([pushed[i]], [1, -grown[i]], slopes.astype(complex), zi=[grown[i] * start[i]])
        stroke += 2 * ((right[0, i] - right[2, i]) * moved).real
    return np.abs(stroke)


def _segments(profile: Profile, length: float, ends: Floats, index: Floats) -> tuple[Segment, ...]:
    """Means over each stretch; a step counts where it ends."""
    stretch = np.floor((ends - profile.start) / length - 1e-9).astype(int)
    steps, sums = np.bincount(stretch), np.bincount(stretch, weights=index)
    last = profile.start + profile.length
    edges = [min(profile.start + i * length, last) for i in range(len(steps) + 1)]
    return tuple(
        Segment(edges[i], edges[i + 1], float(sums[i] / steps[i])) for i in np.flatnonzero(steps).tolist()
    )


def _said(profile: Profile) -> list[str]:
    said = [f"The car started with the mean slope of the first {RUN_IN:g} m."]
    if profile.spacing < BASE:
        said.append(f"Smoothed over {BASE:g} m, as the index asks for samples that lie closer.")
    elif profile.spacing > COARSE:
        missed = f"waves below {2 * profile.spacing:g} m are missed, and the index comes out too low"
        said.append(f"{profile.spacing:g} m between samples is coarse: {missed}.")
    if len(profile.tracks) > 1:
        said.append("The index is the mean of the tracks' indices.")
    return said
