"""What was measured on the whole vehicle, out of a case file, and what contradicts itself in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

import numpy as np

from ..datum import OF_A_MODE, OF_AN_AXLE, USUAL_ERROR, Datum, What
from ..units import Wants, read
from .evidence_keys import EvidenceTable, phase_of, understood
from .key_faults import Finding
from .lines import Key
from .schema import CaseFile
from .vehicle_checks import places, unknown

WANTED: Mapping[What, Wants] = MappingProxyType(
    {
        "natural frequency": Wants("Hz", "8.7 Hz ± 0.1 Hz", above=0.1, below=100),
        "damping ratio": Wants("", "3 % ± 1 %", above=0, below=0.9, pure=True),
        "effective mass": Wants("kg", "600 kg ± 80 kg", above=1, below=1e6),
        "critical speed": Wants("m/s", "76 km/h ± 2 km/h", above=0, below=150),
        "axle load": Wants("kg", "1770 kg ± 10 kg", above=1, below=1e6),
        "rolling circumference": Wants("m", "2.44 m ± 0.01 m", above=0.1, below=20),
    }
)


def data_of(file: CaseFile) -> tuple[Datum, ...]:
    """The evidence that no number of the file agrees with yet."""
    return tuple(_datum(table) for table in file.evidence if not table.counted)


def _datum(table: EvidenceTable) -> Datum:
    value, half, source = 1.0, USUAL_ERROR[table.what], table.note
    if table.value is not None:
        reading = read(table.value, WANTED[table.what])
        value, source = reading.value, reading.source or source
        half = half * value if reading.half is None else reading.half
    shape = {one.point: one.level * np.exp(1j * phase_of(one.phase)) for one in table.shape}
    return Datum(
        table.what,
        value,
        half,
        mode=table.mode,
        shake=table.shake or "",
        point=table.at,
        axle=table.axle,
        cause=table.cause,
        shape=shape,
        condition=table.condition,
        source=source,
    )


def ties_of(file: CaseFile) -> Mapping[tuple[str, str], float]:
    """Which numbers a calibration left tied to one another, by two paths."""
    ties = file.calibrated.ties if file.calibrated else {}
    return {(one, other): share for one, row in ties.items() for other, share in row.items()}


def evidence_findings(file: CaseFile) -> Iterator[Finding]:
    """What the evidence says against itself and against the vehicle."""
    for index, table in enumerate(file.evidence):
        at: Key = ("evidence", index)
        yield from _value(at, table)
        yield from _belongs(at, table)
        if table.at is not None:
            yield from unknown((*at, "at"), table.at, places(file), "point")
        if table.axle is not None:
            yield from unknown((*at, "axle"), table.axle, file.axle, "axle")
        for number, one in enumerate(table.shape):
            yield from unknown((*at, "shape", number, "point"), one.point, places(file), "point")


def _value(at: Key, table: EvidenceTable) -> Iterator[Finding]:
    if table.what == "shape":
        if table.value is not None:
            yield Finding((*at, "value"), str(table.value), "none for a shape: its points stand in `shape`")
        if len({one.point for one in table.shape}) < 2:
            example = 'shape = [{ point = "front end", level = 1 }, { point = "rear end", level = 2 }]'
            yield Finding((*at, "shape"), "", "two points or more, each once", example=example)
        return
    if fault := understood(table.value, WANTED[table.what]):
        wanted = f"{fault.wanted} ({fault.hint})" if fault.hint else fault.wanted
        yield Finding((*at, "value"), fault.given, wanted, fault.near, fault.example)


def _belongs(at: Key, table: EvidenceTable) -> Iterator[Finding]:
    """Keys that a kind of evidence cannot do without, and keys that say nothing of it."""
    needs = {"axle": table.what in OF_AN_AXLE, "at": table.what == "effective mass"}
    examples = {"axle": 'axle = "rear"', "at": 'at = "rear end"'}
    for name, needed in needs.items():
        given = getattr(table, name)
        if needed and given is None:
            yield Finding((*at, name), "", f"needed for {table.what}", example=examples[name])
        if given is not None and not needed:
            yield Finding((*at, name), given, f"says nothing of {table.what}")
    if table.what in ("damping ratio", "effective mass") and table.mode is None and table.shake is None:
        yield Finding(
            (*at, "mode"),
            "",
            f"mode or shake: of which it is the {table.what}",
            example='mode = "frame bending 1"',
        )
    if table.cause is not None and table.what != "critical speed":
        yield Finding((*at, "cause"), table.cause, f"says nothing of {table.what}")
    if table.shape and table.what != "shape":
        yield Finding((*at, "shape"), "", f"says nothing of {table.what}: write it as evidence of its own")
    if table.mode is not None and table.what not in (*OF_A_MODE, "critical speed"):
        yield Finding((*at, "mode"), table.mode, f"says nothing of {table.what}")
