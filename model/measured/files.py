"""Which reader opens a file, and one clear error for whatever it holds."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from ..faults import CounterbounceError, nearest
from .array_files import read_npz, read_wav
from .columns import Began, Column, Found, refused, shifted
from .logger_files import read_mdf, read_parquet, read_tdms, read_uff
from .mat_files import read_mat
from .table_clock import SINCE_1970
from .text_table import read_text

READERS = {
    ".csv": read_text, ".tsv": read_text, ".txt": read_text, ".asc": read_text, ".dat": read_text,
    ".wav": read_wav, ".npz": read_npz, ".mat": read_mat, ".parquet": read_parquet,
    ".unv": read_uff, ".uff": read_uff, ".tdms": read_tdms, ".mf4": read_mdf, ".mdf": read_mdf,
}  # fmt: skip
SHEETS = {".xlsx", ".xlsm", ".xls", ".ods"}
SLOWEST, FASTEST = 0.01, 2e6  # [Hz] of a rate that a recording can have


def read_columns(path: str | Path, rate: float | None = None) -> Found:
    """The columns of a recording, each with its own clock.  Raises CounterbounceError.

    rate  [Hz] of a file that does not say its times
    """
    file = Path(path)
    read = READERS.get(file.suffix.lower())
    if file.suffix.lower() in SHEETS:
        raise refused(str(file), "is a spreadsheet: save the sheet as CSV", example=f"{file.stem}.csv")
    if read is None:
        near = nearest(file.suffix, READERS)
        wanted = f"wanted a name that ends in {', '.join(READERS)}"
        raise refused(str(file), wanted, example=f"{file.stem}{near or '.csv'}")
    if not file.is_file():
        siblings = [other.name for other in file.parent.iterdir()] if file.parent.is_dir() else []
        near = nearest(file.name, siblings)
        raise refused(str(file), "there is no such file" + (f'; did you mean "{near}"?' if near else ""))
    try:
        found = read(file, rate)
    except CounterbounceError:
        raise
    except MemoryError:
        raise refused(str(file), "says that it holds more than this machine's memory") from None
    except Exception as error:  # the libraries raise many kinds for what they cannot read
        reason = " ".join(str(error).split())[:200] or type(error).__name__
        raise refused(str(file), f"cannot be read as {file.suffix.lower()[1:].upper()}: {reason}") from None
    for column in found.columns:
        _check(column)
    return _from_its_start(found)


def _from_its_start(found: Found) -> Found:
    """A file whose times count from 1970, with times that count from its first sample."""
    first = min((column.ends[0] for column in found.columns), default=0.0)
    if found.began or not SINCE_1970[0] < first < SINCE_1970[1]:
        return found
    columns = tuple(shifted(column, first) for column in found.columns)
    return replace(found, columns=columns, began=Began(first, 0.0, "Z"))


def _check(column: Column) -> None:
    count = len(column)
    if count < 2:
        raise refused(column.file, "wanted two samples or more", given=f"{column.name}: {count}")
    if column.rate is not None and not SLOWEST <= column.rate <= FASTEST:
        wanted = f"wanted a rate between {SLOWEST:g} Hz and {FASTEST / 1e6:g} MHz"
        raise refused(column.file, wanted, given=f"{column.name}: {column.rate:g} Hz")
    if not np.isfinite(column.start):
        raise refused(column.file, "wanted a finite time of its first sample", given=column.name)
    if column.times is not None and not np.isfinite(np.asarray(column.times)).sum() > 1:
        raise refused(column.file, "wanted times that are numbers", given=column.name)
