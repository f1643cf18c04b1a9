"""Recordings read for the command `read`: all that was asked of them, and all that was found."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from ..model.case import Case, load
from ..model.faults import CounterbounceError, Fault
from ..model.measured.columns import Began, Column
from ..model.measured.evidence import evidence
from ..model.measured.files import read_columns
from ..model.measured.findings import Evidence
from ..model.measured.notes import HealthNote
from ..model.measured.recording import Recording, read_stretches
from ..model.measured.rotation import Shaft, shaft_from_times, shaft_from_waveform
from ..model.measured.sensors import Sensor
from ..model.measured.table_clock import SINCE_1970
from ..model.measured.travelled import Slow, slowed
from ..model.numbers import Missing
from ..model.said import Said
from ..model.units import Display

AS_IT_IS = 1.0  # [Hz] of a list of times: its lines are counted, not its seconds
MOSTLY = 0.9  # [-] of the steps of a list of times that go up
BLOCK = 1 << 18  # samples of a waveform read at a time


@dataclass(frozen=True)
class Asked:
    """What is to be read, and what is known beside it; None where it is not.

    circumference  [m] rolling
    axle_ratio     [-] turns of the propshaft per turn of a wheel
    gear_ratio     [-] turns of the shaft with the pulses per turn of the propshaft
    rate           [Hz] of files that do not say their times
    teeth          [-] of the wheel that makes the pulses, and how many of them are missing
    """

    files: tuple[str, ...]
    case: str | None = None
    circumference: float | None = None
    axle_ratio: float | None = None
    gear_ratio: float | None = None
    rate: float | None = None
    sensors: tuple[Sensor, ...] = ()
    pulses: str | None = None
    teeth: int = 1
    missing: int | None = None

    @property
    def shaft_ratio(self) -> float | None:
        """Turns of the shaft with the pulses per turn of a wheel [-], where both ratios are known."""
        return self.axle_ratio * self.gear_ratio if self.axle_ratio and self.gear_ratio else None


@dataclass(frozen=True)
class Heard:
    """A recording, what was found wrong with it, and what it says.

    asked      what was known of it, the case's numbers included
    slow       the recording on a slow clock, for pictures
    stretches  how many gaps left; the longest one was read
    hashes     SHA-256 of each file by its name
    name       that it goes by beside others
    """

    asked: Asked
    case: Case | None
    recording: Recording
    slow: Slow
    shaft: Shaft | None
    evidence: Evidence
    stretches: int
    hashes: Mapping[str, str]
    name: str

    @property
    def health(self) -> tuple[HealthNote, ...]:
        """What is wrong with the recording and with its pulses."""
        return (*self.recording.notes, *(self.shaft.notes if self.shaft else ()))

    @property
    def said(self) -> Said:
        """What it said, as a case keeps it."""
        moving = self.slow.speed[self.slow.moving]
        driven = (float(moving.min()), float(moving.max())) if len(moving) else None
        return Said(self.name, self.evidence, self.slow.names, driven)

    @property
    def display(self) -> Display:
        """The units to write in: the case's, or else metric."""
        return self.case.display if self.case else Display()

    @property
    def stations(self) -> dict[str, float]:
        """Where the recorded points are [m] behind the front axle, as far as the case knows them."""
        return stations_of(self.case, self.slow.names) if self.case else {}


def study(asked: Asked) -> Heard:
    """Read some files and say what they tell.  Raises CounterbounceError with what is wrong."""
    return heard(asked, load(asked.case) if asked.case else None)


def heard(asked: Asked, case: Case | None) -> Heard:
    """The same with a case at hand.  Raises CounterbounceError with what is wrong."""
    asked = with_case(asked, case) if case else asked
    named = [*asked.files, *([asked.pulses] if asked.pulses else [])]
    speed, labels = (case.speedometer, case.labels) if case else (None, {})
    found = read_stretches(list(asked.files), asked.sensors, labels, speed, asked.rate)
    recording = max(found, key=lambda one: one.ride.duration)
    shaft = None
    if asked.pulses:
        shaft = shaft_of(asked.pulses, asked.teeth, asked.missing, asked.rate, recording.began)
    said = evidence(recording, asked.circumference, asked.axle_ratio, shaft, asked.shaft_ratio)
    hashes = {Path(name).name: sha256_of(Path(name)) for name in named}
    name = Path(asked.files[0]).stem
    return Heard(asked, case, recording, slowed(recording), shaft, said, len(found), hashes, name)


def heard_each(rides: Sequence[Asked], case: Case) -> tuple[Heard, ...]:
    """Several rides of one vehicle, each with a name of its own.

    Raises CounterbounceError with what is wrong, also where a ride is given twice: it counts once.
    """
    found: list[Heard] = []
    faults: list[Fault] = []
    for one in rides:
        try:
            found.append(heard(one, case))
        except CounterbounceError as error:
            faults += error.faults
    faults += _twice(found, case)
    if faults:
        raise CounterbounceError(faults)
    stems = [one.name for one in found]
    names = [f"{stem} {i}" if stems.count(stem) > 1 else stem for i, stem in enumerate(stems, 1)]
    return tuple(replace(one, name=name) for one, name in zip(found, names, strict=True))


def _twice(found: Sequence[Heard], case: Case) -> Iterator[Fault]:
    known = dict.fromkeys(case.counted, "one that this case was corrected with")
    for file, digest in (item for one in found for item in one.hashes.items()):
        if digest in known:
            yield Fault(file, None, "", "", f"is the same recording as {known[digest]}: it counts once")
        known.setdefault(digest, file)


def with_case(asked: Asked, case: Case) -> Asked:
    """What was asked, and where it says nothing, what the case says: sizes and ratios, no prediction."""
    driven = next((axle for axle in case.plan.axles if axle.driven), case.plan.axles[-1])
    try:
        around = float(case.numbers[f"axle.{driven.name}.circumference"])
    except Missing:
        around = None
    line = case.roads.driveline
    return replace(
        asked,
        circumference=asked.circumference or around,
        axle_ratio=asked.axle_ratio or (line.axle_ratio if line else None),
        gear_ratio=asked.gear_ratio or (line.gear_ratio if line else None),
        sensors=asked.sensors or case.sensors,
    )


def stations_of(case: Case, names: tuple[str, ...]) -> dict[str, float]:
    """Stations [m] of some channels: points of the case, its axles, and left or right of either."""
    from ..model.settle import settled

    vehicle = settled(case.plan, case.numbers)
    known = {name: float(point.station) for name, point in vehicle.points.items()}
    for axle in vehicle.axles:
        known[f"{axle.name} axle"] = float(axle.station)
    points = {name: name.removesuffix(", left").removesuffix(", right") for name in names}
    return {name: known[point] for name, point in points.items() if point in known}


# --- pulses -----------------------------------------------------------------------------------------------


def shaft_of(
    file: str, teeth: int, missing: int | None, rate: float | None, began: Began | None = None
) -> Shaft:
    """A shaft from a file of pulses: their waveform on a clock, or a list of their times [s].

    rate   [Hz] of a waveform that does not say its times
    began  when the zero of the recording's clock was; None: both count from one instant

    A single column of rising numbers without a clock is a list of times.  Raises CounterbounceError.
    """
    try:
        return _shaft_of(file, teeth, missing, rate, began)
    except CounterbounceError as error:  # what knows only pulses does not know whose they are
        raise CounterbounceError([replace(fault, file=file) for fault in error.faults]) from None


def _shaft_of(file: str, teeth: int, missing: int | None, rate: float | None, began: Began | None) -> Shaft:
    try:
        found = read_columns(file, rate)
    except CounterbounceError:
        found = read_columns(file, rate or AS_IT_IS)
        if not found.columns or not _rises(found.columns[0]):
            raise
    columns, later = found.columns, _later(found.began, began)
    if not columns:
        wanted = "holds a clock and nothing else: the times of pulses stand in a column without a heading"
        raise CounterbounceError([Fault(file, None, "", "", wanted)])
    column = columns[0]
    if len(columns) == 1 and _rises(column):
        times = column.part(slice(None))
        since_1970 = began is not None and SINCE_1970[0] < times[0] < SINCE_1970[1]
        return shaft_from_times(times - began.seconds if began and since_1970 else times, teeth, missing)
    if column.rate is None:
        wanted = "wanted an even clock for a waveform of pulses, or one column with the time of each pulse"
        raise CounterbounceError([Fault(file, None, column.name, "", wanted)])
    blocks = (column.part(slice(at, at + BLOCK)) for at in range(0, len(column), BLOCK))
    return shaft_from_waveform(blocks, column.rate, teeth, missing, column.start + later)


def _later(one: Began | None, first: Began | None) -> float:
    """By how much one clock's zero is later than another's [s]; 0 where one of them does not say."""
    if one is None or first is None:
        return 0.0
    later, period = one.seconds - first.seconds, max(one.period, first.period)
    return (later + period / 2) % period - period / 2 if period else later


def _rises(column: Column) -> bool:
    """Whether nearly all values rise: no waveform does, and of times that do not, one fault can tell."""
    some = column.part(slice(0, 4096))
    return len(some) > 2 and bool(np.mean(np.diff(some) > 0) > MOSTLY)


def sha256_of(path: Path) -> str:
    """Of a file's bytes."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
