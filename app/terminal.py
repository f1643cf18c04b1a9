"""An assessment as readable text, in the units that its user writes: the answer, then what it rests on."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from ..sizing.assess import Assessment
from . import (
    amplitude_tables,
    damper_tables,
    next_table,
    noticed_table,
    seen_tables,
    sure_table,
    tables,
    writing,
)
from .papers import missing, papers
from .pdf import PAPERS
from .tables import Table

if TYPE_CHECKING:
    from rich.console import Console

TOP = 8  # critical speeds that fit a glance


def tell(
    assessment: Assessment,
    folder: Path | None,
    to: TextIO | None = None,
    width: int | None = None,
    first: Sequence[Table] = (),
    pdf: bool = False,
) -> None:
    """Write an assessment to a stream (standard output), and where its report lies.

    first  tables that come before all others
    width  columns [-]; None: as wide as the terminal, or 100 where it is piped
    pdf    whether the papers were written as a PDF, too
    """
    console = writing.console(to, width)
    writing.answer(console, assessment.case.name, assessment.verdict, assessment.cautions)
    _before_and_next(console, assessment)
    for table in (*first, *_tables(assessment)):
        writing.table(console, table)
    writing.cautions(console, assessment.cautions)
    _papers(console, assessment, folder, pdf)


def _before_and_next(console: Console, a: Assessment) -> None:
    """In short: leaves that come before a weight, what nobody has looked at yet, what to do next, and who
    would notice the shake."""
    from rich.text import Text

    for head, body in (
        ("BEFORE A WEIGHT", amplitude_tables.before_a_weight(a)),
        ("NOT CLEARED YET", seen_tables.not_cleared(a)),
        ("DO NEXT", next_table.first_step(a)),
        ("NOTICED", noticed_table.noticed_words(a)),
    ):
        if body:
            console.print()
            console.print(Text.assemble((f"{head}  ", "bold"), body))


def _tables(a: Assessment) -> list[Table]:
    """The tables of the page, without the columns that a terminal has no room for."""
    critical = tables.critical_table(a, TOP)
    narrow = ("they meet at", "beat")
    found = [
        _without(critical, [i for i, c in enumerate(critical.columns) if c.startswith(narrow)]),
        _without(tables.modes_table(a), [2, 5]),
        _without(seen_tables.observed_table(a), [4]),
        next_table.steps_table(a),
        damper_tables.damper_table(a),
        damper_tables.prediction_table(a),
        sure_table.sure_table(a),
        sure_table.decides_table(a),
        sure_table.shifts_table(a),
        damper_tables.split_table(a),
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


def _papers(console: Console, a: Assessment, folder: Path | None, pdf: bool) -> None:
    """Where everything lies; why a paper that is looked for does not."""
    from rich.text import Text

    if folder is None:
        return
    console.print()
    for said in missing(a):
        console.print(Text(said))
    console.print(Text.assemble(("Report: ", "bold"), str(folder / "report.html")), soft_wrap=True)
    files = [*(f"{one.file}.html" for one in papers(a)), *([PAPERS] if pdf else [])]
    console.print(Text.assemble(("Papers, one page each: ", "bold"), ", ".join(files)), soft_wrap=True)
