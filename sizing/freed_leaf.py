"""Whether a freed leaf, not a damper, is the cure.

A leaf pack that stretches less than friction lets it is held by it: several times as stiff, and hardly
damped.  Freeing it comes before hanging a weight, where that alone lowers the shake enough.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..model.amplitude import Settled, settled_levels
from ..model.forces import Leaf
from ..model.laws import Law
from .absorber import Damper, with_damper
from .study import Host

BAND_SPEEDS = 17
AS_IT_IS = (1.0,)  # share of the input: for a comparison the way up is spared
FREED = 1 / 3  # of its friction, in a pack cleaned and greased, or with liners: common practice, no source


@dataclass(frozen=True)
class Freed:
    """What freeing some leaves does in the band.

    leaves     names of the laws that were freed
    level      [m/s^2] r.m.s., the largest in the band with a third of their friction
    static     [m/s^2] the same without any friction of theirs, the static rate alone
    reduction  [-] share by which a third of the friction lowers the level
    cures      whether that is worth the trouble, as the case has it
    """

    leaves: tuple[str, ...]
    level: float
    static: float
    reduction: float
    cures: bool


def lock(law: Law, amplitude: float) -> float | None:
    """How much of what friction adds to a leaf's rate is left at an amplitude [-]; None: it is no leaf.

    amplitude  of its stretch [m]

    >>> from ..model.points import Row
    >>> pack = Law("rear leaf friction", Row(), Leaf(2000.0, 0.005, 2e5))
    >>> [round(lock(pack, a), 2) for a in (0.0001, 0.005, 0.02)]
    [1.0, 0.73, 0.18]
    """
    if not isinstance(law.force, Leaf):
        return None
    rate = law.force.equivalent(amplitude, 1.0)[0]
    return (rate - law.force.rate) * law.force.travel / law.force.friction


def levels_in(
    one: Host,
    held: Sequence[Law],
    band: tuple[float, float],
    shares: Sequence[float] = AS_IT_IS,
    hung: Damper | None = None,
) -> Settled:
    """A host's levels in a band, its laws at the amplitude found there.

    band    [m/s]
    shares  [-] of the input, one after the other
    hung    a damper that hangs on it
    """
    vehicle, speeds = with_damper(one.vehicle, hung) if hung else one.vehicle, np.linspace(*band, BAND_SPEEDS)
    ready = None if hung else one.ready
    return settled_levels(vehicle, held, one.causes, speeds, vehicle.watched, ready, shares)


def freed_leaf(
    one: Host, held: Sequence[Law], up: Settled, worst: int, band: tuple[float, float]
) -> Freed | None:
    """The best of: each leaf that friction holds, freed alone; all of them, where none alone is enough.

    up     the levels in the band, from small input upwards
    worst  index of the speed in it where the leaves are looked at
    band   [m/s]
    """
    holds = [
        law.name
        for law, stretch in zip(held, up.stretch[worst], strict=True)
        if isinstance(law.force, Leaf) and stretch < law.force.travel
    ]
    if not holds or one.target is None:
        return None
    before = float(up.levels.max(initial=0.0))
    tried = [_with_freed(one, held, (name,), band, before) for name in holds]
    if len(holds) > 1 and not any(one.cures for one in tried):
        tried.append(_with_freed(one, held, tuple(holds), band, before))
    return max(tried, key=lambda freed: (freed.cures, freed.reduction))


def _with_freed(
    one: Host, held: Sequence[Law], names: tuple[str, ...], band: tuple[float, float], before: float
) -> Freed:
    def level(friction: float) -> float:
        changed = [_eased(law, friction) if law.name in names else law for law in held]
        return float(levels_in(one, changed, band).levels.max(initial=0.0))

    third, none = level(FREED), level(0.0)
    reduction = 1 - third / before if before else 0.0
    return Freed(names, third, none, reduction, reduction >= one.case.limits.worth)


def _eased(law: Law, share: float) -> Law:
    """A leaf with a share of its friction [-]: the rate that friction adds falls with it."""
    assert isinstance(law.force, Leaf)
    return replace(law, force=replace(law.force, friction=share * law.force.friction))
