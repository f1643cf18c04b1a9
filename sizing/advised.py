"""Whether a damper is advised: the steps of the main job, less those that cannot matter to a yes or no."""

from __future__ import annotations

from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from .assess import bounds_of, guessed, on_rigid_frame, weighed, without_sizing
from .at_amplitude import at_its_amplitude
from .cleared import still_open
from .evidence import with_wheels
from .leaf_first import with_amplitude
from .reasons import decide
from .recorded import with_recording
from .study import Host, judged, quiet, size
from .sureness import with_survey
from .survey import survey
from .verdict import Outcome, Verdict

YES = Verdict(Outcome.HELPS, "", "")


def advises(one: Host) -> bool:
    """Whether the answer for a host is that a damper helps.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> advises(host(small_case()))
    True
    """
    return withstands(one) and by_numbers(one)


def withstands(one: Host) -> bool:
    """Whether an advice withstands all that was looked at and tried, and what was not: nothing is sized.

    >>> from dataclasses import replace
    >>> from ..model.example import small_case
    >>> from .study import host
    >>> one = host(small_case())
    >>> withstands(one), withstands(replace(one, case=replace(one.case, checks={})))
    (True, False)
    """
    return not still_open(one) and without_sizing(one) is None and with_wheels(one, YES).good


def by_numbers(one: Host, doubt: bool = True) -> bool:
    """Whether a damper would help if all were cleared that is still open.

    doubt  whether plausible vehicles, and a rigid frame, have a say; without them: if the numbers were exact
    """
    with threadpool_limits(1):
        return without_sizing(one) is None and _by_numbers(one, doubt)


def _by_numbers(one: Host, doubt: bool) -> bool:
    bounds = bounds_of(one)
    found = size(one, bounds)
    sized = judged(one, found) if found else None
    if sized is None or sized.found.broken or sized.comparison.reduction < one.case.limits.worth:
        return False
    verdict = decide(one, sized, bounds)
    if doubt and verdict.good and guessed(one.case):
        verdict = weighed(one, sized, verdict, on_rigid_frame(one.case, quiet))
    if doubt and verdict.good:
        verdict = with_survey(verdict, survey(one, sized.found.damper), one.case.limits.worth)
    if verdict.good and one.case.plan.laws:
        verdict = with_amplitude(one, verdict, at_its_amplitude(one, sized.found.damper))
    return with_recording(one, with_wheels(one, verdict)).good
