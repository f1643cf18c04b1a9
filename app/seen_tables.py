"""What was found without instruments, as tables of text: the walk round, the observations, the next test."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ..model.observations import CHECKS, Observation
from ..sizing.assess import Assessment
from ..sizing.cleared import each_open
from ..sizing.observed import in_words
from ..sizing.reasons import place_text, speed_text
from ..sizing.verdict import Outcome
from ..sizing.walk_items import ITEMS
from .tables import Table, change


@dataclass(frozen=True)
class Tick:
    """One line of the walk round: a name, what to look for, and the answer, or none yet."""

    name: str
    look: str
    answer: str | None


def walk_round(a: Assessment) -> tuple[Tick, ...]:
    """The list to go round the vehicle with; nothing where everything is known to be good."""
    if all(a.case.checks.get(name) == "good" for name in CHECKS):
        return ()
    return tuple(
        Tick(_capital(ITEMS[name].name), ITEMS[name].look, a.case.checks.get(name)) for name in CHECKS
    )


def not_cleared(a: Assessment) -> str:
    """What is still to be cleared before a damper is advised, in a line; nothing where all of it has been."""
    return ", ".join(each_open(a.host))


def observed_table(a: Assessment) -> Table:
    """Each observation with what it excludes and speaks for, and why; below it, what remains."""
    rows = tuple(
        (
            _capital(_done(a, seen)),
            _did(a, seen),
            _listed(row.excludes if row else ()),
            _listed(row.supports if row else ()),
            f"{row.why} ({row.source})" if row else "The table says nothing about this.",
        )
        for seen, row in a.evidence.reading.steps
    )
    columns = ("changed", "the shake", "excludes", "speaks for", "because")
    return Table("What was observed, and what it says", columns, rows, (), _left(a) if rows else "")


def _done(a: Assessment, seen: Observation) -> str:
    if seen.mass is None:
        return seen.change
    return f"{seen.change}, {a.case.display.show(seen.mass, 'mass')} at {place_text(seen.at or '')}"


def _did(a: Assessment, seen: Observation) -> str:
    said = _capital(in_words(seen).removeprefix(f"{seen.change}: "))
    if seen.speed:
        return f"{said}, now felt at {speed_text(seen.speed, a.case.display)}"
    return f"{said}; where to was not said" if seen.result == "moved" else said


def _left(a: Assessment) -> str:
    """What remains, what cannot all be so, and the weight test, in sentences."""
    read = a.evidence.reading
    said = [f"What remains: {_listed(read.remaining)}."]
    if read.contradictions:
        said = [f"This cannot all be so: {'; '.join(read.contradictions)}."]
    return " ".join([*said, weight_words(a)]).strip()


def weight_words(a: Assessment) -> str:
    """What the weight over the rear end does by the model, and whether that was seen; nothing without one."""
    found, show = a.evidence.weight, a.case.display
    if found is None:
        return ""
    mass, place = show.show(found.seen.mass or 0.0, "mass"), place_text(found.seen.at or "")
    hertz = " to ".join(f"{f:.2f} Hz" for f in found.frequencies)
    speeds = " to ".join(show.show(v, "speed") for v in found.speeds)
    said = (
        f"By the model {mass} at {place} moves {found.mode_name} from {hertz}, and the speed that "
        f"meets it from {speeds}, by {change(found.share)}"
    )
    if found.predicted:
        said += f", so the complaint to {speed_text(found.predicted, show)}"
    verdicts = {
        True: "what was felt agrees with it",
        False: "what was felt does NOT agree with it",
        None: "what was felt says nothing about that",
    }
    return f"{said}; {verdicts[found.agrees]}. This is a check of the model: nothing was fitted to it."


def next_table(a: Assessment) -> Table:
    """The test to do next: how, and what each result would decide."""
    found = a.evidence.next_test
    columns = ("if the shake", "that excludes", "and speaks for")
    if found is None:
        return Table("Next test", columns, (), (), _no_test(a))
    rows = tuple(
        (in_words(Observation(found.change, result)).rpartition(": ")[2], _listed(out), _listed(for_))
        for result, (out, for_) in found.decides.items()
    )
    title = f"Next test: {found.change}, about {found.minutes:.0f} minutes"
    note = (
        f"{found.how} Of all tests not done yet it is expected to tell most per minute; the minutes are "
        "common practice, no source."
    )
    return Table(title, columns, rows, (), note)


def _no_test(a: Assessment) -> str:
    """Why no test is proposed."""
    if a.verdict.outcome is Outcome.INSPECT_FIRST:
        return "No test is proposed: the vehicle is inspected first."
    if a.evidence.reading.contradictions:
        return "No further test is proposed until those that contradict each other have been done again."
    return (
        "No further test on the road would tell apart what remains: go on with the next step of the answer."
    )


def next_words(a: Assessment) -> str:
    """The test to do next, in a line; nothing where there is none."""
    found = a.evidence.next_test
    return f"{_capital(found.change)}, about {found.minutes:.0f} minutes. {found.how}" if found else ""


def _listed(kinds: Iterable[str]) -> str:
    return ", ".join(kinds) or "–"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
