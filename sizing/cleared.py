"""What has to be cleared before a damper is advised, and what the answer is until then.

A damper helps where a mode is met by healthy wheels or the road; on any other vehicle it hides what is wrong.
So nobody is told that it helps before the walk round the vehicle is whole, the wheels are known not to be at
fault, and the shake is known to be slower than the propshaft.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ..model.observations import CHECKS, PACE
from .observed import Reading, reading, slowest_shaft
from .shake_kinds import Kind
from .shakes_heard import driveline_heard_quiet, wheels_heard_healthy
from .split import split
from .study import Host
from .verdict import Outcome, Verdict, say
from .walk_items import ITEMS
from .walk_round import unanswered

HEALTHY = 2.0  # [-] times what healthy wheels bring: a healthy one is known to a factor of two, either way
WALK = "the walk round the vehicle"


@dataclass(frozen=True)
class Open:
    """One thing that nobody has cleared yet: its name, and what to do about it."""

    name: str
    do: str


def still_open(one: Host) -> tuple[Open, ...]:
    """What is to be cleared before a damper is advised, in the order of doing it.

    >>> from dataclasses import replace
    >>> from ..model.example import small_case
    >>> from .study import host
    >>> one = host(small_case())
    >>> still_open(one)
    ()
    >>> [left.name for left in still_open(replace(one, case=replace(one.case, checks={}, observations=())))]
    ['the walk round the vehicle', 'how fast it shakes', 'known-good wheels']
    """
    left = unanswered(one.case)
    if left == CHECKS:
        return (Open(WALK, "go round the vehicle with the list, ten minutes"), *_untried(one))
    return (*_unseen(left), *_untried(one))


def each_open(one: Host) -> tuple[str, ...]:
    """The names of all that is to be cleared, one by one."""
    return tuple(left.name for left in (*_unseen(unanswered(one.case)), *_untried(one)))


def until_cleared(one: Host) -> tuple[tuple[str, str], ...]:
    """What is still open, and that no damper is advised before that, under a head of its own; or nothing.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> until_cleared(host(small_case()))
    ()
    """
    left = ", ".join(each.name for each in still_open(one))
    return (("NOT CLEARED YET", f"{left}. No damper is advised before that."),) if left else ()


def with_gate(one: Host, verdict: Verdict) -> Verdict:
    """The verdict; "helps" is "unsure", with all its numbers, until everything is cleared.

    >>> from dataclasses import replace
    >>> from ..model.example import small_case
    >>> from .study import host
    >>> one, words = host(small_case()), "mass place tuned ratio reduction speed ballast elsewhere"
    >>> good = say(Outcome.HELPS, "", **dict.fromkeys(words.split(), "so much"))
    >>> with_gate(one, good) is good
    True
    >>> with_gate(replace(one, case=replace(one.case, observations=())), good).outcome.value
    'unsure'
    """
    left = still_open(one)
    if not verdict.good or not left:
        return verdict
    do = "; ".join(dict.fromkeys(each.do for each in left))
    words = {"left": ", ".join(each.name for each in left), "do": do}
    told = say(Outcome.HELPS, "", **verdict.facts)
    held = say(Outcome.UNSURE, "not cleared", **{**verdict.facts, **words})
    return replace(
        held,
        sentence=verdict.sentence.replace(told.sentence, held.sentence),
        next_step=verdict.next_step.replace(told.next_step, held.next_step),
    )


def _unseen(left: Sequence[str]) -> Iterator[Open]:
    names = [ITEMS[name].name for name in left]
    yield from (Open(name, f"look at {', '.join(names)}") for name in names)


def _untried(one: Host) -> Iterator[Open]:
    yield from _driveline(one)
    yield from _wheels(one)


def _driveline(one: Host) -> Iterator[Open]:
    read = reading(one.case)
    if read.excludes(Kind.DRIVELINE) or driveline_heard_quiet(one.case):
        return
    if not _tried(read, PACE):
        yield Open(PACE, "say how fast it shakes: countable, a blur or a buzz")
        return
    wanted = ["how fast it shakes, read off a phone"]
    wanted += [] if one.case.roads.driveline else ["the axle ratio"]
    wanted += [] if slowest_shaft(one.case) else ["the speeds of the complaint and the tyre size"]
    other = "or see whether a weight over the rear end moves it"
    yield Open("the driveline", f"give {', '.join(wanted)}, {other}")


def _wheels(one: Host) -> Iterator[Open]:
    read = reading(one.case)
    if read.excludes(Kind.WHEEL) or wheels_heard_healthy(one.case) or measured_healthy(one):
        return
    if _tried(read, "known-good wheels"):
        yield Open("the wheels", "have run-out and force variation of every wheel measured")
    else:
        yield Open(
            "known-good wheels", "drive once on known-good wheels, or measure the run-out of every wheel"
        )


def _tried(read: Reading, change: str) -> bool:
    return any(seen.change == change for seen, _ in read.steps)


def measured_healthy(one: Host) -> bool:
    """Whether the wheels of every axle were measured, in the order that the complaint is about, and bring no
    more than twice what healthy ones would."""
    cause, faults = one.target.critical.cause if one.target else None, one.case.roads.wheel_faults
    if cause is None or cause.kind != "wheel":
        return False
    known = {fault.axle for fault in faults if fault.order == cause.order}
    if not {axle.name for axle in one.vehicle.axles if axle.circumference} <= known:
        return False
    as_they_are, healthy, *_ = split(one, None)
    return as_they_are.before <= HEALTHY * healthy.before
