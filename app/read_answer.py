"""What a recording says, as JSON: SI in the key names, null where a thing is absent."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from ..model.measured.findings import Estimate, Finding
from ..model.measured.notes import HealthNote
from . import told
from .read_study import Heard
from .told import plain


def answer(h: Heard) -> dict[str, Any]:
    """All that was found, ready for JSON; numbers in the unit that ends their key [SI]."""
    whole: dict[str, Any] = plain(
        {
            "run": run(h),
            "recording": _recording(h),
            "health": [health_note(note) for note in h.health],
            "findings": [finding(one) for one in h.evidence.findings],
            "estimates": {name: estimate(one) for name, one in h.evidence.estimates.items()},
            "next_step": asdict(h.evidence.next_step) | {"text": str(h.evidence.next_step)},
            "limits": list(h.evidence.limits),
        }
    )
    return whole


def run(h: Heard) -> dict[str, Any]:
    """What was run on what, for whoever wants the same again; reading draws no random numbers: no seed."""
    files = [{"name": name, "sha256": sha256} for name, sha256 in h.hashes.items()]
    return told.run(h.case, None, files=files)


def _recording(h: Heard) -> dict[str, Any]:
    ride = h.recording.ride
    return {
        "name": ride.name,
        "rate_hz": ride.rate,
        "start_s": ride.start,
        "began": h.recording.began.at() if h.recording.began else None,
        "duration_s": ride.duration,
        "channels": [{"name": one.name, "unit": one.unit} for one in ride.channels],
        "labels": dict(ride.labels),
        "stretches": h.stretches,
        "done": list(h.recording.done),
        "circumference_given_m": h.asked.circumference,
        "axle_ratio_given": h.asked.axle_ratio,
        "gear_ratio_given": h.asked.gear_ratio,
        "shaft": None if h.shaft is None else _shaft(h),
    }


def _shaft(h: Heard) -> dict[str, Any]:
    assert h.shaft is not None
    shaft = h.shaft
    return {"teeth": shaft.teeth, "missing": shaft.missing, "resolution": shaft.resolution}


def health_note(note: HealthNote) -> dict[str, Any]:
    """One thing wrong with one channel."""
    return {
        "channel": note.channel,
        "kind": note.kind.replace(" ", "_"),
        "start_s": note.start,
        "end_s": note.end,
        "found": note.found,
        "done": note.done,
    }


def finding(one: Finding) -> dict[str, Any]:
    """One shake; the intervals are of 95 %."""
    points = {
        name: {
            "level_m_s2": point.level, "phase_rad": point.phase, "phase_error_rad": point.error,
            "coherence": point.followed,
        }
        for name, point in one.points.items()
    }  # fmt: skip
    return {
        "kind": one.kind,
        "met_by": one.met_by,
        "cause": one.cause,
        "where": one.where,
        "order": one.order,
        "frequency_hz": one.frequency_hz,
        "damping_ratio": one.damping_ratio,
        "interval": one.interval,
        "damping_interval": one.damping_interval,
        "speed_band_m_s": one.speed_band_m_s,
        "level_m_s2": one.level_m_s2,
        "share": one.share,
        "points": points,
        "input_over_healthy": one.input_over_healthy,
        "amplified_by": one.amplified_by,
        "driveline": one.driveline,
        "confidence": one.confidence,
        "numbers": dict(one.numbers),
    }


def estimate(one: Estimate) -> dict[str, Any]:
    """A number that the recording tells, with its interval of 95 %."""
    return {"value": one.value, "low": one.low, "high": one.high, "unit": one.unit or None, "how": one.how}
