"""The command `try`: a damper in hand, beside ballast and beside the best."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .progress import progress

if TYPE_CHECKING:
    from ..model.case import Case
    from ..model.faults import Fault
    from ..sizing.absorber import Damper
    from ..sizing.in_hand import Tried
    from .tables import Table


@click.command("try")
@click.argument("case", metavar="CASE.toml")
@click.option("--mass", required=True, help='Its moving mass, such as "20 kg".')
@click.option("--tuned", help='Its own frequency on a fixed place, such as "7.1 Hz"; or')
@click.option("--stiffness", help='its spring rate, all springs together, such as "40 kN/m"; or')
@click.option("--sag", help='how far its spring gives under its mass, such as "5 mm".')
@click.option("--damping", help='Share of its own critical damping, such as "8 %"; or')
@click.option("--dashpot", help='its dashpot rate, such as "150 N*s/m".')
@click.option("--at", "place", required=True, help='Where it hangs: a point of the case, such as "rear end".')
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


def damper_of(case: Case, place: str, options: dict[str, str | None]) -> Damper:
    """The damper that the options describe.  Raises CounterbounceError with every fault of them at once."""
    from ..model.building import build
    from ..model.faults import CounterbounceError, Fault, nearest
    from ..sizing.written import written

    faults: list[Fault] = []
    damper: Damper | None = None
    try:
        damper = written(place, **{name: text for name, text in options.items() if text is not None})
    except CounterbounceError as error:
        faults += [_as_option(fault) for fault in error.faults]
    points = build(case.plan, case.numbers).points
    if place not in points:
        faults.append(Fault("", None, "--at", place, f"one of {', '.join(points)}", nearest(place, points)))
    if faults or damper is None:
        raise CounterbounceError(faults)
    return damper


def _as_option(fault: Fault) -> Fault:
    """A fault of the library's words, in the words of the command line."""
    key = " ".join(f"--{name}" for name in fault.key.split(" and ") if name)
    choices = tuple(f"--{name}" for name in fault.choices)
    example = f"--{fault.example.replace('=', ' ', 1)}" if choices else fault.example
    return replace(fault, file="", key=key, example=example, choices=choices)


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
