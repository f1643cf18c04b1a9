"""What recordings made of a case, as tables of text and as JSON: what they said, what moved, and the answer
without and with them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from ..sizing.assess import Assessment
from ..sizing.sureness import helped
from . import calibrate_table, read_answer, read_tables, told
from .answer import interval
from .chain import Chain
from .read_study import Heard
from .tables import Table, level, percent

SHORT = 3  # findings of one recording that fit a glance


def chain_tables(found: Chain) -> tuple[Table, ...]:
    """What the recordings said, the answer without and with them, what agrees and what moved."""
    tables = [*(_said(one) for one in found.heard), before_after(found)]
    if found.found and found.found.data:
        word, sentence = calibrate_table.verdict(found.found)
        data = calibrate_table.data_table(found.found)
        tables.append(
            replace(data, title=f"Vehicle and recordings: {word.lower()}", note=f"{sentence} {data.note}")
        )
    if found.text and found.found:
        tables += [calibrate_table.modes_table(found.found), calibrate_table.moved_table(found.found)]
    return tuple(table for table in tables if table.rows)


def _said(h: Heard) -> Table:
    """What one recording said, in short, with what is wrong with it."""
    table = read_tables.findings_table(h)
    estimates = "; ".join(f"{what}: {value}" for what, value, _ in read_tables.estimates_table(h).rows)
    notes = [
        read_tables.health_line(h) or "Nothing wrong with it was found.",
        estimates and f"Read off it: {estimates}.",
    ]
    more = len(table.rows) - SHORT
    if more > 0:
        notes.append(f"And {more} more findings.")
    title = f"What the recording {h.name} said ({read_tables.headline(h)})"
    return replace(table, title=title, rows=table.rows[:SHORT], note=" ".join(one for one in notes if one))


def before_after(found: Chain) -> Table:
    """The answer without the recordings beside that with them."""
    both = found.before, found.after
    rows = tuple((what, *map(say, both)) for what, say in _ROWS)
    note = "Without: the vehicle as the case has it. With: corrected by the recordings, and judged by them."
    if found.strangers:
        named = "; ".join(found.strangers)
        note = f"No vehicle that the numbers allow agrees; the stranger: {named}. Nothing was corrected."
    elif not found.text:
        note = "The recordings moved no number of the vehicle; what they said is in the answer."
    return Table("The answer without and with the recordings", ("", "without", "with"), rows, (), note)


def _outcome(a: Assessment) -> str:
    return a.verdict.outcome.value.replace("_", " ")


def _mode(a: Assessment) -> str:
    return a.host.target.critical.mode_name if a.host.target else "–"


def _frequency(a: Assessment) -> str:
    if a.host.target is None:
        return "–"
    mode, show = a.host.target.critical.mode, a.case.display
    low, high = interval(a, mode)
    best = show.show(float(a.host.modes.frequency_hz[mode]), "frequency")
    return f"{best} ({low:.3g} to {high:.3g})"


def _speed(a: Assessment) -> str:
    return a.case.display.show(a.host.target.critical.speed, "speed") if a.host.target else "–"


def _damper(a: Assessment) -> str:
    if a.sized is None:
        return "none was sized"
    hung, show = a.sized.found.damper, a.case.display
    return f"{show.show(hung.mass, 'mass')} at {hung.place}, {show.show(hung.tuned_hz, 'frequency')}"


def _level(a: Assessment) -> str:
    return level(a, a.sized.comparison.largest(a.sized.comparison.before)) if a.sized else "–"


def _reduction(a: Assessment) -> str:
    return percent(a.sized.comparison.reduction) if a.sized else "–"


def _between(a: Assessment) -> str:
    return " to ".join(map(percent, a.survey.interval(a.survey.retuned_reduction))) if a.survey else "–"


def _helped(a: Assessment) -> str:
    return f"{100 * helped(a.survey, a.case.limits.worth):.0f}" if a.survey else "–"


_ROWS: tuple[tuple[str, Callable[[Assessment], str]], ...] = (
    ("answer", _outcome),
    ("mode in question", _mode),
    ("its frequency (95 %)", _frequency),
    ("shakes most at", _speed),
    ("level there", _level),
    ("best damper", _damper),
    ("it lowers the shake by", _reduction),
    ("nine in ten vehicles, tuned on the vehicle", _between),
    ("of 100 vehicles it helps", _helped),
)


# --- for programs -------------------------------------------------------------------------------------------


def chain_json(found: Chain, written: str | None) -> dict[str, Any]:
    """The keys of an answer that hold it: recordings, calibration, and the answer without them [SI].

    written  where the corrected case lies
    """
    whole: dict[str, Any] = told.plain(
        {
            "recordings": [_recording(one) for one in found.heard],
            "calibration": _calibration(found, written),
            "without_recordings": _answer(found.before),
        }
    )
    return whole


def _recording(h: Heard) -> dict[str, Any]:
    whole = read_answer.answer(h)
    kept = {key: whole[key] for key in ("findings", "estimates", "next_step", "limits")}
    files = whole["run"]["files"]
    driven = h.said.speeds
    return {"name": h.name, "files": files, "speeds_m_s": driven, "health": list(_health(h)), **kept}


def _health(h: Heard) -> Iterator[dict[str, str]]:
    """Each kind of fault of each channel once."""
    kinds = dict.fromkeys((note.channel, note.kind.replace(" ", "_")) for note in h.health)
    yield from ({"channel": channel, "kind": kind} for channel, kind in kinds)


def _calibration(found: Chain, written: str | None) -> dict[str, Any]:
    if found.found is None:
        return {"agrees": False, "strangers": list(found.strangers), "written": None}
    return {**calibrate_table.as_json(found.found, (), written), "strangers": list(found.strangers)}


def _answer(a: Assessment) -> dict[str, Any]:
    """What the answer was without the recordings, in short."""
    aim, sized = a.host.target, a.sized
    mode = aim.critical.mode if aim else None
    held = a.survey.interval(a.survey.retuned_reduction) if a.survey else None
    return {
        "verdict": told.verdict(a.verdict),
        "mode": aim.critical.mode_name if aim else None,
        "frequency_hz": None if mode is None else float(a.host.modes.frequency_hz[mode]),
        "frequency_interval_hz": None if mode is None else interval(a, mode),
        "peak_speed_m_s": aim.critical.speed if aim else None,
        "damper": told.damper(sized.found.damper) if sized else None,
        "reduction": sized.comparison.reduction if sized else None,
        "retuned_reduction_interval": held,
        "share_helped_retuned": helped(a.survey, a.case.limits.worth) if a.survey else None,
    }
