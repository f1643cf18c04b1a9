"""Files in, a ride out, with what was found wrong and what was done."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ..ride import Channel, Ride
from .clock import (
    SHORTEST,
    Grid,
    Survey,
    common_rate,
    grid_between,
    nominal_rate,
    on_grid,
    rising,
    stretches,
    survey,
)
from .columns import Began, Column, refused, room
from .files import read_columns
from .gravity import set_upright
from .health import of_column
from .lag import lag_of
from .notes import BRIDGED, TAKEN_OFF, HealthNote
from .ride_health import of_ride
from .roles import Pace, Taken, chosen
from .sensors import Sensor, Speedometer
from .speed import SpeedPoints, filled, smoothed, speed_points, without_jumps
from .together import by_stamps, on_one_clock

SPEED = "speed"  # what the road speed is called in a ride
SPEED_GAP = 5.0  # [s] without a speed that may be bridged


@dataclass(frozen=True)
class Recording:
    """A ride that was recorded, and what is known of how.

    ride     acceleration of each sensor [m/s^2], up, forward and left positive; road speed [m/s] where there
             is one
    sensors  one for each acceleration channel, in the order of the ride
    speed    the name of the road-speed channel, or None
    notes    what was found wrong
    done     what was done to the data, in sentences
    clocks   of each sensor the number of the device whose clock it was on; empty where all are on one
    began    when the zero of the ride's clock was; None: the files do not say
    """

    ride: Ride
    sensors: tuple[Sensor, ...]
    speed: str | None
    notes: tuple[HealthNote, ...] = ()
    done: tuple[str, ...] = ()
    clocks: tuple[int, ...] = ()
    began: Began | None = None


def read(
    paths: str | Path | Sequence[str | Path],
    sensors: Sequence[Sensor] = (),
    labels: Mapping[str, str] | None = None,
    speed: Speedometer | None = None,
    rate: float | None = None,
) -> Recording:
    """The longest stretch without a cut of what some files hold, on one clock.

    Files that belong to one ride are read together.  Those that say when they began go by that; otherwise the
    shake that all of them felt tells, and where it does not, they are taken as begun at once.

    sensors  which columns were taken where; none: the names of the columns say so ("rear axle, left [g]")
    labels   what else is known of the ride (gear, load, road, ...): goes before what the files say
    speed    the column of the road speed; None: the one with a unit of speed, if there is one
    rate     [Hz] of files that do not say their times

    Raises CounterbounceError with what is wrong.
    """
    recordings = read_stretches(paths, sensors, labels, speed, rate)
    return max(recordings, key=lambda one: one.ride.duration)


def read_stretches(
    paths: str | Path | Sequence[str | Path],
    sensors: Sequence[Sensor] = (),
    labels: Mapping[str, str] | None = None,
    speed: Speedometer | None = None,
    rate: float | None = None,
) -> tuple[Recording, ...]:
    """The same, every stretch between two gaps as a recording of its own, in order of time.

    rate  [Hz] of files that do not say their times
    """
    files = [paths] if isinstance(paths, str | Path) else list(paths)
    if not files:
        raise refused("", "wanted at least one file of a recording")
    stamped = by_stamps([read_columns(file, rate) for file in files])
    found = stamped.found
    columns = [column for one in found for column in one.columns]
    taken, pace, said = chosen(columns, sensors, speed)
    dated = {one.columns[0].file: i in stamped.dated for i, one in enumerate(found)}
    taken, pace, apart, more = on_one_clock(taken, pace, dated)
    told = {key: value for one in found for key, value in one.labels.items()} | dict(labels or {})
    done = [sentence for one in found for sentence in one.done] + [*stamped.done, *said, *more]
    name = next((one.name for one in found if one.name), Path(files[0]).stem)
    notes = [note for one in found for note in one.notes] + apart
    return tuple(
        replace(one, began=stamped.began) for one in _recordings(name, told, taken, pace, done, notes)
    )


def _recordings(
    name: str,
    labels: dict[str, str],
    taken: Sequence[Taken],
    pace: Pace | None,
    done: list[str],
    notes: list[HealthNote],
) -> Iterator[Recording]:
    """A recording for each stretch that all columns share."""
    looked = [_looked_at(one, notes) for one in taken]
    points = _points(pace, notes) if pace else None
    surveys = [survey(one.column) for one in looked]
    surveys += [survey(_rising("speed", pace.column, notes), SPEED_GAP)] if pace else []
    notes += [_gap(_place(one), seen) for one, seen in zip(looked, surveys, strict=False) if seen.bridged]
    notes += [
        _cut(_place(one), *gap) for one, seen in zip(looked, surveys, strict=False) for gap in seen.gaps
    ]
    found = stretches(surveys)
    if not found:
        raise refused(looked[0].column.file, "its columns share no stretch of a second or longer")
    cut = [] if len(found) == 1 else [f"Gaps cut it into {len(found)} stretches; this is one of them."]
    rates = [nominal_rate(one.column) for one in looked]
    leading = looked[rates.index(max(rates))].column
    for start, end in found:
        grid = grid_between(start, end, common_rate(rates), leading)
        near = (grid.start - SHORTEST, grid.end + SHORTEST)  # so that a stretch tells what ends it
        within = [one for one in dict.fromkeys(notes) if one.start <= near[1] and one.end >= near[0]]
        yield _recorded(name, labels, looked, points, grid, within, done + cut + _clocked(looked, grid))


def _looked_at(one: Taken, notes: list[HealthNote]) -> Taken:
    column, found = of_column(_called(one), one.column, abs(one.factor))
    notes += found
    return replace(one, column=_rising(_place(one), column, notes))


def _called(one: Taken) -> str:
    """What notes call a column that is not yet a channel: one of three unknown axes keeps its own name."""
    sensor = one.sensor
    return f"{sensor.point}, {sensor.column}" if sensor.direction == "unknown" else sensor.name


def _place(one: Taken) -> str:
    """What notes call the clock of a column: three unknown axes share one."""
    return one.sensor.point if one.sensor.direction == "unknown" else one.sensor.name


def _rising(name: str, column: Column, notes: list[HealthNote]) -> Column:
    """The column in order of time; what is told of it is told once."""
    found, late = rising(column)
    if late:
        start, end = found.ends
        said = f"{late} time stamp{'s do' if late > 1 else ' does'} not rise"
        what = "what it belongs to was left out"
        notes.append(HealthNote(name, "clock", start, end, said, what))
    return found


def _gap(name: str, seen: Survey) -> HealthNote:
    found = f"{seen.bridged} short gap{'s' if seen.bridged > 1 else ''}"
    return HealthNote(name, "gap", seen.first, seen.last, found, BRIDGED)


def _cut(name: str, start: float, end: float) -> HealthNote:
    found, done = f"nothing for {end - start:.3g} s", "the ride is cut there, and the longest stretch is read"
    return HealthNote(name, "gap", start, end, found, done)


def _points(pace: Pace, notes: list[HealthNote]) -> tuple[SpeedPoints, float | None]:
    """Readings of the speed that can be believed, and by how much they are late where that is known [s]."""
    points, found = without_jumps(speed_points(replace(pace, column=rising(pace.column)[0])))
    notes += found
    return smoothed(points), pace.lag


def _clocked(taken: Sequence[Taken], grid: Grid) -> list[str]:
    """How the columns came to the common clock, in sentences."""
    uneven = [one.sensor.name for one in taken if one.column.rate is None]
    other = [one for one in taken if one.column.rate is not None and one.column.rate != grid.rate]
    said = []
    if uneven:
        said.append(
            f"Uneven time stamps were brought to {grid.rate:.6g} Hz by cubic splines: {', '.join(uneven)}."
        )
    if other:
        rates = ", ".join(f"{one.sensor.name} from {one.column.rate:.6g} Hz" for one in other)
        said.append(f"Resampled to {grid.rate:.6g} Hz, nothing left above half the lower rate: {rates}.")
    return said


def _recorded(
    name: str,
    labels: dict[str, str],
    taken: Sequence[Taken],
    pace: tuple[SpeedPoints, float | None] | None,
    grid: Grid,
    notes: list[HealthNote],
    done: list[str],
) -> Recording:
    """One stretch, on its clock and upright, with what is wrong with it."""
    samples = room(len(taken) + bool(pace), grid.count)
    for row, one in enumerate(taken):
        for where, part in on_grid(one.column, grid):
            samples[row, where] = part * one.factor
    speed = samples[-1] if pace else None
    if pace:
        done = [*done, *_paced(samples, len(taken), pace, grid, notes)]
    sensors, turned, said = set_upright(samples, [one.sensor for one in taken], grid, speed)
    found, dead = of_ride(samples, sensors, grid, [nominal_rate(one.column) for one in taken])
    kept = [row for row in range(len(sensors)) if row not in dead] or list(range(len(sensors)))
    rows = [*kept, *([len(sensors)] if pace else [])]
    channels = [Channel(sensors[row].name, "m/s^2") for row in kept] + [Channel(SPEED, "m/s")] * bool(pace)
    held = samples if len(rows) == len(samples) else samples[rows]
    ride = Ride(name, grid.rate, grid.start, tuple(channels), held, labels)
    told, clocks = (*notes, *turned, *found), tuple(taken[row].clock for row in kept)
    return Recording(
        ride,
        tuple(sensors[row] for row in kept),
        SPEED if pace else None,
        told,
        (*done, *said),
        clocks if any(clocks) else (),
    )


def _paced(
    samples: Any, channels: int, pace: tuple[SpeedPoints, float | None], grid: Grid, notes: list[HealthNote]
) -> list[str]:
    """Fills in the speed, late readings put right; what was done, in sentences."""
    points, lag = pace
    filled(points, grid, samples[-1], lag or 0.0)
    said = []
    if points.step:
        said.append(f"The speed was rounded to {points.step:.2g} m/s: smoothed by no more than that.")
    if lag is not None:
        return [*said, f"The speed was taken {lag:g} s earlier, as told."] if lag else said
    found = lag_of(samples, channels, grid, points)
    if found.seconds:
        filled(points, grid, samples[-1], found.seconds)
        notes.append(HealthNote(SPEED, "lag", grid.start, grid.end, found.said, TAKEN_OFF))
    return [*said, f"Lag of the speed: {found.said}."]
