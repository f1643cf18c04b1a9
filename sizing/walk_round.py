"""The safety gate: what must come before any sizing, from a walk round the vehicle and from what is felt.

A damper hides what it should have warned of, so whatever is bad, steers, feeds itself or brakes comes first.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..model.case import Case
from ..model.observations import CHECKS
from .observed import in_words
from .shake_kinds import TO_DO, Kind
from .study import Host
from .verdict import Outcome, Verdict, say
from .walk_items import ITEMS

SOUND_FRAME = 4.0  # [Hz] a sound frame's first bending on its wheels lies above; ranges from memory
SHIMMY = (17.88, 26.82)  # [m/s] 40 to 60 mph, usual on a solid front axle: common practice, no source
SELF_FEEDING = (("after a bump", "started"),)
LEFT_WITH_WHEELS = ("known-good wheels", "vanished")
BRAKING = (("braking", "started"), ("braking", "vanished"), ("braking", "stronger"))


def unanswered(case: Case) -> tuple[str, ...]:
    """Keys of what nobody has looked at yet, in the order of the walk."""
    return tuple(name for name in CHECKS if name not in case.checks)


def gate(one: Host) -> Verdict | None:
    """What must come before any sizing: unsafe, or outside the model."""
    complaint, show = one.case.complaint, one.case.display
    if verdict := unsafe(one.case):
        return verdict
    if complaint is not None and (kind := _outside(one, complaint.direction)):
        return say(Outcome.OUTSIDE_THE_MODEL, direction=complaint.direction, kind=kind)
    if (bending := _soft_frame(one)) is not None:
        return say(Outcome.INSPECT_FIRST, "frame", frequency=show.show(bending, "frequency"))
    return None


def unsafe(case: Case) -> Verdict | None:
    """Inspect first, with all the reasons that a case gives for it."""
    found = [*_bad(case), *_steering(case), *_brakes(case), *_wheels(case)]
    if not found:
        return None
    whys, dos = zip(*found, strict=True)
    return say(
        Outcome.INSPECT_FIRST, "loose", why=" ".join(dict.fromkeys(whys)), do=" ".join(dict.fromkeys(dos))
    )


def _bad(case: Case) -> Iterator[tuple[str, str]]:
    bad = [ITEMS[name] for name in CHECKS if case.checks.get(name) == "bad"]
    names = ", ".join(item.name for item in bad)
    yield from ((f"Found bad on the walk round: {names}.", item.do) for item in bad)


def _steering(case: Case) -> Iterator[tuple[str, str]]:
    complaint = case.complaint
    feeds = complaint is not None and (complaint.starts_after_bump or complaint.feeds_itself)
    seen = any((s.change, s.result) in SELF_FEEDING for s in case.observations)
    do = f"Stop driving it fast: slow down when it starts. {_sentence(Kind.STEERING)}"
    if feeds or seen:
        why = "A shake that starts after a bump or feeds itself is shimmy until proven otherwise."
        yield f"{why}{_usual(case)}", do
    if complaint is not None and complaint.direction == "steering":
        yield "A shake felt in the steering is a matter of the steering.", do


def _usual(case: Case) -> str:
    """That shimmy is usual at the complaint's speeds, where it is."""
    felt = case.complaint.speed if case.complaint else None
    if felt is None or case.plan.axles[0].axle_type != "solid":
        return ""
    name, unit = case.display.unit("speed")
    low, high = (f"{speed / unit:.0f}" for speed in SHIMMY)
    inside = felt[0] <= SHIMMY[1] and SHIMMY[0] <= felt[1]
    return f" On a solid front axle it is usual at {low} to {high} {name}." if inside else ""


def _brakes(case: Case) -> Iterator[tuple[str, str]]:
    for seen in case.observations:
        if (seen.change, seen.result) in BRAKING:
            do = f"{_sentence(Kind.BRAKES)} Until then, keep it out of fast traffic."
            yield f"It changes with the brakes ({in_words(seen)}), so the brakes come first.", do


def _wheels(case: Case) -> Iterator[tuple[str, str]]:
    for seen in case.observations:
        if (seen.change, seen.result) == LEFT_WITH_WHEELS:
            do = f"Do not put those wheels back on before you know why. {_sentence(Kind.WHEEL)}"
            yield (
                f"It left with the wheels ({in_words(seen)}), so they are at fault, or a tyre on them is.",
                do,
            )


def _sentence(kind: Kind) -> str:
    return f"{TO_DO[kind][:1].upper()}{TO_DO[kind][1:]}."


def _outside(one: Host, direction: str) -> str | None:
    """What a shake of this direction is, where the model does not know it."""
    if direction == "fore-aft" and any(p.direction == "fore-aft" for p in one.vehicle.watched):
        return None  # pitch at head height is in the model, surge along the road is not
    kinds = {
        "side to side": "lateral motion or roll of the body",
        "roll": "roll of the body or tramp of an axle",
        "twist": "torsion of the frame",
        "fore-aft": "surge along the road; a point with a height and direction fore-aft would show pitch",
    }
    return kinds.get(direction)


def _soft_frame(one: Host) -> float | None:
    """Frequency [Hz] of the first mode ruled by bending, where that is known and below a sound frame's."""
    held = one.modes.energy.get("frame bending", np.zeros(0))
    bends = [f for f, share in zip(one.modes.frequency_hz, held, strict=False) if share >= 0.5]
    low = one.case.plan.stiffness_known and bends and bends[0] < SOUND_FRAME
    return float(bends[0]) if low else None
