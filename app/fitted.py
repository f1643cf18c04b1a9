"""The command `fitted`: a recorded ride as it would have been with a damper on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .damper_options import damper_in_hand, damper_options
from .new_files import refuse_existing, write_new
from .progress import progress

if TYPE_CHECKING:
    from ..model.case import Case
    from ..model.units import Display
    from ..sizing.absorber import Damper
    from ..sizing.virtual_fit import Fitted
    from .tables import Table


@click.command("fitted")
@click.argument("case", metavar="CASE.toml")
@click.argument("ride", metavar="FILE")
@damper_options()
@click.option("--out", metavar="NEW.csv|wav|npz|parquet", help="Write the ride with the damper there.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, and nothing else.")
def fitted(
    case: str, ride: str, place: str | None, out: str | None, as_json: bool, **options: str | None
) -> None:
    """Put a damper onto a recorded ride: what this very ride would have been with it, computed from how its
    place moved and from the vehicle of the case, best a calibrated one.  Road and wheels need not be known.
    """
    if out:
        refuse_existing([Path(out)])
    from ..model.case import load
    from ..model.measured.recording import read
    from ..model.ride_files import ride_bytes
    from ..model.settle import settled
    from ..sizing.virtual_fit import virtual_fit

    with progress() as say:
        loaded = load(case)
        say("reading the ride")
        held = read(ride, loaded.sensors, loaded.labels, loaded.speedometer).ride
        recorded, vehicle = replace(held, name=Path(ride).name), settled(loaded.plan, loaded.numbers)
        hung = _damper(loaded, place, options)
        say("putting the damper on")
        found = virtual_fit(recorded, vehicle, hung)
        if out:
            write_new(ride_bytes(found.after, out))
    if as_json:
        import json

        click.echo(json.dumps(answer(found), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        _tell(found, loaded.display, [point.name for point in vehicle.watched], out)


def _damper(case: Case, place: str | None, options: dict[str, str | None]) -> Damper:
    """The damper that the options describe, or else the best one of the case."""
    if hung := damper_in_hand(case, place, options):
        return hung
    from ..model.faults import CounterbounceError, Fault
    from ..sizing.assess import assess

    found = assess(case)
    if found.sized is None:
        wanted = f"wanted a damper, such as --mass, --tuned, --damping and --at: {found.verdict.sentence}"
        raise CounterbounceError([Fault(str(case.path), None, "", "", wanted)])
    return found.sized.found.damper


def levels_table(found: Fitted) -> Table:
    """R.m.s. level of each point, as it was and with the damper."""
    from .tables import Table, percent

    rows = tuple(
        (name, f"{before:.3g}", f"{after:.3g}", percent(1 - after / before) if before else "–")
        for name, (before, after) in found.levels().items()
    )
    note = (
        f"From {found.settles:.0f} s on, when the damper has settled. Computed, not measured: as good as the "
        "vehicle of the case, at the amplitude of this ride. Whatever lies above 25 Hz is left as it was."
    )
    if found.left_out:
        note += f" Points that the case does not know: {', '.join(found.left_out)}."
    return Table(
        "This ride, with the damper", ("at", "as it was, m/s²", "m/s²", "falls by"), rows, (1, 2, 3), note
    )


def speeds_table(found: Fitted, show: Display, watched: Sequence[str]) -> Table:
    """The first recorded point of those watched, or the one that shakes most, speed by speed; without rows
    where the ride has no speed."""
    from ..model.faults import CounterbounceError
    from .tables import Table, percent

    title, columns = "Speed by speed", ("at", "as it was, m/s²", "m/s²", "falls by")
    if "speed" not in [one.name for one in found.before.channels]:
        return Table(title, columns, ())
    try:
        speeds, levels = found.along_speed()
    except CounterbounceError:  # less than a piece of road is left
        return Table(title, columns, ())
    names = [one.name for one in found.before.channels]
    felt = next((name for name in watched if name in names), None)
    point = names.index(felt) if felt else int(levels[0].max(axis=1).argmax())
    rows = tuple(
        (show.show(float(speed), "speed"), f"{before:.3g}", f"{after:.3g}", percent(1 - after / before))
        for speed, before, after in zip(speeds, *levels[:, point], strict=True)
    )
    return Table(f"{title} at {names[point]}, 1 to 25 Hz", columns, rows, (1, 2, 3))


def _tell(found: Fitted, show: Display, watched: Sequence[str], out: str | None) -> None:
    from rich.text import Text

    from ..sizing.verdict import CAUTIONS
    from . import writing
    from .tables import percent

    hung, on = found.damper, writing.console()
    told = (
        f"{show.show(hung.mass, 'mass')} at {hung.place}, tuned to {show.show(hung.tuned_hz, 'frequency')}, "
        f"damping {percent(hung.damping_ratio)}"
    )
    writing.heading(on, found.before.name, told)
    on.print()
    on.print(Text.assemble(("BEFORE DRIVING  ", "bold"), CAUTIONS[0]))
    for table in (levels_table(found), speeds_table(found, show, watched)):
        if table.rows:
            writing.table(on, table)
    writing.cautions(on, CAUTIONS)
    if out:
        on.print()
        on.print(out, soft_wrap=True)


def answer(found: Fitted) -> dict[str, Any]:
    """The same, ready for JSON [SI in key names]."""
    from ..model.drive import STROKE
    from . import told

    settled = found.after.since(found.after.start + found.settles)
    stroke = abs(settled.channel(STROKE)).max()
    levels = [
        {
            "point": name,
            "before_m_s2": before,
            "after_m_s2": after,
            "reduction": 1 - after / before if before else None,
        }
        for name, (before, after) in found.levels().items()
    ]
    whole: dict[str, Any] = told.plain(
        {
            "damper": {"place": found.damper.place, **told.damper(found.damper)},
            "settles_s": found.settles,
            "levels": levels,
            "stroke_peak_m": stroke,
            "left_out": list(found.left_out),
            "computed": True,
        }
    )
    return whole
