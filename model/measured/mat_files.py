"""Recordings in MAT files: version 7 and older, and version 7.3, which is HDF5.

Both are unfolded to the same: a name to a number, a text, an array, a list of texts, or again such a mapping.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Mapping, Sequence
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np

from .columns import INSTALL, Column, Found, even_clock, pieces, refused, room

MOST_CHANNELS = 256
DEEPEST = 4  # structs within structs that are looked into
TIMES = ("t", "time", "times", "Time", "T")
RATES = ("rate", "fs", "Fs", "FS", "sample_rate", "rate_hz")
VALUES = ("values", "data", "Data", "Values")
UNITS = ("units", "unit", "Units", "Unit")
NAMES = ("names", "labels", "Names")
CALLED = ("name", "label", "title")
HDF5 = b"\x89HDF\r\n\x1a\n"  # how such a file begins, or goes on behind its first 512 bytes
UNFOLDED = 32_000_000  # [byte] of one array, above which it goes piece by piece to a temporary file


def read_mat(path: Path, rate: float | None = None) -> Found:
    """The vectors of a MAT file: alone or in structs, with a time vector [s] or rate beside them.

    A matrix goes with `names`; `units` stand in a cell array in the same order, or in a struct by name.  A
    struct with `values` or `data`, and if need be `unit`, `time` or `rate`, is one channel.  Files of version
    7 and older are held in memory whole.

    rate  [Hz] of a file that has neither a time vector nor a rate
    """
    fields = _newer(path) if _is_hdf5(path) else _older(path)
    columns = tuple(_columns(fields, rate, str(path)))
    if not columns:
        raise refused(str(path), "holds no vectors of numbers with a time vector beside them, or a rate")
    if len(columns) > MOST_CHANNELS:
        raise refused(str(path), f"has {len(columns)} vectors, wanted {MOST_CHANNELS} at most")
    return Found(columns, {}, (f"Read {len(columns)} vectors.",))


def _older(path: Path) -> dict[str, Any]:
    from scipy.io import loadmat

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        held = loadmat(path, simplify_cells=True)
    return {key: value for key, value in held.items() if not key.startswith("__")}


# --- version 7.3 --------------------------------------------------------------------------------------------


def _is_hdf5(path: Path) -> bool:
    with path.open("rb") as stream:
        head = stream.read(512 + len(HDF5))
    return head.startswith(HDF5) or head[512:] == HDF5


def _newer(path: Path) -> dict[str, Any]:
    try:
        library = import_module("h5py")
    except ImportError:
        said = "is of version 7.3, which needs the library h5py"
        raise refused(str(path), f"{said}: {INSTALL} (or save it with '-v7')") from None
    with library.File(path, "r") as held:
        return {name: _unfolded(one, held, 1) for name, one in held.items() if not name.startswith("#")}


def _unfolded(one: Any, held: Any, depth: int) -> Any:
    """A group as a mapping, a dataset as a number, a text, an array or a list; None for anything else."""
    if hasattr(one, "items"):
        fields = (
            {} if depth > DEEPEST else {name: _unfolded(part, held, depth + 1) for name, part in one.items()}
        )
        return _by_channel(fields)
    if one.attrs.get("MATLAB_empty", 0):
        return np.zeros(0)
    kind = one.attrs.get("MATLAB_class", b"").decode()
    if one.dtype.kind == "O":  # references: a cell array, or the fields of several structs
        if one.size > MOST_CHANNELS or depth > DEEPEST:
            return None
        return [_unfolded(held[part], held, depth + 1) for part in one[()].T.ravel()]
    if kind == "char":
        return "".join(map(chr, one[()].T.ravel().tolist())) if one.size < 10_000 else ""
    return _numbers(one) if one.dtype.kind in "fiu" else None


def _by_channel(fields: dict[str, Any]) -> dict[str, Any]:
    """A row of structs, held as one list for each field, as one struct for each channel."""
    lists = {name: value for name, value in fields.items() if isinstance(value, list)}
    called, values = _field(lists, CALLED), _field(lists, VALUES)
    if not called or not values or len(called) != len(values) or not all(isinstance(n, str) for n in called):
        return fields
    whole = {name: value for name, value in lists.items() if len(value) == len(called)}
    return {name: {field: value[i] for field, value in whole.items()} for i, name in enumerate(called)}


def _numbers(one: Any) -> Any:
    """A number, a vector, or a matrix turned as it was written: the file holds it column by column."""
    if one.size == 1:
        return float(one[()].ravel()[0])
    if one.ndim != 2 or one.size * 8 <= UNFOLDED or one.shape[0] > one.shape[1]:
        found = one[()].T
    else:
        kept = room(*one.shape)
        for where in pieces(one.shape[1]):
            kept[:, where] = one[:, where]
        found = kept.T
    return found.ravel() if 1 in found.shape and found.ndim == 2 else found


# --- what is a channel --------------------------------------------------------------------------------------


def _columns(
    fields: Mapping[str, Any], rate: float | None, file: str, depth: int = 0, before: str = ""
) -> Iterator[Column]:
    """Every channel of a struct, and of the structs in it."""
    clock, units = _clock(fields, rate), _field(fields, UNITS)
    names = _field(fields, NAMES)
    inner = [key for key, value in fields.items() if isinstance(_listed(value), dict) and key not in UNITS]
    for key, held in fields.items():
        value, called = _listed(held), f"{before}{key}"
        if key in (*TIMES, *RATES, *NAMES, *UNITS):
            continue
        if isinstance(value, dict) and _is_vector(_field(value, VALUES)):
            own, unit = _clock(value, None), _field(value, UNITS)
            own = clock if own is None else own
            yield from _column(
                called, unit if isinstance(unit, str) else "", _field(value, VALUES), own, file
            )
        elif isinstance(value, dict) and depth < DEEPEST:
            step = clock if isinstance(clock, float) else None
            deeper = dict(zip(TIMES, [clock], strict=False)) if _is_vector(clock) else {}
            group = f"{called} " if len(inner) > 1 else before
            yield from _columns({**deeper, **value}, step, file, depth + 1, group)
        elif isinstance(value, np.ndarray) and value.ndim == 2 and value.dtype.kind in "fiu":
            upright = value if len(value) >= value.shape[1] else value.T
            own_names = (
                names if isinstance(names, list | np.ndarray) and len(names) == upright.shape[1] else None
            )
            for i, vector in enumerate(upright.T):
                name = str(own_names[i]) if own_names is not None else f"{called} {i + 1}"
                yield from _column(name, _unit(units, name, i), vector, clock, file)
        elif _is_vector(value):
            yield from _column(called, _unit(units, key, None), value, clock, file)


def _field(fields: Mapping[str, Any], names: Sequence[str]) -> Any:
    """The first of some fields that is there; None where none is."""
    return next((fields[name] for name in names if name in fields), None)


def _listed(value: Any) -> Any:
    """A row of structs that tell their names, as one struct by name; all else as it is."""
    if not (isinstance(value, list) and value and all(isinstance(one, dict) for one in value)):
        return value
    called = [_field(one, CALLED) for one in value]
    return dict(zip(called, value, strict=True)) if all(isinstance(name, str) for name in called) else value


def _is_vector(value: Any) -> bool:
    return isinstance(value, np.ndarray) and value.ndim == 1 and value.dtype.kind in "fiu" and len(value) > 1


def _unit(units: Any, name: str, index: int | None) -> str:
    """The unit of a channel, out of a struct by name, a list in the same order, or one text for all."""
    if units is None or isinstance(units, dict):
        return str((units or {}).get(name, ""))
    listed = [units] if isinstance(units, str) else list(np.atleast_1d(units))
    if index is not None and index < len(listed):
        return str(listed[index])
    return str(listed[0]) if len(listed) == 1 else ""


def _clock(fields: Mapping[str, Any], rate: float | None) -> Any:
    """Time vector [s], or rate [Hz], as far as there is one."""
    times, own = _field(fields, TIMES), _field(fields, RATES)
    if _is_vector(times):
        return np.asarray(times, dtype=float)
    return float(own) if isinstance(own, int | float) else rate


def _column(name: str, unit: str, values: Any, clock: Any, file: str) -> Iterator[Column]:
    if isinstance(clock, float):
        yield Column(name, unit, values, clock, 0.0, None, file)
    elif clock is not None and len(clock) == len(values):
        even = even_clock(clock)
        step, start = even or (None, 0.0)
        yield Column(name, unit, values, step, start, None if even else clock, file)
