"""A host for a damper as files describe it: curves in universal files or CSV, modes in CSV or TOML."""

from __future__ import annotations

import csv
import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..model.curve_files import PER_NEWTON, Curve, Kind, read_curves
from ..model.faults import CounterbounceError, Fault, nearest
from ..model.unit_names import factor
from ..model.units import UnitFault, Wants, read

Floats = NDArray[np.float64]

UNIVERSAL = (".unv", ".uff")
ROAD = "road"  # a reference that is a height, not a force
CURVE_EXAMPLE = '"rear end per rear end real [m/N]", and the same with "imaginary"'
MODE_EXAMPLE = '"frequency [Hz], damping [%], modal mass [kg], rear end, driver\'s floor"'
_HEAD = re.compile(r"(?P<what>.+?)\s*\[(?P<unit>[^\]]*)\]")
_CURVE = re.compile(r"(?P<ends>.+ per .+) (?P<part>real|imaginary)")
_MODE_KEYS = {
    "frequency": Wants("Hz", "9.9 Hz", above=0.0),
    "damping": Wants("", "3 %", above=0.0, below=1.0, pure=True),
    "modal_mass": Wants("kg", "2.4 t", above=0.0),
}


@dataclass(frozen=True)
class ModeTable:
    """The modes of a host.

    natural_hz     [Hz] (n,)
    damping_ratio  [-] (n,)
    modal_mass     [kg] (n,)
    shapes         by point, [any unit, one for all points of a mode] (n,)
    """

    natural_hz: Floats
    damping_ratio: Floats
    modal_mass: Floats
    shapes: Mapping[str, Floats]


def read_host(path: str, unit: str = "") -> tuple[Curve, ...] | ModeTable:
    """What a file knows of a host, in SI.  Raises CounterbounceError with every fault of the file.

    unit  what the numbers of a universal file are, such as "mm/N", where it does not say
    """
    suffix = Path(path).suffix.lower()
    if suffix not in (*UNIVERSAL, ".csv", ".toml"):
        wanted = "wanted a name that ends in .unv, .uff, .csv or .toml"
        raise CounterbounceError([Fault("FILE", None, "", repr(path), wanted)])
    if suffix in UNIVERSAL:
        return _universal(path, unit)
    try:
        text = Path(path).read_text(encoding="utf-8-sig")
    except OSError as fault:
        raise _one(path, f"cannot be read: {fault.strerror}") from None
    except UnicodeDecodeError:
        raise _one(path, "is not written in UTF-8") from None
    return _modes_of_toml(path, text) if suffix == ".toml" else _csv(path, text)


def unit_fault(file: str, key: str, fault: UnitFault) -> Fault:
    """A quantity that could not be read, as a fault of the input it stands in."""
    wanted = fault.wanted + (f" ({fault.hint})" if fault.hint else "")
    return Fault(file, None, key, fault.given, wanted, fault.near, fault.example)


def _one(path: str, wanted: str, key: str = "", example: str = "") -> CounterbounceError:
    return CounterbounceError([Fault(path, None, key, "", wanted, example=example)])


def _universal(path: str, unit: str) -> tuple[Curve, ...]:
    try:
        curves = read_curves(path, unit)
    except ValueError as fault:
        wanted = f"is not a unit of every curve in the file: {fault}".rstrip(": ")
        raise CounterbounceError([Fault("", None, "--unit", unit, wanted, example='"m/s^2/N"')]) from None
    if not all(c.unit_known for c in curves):
        raise _one(path, 'does not say in which unit it is: give --unit, such as --unit "m/s^2/N"')
    return curves


# --- CSV --------------------------------------------------------------------------------------------------


def _csv(path: str, text: str) -> tuple[Curve, ...] | ModeTable:
    listed = enumerate(text.splitlines(), 1)
    lines = {n: line for n, line in listed if line.strip() and not line.startswith("#")}
    if len(lines) < 2:
        raise _one(path, "wanted a header line and lines of numbers", example=CURVE_EXAMPLE)
    mark = max(";\t,", key=next(iter(lines.values())).count)
    first, *rows = csv.reader(lines.values(), delimiter=mark, skipinitialspace=True)
    header = [name.strip() for name in first]
    table = _numbers(path, header, dict(zip([*lines][1:], rows, strict=True)))
    columns = dict(zip(header, table.T, strict=True))
    if len(columns) < len(header):
        twice = next(name for name in header if header.count(name) > 1)
        raise _one(path, "stands in the header twice", twice)
    return (
        _modes_of(path, columns) if any(n.startswith("damping") for n in columns) else _curves(path, columns)
    )


def _numbers(path: str, header: Sequence[str], rows: Mapping[int, Sequence[str]]) -> Floats:
    """The rows of a table, each under the number of its line."""
    faults, table = [], np.empty((len(rows), len(header)))
    for i, (line, row) in enumerate(rows.items()):
        if len(row) != len(header):
            wanted = f"wanted {len(header)} numbers, as the header has"
            faults.append(Fault(path, line, "", f"{len(row)} numbers", wanted))
            continue
        for j, cell in enumerate(row):
            try:
                table[i, j] = float(cell)
            except ValueError:
                table[i, j] = np.nan
            if not np.isfinite(table[i, j]):
                wanted = "wanted a number, with a point"
                faults.append(Fault(path, line, header[j], repr(cell[:40]), wanted))
    if faults:
        raise CounterbounceError(faults[:20])
    return table


def _frequency(path: str, columns: Mapping[str, Floats], example: str) -> tuple[str, Floats]:
    for name, values in columns.items():
        found = _HEAD.fullmatch(name)
        if found and found["what"] == "frequency":
            return name, values * _unit(path, name, found["unit"], "Hz")
    near = next((name for name in columns if nearest(name.split("[")[0], ["frequency"])), "")
    raise CounterbounceError([Fault(path, None, "", "", 'has no column "frequency [Hz]"', near, example)])


def _unit(path: str, column: str, unit: str, wanted: str) -> float:
    try:
        return factor(unit, wanted)
    except ValueError as hint:
        said = f"wanted a unit like {wanted}" + (f" ({hint})" if str(hint) else "")
        raise CounterbounceError([Fault(path, None, column, unit, said)]) from None


def _curves(path: str, columns: Mapping[str, Floats]) -> tuple[Curve, ...]:
    name, frequency = _frequency(path, columns, CURVE_EXAMPLE)
    parts: dict[str, dict[str, tuple[Kind, Floats]]] = {}
    faults: list[Fault] = []
    for column, values in columns.items():
        if column == name:
            continue
        found = _part(path, column)
        if isinstance(found, Fault):
            faults.append(found)
        else:
            ends, part, kind, scale = found
            parts.setdefault(ends, {})[part] = kind, values * scale
    if not parts and not faults:
        faults.append(Fault(path, None, "", "", "holds no curve", example=CURVE_EXAMPLE))
    if not faults:
        for ends, both in parts.items():
            if len(both) != 2 or both["real"][0] != both["imaginary"][0]:
                wanted = "wanted a column real and a column imaginary, in units of one kind"
                faults.append(Fault(path, None, ends, "", wanted))
    if faults:
        raise CounterbounceError(faults)
    curves = []
    for ends, both in parts.items():
        response, _, reference = ends.partition(" per ")
        (kind, real), (_, imaginary) = both["real"], both["imaginary"]
        curves.append(Curve(response, reference, frequency, real.astype(complex) + 1j * imaginary, kind))
    return tuple(curves)


def _part(path: str, column: str) -> tuple[str, str, Kind, float] | Fault:
    """Which curve a column is of, which part of it, and what its numbers are."""
    head = _HEAD.fullmatch(column)
    curve = _CURVE.fullmatch(head["what"]) if head else None
    if head is None or curve is None:
        return Fault(path, None, column, "", "is no curve", example=CURVE_EXAMPLE)
    known = _kind(curve["ends"].endswith(f" per {ROAD}"), head["unit"])
    if known is None:
        wanted = f"wanted a unit like {', '.join(PER_NEWTON.values())}, or m/m of the {ROAD}"
        return Fault(path, None, column, head["unit"], wanted)
    return curve["ends"], curve["part"], *known


def _kind(over_road: bool, unit: str) -> tuple[Kind, float] | None:
    """Which motion per what a unit is of, and how many SI units one of it is."""
    wanted: dict[Kind, str] = {"receptance": "m/m"} if over_road else PER_NEWTON
    for kind, si in wanted.items():
        try:
            return kind, factor(unit, si)
        except ValueError:
            pass
    return None


def _modes_of(path: str, columns: Mapping[str, Floats]) -> ModeTable:
    name, natural = _frequency(path, columns, MODE_EXAMPLE)
    ratio, mass, shapes = None, np.ones(len(natural)), {}
    for column, values in columns.items():
        head = _HEAD.fullmatch(column)
        what = head["what"] if head else column
        if what == "damping":
            ratio = values * (0.01 if head and head["unit"] == "%" else 1.0)
        elif what == "modal mass":
            mass = values * _unit(path, column, head["unit"] if head else "", "kg")
        elif column != name:
            shapes[column] = values
    assert ratio is not None
    return _checked(path, ModeTable(natural, ratio, mass, shapes))


def _checked(path: str, table: ModeTable) -> ModeTable:
    """A table whose numbers can be modes."""
    named = {"frequency": table.natural_hz, "damping": table.damping_ratio, "modal mass": table.modal_mass}
    faults = [
        Fault(path, None, f"mode {i + 1}, {name}", f"{values[i]:g}", "wanted more than zero")
        for name, values in named.items()
        for i in np.flatnonzero(~(values > 0))
    ]
    faults += [
        Fault(path, None, f"mode {i + 1}, damping", f"{table.damping_ratio[i]:g}", "wanted less than 1, or %")
        for i in np.flatnonzero(table.damping_ratio >= 1)
    ]
    if not table.shapes:
        faults.append(Fault(path, None, "", "", "has no shapes", example=MODE_EXAMPLE))
    if faults:
        raise CounterbounceError(faults)
    return table


# --- TOML -------------------------------------------------------------------------------------------------


def _modes_of_toml(path: str, text: str) -> ModeTable:
    try:
        listed = tomllib.loads(text).get("mode", [])
    except tomllib.TOMLDecodeError as fault:
        raise _one(path, f"is no TOML: {fault}") from None
    if not (isinstance(listed, list) and listed and all(isinstance(one, dict) for one in listed)):
        example = '[[mode]] with frequency = "9.9 Hz", damping = "3 %", shape = { "rear end" = 1.0 }'
        raise _one(path, "has no [[mode]]", example=example)
    faults: list[Fault] = []
    modes = [_mode(path, f"mode {n}", one, faults) for n, one in enumerate(listed, 1)]
    shapes = [one.get("shape") for one in listed]
    points = sorted({point for shape in shapes if isinstance(shape, dict) for point in shape})
    faults += [
        f for n, shape in enumerate(shapes, 1) for f in _shape_faults(path, f"mode {n}", shape, points)
    ]
    if faults:
        raise CounterbounceError(faults)
    natural, ratio, mass = (np.array([mode[key] for mode in modes]) for key in _MODE_KEYS)
    by_point = {p: np.array([one["shape"][p] for one in listed], dtype=float) for p in points}
    return _checked(path, ModeTable(natural, ratio, mass, by_point))


def _mode(path: str, name: str, given: Mapping[str, Any], faults: list[Fault]) -> dict[str, float]:
    """The numbers of one mode; what is wrong with them goes to `faults`."""
    known = [*_MODE_KEYS, "shape"]
    for key in sorted(given.keys() - known):
        faults.append(Fault(path, None, f"{name}, {key}", "", "no such key here", nearest(key, known)))
    found = {"modal_mass": 1.0}
    for key, wants in _MODE_KEYS.items():
        if key == "modal_mass" and key not in given:
            continue
        try:
            found[key] = read(given.get(key, ""), wants).value
        except UnitFault as fault:
            faults.append(unit_fault(path, f"{name}, {key}", fault))
    return found


def _shape_faults(path: str, name: str, shape: Any, points: Sequence[str]) -> list[Fault]:
    if not isinstance(shape, dict):
        example = '{ "rear end" = 1.0, "driver\'s floor" = -0.4 }'
        return [Fault(path, None, f"{name}, shape", "", "wanted a number for each point", example=example)]
    wrong = [p for p in points if not _is_number(shape.get(p))]
    return [
        Fault(path, None, f"{name}, shape, {p}", repr(shape.get(p, "")), "wanted a number") for p in wrong
    ]


def _is_number(given: Any) -> bool:
    return isinstance(given, int | float) and not isinstance(given, bool) and bool(np.isfinite(given))
