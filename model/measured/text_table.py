"""Numbers in columns of a text file, read piece by piece, with the clock that one of the columns is."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

from ..faults import CounterbounceError, Fault
from ..units import shorten
from .columns import Floats, Found, Pile, refused
from .table_clock import with_clock
from .text_layout import (
    EXAMPLE,
    HEAD,
    MISSING,
    NUMBER,
    Layout,
    cells_of,
    encoding_of,
    is_remark,
    layout_of,
    split_name,
)

CHUNK = 1 << 22  # characters parsed in one go
LONGEST_LINE = 100_000  # characters
MOST_FAULTS = 20


def read_text(path: Path, rate: float | None = None) -> Found:
    """The columns of a text file.  Raises CounterbounceError with the lines that are wrong.

    rate  [Hz] of a file without a column of times

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = Path(folder) / "ride.csv"
    ...     _ = file.write_text("time [ms];seat [g]\\n0;0,5\\n5;\\n10;-0,25\\n")
    ...     found = read_text(file)
    >>> one = found.columns[0]
    >>> one.name, one.unit, one.rate, one.values.tolist()
    ('seat', 'g', 200.0, [0.5, nan, -0.25])
    """
    file = str(path)
    encoding = encoding_of(path)
    with path.open(encoding=encoding, errors="replace", newline=None) as stream:
        layout = layout_of(stream.read(HEAD), file)
    with path.open(encoding=encoding, errors="replace", newline=None) as stream:
        table = _table(stream, layout, file)
    names = [split_name(name) for name in layout.names] or _numbered(table.shape[1])
    if not layout.names and not layout.stamps and rate is None:
        wanted = "wanted a line of names and units above the numbers; or the rate, and a sensor for a column"
        raise refused(file, wanted, example='--rate "200 Hz" --sensor "column 2 = driver\'s floor, g"')
    clocked = with_clock(names, table, rate, file, layout.stamps, layout.words)
    between = {",": "commas", ";": "semicolons", "\t": "tabs", None: "blanks"}[layout.separator]
    how = f"Read {len(table)} lines of numbers between {between}{', with decimal commas' * layout.commas}."
    done = (how, *clocked.done)
    return Found(clocked.columns, layout.labels, done, layout.called, clocked.began, clocked.notes)


def _numbered(width: int) -> list[tuple[str, str]]:
    """Names for columns that have none, so that a [[sensor]] can name them."""
    return [(f"column {i + 1}", "") for i in range(width)]


# --- the numbers ------------------------------------------------------------------------------------------


def _table(stream: io.TextIOBase | Any, layout: Layout, file: str) -> Floats:
    """All numbers (lines, columns), piece by piece."""
    faults: list[Fault] = []
    with Pile() as pile:
        for first, piece in _pieces(stream, layout.first, file):
            numbers, wrong = _numbers(piece, first, layout, pile.width, file)
            faults += wrong
            if len(faults) >= MOST_FAULTS:
                break
            if len(numbers):
                pile.add(numbers)
        if faults:
            raise CounterbounceError(faults[:MOST_FAULTS])
        if pile.count < 2:
            raise refused(file, "wanted at least two lines of numbers", example=EXAMPLE)
        rows: Floats = pile.rows()
    return rows


def _pieces(stream: Any, skip: int, file: str) -> Iterator[tuple[int, str]]:
    """(number of its first line, whole lines) from the first line of numbers on."""
    line, rest = 1, ""
    while chunk := stream.read(CHUNK):
        cut = chunk.rfind("\n") + 1
        if len(rest) + (cut or len(chunk)) > CHUNK + LONGEST_LINE or (not cut and len(chunk) == CHUNK):
            raise refused(file, f"a line of more than {LONGEST_LINE} characters", line=line)
        piece, rest = (rest + chunk[:cut], chunk[cut:]) if cut else ("", rest + chunk)
        count = piece.count("\n")
        yield from _after(piece, line, skip)
        line += count
    yield from _after(rest, line, skip)


def _after(piece: str, line: int, skip: int) -> Iterator[tuple[int, str]]:
    lead = max(skip + 1 - line, 0)
    if lead:
        piece = "".join(piece.splitlines(keepends=True)[lead:])
    if piece.strip():
        yield line + lead, piece


def _numbers(piece: str, first: int, layout: Layout, width: int, file: str) -> tuple[Floats, list[Fault]]:
    """The numbers of some lines: all at once where every cell is plain, otherwise cell by cell."""
    piece = layout.stamps.in_seconds(piece) if layout.stamps else piece
    plain = piece.replace(",", ".") if layout.commas else piece
    if any(mark in plain for mark in "#%/"):
        plain = "".join(line for line in plain.splitlines(keepends=True) if not is_remark(line))
    if not plain.strip():
        return np.zeros((0, width)), []
    words: dict[int | str, Callable[[str], Any]] = dict.fromkeys(layout.words, _no_number)
    try:
        text = io.StringIO(plain)
        found = np.loadtxt(
            text, delimiter=layout.separator, ndmin=2, comments=None, quotechar='"', converters=words or None
        )
        if width in (0, found.shape[1]):
            return found, []
    except (ValueError, OverflowError):
        pass
    return _cell_by_cell(piece, first, layout, width, file)


def _cell_by_cell(
    piece: str, first: int, layout: Layout, width: int, file: str
) -> tuple[Floats, list[Fault]]:
    rows, faults = [], []
    for line, text in enumerate(piece.splitlines(), first):
        if not text.strip() or is_remark(text):
            continue
        cells = cells_of(text, layout.separator)
        width = width or (len(layout.names) or len(cells))
        if len(cells) == width - 1 and layout.separator:  # its last cell is empty
            cells.append("")
        if len(cells) != width:
            faults.append(
                Fault(file, line, "", f"columns: {len(cells)}", f"wanted {width}, as in the lines above")
            )
        else:
            row = [
                np.nan if i in layout.words else _number(cell, layout.commas) for i, cell in enumerate(cells)
            ]
            wrong = [i for i, number in enumerate(row) if number is None]
            stamped = layout.stamps.cells if layout.stamps else ()
            faults += [
                Fault(file, line, "", shorten(cells[i]), f"wanted a {'time' if i in stamped else 'number'}")
                for i in wrong[:1]
            ]
            rows.append([np.nan if number is None else number for number in row])
        if len(faults) >= MOST_FAULTS:
            break
    return np.array(rows, dtype=float).reshape(len(rows), width), faults


def _no_number(_: str) -> float:
    return float("nan")


def _number(cell: str, commas: bool) -> float | None:
    """NaN where it is missing; None where it is no number."""
    if cell.lower() in MISSING:
        return float("nan")
    written = cell.replace(",", ".") if commas else cell
    return float(written) if NUMBER.fullmatch(written) else None
