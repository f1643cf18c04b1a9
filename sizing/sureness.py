"""What plausible vehicles do to a verdict: how surely a damper helps, and what decides it."""

from __future__ import annotations

from dataclasses import replace

from .reasons import percent
from .survey import Survey
from .verdict import Outcome, Verdict, how_to_measure, say

SURE = 0.8  # of the plausible vehicles must be helped, once tuned on the vehicle


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
