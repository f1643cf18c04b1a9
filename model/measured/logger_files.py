"""Recordings in Parquet, UFF 58, TDMS and MDF 4 files; each library is loaded where it is used."""

from __future__ import annotations

import gc
import io
import json
import logging
import os
import sys
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np

from ..faults import CounterbounceError
from .columns import INSTALL, PIECE, Column, Floats, Found, Pile, even_clock, pieces, refused, room
from .table_clock import with_clock
from .text_layout import split_name

TIME_RESPONSE, OVER_TIME = 1, 17  # numbers of data set 58
ORDINATES = {12: "m/s^2", 11: "m/s"}  # what its numbers are, in SI, where an axis carries no unit
MOST_CHANNELS = 1000


def missing(path: Path, kind: str, library: str) -> CounterbounceError:
    """What is said where the library of a kind of file is not there."""
    return refused(str(path), f"{kind} needs the library {library}: {INSTALL}")


# --- Parquet ----------------------------------------------------------------------------------------------


def read_parquet(path: Path, rate: float | None = None) -> Found:
    """The columns of a table, each named as in a text file: `name [unit]`.

    rate  [Hz] of a table without a column of times
    """
    try:
        parquet = import_module("pyarrow.parquet")
    except ImportError:
        raise missing(path, "Parquet", "pyarrow") from None
    with parquet.ParquetFile(path, memory_map=True, pre_buffer=False) as held:
        names = _numeric(held.schema_arrow)
        if not names or held.metadata.num_rows < 2:
            raise refused(str(path), "holds no two rows of numbers")
        with Pile() as pile:
            for batch in held.iter_batches(PIECE // 4, columns=names):
                parts = [batch.column(name).to_numpy(zero_copy_only=False) for name in names]
                pile.add(np.column_stack([_as_floats(one) for one in parts]))
            table = pile.rows()
        dated = [one.name for one in held.schema_arrow if str(one.type).startswith("timestamp")]
        about = _about((held.schema_arrow.metadata or {}).get(b"counterbounce", b"{}"))
    split = [(name, "s") if name in dated else split_name(name) for name in names]
    clocked = with_clock(split, table, rate, str(path))
    labels = {str(key): str(value) for key, value in about.get("labels", {}).items()}
    done, called = (f"Read {len(table)} rows.", *clocked.done), str(about.get("name", ""))
    return Found(clocked.columns, labels, done, called, clocked.began, clocked.notes)


def _as_floats(values: Any) -> Floats:
    """Numbers as they are; dates and times as seconds since 1970 [s]."""
    found = np.asarray(values)
    if found.dtype.kind != "M":
        return found.astype(float)
    whole = found.astype("M8[s]")
    seconds = whole.astype(np.int64) + (found - whole).astype("m8[ns]").astype(np.int64) / 1e9
    return np.where(np.isnat(found), np.nan, seconds)


def _numeric(schema: Any) -> list[str]:
    types = import_module("pyarrow.types")
    plain = (types.is_floating, types.is_integer, types.is_timestamp)
    return [field.name for field in schema if any(test(field.type) for test in plain)][:MOST_CHANNELS]


def _about(data: bytes) -> dict[str, Any]:
    try:
        told = json.loads(data)
        return told if isinstance(told, dict) and isinstance(told.get("labels", {}), dict) else {}
    except (ValueError, RecursionError):
        return {}


# --- universal files --------------------------------------------------------------------------------------


def read_uff(path: Path, rate: float | None = None) -> Found:
    """The time responses of a universal file, data set 58, named by their first line; no other sets.

    Without a unit on its axis an acceleration is in m/s^2, a speed in m/s.

    rate  [Hz] not needed here: the file has its own
    """
    try:
        library = import_module("pyuff")
    except ImportError:
        raise missing(path, "A universal file", "pyuff") from None
    held = library.UFF(str(path))
    kinds = [int(kind) for kind in np.atleast_1d(held.get_set_types())]
    sets = [held.read_sets(i) for i, kind in enumerate(kinds) if kind == 58]
    columns = [_from_uff(one, str(path)) for one in sets if one.get("func_type") == TIME_RESPONSE]
    if not columns:
        raise refused(str(path), "holds no time response (data set 58, function type 1)")
    return Found(tuple(columns), {}, (f"Read {len(columns)} time responses.",))


def _from_uff(one: dict[str, Any], file: str) -> Column:
    label = str(one.get("ordinate_axis_units_lab", "")).strip()
    kind = int(one.get("ordinate_spec_data_type", 0))
    unit = ORDINATES.get(kind, "") if label in ("", "NONE") else label
    name = str(one.get("id1", "")).strip()
    node, direction = one.get("rsp_node", 0), one.get("rsp_dir", 0)
    called = name if name not in ("", "NONE") else f"{node}.{direction}"
    values, times = np.real(np.asarray(one["data"])), np.asarray(one["x"], dtype=float)
    if one.get("abscissa_spacing") == 1 and one.get("abscissa_inc", 0) > 0:
        return Column(called, unit, values, 1 / one["abscissa_inc"], one.get("abscissa_min", 0.0), None, file)
    even = even_clock(times) if len(times) > 1 else None
    step, start = even or (None, 0.0)
    return Column(called, unit, values, step, start, None if even else times, file)


# --- TDMS -------------------------------------------------------------------------------------------------


def read_tdms(path: Path, rate: float | None = None) -> Found:
    """The channels of a TDMS file that carry their step of time, or all at a rate.

    rate  [Hz] of channels without a step of time
    """
    try:
        library = import_module("nptdms")
        import_module("nptdms.log").log_manager.set_level(logging.CRITICAL)
    except ImportError:
        raise missing(path, "TDMS", "nptdms") from None
    size = path.stat().st_size
    with _Within(path) as stream, library.TdmsFile.open(stream) as held:
        channels = [one for group in held.groups() for one in group.channels() if len(one) > 1]
        channels = [one for one in channels if one.dtype.kind in "fiu"][:MOST_CHANNELS]
        if sum(map(len, channels)) > size:
            raise refused(str(path), "says that it holds more than it does")
        began = [_instant(one.properties.get("wf_start_time")) for one in channels]
        earliest = min((one for one in began if one is not None), default=0.0)
        columns = [
            _from_tdms(one, 0.0 if start is None else start - earliest, rate, str(path))
            for one, start in zip(channels, began, strict=True)
        ]
    if not columns:
        raise refused(str(path), "holds no channel of numbers")
    return Found(tuple(columns), {}, (f"Read {len(columns)} channels.",))


class _Within(io.FileIO):
    """A file of which nobody reads more than there is, whatever length it says."""

    def read(self, size: int | None = -1) -> bytes:
        """At most `size` bytes, and what is left of the file where that is less."""
        left = max(os.fstat(self.fileno()).st_size - self.tell(), 0)
        return super().read(left if size is None or size < 0 else min(size, left)) or b""


def _instant(time: Any) -> float | None:
    """A date and time as seconds since 1970."""
    return None if time is None else float(np.datetime64(time, "us").astype(np.int64)) / 1e6


def _from_tdms(one: Any, start: float, rate: float | None, file: str) -> Column:
    step = one.properties.get("wf_increment")
    own = 1 / float(step) if step else rate
    if own is None:
        raise refused(file, "wanted its step of time (wf_increment), or the rate", given=one.name)
    values = room(1, len(one))[0]
    for where in pieces(len(one)):
        values[where] = one.read_data(where.start, where.stop - where.start)
    unit = str(one.properties.get("unit_string", ""))
    return Column(
        one.name, unit, values, own, start + float(one.properties.get("wf_start_offset", 0)), None, file
    )


# --- MDF 4 ------------------------------------------------------------------------------------------------


def read_mdf(path: Path, rate: float | None = None) -> Found:
    """The channels of an MDF file, each group on its own clock.

    rate  [Hz] not needed here: the file has its own
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            library = import_module("asammdf")
    except ImportError:
        raise missing(path, "MDF", "asammdf") from None
    logging.getLogger("asammdf").setLevel(logging.CRITICAL)
    with _unheard():
        columns, reason = _all_of_mdf(library, path)
    if reason:
        raise refused(str(path), f"cannot be read as MDF: {reason}")
    if not columns:
        raise refused(str(path), "holds no channel of numbers with times")
    return Found(tuple(columns), {}, (f"Read {len(columns)} channels.",))


def _all_of_mdf(library: Any, path: Path) -> tuple[list[Column], str]:
    """All channels, or the reason in words: an error itself would keep alive what the library half opened."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with library.MDF(path) as held:
                return list(_from_mdf(held, str(path))), ""
    except Exception as error:  # the library raises many kinds for what it cannot read
        return [], " ".join(str(error).split())[:200] or type(error).__name__


@contextmanager
def _unheard() -> Iterator[None]:
    """Keeps to itself what an object that was never whole says while it is thrown away."""
    usual, sys.unraisablehook = sys.unraisablehook, lambda _: None
    try:
        yield
        gc.collect()
    finally:
        sys.unraisablehook = usual


def _from_mdf(held: Any, file: str) -> Iterator[Column]:
    for number, group in enumerate(held.groups):
        count, master = int(group.channel_group.cycles_nr), held.masters_db.get(number)
        if count < 2 or master is None:
            continue
        times = _from_group(held, number, master, count)
        even = None if times is None else even_clock(times)
        step, start = even or (None, 0.0)
        for index, channel in enumerate(group.channels[:MOST_CHANNELS]):
            values = None if index == master else _from_group(held, number, index, count)
            if times is not None and values is not None:
                unit = held.get(group=number, index=index, record_offset=0, record_count=1).unit
                yield Column(channel.name, str(unit), values, step, start, None if even else times, file)


def _from_group(held: Any, group: int, index: int, count: int) -> Floats | None:
    """One channel, piece by piece; None where it holds something else than numbers."""
    values: Floats = room(1, count)[0]
    for where in pieces(count):
        size = where.stop - where.start
        if index == held.masters_db.get(group):
            part = held.get_master(group, record_offset=where.start, record_count=size)
        else:
            part = held.get(group=group, index=index, record_offset=where.start, record_count=size).samples
        if part.dtype.kind not in "fiu" or part.ndim != 1 or len(part) != size:
            return None
        values[where] = part
    return values
