"""Pulses to shaft angle and speed: any number of teeth, missing ones found or given, one pulse a turn.

Between two pulses the shaft turns by a whole number of pitches.  Speed is what it turned over the time it
took, and belongs to the middle of that time: there it is exact for a constant angular acceleration.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .columns import refused
from .counting import FEWEST_A_TURN, MOST_MISSING, in_a_gap, missing_teeth, pitches_between, without_doubled
from .notes import HealthNote, Ill
from .pulses import edges

Floats = NDArray[np.float64]

NAME = "pulses"  # what notes call the pulse train


@dataclass(frozen=True)
class Angle:
    """How far something has turned, or gone, at some instants, and between them.

    time   [s] (n,), rising
    turns  [rev] (n,), or [m] for a way along the road; never falling
    unit   rev or m
    """

    time: Floats
    turns: Floats
    unit: str = "rev"

    def turns_at(self, time: ArrayLike) -> Floats:
        """[rev, or m] at other times: the shape of `time` [s].

        A cubic through the known ones that never falls: exact for a constant angular acceleration.  Beyond
        both ends it goes on as the last cubic does.

        >>> slowing = Angle(np.arange(5.0), 4 * np.arange(5.0) - np.arange(5.0) ** 2 / 2)
        >>> slowing.turns_at(1.5).item()
        4.875
        """
        wanted = np.asarray(time, dtype=float)
        return np.asarray(self._near(wanted)(wanted))

    def rate_at(self, time: ArrayLike) -> Floats:
        """How fast it turns [rev/s, or m/s] at some times: the shape of `time` [s]."""
        wanted = np.asarray(time, dtype=float)
        return np.asarray(self._near(wanted)(wanted, 1))

    def _near(self, time: Floats) -> Any:
        """The cubic around some instants: of a long ride only what is needed."""
        from scipy.interpolate import CubicHermiteSpline

        low, high = np.searchsorted(self.time, [time.min(), time.max()]) if time.size else (0, 0)
        part = slice(max(min(low, len(self.time) - 2) - 3, 0), high + 3)
        known, turns = self.time[part], self.turns[part]
        return CubicHermiteSpline(known, turns, _slopes(known, turns))


def _slopes(time: Floats, turns: Floats) -> Floats:
    """Slopes of parabolas through three neighbours, held so that no cubic between them falls.

    Source: F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246 (from memory): no slope above
    three times that of either neighbouring line.
    """
    if len(time) < 3:
        return np.full(len(time), (turns[-1] - turns[0]) / (time[-1] - time[0]))
    lines = np.diff(turns) / np.diff(time)
    lower = np.minimum(np.append(lines, lines[-1]), np.append(lines[0], lines))
    return np.clip(np.gradient(turns, time, edge_order=2), 0.0, 3 * lower)


@dataclass(frozen=True)
class Shaft:
    """A shaft's speed and angle from its pulses.

    time        [s] (n,) the middle of each interval
    speed       [rev/s] (n,) there
    turns       [rev] (n,) there, from the first pulse on
    pulses      [s] (n + 1,) the pulses, without false ones
    counted     [rev] (n + 1,) how far the shaft had turned at each, exactly
    resolution  [-] what one tick of the clock is of the shortest interval
    teeth       of the full wheel
    missing     of them
    notes       pulses that were swallowed, doubled, or missing for long
    """

    time: Floats
    speed: Floats
    turns: Floats
    pulses: Floats
    counted: Floats
    resolution: float
    teeth: int
    missing: int
    notes: tuple[HealthNote, ...]

    @property
    def angle(self) -> Angle:
        """Its angle at every instant: what a ride is resampled along."""
        return Angle(self.pulses, self.counted)


def interval_resolution(teeth: int, speed: float, clock: float) -> float:
    """What one tick of a clock is of the interval between two teeth [-].

    teeth  [-] of the wheel
    speed  [rev/s]
    clock  [Hz] ticks, or samples, a second

        teeth * speed / clock

    Source: the definition.  36 teeth, 2400 rev/min, 20 kHz:

    >>> interval_resolution(36, 2400 / 60, 20e3)
    0.072
    """
    return teeth * speed / clock


def shaft_from_waveform(
    waveform: Any, rate: float, teeth: int, missing: int | None = None, start: float = 0.0
) -> Shaft:
    """A shaft from the waveform of its pulses.

    waveform  (samples,) [its own unit], or blocks of it one after the other
    rate      [Hz] samples a second
    teeth     of the full wheel: places for teeth, missing ones included; 1 for one pulse a turn
    missing   how many of them side by side are not there; None: found
    start     [s] time of the first sample

    Raises what `edges` and `shaft_from_times` raise.
    """
    found = edges(waveform, rate, start)
    return shaft_from_times(found.times, teeth, missing, clock=rate)


def shaft_from_times(
    times: ArrayLike, teeth: int, missing: int | None = None, clock: float | None = None
) -> Shaft:
    """A shaft from the times of its pulses.

    times    [s] (n,), rising
    teeth    of the full wheel: places for teeth, missing ones included; 1 for one pulse a turn
    missing  how many of them side by side are not there; None: found
    clock    [Hz] that the times were read off; None: the last decimal place that they have

    Where missing teeth leave fewer than six pulses a turn, a swallowed or false one can spoil the count; a
    note then says that the missing teeth are not where they should be.

    Raises CounterbounceError for fewer than three pulses, times that do not rise or are no numbers, and for
    teeth or missing ones that cannot be.

    >>> shaft = shaft_from_times([0.0, 0.1, 0.2, 0.4, 0.5, 0.6, 0.8, 0.9], teeth=4)
    >>> shaft.missing, shaft.speed.round(6).tolist()
    (1, [2.5, 2.5, 2.5, 2.5, 2.5, 2.5, 2.5])
    """
    pulses, doubled = without_doubled(_checked(times, teeth, missing))
    most = min(MOST_MISSING, max(teeth - FEWEST_A_TURN, 0)) if missing is None else missing
    candidates = range(1, most + 1) if missing is None else range(missing, missing + 1)
    pitches, filled, paused = pitches_between(np.diff(pulses), most)
    gaps = missing_teeth(pitches, teeth, candidates)
    false = in_a_gap(np.diff(pulses), pitches, gaps, teeth)
    if len(false):
        doubled = np.sort(np.concatenate([doubled, pulses[false]]))
        pulses = np.delete(pulses, false)
        pitches, filled, paused = pitches_between(np.diff(pulses), most)
        gaps = missing_teeth(pitches, teeth, candidates)
    counted = np.concatenate([[0.0], np.cumsum(pitches) / teeth])
    middle = (pulses[:-1] + pulses[1:]) / 2
    spans = np.diff(pulses)
    shortest = float((spans / pitches).min())
    odd = (pitches > 1) & ~gaps.here & ~filled
    notes = [
        *_note("clock", doubled, "a pulse between two teeth", "taken out"),
        *_note("dropout", pulses[:-1][odd], "a pulse was swallowed", "counted, from the intervals around it"),
        *_note(
            "dropout",
            pulses[:-1][filled],
            "no pulses while the shaft turned on",
            "counted at the speed around",
        ),
        *_note(
            "dropout", pulses[:-1][paused], "no pulses: it stood, or the signal was gone", "counted as one"
        ),
        *_note("clock", pulses[:-1][gaps.slipped], "missing teeth not where they should be", "left as it is"),
    ]
    return Shaft(
        middle,
        pitches / (teeth * spans),
        Angle(pulses, counted).turns_at(middle),
        pulses,
        counted,
        1 / (shortest * (clock or _clock(pulses))),
        teeth,
        gaps.missing,
        tuple(notes),
    )


def _checked(times: ArrayLike, teeth: int, missing: int | None) -> Floats:
    found = np.asarray(times, dtype=float)
    if found.ndim != 1 or len(found) < 3:
        raise refused(NAME, "wanted at least three pulses in one row", f"{found.size} of them")
    if not np.isfinite(found).all():
        raise refused(NAME, "wanted finite times", "a time that is none")
    late = np.flatnonzero(np.diff(found) <= 0)
    if len(late):
        raise refused(NAME, "each time must be later than the one before", f"{found[late[0] + 1]:g} s")
    if teeth < 1:
        raise refused(NAME, "teeth: wanted a whole number from 1", str(teeth), example="36")
    most = max(teeth - FEWEST_A_TURN, 0)
    if missing is not None and not 0 <= missing <= most:
        raise refused(NAME, f"missing: of {teeth} teeth 0 to {most} can be", str(missing), example="1")
    return found


def _note(kind: Ill, when: Floats, found: str, done: str) -> list[HealthNote]:
    """One note for all places of one kind."""
    if not len(when):
        return []
    times = f"{len(when)} times" if len(when) > 1 else "once"
    return [HealthNote(NAME, kind, float(when[0]), float(when[-1]), f"{found}, {times}", done)]


def _clock(times: Floats) -> float:
    """Ticks a second [Hz] that a list of times seems to be read off: its last decimal place."""
    some = times[:2000]
    for places in range(9):
        if np.abs(some - np.round(some, places)).max() <= 4 * np.spacing(np.abs(some).max()):
            return 10.0**places
    return 1e9
