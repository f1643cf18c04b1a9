"""The complaint taken apart, as JSON."""

from __future__ import annotations

from typing import Any

from ..sizing.assess import Assessment


def shares(a: Assessment) -> list[dict[str, Any]]:
    """Input or vehicle: levels in the band [m/s^2 r.m.s.], without and with the damper."""
    return [{"wheels": s.wheels, "before_m_s2": s.before, "after_m_s2": s.after} for s in a.split]
