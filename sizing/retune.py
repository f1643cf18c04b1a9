"""A damper on the bench and on the vehicle: its ring-down, and what more weight or another spring does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, pi, sqrt

import numpy as np

from ..model.modes import modes
from .absorber import Damper, with_damper
from .closed_form import require
from .limits import Bounds
from .search import Found, judge
from .study import Host, place_of

COUNTED = 0.7  # damping ratio above which a cycle leaves less than 1/400 of the swing
OWN_SHARE = 0.2  # a mode of which the damper's mass has less of the motion is not the damper's


def logarithmic_decrement(damping_ratio: float) -> float:
    """How much the logarithm of the amplitude falls in one cycle of a free ring-down.

        delta = 2 pi z / sqrt(1 - z^2)

    damping_ratio  z [-], 0 <= z < 1
    returns        delta [-]

    Exact for one mass on a spring and a viscous dashpot.
    Source: S. S. Rao, Mechanical Vibrations, section on free vibration with viscous damping; from memory.

    >>> round(logarithmic_decrement(0.05), 6)
    0.314553
    """
    require("damping_ratio", damping_ratio, 0, 1, "left")
    return 2 * pi * damping_ratio / sqrt(1 - damping_ratio**2)


@dataclass(frozen=True)
class RingDown:
    """A damper alone on a stiff bench, pulled down and let go.

    frequency  [Hz] that is seen, a little below the undamped one
    decrement  [-] logarithmic, per cycle
    left       [-] share of the amplitude that a cycle leaves
    """

    frequency: float
    decrement: float
    left: float


def ring_down(hung: Damper) -> RingDown | None:
    """How a damper rings down on a stiff bench; None where it creeps back with no swing to count.

    >>> rings = ring_down(Damper("rear end", 20.0, 20.0 * (2 * pi * 7.0) ** 2, 100.0))
    >>> round(rings.frequency, 4), round(rings.left, 4)
    (6.9887, 0.6993)
    """
    z = hung.damping_ratio
    if z > COUNTED:
        return None
    decrement = logarithmic_decrement(z)
    return RingDown(hung.tuned_hz * sqrt(1 - z**2), decrement, exp(-decrement))


def stepped(hung: Damper, mass: float = 0.0, stiffness: float = 0.0) -> Damper:
    """The same damper with more mass or a stiffer spring; its dashpot stays.

    mass       more of it, as a share [-]
    stiffness  more of it, as a share [-]

    >>> hung = Damper("rear end", 20.0, 20.0 * (2 * pi * 7.0) ** 2, 100.0)
    >>> round(stepped(hung, mass=0.05).tuned_hz, 4), round(stepped(hung, stiffness=0.05).tuned_hz, 4)
    (6.8313, 7.1729)
    """
    return replace(hung, mass=hung.mass * (1 + mass), stiffness=hung.stiffness * (1 + stiffness))


def each(one: Host, bounds: Bounds, hung: Sequence[Damper]) -> tuple[Found, ...]:
    """What each of several dampers at one place does, and which limits it breaks."""
    judged = judge(place_of(one, one.vehicle.point(hung[0].place), bounds), bounds)
    return tuple(judged.found(d.mass, d.stiffness, d.damping) for d in hung)


def on_vehicle(one: Host, hung: Damper) -> tuple[tuple[float, float], ...]:
    """Frequency [Hz] and damping ratio [-] of the modes in which the damper's mass swings on the vehicle: the
    place gives, so they are not those of the bench."""
    found = modes(with_damper(one.vehicle, hung))
    share = found.shares["damper on its spring"]
    own = np.flatnonzero(share >= OWN_SHARE)
    return tuple((float(found.frequency_hz[i]), float(found.damping_ratio[i])) for i in own)
