"""A damper in hand, judged beside ballast and beside the best that the same vehicle allows."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from ..model.case import Case
from .absorber import Damper
from .assess import Assessment, bounds_of, without_sizing
from .at_amplitude import at_its_amplitude
from .cleared import with_gate
from .evidence import with_wheels
from .leaf_first import with_amplitude
from .limits import Bounds
from .noticed import noticed
from .ratings import rating_checks
from .reasons import BEATS_BALLAST, check_texts, facts_of, percent, place_text
from .recorded import with_recording
from .search import Found, judge
from .split import split
from .study import Host, Progress, Sized, host, judged, place_of, quiet, size
from .sureness import with_survey
from .survey import survey
from .verdict import CAUTIONS, Outcome, Verdict, say


@dataclass(frozen=True)
class Tried:
    """What a damper in hand does to a vehicle.

    hung        the damper in hand
    assessment  as of the main job, with the damper in hand in the place of the best one
    retuned     the same weight at the same place at its best; None where nothing may be judged
    best        the best within the limits of the case
    """

    hung: Damper
    assessment: Assessment
    retuned: Found | None
    best: Found | None

    @property
    def verdict(self) -> Verdict:
        """The answer."""
        return self.assessment.verdict


def try_damper(case: Case, hung: Damper, progress: Progress = quiet) -> Tried:
    """Judge a damper in hand on the vehicle of a case.

    Raises KeyError where its place is no point of the vehicle.

    >>> from ..model.example import small_case
    >>> from .absorber import tuned
    >>> one = try_damper(small_case(), tuned("rear end", "20 kg", "4 Hz", "10 %"))
    >>> one.verdict.outcome.value, round(one.retuned.damper.tuned_hz, 1)
    ('wrong_frequency', 3.0)
    """
    with threadpool_limits(1):  # small matrices: threads cost more than they bring
        return _try(case, hung, progress)


def _try(case: Case, hung: Damper, progress: Progress) -> Tried:
    one = host(case, progress)
    one.vehicle.point(hung.place)
    bounds, verdict = bounds_of(one), without_sizing(one)
    if one.target is None or (verdict is not None and verdict.outcome is not Outcome.UNSURE):
        assert verdict is not None
        return Tried(hung, _assessment(one, bounds, None, verdict), None, None)
    progress("judging the damper in hand")
    sized = judged(one, _found(one, hung, bounds))
    retuned = size(one, replace(bounds, mass=hung.mass, ratings=False), [hung.place], progress)
    best = size(one, bounds, progress=progress)
    asked = survey(one, hung, progress=progress)
    answer = with_survey(verdict or _decide(one, sized, retuned, bounds), asked, case.limits.worth)
    assessment = replace(_assessment(one, bounds, sized, with_wheels(one, answer)), survey=asked)
    return Tried(hung, assessment, retuned, best)


def _assessment(one: Host, bounds: Bounds, sized: Sized | None, verdict: Verdict) -> Assessment:
    checks = sized.checks if sized else rating_checks(one.case, one.loads, one.loads)
    settled = at_its_amplitude(one, sized.found.damper if sized else None)
    verdict = with_gate(one, with_recording(one, with_amplitude(one, verdict, settled)))
    ledger = dict(one.case.numbers.ledger)
    shares = split(one, sized.found.damper) if sized else ()
    felt = noticed(one, sized.found.damper if sized else None)
    return Assessment(
        one,
        bounds,
        sized,
        checks,
        (),
        verdict,
        CAUTIONS,
        ledger,
        felt,
        in_hand=True,
        split=shares,
        amplitude=settled,
    )


def _found(one: Host, hung: Damper, bounds: Bounds) -> Found:
    place = place_of(one, one.vehicle.points[hung.place], bounds)
    return judge(place, bounds).found(hung.mass, hung.stiffness, hung.damping)


def _decide(one: Host, sized: Sized, retuned: Found | None, bounds: Bounds) -> Verdict:
    show, worth = one.case.display, one.case.limits.worth
    facts = facts_of(one, sized, bounds) | _better(one, retuned)
    reduction, could = sized.comparison.reduction, retuned.reduction if retuned else 0.0
    for check in sized.checks:
        if not check.met:
            rating, load = check_texts(check, check.after, show)
            over = facts | {"limit": check.name, "rating": rating, "load": load}
            return say(Outcome.RATINGS, "in hand", **over)
    if {"stroke", "clearance"} & set(sized.found.broken):
        stroke = show.show(sized.found.stroke, "small_length")
        return say(Outcome.STROKE, "in hand", **facts, stroke=stroke)
    if "worse_elsewhere" in sized.found.broken:
        return say(Outcome.WORSE_ELSEWHERE, "in hand", **facts)
    if reduction >= worth and reduction >= sized.comparison.ballast_reduction + BEATS_BALLAST:
        return say(Outcome.HELPS, **facts)
    if reduction >= worth:
        return say(Outcome.BALLAST_DOES_AS_WELL, **facts)
    if could >= worth:
        return say(Outcome.WRONG_FREQUENCY, **facts)
    other = size(one, replace(bounds, mass=sized.found.damper.mass))
    if other and other.reduction >= worth and not other.broken:
        better = place_text(other.damper.place)
        return say(Outcome.WRONG_PLACE, **(facts | {"better": better, "could": percent(other.reduction)}))
    return say(Outcome.TOO_LITTLE_MASS, "in hand", **facts)


def _better(one: Host, retuned: Found | None) -> dict[str, str]:
    """The same weight at its best, as text."""
    show = one.case.display
    damper = retuned.damper if retuned else Damper("", 1.0, float(np.nan), float(np.nan))
    return {
        "better": show.show(damper.tuned_hz, "frequency"),
        "better_ratio": percent(damper.damping_ratio),
        "rate": show.show(damper.stiffness, "stiffness"),
        "could": percent(retuned.reduction if retuned else 0.0),
    }
