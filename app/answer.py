"""An assessment as JSON: SI in the key names, levels r.m.s., null where a thing is absent."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..sizing.absorber import Damper
from ..sizing.assess import Assessment
from ..sizing.study import Sized
from . import told
from .amplitude import amplitude
from .seen import seen
from .shares import noticed, shares


def answer(assessment: Assessment) -> dict[str, Any]:
    """All that was found, ready for JSON; numbers in the unit that ends their key [SI]."""
    a = assessment
    whole: dict[str, Any] = told.plain(
        {
            "run": run(a),
            "case": {"name": a.case.name, "note": a.case.note or None},
            "verdict": told.verdict(a.verdict),
            **seen(a),
            "model": _model(a),
            "modes": [told.mode(a.host.modes, i, interval(a, i)) for i in range(len(a.host.modes.names))],
            "critical_speeds": [told.critical_speed(c) for c in a.host.critical],
            "target": _target(a),
            "narrow_most": [{"path": p, "frequency_share_95": d} for p, d in doubts(a)],
            "effective_mass_kg": a.effective_masses(),
            "bounds": _bounds(a),
            "damper": _damper(a),
            "prediction": told.prediction(a.sized) if a.sized else None,
            "plausible": _plausible(a),
            "axle_loads_kg": {
                "before": dict(a.host.loads),
                "after": dict(a.sized.loads) if a.sized else None,
            },
            "split": shares(a),
            "amplitude": amplitude(a),
            "noticed": noticed(a),
            "ratings": [told.rating(check) for check in a.checks],
            "beside": [{"model": b.model, "outcome": b.outcome, "reduction": b.reduction} for b in a.beside],
            "cautions": list(a.cautions),
            "numbers": told.numbers(a.ledger),
        }
    )
    return whole


def to_json(assessment: Assessment, more: Mapping[str, Any] | None = None) -> str:
    """The answer as text, the same bytes for the same case.

    more  that belongs to it, after all else
    """
    whole = {**answer(assessment), **(more or {})}
    return json.dumps(whole, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def run(a: Assessment) -> dict[str, Any]:
    """What was run on what, for whoever wants the same again."""
    return told.run(a.case, a.seed)


def _plausible(a: Assessment) -> dict[str, Any] | None:
    mode = a.host.target.critical.mode if a.host.target else 0
    return told.surveyed(a.survey, mode, a.case.limits.worth)


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
        **told.damper(hung),
        "mass_ratio": mass_ratio(a, hung),
        "stroke_m": a.sized.found.stroke,
        "static_sag_m": hung.static_sag,
        "closed_form": told.closed_form(a.sized.closed_form),
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
