"""The papers that people carry: which of them there are, as pages, and why one is missing."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from ..sizing.assess import Assessment
from .answer_sheet import answer_sheet
from .blocks import Paper
from .customer_sheet import customer_sheet
from .drive_card import aim, drive_card, stay
from .fit_card import fit_card
from .proof_sheet import proof_sheet

if TYPE_CHECKING:
    from jinja2 import Environment


def papers(a: Assessment) -> tuple[Paper, ...]:
    """Every paper of an assessment, one page each; what is not settled is not handed to anyone who would
    build it."""
    found = [drive_card(a), answer_sheet(a)]
    if not without_build(a):
        found += [customer_sheet(a), fit_card(a)]
    if not without_proof(a):
        found.append(proof_sheet(a))
    return tuple(found)


def without_build(a: Assessment) -> str:
    """Why there is no customer's sheet and no fit-and-retune card; nothing where there are."""
    if a.verdict.good and a.sized is not None:
        return ""
    outcome = a.verdict.outcome.value.replace("_", " ")
    return (
        f"No customer's sheet and no fit-and-retune card were written: the answer is “{outcome}”, and only a "
        "damper that helps is one to build."
    )


def without_proof(a: Assessment) -> str:
    """Why there is no list of what would prove the assessment wrong; nothing where there is."""
    if reason := stay(a):
        return f"No list of what would prove this wrong was written. {reason}."
    if aim(a) is None:
        return "No list of what would prove this wrong was written: no critical speed is claimed."
    return ""


def missing(a: Assessment) -> tuple[str, ...]:
    """Why papers are missing, a sentence each."""
    return tuple(said for said in (without_build(a), without_proof(a)) if said)


@cache
def templates() -> Environment:
    """Our templates: what comes from a case is text there, never markup."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    loader = PackageLoader("counterbounce.app", "templates")
    return Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )


def to_html(one: Paper) -> str:
    """A paper as one HTML page that asks for nothing from outside."""
    return templates().get_template("paper.html").render(paper=one)


def pages(a: Assessment) -> dict[str, bytes]:
    """Every paper of an assessment by the name of its file."""
    return {f"{one.file}.html": to_html(one).encode() for one in papers(a)}
