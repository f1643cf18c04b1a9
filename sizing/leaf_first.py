"""A leaf before a weight: what the amplitude found means for the answer, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ..model.forces import Leaf
from .at_amplitude import AtAmplitude
from .reasons import percent, speed_text
from .study import Host
from .verdict import Outcome, Verdict

NO_MATTER = (Outcome.INSPECT_FIRST, Outcome.OUTSIDE_THE_MODEL, Outcome.NOT_A_RESONANCE)


def leaf_first(one: Host, verdict: Verdict, found: AtAmplitude | None) -> str:
    """Why leaves are to be freed, or asked about, before a weight is hung; "" where they are not the cure."""
    if found is None or found.freed is None or not found.freed.cures or verdict.outcome in NO_MATTER:
        return ""
    show, freed = one.case.display, found.freed
    facts = {
        "leaves": leaves_text(freed.leaves),
        "holds": "; ".join(_holds(one, found, name) for name in freed.leaves),
        "speed": speed_text(found.band, show),
        "reduction": percent(freed.reduction),
    }
    return (ASK_FIRST if found.assumed else FREE_FIRST).format(**facts)


FREE_FIRST = (
    "At the amplitude found {leaves} are held by their own friction ({holds}). With a third of that friction "
    "the shake at {speed} falls by {reduction}, without any weight. Clean and grease the packs, or fit "
    "liners or leaves with less friction, and ask again before a damper is bought."
)
ASK_FIRST = (
    "Ask first whether {leaves} are held by their own friction, which nobody measured. With what is assumed "
    "({holds}) they are, and with a third of it the shake at {speed} would fall by {reduction}, without any "
    "weight. Load and unload the spring in steps, read how far it gives on the way there and back, and give "
    "`friction` and `static_spring_rate`."
)


def leaves_text(names: Sequence[str]) -> str:
    """Laws of leaves as they stand in a sentence.

    >>> leaves_text(["front leaf friction", "rear leaf friction"])
    'the front and rear leaves'
    """
    return f"the {' and '.join(name.removesuffix(' leaf friction') for name in names)} leaves"


def _holds(one: Host, found: AtAmplitude, name: str) -> str:
    i = next(i for i, law in enumerate(found.laws) if law.name == name)
    force, show = found.laws[i].force, one.case.display
    assert isinstance(force, Leaf)
    moved, turned = (show.show(v, "small_length") for v in (float(found.stretch[i]), force.travel))
    axle = name.removesuffix(" leaf friction")
    held = show.show(force.friction, "force")
    return f"{axle}: {held}, which takes {turned} to turn round, and the spring moves by {moved}"


def with_amplitude(one: Host, verdict: Verdict, found: AtAmplitude | None) -> Verdict:
    """The verdict with what the laws of the case do to it; laws that are assumed change nothing."""
    if found is None or found.assumed:
        return verdict
    if found.reduction is not None and verdict.good:
        verdict = _there(one, verdict, found, found.reduction)
    if not leaf_first(one, verdict, found) or found.freed is None:
        return verdict
    leaves = leaves_text(found.freed.leaves)
    return replace(verdict, next_step=f"Free {leaves} first, then ask again. {verdict.next_step}")


def _there(one: Host, verdict: Verdict, found: AtAmplitude, reduction: float) -> Verdict:
    """What a damper that helps for small shakes does at the amplitude found; `unsure` if too little."""
    at_work = " and ".join(one.case.plan.laws)
    said = f"{verdict.sentence} At the amplitude found, with {at_work} at work, it is"
    if reduction >= one.case.limits.worth:
        return replace(verdict, sentence=f"{said} {percent(reduction)}.")
    again = (
        "Give the rates as they are at that amplitude (the report lists them) and ask again: this damper is "
        "tuned for small shakes."
    )
    sentence = f"{said} {percent(reduction)} only."
    return replace(verdict, outcome=Outcome.UNSURE, sentence=sentence, next_step=again)
