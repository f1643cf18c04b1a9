"""The command `calibrate`: a case corrected by evidence, as a new case file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .progress import progress

if TYPE_CHECKING:
    from ..model.calibrated import Calibrated
    from ..model.case import Case
    from ..model.datum import Datum
    from ..model.held_out import HeldOut

NOTHING = "evidence to agree with: [[evidence]] in the file, a recording, or what was felt (--felt)"


@click.command("calibrate")
@click.argument("case", metavar="CASE.toml")
@click.argument("recordings", metavar="[FILE]...", nargs=-1)
@click.option("--out", metavar="NEW.toml", help="The corrected case; never written over what is there.")
@click.option("--felt", is_flag=True, help="Take the complaint's speeds and the weight test at their word.")
@click.option("--ring-down", multiple=True, metavar="FILE", help="A recording of a release at standstill.")
@click.option("--hold-out", multiple=True, metavar="FILE", help="A recording to judge the result by.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, and nothing else.")
def calibrate(
    case: str,
    recordings: tuple[str, ...],
    out: str | None,
    felt: bool,
    ring_down: tuple[str, ...],
    hold_out: tuple[str, ...],
    as_json: bool,
) -> None:
    """Correct a case by what was measured on the vehicle: the numbers move as far as their spreads allow."""
    from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

    from ..model.calibrate import calibrate as corrected
    from ..model.case import load
    from ..model.felt import felt as as_felt
    from ..model.held_out import held_out
    from .new_files import refuse_existing

    if out:
        refuse_existing([Path(out)])
    with progress() as say, threadpool_limits(1):
        loaded = load(case)
        say("reading the evidence")
        heard, hashes = _recorded(loaded, recordings, ring_down)
        told = [*loaded.evidence, *heard, *(as_felt(loaded) if felt else ())]
        if not told:
            raise _nothing(loaded, felt)
        kept, _ = _recorded(loaded, hold_out, ())
        say("looking for the vehicle that agrees")
        found = corrected(loaded, told)
        judged = held_out(found, kept)
        if out and found.agrees:
            _write(found, case, Path(out), hashes)
    _tell(found, judged, out if found.agrees else None, as_json)
    if out and not found.agrees:
        click.echo(f"{out} was not written: no plausible vehicle agrees with the evidence", err=True)


def _recorded(case: Case, drives: Sequence[str], releases: Sequence[str]) -> tuple[list[Datum], list[str]]:
    """What recordings tell, and the SHA-256 of each."""
    if not (drives or releases):
        return [], []
    from ..model.heard import from_ride, from_ring_down
    from ..model.measured.recording import read
    from ..model.settle import settled
    from .read_study import Asked, heard_each, sha256_of

    vehicle = settled(case.plan, case.numbers)
    rides = heard_each([Asked((file,)) for file in drives], case)
    told = [datum for one in rides for datum in from_ride(one.evidence, vehicle, one.name)]
    for file in releases:
        recording = read(file, case.sensors, case.labels, case.speedometer)
        told += from_ring_down(recording, vehicle.points, Path(file).stem)
    return told, [sha256_of(Path(file)) for file in (*drives, *releases)]


def _nothing(case: Case, felt: bool) -> Exception:
    from ..model.faults import CounterbounceError, Fault

    wanted = NOTHING + (": the complaint has no speeds" if felt else "")
    example = f"counterbounce calibrate {case.path} --felt --out corrected.toml"
    return CounterbounceError([Fault(str(case.path), None, "", "nothing", wanted, example=example)])


def _write(found: Calibrated, case: str, out: Path, recordings: Sequence[str]) -> None:
    from ..model.case import parse
    from .calibrated_file import rewritten
    from .new_files import write_new

    text = Path(case).read_bytes().decode("utf-8-sig")
    new = rewritten(text, case, found, out.parent, recordings)
    parse(new, str(out))  # a file that could not be read again is not written
    write_new({out: new.encode("utf-8")})


def _tell(found: Calibrated, kept: tuple[HeldOut, ...], out: str | None, as_json: bool) -> None:
    from . import calibrate_table as tables

    if as_json:
        import json

        click.echo(json.dumps(tables.as_json(found, kept, out), indent=2, ensure_ascii=False))
        return
    from . import writing

    on = writing.console()
    writing.heading(on, found.case.name, ": ".join(tables.verdict(found)))
    for table in (tables.data_table(found), tables.modes_table(found), tables.moved_table(found)):
        writing.table(on, table)
    if kept:
        writing.table(on, tables.held_table(kept))
    if out:
        on.print(f"\nWritten: {out}. Assess it next.")
