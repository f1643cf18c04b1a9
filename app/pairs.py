"""The command `pairs`: two dampers beside one of the same weight."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from .progress import progress

if TYPE_CHECKING:
    from ..sizing.several import Several


@click.command("pairs")
@click.argument("case", metavar="CASE.toml")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, and nothing else.")
def pairs(case: str, as_json: bool) -> None:
    """Size two dampers, side by side, at two places or one on the other, beside one of the same weight."""
    from ..model.case import load
    from ..sizing.several import equal_single, several

    with progress() as say:
        found = several(load(case), say)
        if found.earning:
            say("looking for one damper that does as well")
        as_one = equal_single(found)
    if as_json:
        import json

        from .pairs_table import answer

        click.echo(json.dumps(answer(found, as_one), indent=2, ensure_ascii=False))
    else:
        _tell(found, as_one)


def _tell(found: Several, as_one: float | None) -> None:
    from rich.text import Text

    from . import writing
    from .pairs_table import beside_table, build_table, in_short, ratings_table

    on, name = writing.console(), found.host.case.name
    if found.verdict is not None:
        writing.answer(on, name, found.verdict, found.cautions)
    else:
        writing.heading(on, name, "")
        for head, body in (*in_short(found, as_one), ("BEFORE DRIVING", found.cautions[0])):
            on.print(Text.assemble((f"{head}  ", "bold"), body))
            on.print()
        for table in (beside_table(found), build_table(found), ratings_table(found)):
            if table.rows:
                writing.table(on, table)
    writing.cautions(on, found.cautions)
