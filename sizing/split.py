"""How much of the complaint is input and how much is vehicle, with and without the damper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..model.response import Dynamics, dynamics, sweep
from ..model.road import Input, inputs
from .absorber import Damper, with_damper
from .study import BAND_POINTS, Host


@dataclass(frozen=True)
class Share:
    """The largest typical level in the band [m/s^2] r.m.s., without and with the damper (None: no damper).

    wheels  "as they are", "healthy" (what is given as faulty replaced by an ordinary part) or "perfect"
        (no wheel input)
    """

    wheels: str
    before: float
    after: float | None


def split(one: Host, hung: Damper | None) -> tuple[Share, ...]:
    """The complaint taken apart: wheels as they are, healthy and perfect, each without and with the damper.

    Healthy wheels stand only where the case gives a fault.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> [(share.wheels, round(share.before, 2)) for share in split(host(small_case()), None)]
    [('as they are', 1.06), ('perfect', 0.0)]
    """
    assert one.target is not None
    healthy = inputs(replace(one.case.roads, wheel_faults=()), one.vehicle, one.case.speeds[0])
    wheels: list[tuple[str, Sequence[Input]]] = [("as they are", one.causes)]
    if one.case.roads.wheel_faults:
        wheels.append(("healthy", healthy))
    wheels.append(("perfect", [c for c in one.causes if c.kind != "wheel"]))
    damped = dynamics(with_damper(one.vehicle, hung)) if hung else None
    return tuple(
        Share(name, _level(one, one.ready, causes), _level(one, damped, causes) if damped else None)
        for name, causes in wheels
    )


def _level(one: Host, ready: Dynamics, causes: Sequence[Input]) -> float:
    assert one.target is not None
    speeds = np.linspace(*one.target.band, BAND_POINTS)
    return float(sweep(ready, causes, speeds, one.vehicle.judged).total().max(initial=0.0))
