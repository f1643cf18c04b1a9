"""Numbers in columns out of a text file: separators, decimal commas and a line of names are found out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .faults import CounterbounceError, Fault
from .units import shorten

Floats = NDArray[np.float64]

LOOKED_AT = 50  # lines from which the separator is told
MOST_COLUMNS = 50
MOST_FAULTS = 20
TOO_LARGE = 1e12  # in any unit that a length may have here
MISSING = {"", "nan", "na", "n/a", "null", "-", "--"}
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_COMMA_NUMBER = re.compile(r"[+-]?[0-9]+,[0-9]+(?:[eE][+-]?[0-9]+)?")
_NAME = re.compile(
    r"(?P<name>.*?)\s*(?:[\[(]\s*(?P<unit>[^\])]*?)\s*[\])]|[_ ](?P<tail>mm|cm|m|km|in|ft))?", re.I
)
_BLANK_NAMES = re.compile(r"[^\s\[(]+(?:\s*[\[(][^\])]*[\])])?")
_ODD = re.compile(r"[^0-9eE+.-]")
_WORDS = {";": "semicolons", "\t": "tabs", ",": "commas", " ": "blanks"}


@dataclass(frozen=True)
class Column:
    """A column by its name and unit, as far as the file says."""

    name: str = ""
    unit: str = ""


@dataclass(frozen=True)
class Table:
    """Numbers of a file in their own units: (lines, columns), NaN where a number is missing.

    lines      their numbers in the file, counted from 1
    separated  how the columns are told apart, in words
    """

    columns: tuple[Column, ...]
    numbers: Floats
    lines: tuple[int, ...]
    separated: str

    def reversed(self) -> Table:
        """The same lines from the last to the first."""
        return replace(self, numbers=self.numbers[::-1], lines=self.lines[::-1])


def read_table(data: bytes, file: str) -> Table:
    """The numbers of a text file.  Raises CounterbounceError with the lines that are none.

    >>> found = read_table(b"x [m]\\ty [mm]\\n0\\t1,5\\n1\\t-\\n", "road.txt")
    >>> found.columns[1], found.numbers.tolist(), found.separated
    (Column(name='y', unit='mm'), [[0.0, 1.5], [1.0, nan]], 'numbers between tabs, with decimal commas')
    """
    if b"\0" in data:
        raise _refused(file, "is no text: wanted lines of numbers", "a line of 0.25, 0.0134")
    lines = [(i, line.strip()) for i, line in enumerate(_text(data).splitlines(), 1)]
    lines = [(i, line) for i, line in lines if line and not line.startswith("#")]
    if not lines:
        raise _refused(file, "holds no numbers", "a line of 0.25, 0.0134")
    separator = _separator([line for _, line in lines[1 : LOOKED_AT + 1]] or [lines[0][1]])
    rows = _without_tail([_cells(line, separator) for _, line in lines])
    named = not any(_is_number(cell) for cell in rows[0]) and any(_letters(cell) for cell in rows[0])
    body = rows[1:] if named else rows
    decimals = separator != "," and any(_COMMA_NUMBER.fullmatch(cell) for row in body for cell in row)
    numbers = _numbers(body, [i for i, _ in lines[len(rows) - len(body) :]], decimals, file)
    names = _names(lines[0][1], rows[0], separator, numbers.shape[1]) if named else [""] * numbers.shape[1]
    columns = tuple(map(_column, names))
    if len(columns) != numbers.shape[1]:
        raise _refused(file, f"{len(columns)} names stand over {numbers.shape[1]} columns")
    words = f"numbers between {_WORDS[separator]}{', with decimal commas' if decimals else ''}"
    return Table(columns, numbers, tuple(i for i, _ in lines[len(rows) - len(body) :]), words)


def _refused(file: str, wanted: str, example: str = "") -> CounterbounceError:
    return CounterbounceError([Fault(file, None, "", "", wanted, example=example)])


def _text(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _separator(lines: Sequence[str]) -> str:
    """Semicolons and tabs before all else; a comma separates where it is no decimal comma among blanks."""
    for mark in (";", "\t"):
        if any(mark in line for line in lines):
            return mark
    with_comma = [line for line in lines if "," in line]
    if not with_comma or all(_only_decimal_commas(line) for line in with_comma):
        return " "
    return ","


def _only_decimal_commas(line: str) -> bool:
    cells = line.split()
    return len(cells) > 1 and all(_COMMA_NUMBER.fullmatch(c) or _NUMBER.fullmatch(c) for c in cells)


def _cells(line: str, separator: str) -> list[str]:
    if separator == " ":
        return line.split()
    return [cell.strip().strip('"').strip() for cell in line.split(separator)]


def _without_tail(rows: list[list[str]]) -> list[list[str]]:
    """Rows without the empty cell that a separator at the end of every line leaves."""
    ended = all(len(row) > 1 and not row[-1] for row in rows)
    return [row[:-1] for row in rows] if ended else rows


def _is_number(cell: str) -> bool:
    return bool(_NUMBER.fullmatch(cell) or _COMMA_NUMBER.fullmatch(cell))


def _letters(cell: str) -> bool:
    return cell.lower() not in MISSING and any(c.isalpha() for c in cell)


def _names(line: str, cells: list[str], separator: str, width: int) -> list[str]:
    """Names of columns; between blanks a unit in brackets belongs to the name before it."""
    if separator != " ":
        return cells
    return [line] if width == 1 else _BLANK_NAMES.findall(line)


def _column(cell: str) -> Column:
    found = _NAME.fullmatch(cell)
    return Column(found["name"].strip(), found["unit"] or found["tail"] or "") if found else Column(cell)


def _numbers(rows: list[list[str]], lines: list[int], decimals: bool, file: str) -> Floats:
    """All cells as numbers; every line that is of another length or holds something else is a fault."""
    if not rows:
        raise _refused(file, "holds no numbers below its line of names", "a line of 0.25, 0.0134")
    width, faults = len(rows[0]), []
    if width > MOST_COLUMNS:
        raise _refused(file, f"has {width} columns: wanted distance, and one or two of heights")
    if (whole := _all_plain(rows)) is not None:
        return whole
    numbers = np.full((len(rows), width), np.nan)
    for n, (row, line) in enumerate(zip(rows, lines, strict=True)):
        if len(row) != width:
            faults.append(Fault(file, line, "", f"columns: {len(row)}", f"{width}, as in the first line"))
            continue
        for i, cell in enumerate(row):
            number = _number(cell, decimals)
            if number is None:
                faults.append(Fault(file, line, "", shorten(cell), f"a number below {TOO_LARGE:g}"))
            else:
                numbers[n, i] = number
    if faults:
        left = len(faults) - MOST_FAULTS
        more = [Fault(file, None, "", "", f"and {left} more faults")] if left > 0 else []
        raise CounterbounceError([*faults[:MOST_FAULTS], *more])
    return numbers


def _all_plain(rows: list[list[str]]) -> Floats | None:
    """All rows at once where every cell is a plain number; None where one is not."""
    if any(_ODD.search("".join(row)) for row in rows):
        return None
    try:
        numbers = np.array(rows, dtype=float)
    except ValueError:  # rows of different lengths, empty cells, or no number
        return None
    return numbers if np.all(np.abs(numbers) < TOO_LARGE) else None


def _number(cell: str, decimals: bool) -> float | None:
    """NaN where it is missing; None where it is no number."""
    if cell.lower() in MISSING:
        return float("nan")
    written = cell.replace(",", ".") if decimals and _COMMA_NUMBER.fullmatch(cell) else cell
    if not _NUMBER.fullmatch(written):
        return None
    number = float(written)
    return number if abs(number) < TOO_LARGE else None
