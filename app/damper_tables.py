"""What a damper is, does and weighs, as tables of text."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..model.units import Display
from ..sizing.absorber import Damper, tuned
from ..sizing.assess import Assessment
from ..sizing.ratings import RatingCheck
from ..sizing.reasons import speed_text
from .answer import effective_mass, limits_used, mass_ratio
from .ledger import readable
from .tables import Table, change, fine_percent, level, percent


def damper_table(a: Assessment) -> Table:
    """The damper to build, beside where a textbook would start."""
    title = "What to build" if a.verdict.good else "Not to be built before the answer is settled"
    title = "The damper in hand" if a.in_hand else title
    columns = ("", "the damper", "a textbook would start at")
    if a.sized is None or a.host.target is None:
        return Table(title, columns, ())
    hung, start = a.sized.found.damper, _start(a)
    built = made_of(hung, a.case.display)
    textbook = made_of(start, a.case.display) if start else dict.fromkeys(built, "–")
    rows = (
        ("place", _place(a, hung.place), ""),
        *((what, text, textbook[what]) for what, text in built.items()),
        *_room(a),
        ("effective mass of the mode at that place", _mode_mass(a), ""),
        ("mass ratio", fine_percent(mass_ratio(a, hung)), ""),
    )
    return Table(title, columns, rows, (), _damper_note(a))


def made_of(hung: Damper, show: Display) -> dict[str, str]:
    """What a damper is made of, as text by what it is."""
    return {
        "mass": show.show(hung.mass, "mass"),
        "tuned to, alone on a fixed place": show.show(hung.tuned_hz, "frequency"),
        "damping, of its own critical damping": fine_percent(hung.damping_ratio),
        "spring rate, all springs together": readable(show.show(hung.stiffness, "stiffness")),
        "dashpot rate": readable(show.show(hung.damping, "damping")),
        "static sag of the spring": show.show(hung.static_sag, "small_length"),
    }


def _start(a: Assessment) -> Damper | None:
    """The textbook's damper: the same mass, tuned and damped for one mode alone."""
    assert a.sized is not None
    assert a.host.target is not None
    start, hung = a.sized.closed_form, a.sized.found.damper
    host_hz = float(a.host.modes.frequency_hz[a.host.target.critical.mode])
    return tuned(hung.place, hung.mass, start.tuning * host_hz, start.damping_ratio) if start else None


def _place(a: Assessment, name: str) -> str:
    if a.host.vehicle.kind == "quarter":
        return name
    station = a.host.vehicle.point(name).station
    where = "behind" if station >= 0 else "ahead of"
    return f"{name}, {a.case.display.show(abs(station), 'length')} {where} the front axle"


def _room(a: Assessment) -> Iterator[tuple[str, str, str]]:
    """How far the damper moves, and how much of the room that uses."""
    assert a.sized is not None
    found, show, used = a.sized.found, a.case.display, limits_used(a, a.sized)
    stroke = show.show(found.stroke, "small_length")
    yield "stroke each way, all inputs at their worst", _with_use(stroke, used["stroke"]), ""
    if used["clearance"] is not None:
        room = show.show(found.stroke + found.damper.static_sag, "small_length")
        yield "room needed each way, sag and stroke", _with_use(room, used["clearance"]), ""


def _mode_mass(a: Assessment) -> str:
    assert a.sized is not None
    assert a.host.target is not None
    value = float(effective_mass(a, a.sized.found.damper)[a.host.target.critical.mode])
    return a.case.display.show(value, "mass") if np.isfinite(value) else "infinite: a node of the mode"


def _with_use(text: str, used: float | None) -> str:
    return text if used is None else f"{text} ({percent(used)} of what is allowed)"


def _damper_note(a: Assessment) -> str:
    assert a.sized is not None
    found = "It was found on the whole vehicle, within every limit; the textbook knows one mode only."
    notes = ["It is judged on the whole vehicle, as it is." if a.in_hand else found]
    if a.sized.closed_form:
        notes.append(f"Textbook: {a.sized.closed_form.source}, on the mode's effective mass.")
    if a.case.limits.mass is None:
        notes.append("The case sets no limit to the mass: one was assumed.")
    if a.case.limits.stroke is None and a.bounds.stroke is not None:
        notes.append("The case sets no limit to the stroke: one was assumed.")
    if a.sized.found.broken:
        notes.append(f"It does not keep to: {', '.join(a.sized.found.broken).replace('_', ' ')}.")
    notes.append("A few newtons of dry friction can lock a damper at small strokes: let it move freely.")
    return " ".join(notes)


def prediction_table(a: Assessment) -> Table:
    """Each watched point in the band: before, with the damper, with the same weight bolted down.

    The points that decide come first; where others are watched beside them they are marked.
    """
    columns = ("felt at", "before", "with the damper", "change", "with plain ballast", "change")
    if a.sized is None:
        return Table("Before and after", columns, ())
    c, rows = a.sized.comparison, []
    deciding = c.deciding.tolist()
    beside = [p for p in range(len(c.points)) if p not in deciding]
    for p in (*deciding, *beside):
        point = c.points[p]
        before, after, ballast = (float(table[c.inside, p].max()) for table in (c.before, c.after, c.ballast))
        changes = [change(v / before - 1) if before else "–" for v in (after, ballast)]
        name = f"{point.name}, {point.direction}" + (
            f" ({point.weighting})" if point.weighting != "none" else ""
        )
        rows.append((name, level(a, before), level(a, after), changes[0], level(a, ballast), changes[1]))
    title = f"Before and after, largest typical level from {speed_text(c.band, a.case.display)}"
    note = "The points with a weighting decide; the others stand beside them. " if beside else ""
    marked = frozenset(range(len(deciding)) if beside else ())
    return Table(title, columns, tuple(rows), (1, 2, 3, 4, 5), f"{note}{_elsewhere(a)}".strip(), marked)


def _elsewhere(a: Assessment) -> str:
    assert a.sized is not None
    other = a.sized.comparison.elsewhere
    if other is None:
        return ""
    before, after = level(a, other.before), level(a, other.after)
    verb = "rises most" if other.after > other.before else "falls least"
    bounds = "within what is allowed" if other.allowed else "MORE than is allowed"
    return (
        f"At other speeds it {verb} at {a.case.display.show(other.speed, 'speed')}, {other.point}: "
        f"{before} before, {after} after; {bounds} there."
    )


def split_table(a: Assessment) -> Table:
    """How much of the complaint is input and how much is vehicle."""
    words = {
        "as they are": "wheels as they are",
        "healthy": "ordinary, healthy wheels",
        "perfect": "perfect wheels: joints and waves alone",
    }
    rows = tuple(
        (words[s.wheels], level(a, s.before), "–" if s.after is None else level(a, s.after)) for s in a.split
    )
    note = (
        "Largest typical level in the band: what truer wheels, a damper, or both would leave. "
        f"`counterbounce remedies {a.case.path.name}` ranks these and all other cures in one table."
    )
    return Table("Input or vehicle?", ("", "without a damper", "with it"), rows, (1, 2), note)


def loads_table(a: Assessment) -> Table:
    """Load on the ground under each axle, before and with the damper."""
    show, before = a.case.display, a.host.loads
    after = a.sized.loads if a.sized else None
    rows = tuple(
        (f"{name} axle", show.show(load, "mass", 4), show.show(after[name], "mass", 4) if after else "–")
        for name, load in before.items()
    )
    return Table("Axle loads", ("", "before", "with the damper"), rows, (1, 2))


def ratings_table(a: Assessment) -> Table:
    """Every limit of the case, before and with the damper."""
    rows = tuple((c.name, *_rating_texts(a, c), _holds(c)) for c in a.checks)
    note = (
        ""
        if rows
        else "The case gives no ratings, so none was checked: look at the placard before hanging anything on."
    )
    columns = ("rating", "limit", "before", "with the damper", "")
    return Table("Ratings", columns, rows, (1, 2, 3), note)


def _rating_texts(a: Assessment, check: RatingCheck) -> tuple[str, ...]:
    values = (check.limit, check.before, check.after)
    if check.unit == "-":
        return tuple(f"{v:.1%}".replace("%", " %") for v in values)
    return tuple(a.case.display.show(v, "length" if check.unit == "m" else "mass", 4) for v in values)


def _holds(check: RatingCheck) -> str:
    side = "at least this" if check.floor else "at most this"
    return f"holds ({side})" if check.met else f"BROKEN ({side})"
