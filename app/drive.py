"""The command `drive`: a drive in time, with and without a damper."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .damper_options import damper_in_hand, damper_options
from .new_files import refuse_existing, write_new
from .progress import progress

if TYPE_CHECKING:
    from ..model.case import Case
    from ..sizing.absorber import Damper
    from .driven import Driven, Wheels

PICTURES = (".svg", ".png")


@click.command("drive")
@click.argument("case", metavar="CASE.toml")
@click.option("--speed", required=True, help='How fast, such as "88 km/h".')
@click.option("--to", help="How fast at the end: between them the speed changes evenly.")
@click.option(
    "--road",
    default="case",
    show_default=True,
    help='"class A" to "class H", joints, wave, smooth, case (all that the case says), or a file of heights.',
)
@click.option(
    "--wheels",
    type=click.Choice(["drawn", "in-phase", "true"]),
    default="drawn",
    show_default=True,
    help="Their phases are drawn by the seed, or begin together; or no wheel is out of true.",
)
@click.option(
    "--seconds", type=click.FloatRange(1, 36_000), default=30.0, show_default=True, help="How long."
)
@click.option(
    "--rate", type=click.FloatRange(200, 50_000), default=1000.0, show_default=True, help="Samples a second."
)
@click.option("--seed", default=1, show_default=True, help="Of the road and of the wheels' phases.")
@click.option(
    "--no-damper", is_flag=True, help="Drive without a damper only.  [default: with the best one too]"
)
@damper_options()
@click.option("--out", metavar="FILE.csv|wav|npz|parquet", help="Write the ride there.")
@click.option("--picture", metavar="FILE.svg|png", help="Draw it.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, and nothing else.")
def drive(
    case: str, speed: str, to: str | None, seconds: float, rate: float, road: str, wheels: Wheels, seed: int,
    no_damper: bool, place: str | None, out: str | None, picture: str | None, as_json: bool,
    **options: str | None,
) -> None:  # fmt: skip
    """Drive the vehicle in time, without and with a damper, over a road and on wheels that are not true.

    \f
    seconds [s], rate [Hz]
    """
    refuse_existing(_targets(out, picture))  # before any work
    from ..model.case import load
    from .driven import Asked, driven

    with progress() as say:
        loaded = load(case)
        begin, end = _speeds(speed, to)
        hung = None if no_damper else _damper(loaded, place, options, say)
        say("driving")
        found = driven(loaded, Asked(begin, end, seconds, rate, road, wheels, seed), hung)
        files = _files(found, out, picture)
        write_new(files)
    if as_json:
        import json

        from .drive_table import answer

        click.echo(json.dumps(answer(found, list(files)), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        _tell(found, list(files))


def _targets(out: str | None, picture: str | None) -> list[Path]:
    """Every file that is going to be written.  Raises CounterbounceError for an ending that is not known."""
    from ..model.faults import CounterbounceError, Fault
    from ..model.ride_files import SUFFIXES, beside

    given = [("--out", out, SUFFIXES), ("--picture", picture, PICTURES)]
    named = [(option, Path(name), endings) for option, name, endings in given if name is not None]
    faults = [
        Fault("", None, option, path.name, f"wanted a name that ends in {', '.join(endings)}")
        for option, path, endings in named
        if path.suffix.lower() not in endings
    ]
    if faults:
        raise CounterbounceError(faults)
    paths = [path for _, path, _ in named]
    return [*paths, *(beside(path) for path in paths if path.suffix.lower() == ".wav")]


def _speeds(speed: str, to: str | None) -> tuple[float, float]:
    """[m/s] at the start, and at the end.  Raises CounterbounceError with the faults of both."""
    from ..model.faults import CounterbounceError, Fault
    from ..model.units import UnitFault, Wants, read

    found, faults = [], []
    begin, end = Wants("m/s", "88 km/h", above=0.0), Wants("m/s", "60 km/h", at_least=0.0)
    given = [("--speed", speed, begin), *([("--to", to, end)] if to is not None else [])]
    for option, text, wants in given:
        try:
            found.append(read(text, wants).value)
        except UnitFault as fault:
            wanted = fault.wanted + (f" ({fault.hint})" if fault.hint else "")
            faults.append(Fault("", None, option, fault.given, wanted, fault.near, fault.example))
    if faults:
        raise CounterbounceError(faults)
    return found[0], found[-1]


def _damper(
    case: Case, place: str | None, options: dict[str, str | None], say: Callable[[str], None]
) -> Damper | None:
    """The damper that the options describe, or else the best one of the case, where there is one."""
    if hung := damper_in_hand(case, place, options):
        return hung
    from ..sizing.assess import assess

    sized = assess(case, say).sized
    return None if sized is None else sized.found.damper


def _files(found: Driven, out: str | None, picture: str | None) -> dict[Path, bytes]:
    from ..model.ride_files import ride_bytes

    files = {} if out is None else ride_bytes(found.ride, out)
    if picture is not None:
        from .drive_picture import drive_picture
        from .figures import png, svg

        figure, path = drive_picture(found), Path(picture)
        files[path] = png(figure) if path.suffix.lower() == ".png" else svg(figure).encode()
    return files


def _tell(found: Driven, files: list[Path]) -> None:
    from .drive_table import drive_table, headline
    from .writing import console, heading, table

    on = console()
    heading(on, found.case.name, headline(found))
    table(on, drive_table(found))
    for path in files:
        on.print(str(path), soft_wrap=True)
