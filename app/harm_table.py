"""Dampers advised over simulated complaints, as tables of text and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ..sizing.complaints import ASSUMPTIONS
from ..sizing.harm import GOAL, Counted, Frame, Harm
from ..sizing.witness import FOREIGN, Care
from .tables import Table, fine_percent

__all__ = ["ASSUMPTIONS", "answer", "causes_table", "modes_table", "said"]

CARES = tuple(Care)
NUMBERS = tuple(range(1, 2 + len(CARES)))  # columns
MET = {
    True: "The goal is met",
    False: "The goal is NOT met",
    None: "Too few complaints to say whether the goal is met",
}


def said(found: Harm) -> str:
    """The result in sentences: what was counted with each care, and whether the goal is met."""
    each = {care: found.harmful(care) for care in CARES}
    goal = f"Goal: a damper is advised in {percent_of_few(GOAL)} or less of complaints that no damper is for."
    told = [f"{care}, {one.advised} (below {percent_of_few(one.bound)})" for care, one in each.items()]
    of = f"Of {each[CARES[0]].of}, with what the share stays below, 95 % sure: {'; '.join(told)}."
    return " ".join([goal, of, *_met(each)])


def _met(each: Mapping[Care, Counted]) -> Iterator[str]:
    for met, words in MET.items():
        cares = [care for care, one in each.items() if one.met is met]
        if cares:
            yield f"{words}{'.' if len(cares) == len(each) else ': ' + '; '.join(cares) + '.'}"


def percent_of_few(share: float) -> str:
    """A small share in percent, to a hundredth of one.

    share  [-]

    >>> percent_of_few(0.00406), percent_of_few(0.005)
    ('0.41 %', '0.5 %')
    """
    return f"{100 * share:.2f}".rstrip("0").rstrip(".") + " %"


def causes_table(found: Harm) -> Table:
    """Complaints that no damper is for, by cause."""
    rows = [
        (cause.value, str(found.of(cause, CARES[0]).of), *(_words(found.of(cause, c)) for c in CARES))
        for cause in FOREIGN
    ]
    rows.append(("all of them", str(found.harmful(CARES[0]).of), *(_words(found.harmful(c)) for c in CARES)))
    title = "A damper was advised, though the cause is"
    return Table(title, ("cause", "complaints", *CARES), tuple(rows), NUMBERS, _note(found))


def modes_table(found: Harm) -> Table:
    """Complaints of a mode met by healthy wheels: how many of those that a damper would help are told so."""
    rows = [_modes_row(found, f"would help, {frame}", True, frame) for frame in Frame]
    rows += [_modes_row(found, "would help, all of them", True), _modes_row(found, "would not help", False)]
    note = (
        "Whether it would is asked of the vehicle that shakes, with its numbers known. Whoever has looked at "
        "nothing is told what to look at, with the damper that would help if the cause is no other; a frame "
        "that is guessed has to be measured first."
    )
    title = "The price: a damper was advised, where the cause is a mode met by healthy wheels and one"
    return Table(title, ("", "complaints", *CARES), tuple(rows), NUMBERS, note)


def _modes_row(found: Harm, word: str, cure: bool, frame: Frame | None = None) -> tuple[str, ...]:
    each = [found.of_modes(care, cure, frame) for care in CARES]
    return (word, str(each[0].of), *(_words(one) for one in each))


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
        "damper_would_help_by_frame": {
            frame.value: {care.value: _plain(found.of_modes(care, True, frame)) for care in CARES}
            for frame in Frame
        },
        "assumptions": list(ASSUMPTIONS),
    }


def _plain(one: Counted) -> dict[str, Any]:
    told: dict[str, Any] = {"advised": one.advised, "of": one.of}
    told |= {"share": one.share if one.of else None, "interval_95": [one.low, one.high]}
    return told | {"upper_bound_95": one.bound}


def _words(one: Counted) -> str:
    return f"{one.advised} ({fine_percent(one.share)})" if one.advised else "0" if one.of else "–"


def _note(found: Harm) -> str:
    return (
        f"How many were advised one, and where the share lies, 95 % (Clopper and Pearson). Seed {found.seed}."
    )
