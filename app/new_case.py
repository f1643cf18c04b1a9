"""The command `new`: a starter case from a few facts, or a copy of one of the examples."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .questions import QUESTIONS

if TYPE_CHECKING:
    from .answers import Answer

EXAMPLES = Path(__file__).parent.parent / "examples"  # at the same place in a checkout and in a wheel
USERS = ("engineer", "technician", "upfitter")
PICTURES = {".svg", ".png"}  # of the README: no part of an example
INTRODUCTION = """\
A few questions about the vehicle.  Numbers come with their units; Enter takes what stands behind it.
Behind a number you may say how far off it may be and who says so: 3300 lb ± 40 lb (measured: public scale).
Nothing is written before the last answer; Ctrl-C leaves it all.
"""


def _options(command: Callable[..., Any]) -> Callable[..., Any]:
    """An option for each question: its own, or a flag for each word."""
    for question in reversed(QUESTIONS):
        flags = {word: flag for word, flag in (question.words or {}).items() if flag}
        for word, flag in reversed(flags.items()):
            command = click.option(flag, question.fact, flag_value=word, help=f"{question.asked}: {word}.")(
                command
            )
        if not flags:
            words = f"{question.ask}.  [{question.example(None)}]"
            command = click.option(question.option, metavar="TEXT", help=words)(command)
    return command


@click.command()
@click.argument("target", metavar="[CASE.toml]", required=False)
@_options
@click.option("--yes", is_flag=True, help="Ask nothing: defaults, and guesses that are marked, for the rest.")
@click.option(
    "--example",
    type=click.Choice(USERS),
    help="Copy an example in place of a starter; the argument is then a folder.  [default: ./<example>]",
)
def new(target: str | None, example: str | None, yes: bool, **given: str | None) -> None:
    """Write a starter case from what door, tyres and tape measure tell: asked for one by one, or given.

    What an option gives is not asked.  A number without an origin counts as read where its question says.
    """
    answered = {fact: text for fact, text in given.items() if text is not None}
    if example is not None:
        if answered or yes:
            raise click.UsageError("--example copies files as they are: leave the other options out")
        _copy(example, Path(target or example))
    elif target is None:
        raise click.UsageError("Missing argument 'CASE.toml', the file to write; or --example for a copy of one")
    else:
        _start(Path(target), answered, yes)


def on_a_terminal() -> bool:
    """Whether somebody is there to answer."""
    return sys.stdin.isatty()


# --- examples -----------------------------------------------------------------------------------------------


def _copy(example: str, folder: Path) -> None:
    from .new_files import write_new
    from .starter import command

    kept = [path for path in sorted((EXAMPLES / example).iterdir()) if path.is_file()]
    files = {folder / path.name: path.read_bytes() for path in kept if path.suffix not in PICTURES}
    write_new(files)
    click.echo("\n".join(f"{path} is written." for path in files))
    cases = [path for path in files if path.suffix == ".toml"]
    click.echo("\n".join(["", "Next:", *(f"  {command(path)}" for path in cases)]))


# --- a starter ----------------------------------------------------------------------------------------------


def _start(path: Path, given: dict[str, str], yes: bool) -> None:
    from .new_files import refuse_existing, write_new
    from .starter import command, guesses, starter_text

    _refuse_name(path)
    refuse_existing([path])
    answers = _answers(given, ask=on_a_terminal() and not yes, guess=yes)
    write_new({path: starter_text(answers, path).encode()})
    click.echo(f"{path} is written.")
    if guessed := guesses(answers):
        click.echo(f"GUESSED, not given: {', '.join(guessed)}.  Put the real numbers in before you trust an answer.")
    click.echo(f"\nNext: open it, fill in the commented lines that you can, then\n  {command(path)}")


def _refuse_name(path: Path) -> None:
    from ..model.faults import CounterbounceError, Fault

    if path.suffix != ".toml":
        wanted = "a case file ends in .toml"
        raise CounterbounceError([Fault(str(path), None, "", "", wanted, example=f"{path.name}.toml")])


def _answers(given: dict[str, str], ask: bool, guess: bool) -> dict[str, Answer | None]:
    """Every fact: given, asked for, or what no answer means.  Raises CounterbounceError with all that is wrong."""

    answers, faults = _from_options(given)
    missing = [q for q in QUESTIONS if q.needed and q.fact not in given and not ask and not guess]
    if missing and not _place_needs_no_tape(answers, missing):
        ...
    return answers
