"""The plausible vehicles at one place, each with a damper built within its tolerances."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..model.case import Case
from ..model.numbers import Numbers
from ..model.plausible import scored
from ..model.road import inputs
from .absorber import GRAVITY
from .limits import Bounds, left_anywhere
from .many_hosts import Hosts, many_hosts
from .panel import Panel, panel
from .ratings import heaviest, load_change
from .study import BAND_POINTS, REST_POINTS, Host, Progress, loud, quiet
from .survey import survey
from .tolerances import Built, Tolerances, built, sliding

Floats = NDArray[np.float64]

TURNS = 3  # in which friction and stroke settle


@dataclass(frozen=True)
class Crowd:
    """V plausible vehicles at one place, each with its own deviation of the damper that hangs there.

    place     name of the point
    band      the vehicles over the band in which each is judged
    rest      the vehicles over the range of the case
    outside   which of the range's speeds lie outside the band, (V, R)
    built     what each vehicle's damper is off by
    weight    how much each vehicle counts [-], (V,)
    rooms     [kg] that ratings allow on each vehicle, (V,)
    """

    place: str
    band: Hosts
    rest: Hosts
    outside: NDArray[np.bool_]
    built: Built
    weight: Floats
    rooms: Floats
    bounds: Bounds

    @cached_property
    def before(self) -> Floats:
        """Largest level in the band without a damper [m/s^2] r.m.s., (V,)."""
        return np.asarray(self.band.before().max(axis=(-2, -1)))

    @cached_property
    def still(self) -> Floats:
        """Levels over the range without a damper [m/s^2] r.m.s., (V, R, P)."""
        return self.rest.before()

    def in_band(self, m: Floats, k: Floats, c: Floats) -> Floats:
        """Largest level in the band with each of D dampers [m/s^2] r.m.s., (V, D); friction is left out.

        m [kg], k [N/m], c [N s/m]: as they are sized, (D,)
        """
        b = self.built
        return self.band.largest(b.mass[:, None] * m, b.stiffness[:, None] * k, b.damping[:, None] * c)

    def with_damper(self, m: float, k: float, c: float) -> tuple[Floats, Floats, Floats]:
        """(largest level left [m/s^2] r.m.s., stroke [m], stroke and sag together [m]) of each vehicle, (V,).

        m [kg], k [N/m], c [N s/m]: as it is sized
        """
        own = self._as_built(m, k, c)
        (band, moved), (rest, far) = self.band.with_damper(*own), self.rest.with_damper(*own)
        left = band.max(axis=(-2, -1))
        if self.bounds.elsewhere:
            left = left_anywhere(left, np.where(self.outside[..., None], rest, 0.0), self.still)
        stroke = np.maximum(moved.max(axis=-1), far.max(axis=-1))
        return left, stroke, stroke + own[0] * GRAVITY / own[1]

    def _as_built(self, m: float, k: float, c: float) -> tuple[Floats, Floats, Floats]:
        b = self.built
        mass, stiffness, damping = m * b.mass, k * b.stiffness, c * b.damping
        if not b.friction:
            return mass, stiffness, damping
        omega, more = np.sqrt(stiffness / mass), (np.zeros_like(mass), np.zeros_like(mass))
        for _ in range(TURNS):
            _, moved = self.band.with_damper(mass, stiffness + more[0], damping + more[1])
            more = sliding(b.friction, stiffness, moved.max(axis=-1), omega)
        return mass, stiffness + more[0], damping + more[1]


def crowds(
    one: Host,
    bounds: Bounds,
    places: Sequence[str],
    tolerances: Tolerances,
    vehicles: int,
    seed: int = 0,
    progress: Progress = quiet,
) -> dict[str, Crowd]:
    """The plausible vehicles of a host at each of several places: the same vehicles, and the same deviations.

    vehicles  how many are drawn at first [-]; those that hardly agree with the complaint are left out
    seed      of the draw [-]

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> found = crowds(host(small_case()), Bounds(20.0), ["rear end"], Tolerances(), 64)
    >>> left, stroke, _ = found["rear end"].with_damper(20.0, 7e3, 90.0)
    >>> left.shape == stroke.shape == found["rear end"].before.shape
    True
    """
    asked = panel(one, survey(one, None, seed, progress, vehicles))
    many = scored(
        one.case.plan, asked.numbers, asked.asked.paths, asked.asked.scores, one.vehicle.frame.terms
    )
    heard = {cause.name for cause in loud(one)}
    slowest, count = one.case.speeds[0], len(many)
    causes = [
        [c for c in inputs(one.case.roads, many.outline(i), slowest) if c.name in heard] for i in range(count)
    ]
    inside = np.linspace(asked.bands[:, 0], asked.bands[:, 1], BAND_POINTS, axis=-1)
    over = np.tile(np.linspace(*one.case.speeds, REST_POINTS), (count, 1))
    outside = (over < asked.bands[:, :1]) | (over > asked.bands[:, 1:])
    off = built(tolerances, count, seed + 1)
    points = [point.name for point in one.vehicle.judged]
    found = {}
    for name in places:
        band, rest = (many_hosts(many, causes, v, points, name, off.bracket) for v in (inside, over))
        rooms = _rooms(one, asked, name, bounds)
        found[name] = Crowd(name, band, rest, outside, off, asked.asked.weight, rooms, bounds)
    return found


def _rooms(one: Host, asked: Panel, place: str, bounds: Bounds) -> Floats:
    """What ratings allow at a place of each vehicle [kg], (V,)."""
    count = len(asked.asked.scores)
    if not bounds.ratings:
        return np.full(count, np.inf)
    shares = load_change(one.ready.system, one.vehicle.points[place].row, 1.0)
    more = {name: _off(one.case, asked.numbers, f"axle.{name}.load", count) for name in one.loads}
    return np.array(
        [
            heaviest(
                one.case, {n: load + more[n][i] for n, load in one.loads.items()}, shares, bounds.mass, place
            )
            for i in range(count)
        ]
    )


def _off(case: Case, numbers: Numbers, path: str, count: int) -> Floats:
    """What a weighed load of each vehicle is off the best estimate [kg], (V,); 0 where it was not weighed."""
    if path not in case.numbers.given:
        return np.zeros(count)
    return np.broadcast_to(numbers[path] - case.numbers[path], (count,))
