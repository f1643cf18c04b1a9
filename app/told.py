"""One thing at a time as JSON: a mode, a critical speed, a damper, a prediction; SI in the key names."""

from __future__ import annotations

import math
from collections.abc import Mapping
from importlib.metadata import version
from typing import Any

import numpy as np

from ..model.case import Case
from ..model.modes import Modes
from ..model.numbers import Known
from ..model.points import Point
from ..model.speeds import CriticalSpeed
from ..sizing.absorber import Damper
from ..sizing.before_after import Comparison
from ..sizing.closed_form import Optimum
from ..sizing.ratings import RatingCheck
from ..sizing.study import Sized
from ..sizing.sureness import helped
from ..sizing.survey import SHARE, Survey
from ..sizing.verdict import Verdict
from .ledger import entries

DIGITS = 9  # enough for anyone, and short of what differs between two machines' last bits


def plain(value: Any) -> Any:
    """Python's own types only; what is not finite becomes null, and floats keep nine digits.

    >>> plain({"a": np.float64(1 / 3), "b": [np.inf, None, np.bool_(True)], "c": np.array([1.5, np.nan])})
    {'a': 0.333333333, 'b': [None, None, True], 'c': [1.5, None]}
    """
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple | np.ndarray):
        return [plain(item) for item in value]
    if isinstance(value, bool | np.bool_):
        return bool(value)
    if isinstance(value, int | np.integer):
        return int(value)
    if isinstance(value, float | np.floating):
        return float(f"{float(value):.{DIGITS}g}") if math.isfinite(value) else None
    return value


def run(case: Case | None, seed: int | None, **read: Any) -> dict[str, Any]:
    """What was run on what, for whoever wants the same again.

    seed  of the random numbers; None: none were drawn
    read  what else was read, by the key that it gets

    >>> run(None, None, file="ride.csv")["file"]
    'ride.csv'
    """
    return {
        "version": version("counterbounce"),
        **read,
        "case_file": case.path.name if case else None,
        "case_sha256": case.sha256 if case else None,
        "seed": seed,
    }


def mode(m: Modes, i: int, interval: tuple[float, float]) -> dict[str, Any]:
    """One mode by its index.

    interval  [Hz] where its frequency lies, 95 %
    """
    return {
        "name": m.names[i],
        "frequency_hz": m.frequency_hz[i],
        "undamped_hz": m.undamped[i] / (2 * np.pi),
        "damping_ratio": m.damping_ratio[i],
        "frequency_interval_hz": interval,
        "energy": {part: share[i] for part, share in m.energy.items()},
        "dissipation": {part: share[i] for part, share in m.dissipation.items()},
        "shares": {component: share[i] for component, share in m.shares.items()},
    }


def critical_speed(c: CriticalSpeed) -> dict[str, Any]:
    """One input meeting one mode."""
    return {
        "cause": c.cause.name,
        "kind": c.cause.kind,
        "order": c.cause.order,
        "axle": c.cause.axle,
        "mode": c.mode_name,
        "mode_index": c.mode,
        "frequency_hz": c.frequency,
        "coincidence_speed_m_s": c.coincidence,
        "peak_speed_m_s": c.peak,
        "speed_band_m_s": c.band,
        **felt(c.point),
        "typical_m_s2": c.typical,
        "worst_m_s2": c.worst,
        "beat_period_s": c.beat_period,
        "overlap": c.overlap,
        "assumed_input": c.cause.assumed,
    }


def felt(point: Point | None) -> dict[str, Any]:
    """Where a level is felt, and how it is weighted; null where it is not known."""
    if point is None:
        return {"point": None, "direction": None, "weighting": None}
    return {"point": point.name, "direction": point.direction, "weighting": point.weighting}


def damper(hung: Damper) -> dict[str, Any]:
    """What a damper is, wherever it hangs."""
    return {
        "mass_kg": hung.mass,
        "tuned_hz": hung.tuned_hz,
        "damping_ratio": hung.damping_ratio,
        "stiffness_n_m": hung.stiffness,
        "damping_n_s_m": hung.damping,
    }


def closed_form(found: Optimum | None) -> dict[str, Any] | None:
    """Where a textbook would start."""
    if found is None:
        return None
    return {
        "source": found.source,
        "mass_ratio": found.mass_ratio,
        "tuning": found.tuning,
        "damping_ratio": found.damping_ratio,
        "peak": found.peak,
    }


def prediction(sized: Sized) -> dict[str, Any]:
    """What a damper is expected to do, beside ballast."""
    c = sized.comparison
    return {
        **felt(c.point),
        "band_m_s": c.band,
        "before_m_s2": c.largest(c.before),
        "after_m_s2": c.largest(c.after),
        "ballast_m_s2": c.largest(c.ballast),
        "reduction": c.reduction,
        "ballast_reduction": c.ballast_reduction,
        "worst_elsewhere": worst_elsewhere(c),
    }


def worst_elsewhere(c: Comparison) -> dict[str, Any] | None:
    """Where the level rises most outside the band; None where the band is the whole range."""
    other = c.elsewhere
    if other is None:
        return None
    return {
        "ratio": other.ratio,
        "speed_m_s": other.speed,
        "point": other.point,
        "before_m_s2": other.before,
        "after_m_s2": other.after,
        "allowed": other.allowed,
    }


def verdict(v: Verdict | None) -> dict[str, Any] | None:
    """An outcome with its sentence and the next thing to do; None where there is none."""
    if v is None:
        return None
    return {"outcome": v.outcome.value, "sentence": v.sentence, "next_step": v.next_step}


def rating(check: RatingCheck) -> dict[str, Any]:
    """A limit, and what stands against it."""
    return {
        "name": check.name,
        "limit": check.limit,
        "before": check.before,
        "after": check.after,
        "unit": check.unit,
        "at_least": check.floor,
        "met": check.met,
        "met_before": check.met_before,
    }


def numbers(ledger: Mapping[str, Known]) -> list[dict[str, Any]]:
    """Every number that was used, SI, with its spread, origin and source."""
    return [
        {
            "path": e.path,
            "value": e.value,
            "unit": e.unit,
            "half_width_95": e.half,
            "origin": e.origin,
            "source": e.source,
        }
        for e in entries(ledger)
    ]


def surveyed(s: Survey | None, mode: int, worth: float) -> dict[str, Any] | None:
    """What plausible vehicles do; intervals hold nine in ten of them, by weight.

    mode   index of the mode in question [-]
    worth  what a reduction must reach [-]
    """
    if s is None:
        return None
    share = helped(s, worth)
    shifts = {path: {"mean_scores": m, "spread_left": left} for path, (m, left) in s.shifts().items()}
    return {
        "vehicles": len(s.speed),
        "vehicles_effective": s.effective,
        "agreement": s.agreement.mean(),
        "refused": s.refused,
        "interval_share": SHARE,
        "frequency_interval_hz": s.interval(s.frequency[:, mode]),
        "speed_interval_m_s": s.interval(s.speed),
        "before_interval_m_s2": s.interval(s.before),
        "reduction_interval": s.interval(s.reduction),
        "retuned_reduction_interval": s.interval(s.retuned_reduction),
        "ballast_reduction_interval": s.interval(s.ballast_reduction),
        "share_helped": s.share(s.reduction >= worth),
        "share_helped_retuned": share,
        "share_error": s.error(share),
        "decides": [{"path": p, "share": x} for p, x in s.decides(s.retuned_reduction).items() if x > 0.02],
        "numbers_shifted": {p: x for p, x in shifts.items() if abs(x["mean_scores"]) > 0.3},
    }
