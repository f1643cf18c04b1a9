"""A road profile: heights at even steps along the road, and what a tyre makes of them.

Between its samples a profile is straight.  Beyond its ends the road goes on level, so that a vehicle can
stand before it and run out behind it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .faults import CounterbounceError, Fault

Floats = NDArray[np.float64]

FEWEST = 3  # samples


@dataclass(frozen=True)
class Profile:
    """Heights of a road at even steps.

    spacing  [m] between samples
    start    [m] where the first sample lies
    heights  [m] (n,), or (tracks, n); an axle of the planar model feels the mean of its tracks
    source   where it comes from, in words
    done     what was done to it, in sentences

    Raises ValueError for fewer than three samples, for what is not finite, and for a spacing of zero or less.

    >>> kerb = Profile(0.5, 10.0, np.array([0.0, 0.0, 0.1, 0.1]), "an invented kerb")
    >>> kerb.distance.tolist(), kerb.length
    ([10.0, 10.5, 11.0, 11.5], 1.5)
    >>> kerb.at([0.0, 10.75, 99.0]).round(3).tolist()
    [0.0, 0.05, 0.1]
    >>> kerb.at(10.75, contact_length=1.0).round(5).tolist()     # a tyre smooths: the mean over its footprint
    0.05
    """

    spacing: float
    start: float
    heights: Floats
    source: str
    done: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not (np.isfinite(self.spacing) and self.spacing > 0):
            raise ValueError(f"spacing must be above 0 m, got {self.spacing}")
        if np.ndim(self.heights) not in (1, 2) or np.shape(self.heights)[-1] < FEWEST:
            raise ValueError(f"heights must be (n,) or (tracks, n) with {FEWEST} samples or more")
        if not (np.all(np.isfinite(self.heights)) and np.isfinite(self.start)):
            raise ValueError("heights and start must be finite")

    @property
    def distance(self) -> Floats:
        """Where the samples lie [m], (n,)."""
        return np.asarray(self.start + self.spacing * np.arange(self.heights.shape[-1]))

    @property
    def length(self) -> float:
        """From the first sample to the last [m]."""
        return float(self.spacing * (self.heights.shape[-1] - 1))

    @property
    def tracks(self) -> Floats:
        """One row a track [m], (tracks, n)."""
        return np.atleast_2d(self.heights)

    @cached_property
    def felt(self) -> Floats:
        """What an axle of the planar model feels [m], (n,): the mean of the tracks."""
        return np.asarray(self.tracks.mean(axis=0))

    @cached_property
    def _area(self) -> Floats:
        """Area under the felt heights, over their first one, up to each sample [m^2], (n,)."""
        over = self.felt - self.felt[0]
        return np.concatenate([[0.0], np.cumsum((over[1:] + over[:-1]) * self.spacing / 2)])

    def at(self, distance: ArrayLike, contact_length: float = 0.0) -> Floats:
        """Height that an axle feels [m] at distances of any shape.

        distance        [m]
        contact_length  [m] of the footprint: the mean over it, exact on a road that is straight between
            samples
        """
        x = np.asarray(distance, dtype=float)
        if not 0 <= contact_length < np.inf:
            raise ValueError(f"contact_length must be 0 m or above, got {contact_length}")
        if contact_length < 1e-6 * self.spacing:
            return np.asarray(np.interp(x, self.distance, self.felt))
        half = contact_length / 2
        area = self._area_up_to(x + half) - self._area_up_to(x - half)
        return np.asarray(self.felt[0] + area / contact_length)

    def _area_up_to(self, x: Floats) -> Floats:
        """Area from the first sample to any x [m^2]; before it the heights over the first one are nought."""
        over, last = self.felt - self.felt[0], len(self.felt) - 1
        steps = np.maximum((x - self.start) / self.spacing, 0.0)
        i = np.minimum(steps.astype(int), last - 1)
        inside = np.minimum(steps, last) - i
        rise = over[i + 1] - over[i]
        own = self.spacing * inside * (over[i] + rise * inside / 2)
        return np.asarray(self._area[i] + own + self.spacing * np.maximum(steps - last, 0.0) * over[last])


def long_enough(profile: Profile, least: float, what: str) -> Profile:
    """The profile itself, if it is as long as something needs it.  Raises CounterbounceError.

    least  [m]
    what   that needs it, such as "the vehicle, from first axle to last"

    >>> short = Profile(1.0, 0.0, np.zeros(4), "an invented road")
    >>> long_enough(short, 6.1, "the vehicle")
    Traceback (most recent call last):
    counterbounce.model.faults.CounterbounceError: 1 fault:
      an invented road: 3 m long: 6.1 m or more, for the vehicle
    """
    if profile.length < least:
        given = f"{profile.length:g} m long"
        raise CounterbounceError([Fault(profile.source, None, "", given, f"{least:g} m or more, for {what}")])
    return profile


def resampled(profile: Profile, spacing: float) -> Profile:
    """The same road at another spacing, straight between the old samples; the end may fall short of a step.

    spacing  [m]

    >>> ramp = Profile(0.5, 0.0, np.array([0.0, 0.1, 0.2]), "an invented ramp")
    >>> resampled(ramp, 0.25).heights.round(3).tolist()
    [0.0, 0.05, 0.1, 0.15, 0.2]
    """
    if not (0 < spacing <= profile.length / (FEWEST - 1)):
        raise ValueError(f"spacing must lie in (0, {profile.length / (FEWEST - 1):g}] m, got {spacing}")
    new = profile.start + spacing * np.arange(int(profile.length / spacing * (1 + 1e-12)) + 1)
    heights = np.array([np.interp(new, profile.distance, track) for track in profile.tracks])
    said = f"Resampled from {profile.spacing:g} m to {spacing:g} m, straight between samples."
    return _with(profile, heights, said, spacing)


def detrended(profile: Profile) -> Profile:
    """The road without its mean height and grade: the straight line of least squares is taken off each track.

    >>> hill = Profile(1.0, 0.0, np.array([100.0, 102.0, 101.0, 103.0]), "an invented hill")
    >>> detrended(hill).heights.round(3).tolist()
    [-0.3, 0.9, -0.9, 0.3]
    """
    x = np.linspace(-1.0, 1.0, profile.heights.shape[-1])
    level = profile.tracks.mean(axis=1, keepdims=True)
    grade = (profile.tracks - level) @ x / (x @ x)
    heights = profile.tracks - level - grade[:, None] * x
    shown = ", ".join(f"{100 * 2 * one / profile.length:.2f} %" for one in grade)
    return _with(profile, heights, f"A straight line was taken off: its grade is {shown}.")


def smoothed(profile: Profile, contact_length: float) -> Profile:
    """The road as a tyre of a footprint feels it, at the same samples.

    contact_length  [m]; the mean over it, exact on a road that is straight between samples

    >>> bump = Profile(0.1, 0.0, np.array([0.0, 0.0, 0.03, 0.0, 0.0]), "an invented bump")
    >>> smoothed(bump, 0.2).heights.round(4).tolist()
    [0.0, 0.0075, 0.015, 0.0075, 0.0]
    """
    tracks = [replace(profile, heights=track) for track in profile.tracks]
    heights = np.array([one.at(one.distance, contact_length) for one in tracks])
    return _with(profile, heights, f"Smoothed over a footprint of {contact_length:g} m.")


def _with(profile: Profile, heights: Floats, said: str, spacing: float | None = None) -> Profile:
    shaped = heights[0] if profile.heights.ndim == 1 else heights
    return replace(profile, heights=shaped, done=(*profile.done, said), spacing=spacing or profile.spacing)
