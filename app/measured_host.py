"""The command `host`: a damper for a host known from curves or modes, without a case."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from .progress import progress

if TYPE_CHECKING:
    from ..model.faults import Fault
    from ..model.units import Display, Reading
    from .host_damper import Answer, Question
    from .tables import Table

WANTED = {  # what an option may say: unit, example
    "mass": ("kg", "20 kg"),
    "band": ("Hz", "8 Hz"),
    "stroke": ("m", "10 mm"),
    "clearance": ("m", "60 mm"),
}
OF_ROAD, OF_FORCE = ("m", "0.3 mm"), ("N", "200 N")
NOT_LOOKED_AT = (
    "Not looked at here: whether weight, axle and tyre ratings allow it, whether it has room, and how it is "
    "held. Checks before driving come first."
)


@click.command("host")
@click.argument("file", metavar="FILE")
@click.option("--place", required=True, metavar="POINT", help="Where the damper is to hang.")
@click.option(
    "--watched", required=True, multiple=True, metavar="POINT", help="What is felt; may be repeated."
)
@click.option("--push", metavar="POINT", help='Where the shake comes in, or "road".  [default: the place]')
@click.option("--amplitude", help='Of that force, such as "200 N", or of the road, such as "0.3 mm".')
@click.option("--mass", required=True, help='The most that may hang there, such as "20 kg".')
@click.option("--band", nargs=2, required=True, metavar="FROM TO", help='Such as "8 Hz" "11 Hz".')
@click.option("--stroke", help='How far it may move each way, such as "10 mm"; wants --amplitude.')
@click.option("--clearance", help='Room each way for stroke and sag, such as "60 mm"; wants --amplitude.')
@click.option("--unit", default="", help='Of a universal file that does not say its own, such as "mm/N".')
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, and nothing else.")
def host(file: str, unit: str, as_json: bool, **options: Any) -> None:
    """Size a damper for any host from measured or computed curves, or from its modes.

    FILE holds receptances, mobilities or accelerances (.unv, .uff, or .csv with columns such as
    "rear end per axle.rear real [m/N]"), or modes (.csv or .toml).
    """
    question, show = question_of(options)
    from .host_damper import host_damper
    from .host_files import read_host

    with progress() as say:
        say("reading the file")
        known = read_host(file, unit)
        say("sizing the damper")
        found = host_damper(known, question, file)
    if as_json:
        import json

        click.echo(json.dumps(answer(found, file), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        tell(found, file, show)


def question_of(options: dict[str, Any]) -> tuple[Question, Display]:
    """What the options ask, and the units that they are written in.

    Raises CounterbounceError with every fault of them at once.
    """
    from ..model.faults import CounterbounceError, Fault
    from ..model.units import display_of
    from .host_damper import Question

    push = options["push"] or options["place"]
    low, high = options["band"]
    texts = [("mass", options["mass"]), ("band", low), ("band", high)]
    texts += [(name, options[name]) for name in ("amplitude", "stroke", "clearance")]
    faults: list[Fault] = []
    found = [_read(name, text, push, faults) for name, text in texts]
    for name in ("stroke", "clearance"):
        if options[name] is not None and options["amplitude"] is None:
            wanted = "it hangs on how hard the host is shaken: give --amplitude as well"
            faults.append(Fault("", None, f"--{name}", options[name], wanted))
    mass, start, end, amplitude, stroke, clearance = (None if one is None else one.value for one in found)
    if start is not None and end is not None and start >= end:
        faults.append(Fault("", None, "--band", f"{low} to {high}", "wanted the lower frequency first"))
    if faults or mass is None or start is None or end is None:
        raise CounterbounceError(faults)
    watched = tuple(dict.fromkeys(options["watched"]))
    question = Question(options["place"], watched, push, amplitude, (start, end), mass, stroke, clearance)
    return question, display_of(one.unit_written for one in found if one and one.unit_written != "Hz")


def _read(name: str, text: str | None, push: str, faults: list[Fault]) -> Reading | None:
    """What an option says; None where it is not given, or not right, which goes to `faults`."""
    from ..model.units import UnitFault, Wants, read
    from .host_files import unit_fault

    unit, example = WANTED.get(name) or (OF_ROAD if push == "road" else OF_FORCE)
    if text is None:
        return None
    try:
        return read(text, Wants(unit, example, above=0.0))
    except UnitFault as fault:
        faults.append(unit_fault("", f"--{name}", fault))
        return None


def minimised(question: Question) -> str:
    """What the damper makes small, in one sentence, and what that leaves out."""
    low, high = question.band
    felt = " and ".join(question.watched)
    return (
        f"Minimised is the largest acceleration of {felt}, r.m.s. and unweighted, from {low:g} to {high:g} "
        f"Hz, under {question.input} of one amplitude at every frequency; elsewhere it must hardly rise. "
        "The question is asked of frequencies: no road speed, wheel or joint is in it."
    )


def answer(found: Answer, file: str) -> dict[str, Any]:
    """All that was found, ready for JSON [SI in key names]; null where the amplitude had to be known."""
    from hashlib import sha256
    from importlib.metadata import version
    from pathlib import Path

    from . import told

    asked, sized = found.question, found.found
    known = asked.amplitude is not None
    levels = {"before": found.before, "after": found.after, "ballast": found.ballast}
    return dict(
        told.plain(
            {
                "run": {
                    "version": version("counterbounce"),
                    "file": Path(file).name,
                    "file_sha256": sha256(Path(file).read_bytes()).hexdigest(),
                },
                "asked": {
                    "place": asked.place,
                    "watched": asked.watched,
                    "push": asked.push,
                    "amplitude": asked.amplitude,
                    "amplitude_unit": "m" if asked.push == "road" else "N",
                    "band_hz": asked.band,
                    "mass_kg": asked.mass,
                    "stroke_m": asked.stroke,
                    "clearance_m": asked.clearance,
                },
                "minimised": minimised(asked),
                "damper": {
                    "place": sized.damper.place,
                    **told.damper(sized.damper),
                    "static_sag_m": sized.damper.static_sag,
                    "stroke_m": sized.stroke if known else None,
                    "limits_broken": sized.broken,
                },
                "prediction": {
                    "reduction": found.reduction,
                    "ballast_reduction": found.ballast_reduction,
                    "elsewhere_of_what_is_allowed": sized.elsewhere,
                    "points": [
                        {
                            "point": point,
                            **{f"{name}_m_s2": level[p] if known else None for name, level in levels.items()},
                            "reduction": 1 - found.after[p] / found.before[p],
                            "ballast_reduction": 1 - found.ballast[p] / found.before[p],
                        }
                        for p, point in enumerate(asked.watched)
                    ],
                },
                "notes": found.notes,
            }
        )
    )


def tell(found: Answer, file: str, show: Display) -> None:
    """Write the answer to standard output."""
    from . import writing

    on = writing.console()
    writing.heading(on, "A damper for a host known from a file", file)
    for words in (sentence(found, show), minimised(found.question), *found.notes, NOT_LOOKED_AT):
        on.print()
        on.print(words, markup=False)
    writing.table(on, damper_table(found, show))
    writing.table(on, levels_table(found))


def sentence(found: Answer, show: Display) -> str:
    """The answer in one sentence."""
    from .tables import change, percent

    hung, asked, broken = found.found.damper, found.question, found.found.broken
    if found.reduction <= 0:
        return f"No damper of up to {show.show(asked.mass, 'mass')} at {hung.place} lowers the shake there."
    kept = f" It does not keep to: {', '.join(broken).replace('_', ' ')}." if broken else ""
    tuned, damped = show.show(hung.tuned_hz, "frequency"), percent(hung.damping_ratio)
    return (
        f"A damper of {show.show(hung.mass, 'mass')} at {hung.place}, tuned to {tuned} and damped to "
        f"{damped}, lowers the largest level in the band by {percent(found.reduction)}; the same weight "
        f"bolted down changes it by {change(-found.ballast_reduction)}.{kept}"
    )


def damper_table(found: Answer, show: Display) -> Table:
    """What to build."""
    from .damper_tables import made_of
    from .tables import Table

    known = found.question.amplitude is not None
    stroke = show.show(found.found.stroke, "small_length") if known else "not known without --amplitude"
    rows = (*made_of(found.found.damper, show).items(), ("stroke each way", stroke))
    note = "A few newtons of dry friction can lock a damper at small strokes: let it move freely."
    return Table("What to build", ("", "the damper"), rows, (), note)


def levels_table(found: Answer) -> Table:
    """Each watched point in the band: before, with the damper, with the same weight bolted down."""
    from .tables import Table, change

    known = found.question.amplitude is not None
    rows = []
    for p, point in enumerate(found.question.watched):
        before, after, ballast = (float(level[p]) for level in (found.before, found.after, found.ballast))
        shown = [f"{level:.3g} m/s²" if known else "–" for level in (before, after, ballast)]
        rows.append(
            (point, shown[0], shown[1], change(after / before - 1), shown[2], change(ballast / before - 1))
        )
    columns = ("felt at", "before", "with the damper", "change", "with plain ballast", "change")
    low, high = found.question.band
    title = f"Before and after, largest level from {low:g} to {high:g} Hz"
    note = "" if known else "Levels are not known without --amplitude; the changes do not depend on it."
    return Table(title, columns, tuple(rows), (1, 2, 3, 4, 5), note)
