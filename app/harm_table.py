"""Dampers advised over simulated complaints, as tables of text and as JSON."""

from __future__ import annotations

from typing import Any

from ..sizing.complaints import ASSUMPTIONS, FOREIGN, Care
from ..sizing.harm import GOAL, Counted, Harm
from .tables import Table, fine_percent

__all__ = ["ASSUMPTIONS", "answer", "causes_table", "modes_table", "said"]

CARES = tuple(Care)
MET = {
    True: "the goal is met",
    False: "the goal is NOT met",
    None: "too few complaints to say whether the goal is met",
}


def said(found: Harm) -> str:
    """The result in sentences, one for each care."""
    each = [(care, found.harmful(care)) for care in CARES]
    told = [f"{care}: {fine_percent(one.share)} ({_interval(one)}), {MET[one.met]}" for care, one in each]
    goal = f"Goal: a damper is advised in {fine_percent(GOAL)} or less of complaints that no damper is for."
    return f"{goal} {'; '.join(told)[:1].upper()}{'; '.join(told)[1:]}."


def causes_table(found: Harm) -> Table:
    """Complaints that no damper is for, by cause."""
    rows = [
        (cause.value, str(found.of(cause, CARES[0]).of), *(_words(found.of(cause, c)) for c in CARES))
        for cause in FOREIGN
    ]
    rows.append(("all of them", str(found.harmful(CARES[0]).of), *(_words(found.harmful(c)) for c in CARES)))
    title = "A damper was advised, though the cause is"
    return Table(title, ("cause", "complaints", *CARES), tuple(rows), (1, 2, 3, 4), _note(found))


def modes_table(found: Harm) -> Table:
    """Complaints of a mode met by healthy wheels: how many of those that a damper would help are told so."""
    words = {True: "and a damper would help", False: "and no damper would help"}
    rows = tuple(
        (word, str(found.of_modes(CARES[0], cure).of), *(_words(found.of_modes(c, cure)) for c in CARES))
        for cure, word in words.items()
    )
    note = (
        "Whether it would is asked of the vehicle that shakes, with its numbers known. Many are answered "
        "with unsure: their case does not know the frame's stiffness."
    )
    title = "A damper was advised, where the cause is a mode met by healthy wheels"
    return Table(title, ("", "complaints", *CARES), rows, (1, 2, 3, 4), note)


def answer(found: Harm) -> dict[str, Any]:
    """The same, ready for JSON; shares of one [-]."""
    return {
        "seed": found.seed,
        "goal": GOAL,
        "by_care": {care.value: _plain(found.harmful(care)) for care in CARES},
        "by_cause": {
            cause.value: {care.value: _plain(found.of(cause, care)) for care in CARES} for cause in FOREIGN
        },
        "modes": {
            name: {care.value: _plain(found.of_modes(care, cure)) for care in CARES}
            for name, cure in (("damper_would_help", True), ("damper_would_not_help", False))
        },
        "assumptions": list(ASSUMPTIONS),
    }


def _plain(one: Counted) -> dict[str, Any]:
    told: dict[str, Any] = {"advised": one.advised, "of": one.of}
    return told | {"share": one.share if one.of else None, "interval_95": [one.low, one.high]}


def _words(one: Counted) -> str:
    return f"{one.advised}: {_interval(one)}" if one.of else "–"


def _interval(one: Counted) -> str:
    return f"{fine_percent(one.low)} to {fine_percent(one.high)}"


def _note(found: Harm) -> str:
    return (
        "How many were advised one, and where the share lies, 95 % (Clopper and Pearson). Beside such advice "
        f"the answer lists what to look at first, and says which of it nobody has. Seed {found.seed}."
    )
