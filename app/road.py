"""The command `road`: how rough a measured profile is, and what of it meets the modes of a vehicle."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from .progress import progress

if TYPE_CHECKING:
    from .road_study import Studied


@click.command("road")
@click.argument("file", metavar="FILE")
@click.option("--segment", default="100 m", show_default=True, help="Length of each stretch of the index.")
@click.option("--spacing", metavar="LENGTH", help='Between lines, such as "0.25 m", for heights alone.')
@click.option("--elevation-unit", metavar="UNIT", help="Of heights that carry none, such as mm.")
@click.option(
    "--case", metavar="CASE.toml", help="Say at which speeds its modes meet the road's wavelengths."
)
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, and nothing else.")
def road(
    file: str,
    segment: str,
    spacing: str | None,
    elevation_unit: str | None,
    case: str | None,
    as_json: bool,
) -> None:
    """Read a road profile from a text file: roughness index, ISO 8608 class, wavelengths that stand out."""
    from .road_study import answer, study

    asked = _lengths({"--segment": segment, "--spacing": spacing})
    with progress() as say:
        say("reading the profile")
        found = study(file, asked["--segment"], asked["--spacing"], elevation_unit, case)
    if as_json:
        import json

        click.echo(json.dumps(answer(found), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        tell(found)


def _lengths(options: dict[str, str | None]) -> dict[str, Any]:
    """Options as lengths [m].  Raises CounterbounceError with every fault of them at once."""
    from ..model.faults import CounterbounceError, Fault
    from ..model.units import UnitFault, Wants, read

    lengths: dict[str, float | None] = {}
    faults: list[Fault] = []
    for option, text in options.items():
        try:
            lengths[option] = None if text is None else read(text, Wants("m", "0.25 m", above=0.0)).value
        except UnitFault as fault:
            wanted = fault.wanted + (f" ({fault.hint})" if fault.hint else "")
            faults.append(Fault("", None, option, fault.given, wanted, fault.near, f'{option} "0.25 m"'))
    if faults:
        raise CounterbounceError(faults)
    return lengths


def tell(found: Studied) -> None:
    """Write what was found as readable text."""
    from rich.text import Text

    from . import road_tables, writing

    on = writing.console()
    writing.heading(on, "Road", found.file.name)
    tables = (road_tables.roughness_table, road_tables.segments_table, road_tables.waves_table)
    for table in (one(found) for one in tables):
        if table.rows or table.note:
            writing.table(on, table)
    on.print()
    on.print(Text("What was done", style="bold"))
    for sentence in found.done:
        on.print(Text(f"- {sentence}"))
