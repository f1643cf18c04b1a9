"""The command `try`: a damper in hand, beside ballast and beside the best."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .damper_options import damper_of, damper_options
from .progress import progress

if TYPE_CHECKING:
    from ..sizing.in_hand import Tried
    from .tables import Table


@click.command("try")
@click.argument("case", metavar="CASE.toml")
@damper_options(required=True)
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, and nothing else.")
@click.option("--out", metavar="FOLDER", help="Write a report there.")
@click.option("--pdf", is_flag=True, help="Put the papers into papers.pdf as well; needs the extra `pdf`.")
def try_it(case: str, place: str, as_json: bool, out: str | None, pdf: bool, **options: str | None) -> None:
    """Judge a damper in hand: what it does, beside ballast and beside the best."""
    if pdf:
        from .pdf import ready_for_pdf

        ready_for_pdf(report=bool(out))
    from ..model.case import load
    from ..sizing.in_hand import try_damper

    with progress() as say:
        loaded = load(case)
        tried = try_damper(loaded, damper_of(loaded, place, options), say)
        if out:
            from .report import write_report

            say("writing the report")
            write_report(tried.assessment, Path(out), pdf)
    if as_json:
        import json

        click.echo(json.dumps(answer(tried), indent=2, ensure_ascii=False))
    else:
        from .terminal import tell

        tell(tried.assessment, Path(out) if out else None, first=[hands_table(tried)], pdf=pdf)


def answer(tried: Tried) -> dict[str, Any]:
    """All that was found, ready for JSON: an assessment's answer, with `in_hand` beside it."""
    from .answer import answer as assessed
    from .told import plain

    told = assessed(tried.assessment)
    told["in_hand"] = plain({"retuned": _found(tried.retuned), "best": _found(tried.best)})
    return told


def _found(found: Any) -> dict[str, Any] | None:
    from . import told

    if found is None:
        return None
    return {
        "place": found.damper.place,
        **told.damper(found.damper),
        "reduction": found.reduction,
        "limits_broken": found.broken,
    }


def hands_table(tried: Tried) -> Table:
    """The damper in hand, the same weight at its best, and the best within the limits of the case."""
    from .tables import Table, percent

    columns = ("", "hangs at", "mass", "tuned to", "damping", "lowers the shake by")
    if tried.assessment.sized is None:
        return Table("The damper in hand, beside the best", columns, ())
    show = tried.assessment.case.display
    found = {"the same, retuned": tried.retuned, "the best": tried.best}
    named = [
        ("in hand", tried.hung, tried.assessment.sized.comparison.reduction),
        *((name, f.damper, f.reduction) for name, f in found.items() if f),
    ]
    rows = [
        (
            name,
            hung.place,
            show.show(hung.mass, "mass"),
            show.show(hung.tuned_hz, "frequency"),
            percent(hung.damping_ratio),
            percent(reduction),
        )
        for name, hung, reduction in named
    ]
    ballast = tried.assessment.sized.comparison.ballast_reduction
    rows.append(
        ("as ballast", tried.hung.place, show.show(tried.hung.mass, "mass"), "–", "–", percent(ballast))
    )
    note = "The best keeps to every limit of the case; the damper in hand is taken as it is."
    return Table("The damper in hand, beside the best", columns, tuple(rows), (2, 3, 4, 5), note)
