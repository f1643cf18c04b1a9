"""An assessment as tables of text, for a page and for a terminal alike, in the units that its user writes."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..model.road import HIGHEST
from ..model.speeds import CriticalSpeed
from ..model.units import significant
from ..sizing.assess import Assessment
from .answer import doubts, interval
from .ledger import entries, in_words, readable, shown, spread

MOST_CRITICAL = 12
HELD = 0.10  # a part that holds less of a mode's energy is not named


@dataclass(frozen=True)
class Table:
    """Rows of text under their columns, those in `numbers` to the right; without rows: nothing to say."""

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


def change(share: float) -> str:
    """A share with its sign.

    share  [-]

    >>> change(0.05), change(-0.713), change(0.001)
    ('+5 %', '−71 %', '0 %')
    """
    text = percent(share)
    return f"+{text}" if share > 0 and text != "0 %" else text


def fine_percent(share: float) -> str:
    """A share with one decimal where it is small.

    share  [-]

    >>> fine_percent(0.0481), fine_percent(0.348)
    ('4.8 %', '35 %')
    """
    return percent(share) if abs(share) >= 0.0995 else f"{share:.1%}".replace("%", " %").replace("-", "−")


def modes_table(a: Assessment) -> Table:
    """Every mode below 25 Hz: frequency with its interval, damping, and what holds and loses its energy."""
    m, rows = a.host.modes, []
    heard = [i for i, f in enumerate(m.frequency_hz) if f <= HIGHEST]
    for i in heard:
        low, high = interval(a, i)
        held, lost = (
            _largest({part: float(s[i]) for part, s in d.items()}) for d in (m.energy, m.dissipation)
        )
        name = m.names[i][:1].upper() + m.names[i][1:]
        damping = fine_percent(float(m.damping_ratio[i]))
        rows.append((name, f"{m.frequency_hz[i]:.2f} Hz", f"{low:.2f} to {high:.2f} Hz", damping, held, lost))
    left = len(m.names) - len(heard)
    note = f"{left} further modes lie above {HIGHEST:.0f} Hz, where this model stops." if left else ""
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
    """The worst critical speeds, numbered as on the map; where all are felt at one place, a note says so."""
    listed, speed = a.host.critical[:most], a.case.display.speed
    rows = [(str(n), *_critical_row(a, c)) for n, c in enumerate(listed, 1)]
    columns: tuple[str, ...] = (
        "no.", "input", "meets mode", f"worst at, {speed}", f"they meet at, {speed}", "typical, m/s²",
        "worst, m/s²", "beat, s", "felt at",
    )  # fmt: skip
    notes = [
        "Levels are r.m.s. of that input alone, weighted as the place says; a dash: the level is not known."
    ]
    if any(c.peak is None for c in listed):
        notes.append("Speed in brackets: no peak of its own near there.")
    if any(c.cause.assumed for c in listed):
        notes.append("An asterisk marks a level for ordinary, healthy wheels: no run-out was given.")
    if len(places := {row[-1] for row in rows if row[-1] != "–"}) == 1:
        notes.insert(0, f"All are felt most at {places.pop()}.")
        columns, rows = columns[:-1], [row[:-1] for row in rows]
    left = len(a.host.critical) - len(listed)
    notes += [f"{left} milder ones are in critical_speeds.csv."] if left > 0 else []
    aim = a.host.target
    marked = frozenset(i for i, c in enumerate(listed) if aim and c is aim.critical)
    title = "Critical speeds, worst first"
    return Table(title, columns, tuple(rows), (0, 3, 4, 5, 6, 7), " ".join(notes) if rows else "", marked)


def _critical_row(a: Assessment, c: CriticalSpeed) -> tuple[str, ...]:
    one, star = a.case.display.unit("speed")[1], "*" if c.cause.assumed else ""
    levels = ["–" if v is None else significant(v) + star for v in (c.typical, c.worst)]
    speed = significant(c.speed / one)
    return (
        c.cause.name,
        c.mode_name,
        speed if c.peak is not None else f"({speed})",
        significant(c.coincidence / one),
        *levels,
        "–" if c.beat_period is None else significant(c.beat_period, 2),
        "–" if c.point is None else c.point.name,
    )


def level(a: Assessment, value: float) -> str:
    """A level with its unit.

    value  [m/s^2] r.m.s.
    """
    return readable(a.case.display.show(value, "acceleration"))


def doubts_table(a: Assessment) -> Table:
    """What would narrow the answer most: the numbers that the mode's frequency hangs on."""
    rows = tuple(
        (in_words(path), f"± {fine_percent(width)}", a.ledger[path].origin if path in a.ledger else "–")
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


def model_words(a: Assessment) -> str:
    """Which model answered, in one sentence."""
    vehicle, show = a.host.vehicle, a.case.display
    kinds = {
        "quarter": "One axle and what it carries: a quarter vehicle, which knows bounce and hop only.",
        "half": "A rigid body on its axles, seen from the side: bounce, pitch and hop.",
        "bending": (
            "A body that bends, on its axles, seen from the side. "
            f"Its bending took {vehicle.frame.terms - 2} shapes until two more changed no frequency below "
            f"{HIGHEST:.0f} Hz by a thousandth."
        ),
    }
    sides = " Both sides of an axle move together: roll, tramp, torsion and steering are outside."
    return f"{kinds[vehicle.kind]}{sides} It weighs {show.show(vehicle.total_mass, 'mass', 4)}."
