"""The command `remedies`: every other countermeasure, ranked beside the damper."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from .progress import progress

if TYPE_CHECKING:
    from ..sizing.remedies import Remedies


@click.command("remedies")
@click.argument("case", metavar="CASE.toml")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, and nothing else.")
def remedies(case: str, as_json: bool) -> None:
    """Rank truer wheels, tyres, springs, mounts, loads, the frame and other speeds beside the damper."""
    from ..model.case import load
    from ..sizing.remedies import remedies as judge

    with progress() as say:
        found = judge(load(case), say)
    if as_json:
        import json

        from .remedies_table import answer

        click.echo(json.dumps(answer(found), indent=2, ensure_ascii=False))
    else:
        _tell(found)


def _tell(found: Remedies) -> None:
    from ..sizing.verdict import CAUTIONS
    from . import writing
    from .remedies_table import asks_table, details_table, ranked_table, said

    on, name = writing.console(), found.host.case.name
    if found.verdict is not None:
        writing.answer(on, name, found.verdict, CAUTIONS)
    else:
        writing.heading(on, name, CAUTIONS[0])
        for table in (ranked_table(found), details_table(found), asks_table(found)):
            writing.table(on, table)
        on.print()
        writing.heading(on, "Also", "\n".join(f"- {one}" for one in said(found)))
    writing.cautions(on, CAUTIONS)
