"""Options that take several values, as a shell expands them: --before a.csv b.csv."""

from __future__ import annotations

import click

SEVERAL = ("--before", "--after", "--different", "--recording")


class Listing(click.Command):
    """A command some of whose options take several values, up to the next option or case file."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Says the option again before each further value."""
        repeated: list[str] = []
        option = ""
        for word in args:
            if word.startswith("-"):
                option = word if word in SEVERAL else ""
            elif word.endswith(".toml") and repeated[-1:] != [option]:
                option = ""
            elif option and repeated[-1] != option:
                repeated.append(option)
            repeated.append(word)
        return super().parse_args(ctx, repeated)
