"""The complaint taken apart, and who would notice it, as JSON."""

from __future__ import annotations

from typing import Any

from ..sizing.assess import Assessment
from ..sizing.noticed import Felt


def shares(a: Assessment) -> list[dict[str, Any]]:
    """Input or vehicle: levels in the band [m/s^2 r.m.s.], without and with the damper."""
    return [{"wheels": s.wheels, "before_m_s2": s.before, "after_m_s2": s.after} for s in a.split]


def noticed(a: Assessment) -> dict[str, Any]:
    """Where a person would notice the shake over the road, and what people would call it, in SI."""
    n = a.noticed
    return {
        "background_class": n.roughness.road_class,
        "background_density_m3": n.roughness.density,
        "assumed": n.assumed,
        "roughest_density_m3": n.roughest,
        "points": [{"point": p.name, "direction": p.direction, "weighting": p.weighting} for p in n.points],
        "weighting_assumed": not n.weighted,
        "band_m_s": n.band,
        "before_m_s": n.bands_before,
        "after_m_s": n.bands_after,
        "change_noticeable": n.change_noticeable,
        "levels_before": _levels(a, n.before),
        "levels_after": _levels(a, n.after) if n.after else None,
        "comfort_words_before": n.words(n.before) or None,
        "comfort_words_after": n.after and (n.words(n.after) or None),
    }


def _levels(a: Assessment, felt: Felt) -> dict[str, float]:
    """Largest levels in the band [m/s^2 r.m.s.], weighted."""
    levels = {"shake": felt.shake, "background": felt.background, "total": felt.total}
    return {f"{name}_m_s2": a.noticed.largest(level) for name, level in levels.items()}
