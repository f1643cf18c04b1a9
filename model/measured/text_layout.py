"""How a text file of numbers is laid out: its encoding, separator and decimal mark, and its line of names.

Lines that begin with # or % are remarks; lines of words before the numbers may be many, and the last of them
with as many cells as the numbers is the line of names.  A line of units may stand below it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from ..ride_files import ABOUT
from .columns import refused
from .sensors import DIRECTIONS, SIDES, kind_of
from .stamps import Stamps, stamps_of, with_noughts

HEAD = 1 << 16  # characters from which all this is told
MOST_COLUMNS = 200
MISSING = {"", "nan", "na", "n/a", "null", "none", "-", "--"}
EXAMPLE = "time [s], driver's floor [m/s^2]"

NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_COMMA_NUMBER = re.compile(r"[+-]?[0-9]+,[0-9]+(?:[eE][+-]?[0-9]+)?")
_UNIT = re.compile(
    r"(?P<name>.*?)\s*[\[(]\s*(?P<unit>[^\[\]]*?)\s*[\])]\s*|(?P<tail>.*)[_ ](?P<of>s|ms|us|ns)", re.S
)


@dataclass(frozen=True)
class Layout:
    """How the file is laid out: separator (None: blanks), decimal commas, names, first line of numbers.

    stamps  how its dates and times are written, where there are some
    words   numbers of columns that hold words, which are left aside
    """

    separator: str | None
    commas: bool
    names: tuple[str, ...]
    first: int
    labels: dict[str, str]
    called: str
    stamps: Stamps | None = None
    words: tuple[int, ...] = ()


def encoding_of(path: Path) -> str:
    """The encoding of a text file, by its first bytes.  Raises CounterbounceError where it is no text."""
    with path.open("rb") as stream:
        head = stream.read(HEAD)
    if not head.strip():
        raise refused(str(path), "holds nothing: wanted lines of numbers", example=EXAMPLE)
    if head[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return "utf-16"
    if b"\0" in head:
        raise refused(str(path), "is no text: wanted lines of numbers", example=EXAMPLE)
    try:
        head[: head.rfind(b"\n") + 1 or None].decode("utf-8")
    except UnicodeDecodeError:
        return "latin-1"
    return "utf-8-sig"


def layout_of(head: str, file: str) -> Layout:
    """How a file is laid out, by its first lines.  Raises CounterbounceError where none holds numbers.

    >>> layout_of("a logger\\nt\\tseat\\ns\\tg\\n0,0\\t1,5\\n0,1\\t1,25\\n", "a.tsv").names
    ('t [s]', 'seat [g]')
    """
    lines = head.splitlines()
    if len(head) == HEAD and len(lines) > 1:
        lines.pop()  # it may be cut
    labels, called = _told(lines[0] if lines else "")
    kept = [(i, line) for i, line in enumerate(lines) if line.strip() and not is_remark(line)]
    start = _start([with_noughts(line) for _, line in kept])
    if start is None:
        raise refused(file, "holds no line of numbers near its beginning", example=EXAMPLE)
    body = [line for _, line in kept[start : start + 50]]
    separator = _separator([with_noughts(line) for line in body])
    rows = [cells_of(line, separator) for line in body]
    commas = separator != "," and any(_COMMA_NUMBER.fullmatch(cell) for row in rows for cell in row)
    width = len(rows[0])
    if width > MOST_COLUMNS:
        raise refused(file, f"has {width} columns: wanted {MOST_COLUMNS} at most")
    stamps = stamps_of(rows, separator)
    names = _names(
        [line for _, line in kept[:start]], separator, width, (*stamps.cells, *stamps.spare) if stamps else ()
    )
    if start and not names:
        _check_names(kept[start - 1], separator, width, file)
    words = tuple(i for i in range(width) if _is_of_words([row[i] for row in rows if i < len(row)]))
    return Layout(separator, commas, names, kept[start][0], labels, called, stamps, words)


def _start(lines: list[str]) -> int | None:
    """The first line of numbers; or of more numbers than words, where two lines like it follow."""
    found = next((n for n, line in enumerate(lines) if _looks_like_numbers(line)), None)
    if found is not None:
        return found
    mixed = [_mixed(line) for line in lines]
    return next((n for n in range(len(lines) - 2) if all(mixed[n : n + 3])), None)


def _is_of_words(cells: list[str]) -> bool:
    plain = [with_noughts(cell) for cell in cells]
    return any(map(_wordy, plain)) and not any(map(_is_number, plain))


def _mixed(line: str) -> bool:
    """Whether a line has more numbers than words."""
    cells = [cell.strip().strip('"') for cell in re.split(r"[;\t]|,(?!\d)|(?<!\d),|\s+", line.strip())]
    parts = [part for cell in cells for part in ([cell] if _is_number(cell) else cell.split(","))]
    return sum(map(_is_number, parts)) > sum(map(_wordy, parts))


def _check_names(line: tuple[int, str], separator: str | None, width: int, file: str) -> None:
    """Refuses a line of names and units that has more or fewer of them than there are columns."""
    cells = cells_of(line[1], separator)
    if any(kind_of(unit) for unit in (split_name(cell)[1] for cell in cells) if unit):
        wanted = (
            f"wanted {width} names, as many as there are columns; a name with a {separator or 'blank'} in it"
        )
        raise refused(file, f"{wanted} stands between quotes", f"names: {len(cells)}", line[0] + 1)


def _told(line: str) -> tuple[dict[str, str], str]:
    """Labels and name that a file of our own carries in its first line."""
    try:
        about = json.loads(line.removeprefix(ABOUT)) if line.startswith(ABOUT) else {}
        labels = {str(key): str(value) for key, value in about.get("labels", {}).items()}
        return labels, str(about.get("name", ""))
    except (ValueError, AttributeError, RecursionError):
        return {}, ""


def is_remark(line: str) -> bool:
    """Whether a line holds no numbers, but words about them."""
    return line.lstrip().startswith(("#", "%", "//"))


def _looks_like_numbers(line: str) -> bool:
    cells = [cell.strip().strip('"') for cell in re.split(r"[;\t]|,(?!\d)|(?<!\d),|\s+", line.strip())]
    parts = [part for cell in cells for part in ([cell] if _is_number(cell) else cell.split(","))]
    return any(map(_is_number, parts)) and not any(map(_wordy, parts))


def _wordy(cell: str) -> bool:
    return any(c.isalpha() for c in cell) and not _is_number(cell) and cell.lower() not in MISSING


def _is_number(cell: str) -> bool:
    return bool(NUMBER.fullmatch(cell) or _COMMA_NUMBER.fullmatch(cell))


def _separator(lines: list[str]) -> str | None:
    """Semicolons and tabs before all else; a comma separates where it is no decimal comma among blanks."""
    for mark in (";", "\t"):
        if all(mark in line for line in lines):
            return mark
    blank = [line.split() for line in lines]
    decimals = all(len(c) > 1 and all(map(_is_number, c)) for c in blank)
    return "," if any("," in line for line in lines) and not decimals else None


def cells_of(line: str, separator: str | None) -> list[str]:
    """The cells of a line, without the empty one that a separator at its end leaves."""
    cells = [cell.strip().strip('"').strip() for cell in line.strip("\r\n").split(separator)]
    return cells[:-1] if len(cells) > 1 and not cells[-1] and separator else cells


def _names(before: list[str], separator: str | None, width: int, stamped: Sequence[int]) -> tuple[str, ...]:
    """The names above the numbers, with units from the line below them where that has nothing else."""
    import csv

    if separator is None:
        rows = [re.findall(r"[^\s\[(]+(?:\s*[\[(][^\])]*[\])])?", line) for line in before[-2:]]
    else:
        rows = [next(csv.reader([line], delimiter=separator), []) for line in before[-2:]]
    rows = [_joined([cell.strip() for cell in row], width) for row in rows]
    rows = [row[:width] for row in rows if len(row) == width or (len(row) == width + 1 and not row[-1])]
    if not rows:
        return ()
    units = ["" if i in stamped else cell.strip("[]() ") for i, cell in enumerate(rows[-1])]
    if len(rows) == 2 and all(kind_of(unit) for unit in units) and any(units):
        return tuple(f"{name} [{unit}]" for name, unit in zip(rows[0], units, strict=True))
    return tuple(rows[-1])


def _joined(cells: list[str], width: int) -> list[str]:
    """Names of which some hold the separator: in `rear axle, left [g]` a side goes with its point."""
    found: list[str] = []
    for i, cell in enumerate(cells):
        spare = len(found) + len(cells) - i > width
        if spare and found and split_name(cell)[0].casefold() in (*DIRECTIONS, *SIDES):
            found[-1] += f", {cell}"
        else:
            found.append(cell)
    return found


def split_name(cell: str) -> tuple[str, str]:
    """Name and unit of a column.

    >>> split_name("rear axle, left [g]"), split_name("Speed (km/h)"), split_name("time_ms"), split_name("ax")
    (('rear axle, left', 'g'), ('Speed', 'km/h'), ('time', 'ms'), ('ax', ''))
    """
    found = _UNIT.fullmatch(cell.strip())
    if not found:
        return cell.strip(), ""
    return (found["tail"], found["of"]) if found["of"] else (found["name"], found["unit"])
