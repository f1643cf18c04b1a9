"""The command `harm`: how often a damper is advised where it must not be, over simulated complaints."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from .progress import progress

if TYPE_CHECKING:
    from ..sizing.harm import Harm


@click.command("harm")
@click.option("--count", type=click.IntRange(1, 100_000), default=150, show_default=True,
              help="Complaints of causes that no damper is for, and a quarter as many that one may cure; "
              "about a fifth of a second each.  600 show the goal, if none is advised one.")  # fmt: skip
@click.option("--seed", type=click.IntRange(0), default=0, show_default=True, help="Of all draws.")
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON, and nothing else.")
def harm(count: int, seed: int, as_json: bool) -> None:
    """Measure harm: put simulated complaints of wheels at fault, loose parts, shimmy, torsion, drivelines and
    cracked frames to the decision, and count how often a damper is advised; and beside it, how often where it
    would cure the shake."""
    from ..sizing.harm import harm as measured

    with progress() as say:
        found = measured(count, seed, say)
    if as_json:
        import json

        from .harm_table import answer

        click.echo(json.dumps(answer(found), indent=2, ensure_ascii=False, allow_nan=False))
        return
    tell(found)


def tell(found: Harm) -> None:
    """Write what was counted, and what it takes for granted, as readable text."""
    from rich.text import Text

    from . import harm_table, writing

    on = writing.console()
    writing.heading(on, "Harm", harm_table.said(found))
    writing.table(on, harm_table.causes_table(found))
    writing.table(on, harm_table.modes_table(found))
    on.print()
    on.print(Text("Assumed", style="bold"))
    for sentence in harm_table.ASSUMPTIONS:
        on.print(Text(f"- {sentence}"))
