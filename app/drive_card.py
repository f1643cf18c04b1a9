"""The drive card: who goes, which speeds to drive and to hold, what to feel and where to write it down."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from ..model.observations import CHECKS
from ..model.road import Input
from ..sizing.assess import Assessment
from ..sizing.reasons import speed_text
from ..sizing.target import Target
from ..sizing.verdict import Outcome
from ..sizing.walk_items import ITEMS
from .blocks import Beside, Block, Fill, Paper, Plain, Points, Sheet, Text, Ticks, cut, paper
from .ledger import readable

BEATS = 3  # of the wheels against each other that a pass must hold: the shake has come and gone three times
STEADY = 20.0  # [s] of a pass where nothing beats; common practice, no source
ROUND = 5.0  # [s] a watch is read to
ASIDE = 0.85  # of the slowest speed of the shake: where the road's own roughness is felt without it


def drive_card(a: Assessment) -> Paper:
    """The card that two people take along; without speeds where nobody should drive yet."""
    blocks = (*_stay(a),) if stay(a) else (*_drive(a),)
    return paper(a, "drive-card", "Drive card", "For two people: one drives, one notes", *blocks, scale=0.98)


def stay(a: Assessment) -> str:
    """Why the vehicle stays where it is, in words; nothing where it may be driven."""
    if a.verdict.outcome is Outcome.INSPECT_FIRST:
        return "It is inspected before it is driven again"
    if any(not check.met_before for check in a.checks):
        return "It is over a rating: load comes off before it is driven again"
    return ""


def beat_length(a: Assessment) -> float | None:
    """Road [m] between two beats of the target's wheel order, longest of all axles; None: nothing beats."""
    found = aim(a)
    if found is None:
        return None
    cause = found.critical.cause
    return max((c.beat_length for c in a.host.causes if _alike(c, cause) and c.beat_length), default=None)


def _alike(one: Input, other: Input) -> bool:
    return other.kind == "wheel" and (one.kind, one.order) == (other.kind, other.order)


def hold(a: Assessment, speed: float) -> float:
    """How long a pass at a speed [m/s] lasts [s]: three beats of the wheels, rounded up to five seconds."""
    length = beat_length(a)
    seconds = BEATS * length / speed if length else STEADY
    return ceil(round(seconds / ROUND, 9)) * ROUND


def aim(a: Assessment) -> Target | None:
    """What a damper would be for, where the model may speak of it at all."""
    return None if a.verdict.outcome is Outcome.OUTSIDE_THE_MODEL else a.host.target


def reach(a: Assessment) -> tuple[float, float] | None:
    """The slowest and fastest speed [m/s] of the sweep: the complaint and all that the model allows; None
    where neither says any."""
    bands, (slow, fast) = [], a.case.speeds
    if found := aim(a):
        bands.append((max(found.range[0], slow), min(found.range[1], fast)))
    if a.case.complaint and a.case.complaint.speed:
        bands.append(a.case.complaint.speed)
    if not bands:
        return None
    lows, highs = zip(*bands, strict=True)
    return min(lows), max(highs)


def _stay(a: Assessment) -> Iterator[Block]:
    yield Text(f"{stay(a)}. This card therefore gives no speeds.", "Do not drive this test.", big=True)
    yield Text(readable(a.verdict.sentence), "Why.")
    yield Text(readable(a.verdict.next_step), "Next.")
    yield _walk(a)
    yield Fill(("inspected by", "date", "what was found", "released by"))


def _drive(a: Assessment) -> Iterator[Block]:
    speeds = reach(a)
    yield Fill(("date", "road, from – to", "load", "tyres cold, front / rear", "driver", "notes"))
    yield _walk(a)
    if speeds is None:
        yield Text("Nobody has said at which speed it shakes, and the model names none.", "No speeds.")
        speeds = a.case.speeds
    yield Beside((_rules(a),), (*_feel(a), _writing(a)))
    yield _passes(a, speeds)


def _writing(a: Assessment) -> Text:
    unit = a.case.display.speed
    return Text(
        f"{unit} from the speedometer; 0 (nothing) to 10 (would not drive on); C constant, B beats: comes "
        "and goes, ____ s from strong to strong; how fast: countable, blur or buzz, ____ Hz by a phone.",
        "Write after each pass:",
    )


def _walk(a: Assessment) -> Ticks:
    """The walk round the vehicle, with what the case already says."""
    told = {"good": "; told: good", "bad": "; told: BAD"}
    items = [ITEMS[name] for name in CHECKS]
    found = [told.get(a.case.checks.get(name, ""), "") for name in CHECKS]
    lines = tuple((i.name[:1].upper() + i.name[1:], i.look + t) for i, t in zip(items, found, strict=True))
    return Ticks("Walk round first. One bad answer: the drive is off.", lines, ("good", "bad"))


def _rules(a: Assessment) -> Points:
    length = beat_length(a)
    hours = (
        f"The wheels beat against each other every {a.case.display.show(length, 'length')} of road: a pass "
        f"holds at least {BEATS} beats, {_far(a, BEATS * length)} straight ahead."
        if length
        else f"Nothing beats here: {STEADY:.0f} s a pass are enough (common practice, no source)."
    )
    return Points(
        "Rules",
        (
            "The driver drives; the other one feels, times and writes. No screens while driving.",
            "Dry, straight, level, little traffic; within the law: leave out a pass that is not.",
            hours,
            "Tyres warm: 20 minutes first. Windows, blower and radio alike in every pass.",
        ),
    )


def _far(a: Assessment, metres: float) -> str:
    unit, one = ("mi", 1609.344) if a.case.display.system == "US" else ("km", 1000.0)
    return f"{metres / one:.1f} {unit}"


def _feel(a: Assessment) -> Iterator[Plain]:
    found = aim(a)
    where = a.case.complaint.where if a.case.complaint else None
    if found is not None and found.critical.point is not None:
        point = found.critical.point
        yield Text(f"{cut(point.name)}, {point.direction}.", "Feel it at:")
    elif where:
        yield Text(f"{cut(where)}.", "Feel it at:")
    if found is not None:
        speed = a.case.display.show(found.critical.speed, "speed")
        said = f"{found.critical.cause.name} on {found.critical.mode_name}, strongest near {speed}"
        yield Text(f"{said}, the same in both directions, and the same in neutral.", "The model says:")
    listed = [f"{cut(p.name)}, {p.direction}" for p in a.host.vehicle.watched][:3]
    yield Text(f"{'; '.join(listed)}; steering wheel; seat; mirrors.", "Feel these too:")


def _passes(a: Assessment, speeds: tuple[float, float]) -> Sheet:
    """What to drive, and where to write it down, there and back."""
    show, (low, high) = a.case.display, speeds
    unit, one = show.unit("speed")
    found = aim(a)
    held = min(max(found.critical.speed, low), high) if found else (low + high) / 2
    near, aside = f"{held / one:.0f} {unit}", ASIDE * low
    rows = [
        ("1", "slow sweep up, then down", speed_text(speeds, show), "once"),
        ("2", "hold", near, _seconds(hold(a, held))),
        ("3", "hold again, after a bend or two", near, _seconds(hold(a, held))),
        ("4", "hold where it was strongest", f"____ {unit}", _seconds(hold(a, low))),
        ("5", "hold beside it, to compare", f"{aside / one:.0f} {unit}", _seconds(hold(a, aside))),
        ("6", "neutral coast-down, engine idling", _down(high, low, one, unit), "once"),
    ]
    columns = ("", "do", "speed", "for at least", "there: at", "0–10", "C/B", "back: at", "0–10", "C/B")
    return Sheet(
        "Passes, first there, then back the same way",
        columns,
        tuple((*row, *[""] * 6) for row in rows),
        blanks=tuple(range(4, 10)),
        widths=(4, 30, 20, 15, 14, 9, 9, 14, 9, 9),
    )


def _down(high: float, low: float, one: float, unit: str) -> str:
    return f"{high / one:.0f} down to {low / one:.0f} {unit}"


def _seconds(seconds: float) -> str:
    """A time as a watch shows it.

    >>> _seconds(105.0), _seconds(20.0)
    ('1 min 45 s', '20 s')
    """
    minutes, left = divmod(round(seconds), 60)
    return f"{minutes} min {left:02d} s" if minutes else f"{left} s"
