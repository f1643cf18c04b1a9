"""The command `robust`: the damper that is best for most of the vehicles that the numbers allow."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .progress import progress

if TYPE_CHECKING:
    from ..model.case import Case
    from ..sizing.robust import Robust
    from ..sizing.tolerances import Tolerances

MOST = 100_000  # vehicles


@click.command("robust")
@click.argument("case", metavar="CASE.toml")
@click.option(
    "--with",
    "others",
    metavar="OTHER.toml",
    multiple=True,
    help="The same vehicle in another state: empty, laden, at other pressures. May be given again.",
)
@click.option(
    "--quantile", default="90 %", show_default=True, help="The share of vehicles that is to be served."
)
@click.option("--vehicles", default=256, show_default=True, help="How many vehicles are drawn at first.")
@click.option(
    "--spring",
    type=click.Choice(["steel", "rubber"]),
    default="steel",
    show_default=True,
    help="What the damper's spring is made of: its tolerances.",
)
@click.option(
    "--bracket",
    default="5 MN/m",
    show_default=True,
    help='Stiffness of what bolts the damper to its place, or "stiff".',
)
@click.option("--seed", default=0, show_default=True, help="Of the vehicles that are drawn.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, and nothing else.")
@click.option("--out", metavar="FOLDER", help="Write robust.txt and robust.json there.")
def robust(case: str, others: tuple[str, ...], as_json: bool, out: str | None, **options: Any) -> None:
    """Size the damper that is best for most plausible vehicles, built within its own tolerances."""
    from ..model.case import load
    from ..sizing.robust import robust as sized

    with progress() as say:
        cases = [load(path) for path in (case, *others)]
        quantile, vehicles, own = wanted(cases, options)
        found = sized(cases, own, quantile, vehicles, options["seed"], say)
        text = to_json(found)
        if out:
            from .folder import write_folder

            write_folder(Path(out), {"robust.json": text.encode(), "robust.txt": to_text(found).encode()})
    if as_json:
        click.echo(text, nl=False)
    else:
        from . import writing

        tell(found, writing.console())


def to_json(found: Robust) -> str:
    """All that was found, as JSON."""
    import json

    from .robust_table import answer

    return json.dumps(answer(found), indent=2, ensure_ascii=False) + "\n"


def to_text(found: Robust) -> str:
    """The same as a terminal shows it."""
    import io

    from . import writing

    stream = io.StringIO()
    tell(found, writing.console(stream))
    return "\n".join(line.rstrip() for line in stream.getvalue().splitlines()) + "\n"


def wanted(cases: list[Case], options: dict[str, Any]) -> tuple[float, int, Tolerances]:
    """(quantile [-], vehicles, tolerances) that the options ask for.

    Raises CounterbounceError with every fault of them at once.
    """
    from dataclasses import replace

    from ..model.faults import CounterbounceError, Fault
    from ..model.quantities import si
    from ..model.units import UnitFault
    from ..sizing.tolerances import RUBBER, Tolerances

    faults: list[Fault] = []
    quantile, bracket = 0.0, None
    try:
        quantile = si(_without_space(options["quantile"]), "", "90 %")
    except UnitFault as fault:
        faults.append(_fault("--quantile", fault))
    else:
        if not 0.5 <= quantile <= 0.99:
            share = "a share between 50 % and 99 %"
            faults.append(Fault("", None, "--quantile", repr(options["quantile"]), share, example='"90 %"'))
    if options["bracket"] != "stiff":
        try:
            bracket = si(options["bracket"], "N/m", "5 MN/m", above=0.0)
        except UnitFault as fault:
            faults.append(_fault("--bracket", fault))
    if not 2 <= options["vehicles"] <= MOST:
        count = f"a number of vehicles from 2 to {MOST}"
        faults.append(Fault("", None, "--vehicles", str(options["vehicles"]), count, example="1000"))
    faults += _missing_places(cases)
    if faults:
        raise CounterbounceError(faults)
    own = RUBBER if options["spring"] == "rubber" else Tolerances()
    return (
        quantile,
        options["vehicles"],
        replace(own, bracket=bracket, friction=cases[0].limits.friction or 0.0),
    )


def _without_space(text: str) -> str:
    return re.sub(r"\s*%\s*$", " %", text)


def _fault(option: str, fault: Any) -> Any:
    from ..model.faults import Fault

    words = fault.wanted + (f" ({fault.hint})" if fault.hint else "")
    return Fault("", None, option, fault.given, words, fault.near, fault.example)


def _missing_places(cases: list[Case]) -> list[Any]:
    """A fault for each further case that has none of the places where a damper may hang."""
    from ..model.building import build
    from ..model.faults import Fault

    points = [build(one.plan, one.numbers).points for one in cases] if len(cases) > 1 else []
    allowed = cases[0].limits.places
    return [
        Fault(str(one.path), None, "", "", f"needs one of the places of the first case: {', '.join(allowed)}")
        for one, there in zip(cases[1:], points[1:], strict=True)
        if allowed and not any(name in there for name in allowed)
    ]


def tell(found: Robust, on: Any) -> None:
    """Write it to a console: the answer first, tables, cautions last."""
    from rich.text import Text

    from . import writing
    from .robust_table import dampers_table, fared_table, in_short

    name = found.hosts[0].case.name
    if found.verdict is not None:
        writing.answer(on, name, found.verdict, found.cautions)
    else:
        writing.heading(on, name, "")
        for head, body in (*in_short(found), ("BEFORE DRIVING", found.cautions[0])):
            on.print(Text.assemble((f"{head}  ", "bold"), body))
            on.print()
        for table in (dampers_table(found), fared_table(found)):
            writing.table(on, table)
    writing.cautions(on, found.cautions)
