"""What plausible vehicles do to a verdict: how surely a damper helps, and what decides it."""

from __future__ import annotations

from dataclasses import replace

from .narrowing import how_to_measure
from .reasons import percent
from .survey import SHARE, Survey
from .verdict import Outcome, Verdict, say

SURE = 0.8  # of the plausible vehicles must be helped, once tuned on the vehicle
POINTS = 0.1  # of a reduction: what is known to ten points can be told to a customer


def helped(found: Survey, worth: float) -> float:
    """The share of plausible vehicles that a damper helps once it is tuned on them [-].

    worth  what a reduction must reach [-]
    """
    return found.share(found.retuned_reduction >= worth)


def with_survey(verdict: Verdict, found: Survey, worth: float) -> Verdict:
    """The verdict, with what plausible vehicles say of it; "helps" becomes "unsure" where too few agree.

    worth  what a reduction must reach [-]
    """
    if verdict.outcome is not Outcome.HELPS:
        return verdict
    share = helped(found, worth)
    if share < SURE:
        most = next(iter(found.decides(found.retuned_reduction)), "")
        return say(
            Outcome.UNSURE, "spread", **verdict.facts, share=percent(share), narrow=how_to_measure(most)
        )
    low, high = (percent(x) for x in found.interval(found.retuned_reduction))
    told = (
        f"Of 100 vehicles that these numbers allow {100 * share:.0f} would be helped, nine in ten by {low} "
        f"to {high} once it is tuned on the vehicle."
    )
    return replace(verdict, sentence=f"{verdict.sentence} {told}")


def known(found: Survey) -> bool:
    """Whether a reduction is known to ten points: nine in ten plausible vehicles lie so near to what is
    expected."""
    return found.share(abs(found.reduction - found.expected) <= POINTS) >= SHARE


def with_promise(verdict: Verdict, found: Survey) -> Verdict:
    """The verdict on a damper that helps, with what is expected of it as it is drawn, and whether that can be
    promised; if not, with what would tell."""
    if verdict.outcome is not Outcome.HELPS:
        return verdict
    expected = percent(found.expected)
    if known(found):
        told = f"As it is drawn, expect {expected}: nine times in ten it will come within ten points of that."
    else:
        most = next(iter(found.decides(found.reduction)), "")
        narrow = f"; what would tell most is {how_to_measure(most)}" if most else ""
        told = f"As it is drawn, expect {expected}, which is not known to ten points{narrow}."
    return replace(verdict, sentence=f"{verdict.sentence} {told}")
