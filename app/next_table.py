"""What to do next: measurements and tests by the doubt that they are expected to remove per minute."""

from __future__ import annotations

from ..sizing.assess import Assessment
from ..sizing.measure_next import Step
from .seen_tables import next_words
from .tables import Table, percent

SHOWN = 6  # steps at most: what comes later is seen once the first are done


def steps_table(a: Assessment) -> Table:
    """Each step with its minutes, and how much of the decision's doubt is left then."""
    found = a.next_steps
    rows = tuple(
        (_capital(step.what), f"{step.minutes:.0f} min", percent(step.doubt_left), step.how)
        for step in found.steps[:SHOWN]
    )
    columns = ("do", "takes", "doubt left", "how")
    note = (
        "The best use of the next minutes comes first. Doubt is the variance of whether a damper is the cure "
        "and helps; each step is taken by itself. Minutes and accuracies are common practice, no source."
    )
    return Table("What to do next", columns, rows, (1, 2), note if rows else found.why)


def first_step(a: Assessment) -> str:
    """The first of them in a line; where the answer hangs on none, a test that tells what it is instead."""
    steps = a.next_steps.steps
    return _line(steps[0]) if steps else next_words(a)


def _line(step: Step) -> str:
    return f"{_capital(step.what)}, about {step.minutes:.0f} minutes. {step.how}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
