"""Remedies of the suspension: freed leaves, stronger shocks.

Each function gives contests: of the proposals in one, the best is shown.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import reduce

import numpy as np

from ..model.forces import Leaf
from ..model.laws import Law
from .at_amplitude import AtAmplitude, at_its_amplitude
from .changes import Change, as_it_is, bushed_shocks, leaf_worth, scaled
from .freed_leaf import FREED, levels_in
from .proposal import Proposal
from .study import Host

Contest = list[Proposal]


def freed_leaves(one: Host) -> Iterator[Contest]:
    """Leaves with a third of their friction, where friction holds them at the amplitude found.

    Before and after are as worth as at that amplitude on the best estimate; other vehicles go in proportion.
    """
    found = at_its_amplitude(one)
    if found is None or found.freed is None:
        return
    freed, words = found.freed.leaves, ", which is assumed" if found.assumed else ""
    axles = " and ".join(name.removesuffix(" leaf friction") for name in freed)
    yield [
        Proposal(
            "leaves",
            f"{axles} leaves freed",
            _in_turn(_once_freed(one, found, freed)),
            _in_turn([_leaf(one, law, found.worth(i)) for i, law in enumerate(found.laws)]),
            detail=f"a third of their friction{words}",
            effort="a day: packs apart, cleaned and greased, or liners",
            minutes=480,
            caution="spring U-bolts are torqued anew, with the weight on the wheels",
        )
    ]


def _once_freed(one: Host, found: AtAmplitude, freed: tuple[str, ...]) -> list[Change]:
    """What every leaf is worth once some are freed, at the amplitude found then, where it is worst."""
    eased = [_eased(law) if law.name in freed else law for law in found.laws]
    then = levels_in(one, eased, found.band)
    worst = int(np.argmax(then.levels.max(axis=1, initial=0.0)))
    stretch, omega = then.stretch[worst].tolist(), then.omega[worst].tolist()
    worth = [law.force.equivalent(a, w) for law, a, w in zip(eased, stretch, omega, strict=True)]
    return [_leaf(one, law, each) for law, each in zip(eased, worth, strict=True)]


def _eased(law: Law) -> Law:
    assert isinstance(law.force, Leaf)
    return replace(law, force=replace(law.force, friction=FREED * law.force.friction))


def _leaf(one: Host, law: Law, worth: tuple[float, float]) -> Change:
    """A leaf as it is worth; any other law is left to the linear vehicle."""
    axle = law.name.removesuffix(" leaf friction")
    path = f"axle.{axle}.spring_rate"
    whole = float(one.case.numbers[path]) if isinstance(law.force, Leaf) else 1.0
    return leaf_worth(axle, worth[0] / whole, worth[1] / whole) if isinstance(law.force, Leaf) else as_it_is


def _in_turn(changes: list[Change]) -> Change:
    return lambda vehicle: reduce(lambda one, change: change(one), changes, vehicle)


def doubled_shocks(one: Host, bushes: bool = True) -> Iterator[Contest]:
    """Shocks twice as strong, axle by axle, behind bushes that stay as they are.

    bushes  without them nothing gives, which no shock on a vehicle does [-]

    A shock moves little in frame bending and its bush takes most of that: near 10 Hz doubling it does next
    to nothing, for all that a textbook's dashpot would.
    """
    assert one.target is not None
    omega, numbers = 2 * np.pi * one.target.critical.frequency, one.case.numbers
    for axle in one.case.plan.axles:
        path = f"axle.{axle.name}"
        if not float(numbers[f"{path}.damping"]):
            continue
        bush = float(numbers[f"{path}.bush_rate"] / numbers[f"{path}.damping"])
        soft, softer = (bushed_shocks(axle.name, times, bush, omega) for times in (1.0, 2.0))
        pair = (softer, soft) if bushes else (scaled("damper", f"{path}.damping", 2.0), as_it_is)
        words = "their bushes as they are" if bushes else "no bush giving"
        yield [
            Proposal(
                "shocks",
                f"{axle.name} shocks twice as strong",
                *pair,
                detail=words,
                effort="a morning, and parts",
                minutes=120,
            )
        ]
