"""What the evidence without instruments does to a verdict, and what to try next."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite

from ..model.observations import Observation, pace_of
from .next_test import NextTest, impossible, next_test
from .observed import Reading, in_words, reading
from .reasons import place_text, speed_text
from .shake_kinds import TO_DO, Kind
from .study import Host
from .target import shakes, sounds_like
from .verdict import Outcome, Verdict, say
from .weight_test import WeightTest, weight_test

PARTLY_WHEELS = ("known-good wheels", "weaker")
FED_BY_WHEELS = (
    "on known-good wheels it became weaker: the wheels that are on the vehicle bring a part of it, which "
    "costs less to cure than a weight."
)


@dataclass(frozen=True)
class Evidence:
    """What was found without instruments, and what to try next."""

    reading: Reading
    weight: WeightTest | None
    next_test: NextTest | None


def evidence(one: Host, verdict: Verdict) -> Evidence:
    """The evidence of a host's case; no test is proposed where its verdict says: inspect first."""
    read = reading(one.case)
    stop = verdict.outcome is Outcome.INSPECT_FIRST or bool(read.contradictions)
    return Evidence(read, weight_test(one), None if stop else next_test(read, impossible(one)))


def by_observation(one: Host) -> Verdict | None:
    """The verdict of the observations alone: contradictory, or no mode met by wheels or road."""
    read = reading(one.case)
    if read.contradictions:
        return say(Outcome.UNSURE, "contradiction", contradictions="; ".join(read.contradictions))
    gone = next((found for found in read.excluded if found.kind is Kind.MODE), None)
    if gone is None:
        return None
    do = "; ".join(TO_DO[kind] for kind in read.remaining)
    kinds = " or ".join(read.remaining)
    return say(Outcome.NOT_A_RESONANCE, "observed", because=in_words(gone.by), kinds=kinds, do=do)


def by_weight(one: Host, narrow: str) -> Verdict | None:
    """The verdict where a weight over the rear end did not do what the model says.

    narrow  what would narrow the model, in words
    """
    found, show = weight_test(one), one.case.display
    if found is None or found.agrees is not False:
        return None
    before, after = (show.show(speed, "speed") for speed in found.speeds)
    seen = found.seen
    felt = "it stayed where it was" if seen.result == "stayed" else "it moved"
    if seen.result == "moved" and seen.speed:
        felt = f"it moved to {speed_text(seen.speed, show)}"
    mass, place = show.show(seen.mass or 0.0, "mass"), place_text(seen.at or "")
    facts = {"mass": mass, "place": place, "before": before, "after": after, "felt": felt}
    return say(Outcome.UNSURE, "weight", **facts, narrow=narrow)


def by_pace(one: Host, narrow: str) -> Verdict | None:
    """The verdict where the shake was found to be slower or faster than what the model means.

    narrow  what would narrow the model, in words
    """
    seen, aim = pace_of(one.case.observations), one.target
    if aim is None or not aim.certain or seen is None or seen.per_second is None:
        return None
    complaint = one.case.complaint.speed if one.case.complaint else None
    critical, (low, high) = aim.critical, shakes(aim.critical, complaint)
    if sounds_like(critical, complaint, seen.per_second):
        return None
    facts = {
        "cause": critical.cause.name,
        "mode": critical.mode_name,
        "expected": f"{low:.0f} to {high:.0f}",
        "felt": pace_text(seen),
        "complaint": speed_text(complaint or aim.band, one.case.display),
    }
    if seen.result != "buzz":
        return say(Outcome.UNSURE, "pace", **facts, narrow=narrow)
    left = [kind for kind in reading(one.case).remaining if kind is not Kind.MODE]
    do = "; ".join(TO_DO[kind] for kind in left)
    return say(Outcome.NOT_A_RESONANCE, "pace", **facts, kinds=" or ".join(left), do=do)


def pace_text(seen: Observation) -> str:
    """How fast it was found to shake, as it stands in a sentence.

    >>> pace_text(Observation("how fast it shakes", "buzz")), pace_text(Observation("braking", "stayed"))
    ('a buzz, 16 times in a second or more', 'as before')
    """
    if seen.per_second is None:
        return "as before"
    word = seen.result if seen.result == "countable" else f"a {seen.result}"
    if seen.frequency is not None:
        return f"{word}, {seen.frequency:.3g} Hz"
    slow, fast = seen.per_second
    often = f"to {fast:.0f} times in a second" if isfinite(fast) else "times in a second or more"
    return f"{word}, {slow:.0f} {often}"


def with_wheels(one: Host, verdict: Verdict) -> Verdict:
    """The verdict; where it is unsure, with what to do about the wheels, if a fault of theirs may feed the
    mode.  No damper is advised where other wheels made it weaker."""
    read = reading(one.case)
    if verdict.good and any((seen.change, seen.result) == PARTLY_WHEELS for seen, _ in read.steps):
        said = f"{verdict.sentence} But {FED_BY_WHEELS}"
        return replace(
            verdict,
            outcome=Outcome.UNSURE,
            sentence=said,
            next_step=f"The wheels first: {TO_DO[Kind.WHEEL]}. Then ask again.",
        )
    cause = one.target.critical.cause if one.target else None
    fed = cause is not None and cause.kind == "wheel"
    measured = fed and not (cause and cause.assumed)
    asked = fed or bool(read.steps)
    if verdict.outcome is not Outcome.UNSURE or read.excludes(Kind.WHEEL) or measured or not asked:
        return verdict
    tried = any(seen.change == "known-good wheels" for seen, _ in read.steps)
    do = TO_DO[Kind.WHEEL] if tried else "drive once on known-good wheels before any money is spent"
    said = f"{verdict.next_step} A wheel or tyre at fault is not excluded: {do}."
    return replace(verdict, next_step=said)
