"""The command `assess`: a case answered, by itself or with what recordings of the vehicle said."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .listing import Listing
from .progress import progress
from .recording_options import of_a_recording, quantity, sensors_of
from .verify import write_seal

if TYPE_CHECKING:
    from ..model.case import Case
    from ..sizing.assess import Assessment
    from .chain import Chain
    from .read_study import Asked


@click.command("assess", cls=Listing)
@click.argument("case", metavar="CASE.toml")
@click.option(
    "--recording",
    "recordings",
    multiple=True,
    metavar="FILE…",
    help="Recordings of the vehicle, a ride each: what they say corrects the vehicle and has a say in the "
    "answer.",
)
@click.option("--together", is_flag=True, help="The recordings are of one ride: read them together.")
@of_a_recording
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, and nothing else.")
@click.option(
    "--out",
    metavar="FOLDER",
    help="Where the report goes.  [default: ./<case>-report/; with --json: no report]",
)
@click.option("--no-report", is_flag=True, help="Print the answer and write nothing.")
@click.option("--pdf", is_flag=True, help="Put the papers into papers.pdf as well; needs the extra `pdf`.")
@click.option("--seal", metavar="NEW.json", help="Seal the prediction there, for `verify` to score.")
def assess(
    case: str, recordings: tuple[str, ...], together: bool, as_json: bool, out: str | None, no_report: bool,
    pdf: bool, seal: str | None, **options: Any,
) -> None:  # fmt: skip
    """Answer a case: what shakes, at which speeds, whether a damper helps, and which."""
    if no_report and out:
        raise click.UsageError("--no-report and --out contradict each other")
    rides = _rides(recordings, together, **options)
    if seal:
        from .new_files import refuse_existing

        refuse_existing([Path(seal)])
    if pdf:
        from .pdf import ready_for_pdf

        ready_for_pdf(report=bool(out) or not (no_report or as_json))
    from ..model.case import load

    usual = None if as_json or no_report else Path(f"{Path(case).stem}-report")
    folder = Path(out) if out else usual
    with progress() as say:
        found, chain = _answered(load(case), rides, folder, say)
        sealed = write_seal(found, seal) if seal else None
        if folder is not None:
            from .report import write_report

            say("writing the report")
            write_report(found, folder, pdf, chain)
    _tell(found, chain, folder, as_json, pdf)
    if sealed and not as_json:
        click.echo(f"Sealed: {seal}, SHA-256 {sealed}")


def _rides(
    recordings: Sequence[str], together: bool, pulses: str | None, teeth: int, missing: int | None,
    rate: str | None, sensors: Sequence[str],
) -> list[Asked]:  # fmt: skip
    """What is to be read, ride by ride.  Raises CounterbounceError with every fault of the options."""
    if not recordings:
        if together or pulses or rate or sensors:
            raise click.UsageError("--together, --pulses, --rate and --sensor speak of a --recording")
        return []
    rides = [tuple(recordings)] if together else [(file,) for file in recordings]
    if pulses and len(rides) > 1:
        raise click.UsageError("--pulses belong to one ride: give one --recording, or --together")
    from ..model.faults import CounterbounceError, Fault
    from .read_study import Asked

    faults: list[Fault] = []
    often = quantity("--rate", rate, "Hz", "400 Hz", faults)
    taken = sensors_of(sensors, faults)
    if faults:
        raise CounterbounceError(faults)
    more: dict[str, Any] = {"pulses": pulses, "teeth": teeth, "missing": missing}
    return [Asked(files, rate=often, sensors=taken, **more) for files in rides]


def _answered(
    case: Case, rides: Sequence[Asked], folder: Path | None, say: Callable[[str], None]
) -> tuple[Assessment, Chain | None]:
    if rides:
        from .chain import chain

        found = chain(case, rides, folder, say)
        return found.after, found
    from ..sizing.assess import assess as answer_case

    return answer_case(case, say), None


def _tell(found: Assessment, chain: Chain | None, folder: Path | None, as_json: bool, pdf: bool) -> None:
    if as_json:
        from .answer import to_json

        click.echo(to_json(found, _more(chain, folder)), nl=False)
        return
    from .terminal import tell

    tables: Sequence[Any] = ()
    if chain:
        from .chain_table import chain_tables

        tables = chain_tables(chain)
    tell(found, folder, pdf=pdf, first=tables)
    if chain and chain.file and folder is not None:
        click.echo(f"The corrected case: {folder / chain.file}")


def _more(chain: Chain | None, folder: Path | None) -> dict[str, Any]:
    if chain is None:
        return {}
    from .chain_table import chain_json

    return chain_json(chain, str(folder / chain.file) if folder and chain.file else None)
