"""The commands `verify` and `score`: what a change did to a shake, and how good sealed predictions were."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .listing import Listing
from .progress import progress

if TYPE_CHECKING:
    from ..model.case import Case
    from ..model.faults import Fault
    from ..model.ride import Ride
    from ..sizing.sealed import Sealed


@click.command("verify", cls=Listing)
@click.option("--before", multiple=True, metavar="FILE…", help="Rides before the change, a pass each.")
@click.option("--after", multiple=True, metavar="FILE…", help="Rides after it, a pass each.")
@click.option("--case", "case_file", metavar="CASE.toml", help="Says where the sensors are, and what rolls.")
@click.option(
    "--at",
    metavar="POINT",
    help="The channel that decides.  [default: the first that the case watches, or what shook most]",
)
@click.option("--circumference", metavar="LENGTH", help='Rolled in one turn of a wheel, such as "2.44 m".')
@click.option("--speed", metavar="SPEED", help='Of rides that do not record it: steady, such as "88 km/h".')
@click.option(
    "--beat",
    metavar="LENGTH",
    help='Road between two beats of the wheels, such as "900 m".  [default: the longest to be expected]',
)
@click.option("--different", multiple=True, metavar="WHAT…", help="What differs between the rides, though it "
              "should not: road, direction, load, pressure or gear.")  # fmt: skip
@click.option("--sealed", metavar="FILE.json", help="A prediction sealed by `assess --seal`, to be scored.")
@click.option("--score", "score_file", metavar="NEW.json", help="Write its score there.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, and nothing else.")
def verify(
    before: tuple[str, ...], after: tuple[str, ...], case_file: str | None, at: str | None,
    different: tuple[str, ...], sealed: str | None, score_file: str | None, as_json: bool,
    **given: str | None,
) -> None:  # fmt: skip
    """Compare rides before and after a change: what it took off the shake, with an interval, and whether
    that is more than chance.

    Every file is a pass of its own.  Turn round between passes, so that the wheels meet anew: what they do
    together swells and dies away, and one loud pass beside one quiet one proves nothing.
    """
    from .new_files import refuse_existing

    if score_file:
        if not sealed:
            raise click.UsageError("--score wants --sealed: what it is the score of")
        refuse_existing([Path(score_file)])
    from ..model.case import load
    from ..sizing.measured_gain import measured_gain
    from ..sizing.scored import scored
    from ..sizing.sealed import read_sealed

    lengths = _lengths(given, before, after)
    held = read_sealed(sealed) if sealed else None
    with progress() as say:
        case = load(case_file) if case_file else None
        say("reading the rides")
        rides = (
            [_ride(file, case, lengths["speed"]) for file in before],
            [_fitted(_ride(file, case, lengths["speed"])) for file in after],
        )
        say("comparing them")
        around = lengths["circumference"] or _rolled(case)
        within, lines = (held.band, held.lines) if held else (None, ())
        place = _place(held, at) or _watched(case, rides[0] + rides[1])
        gain = measured_gain(*rides, place, around, lengths["beat"], different, within, lines)
    score = scored(held, gain) if held else None
    if score and score_file:
        _write(score, score_file)
    from . import verify_table

    if as_json:
        import json

        told = verify_table.answer(gain, score)
        click.echo(json.dumps(told, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        verify_table.tell(gain, score, case.display if case else None)


@click.command("score")
@click.argument("folder", metavar="FOLDER")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, and nothing else.")
def score(folder: str, as_json: bool) -> None:
    """Tell across jobs how often sealed predictions held, and by how much they were off: all scores that
    `verify --score` wrote below a folder."""
    from ..model.faults import CounterbounceError, Fault
    from ..sizing.scored import is_score, record, score_of
    from . import verify_table

    if not Path(folder).is_dir():
        raise CounterbounceError([Fault(folder, None, "", "", "is no folder")])
    texts = {path: _text(path) for path in sorted(Path(folder).rglob("*.json"))}
    found = record([score_of(text, str(path)) for path, text in texts.items() if is_score(text, str(path))])
    if as_json:
        import json

        click.echo(json.dumps(verify_table.record_answer(found), indent=2, ensure_ascii=False))
    else:
        verify_table.tell_record(found)


def write_seal(found: Any, path: str) -> str:
    """Writes the sealed prediction of an assessment; its hash."""
    from importlib.metadata import version

    from ..sizing.sealed import opened, seal
    from .new_files import write_new

    text = seal(found, version("counterbounce"))
    write_new({Path(path): text.encode()})
    return opened(text, path).sha256


# --- what was asked ---------------------------------------------------------------------------------------


def _lengths(
    given: dict[str, str | None], before: tuple[str, ...], after: tuple[str, ...]
) -> dict[str, float | None]:
    """The options that carry a unit [SI].  Raises CounterbounceError with every fault of the call at once."""
    from ..model.faults import CounterbounceError, Fault
    from ..model.units import UnitFault, Wants, read

    faults = _same_twice(before, after)
    wants = {"circumference": ("m", "2.44 m"), "beat": ("m", "900 m"), "speed": ("m/s", "88 km/h")}
    found: dict[str, float | None] = {}
    for name, (unit, example) in wants.items():
        text = given[name]
        try:
            found[name] = None if text is None else read(text, Wants(unit, example, above=0.0)).value
        except UnitFault as fault:
            wanted = fault.wanted + (f" ({fault.hint})" if fault.hint else "")
            faults.append(Fault("", None, f"--{name}", fault.given, wanted, fault.near, fault.example))
    if faults:
        raise CounterbounceError(faults)
    return found


def _same_twice(before: tuple[str, ...], after: tuple[str, ...]) -> list[Fault]:
    from hashlib import sha256

    from ..model.faults import Fault

    faults = [
        Fault("", None, option, "", "wanted at least one ride", example=f"{option} ride.csv")
        for option, files in (("--before", before), ("--after", after))
        if not files
    ]
    seen: dict[str, str] = {}
    for file in (name for name in (*before, *after) if Path(name).is_file()):
        digest = sha256(Path(file).read_bytes()).hexdigest()
        if digest in seen:
            faults.append(Fault(file, None, "", "", f"is the same ride as {seen[digest]}: it counts once"))
        seen.setdefault(digest, file)
    return faults


def _ride(file: str, case: Case | None, speed: float | None) -> Ride:
    """A ride with its road speed: recorded, told, or as its label has it where `drive` made it."""
    from ..model.measured.recording import read

    known = (case.sensors, case.labels, case.speedometer) if case else ((), {}, None)
    ride = read(file, *known).ride
    if "speed" in [one.name for one in ride.channels]:
        return _named(ride, file)
    return _named(_with_speed(ride, *(_labelled(ride) if speed is None else (speed, speed))), file)


def _fitted(ride: Ride) -> Ride:
    """A drive that holds every channel without a damper and with it: after the fix those with it count."""
    from dataclasses import replace

    from .driven import WITH

    hung = [i for i, one in enumerate(ride.channels) if one.name.endswith(WITH)]
    if not hung:
        return ride
    rows = [*hung, *(i for i, one in enumerate(ride.channels) if one.name == "speed")]
    channels = tuple(replace(ride.channels[i], name=ride.channels[i].name.removesuffix(WITH)) for i in rows)
    return replace(ride, channels=channels, samples=ride.samples[:][rows])


def _named(ride: Ride, file: str) -> Ride:
    from dataclasses import replace

    return replace(ride, name=Path(file).name)


def _with_speed(ride: Ride, begin: float, end: float) -> Ride:
    from dataclasses import replace

    import numpy as np

    from ..model.ride import Channel

    even = np.linspace(begin, end, len(ride))
    samples = np.vstack([np.asarray(ride.samples[:], dtype=float), even])
    return replace(ride, channels=(*ride.channels, Channel("speed", "m/s")), samples=samples)


def _labelled(ride: Ride) -> tuple[float, float]:
    """Speeds at the start and at the end [m/s], as `drive` labels them."""
    from ..model.faults import CounterbounceError, Fault
    from ..model.units import UnitFault, Wants, read

    label = ride.labels.get("speed", "")
    try:
        speeds = [read(text, Wants("m/s", "88 km/h", above=0.0)).value for text in label.split(" to ")]
        return speeds[0], speeds[-1]
    except UnitFault:
        wanted = "wanted a road speed, by which rides are matched: a column, or --speed where it was steady"
        raise CounterbounceError(
            [Fault(ride.name, None, "speed", label, wanted, example='--speed "88 km/h"')]
        ) from None


def _rolled(case: Case | None) -> float | None:
    """Rolling circumference of the driven axle [m], where a case knows it."""
    from ..model.numbers import Missing

    if case is None:
        return None
    driven = next((axle for axle in case.plan.axles if axle.driven), case.plan.axles[-1])
    try:
        return float(case.numbers[f"axle.{driven.name}.circumference"])
    except Missing:
        return None


def _place(held: Sealed | None, at: str | None) -> str | None:
    """The channel that decides: what was sealed is measured where it was sealed for."""
    if held and at and at != held.point:
        raise click.UsageError(f"--at: what was sealed is to be measured at {held.point}")
    return held.point if held else at


def _watched(case: Case | None, rides: list[Ride]) -> str | None:
    """The first point that the case watches and all rides recorded: where people sit comes before axles."""
    if case is None:
        return None
    from ..model.settle import settled

    recorded = [{channel.name for channel in ride.channels} for ride in rides]
    watched = [point.name for point in settled(case.plan, case.numbers).watched]
    return next((name for name in watched if all(name in names for names in recorded)), None)


def _write(score: Any, path: str) -> None:
    import json

    from ..sizing.scored import as_told
    from .new_files import write_new

    write_new({Path(path): (json.dumps(as_told(score), indent=2, ensure_ascii=False) + "\n").encode()})


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8", errors="replace")
