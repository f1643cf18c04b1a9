"""The mounting and driving guide: where sensors go, how they are fixed, what to record, label and drive."""

from __future__ import annotations

from math import ceil

from ..model.units import significant
from ..sizing.assess import Assessment
from ..sizing.reasons import speed_text
from ..sizing.verdict import CAUTIONS
from .blocks import Beside, Fill, Paper, Points, Sheet, Text, cut, paper
from .drive_card import ASIDE, BEATS, beat_length, hold, reach, stay

RATE = 200.0  # [Hz] that is worth asking for: six samples a period of the fastest shake that is looked at
LEAST_RATE = 75.0  # [Hz] below which a recording is doubted: 2.5 times 30 Hz
RESOLVED = 10.0  # [s] of a spectrum whose lines are a tenth of a hertz wide
SPECTRA = 6  # of them at least, so that their mean is worth something
USUAL_AROUND = 2.4  # [m] rolled in one turn of a light truck's wheel
USUAL_APART = 0.003  # [-] by which the wheels of an axle differ; common practice, no source
SWEEP = 0.15  # [m/s^2] at most: a band of 4 km/h, as of 8 Hz and 3 % damping, then lasts 7 s


def recording_guide(a: Assessment) -> Paper:
    """How to record this vehicle: one page to take along.

    Where the vehicle may not be driven yet, the page says so and names no speeds.
    """
    return paper(
        a,
        "recording-guide",
        "Recording guide",
        "For whoever fixes the sensors and drives",
        Fill(("date", "road, from – to", "gear", "load", "tyres cold, front / rear", "wheels as")),
        _places(a),
        Beside((_mounting(), _recorder()), (_labels(), *_driving(a))),
        scale=0.95,
    )


def _places(a: Assessment) -> Sheet:
    """Where sensors go, most telling first; what a person feels comes before what explains it."""
    felt = [(cut(p.name), p.direction) for p in a.host.vehicle.watched][:2]
    usual = [(f"{axle.name} axle, left", "vertical") for axle in a.host.vehicle.axles[-1:]]
    ends = [(name, "vertical") for name in ("rear end", "front end") if name in a.host.vehicle.points]
    why = ["what is complained of"] * len(felt)
    why += ["axle hop, and what the wheels do"] * len(usual)
    why += ["with the other points: bounce, pitch or bending"] * len(ends)
    listed = list(dict.fromkeys(zip([*felt, *usual, *ends], why, strict=True)))[:5]
    rows = [(str(i), *place, reason, "", "") for i, (place, reason) in enumerate(listed, 1)]
    return Sheet(
        "Where: one sensor tells what shakes how often; three points at the same time tell the shape",
        ("", "point", "direction", "it shows", "column in the file", "upside down? tilted?"),
        tuple(rows),
        blanks=(4, 5),
        widths=(4, 26, 14, 34, 20, 22),
        note="Left and right of one axle together tell whether it tramps, which no planar model explains.",
    )


def _mounting() -> Points:
    return Points(
        "How to fix them",
        (
            "On metal that carries: frame flange, axle tube, seat rail; not on sheet, trim or a bracket.",
            "Screw, magnet on bare metal, or a thin layer of hard wax or glue; tape alone rattles "
            "(common practice, no source).",
            "A phone: flat on the floor or the rail, pressed down hard, nothing else on it; no holder.",
            "Axes along the vehicle where possible, or write down how far they lean: of three axes "
            "gravity finds the vertical, the speed the way forward.",
            "Cables tied to what they cross, away from pedals, airbags, exhaust and all that turns.",
            "Tap each sensor before the drive and see that the right channel moves, upward first.",
        ),
    )


def _recorder() -> Points:
    return Points(
        "What to record",
        (
            f"{RATE:g} samples a second or more for each sensor; below {LEAST_RATE:g} it is doubted. "
            "A filter before sampling, if there is one, at a third of the rate.",
            "Range ±8 g on axles, ±4 g elsewhere (common practice, no source): what is cut off is lost.",
            "Road speed in the same file or on the same clock; one reading a second will do. A pulse "
            "train as it is, untouched.",
            "Columns with names and units, such as: rear axle, left [m/s^2].",
            "Time stamps as the device gives them: no averaging, no repair, no export of levels alone. Two "
            "devices: date and time in both, and a knock that both feel at the start.",
        ),
    )


def _labels() -> Points:
    return Points(
        "What to write to every file",
        (
            "Gear, or neutral; load; cold pressure of every tyre; road, from where to where; the way driven.",
            "Which wheel is on which position. What was changed since the last file: one thing at a time.",
        ),
    )


def _driving(a: Assessment) -> tuple[Text | Points, ...]:
    """What to drive: nothing where the vehicle is to stay."""
    if reason := stay(a):
        return (Text(f"{reason}. This guide therefore names no speeds.", "Do not drive yet.", big=True),)
    low, high = reach(a) or a.case.speeds
    display, length = a.case.display, beat_length(a)
    slow = ASIDE * low
    minutes, held = ceil((high - slow) / SWEEP / 60), max(hold(a, low), SPECTRA * RESOLVED)
    beat = (
        f"The wheels beat every {display.show(length, 'length')} of road: a pass holds {BEATS} beats, "
        f"{hold(a, low):.0f} s at {display.show(low, 'speed')}."
        if length
        else f"Nothing beats here: {hold(a, low):.0f} s a pass are enough."
    )
    return (
        Points(
            "How to drive",
            (
                "20 minutes first: cold tyres have flat spots and another pressure.",
                "First and last, stand still for 10 s with the engine off: gravity, noise, hum.",
                f"Sweep {speed_text((slow, high), display)} up, then down, in one gear, {minutes} min each or"
                " longer: at one constant speed a shaking part and a ringing frame look alike.",
                f"Hold the worst speed, and one beside it, for at least {held:.0f} s each, straight ahead.",
                beat,
                "Once more from the fastest speed in neutral, engine idling: does the shake stay?",
                "Every pass both ways over the same road, three times where it matters.",
            ),
        ),
    )


# --- for a vehicle without a case -------------------------------------------------------------------------


def any_guide(title: str, footer: str, circumference: float | None = None) -> Paper:
    """How to record any vehicle: the same page, for whoever has a recording and no case.

    title          what it is about
    circumference  [m] rolling; None: a usual one

    >>> any_guide("a small truck", "").file
    'recording-guide'
    """
    places = (
        ("1", "where it is felt: driver's floor, seat rail", "vertical", "what is complained of", "", ""),
        ("2", "rear axle, left; better both sides", "vertical", "axle hop, and what the wheels do", "", ""),
        ("3", "rear end of the frame", "vertical", "with the others: bounce, pitch or bending", "", ""),
        ("4", "front end of the frame, or front axle", "vertical", "the other end of the same", "", ""),
    )
    sheet = Sheet(
        "Where: one sensor tells what shakes how often; three points at the same time tell the shape",
        ("", "point", "direction", "it shows", "column in the file", "upside down? tilted?"),
        places,
        blanks=(4, 5),
        widths=(4, 30, 12, 34, 20, 20),
        note="Left and right of one axle together tell whether it tramps, which no planar model explains.",
    )
    fill = Fill(("date", "road, from – to", "gear", "load", "tyres cold, front / rear", "wheels as"))
    blocks = (fill, sheet, Beside((_mounting(), _recorder()), (_labels(), _any_driving(circumference))))
    reader = "For whoever fixes the sensors and drives"
    name, heading = "recording-guide", "Recording guide"
    return Paper(name, heading, cut(title, 90), reader, blocks, CAUTIONS, footer, "either", 0.95)


def _any_driving(circumference: float | None) -> Points:
    beat = (circumference or USUAL_AROUND) / USUAL_APART
    return Points(
        "How to drive",
        (
            "20 minutes first: cold tyres have flat spots and another pressure.",
            "First and last, stand still for 10 s with the engine off: gravity, noise, hum.",
            "Sweep from well below the speed at which it is felt to well above it, then down, in one gear, a "
            "minute or longer each: at one constant speed a shaking part and a ringing frame look alike.",
            f"Hold the worst speed, and one beside it, for {SPECTRA * RESOLVED:.0f} s each, straight ahead.",
            f"Wheels 0.3 % apart beat every {significant(beat, 2)} m (common practice, no source): a pass "
            f"holds {BEATS} beats, {significant(BEATS * beat, 2)} m.",
            "Once more from the fastest speed in neutral, engine idling: does the shake stay?",
            "Every pass both ways over the same road, three times where it matters.",
        ),
    )
