"""An assessment as readable text, in the units that its user writes: the answer, then what it rests on."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from ..sizing.assess import Assessment
from . import damper_tables, tables
from .ledger import readable
from .tables import Table

if TYPE_CHECKING:
    from rich.console import Console

PIPED_WIDTH = 100
TOP = 8  # critical speeds that fit a glance


def tell(
    assessment: Assessment, folder: Path | None, to: TextIO | None = None, width: int | None = None
) -> None:
    """Write an assessment to a stream (standard output), and where its report lies.

    width  columns [-]; None: as wide as the terminal, or 100 where it is piped
    """
    from rich.console import Console

    stream = to or sys.stdout
    piped = not stream.isatty()
    wide = width or (PIPED_WIDTH if piped else None)
    console = Console(file=stream, width=wide, highlight=False, no_color=piped or None, soft_wrap=False)
    _verdict(console, assessment)
    for table in _tables(assessment):
        _table(console, table)
    _cautions(console, assessment)
    _papers(console, folder)


def _verdict(console: Console, a: Assessment) -> None:
    from rich.text import Text

    word = a.verdict.outcome.value.replace("_", " ").upper()
    console.print(Text(a.case.name, style="bold"))
    for head, body in (
        (word, a.verdict.sentence),
        ("NEXT", a.verdict.next_step),
        ("BEFORE DRIVING", a.cautions[0]),
    ):
        console.print()
        console.print(Text.assemble((f"{head}  ", "bold"), readable(body)))


def _tables(a: Assessment) -> list[Table]:
    """The tables of the page, without the columns that a terminal has no room for."""
    critical = tables.critical_table(a, TOP)
    narrow = ("they meet at", "beat")
    found = [
        _without(critical, [i for i, c in enumerate(critical.columns) if c.startswith(narrow)]),
        _without(tables.modes_table(a), [2, 5]),
        damper_tables.damper_table(a),
        damper_tables.prediction_table(a),
        damper_tables.loads_table(a),
        damper_tables.ratings_table(a),
        tables.doubts_table(a),
        tables.beside_table(a),
    ]
    return [table for table in found if table.rows or table.title == "Ratings"]


def _without(table: Table, cut: list[int]) -> Table:
    """A table without some of its columns."""
    kept = [i for i in range(len(table.columns)) if i not in cut]
    return Table(
        table.title,
        tuple(table.columns[i] for i in kept),
        tuple(tuple(row[i] for i in kept) for row in table.rows),
        tuple(new for new, old in enumerate(kept) if old in table.numbers),
        table.note,
        table.marked,
    )


def _table(console: Console, table: Table) -> None:
    from rich.box import SIMPLE_HEAD
    from rich.table import Table as Grid
    from rich.text import Text

    console.print()
    console.print(Text(table.title, style="bold"))
    if table.rows:
        grid = Grid(box=SIMPLE_HEAD, padding=(0, 1), header_style="")
        for i, column in enumerate(table.columns):
            grid.add_column(Text(column), justify="right" if i in table.numbers else "left", overflow="fold")
        for n, row in enumerate(table.rows):
            grid.add_row(*(Text(cell, style="bold" if n in table.marked else "") for cell in row))
        console.print(grid)
    if table.note:
        console.print(Text(table.note, style="dim"))


def _cautions(console: Console, a: Assessment) -> None:
    from rich.text import Text

    console.print()
    console.print(Text("Cautions", style="bold"))
    for caution in a.cautions[1:]:
        console.print(Text(f"- {caution}"))


def _papers(console: Console, folder: Path | None) -> None:
    from rich.text import Text

    if folder is not None:
        console.print()
        console.print(Text.assemble(("Report: ", "bold"), str(folder / "report.html")), soft_wrap=True)
