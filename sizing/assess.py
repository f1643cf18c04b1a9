"""The main job: a case in, an assessment out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from ..model.case import Case
from ..model.notebook import shown_as_html
from ..model.numbers import Known
from .at_amplitude import AtAmplitude, at_its_amplitude
from .cleared import with_gate
from .evidence import Evidence, by_observation, by_pace, by_weight, evidence, with_wheels
from .leaf_first import with_amplitude
from .limits import Bounds
from .measure_next import WhatNext, measure_next
from .narrowing import how_to_measure
from .noticed import Noticed, noticed
from .ratings import RatingCheck, rating_checks
from .reasons import decide, over_before, percent, place_text, speed_text
from .recorded import by_recording, with_recording
from .split import Share, split
from .study import Host, Progress, Sized, host, judged, quiet, size
from .sureness import with_promise, with_survey
from .survey import Survey, survey
from .verdict import CAUTIONS, Outcome, Verdict, say
from .walk_round import gate

Floats = NDArray[np.float64]

MASS_SHARE, MOST_MASS = 0.01, 60.0  # of the vehicle [-], [kg]: what is hung on where the case sets no limit
DEFAULT_STROKE = 0.015  # [m] each way


@dataclass(frozen=True)
class Beside:
    """The same question to another model of the same case: its outcome, and the reduction [-] it predicts."""

    model: str
    outcome: Outcome
    reduction: float | None


@dataclass(frozen=True)
class Assessment:
    """All that the main job finds out about a case.

    host     the vehicle, its modes, inputs and critical speeds
    bounds   what a damper had to keep to
    sized    the best damper and what it does; None where none was sized
    checks   every rating, before and with the damper (without one: before twice)
    beside   the same question to the rigid model, where the frame's stiffness is not known
    verdict  the answer
    ledger   every number that was used, with origin, spread and source
    noticed  at which speeds a person would notice the shake over the road, without and with the damper
    in_hand  whether `sized` is a damper that somebody has, not the best one
    split    the complaint taken apart: wheels as they are, healthy and perfect, without and with the damper
    survey   what plausible vehicles do with that damper; None where none was sized
    amplitude  the vehicle at the amplitude found; None where nothing of it is known not to be proportional
    """

    host: Host
    bounds: Bounds
    sized: Sized | None
    checks: tuple[RatingCheck, ...]
    beside: tuple[Beside, ...]
    verdict: Verdict
    cautions: tuple[str, ...]
    ledger: Mapping[str, Known]
    noticed: Noticed
    seed: int = 0
    in_hand: bool = False
    split: tuple[Share, ...] = ()
    survey: Survey | None = None
    amplitude: AtAmplitude | None = None

    @property
    def case(self) -> Case:
        """The case that was assessed."""
        return self.host.case

    @property
    def evidence(self) -> Evidence:
        """What was found without instruments, and what to try next."""
        return evidence(self.host, self.verdict)

    @cached_property
    def next_steps(self) -> WhatNext:
        """What to measure or try next, the most doubt removed per minute first."""
        return measure_next(self.host, self.verdict, self.survey)

    def effective_masses(self) -> dict[str, Floats]:
        """Effective modal mass [kg] at each allowed place, (modes,)."""
        points = self.host.vehicle.points
        return {name: self.host.modes.effective_mass(points[name].row) for name in self.host.places}

    def _repr_html_(self) -> str:
        rows = [("answer", self.verdict.outcome.value.replace("_", " ")), ("because", self.verdict.sentence)]
        if self.sized:
            hung, effect = self.sized.found.damper, self.sized.comparison
            rows.append(("damper", f"{hung.mass:.1f} kg at {hung.place}, {hung.tuned_hz:.2f} Hz"))
            rows.append(("shake falls by", f"{effect.reduction:.0%}"))
            rows.append(("as plain ballast by", f"{effect.ballast_reduction:.0%}".replace("-", "−")))
        rows += [("next", self.verdict.next_step), ("before driving", self.cautions[0])]
        return shown_as_html(self.case.name, (), rows)


def assess(case: Case, progress: Progress = quiet) -> Assessment:
    """Answer a case: modes, critical speeds, the best damper, the predicted gain, and a verdict.

    progress  called with a few words before each long step

    Raises CounterbounceError where the numbers of the case contradict each other.

    >>> from ..model.example import small_case
    >>> found = assess(small_case())
    >>> hung, effect = found.sized.found.damper, found.sized.comparison
    >>> found.verdict.outcome.value, hung.place, round(effect.reduction, 1)
    ('helps', 'rear end', 0.7)
    """
    with threadpool_limits(1):  # small matrices: threads cost more than they bring
        return _assess(case, progress)


def _assess(case: Case, progress: Progress) -> Assessment:
    one = host(case, progress)
    bounds = bounds_of(one)
    verdict, sized = _answer(one, bounds, progress)
    checks = sized.checks if sized else rating_checks(case, one.loads, one.loads)
    beside: tuple[Beside, ...] = ()
    if sized and case.plan.kind == "bending" and not case.plan.stiffness_known:
        beside = (on_rigid_frame(case, progress),)
        verdict = weighed(one, sized, verdict, beside[0]) if guessed(case) else verdict
    asked = survey(one, sized.found.damper, progress=progress) if sized else None
    if asked and sized:
        verdict = with_survey(verdict, asked, case.limits.worth)
        verdict = with_promise(verdict, asked)
    verdict = with_wheels(one, verdict)
    shares = split(one, sized.found.damper) if sized else ()
    felt = noticed(one, sized.found.damper if sized else None)
    progress("settling at the amplitude found")
    settled = at_its_amplitude(one, sized.found.damper if sized else None)
    verdict = with_gate(one, with_recording(one, with_amplitude(one, verdict, settled)))
    ledger = dict(case.numbers.ledger)
    return Assessment(
        one,
        bounds,
        sized,
        checks,
        beside,
        verdict,
        CAUTIONS,
        ledger,
        felt,
        split=shares,
        survey=asked,
        amplitude=settled,
    )


def bounds_of(one: Host) -> Bounds:
    """The limits of a case, with what stands in where none is stated.

    >>> from ..model.example import small_case
    >>> bounds_of(host(small_case()))
    Bounds(mass=60.0, stroke=0.015, clearance=None, elsewhere=True, ratings=True, worth=0.25)
    """
    limits = one.case.limits
    mass = limits.mass if limits.mass is not None else min(MASS_SHARE * one.vehicle.total_mass, MOST_MASS)
    stroke = limits.stroke if limits.stroke is not None or limits.clearance is not None else DEFAULT_STROKE
    return Bounds(mass, stroke, limits.clearance, worth=limits.worth)


def _answer(one: Host, bounds: Bounds, progress: Progress) -> tuple[Verdict, Sized | None]:
    verdict = without_sizing(one)
    if verdict is not None and (one.target is None or verdict.outcome is not Outcome.UNSURE):
        return verdict, None
    found = size(one, bounds, progress=progress)
    sized = judged(one, found) if found else None
    return verdict or decide(one, sized, bounds, progress), sized


def without_sizing(one: Host) -> Verdict | None:
    """The verdict that no damper can change: unsafe, outside the model, over a rating, excluded by what was
    observed, nothing met, or beside it.

    >>> from ..model.example import small_case
    >>> without_sizing(host(small_case())) is None     # so a damper is worth sizing
    True
    """
    if verdict := gate(one) or over_before(one, rating_checks(one.case, one.loads, one.loads)):
        return verdict
    if verdict := by_recording(one):
        return verdict
    if verdict := by_observation(one):
        return verdict
    if one.target is None:
        return _no_target(one)
    if not one.target.certain:
        return _elsewhere(one)
    return by_pace(one, _narrow(one)) or by_weight(one, _narrow(one))


def _no_target(one: Host) -> Verdict:
    """Nothing of known strength meets a mode where the complaint is."""
    show, complaint = one.case.display, one.case.complaint
    band = complaint.speed if complaint and complaint.speed else one.case.speeds
    unheard = [c for c in one.critical if c.typical is None and band[0] <= c.coincidence <= band[1]]
    if not unheard:
        return say(Outcome.NOT_A_RESONANCE, "nothing", complaint=speed_text(band, show))
    first = unheard[0]
    speed = show.show(first.coincidence, "speed")
    return say(Outcome.UNSURE, "unheard", cause=first.cause.name, mode=first.mode_name, speed=speed)


def _elsewhere(one: Host) -> Verdict:
    """The critical speed that may be the complaint's lies beside it."""
    show, aim = one.case.display, one.target
    assert aim is not None
    assert one.case.complaint is not None
    assert one.case.complaint.speed is not None
    low, high = (show.show(v, "speed") for v in aim.range)
    return say(
        Outcome.UNSURE,
        "band",
        cause=aim.critical.cause.name,
        mode=aim.critical.mode_name,
        speed=show.show(aim.critical.speed, "speed"),
        low=low,
        high=high,
        complaint=speed_text(one.case.complaint.speed, show),
        narrow=_narrow(one),
    )


def _narrow(one: Host) -> str:
    """What would narrow the mode's frequency most, in words."""
    assert one.target is not None
    mode = one.target.critical.mode
    path = max(one.doubt, key=lambda p: float(np.abs(one.doubt[p][mode])), default=None)
    return how_to_measure(path) if path else "what the case takes as exact"


def on_rigid_frame(case: Case, progress: Progress) -> Beside:
    """The same case on a frame that cannot bend.

    >>> from ..model.example import small_case
    >>> on_rigid_frame(small_case(), quiet).outcome.value     # which does not bend anyhow
    'helps'
    """
    progress("asking a rigid frame the same")
    stiff = replace(case, plan=replace(case.plan, kind="half"), numbers=case.numbers.with_scores({}))
    one = host(stiff)
    verdict, sized = _answer(one, bounds_of(one), quiet)
    return Beside("half", verdict.outcome, sized.comparison.reduction if sized else None)


def guessed(case: Case) -> bool:
    """Whether nothing at all is known of the frame's stiffness; measured rails leave a spread, which the
    plausible vehicles carry, and no frame that cannot bend.

    >>> from ..model.example import small_case
    >>> guessed(small_case())
    False
    """
    plan = case.plan
    return plan.kind == "bending" and not plan.stiffness_known and plan.frame_source != "rail"


def weighed(one: Host, sized: Sized, verdict: Verdict, beside: Beside) -> Verdict:
    """`unsure` where the bending and the rigid frame disagree about whether it helps.

    >>> from ..model.example import small_case
    >>> found = assess(small_case())
    >>> other = Beside("half", Outcome.TOO_LITTLE_MASS, 0.1)
    >>> weighed(found.host, found.sized, found.verdict, other).outcome.value
    'unsure'
    """
    if (verdict.outcome is Outcome.HELPS) == (beside.outcome is Outcome.HELPS) or not one.target:
        return verdict
    other = "a rigid frame would say that nothing meets the complaint there"
    if beside.reduction is not None:
        other = f"on a rigid frame it would be {percent(beside.reduction)}"
    return say(
        Outcome.UNSURE,
        "stiffness",
        place=place_text(sized.found.damper.place),
        speed=speed_text(one.target.band, one.case.display),
        reduction=percent(sized.comparison.reduction),
        beside=other,
    )
