"""The command `export`: matrices and receptances of a case, for other programs."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .new_files import refuse_existing, write_new
from .progress import progress

if TYPE_CHECKING:
    from ..model.case import Case
    from ..model.points import Point
    from ..model.vehicle import Vehicle

MATRICES, RECEPTANCES = (".npz", ".mat"), (".unv", ".uff")
UNITS = {
    "M": "kg", "C": "N s/m", "K": "N/m", "push_0": "N/m", "push_1": "N s/m", "stations": "m",
    "point_rows": "m per unit coordinate",
}  # fmt: skip


@click.command("export")
@click.argument("case", metavar="CASE.toml")
@click.option("--matrices", metavar="FILE.npz|FILE.mat", help="Write M, C, K and what the road pushes with.")
@click.option("--receptances", metavar="FILE.unv", help="Write receptances among points, as data sets 58.")
@click.option("--from", "low", default="1 Hz", show_default=True, help="First line of the receptances.")
@click.option("--to", "high", default="25 Hz", show_default=True, help="Last line of the receptances.")
@click.option("--lines", default=1000, show_default=True, type=click.IntRange(2, 100_000), help="How many.")
@click.option(
    "--points",
    multiple=True,
    metavar="POINT",
    help="A point of the receptances; may be repeated.  [default: watched points and places for a damper]",
)
def export(
    case: str,
    matrices: str | None,
    receptances: str | None,
    low: str,
    high: str,
    lines: int,
    points: tuple[str, ...],
) -> None:
    """Write the matrices or the receptances of a case to new files, for other programs."""
    if not matrices and not receptances:
        raise click.UsageError("give --matrices FILE, --receptances FILE, or both")
    targets = _targets({"--matrices": (matrices, MATRICES), "--receptances": (receptances, RECEPTANCES)})
    refuse_existing(targets)  # before any work
    from ..model.case import load
    from ..model.settle import settled

    with progress() as say:
        one = load(case)
        say("building the vehicle")
        vehicle = settled(one.plan, one.numbers)
        files: dict[Path, bytes] = {}
        if matrices:
            files[Path(matrices)] = matrix_bytes(one, vehicle, Path(matrices).suffix.lower())
        if receptances:
            say("computing receptances")
            band = _band(low, high)
            chosen = _chosen(one, vehicle, points)
            files[Path(receptances)] = receptance_bytes(one, vehicle, chosen, band, lines)
        write_new(files)
    for path, content in files.items():
        click.echo(f"{path}: {_words(len(content))}")


def matrix_bytes(case: Case, vehicle: Vehicle, suffix: str) -> bytes:
    """Matrices [SI], their names, units and where they come from, as the bytes of an .npz or .mat file."""
    held = matrix_table(case, vehicle)
    stream = BytesIO()
    if suffix == ".npz":
        import numpy as np

        np.savez(stream, allow_pickle=False, **held)
    else:
        from scipy import io

        save: Any = io.savemat  # the stubs want a file by its name
        save(stream, {name: _cells(value) for name, value in held.items()}, oned_as="column")
    return stream.getvalue()


def matrix_table(case: Case, vehicle: Vehicle) -> dict[str, Any]:
    """What a file of matrices holds: arrays [SI] by name, and arrays of words.

    M q'' + C q' + K q = push_0 u + push_1 u', u the heights of the roads; a point rises by its row times q.
    """
    import numpy as np

    from ..model.matrices import matrices as of
    from ..model.points import dense

    system, names = of(vehicle), list(vehicle.points)
    return {
        "M": system.M,
        "C": system.C,
        "K": system.K,
        "push_0": system.push_0,
        "push_1": system.push_1,
        "coordinates": np.array(system.coordinates),
        "roads": np.array(system.roads),
        "points": np.array(names),
        "point_rows": dense([vehicle.points[n].row for n in names], system.coordinates).astype(float),
        "stations": np.array([vehicle.points[n].station for n in names]),
        "directions": np.array([vehicle.points[n].direction for n in names]),
        "units": np.array([f"{name} [{unit}]" for name, unit in UNITS.items()]),
        "origin": np.array(_origin(case)),
    }


def _cells(value: Any) -> Any:
    """Words as a column of cells, which other programs read as text of any length."""
    return value.astype(object)[:, None] if value.dtype.kind == "U" else value


def receptance_bytes(
    case: Case, vehicle: Vehicle, points: Sequence[Point], band: tuple[float, float], lines: int
) -> bytes:
    """Receptances [m/N] among points as the bytes of a universal file.

    band   first and last frequency [Hz]
    lines  how many
    """
    from ..model.curve_files import curve_bytes, lines_between
    from ..model.response import dynamics

    frequency = lines_between(*band, lines)
    rows = [p.row for p in points]
    values = dynamics(vehicle).receptance(frequency, rows, rows)
    return curve_bytes(frequency, values, points, _origin(case))


def _origin(case: Case) -> list[str]:
    from importlib.metadata import version

    return [f"case {case.name}", f"sha256 {case.sha256}", f"counterbounce {version('counterbounce')}"]


def _chosen(case: Case, vehicle: Vehicle, names: Sequence[str]) -> list[Point]:
    from ..model.faults import CounterbounceError, Fault, nearest

    ends = [name for name in ("body", "front end", "rear end") if name in vehicle.points]
    usual = [p.name for p in vehicle.watched] + (list(case.limits.places) or ends)
    wanted = list(dict.fromkeys(names or usual))
    strange = [name for name in wanted if name not in vehicle.points]
    if strange:
        one_of = f"wanted one of {', '.join(vehicle.points)}"
        raise CounterbounceError(
            Fault("--points", None, "", repr(name), one_of, nearest(name, vehicle.points)) for name in strange
        )
    return [vehicle.points[name] for name in wanted]


def _band(low: str, high: str) -> tuple[float, float]:
    from ..model.faults import CounterbounceError, Fault

    band = _hertz("--from", low), _hertz("--to", high)
    if band[0] >= band[1]:
        wanted = f"wanted more than --from, which is {low}"
        raise CounterbounceError([Fault("--to", None, "", high, wanted, example='"25 Hz"')])
    return band


def _hertz(option: str, text: str) -> float:
    from ..model.faults import CounterbounceError, Fault
    from ..model.units import UnitFault, Wants, read

    try:
        return read(text, Wants("Hz", "1 Hz", above=0.0)).value
    except UnitFault as fault:
        wanted = fault.wanted + (f" ({fault.hint})" if fault.hint else "")
        raise CounterbounceError(
            [Fault(option, None, "", fault.given, wanted, fault.near, fault.example)]
        ) from None


def _targets(asked: dict[str, tuple[str | None, tuple[str, ...]]]) -> list[Path]:
    targets = []
    for option, (name, suffixes) in asked.items():
        if name is None:
            continue
        if Path(name).suffix.lower() not in suffixes:
            raise click.UsageError(
                f"{option} wants a name that ends in {' or '.join(suffixes)}, not {name!r}"
            )
        targets.append(Path(name))
    return targets


def _words(size: int) -> str:
    return f"{size / 1000:.0f} kB" if size >= 1000 else f"{size} bytes"
