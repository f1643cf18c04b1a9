"""The command `new`: a starter case from a few facts, or a copy of one of the examples."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ..sizing.walk_items import ITEMS
from .questions import QUESTIONS

if TYPE_CHECKING:
    from .answers import Answer
    from .questions import Question

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
            command = click.option(flag, question.fact, flag_value=word, help=question.help(word))(command)
        if not flags:
            command = click.option(question.option, metavar="TEXT", help=question.help())(command)
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
        raise click.UsageError(
            "Missing argument 'CASE.toml', the file to write; or --example for a copy of one"
        )
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
    from ..model.faults import CounterbounceError
    from .new_files import refuse_existing, write_new
    from .starter import command, guesses, starter_text

    _refuse_name(path)
    refuse_existing([path])
    ask = on_a_terminal() and not yes
    if ask:
        click.echo(INTRODUCTION)
    answers = _answers(given, ask, guess=yes)
    try:
        text = starter_text(answers, path)
    except CounterbounceError:
        click.echo(f"Nothing is written.  The same answers, to correct:\n  {_again(path, answers)}", err=True)
        raise
    write_new({path: text.encode()})
    click.echo(f"{path} is written.")
    if guessed := guesses(answers):
        click.echo(
            f"GUESSED, not given: {', '.join(guessed)}.  Put the real numbers in before you trust an answer."
        )
    for name, item in ITEMS.items():
        if (answer := answers[f"check_{name}"]) is not None and answer.text == "bad":
            click.echo(f"INSPECT FIRST, {item.name}: {item.do}")
    click.echo(f"\nNext: open it, fill in the commented lines that you can, then\n  {command(path)}")


def _refuse_name(path: Path) -> None:
    from ..model.faults import CounterbounceError, Fault

    if path.suffix != ".toml":
        wanted = "a case file ends in .toml"
        raise CounterbounceError([Fault(str(path), None, "", "", wanted, example=f"{path.name}.toml")])


def _again(path: Path, answers: Mapping[str, Answer | None]) -> str:
    """The command that gives the same answers as options."""
    words = ["counterbounce", "new", str(path)]
    for question in QUESTIONS:
        answer = answers[question.fact]
        if answer is not None and not answer.guessed:
            flag = (question.words or {}).get(answer.text)
            words += [flag] if flag else [question.option, answer.band or answer.text]
    return shlex.join(words)


def _answers(given: Mapping[str, str], ask: bool, guess: bool) -> dict[str, Answer | None]:
    """Every fact: given, asked for, or what no answer means.  Raises CounterbounceError."""
    from .answers import ALWAYS_THERE, system_of, unanswered

    answers: dict[str, Answer | None] = {}
    answers |= _given(given, complete=ask or guess)
    for question in QUESTIONS:
        where = answers.get("where")
        if question.fact == "station" and where is not None and where.text in ALWAYS_THERE:
            _refuse_station(answers.setdefault("station", None), where.text)
        elif question.fact not in answers:
            system = system_of(one for one in answers.values() if one is not None)
            answers[question.fact] = _asked(question, system) if ask else unanswered(question, system)
    return answers


def _given(given: Mapping[str, str], complete: bool) -> dict[str, Answer]:
    """What the options say, which must be all that is needed where it is not to be completed.

    Raises CounterbounceError with everything that is wrong or missing.
    """
    from ..model.faults import CounterbounceError
    from .answers import check, fault_of, missing

    answers, faults = {}, []
    lacking = [] if complete else [one for one in QUESTIONS if one.needed and one.fact not in given]
    if lacking:
        click.echo("No terminal to ask on: give what is needed, or --yes for guesses, marked.", err=True)
    for question in QUESTIONS:
        if question in lacking:
            faults.append(missing(question))
        if question.fact not in given:
            continue
        try:
            answers[question.fact] = check(question, given[question.fact])
        except ValueError as error:
            faults.append(fault_of(error, question.option))
    if faults:
        raise CounterbounceError(faults)
    for fact, answer in answers.items():
        if answer.odd:
            click.echo(f"{fact.replace('_', ' ')}: {answer.text} is {answer.odd}.", err=True)
    return answers


def _refuse_station(given: Answer | None, where: str) -> None:
    from ..model.faults import CounterbounceError, Fault

    if given is not None:
        wanted = f"the {where} has a station of its own: leave this out, or name another place with --where"
        raise CounterbounceError([Fault("--station", None, "", given.text, wanted)])


def _asked(question: Question, system: int | None) -> Answer | None:
    """An answer that holds, asked for as often as it takes."""
    from .answers import check, fault_of, unanswered

    more = (question.why, question.such_as(system), f"Enter: {question.silence(system)}.")
    click.echo("\n  ".join([f"\n{question.ask}.", *filter(None, more)]))
    while True:
        written = click.prompt(">", default="", show_default=False, prompt_suffix=" ")
        if not written.strip():
            return unanswered(question, system)
        try:
            answer = check(question, written)
        except ValueError as error:
            click.echo(f"  {fault_of(error, question.fact.replace('_', ' '))}")
            continue
        if not answer.odd or click.confirm(f"  {answer.text} is {answer.odd}.  Keep it?"):
            return answer
