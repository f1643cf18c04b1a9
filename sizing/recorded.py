"""What recordings do to a verdict: no damper is advised where the vehicle itself said otherwise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ..model.case import Case
from ..model.measured.findings import Finding
from ..model.observations import Change
from ..model.units import significant
from .next_test import TESTS
from .reasons import speed_text
from .shake_kinds import TO_DO, Kind
from .shakes_heard import (
    LARGE,
    SURE,
    at_complaint,
    at_fault,
    in_percent,
    in_units,
    kind_of,
    wheels_that_stand_out,
)
from .study import Host
from .verdict import Outcome, Verdict, say

SAME_SHAKE = 0.06  # [-] of a frequency, beside what the recording leaves open
WITHOUT_PULL: tuple[Change, ...] = ("neutral coast-down", "another gear at the same speed")
JUDGED = (Outcome.HELPS, Outcome.UNSURE)  # verdicts that somebody may buy a damper on


# --- before anything is sized -------------------------------------------------------------------------------


def by_recording(one: Host) -> Verdict | None:
    """The verdict of the recordings alone: a motion that the model does not know, or a part at fault.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> by_recording(host(small_case())) is None     # nothing was recorded
    True
    """
    found = [(said, shake) for said, shake in at_complaint(one.case) if shake.confidence >= SURE]
    for said, shake in found:
        if shake.kind == "outside_the_model":
            do = said.found.next_step.record
            at = one.case.display.show(shake.frequency_hz or 0.0, "frequency")
            facts = {"cause": shake.cause, "frequency": at, "sure": in_percent(shake.confidence), "do": do}
            return say(Outcome.OUTSIDE_THE_MODEL, "recorded", **facts)
    turns = next((shake for _, shake in found if at_fault(shake)), None)
    if turns is None:
        return None
    return _at_fault(one.case, turns, any(shake.kind == "resonance" for _, shake in found))


def _at_fault(case: Case, part: Finding, rings: bool) -> Verdict:
    """What turns is itself at fault; a wheel is looked at before it turns again.

    rings  whether a natural frequency was heard there, too
    """
    size, kind = part.input_over_healthy, kind_of(part)
    larger = f", {significant(size, 2)} times a healthy one to a factor of two" if size else ""
    facts = {
        "cause": part.cause,
        "speed": _speed(case, part),
        "larger": larger,
        "sure": in_percent(part.confidence),
        "do": TO_DO[kind],
    }
    if kind is Kind.WHEEL or rings:
        return say(Outcome.INSPECT_FIRST, "turning", **facts)
    return say(Outcome.NOT_A_RESONANCE, "turning", **facts)


def _speed(case: Case, shake: Finding) -> str:
    complaint = case.complaint.speed if case.complaint else None
    band = shake.speed_band_m_s or complaint or case.speeds
    return speed_text(band, case.display)


# --- once it is sized ---------------------------------------------------------------------------------------


def with_recording(one: Host, verdict: Verdict) -> Verdict:
    """The verdict, with what recordings say of the complaint: confirmed, or a reason to wait.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> from .verdict import say
    >>> told = say(Outcome.INSPECT_FIRST, "loose", why="Loose.", do="Stop.")
    >>> with_recording(host(small_case()), told) is told
    True
    """
    rings = _resonances(one.case)
    if rings and verdict.outcome is Outcome.NOT_A_RESONANCE and one.target is None:
        return _doubted(verdict, *_left_out(one, rings[0]))
    if verdict.outcome not in JUDGED:
        return verdict
    if doubt := _doubt(one, rings):
        return _doubted(verdict, *doubt)
    if not one.case.said:
        return verdict
    if not rings:
        return replace(verdict, next_step=f"{verdict.next_step} {_record_there(one.case)}")
    said = f"{verdict.sentence} The recording confirms it: {_words(one, rings[0])}."
    return replace(verdict, sentence=said)


def against(one: Host) -> str:
    """What recordings say against a damper, in words; nothing where they say nothing against it.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> against(host(small_case()))
    ''
    """
    if stopped := by_recording(one):
        return stopped.sentence
    doubt = _doubt(one, _resonances(one.case))
    return doubt[0] if doubt else ""


def without_agreement(without: Verdict, verdict: Verdict, strangers: Sequence[str]) -> Verdict:
    """The verdict on a vehicle that no recording agrees with: nothing is built on it.

    without    the verdict that knows of no recording
    verdict    the one that does; what comes first, such as a part at fault, still comes first
    strangers  what lies furthest from all else, in words

    >>> loose = say(Outcome.INSPECT_FIRST, "loose", why="Loose.", do="Stop.")
    >>> without_agreement(loose, loose, ["ride, shake 1"]) is loose
    True
    """
    if verdict.outcome not in JUDGED:
        return verdict
    named = " or ".join(strangers)
    return _doubted(
        without,
        f"no vehicle that these numbers allow agrees with the recordings; the stranger: {named}",
        "Find out which is wrong before anything is built: look at the recording's health and at where its "
        "sensors sat, and measure that number again. Then ask again.",
    )


def _resonances(case: Case) -> list[Finding]:
    """Those at the complaint that are sure enough."""
    return [s for _, s in at_complaint(case) if s.kind == "resonance" and s.confidence >= SURE]


def _doubt(one: Host, rings: Sequence[Finding]) -> tuple[str, str] | None:
    """What recordings say against a damper, and what to do; of those that a case was corrected with, where
    there are none beside it."""
    case = one.case
    if not case.said and case.doubt:
        but = f"the recordings that this case was corrected with said: {case.doubt.rstrip('.')}"
        return but, "See to that first; then record the same drive, and correct the case as it was before."
    return _input_first(case, rings) or _driveline_first(case, rings) or _not_that(one, rings)


def _doubted(verdict: Verdict, but: str, do: str) -> Verdict:
    said = f"{verdict.sentence} But {but}."
    return replace(verdict, outcome=Outcome.UNSURE, sentence=said, next_step=do)


def _left_out(one: Host, shake: Finding) -> tuple[str, str]:
    """A resonance that was recorded where the case lets nothing meet one."""
    but = f"the recording has one there: {_words(one, shake)}"
    return but, "Say in the case what meets it: joints with their spacing, roughness, wheel orders, ratios."


def _input_first(case: Case, rings: Sequence[Finding]) -> tuple[str, str] | None:
    """The wheels, where they bring more than healthy ones."""
    large = [s for s in rings if s.met_by == "wheel_order" and (s.input_over_healthy or 0.0) >= LARGE]
    large += [shake for shake in wheels_that_stand_out(case) if at_fault(shake) and shake.input_over_healthy]
    if not large:
        return None
    size = significant(large[0].input_over_healthy or 0.0, 2)
    but = f"what the wheels bring was recorded as {size} times a healthy input, to a factor of two"
    return but, f"The wheels first: {TO_DO[Kind.WHEEL]}. Then record the same drive, and ask again."


def _driveline_first(case: Case, rings: Sequence[Finding]) -> tuple[str, str] | None:
    """Neutral, where the driveline moves with the shake and nobody has tried without its pull."""
    tried = any(seen.change in WITHOUT_PULL and seen.result == "stayed" for seen in case.observations)
    if tried or not any(shake.driveline == "moves_with_it" for shake in rings):
        return None
    but = "the driveline swings along with it; following is not driving, and that has not been told apart"
    trials = " ".join(TESTS[change].how for change in WITHOUT_PULL)
    return but, f"First, without the engine's pull: {trials} Note what the shake does, and ask again."


def _not_that(one: Host, rings: Sequence[Finding]) -> tuple[str, str] | None:
    """A recording of the complaint's speeds that shows another shake than a damper is for, that cannot tell,
    or that shows none."""
    if rings:
        return _another(one, rings)
    case = one.case
    unclear = next((said for said, s in at_complaint(case) if s.kind == "not_separable"), None)
    if unclear:
        step = unclear.found.next_step
        but = "at one speed the recording cannot tell what turns from what rings"
        return but, in_units(f"{step.record} {step.drive}", case.display)
    complaint = case.complaint.speed if case.complaint else None
    here = [said for said in case.said if complaint is None or said.passed(complaint)]
    if not here:
        return None
    at = f" at {speed_text(complaint, case.display)}" if complaint else ""
    unsure = next((s for _, s in at_complaint(case) if s.kind != "nothing" and s.confidence < SURE), None)
    quiet = next(
        (s.cause for _, s in at_complaint(case) if s.kind == "nothing"), "what it shows is elsewhere"
    )
    but = f"the recording shows no shake{at} that a damper would cure: {quiet}"
    if unsure:
        what = f"{unsure.cause}, {in_percent(unsure.confidence)} sure"
        but = f"the recording does not tell surely what shakes{at}: {what}"
    drive = in_units(here[0].found.next_step.drive, case.display)
    return but, f"Record the complaint itself before anything is built. {drive}"


def _another(one: Host, rings: Sequence[Finding]) -> tuple[str, str] | None:
    """Another natural frequency than the one a damper was sized for."""
    aim = one.target.critical.frequency if one.target else None
    if aim is None or any(_is_of(shake, aim) for shake in rings):
        return None
    but = (
        f"where the complaint is the recording has {_words(one, rings[0])}, and this is for "
        f"{one.case.display.show(aim, 'frequency')}"
    )
    do = TO_DO[Kind.MODE]
    return but, f"{do[:1].upper()}{do[1:]}; then ask again: two shakes may lie close together."


def _is_of(shake: Finding, frequency: float) -> bool:
    """Whether a recorded natural frequency may be this one [Hz]."""
    low, high = shake.interval or (shake.frequency_hz or 0.0, shake.frequency_hz or 0.0)
    return low * (1 - SAME_SHAKE) <= frequency <= high * (1 + SAME_SHAKE)


def _words(one: Host, shake: Finding) -> str:
    show = one.case.display
    at = show.show(shake.frequency_hz or 0.0, "frequency")
    felt = f", felt at {_speed(one.case, shake)}" if shake.speed_band_m_s else ""
    return f"{shake.cause}, at {at}{felt}, {in_percent(shake.confidence)} sure"


def _record_there(case: Case) -> str:
    """What a recording that says nothing of the complaint should have held."""
    complaint = case.complaint.speed if case.complaint else None
    at = f" at {speed_text(complaint, case.display)}" if complaint else ""
    return f"The recording does not tell what shakes{at}: drive there, slowly up and down through it."
