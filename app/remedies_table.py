"""Every remedy in one table beside the damper, and what each asks of whoever does it; also as JSON."""

from __future__ import annotations

from typing import Any

from ..model.units import significant
from ..sizing.reasons import speed_text
from ..sizing.remedies import Judged, Remedies
from ..sizing.verdict import CAUTIONS
from . import told
from .ledger import readable
from .tables import Table, percent

HOUR, DAY = 60, 480  # [min]


def ranked_table(found: Remedies) -> Table:
    """All remedies, best first, by the same before and after on the same plausible vehicles."""
    columns = ("", "remedy", "lowers it by", "nine in ten", "of 100 helped", "at other speeds", "adds")
    target, case = found.host.target, found.host.case
    if target is None or not found.ranked:
        return Table("Remedies", columns, ())
    rows = tuple((str(n), *_row(found, one)) for n, one in enumerate(found.ranked, 1))
    title = (
        f"Remedies, by what they do to the largest typical level from {speed_text(target.band, case.display)}"
    )
    marked = frozenset(i for i, one in enumerate(found.ranked) if one.family == "damper")
    return Table(title, columns, rows, (0, 2, 3, 4, 6), _ranked_note(found), marked)


def _row(found: Remedies, one: Judged) -> tuple[str, ...]:
    show = found.host.case.display
    return (
        one.name,
        percent(one.reduction),
        " to ".join(percent(share) for share in one.interval),
        f"{100 * one.share:.0f}",
        elsewhere_text(found, one),
        show.show(one.weight, "mass", 2) if one.weight else "–",
    )


def elsewhere_text(found: Remedies, one: Judged) -> str:
    """Where outside the band a remedy makes it worse, and by how much; a dash where nowhere.

    >>> from ..model.example import small_case
    >>> from ..sizing.remedies import remedies
    >>> found = remedies(small_case())
    >>> damper = next(one for one in found.ranked if one.family == "damper")
    >>> elsewhere_text(found, damper)
    '0.29 m/s² at 22.4 km/h, was 0.23'
    """
    worst, show = one.elsewhere, found.host.case.display
    if worst is None or worst.after <= worst.before:
        return "–"
    after = readable(show.show(worst.after, "acceleration", 2))
    worse = f"{after} at {show.show(worst.speed, 'speed')}, was {significant(worst.before, 2)}"
    return worse if one.allowed else f"TOO MUCH: {worse}"


def _ranked_note(found: Remedies) -> str:
    assert found.asked is not None
    worth = percent(found.host.case.limits.worth)
    return (
        f"Helped: the shake falls by {worth} or more. Asked were {len(found.asked.speed)} vehicles that the "
        "numbers of the case allow, the same for all remedies, each counted by how well it agrees with the "
        "complaint. First what is allowed, by how many it helps, then by the best estimate. The damper is "
        "tuned on each vehicle. At other speeds: where it gets worse, and how much. What would break a "
        "rating is left out."
    )


def details_table(found: Remedies) -> Table:
    """What exactly is to be reached, where the name of a remedy does not say it."""
    rows = tuple((numbers, detail) for (detail,), numbers in _grouped(found, "detail") if detail)
    return Table("What exactly", ("", "to be reached, or assumed"), rows)


def asks_table(found: Remedies) -> Table:
    """What each remedy asks: work, time, and whose leave."""
    rows = tuple(
        (numbers, work, time_text(minutes), caution or "–")
        for (work, minutes, caution), numbers in _grouped(found, "effort", "minutes", "caution")
    )
    columns = ("", "work", "about", "who decides, what must hold")
    note = "Numbers as above. Times are common practice, without a source."
    return Table("What each asks", columns, rows, (2,), note)


def _grouped(found: Remedies, *names: str) -> list[tuple[tuple[Any, ...], str]]:
    """What remedies have in common, each once, with the numbers of all that do."""
    groups: dict[tuple[Any, ...], list[str]] = {}
    for n, one in enumerate(found.ranked, 1):
        groups.setdefault(tuple(getattr(one, name) for name in names), []).append(str(n))
    return [(shared, ", ".join(numbers)) for shared, numbers in groups.items()]


def said(found: Remedies) -> tuple[str, ...]:
    """What else there is to say, a sentence or two each.

    >>> from ..model.example import small_case
    >>> from ..sizing.remedies import remedies
    >>> said(remedies(small_case()))[-1][:23]
    'Tried, and lowers it by'
    """
    tried = ", ".join(f"{name} ({percent(share)})" for name, share in found.little)
    left = f"Tried, and lowers it by less than 5 % on the best estimate: {tried}."
    return (*found.notes, left) if tried else found.notes


def time_text(minutes: int | None) -> str:
    """How long something takes, roughly.

    minutes  [-]

    >>> time_text(15), time_text(240), time_text(1440), time_text(0), time_text(None)
    ('15 min', '4 h', '3 days', '–', '–')
    """
    if not minutes:
        return "–"
    if minutes < HOUR:
        return f"{minutes} min"
    return f"{minutes / HOUR:.0f} h" if minutes <= DAY else f"{minutes / DAY:.0f} days"


def answer(found: Remedies) -> dict[str, Any]:
    """All that was found, ready for JSON; numbers in the unit that ends their key [SI]."""
    case, target = found.host.case, found.host.target
    verdict = found.verdict
    whole: dict[str, Any] = told.plain(
        {
            "run": told.run(case, 0),
            "case": {"name": case.name, "note": case.note or None},
            "verdict": told.verdict(verdict),
            "band_m_s": target.band if target else None,
            "worth": case.limits.worth,
            "vehicles": len(found.asked.speed) if found.asked else None,
            "remedies": [_told(one) for one in found.ranked],
            "little": [{"name": name, "reduction": share} for name, share in found.little],
            "notes": found.notes,
            "cautions": list(CAUTIONS),
        }
    )
    return whole


def _told(one: Judged) -> dict[str, Any]:
    worst = one.elsewhere
    return {
        "family": one.family,
        "name": one.name,
        "reduction": one.reduction,
        "reduction_interval_90": one.interval,
        "share_helped": one.share,
        "allowed": one.allowed,
        "elsewhere": worst
        and {
            "ratio": worst.ratio,
            "speed_m_s": worst.speed,
            "point": worst.point,
            "before_m_s2": worst.before,
            "after_m_s2": worst.after,
        },
        "weight_kg": one.weight,
        "detail": one.detail or None,
        "work": one.effort,
        "minutes": one.minutes,
        "caution": one.caution or None,
    }
