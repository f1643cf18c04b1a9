"""What was found without instruments, as JSON: the walk round, the observations, and what to do next."""

from __future__ import annotations

from typing import Any

from ..model.observations import CHECKS
from ..sizing.assess import Assessment
from ..sizing.cleared import each_open
from ..sizing.measure_next import Step
from ..sizing.next_test import NextTest
from ..sizing.weight_test import WeightTest


def seen(a: Assessment) -> dict[str, Any]:
    """The keys of an answer that hold it; minutes [min], doubt left as a share of what there is now [-]."""
    found = a.evidence
    read = found.reading
    return {
        "checks": {name: a.case.checks.get(name) for name in CHECKS},
        "still_open": each_open(a.host),
        "observations": {
            "remaining": [kind.value for kind in read.remaining],
            "excluded": [{"kind": one.kind.value, "because": one.because} for one in read.excluded],
            "contradictions": list(read.contradictions),
            "weight_test": _weight(found.weight),
        },
        "next_test": _next(found.next_test),
        "measure_next": [_step(step) for step in a.next_steps.steps],
    }


def _weight(found: WeightTest | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "mass_kg": found.seen.mass,
        "at": found.seen.at,
        "mode": found.mode_name,
        "frequency_before_hz": found.frequencies[0],
        "frequency_after_hz": found.frequencies[1],
        "critical_speed_before_m_s": found.speeds[0],
        "critical_speed_after_m_s": found.speeds[1],
        "predicted_speed_m_s": found.predicted,
        "observed": found.seen.result,
        "observed_speed_m_s": found.seen.speed,
        "agrees": found.agrees,
    }


def _step(step: Step) -> dict[str, Any]:
    return {
        "what": step.what,
        "minutes": step.minutes,
        "decision_doubt_left": step.doubt_left,
        "how": step.how,
    }


def _next(found: NextTest | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "change": found.change,
        "minutes": found.minutes,
        "would_decide": [
            {
                "result": result,
                "excludes": [kind.value for kind in excludes],
                "speaks_for": [kind.value for kind in supports],
            }
            for result, (excludes, supports) in found.decides.items()
        ],
    }
