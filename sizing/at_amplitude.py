"""The vehicle in the complaint's band, once the amplitude assumed is the amplitude found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..model.amplitude import DOWNWARDS, UPWARDS, Settled, apart
from ..model.amplitude_modes import ModesAlong, modes_along, settled_critical
from ..model.laws import Law, laws
from ..model.plan import AxlePlan
from ..model.speeds import CriticalSpeed
from .absorber import Damper
from .freed_leaf import Freed, freed_leaf, levels_in, lock
from .study import Host

Floats = NDArray[np.float64]

SHOWN = np.array([0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 1, 1.5, 2, 3, 4, 5, 7, 10, 14, 20]) * 1e-3  # [m]


@dataclass(frozen=True)
class AtAmplitude:
    """What a vehicle with laws does in the band, once the amplitude assumed is the amplitude found.

    assumed   whether what holds the leaves (their friction, their rate under load) is assumed, not known
    band      [m/s] where it was looked at
    settled   along the band, from small input upwards
    other     the same from large input downwards, where that leads to another motion; else None
    worst     index of the band's speed where the level is largest
    along     natural frequencies and damping along amplitude, every law stretched as far
    there     the same with the stretches found
    damped    [m/s^2] r.m.s., the largest level in the band with the damper on; None where none was sized
    critical  the target's critical speed at the amplitude found there; None: no target, or out of the speeds
    freed     what freeing the leaves that friction holds does; None where it holds none
    """

    laws: tuple[Law, ...]
    assumed: bool
    band: tuple[float, float]
    settled: Settled
    other: Settled | None
    worst: int
    along: ModesAlong
    there: ModesAlong
    damped: float | None
    critical: CriticalSpeed | None
    freed: Freed | None

    @property
    def speed(self) -> float:
        """Where in the band the level is largest [m/s]."""
        return float(self.settled.speeds[self.worst])

    @property
    def level(self) -> float:
        """The largest level in the band [m/s^2] r.m.s."""
        return float(self.settled.levels[self.worst].max(initial=0.0))

    @property
    def reduction(self) -> float | None:
        """Share by which the damper lowers the largest level there [-]; None where none was sized."""
        return None if self.damped is None or not self.level else 1 - self.damped / self.level

    @property
    def stretch(self) -> Floats:
        """Amplitude of each law's stretch there [m], (laws,)."""
        return np.asarray(self.settled.stretch[self.worst])

    def worth(self, i: int) -> tuple[float, float]:
        """What a law is worth there: (k [N/m], c [N s/m])."""
        return self.laws[i].force.equivalent(float(self.stretch[i]), float(self.settled.omega[self.worst, i]))

    def locked(self, i: int) -> float | None:
        """How much of what friction adds to a leaf's rate is left there [-]; None: the law is no leaf."""
        return lock(self.laws[i], float(self.stretch[i]))


def at_its_amplitude(one: Host, hung: Damper | None = None) -> AtAmplitude | None:
    """A host with the laws of its case, or with leaf friction by the usual rule; None where nothing is asked
    and no leaf is there, or nothing of known strength shakes it.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> at_its_amplitude(host(small_case())) is None     # nobody said that its springs are leaves
    True
    """
    held = laws(one.case.plan, one.case.numbers, one.vehicle) or _usual(one)
    if not held or all(cause.height is None for cause in one.causes):
        return None
    band = _band(one)
    up, down = (levels_in(one, held, band, shares) for shares in (UPWARDS, DOWNWARDS))
    worst = int(np.argmax(up.levels.max(axis=1, initial=0.0)))
    along = modes_along(one.vehicle, held, SHOWN, known=one.modes)
    there = modes_along(one.vehicle, held, up.stretch[[worst]], known=one.modes)
    other = down if apart(up, down) else None
    critical, freed = _moved(one, held), freed_leaf(one, held, up, worst, band)
    damped = float(levels_in(one, held, band, UPWARDS, hung).levels.max(initial=0.0)) if hung else None
    return AtAmplitude(held, _assumed(one), band, up, other, worst, along, there, damped, critical, freed)


def _usual(one: Host) -> tuple[Law, ...]:
    """Leaf friction by the usual rule, on leaves that are stiffer for small shakes than under load."""
    plan, numbers = one.case.plan, one.case.numbers

    def held(axle: AxlePlan) -> bool:
        path = f"axle.{axle.name}"
        leaf = axle.springing == "leaf"
        return leaf and bool(numbers[f"{path}.spring_rate"] > numbers[f"{path}.static_spring_rate"])

    leaves = tuple(axle for axle in plan.axles if held(axle))
    return laws(replace(plan, laws=("leaf friction",), axles=leaves), numbers, one.vehicle)


def _assumed(one: Host) -> bool:
    """Whether friction or static rate of any leaf is assumed, by the case or by a rule."""
    paths = [
        f"axle.{axle.name}.{number}"
        for axle in one.case.plan.axles
        if axle.springing == "leaf"
        for number in ("friction", "static_spring_rate")
    ]
    given = one.case.numbers.given
    return any(path not in given or given[path].origin == "assumed" for path in paths)


def _band(one: Host) -> tuple[float, float]:
    complaint = one.case.complaint
    if one.target is not None:
        return one.target.band
    return complaint.speed if complaint and complaint.speed else one.case.speeds


def _moved(one: Host, held: Sequence[Law]) -> CriticalSpeed | None:
    if one.target is None:
        return None
    aim = one.target.critical
    return settled_critical(one.vehicle, held, aim, one.causes, one.vehicle.watched, one.case.speeds)
