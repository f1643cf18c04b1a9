"""An assessment as JSON: SI in the key names, levels r.m.s., null where a thing is absent."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from importlib.metadata import version
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..model.numbers import Known
from ..model.points import Point
from ..model.speeds import CriticalSpeed
from ..sizing.absorber import Damper
from ..sizing.assess import Assessment
from ..sizing.closed_form import Optimum
from ..sizing.ratings import RatingCheck
from ..sizing.study import Sized
from .ledger import entries
from .seen import seen
from .shares import shares

DIGITS = 9  # enough for anyone, and short of what differs between two machines' last bits


def answer(assessment: Assessment) -> dict[str, Any]:
    """All that was found, ready for JSON; numbers in the unit that ends their key [SI]."""
    a = assessment
    told: dict[str, Any] = plain(
        {
            "run": run(a),
            "case": {"name": a.case.name, "note": a.case.note or None},
            "verdict": {
                "outcome": a.verdict.outcome.value,
                "sentence": a.verdict.sentence,
                "next_step": a.verdict.next_step,
            },
            **seen(a),
            "model": _model(a),
            "modes": [_mode(a, i) for i in range(len(a.host.modes.names))],
            "critical_speeds": [_critical(c) for c in a.host.critical],
            "target": _target(a),
            "narrow_most": [{"path": p, "frequency_share_95": d} for p, d in doubts(a)],
            "effective_mass_kg": a.effective_masses(),
            "bounds": _bounds(a),
            "damper": _damper(a),
            "prediction": _prediction(a.sized) if a.sized else None,
            "axle_loads_kg": {
                "before": dict(a.host.loads),
                "after": dict(a.sized.loads) if a.sized else None,
            },
            "split": shares(a),
            "ratings": [_rating(check) for check in a.checks],
            "beside": [{"model": b.model, "outcome": b.outcome, "reduction": b.reduction} for b in a.beside],
            "cautions": list(a.cautions),
            "numbers": _numbers(a.ledger),
        }
    )
    return told


def to_json(assessment: Assessment) -> str:
    """The answer as text, the same bytes for the same case."""
    return json.dumps(answer(assessment), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


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


def run(a: Assessment) -> dict[str, Any]:
    """What was run on what, for whoever wants the same again."""
    return {
        "version": version("counterbounce"),
        "case_file": a.case.path.name,
        "case_sha256": a.case.sha256,
        "seed": a.seed,
    }


def doubts(a: Assessment) -> list[tuple[str, float]]:
    """The numbers whose spread moves the target's frequency most: path, half a 95 % width as a share [-]."""
    if a.host.target is None:
        return []
    mode = a.host.target.critical.mode
    widths = [(path, float(np.expm1(abs(width[mode])))) for path, width in a.host.doubt.items()]
    return sorted((w for w in widths if w[1] > 1e-3), key=lambda w: -w[1])[:5]


def interval(a: Assessment, mode: int) -> tuple[float, float]:
    """Where a mode's frequency lies, 95 % [Hz]."""
    middle, factor = float(a.host.modes.frequency_hz[mode]), math.exp(float(a.host.spread[mode]))
    return middle / factor, middle * factor


def mass_ratio(a: Assessment, hung: Damper) -> float:
    """The damper's mass over the effective mass of the target's mode at its place [-]; 0 on a node."""
    assert a.host.target is not None
    return float(hung.mass / effective_mass(a, hung)[a.host.target.critical.mode])


def effective_mass(a: Assessment, hung: Damper) -> NDArray[np.float64]:
    """Effective modal mass at a damper's place [kg], (modes,)."""
    return a.host.modes.effective_mass(a.host.vehicle.point(hung.place).row)


def _model(a: Assessment) -> dict[str, Any]:
    vehicle = a.host.vehicle
    return {
        "kind": vehicle.kind,
        "terms": vehicle.frame.terms,
        "coordinates": list(vehicle.coordinates),
        "mass_kg": vehicle.total_mass,
        "speeds_m_s": list(a.case.speeds),
    }


def _mode(a: Assessment, i: int) -> dict[str, Any]:
    m = a.host.modes
    return {
        "name": m.names[i],
        "frequency_hz": m.frequency_hz[i],
        "undamped_hz": m.undamped[i] / (2 * np.pi),
        "damping_ratio": m.damping_ratio[i],
        "frequency_interval_hz": interval(a, i),
        "energy": {part: share[i] for part, share in m.energy.items()},
        "dissipation": {part: share[i] for part, share in m.dissipation.items()},
        "shares": {component: share[i] for component, share in m.shares.items()},
    }


def _critical(c: CriticalSpeed) -> dict[str, Any]:
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
        **_felt(c.point),
        "typical_m_s2": c.typical,
        "worst_m_s2": c.worst,
        "beat_period_s": c.beat_period,
        "overlap": c.overlap,
        "assumed_input": c.cause.assumed,
    }


def _felt(point: Point | None) -> dict[str, Any]:
    if point is None:
        return {"point": None, "direction": None, "weighting": None}
    return {"point": point.name, "direction": point.direction, "weighting": point.weighting}


def _target(a: Assessment) -> dict[str, Any] | None:
    aim = a.host.target
    if aim is None:
        return None
    return {
        "critical_speed": next(i for i, c in enumerate(a.host.critical) if c is aim.critical),
        "cause": aim.critical.cause.name,
        "mode": aim.critical.mode_name,
        "mode_index": aim.critical.mode,
        "band_m_s": aim.band,
        "range_m_s": aim.range,
        "certain": aim.certain,
    }


def _bounds(a: Assessment) -> dict[str, Any]:
    b, given = a.bounds, a.case.limits
    return {
        "mass_kg": b.mass,
        "mass_assumed": given.mass is None,
        "stroke_m": b.stroke,
        "stroke_assumed": b.stroke is not None and given.stroke is None,
        "clearance_m": b.clearance,
        "worth": given.worth,
        "places": list(a.host.places),
    }


def _damper(a: Assessment) -> dict[str, Any] | None:
    if a.sized is None:
        return None
    hung = a.sized.found.damper
    return {
        "place": hung.place,
        "station_m": a.host.vehicle.point(hung.place).station,
        "mass_kg": hung.mass,
        "tuned_hz": hung.tuned_hz,
        "damping_ratio": hung.damping_ratio,
        "stiffness_n_m": hung.stiffness,
        "damping_n_s_m": hung.damping,
        "mass_ratio": mass_ratio(a, hung),
        "stroke_m": a.sized.found.stroke,
        "static_sag_m": hung.static_sag,
        "closed_form": _closed_form(a.sized.closed_form),
        "limits_used": limits_used(a, a.sized),
        "limits_broken": list(a.sized.found.broken),
        "coupled_against_assembled": a.sized.agreement,
    }


def limits_used(a: Assessment, sized: Sized) -> dict[str, float | None]:
    """How much of each limit the damper uses [-]; None where there is no such limit."""
    hung, bounds = sized.found.damper, a.bounds
    room = sized.found.stroke + hung.static_sag
    return {
        "mass": hung.mass / bounds.mass if bounds.mass else None,
        "stroke": sized.found.stroke / bounds.stroke if bounds.stroke else None,
        "clearance": room / bounds.clearance if bounds.clearance else None,
        "elsewhere": sized.found.elsewhere,
    }


def _closed_form(found: Optimum | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "source": found.source,
        "mass_ratio": found.mass_ratio,
        "tuning": found.tuning,
        "damping_ratio": found.damping_ratio,
        "peak": found.peak,
    }


def _prediction(sized: Sized) -> dict[str, Any]:
    c = sized.comparison
    other = c.elsewhere
    return {
        **_felt(c.point),
        "band_m_s": c.band,
        "before_m_s2": c.largest(c.before),
        "after_m_s2": c.largest(c.after),
        "ballast_m_s2": c.largest(c.ballast),
        "reduction": c.reduction,
        "ballast_reduction": c.ballast_reduction,
        "worst_elsewhere": other
        and {
            "ratio": other.ratio,
            "speed_m_s": other.speed,
            "point": other.point,
            "before_m_s2": other.before,
            "after_m_s2": other.after,
            "allowed": other.allowed,
        },
    }


def _rating(check: RatingCheck) -> dict[str, Any]:
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


def _numbers(ledger: Mapping[str, Known]) -> list[dict[str, Any]]:
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
