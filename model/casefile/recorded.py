"""Where a case file says its recordings were taken, how the vehicle was driven, and what contradicts it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..measured.sensors import Sensor, Speedometer, sensitivity_of, tilt_of
from .key_faults import Finding
from .lines import Key
from .recording_keys import SensorTable
from .schema import CaseFile
from .vehicle_checks import places, unknown

LABELS = ("gear", "load", "cold_pressure", "road", "heading", "wheels")


def sensors_of(file: CaseFile) -> tuple[Sensor, ...]:
    """The sensors, in the order of the file."""
    return tuple(_sensor(table) for table in file.sensor)


def _sensor(table: SensorTable) -> Sensor:
    return Sensor(
        column=table.column,
        point=table.point,
        direction=table.direction,
        side=table.side or "",
        sign=float(table.sign),
        sensitivity=None if table.sensitivity is None else sensitivity_of(table.sensitivity),
        tilt=0.0 if table.tilt is None else tilt_of(table.tilt),
    )


def labels_of(file: CaseFile) -> Mapping[str, str]:
    """What is known of the run, as text, for a ride to carry."""
    run = file.recording
    said = {name.replace("_", " "): getattr(run, name) for name in LABELS if getattr(run, name) is not None}
    return said if run.neutral is None else {**said, "neutral": "yes" if run.neutral else "no"}


def speedometer_of(file: CaseFile) -> Speedometer | None:
    """The column of the road speed, where the file names one."""
    run = file.recording
    if run.speed is None:
        return None
    given = (run.circumference, run.pulses_per_metre, run.speed_lag)
    return Speedometer(run.speed, *(None if reading is None else reading.value for reading in given))


def recording_findings(file: CaseFile) -> Iterator[Finding]:
    """What the sensors and the run say against each other."""
    seen: dict[str, int] = {}
    columns: set[str] = set()
    for index, (table, sensor) in enumerate(zip(file.sensor, sensors_of(file), strict=True)):
        at: Key = ("sensor", index)
        yield from unknown((*at, "point"), table.point, places(file), "point")
        if table.column in columns:
            yield Finding(
                (*at, "column"), table.column, "another column: this one is another sensor's already"
            )
        columns.add(table.column)
        seen[sensor.name] = seen.get(sensor.name, 0) + 1
        if seen[sensor.name] > (3 if table.direction == "unknown" else 1):
            wanted = "another point, direction or side: this one has a sensor already"
            yield Finding((*at, "point"), sensor.name, wanted)
    for index, sensor in enumerate(sensors_of(file)):
        if sensor.direction == "unknown" and seen[sensor.name] < 3:
            wanted = "three sensors of unknown direction at a point, or one whose direction is known"
            yield Finding(("sensor", index, "direction"), "unknown", wanted)
    yield from _speed(file)


def _speed(file: CaseFile) -> Iterator[Finding]:
    """What belongs to the column of the speed stands beside it, and there is one way to read it."""
    run = file.recording
    for name in ("circumference", "pulses_per_metre", "speed_lag"):
        if getattr(run, name) is not None and run.speed is None:
            yield Finding(
                ("recording", name), "", "recording.speed beside it: the column", example='speed = "speed"'
            )
    if run.circumference and run.pulses_per_metre:
        others: tuple[Key, ...] = (("recording", "circumference"),)
        wanted = "circumference or pulses_per_metre, not both"
        yield Finding(("recording", "pulses_per_metre"), "", wanted, others=others)
