"""The vehicle at the amplitude found, as JSON."""

from __future__ import annotations

from typing import Any

from ..model.forces import Leaf
from ..sizing.assess import Assessment
from ..sizing.at_amplitude import AtAmplitude
from ..sizing.freed_leaf import Freed
from ..sizing.leaf_first import leaf_first
from . import told


def amplitude(a: Assessment) -> dict[str, Any] | None:
    """What the laws do in the band at the amplitude found there, SI; null where there is none."""
    found = a.amplitude
    if found is None:
        return None
    return {
        "assumed": found.assumed,
        "band_m_s": found.band,
        "speed_m_s": found.speed,
        "level_m_s2": found.level,
        "stretch_error": found.settled.error.max(),
        "with_damper_m_s2": found.damped,
        "reduction": found.reduction,
        "laws": [_law(found, i) for i in range(len(found.laws))],
        "critical_speed": found.critical and told.critical_speed(found.critical),
        "modes": _modes(found),
        "stretch_m": found.along.amplitude,
        "freed": found.freed and _freed(a, found.freed),
    }


def _law(found: AtAmplitude, i: int) -> dict[str, Any]:
    law, (k, c) = found.laws[i], found.worth(i)
    leaf = law.force if isinstance(law.force, Leaf) else None
    return {
        "name": law.name,
        "stretch_m": found.stretch[i],
        "stretch_from_large_m": found.other and found.other.stretch[found.worst, i],
        "stiffness_n_m": k,
        "damping_n_s_m": c,
        "lock": found.locked(i),
        "small_shake_rate_n_m": leaf and leaf.small_shake_rate,
        "static_rate_n_m": leaf and leaf.rate,
        "friction_n": leaf and leaf.friction,
        "travel_m": leaf and leaf.travel,
    }


def _modes(found: AtAmplitude) -> list[dict[str, Any]]:
    """Each mode that was followed: along the stretches of `stretch_m`, and at the amplitude found."""
    along, there = found.along, found.there
    return [
        {
            "name": name,
            "mode_index": mode,
            "frequency_hz": along.frequency_hz[:, m],
            "damping_ratio": along.damping_ratio[:, m],
            "found_frequency_hz": there.frequency_hz[-1, m],
            "found_damping_ratio": there.damping_ratio[-1, m],
        }
        for m, (name, mode) in enumerate(zip(along.names, along.modes, strict=True))
    ]


def _freed(a: Assessment, freed: Freed) -> dict[str, Any]:
    return {
        "laws": freed.leaves,
        "level_m_s2": freed.level,
        "static_level_m_s2": freed.static,
        "reduction": freed.reduction,
        "cures": freed.cures,
        "sentence": leaf_first(a.host, a.verdict, a.amplitude) or None,
    }
