"""Every other countermeasure, judged by the same measure on the same plausible vehicles, beside the damper.

The measure is the damper's: the largest typical level at the judged points in the band complained of, before
and after; what it costs at other speeds; ratings.  Each remedy is first tried on the best estimate, where the
best of its kind is chosen; then all meet the same plausible vehicles, each counted by how well it agrees.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from ..model.case import Case
from .absorber import Damper
from .assess import bounds_of, without_sizing
from .before_after import Elsewhere
from .chassis_remedies import (
    OF_EQUAL_WEIGHT,
    ballasts,
    moved_loads,
    of_equal_weight,
    other_mount_rates,
    other_mountings,
    stiffer_frames,
)
from .cleared import until_cleared
from .panel import Panel, Trial, panel, still, trial
from .proposal import Proposal
from .reasons import percent
from .study import Host, Progress, Sized, host, judged, quiet, size
from .sureness import SURE, helped
from .survey import Survey, survey
from .suspension_remedies import doubled_shocks, freed_leaves
from .tyre_remedies import has_load_table, other_rates, other_sizes, pressures
from .verdict import Outcome, Verdict
from .wheel_remedies import clocked_duals, truer_wheels, wheel_causes

Floats = NDArray[np.float64]

LITTLE = 0.05  # a remedy that lowers the shake by less is named, and not judged any further


@dataclass(frozen=True)
class Judged:
    """One remedy and what it does.

    family, name, detail, effort, caution  in words
    minutes    [-] of work, where that is common practice; None: it cannot be said
    reduction  [-] share by which it lowers the largest level in the band, best estimate
    interval   [-] the same for nine in ten plausible vehicles
    share      [-] of the plausible vehicles that it helps, by what is worth it
    elsewhere  where outside the band the level rises most; None: nowhere to look
    weight     [kg] that it adds
    allowed    whether every rating holds and no other speed gets worse than is allowed
    """

    family: str
    name: str
    reduction: float
    interval: tuple[float, float]
    share: float
    elsewhere: Elsewhere | None
    weight: float
    allowed: bool
    detail: str
    effort: str
    minutes: int | None
    caution: str


@dataclass(frozen=True)
class Remedies:
    """All remedies of a case, best first.

    verdict  what comes before any remedy; then nothing is ranked
    ranked   first what is allowed, by the share of vehicles helped, then by the reduction
    little   names of what lowers the shake by less than a twentieth, with the reduction [-]
    notes    what else there is to say
    asked    the plausible vehicles
    """

    host: Host
    verdict: Verdict | None
    ranked: tuple[Judged, ...] = ()
    little: tuple[tuple[str, float], ...] = ()
    notes: tuple[str, ...] = ()
    asked: Survey | None = None


def remedies(case: Case, progress: Progress = quiet) -> Remedies:
    """Judge every countermeasure that a case allows, and rank them beside the damper.

    progress  called with a few words before each long step

    >>> from ..model.example import small_case
    >>> found = remedies(small_case())
    >>> [one.name for one in found.ranked if one.family == "damper"]
    ['33.3 kg damper at rear end, tuned to 2.94 Hz']
    """
    with threadpool_limits(1):  # small matrices: threads cost more than they bring
        return _remedies(case, progress)


def _remedies(case: Case, progress: Progress) -> Remedies:
    one = host(case, progress)
    verdict = without_sizing(one)
    if one.target is None or (verdict is not None and verdict.outcome is not Outcome.UNSURE):
        return Remedies(one, verdict)
    bounds = bounds_of(one)
    found = size(one, bounds, progress=progress)
    sized = judged(one, found) if found else None
    hung = sized.found.damper if sized else None
    asked = survey(one, hung, progress=progress)
    many = panel(one, asked)
    progress("trying each remedy on the best estimate")
    winners = _each_once(list(_winners(one, _contests(one, many, bounds.mass, hung))))
    ranked = [_damper(one, sized, asked)] if sized else []
    for proposed, tried in winners:
        if tried.reduction >= LITTLE or proposed.name.endswith(OF_EQUAL_WEIGHT):
            progress(f"asking the same plausible vehicles: {proposed.name}")
            ranked.append(_judged(many, proposed, tried))
    ranked += _speeds(one, asked)
    ranked.sort(key=lambda each: (not each.allowed, -round(each.share, 2), -each.reduction))
    told = {each.name for each in ranked}
    little = tuple((p.name, t.reduction) for p, t in winners if p.name not in told)
    unsure = (verdict.sentence,) if verdict else ()
    return Remedies(one, None, tuple(ranked), little, (*unsure, *_notes(one)), asked)


# --- the best of each kind ----------------------------------------------------------------------------------


def _contests(one: Host, many: Panel, most: float, hung: Damper | None) -> Iterator[list[Proposal]]:
    yield from truer_wheels(one, many)
    yield from clocked_duals(one)
    yield from pressures(one)
    yield from other_rates(one)
    yield from other_sizes(one)
    yield from freed_leaves(one)
    yield from doubled_shocks(one)
    yield from moved_loads(one)
    yield from ballasts(one, most)
    yield from other_mountings(one)
    yield from other_mount_rates(one)
    yield from stiffer_frames(one)
    if hung:
        yield from of_equal_weight(one, hung)


def _winners(one: Host, contests: Iterator[list[Proposal]]) -> Iterator[tuple[Proposal, Trial]]:
    """The best of each contest among those that keep to every rating."""
    known = still(one)
    for contest in contests:
        tried = [(proposed, trial(one, proposed, known)) for proposed in contest]
        rated = [pair for pair in tried if pair[1].rated]
        if rated:
            yield max(rated, key=lambda pair: (pair[1].allowed, pair[1].reduction))


def _each_once(winners: list[tuple[Proposal, Trial]]) -> list[tuple[Proposal, Trial]]:
    """Without what is the damper's weight by chance, and listed as that anyhow."""
    names = {proposed.name for proposed, _ in winners}
    return [pair for pair in winners if pair[0].name + OF_EQUAL_WEIGHT not in names]


def _judged(many: Panel, proposed: Proposal, tried: Trial) -> Judged:
    reduction = many.reduction(proposed)
    return Judged(
        proposed.family,
        proposed.name,
        tried.reduction,
        many.asked.interval(reduction),
        many.asked.share(reduction >= many.one.case.limits.worth),
        tried.comparison.elsewhere,
        tried.weight,
        tried.allowed,
        proposed.detail,
        proposed.effort,
        proposed.minutes,
        proposed.caution,
    )


def _damper(one: Host, sized: Sized, asked: Survey) -> Judged:
    show, hung = one.case.display, sized.found.damper
    mass, frequency = show.show(hung.mass, "mass"), show.show(hung.tuned_hz, "frequency")
    return Judged(
        "damper",
        f"{mass} damper at {hung.place}, tuned to {frequency}",
        sized.comparison.reduction,
        asked.interval(asked.retuned_reduction),
        helped(asked, one.case.limits.worth),
        sized.comparison.elsewhere,
        hung.mass,
        not sized.found.broken and all(check.met for check in sized.checks),
        f"{percent(hung.damping_ratio)} of its own critical damping; tuned anew on the vehicle",
        "a morning, bracket and parts",
        240,
        "bracket, retainer and the frame it hangs on: as the maker allows",
    )


# --- another speed ------------------------------------------------------------------------------------------


def _speeds(one: Host, asked: Survey) -> list[Judged]:
    """The nearest speeds, slower and faster, at which nearly all vehicles shake enough less to matter."""
    assert one.target is not None
    low, high = one.target.band
    worth, falls = one.case.limits.worth, 1 - asked.curves[:, 0] / asked.before[:, None]
    calm = np.array([asked.share(fall >= worth) >= SURE for fall in falls.T])
    nearest = [
        np.flatnonzero(calm & (asked.speeds < low))[-1:],
        np.flatnonzero(calm & (asked.speeds > high))[:1],
    ]
    return [_at_speed(one, asked, int(i)) for found in nearest for i in found]


def _at_speed(one: Host, asked: Survey, i: int) -> Judged:
    assert one.target is not None
    speed, fall = float(asked.speeds[i]), 1 - asked.curves[:, 0, i] / asked.before
    levels = one.sweep.total()[:, [one.vehicle.watched.index(p) for p in one.vehicle.judged]].max(axis=1)
    inside = (one.sweep.speeds >= one.target.band[0]) & (one.sweep.speeds <= one.target.band[1])
    here = float(np.interp(speed, one.sweep.speeds, levels))
    return Judged(
        "speed",
        f"driving at {one.case.display.show(speed, 'speed')}",
        1 - here / float(levels[inside].max()),
        asked.interval(fall),
        asked.share(fall >= one.case.limits.worth),
        None,
        0.0,
        True,
        "",
        "nothing",
        0,
        "within the limit of the road",
    )


# --- what else there is to say ------------------------------------------------------------------------------


def _notes(one: Host) -> tuple[str, ...]:
    left = [f"{head.capitalize()}: {body}" for head, body in until_cleared(one)]
    return tuple(note for note in (*left, _beats(one), _no_bush(one), _no_table(one)) if note)


def _beats(one: Host) -> str:
    """Why wheels are not clocked left against right."""
    loudest = next(iter(wheel_causes(one)), None)
    if loudest is None or not loudest.beat_length:
        return ""
    beat = f"{loudest.beat_length:.0f} m"
    return (
        "Left against right no wheel stays clocked: they roll a little unlike, pass each other every "
        f"{beat}, and every bend shuffles them. Only two tyres on one hub stay as they are put."
    )


def _no_bush(one: Host) -> str:
    best = max(
        (trial(one, p).reduction for contest in doubled_shocks(one, bushes=False) for p in contest), default=0
    )
    if best < LITTLE:
        return ""
    return (
        f"Shocks twice as strong would lower it by {percent(best)} if their bushes gave nothing: they give."
    )


def _no_table(one: Host) -> str:
    unknown = [axle.name for axle in one.case.plan.axles if not has_load_table(one, axle.name)]
    if not unknown:
        return ""
    return (
        f"No other pressure is looked at on the {' and '.join(unknown)} axle: give `tyre_rating` and "
        "`rated_pressure` off the sidewall, so that the load at that pressure can be checked."
    )
