"""What a paper is made of, before anybody decides whether it becomes HTML or PDF."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ..sizing.assess import Assessment
from .answer import run
from .tables import Table

LONGEST_TITLE, LONGEST_NAME = 90, 36  # characters of what a user wrote that one page has room for


@dataclass(frozen=True)
class Text:
    """A paragraph; `lead` stands before it in bold, `big` where it is the answer."""

    words: str
    lead: str = ""
    big: bool = False
    kind: Literal["text"] = "text"


@dataclass(frozen=True)
class Points:
    """A list under its title."""

    title: str
    items: tuple[str, ...]
    numbered: bool = False
    kind: Literal["points"] = "points"


@dataclass(frozen=True)
class Sheet:
    """A table; an empty cell in a column of `blanks` is there to be written in, so its rows are tall."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()
    blanks: tuple[int, ...] = ()
    widths: tuple[int, ...] = ()  # of the columns, against each other
    note: str = ""
    kind: Literal["sheet"] = "sheet"


@dataclass(frozen=True)
class Ticks:
    """Things to look at, each with its name, what to look for, and boxes to tick."""

    title: str
    items: tuple[tuple[str, str], ...]
    boxes: tuple[str, ...]
    kind: Literal["ticks"] = "ticks"


@dataclass(frozen=True)
class Fill:
    """Lines to fill in by hand, side by side."""

    labels: tuple[str, ...]
    kind: Literal["fill"] = "fill"


Plain = Text | Points | Sheet | Ticks | Fill


@dataclass(frozen=True)
class Beside:
    """Two columns of blocks, next to each other."""

    left: tuple[Plain, ...]
    right: tuple[Plain, ...]
    kind: Literal["beside"] = "beside"


Block = Plain | Beside


@dataclass(frozen=True)
class Paper:
    """One page: what it is, the case, who reads it, blocks, cautions, what was run.

    file   its name without an ending
    size   the sheet that its reader's printer holds; either: it fits on both, and nobody knows which
    scale  of its type on a browser's page [-]: smaller where it holds more
    """

    file: str
    title: str
    case: str
    reader: str
    blocks: tuple[Block, ...]
    cautions: tuple[str, ...]
    footer: str
    size: Literal["a4", "us-letter", "either"] = "a4"
    scale: float = 1.0


def paper(a: Assessment, file: str, title: str, reader: str, *blocks: Block, scale: float = 1.0) -> Paper:
    """A paper of an assessment, with the cautions and the sheet that all its papers share.

    scale  of its type [-]
    """
    ran = run(a)
    footer = (
        f"counterbounce {ran['version']}; case file {cut(ran['case_file'], 60)}, SHA-256 "
        f"{ran['case_sha256'][:16]}…; seed {ran['seed']}. Printed numbers are predictions of a model until "
        "they are measured."
    )
    size: Literal["a4", "us-letter"] = "us-letter" if a.case.display.system == "US" else "a4"
    case = cut(a.case.name, LONGEST_TITLE)
    return Paper(file, title, case, reader, blocks, a.cautions, footer, size, scale)


def cut(text: str, longest: int = LONGEST_NAME) -> str:
    """What a user wrote, on one line and no longer [characters] than a page has room for.

    >>> cut("driver's floor"), cut("a  very\\nlong name", 10)
    ("driver's floor", 'a very lo…')
    """
    line = " ".join(text.split())
    return line if len(line) <= longest else f"{line[: longest - 1]}…"


def without_columns(table: Table, cut_out: tuple[int, ...], most: int, note: str = "") -> Sheet:
    """A table of the report for one page: without some of its columns, and no longer [rows] than `most`."""
    kept = [i for i in range(len(table.columns)) if i not in cut_out]
    return Sheet(
        table.title,
        tuple(table.columns[i] for i in kept),
        tuple(tuple(cut(row[i], 64) for i in kept) for row in table.rows[:most]),
        tuple(new for new, old in enumerate(kept) if old in table.numbers),
        note=note,
    )
