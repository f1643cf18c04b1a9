"""Rides before and after a change, and sealed predictions scored: as tables of text and as JSON."""

from __future__ import annotations

from typing import Any

from ..model.units import Display
from ..sizing.measured_gain import Gain
from ..sizing.reduction import FEWEST, LEVEL, POWER, WORTH, Change
from ..sizing.scored import Record, Score, as_told
from ..sizing.survey import SHARE
from ..sizing.verdict import CAUTIONS
from . import writing
from .tables import Table, percent
from .told import plain

WORDS = {"less": "it shakes less", "more": "IT SHAKES MORE", "not_shown": "not shown"}


def said(gain: Gain) -> str:
    """The result in a sentence or two."""
    change = gain.change
    share = f"{percent(abs(change.reduction))} {'less' if change.reduction >= 0 else 'more'}"
    if change.interval is None and min(change.drawn) >= FEWEST:
        return f"The rides do not show what became of it at {change.channel}. {_more(gain)}"
    at_least = "at least " if change.least and change.reduction > 0 else ""
    found = f"The rides show {at_least}{share} at {change.channel}"
    if change.interval is None:
        return f"{found}, and nobody can say how surely: too few {gain.unit}. {_more(gain)}"
    surely = f"{percent(LEVEL)} interval {_interval(change)}"
    if change.said == "not_shown":
        return f"{found} ({surely}): not shown to be more than chance. {_more(gain)}"
    return f"{found} ({surely}). That is more than chance."


def _more(gain: Gain) -> str:
    if gain.needed is None:
        return "Drive more and longer passes, and turn round between them."
    return (
        f"A fall of {percent(WORTH)} would be shown in {percent(POWER)} of tries"
        f" by {gain.needed} such passes before and {gain.needed} after."
    )


def _interval(change: Change) -> str:
    if change.interval is None:
        return "–"
    low, high = change.interval
    return f"{percent(low)} to {percent(high)}"


def _fall(change: Change) -> str:
    """By how much it fell; nothing where nothing was there, or nothing rises above the road beside it."""
    if change.before <= 0 or (change.interval is None and min(change.drawn) >= FEWEST):
        return "–"
    return f"{'at least ' if change.least else ''}{percent(change.reduction)}"


def changes_table(title: str, column: str, named: list[tuple[str, Change]], note: str = "") -> Table:
    """Some changes, a line each."""
    rows = tuple(
        (
            name,
            f"{one.before:.3g}",
            f"{'below ' if one.least else ''}{one.after:.3g}",
            _fall(one),
            _interval(one),
            f"{one.drawn[0]} / {one.drawn[1]}",
            WORDS[one.said],
        )
        for name, one in named
    )
    columns = (column, "before, m/s²", "after, m/s²", "falls by", f"{percent(LEVEL)} interval", "drawn", "")
    return Table(title, columns, rows, (1, 2, 3, 4, 5), note)


def gain_tables(gain: Gain, show: Display) -> list[Table]:
    """By channel, by wheel order, and speed by speed."""
    how = (
        f"R.m.s. levels, {gain.change.shake}, weighted to the speeds that both sides drove. Drawn: how many "
        f"{gain.unit} before / after stand behind an interval. Beats are {show.show(gain.beat, 'length')} of "
        f"road; the passes hold {gain.beats[0]:.1f} and {gain.beats[1]:.1f} of them. Of 20 intervals without "
        "any change one misses zero by chance, so the first line decides, not the best one."
    )
    channels = sorted(gain.by_channel, key=lambda one: one.channel != gain.change.channel)
    speeds = [
        (show.show((one.speeds[0] + one.speeds[1]) / 2, "speed"), one) for one in gain.by_speed if one.before
    ]
    found = [
        changes_table("Before and after", "at", [(one.channel, one) for one in channels], how),
        changes_table(
            f"Wheel orders at {gain.change.channel}",
            "what",
            [(one.shake, one) for one in gain.by_order],
            "What lies beside each line is taken off: the road's own roughness. Below: the line does not "
            "rise above it; –: it did not even before.",
        ),
        changes_table(f"Speed by speed at {gain.change.channel}", "at", speeds),
    ]
    return [table for table in found if table.rows]


def score_table(score: Score) -> Table:
    """A sealed prediction beside what came of it."""
    around = f"{percent(score.measured_low)} to {percent(score.measured_high)}"
    least = "at least " if score.least else ""
    rows = (
        ("predicted", percent(score.predicted), f"{percent(score.low)} to {percent(score.high)}"),
        ("measured", f"{least}{percent(score.measured)}", around),
    )
    held = "held" if score.inside else "did NOT hold"
    more = "more" if score.error >= 0 else "less"
    note = (
        f"Sealed {score.sealed_at_utc[:16].replace('T', ' ')} UTC; only the rides' own date says whether "
        f"that was before the fix. The interval {held} what was measured, the doubt of "
        f"the rides counted in: "
        f"{abs(100 * score.error):.0f} points {more} than the best estimate. Continuous ranked probability "
        f"score {100 * score.crps:.1f} points, interval score {100 * score.interval_score:.0f} points. "
        f"Predicted: {percent(SHARE)} of plausible vehicles, over the speeds that were driven, of the wheels "
        "and the joints alone. Measured: their lines; what a rough road stirs up beside them is taken off."
    )
    return Table("The sealed prediction", ("", "falls by", "interval"), rows, (1, 2), note)


def tell(gain: Gain, score: Score | None, display: Display | None) -> None:
    """Write what was found as readable text."""
    from rich.text import Text

    on = writing.console()
    passes = f"{gain.passes[0]} passes before, {gain.passes[1]} after"
    writing.heading(on, "Before and after", passes)
    on.print()
    on.print(Text.assemble((f"{WORDS[gain.change.said].upper()}  ", "bold"), said(gain)))
    for note in gain.notes:
        on.print(Text.assemble(("NOTE  ", "bold"), note))
    on.print()
    on.print(Text.assemble(("BEFORE DRIVING  ", "bold"), CAUTIONS[0]))
    if score:
        writing.table(on, score_table(score))
    for table in gain_tables(gain, display or Display()):
        writing.table(on, table)
    writing.cautions(on, CAUTIONS)


def tell_record(found: Record) -> None:
    """Write how good sealed predictions were."""
    on = writing.console()
    low, high = found.held_interval
    share = found.held / len(found.jobs)
    writing.heading(
        on,
        "Sealed predictions",
        f"{found.held} of {len(found.jobs)} intervals held ({percent(share)}; {percent(low)} to "
        f"{percent(high)}, Clopper and Pearson), and {percent(SHARE)} should. Off by "
        f"{100 * found.error:.0f} points in the mean, {_bias(found.bias)}.",
    )
    rows = tuple(
        (
            one.case,
            one.sealed_at_utc[:10],
            percent(one.predicted),
            f"{percent(one.low)} to {percent(one.high)}",
            percent(one.measured),
            "held" if one.inside else "missed",
        )
        for one in found.jobs
    )
    columns = ("job", "sealed", "predicted", "interval", "measured", "")
    note = (
        f"Continuous ranked probability score: {100 * found.crps:.1f} points in the mean; smaller is better."
    )
    writing.table(on, Table("Jobs", columns, rows, (2, 3, 4), note))


def _bias(bias: float) -> str:
    points = f"{abs(100 * bias):.0f} points"
    return f"{points} better than promised" if bias >= 0 else f"{points} worse than promised"


# --- as JSON ----------------------------------------------------------------------------------------------


def answer(gain: Gain, score: Score | None) -> dict[str, Any]:
    """The same, ready for JSON; levels r.m.s. [m/s^2], reductions as shares [-]."""
    told: dict[str, Any] = plain(
        {
            "outcome": gain.change.said,
            "interval_share": LEVEL,
            "weighting": "none",
            "change": _change(gain.change),
            "by_channel": [_change(one) for one in gain.by_channel],
            "by_order": [_change(one) for one in gain.by_order],
            "by_speed": [_change(one) for one in gain.by_speed],
            "drawn_again": gain.unit,
            "beat_m": gain.beat,
            "beats": gain.beats,
            "passes": gain.passes,
            "passes_needed": {"count": gain.needed, "power": POWER, "reduction": WORTH},
            "notes": list(gain.notes),
            "score": as_told(score) if score else None,
            "cautions": list(CAUTIONS),
        }
    )
    return told


def _change(one: Change) -> dict[str, Any]:
    return {
        "shake": one.shake,
        "channel": one.channel,
        "speeds_m_s": one.speeds,
        "before_m_s2": one.before,
        "after_m_s2": one.after,
        "reduction": one.reduction if one.before > 0 else None,
        "reduction_interval": one.interval,
        "least": one.least,
        "drawn": one.drawn,
        "outcome": one.said,
    }


def record_answer(found: Record) -> dict[str, Any]:
    """How good sealed predictions were, ready for JSON; shares of one [-]."""
    told: dict[str, Any] = plain(
        {
            "jobs": [as_told(one) for one in found.jobs],
            "held": found.held,
            "held_share": found.held / len(found.jobs),
            "held_interval_95": found.held_interval,
            "wanted_share": SHARE,
            "mean_absolute_error": found.error,
            "mean_error": found.bias,
            "mean_crps": found.crps,
        }
    )
    return told
