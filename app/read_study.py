"""Recordings read for the command `read`: all that was asked of them, and all that was found."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from ..model.case import Case, load
from ..model.faults import CounterbounceError, Fault
from ..model.measured.columns import Column
from ..model.measured.evidence import evidence
from ..model.measured.files import read_columns
from ..model.measured.findings import Evidence
from ..model.measured.notes import HealthNote
from ..model.measured.recording import Recording, read_stretches
from ..model.measured.rotation import Shaft, shaft_from_times, shaft_from_waveform
from ..model.measured.sensors import Sensor
from ..model.measured.travelled import Slow, slowed
from ..model.numbers import Missing
from ..model.units import Display

AS_IT_IS = 1.0  # [Hz] of a list of times: its lines are counted, not its seconds
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
    """

    asked: Asked
    case: Case | None
    recording: Recording
    slow: Slow
    shaft: Shaft | None
    evidence: Evidence
    stretches: int
    hashes: Mapping[str, str]

    @property
    def health(self) -> tuple[HealthNote, ...]:
        """What is wrong with the recording and with its pulses."""
        return (*self.recording.notes, *(self.shaft.notes if self.shaft else ()))

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
    case = load(asked.case) if asked.case else None
    asked = with_case(asked, case) if case else asked
    named = [*asked.files, *([asked.pulses] if asked.pulses else [])]
    speed, labels = (case.speedometer, case.labels) if case else (None, {})
    found = read_stretches(list(asked.files), asked.sensors, labels, speed, asked.rate)
    recording = max(found, key=lambda one: one.ride.duration)
    shaft = shaft_of(asked.pulses, asked.teeth, asked.missing, asked.rate) if asked.pulses else None
    said = evidence(recording, asked.circumference, asked.axle_ratio, shaft, asked.shaft_ratio)
    hashes = {Path(name).name: _sha256(Path(name)) for name in named}
    return Heard(asked, case, recording, slowed(recording), shaft, said, len(found), hashes)


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


def shaft_of(file: str, teeth: int, missing: int | None, rate: float | None) -> Shaft:
    """A shaft from a file of pulses: their waveform on a clock, or a list of their times [s].

    rate  [Hz] of a waveform that does not say its times

    A single column of rising numbers without a clock is a list of times.  Raises CounterbounceError.
    """
    try:
        columns = read_columns(file, rate).columns
    except CounterbounceError:
        columns = read_columns(file, rate or AS_IT_IS).columns
        if not columns or not _rises(columns[0]):
            raise
    column = columns[0]
    if len(columns) == 1 and _rises(column):
        return shaft_from_times(column.part(slice(None)), teeth, missing)
    if column.rate is None:
        wanted = "wanted an even clock for a waveform of pulses, or one column with the time of each pulse"
        raise CounterbounceError([Fault(file, None, column.name, "", wanted)])
    blocks = (column.part(slice(at, at + BLOCK)) for at in range(0, len(column), BLOCK))
    return shaft_from_waveform(blocks, column.rate, teeth, missing, column.start)


def _rises(column: Column) -> bool:
    """Whether the values only ever rise: no waveform does."""
    some = column.part(slice(0, 4096))
    return len(some) > 2 and bool((np.diff(some) > 0).all())


def _sha256(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
