"""Keys of recordings in a case file: which column was taken where, and how the vehicle was driven."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Literal

from pydantic import AfterValidator

from ..measured.sensors import sensitivity_of, tilt_of
from ..units import Reading, UnitFault, shorten
from .kinds import Length, Quantity, Ratio, Table, Word, key, needed


def _sensitivity(text: str) -> str:
    return _understood(text, sensitivity_of, '"100 mV/g"')


def _tilt(text: str) -> str:
    return _understood(text, tilt_of, '"12 deg"')


def _understood(text: str, read: Callable[[str], float], example: str) -> str:
    """The text as written, once it has been understood."""
    try:
        read(text)
    except ValueError as error:
        raise UnitFault(shorten(text), str(error), example=example) from None
    return text


class SensorTable(Table):
    """One acceleration column of the recordings."""

    column: Word = needed("its name in the recording", "channel 3")
    point: Word = needed("where it was taken: a point of the vehicle", "rear end")
    direction: Literal["vertical", "fore-aft", "lateral", "unknown"] = key(
        "up, forward or left positive; unknown: one of three axes that gravity will tell",
        "vertical",
        "vertical",
    )
    side: Literal["left", "right"] | None = key("where the point has two", None, "left")
    sign: Literal[1, -1] = key("-1 for a sensor that was mounted upside down", 1, -1)
    sensitivity: Annotated[Word, AfterValidator(_sensitivity)] | None = key(
        "volts per acceleration (g: gravity), or the acceleration of one unit of the file", None, "100 mV/g"
    )
    tilt: Annotated[Word, AfterValidator(_tilt)] | None = key(
        "between its axis and its direction", None, "12 deg"
    )


class RecordingTable(Table):
    """How the vehicle was driven while it was recorded, and which column is its speed."""

    gear: Word | None = key("that was driven in", None, "5")
    neutral: bool | None = key("whether it rolled in neutral", None, False)
    load: Word | None = key("that was on the vehicle", None, "half laden")
    cold_pressure: Word | None = key("of the tyres before the drive", None, "front 5.5 bar, rear 5 bar")
    road: Word | None = key("that was driven on", None, "bypass, km 3 to 9")
    heading: Word | None = key("the way that was driven", None, "northbound")
    wheels: Word | None = key("which wheel was on which position", None, "as found")
    speed: Word | None = key("the column of the road speed", None, "speed")
    circumference: Length = key("rolled in one turn, where that column counts turns", None, "2.47 m")
    pulses_per_metre: Ratio = key("where that column counts pulses", None, 4.0)
    speed_lag: Annotated[Reading | None, Quantity("s", "1.2 s", at_least=0, below=30)] = key(
        "by which that column is late; estimated where not given", None, "1.2 s"
    )
