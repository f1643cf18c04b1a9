"""The command `compare`: two vehicles side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from .progress import progress

if TYPE_CHECKING:
    from ..model.speeds import CriticalSpeed
    from ..model.units import Display
    from ..sizing.side_by_side import SideBySide
    from ..sizing.verdict import Verdict
    from .tables import Table

MOST = 10  # critical speeds that fit a glance


@click.command("compare")
@click.argument("first", metavar="BEFORE.toml")
@click.argument("second", metavar="AFTER.toml")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, and nothing else.")
def compare(first: str, second: str, as_json: bool) -> None:
    """Put two vehicles side by side: modes paired by shape, critical speeds, loads, and the old damper."""
    from ..model.case import load
    from ..sizing.side_by_side import side_by_side

    with progress() as say:
        found = side_by_side(load(first), load(second), say)
    if as_json:
        import json

        click.echo(json.dumps(answer(found), indent=2, ensure_ascii=False))
        return
    from . import writing

    on = writing.console()
    writing.heading(on, "Side by side", f"{found.first.case.name}  |  {found.second.case.name}")
    for table in (modes_table(found), speeds_table(found), loads_table(found), answers_table(found)):
        writing.table(on, table)
    writing.cautions(on, found.second.cautions)


def answer(found: SideBySide) -> dict[str, Any]:
    """All that was found, ready for JSON [SI in key names]; `first` and `second` are whole assessments."""
    from .answer import answer as assessed
    from .told import plain

    modes = [
        {"first": p.first, "second": p.second, "modal_assurance": p.likeness or None} for p in found.pairs
    ]
    kept = found.kept
    told: dict[str, Any] = {
        "first": assessed(found.first),
        "second": assessed(found.second),
        "mode_pairs": plain(modes),
        "critical_pairs": plain(
            [{"cause": c.cause, "first": _speed(c.first), "second": _speed(c.second)} for c in found.critical]
        ),
        "old_damper": None,
    }
    if kept is not None:
        sized = kept.assessment.sized
        told["old_damper"] = plain(
            {
                "outcome": kept.verdict.outcome.value,
                "sentence": kept.verdict.sentence,
                "reduction": sized.comparison.reduction if sized else None,
            }
        )
    return told


def _speed(critical: CriticalSpeed | None) -> dict[str, Any] | None:
    if critical is None:
        return None
    return {
        "mode": critical.mode_name,
        "frequency_hz": critical.frequency,
        "speed_m_s": critical.speed,
        "typical_m_s2": critical.typical,
    }


def modes_table(found: SideBySide) -> Table:
    """Modes paired by shape; a dash where one vehicle has no such mode."""
    from .tables import Table, change

    one, other = (a.host.modes for a in (found.first, found.second))
    rows = []
    for pair in found.pairs:
        texts = [_mode(m, i) for m, i in ((one, pair.first), (other, pair.second))]
        moved, alike = "–", "–"
        if pair.first is not None and pair.second is not None:
            moved = change(float(other.frequency_hz[pair.second] / one.frequency_hz[pair.first]) - 1)
            alike = f"{pair.likeness:.2f}"
        rows.append((*texts, moved, alike))
    note = "Shapes are compared at the points that both have; 1 is the same shape, 0 has nothing in common."
    return Table("Modes", ("before", "after", "moves by", "alike"), tuple(rows), (2, 3), note)


def _mode(modes: Any, index: int | None) -> str:
    return "–" if index is None else f"{modes.names[index]}, {modes.frequency_hz[index]:.2f} Hz"


def speeds_table(found: SideBySide) -> Table:
    """The worst critical speeds of either vehicle, the same input and mode on one line."""
    from .tables import Table

    show = found.first.case.display
    rows = []
    for pair in found.critical[:MOST]:
        cells = [cell for c in (pair.first, pair.second) for cell in _cells(c, show)]
        mode = next(c.mode_name for c in (pair.second, pair.first) if c is not None)
        rows.append((pair.cause, mode, *cells))
    columns = ("input", "meets mode", "before, at", "m/s²", "after, at", "m/s²")
    note = "Typical level of that input alone; a dash: no such critical speed here, or its level is unknown."
    return Table("Critical speeds, worst first", columns, tuple(rows), (2, 3, 4, 5), note)


def _cells(critical: CriticalSpeed | None, show: Display) -> tuple[str, str]:
    if critical is None:
        return "–", "–"
    level = "–" if critical.typical is None else f"{critical.typical:.3f}"
    return show.show(critical.speed, "speed"), level


def loads_table(found: SideBySide) -> Table:
    """Load on the ground under each axle, and each rating."""
    from .tables import Table

    show, one, other = found.first.case.display, found.first.host.loads, found.second.host.loads
    names = [*one, *(n for n in other if n not in one)]
    rows = [
        (f"{n} axle", *(show.show(loads[n], "mass", 4) if n in loads else "–" for loads in (one, other)))
        for n in names
    ]
    over = [c.name for c in found.second.checks if not c.met_before]
    fine = "No rating that the second case states is exceeded."
    note = f"AFTER IS OVER: {', '.join(over)}." if over else fine
    return Table("Axle loads", ("", "before", "after"), tuple(rows), (1, 2), note)


def answers_table(found: SideBySide) -> Table:
    """What each case answers, and whether the old damper still suits."""
    from .tables import Table

    rows = [_told("before", found.first.verdict), _told("after", found.second.verdict)]
    if found.kept is not None:
        rows.append(_told("after, with the old damper", found.kept.verdict))
    return Table("Answers", ("", "", ""), tuple(rows))


def _told(name: str, verdict: Verdict) -> tuple[str, str, str]:
    from .ledger import readable

    return name, verdict.outcome.value.replace("_", " "), readable(verdict.sentence)
