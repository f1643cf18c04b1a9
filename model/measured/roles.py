"""Which column of a recording is which sensor, and which one is the road speed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ..faults import CounterbounceError, Fault, nearest
from .columns import Column
from .sensors import Sensor, Speedometer, from_header, kind_of

EXAMPLE = "driver's floor [m/s^2]"
SPEED_EXAMPLE = "speed [km/h]"
AXES = "xyz"
_AXIS = re.compile(r"(?P<stem>.*?)[ _,.-]*(?P<axis>[xyzXYZ])")
_PLAIN_STEMS = {"", "a", "acc", "accel", "acceleration", "g", "linear acceleration", "gf"}


@dataclass(frozen=True)
class Taken:
    """A column that goes into the ride: its sensor, and how much one reading is [m/s^2], sign included.

    clock  number of the device whose clock it was on; phases between two devices are not known
    """

    sensor: Sensor
    column: Column
    factor: float
    clock: int = 0


@dataclass(frozen=True)
class Pace:
    """The column of the road speed: how much one reading is [m/s], or [m] where it counts pulses."""

    column: Column
    factor: float
    counts: bool
    lag: float | None


def chosen(
    columns: Sequence[Column], sensors: Sequence[Sensor], speed: Speedometer | None
) -> tuple[list[Taken], Pace | None, list[str]]:
    """Acceleration columns, the road speed, and in sentences what was left aside.

    Raises CounterbounceError with all that is wrong.

    >>> seat = Column("seat", "g", (0.0, 1.0), 200.0, file="a.csv")
    >>> taken, pace, said = chosen([seat, Column("oil", "bar", (1.0, 1.0), 1.0)], (), None)
    >>> taken[0].sensor.name, round(taken[0].factor, 3), said
    ('seat', 9.807, ['Not used, being neither acceleration nor speed: oil [bar].'])
    """
    faults: list[Fault] = []
    pace = _pace(columns, sensors, speed, faults)
    rest = [one for one in columns if pace is None or one is not pace.column]
    taken = list(_by_sensors(rest, sensors, faults)) if sensors else _triads(list(_by_header(rest, faults)))
    for name in sorted({one.sensor.name for one in taken if _often(one, taken)}):
        alike = list(dict.fromkeys(one.column.file for one in taken if one.sensor.name == name))
        wanted = "two columns are this point in this direction"
        if len(alike) > 1:
            wanted += f", here and in {', '.join(alike[1:])}: files that are read together are of one ride"
        faults.append(Fault(alike[0], None, "", name, wanted))
    if not taken and not faults:
        file = columns[0].file if columns else ""
        given = ", ".join(f"{one.name} [{one.unit}]".removesuffix(" []") for one in columns[:12])
        faults.append(Fault(file, None, "", given, "wanted a column of acceleration", example=EXAMPLE))
    if faults:
        raise CounterbounceError(faults)
    used = {id(one.column) for one in taken} | ({id(pace.column)} if pace else set())
    left = [f"{one.name} [{one.unit}]".removesuffix(" []") for one in columns if id(one) not in used]
    said = [f"Not used, being neither acceleration nor speed: {', '.join(left)}."] if left else []
    return taken, pace, said


def _often(one: Taken, taken: Sequence[Taken]) -> bool:
    """Whether two sensors have one name; three axes of unknown direction may."""
    alike = sum(other.sensor.name == one.sensor.name for other in taken)
    return alike > 1 and not (one.sensor.direction == "unknown" and alike == 3)


def _by_header(columns: Sequence[Column], faults: list[Fault]) -> Iterator[Taken]:
    """Every column with a unit of acceleration, named as its header says."""
    kinds = [kind_of(column.unit) for column in columns]
    for column, kind in zip(columns, kinds, strict=True):
        if kind is None:
            wanted = "wanted a unit such as m/s^2 or g"
            faults.append(Fault(column.file, None, column.name, column.unit, wanted, example=EXAMPLE))
        elif kind[0] == "acceleration":
            yield Taken(from_header(column.name), column, kind[1])
    bare = [one for one, kind in zip(columns, kinds, strict=True) if kind and kind[0] in ("none", "voltage")]
    if not faults and not any(kind and kind[0] == "acceleration" for kind in kinds):
        for one in bare:
            wanted = "wanted a unit of acceleration in its header, or a sensor with the size of one unit"
            example = f'{one.name} [m/s^2], or --sensor "{one.name} = driver\'s floor, 1 m/s^2"'
            faults.append(Fault(one.file, None, one.name, one.unit, wanted, example=example))


def _triads(taken: list[Taken]) -> list[Taken]:
    """Three columns whose names differ by x, y and z alone are one sensor whose axes nobody knows."""
    stems: dict[str, dict[str, Taken]] = {}
    for one in taken:
        if found := _AXIS.fullmatch(one.column.name.strip()):
            stems.setdefault(found["stem"].casefold(), {})[found["axis"].casefold()] = one
    points = {
        id(one): "phone" if stem in _PLAIN_STEMS else stem
        for stem, axes in stems.items()
        if set(axes) == set(AXES)
        for one in axes.values()
    }
    return [
        replace(one, sensor=Sensor(one.column.name, points[id(one)], "unknown")) if id(one) in points else one
        for one in taken
    ]


def _by_sensors(columns: Sequence[Column], sensors: Sequence[Sensor], faults: list[Fault]) -> Iterator[Taken]:
    for sensor in sensors:
        column = _named(columns, sensor.column, faults)
        if column is None:
            continue
        factor = _factor(sensor, column, faults)
        if factor is not None:
            yield Taken(sensor, column, factor * sensor.upright)


def _named(columns: Sequence[Column], name: str, faults: list[Fault]) -> Column | None:
    """The one column of a name."""
    alike = [one for one in columns if one.name == name] or [
        one for one in columns if one.name.casefold() == name.casefold()
    ]
    if len(alike) == 1:
        return alike[0]
    names = list(dict.fromkeys(one.name for one in columns))
    files = " and ".join(dict.fromkeys(one.file for one in alike or columns))
    wanted = (
        f"two columns have this name in {files}"
        if alike
        else f"no such column; there are {', '.join(names[:12])}"
    )
    faults.append(Fault(files, None, "", name, wanted, nearest(name, names)))
    return None


def _factor(sensor: Sensor, column: Column, faults: list[Fault]) -> float | None:
    """How much one reading of a sensor's column is [m/s^2]."""
    kind = kind_of(column.unit)
    if kind and kind[0] == "acceleration" and sensor.sensitivity is None:
        return kind[1]
    if kind and kind[0] in ("voltage", "none") and sensor.sensitivity is not None:
        return kind[1] * sensor.sensitivity
    if kind and kind[0] == "acceleration":
        wanted = "no sensitivity for it: the column carries a unit of acceleration already"
    elif kind and kind[0] in ("voltage", "none"):
        wanted = "wanted a sensitivity in its [[sensor]]"
    else:
        wanted = "wanted a unit of acceleration, or a voltage with a sensitivity"
    given = f"{column.name} [{column.unit}]"
    faults.append(Fault(column.file, None, "", given, wanted, example='sensitivity = "100 mV/g"'))
    return None


# --- the road speed ---------------------------------------------------------------------------------------


def _pace(
    columns: Sequence[Column], sensors: Sequence[Sensor], speed: Speedometer | None, faults: list[Fault]
) -> Pace | None:
    if speed is not None:
        column = _named(columns, speed.column, faults)
        return None if column is None else _paced(column, speed, faults)
    own = {sensor.column for sensor in sensors}
    kinds = [(one, kind_of(one.unit)) for one in columns if one.name not in own]
    fast = [one for one, kind in kinds if kind and kind[0] == "speed"]
    fast.sort(key=lambda one: "speed" not in one.name.casefold())
    return _paced(fast[0], Speedometer(fast[0].name), faults) if fast else None


def _paced(column: Column, speed: Speedometer, faults: list[Fault]) -> Pace | None:
    kind, one = kind_of(column.unit) or ("other", 1.0)
    per_second = column.unit.strip().casefold() in ("hz", "pulse/s", "pulses/s", "count/s")
    pulses = 1 / speed.per_metre if speed.per_metre else None
    if kind == "speed":
        return Pace(column, one, False, speed.lag)
    if pulses and per_second:
        return Pace(column, pulses, False, speed.lag)
    if pulses and kind == "count":
        return Pace(column, pulses, True, speed.lag)
    if kind == "turning" and speed.circumference:
        return Pace(column, one * speed.circumference, False, speed.lag)
    wanted = {
        "turning": "wanted the circumference that rolls in one turn",
        "count": "wanted how many pulses there are in a metre",
    }.get(kind, "wanted a unit of speed, of turning with a circumference, or pulses")
    faults.append(Fault(column.file, None, column.name, column.unit, wanted, example=SPEED_EXAMPLE))
    return None
