"""The answer on one page: what it is, what to do next, before and after, what would narrow it."""

from __future__ import annotations

from collections.abc import Iterator

from ..sizing.assess import Assessment
from ..sizing.narrowing import how_to_measure
from .answer import doubts
from .blocks import Beside, Block, Paper, Plain, Sheet, Text, cut, paper, without_columns
from .damper_tables import damper_table, prediction_table
from .ledger import in_words, readable
from .noticed_table import noticed_words
from .seen_tables import not_cleared
from .tables import fine_percent

MOST_POINTS, MOST_DOUBTS = 4, 3
OF_THE_TEXTBOOK = 2  # the column of the damper's table that is of no use here


def answer_sheet(a: Assessment) -> Paper:
    """The answer with its numbers, for whoever decides."""
    return paper(a, "answer", "Answer", "For whoever decides", *_blocks(a), scale=0.94)


def _blocks(a: Assessment) -> Iterator[Block]:
    outcome = a.verdict.outcome.value.replace("_", " ")
    yield Text(readable(a.verdict.sentence), f"{outcome[:1].upper()}{outcome[1:]}.", big=True)
    yield Text(readable(a.verdict.next_step), "Next.")
    if "left" not in a.verdict.facts and (left := not_cleared(a)):
        yield Text(f"{left}. No damper is advised before that.", "Not cleared yet.")
    if a.sized is not None:
        yield _before_after(a)
        yield Beside((_damper(a),), (*_narrow(a), *_noticed(a)))
    else:
        yield Text("No damper was sized, so there is nothing to compare.", "Before and after.")
        yield from _narrow(a)
        yield from _noticed(a)


def _noticed(a: Assessment) -> Iterator[Text]:
    if said := noticed_words(a):
        yield Text(said, "Who notices it.")


def _before_after(a: Assessment) -> Sheet:
    table = prediction_table(a)
    left = len(table.rows) - MOST_POINTS
    more = f" {left} more points are in the report." if left > 0 else ""
    return without_columns(table, (), MOST_POINTS, table.note + more)


def _damper(a: Assessment) -> Sheet:
    table = damper_table(a)
    note = "" if a.verdict.good else "It is shown to be talked about, not to be built."
    return without_columns(table, (OF_THE_TEXTBOOK,), len(table.rows), note)


def _narrow(a: Assessment) -> Iterator[Plain]:
    """The three numbers that would narrow the answer most, and how each is measured."""
    found = doubts(a)[:MOST_DOUBTS]
    if not found:
        yield Text("No number of the case is uncertain enough to move it.", "What would narrow it.")
        return
    rows = tuple((cut(in_words(path)), f"± {fine_percent(width)}") for path, width in found)
    how = dict.fromkeys(how_to_measure(path) for path, _ in found)
    note = f"Measure {'; '.join(cut(one, 160) for one in how)}."
    columns = ("number", "moves the frequency by")
    yield Sheet("Three numbers that would narrow it most", columns, rows, (1,), note=note)
