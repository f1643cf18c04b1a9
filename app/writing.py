"""How every command writes: a console, the answer first, tables, cautions last."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, TextIO

from ..sizing.verdict import Verdict
from .ledger import readable
from .tables import Table

if TYPE_CHECKING:
    from rich.console import Console

PIPED_WIDTH = 100


def console(to: TextIO | None = None, width: int | None = None) -> Console:
    """A console on a stream (standard output), without colour where it is piped.

    width  columns [-]; None: as wide as the terminal, or 100 where it is piped
    """
    from rich.console import Console

    stream = to or sys.stdout
    piped = not stream.isatty()
    wide = width or (PIPED_WIDTH if piped else None)
    return Console(file=stream, width=wide, highlight=False, no_color=piped or None, soft_wrap=False)


def heading(on: Console, title: str, below: str) -> None:
    """A title, and what it is about."""
    from rich.text import Text

    on.print(Text(title, style="bold"))
    on.print(Text(below))


def answer(on: Console, name: str, verdict: Verdict, cautions: Sequence[str]) -> None:
    """The name of the case, its verdict, the next step, and what comes before any drive."""
    from rich.text import Text

    word = verdict.outcome.value.replace("_", " ").upper()
    on.print(Text(name, style="bold"))
    for head, body in (
        (word, verdict.sentence),
        ("NEXT", verdict.next_step),
        ("BEFORE DRIVING", cautions[0]),
    ):
        on.print()
        on.print(Text.assemble((f"{head}  ", "bold"), readable(body)))


def table(on: Console, written: Table) -> None:
    """A table under its title, its note below; rows that the verdict is about stand out."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table as Grid
    from rich.text import Text

    on.print()
    on.print(Text(written.title, style="bold"))
    if written.rows:
        grid = Grid(box=SIMPLE_HEAD, padding=(0, 1), header_style="")
        for i, column in enumerate(written.columns):
            grid.add_column(
                Text(column), justify="right" if i in written.numbers else "left", overflow="fold"
            )
        for n, row in enumerate(written.rows):
            grid.add_row(*(Text(cell, style="bold" if n in written.marked else "") for cell in row))
        on.print(grid)
    if written.note:
        on.print(Text(written.note, style="dim"))


def cautions(on: Console, said: Sequence[str]) -> None:
    """All cautions but the first, which stands beside the answer."""
    from rich.text import Text

    on.print()
    on.print(Text("Cautions", style="bold"))
    for caution in said[1:]:
        on.print(Text(f"- {caution}"))
