"""Which reader opens a file, and one clear error for whatever it holds."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from ..faults import CounterbounceError, nearest
from .array_files import read_mat, read_npz, read_wav
from .columns import Column, Found, refused
from .logger_files import read_mdf, read_parquet, read_tdms, read_uff
from .text_table import read_text

READERS = {
    ".csv": read_text, ".tsv": read_text, ".txt": read_text, ".asc": read_text, ".dat": read_text,
    ".wav": read_wav, ".npz": read_npz, ".mat": read_mat, ".parquet": read_parquet,
    ".unv": read_uff, ".uff": read_uff, ".tdms": read_tdms, ".mf4": read_mdf, ".mdf": read_mdf,
}  # fmt: skip
SLOWEST, FASTEST = 0.01, 2e6  # [Hz] of a rate that a recording can have


def read_columns(path: str | Path, rate: float | None = None) -> Found:
    """The columns of a recording, each with its own clock.  Raises CounterbounceError.

    rate  [Hz] of a file that does not say its times
    """
    file = Path(path)
    read = READERS.get(file.suffix.lower())
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
    return found


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
