"""The command `read`: recordings in, what shakes out, without knowing what was predicted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .progress import progress
from .recording_options import of_a_recording, quantity, sensors_of

if TYPE_CHECKING:
    from .read_study import Asked, Heard


@click.command("read")
@click.argument("files", metavar="FILE… [CASE.toml]", nargs=-1)
@click.option("--circumference", metavar="LENGTH", help='Rolled in one turn of a wheel, such as "2.44 m"; or')
@click.option("--tyre", metavar="SIZE", help="the size on its sidewall, such as 225/70R19.5.")
@click.option("--axle-ratio", type=click.FloatRange(1, 30), help="Propshaft turns per turn of a wheel.")
@click.option(
    "--gear-ratio",
    type=click.FloatRange(0.1, 30),
    help="Turns of the shaft with the pulses per turn of the propshaft: the gear's for a crank, 1 for a "
    "propshaft.",
)
@of_a_recording
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, and nothing else.")
@click.option(
    "--out",
    metavar="FOLDER",
    help="Where the report goes.  [default: ./<first file>-report/; with --json: no report]",
)
@click.option("--no-report", is_flag=True, help="Print the answer and write nothing.")
@click.option(
    "--guide",
    is_flag=True,
    help="Before a first recording: where sensors go and how to drive, on one page; no FILE is needed, and a "
    "case lets it name places and speeds.",
)
def read(
    files: tuple[str, ...], as_json: bool, out: str | None, no_report: bool, guide: bool, **given: Any
) -> None:
    """Read recordings of a ride: what is wrong with them, what shakes, where, at what speed, how surely,
    and the one thing to record next.  Files of one ride are read together; a case tells where the points
    are, and nothing of what it predicts is used."""
    if no_report and out:
        raise click.UsageError("--no-report and --out contradict each other")
    if guide:
        _guide(files, as_json, out, no_report, given)
        return
    if not files:
        raise click.UsageError("wanted a recording, such as ride.csv; before there is one, --guide")
    from .read_study import study

    asked = _asked(files, **given)
    with progress() as say:
        say("reading")
        found = study(asked)
        folder = None if no_report else Path(out) if out else None if as_json else _folder(asked)
        if folder is not None:
            from .read_report import write_report

            say("writing the report")
            write_report(found, folder)
    if as_json:
        import json

        from .read_answer import answer

        click.echo(json.dumps(answer(found), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        tell(found, folder)


def _folder(asked: Asked) -> Path:
    return Path(f"{Path(asked.files[0]).stem}-report")


def _guide(
    files: Sequence[str], as_json: bool, out: str | None, no_report: bool, given: Mapping[str, Any]
) -> None:
    """The recording guide on the screen, and as a page unless that is not wanted."""
    from .before_recording import guide_of, write_guide

    if as_json or any(not file.lower().endswith(".toml") for file in files) or len(files) > 1:
        raise click.UsageError("--guide goes with a case, --tyre or --circumference, and no recording")
    faults: list[Any] = []
    around = quantity("--circumference", given["circumference"], "m", "2.44 m", faults)
    around = around or _of_tyre(given["tyre"], faults)
    if faults:
        from ..model.faults import CounterbounceError

        raise CounterbounceError(faults)
    page = guide_of(files[0] if files else None, around)
    write_guide(page, None if no_report else Path(out or page.file))


# --- what was asked ---------------------------------------------------------------------------------------


def _asked(
    files: Sequence[str],
    circumference: str | None,
    tyre: str | None,
    rate: str | None,
    sensors: Sequence[str],
    pulses: str | None,
    teeth: int,
    missing: int | None,
    **ratios: float | None,
) -> Asked:
    """The options, read.  Raises CounterbounceError with every fault of them at once."""
    from ..model.faults import CounterbounceError, Fault
    from .read_study import Asked

    faults: list[Fault] = []
    cases = [file for file in files if file.lower().endswith(".toml")]
    recordings = tuple(file for file in files if file not in cases)
    if not recordings:
        faults.append(Fault("", None, "FILE", " ".join(files), "wanted a recording", example="ride.csv"))
    if len(cases) > 1:
        faults.append(Fault("", None, "CASE.toml", ", ".join(cases), "wanted one case at most"))
    if circumference and tyre:
        faults.append(Fault("", None, "--tyre", tyre, "--circumference says it already: wanted one of them"))
    around = quantity("--circumference", circumference, "m", "2.44 m", faults)
    around = around or _of_tyre(tyre, faults)
    often = quantity("--rate", rate, "Hz", "400 Hz", faults)
    taken = sensors_of(sensors, faults)
    if faults:
        raise CounterbounceError(faults)
    case = cases[0] if cases else None
    return Asked(
        recordings,
        case,
        around,
        rate=often,
        sensors=taken,
        pulses=pulses,
        teeth=teeth,
        missing=missing,
        **ratios,
    )


def _of_tyre(size: str | None, faults: list[Any]) -> float | None:
    from ..model.faults import Fault
    from ..model.tyres import parse_size, rolling_circumference

    if size is None:
        return None
    try:
        return float(rolling_circumference(parse_size(size).diameter))
    except ValueError as error:
        faults.append(Fault("", None, "--tyre", size, str(error), example="225/70R19.5"))
        return None


# --- what is said -----------------------------------------------------------------------------------------


def tell(found: Heard, folder: Path | None) -> None:
    """Write what was found as readable text: the finding first, the one next step, then what is behind it."""
    from rich.text import Text

    from ..sizing.verdict import CAUTIONS
    from . import read_tables, writing

    on = writing.console()
    writing.heading(on, found.recording.ride.name, read_tables.headline(found))
    said = [
        ("FOUND", read_tables.sentence(found.evidence.findings[0], found.display)),
        ("HEALTH", read_tables.health_line(found)),
        ("NEXT", " ".join(text for _, text in read_tables.step_rows(found))),
        ("BEFORE DRIVING", CAUTIONS[0]),
    ]
    for head, body in (one for one in said if one[1]):
        on.print()
        on.print(Text.assemble((f"{head}  ", "bold"), body))
    tables = (
        read_tables.findings_table, read_tables.points_table, read_tables.health_table,
        read_tables.estimates_table,
    )  # fmt: skip
    for table in (one(found) for one in tables):
        if table.rows or table.note:
            writing.table(on, table)
    _list(on, "What this recording cannot tell", found.evidence.limits)
    _list(on, "What was done to the data", found.recording.done)
    if folder is not None:
        on.print()
        on.print(f"Report: {folder / 'report.html'}", soft_wrap=True)


def _list(on: Any, title: str, sentences: Sequence[str]) -> None:
    from rich.text import Text

    if sentences:
        on.print()
        on.print(Text(title, style="bold"))
    for one in sentences:
        on.print(Text(f"- {one}"))
