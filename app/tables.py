"""An assessment as tables of text, the same for a page and for a terminal, in the units that its user writes."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from ..model.response import HIGHEST
from ..model.speeds import CriticalSpeed
from ..model.units import significant
from ..sizing.assess import Assessment
from ..sizing.closed_form import Optimum
from ..sizing.ratings import RatingCheck
from ..sizing.reasons import speed_text
from .answer import doubts, effective_mass, interval, limits_used, mass_ratio
from .ledger import entries, in_words, readable, shown, spread

MOST_CRITICAL = 12
HELD = 0.10  # a part that holds less of a mode's energy is not named


@dataclass(frozen=True)
class Table:
    """Rows of text under their columns; the columns in `numbers` stand to the right; empty `rows`: nothing to say."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()
    note: str = ""
    marked: frozenset[int] = field(default_factory=frozenset)  # rows that the verdict is about


def percent(share: float) -> str:
    """A share as people write it.

    share  [-]

    >>> percent(0.313), percent(-0.004), percent(-0.06)
    ('31 %', '0 %', '−6 %')
    """
    text = f"{share:.0%}".replace("%", " %").replace("-", "−")
    return text.replace("−0 ", "0 ")


def modes_table(a: Assessment) -> Table:
    """Every mode below 25 Hz: name, frequency with its interval, damping, and what holds and loses its energy."""
    m, rows = a.host.modes, []
    heard = [i for i, f in enumerate(m.frequency_hz) if f <= HIGHEST]
    for i in heard:
        low, high = interval(a, i)
        held, lost = (
            _largest({part: float(s[i]) for part, s in d.items()}) for d in (m.energy, m.dissipation)
        )
        name = m.names[i][:1].upper() + m.names[i][1:]
        damping = (
            percent(float(m.damping_ratio[i]))
            if m.damping_ratio[i] >= 0.0995
            else f"{m.damping_ratio[i]:.1%}".replace("%", " %")
        )
        rows.append((name, f"{m.frequency_hz[i]:.2f} Hz", f"{low:.2f} to {high:.2f} Hz", damping, held, lost))
    left = len(m.names) - len(heard)
    note = f"{left} further modes lie above {HIGHEST:.0f} Hz, where nobody feels a road." if left else ""
    mode = a.host.target.critical.mode if a.host.target else -1
    marked = frozenset(row for row, i in enumerate(heard) if i == mode)
    columns = (
        "mode",
        "frequency",
        "95 % of plausible vehicles",
        "damping",
        "its energy is held by",
        "and lost in",
    )
    return Table("Modes", columns, tuple(rows), (1, 2, 3), note, marked)


def _largest(shares: dict[str, float]) -> str:
    top = sorted(shares.items(), key=lambda item: -item[1])[:3]
    named = [f"{part} {percent(share)}" for part, share in top if share >= HELD]
    return ", ".join(named) or "–"


def critical_table(a: Assessment, most: int = MOST_CRITICAL) -> Table:
    """The worst critical speeds, numbered as on the map."""
    listed = a.host.critical[:most]
    rows = tuple((str(n), *_critical_row(a, c)) for n, c in enumerate(listed, 1))
    columns = (
        "no.",
        "input",
        "meets mode",
        "worst at",
        "they meet at",
        "typical",
        "worst",
        "beat",
        "felt at",
    )
    notes = [
        "Levels are r.m.s. of that input alone, weighted as the place says; a dash: the input's level is not known."
    ]
    if any(c.cause.assumed for c in listed):
        notes.append("An asterisk marks a level for ordinary, healthy wheels: no run-out was given.")
    left = len(a.host.critical) - len(listed)
    notes += [f"{left} milder ones are in critical_speeds.csv."] if left > 0 else []
    aim = a.host.target
    marked = frozenset(i for i, c in enumerate(listed) if aim and c is aim.critical)
    return Table("Critical speeds, worst first", columns, rows, (0, 3, 4, 5, 6, 7), " ".join(notes), marked)


def _critical_row(a: Assessment, c: CriticalSpeed) -> tuple[str, ...]:
    show, star = a.case.display, "*" if c.cause.assumed else ""
    levels = ["–" if v is None else level(a, v) + star for v in (c.typical, c.worst)]
    return (
        c.cause.name,
        c.mode_name,
        show.show(c.peak, "speed") if c.peak is not None else "no peak of its own",
        show.show(c.coincidence, "speed"),
        *levels,
        "–" if c.beat_period is None else f"{significant(c.beat_period, 2)} s",
        "–" if c.point is None else c.point.name,
    )


def level(a: Assessment, value: float) -> str:
    """A level with its unit.

    value  [m/s^2] r.m.s.
    """
    return readable(a.case.display.show(value, "acceleration"))


def damper_table(a: Assessment) -> Table:
    """The damper to build, beside where a textbook would start."""
    columns = ("", "the damper", "a textbook would start at")
    if a.sized is None or a.host.target is None:
        return Table("Damper", columns, ())
    hung, found, show = a.sized.found.damper, a.sized.found, a.case.display
    start, used = a.sized.closed_form, limits_used(a, a.sized)
    aim = a.host.target.critical
    host_hz = float(a.host.modes.frequency_hz[aim.mode])
    rows = [
        ("place", f"{hung.place}, {show.show(a.host.vehicle.point(hung.place).station, 'length')} behind the front axle", ""),
        ("mass", show.show(hung.mass, "mass"), show.show(hung.mass, "mass") if start else ""),
        ("tuned to, alone on a fixed place", show.show(hung.tuned_hz, "frequency"), f"{start.tuning * host_hz:.2f} Hz" if start else ""),
        ("damping, of its own critical damping", f"{hung.damping_ratio:.1%}".replace("%", " %"), f"{start.damping_ratio:.1%}".replace("%", " %") if start else ""),
        ("spring rate, all springs together", readable(show.show(hung.stiffness, "stiffness")), _start_rate(a, start, host_hz)),
        ("dashpot rate", readable(show.show(hung.damping, "damping")), _start_dashpot(a, start, host_hz)),
        ("mass over the mode's effective mass there", _ratio(mass_ratio(a, hung)), f"{_mode_mass(a)} effective"),
        ("stroke each way, all inputs at their worst", _with_use(show.show(found.stroke, "small_length"), used["stroke"]), ""),
        ("static sag of the spring", show.show(hung.static_sag, "small_length"), ""),
    ]  # fmt: skip
    if used["clearance"] is not None:
        room = show.show(found.stroke + hung.static_sag, "small_length")
        rows.append(("room needed each way", _with_use(room, used["clearance"]), ""))
    return Table("Damper", columns, tuple(rows), (), _damper_note(a, start))


def _mode_mass(a: Assessment) -> str:
    assert a.sized is not None and a.host.target is not None
    masses = effective_mass(a, a.sized.found.damper)
    value = float(masses[a.host.target.critical.mode])
    return a.case.display.show(value, "mass") if np.isfinite(value) else "infinite"


def _start_rate(a: Assessment, start: Optimum | None, host_hz: float) -> str:
    assert a.sized is not None
    if start is None:
        return ""
    rate = a.sized.found.damper.mass * (2 * np.pi * start.tuning * host_hz) ** 2
    return readable(a.case.display.show(rate, "stiffness"))


def _start_dashpot(a: Assessment, start: Optimum | None, host_hz: float) -> str:
    assert a.sized is not None
    if start is None:
        return ""
    rate = 2 * start.damping_ratio * a.sized.found.damper.mass * 2 * np.pi * start.tuning * host_hz
    return readable(a.case.display.show(rate, "damping"))


def _ratio(value: float) -> str:
    return percent(value) if value >= 0.0995 else f"{value:.1%}".replace("%", " %")


def _with_use(text: str, used: float | None) -> str:
    return text if used is None else f"{text} ({percent(used)} of what is allowed)"


def _damper_note(a: Assessment, start: Optimum | None) -> str:
    assert a.sized is not None
    notes = ["It was found on the whole vehicle, within every limit; the textbook knows one mode only."]
    if start:
        notes.append(f"Textbook: {start.source}.")
    if a.case.limits.mass is None:
        notes.append("The case sets no limit to the mass: one was assumed.")
    if a.case.limits.stroke is None and a.bounds.stroke is not None:
        notes.append("The case sets no limit to the stroke: one was assumed.")
    if a.sized.found.broken:
        notes.append(f"It does not keep to: {', '.join(a.sized.found.broken).replace('_', ' ')}.")
    notes.append("A few newtons of dry friction can lock a damper at small strokes: let it move freely.")
    return " ".join(notes)


def prediction_table(a: Assessment) -> Table:
    """Each watched point in the band: before, with the damper, with the same weight bolted down."""
    columns = ("felt at", "before", "with the damper", "change", "with plain ballast", "change")
    if a.sized is None:
        return Table("Before and after", columns, ())
    c, rows = a.sized.comparison, []
    for p, point in enumerate(c.points):
        before, after, ballast = (float(table[c.inside, p].max()) for table in (c.before, c.after, c.ballast))
        changes = [percent(v / before - 1) if before else "–" for v in (after, ballast)]
        name = f"{point.name}, {point.direction}" + (
            f" ({point.weighting})" if point.weighting != "none" else ""
        )
        rows.append((name, level(a, before), level(a, after), changes[0], level(a, ballast), changes[1]))
    title = f"Before and after, largest typical level from {speed_text(c.band, a.case.display)}"
    return Table(title, columns, tuple(rows), (1, 2, 3, 4, 5), _elsewhere(a))


def _elsewhere(a: Assessment) -> str:
    assert a.sized is not None
    other = a.sized.comparison.elsewhere
    if other is None:
        return ""
    allowed = "within" if other.allowed else "more than"
    before, after = level(a, other.before), level(a, other.after)
    return (
        f"At other speeds it comes closest to its limit at {a.case.display.show(other.speed, 'speed')} at {other.point}: "
        f"{before} before, {after} after, {allowed} what is allowed there."
    )


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
    return tuple(a.case.display.show(v, "mass", 4) for v in values)


def _holds(check: RatingCheck) -> str:
    side = "at least this" if check.floor else "at most this"
    return f"holds ({side})" if check.met else f"BROKEN ({side})"


def doubts_table(a: Assessment) -> Table:
    """What would narrow the answer most: the numbers that the mode's frequency hangs on."""
    rows = tuple(
        (in_words(path), f"± {percent(width)}", a.ledger[path].origin if path in a.ledger else "–")
        for path, width in doubts(a)
    )
    title = "What would narrow the answer most"
    note = (
        "What each number's spread alone does to the frequency of the mode in question. Measure from the top."
    )
    return Table(title, ("number", "moves the frequency by", "it is"), rows, (1,), note)


def beside_table(a: Assessment) -> Table:
    """The same question to another model."""
    words = {"half": "on a rigid frame"}
    rows = tuple(
        (
            words.get(b.model, b.model),
            b.outcome.value.replace("_", " "),
            "–" if b.reduction is None else percent(b.reduction),
        )
        for b in a.beside
    )
    return Table("The same question to another model", ("", "answer", "reduction"), rows, (2,))


def ledger_table(a: Assessment) -> Table:
    """Every number that was used, with where it comes from."""
    show = a.case.display
    rows = tuple((e.words, shown(e, show), spread(e, show), e.origin, e.source) for e in entries(a.ledger))
    columns = ("number", "value", "95 % spread", "origin", "source")
    note = (
        "± is half of a 95 % interval; a dash: exact, or as sure as the numbers that it was worked out from."
    )
    return Table("What was assumed", columns, rows, (1, 2), note)
