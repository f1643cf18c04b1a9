"""Two tuned mass dampers: side by side, at two places, or one on the other, and what a vehicle feels of them.

With f the forces in both links, a = m w^2, l = k + i w c, n = a l, d = l - a, and Y = lift + H f where the
places go:

    on the vehicle, both           d_1 f_1 = n_1 Y_1,              d_2 f_2 = n_2 Y_2
    the second on the first        d_1 f_1 - l_1 f_2 = n_1 Y_1,    (l_2 (a_1 + a_2) - a_1 a_2) f_2 = n_2 f_1

H is the places' receptance, two by two; at one place all four are equal.  Each mass moves by f / l against
what it hangs on.  The form holds at the dampers' own resonances and where a mass is zero, unless it carries
the other; the host must carry damping.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..model.parts import damper, mass, spring
from ..model.points import Point, at
from ..model.response import Dynamics, felt_per_metre
from ..model.road import Input
from ..model.vehicle import Vehicle
from .absorber import GRAVITY, Damper

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True)
class Pair:
    """Two dampers on one vehicle; `stacked`: the second hangs on the first's mass, not on the vehicle.

    >>> from .absorber import tuned
    >>> one, other = tuned("rear end", 10.0, 7.0, 0.08), tuned("rear end", 5.0, 7.5, 0.1)
    >>> Pair(one, other).kind, Pair(one, other).mass, [round(1e3 * s, 1) for s in Pair(one, other, True).sags]
    ('side by side', 15.0, [7.6, 4.4])
    """

    first: Damper
    second: Damper
    stacked: bool = False

    @property
    def both(self) -> tuple[Damper, Damper]:
        """The two of them."""
        return self.first, self.second

    @property
    def kind(self) -> str:
        """How they hang, in words."""
        if self.stacked:
            return "one on the other"
        return "side by side" if self.first.place == self.second.place else "at two places"

    @property
    def mass(self) -> float:
        """Of both together [kg]."""
        return self.first.mass + self.second.mass

    @property
    def sags(self) -> tuple[float, float]:
        """How far each spring gives under what it carries [m]."""
        carried = self.second.mass * GRAVITY / self.first.stiffness if self.stacked else 0.0
        return self.first.static_sag + carried, self.second.static_sag


def with_pair(vehicle: Vehicle, pair: Pair) -> Vehicle:
    """The vehicle with both dampers as two more bodies: assembled, not coupled.

    >>> from ..model.example import small_truck
    >>> from .absorber import tuned
    >>> one, other = tuned("rear end", 10.0, 2.8, 0.08), tuned("rear end", 10.0, 3.1, 0.08)
    >>> with_pair(small_truck(), Pair(one, other)).coordinates[-2:]
    ('first damper', 'second damper')
    """
    under = vehicle.point(pair.first.place)
    vehicle = _hung(vehicle, "first damper", pair.first, under)
    under = vehicle.points["first damper"] if pair.stacked else vehicle.point(pair.second.place)
    return _hung(vehicle, "second damper", pair.second, under)


def _hung(vehicle: Vehicle, name: str, one: Damper, under: Point) -> Vehicle:
    own = at(name)
    parts = (
        mass(name, one.mass, own),
        spring(name, one.stiffness, own, under.row),
        damper(name, one.damping, own, under.row),
    )
    return replace(
        vehicle,
        coordinates=(*vehicle.coordinates, name),
        parts=(*vehicle.parts, *parts),
        components=(*vehicle.components, (f"{name} on its spring", own)),
        points={**vehicle.points, name: Point(name, under.station, own)},
    )


@dataclass(frozen=True)
class PairRoad:
    """A vehicle under road inputs along speed, as two places see it: N causes, V speeds, Q = N V, P points.

    omega    [rad/s] (Q,), causes first, then speeds
    rise     what the watched points do without dampers, typical [m/s^2] r.m.s., as felt, (Q, P)
    reach    the same per newton at each place [m/s^2 per N], (Q, P, 2)
    give     motion of each place per newton at each [m/N], (Q, 2, 2)
    lift     motion of each place without dampers, typical [m], (Q, 2)
    worst    the worst of a cause over its typical height [-], (Q,)
    speeds   [m/s] (V,)
    stacked  whether the second damper hangs on the first's mass
    """

    omega: Floats
    rise: Complexes
    reach: Complexes
    give: Complexes
    lift: Complexes
    worst: Floats
    speeds: Floats
    points: tuple[Point, ...]
    causes: tuple[Input, ...]
    stacked: bool = False

    def before(self) -> Floats:
        """Typical level without any damper [m/s^2] r.m.s., (V, P)."""
        return self._levels(self.rise)

    def after(self, m: ArrayLike, k: ArrayLike, c: ArrayLike) -> Floats:
        """Typical level with both dampers [m/s^2] r.m.s., candidates + (V, P).

        m [kg], k [N/m], c [N s/m]: of both, candidates + (2,)
        """
        return self._levels(self.rise + self.felt(self.forces(*self._links(m, k, c))))

    def stroke(self, m: ArrayLike, k: ArrayLike, c: ArrayLike) -> Floats:
        """How far each mass moves against what it hangs on when all causes add at their worst [m], amplitude,
        candidates + (V, 2).

        m [kg], k [N/m], c [N s/m]: of both, candidates + (2,)
        """
        a, link = self._links(m, k, c)
        each = np.abs(self.forces(a, link) / link) * self.worst[:, None]
        return np.asarray(each.reshape(*each.shape[:-2], *self.grid, 2).sum(axis=-3))

    def thinned(self, kept: NDArray[np.intp]) -> PairRoad:
        """The same at some of the speeds only; kept: their indices [-]."""
        rows = (np.arange(len(self.causes))[:, None] * len(self.speeds) + kept).ravel()
        names = ("omega", "rise", "reach", "give", "lift", "worst")
        return replace(self, speeds=self.speeds[kept], **{name: getattr(self, name)[rows] for name in names})

    @property
    def grid(self) -> tuple[int, int]:
        """How many causes and speeds [-]."""
        return len(self.causes), len(self.speeds)

    @property
    def holds(self) -> Floats:
        """Whether each link holds the vehicle, 1 or 0 [-], (2,)."""
        return np.array([1.0, 0.0 if self.stacked else 1.0])

    def _links(self, m: ArrayLike, k: ArrayLike, c: ArrayLike) -> tuple[Floats, Complexes]:
        m, k, c = (np.asarray(x, dtype=float)[..., None, :] for x in (m, k, c))
        omega = self.omega[:, None]
        return np.asarray(m * omega**2), np.asarray(k + 1j * omega * c)

    def forces(self, a: Floats, link: Complexes) -> Complexes:
        """In both links, typical [N], candidates + (Q, 2).

        a     m w^2 [N/m], candidates + (Q, 2)
        link  k + i w c [N/m], the same
        """
        return solved(self.equations(a, link), a * link * self.lift * self.holds)

    def equations(self, a: Floats, link: Complexes) -> Complexes:
        """What the forces in both links are multiplied with, [N/m] or its square, candidates + (Q, 2, 2).

        a     m w^2 [N/m], candidates + (Q, 2)
        link  k + i w c [N/m], the same
        """
        own, rest = a * link, link - a
        matrix = -own[..., :, None] * self.give
        matrix[..., 0, 0] += rest[..., 0]
        if self.stacked:
            matrix[..., 0, 1], matrix[..., 1, 0] = -link[..., 0], -own[..., 1]
            matrix[..., 1, 1] = link[..., 1] * a.sum(axis=-1) - a.prod(axis=-1)
        else:
            matrix[..., 1, 1] += rest[..., 1]
        return np.asarray(matrix)

    def felt(self, f: Complexes) -> Complexes:
        """What forces in the links do to the watched points [m/s^2] r.m.s., candidates + (Q, P).

        f  [N], candidates + (Q, 2); only the first link of a stack holds the vehicle
        """
        return np.asarray((self.reach * (f * self.holds)[..., None, :]).sum(axis=-1))

    def _levels(self, hung: Complexes) -> Floats:
        split = hung.reshape(*hung.shape[:-2], *self.grid, len(self.points))
        return np.asarray(np.sqrt((split.real**2 + split.imag**2).sum(axis=-3)))


def solved(matrix: Complexes, right: Complexes) -> Complexes:
    """Two equations for two unknowns, many times over, (..., 2), in the unit of right over matrix.

    matrix  (..., 2, 2) [any]
    right   (..., 2) [any]

    >>> solved(np.array([[2.0, 0.0], [1.0, 4.0]]), np.array([2.0, 9.0])).tolist()
    [1.0, 2.0]
    """
    (a, b), (c, d) = np.moveaxis(matrix, (-2, -1), (0, 1))
    p, q = np.moveaxis(right, -1, 0)
    return np.asarray(np.stack([d * p - b * q, a * q - c * p], axis=-1) / (a * d - b * c)[..., None])


def pair_road(
    ready: Dynamics,
    causes: Sequence[Input],
    speeds: Floats,
    points: Sequence[Point],
    places: tuple[Point, Point],
    stacked: bool = False,
) -> PairRoad:
    """Prepare two places on a vehicle, or one place twice, for any number of pairs.

    speeds  [m/s] (V,)
    points  the watched points
    places  where the dampers are to hang

    >>> from ..model.example import small_truck
    >>> from ..model.response import dynamics
    >>> from ..model.road import Roads, inputs
    >>> truck = small_truck()
    >>> causes, ends = inputs(Roads((1,)), truck, 5.0), (truck.points["front end"], truck.points["rear end"])
    >>> one = pair_road(dynamics(truck), causes, np.array([7.0, 7.2, 7.4]), ends[1:], ends)
    >>> one.before().shape, one.after([[10.0, 20.0]] * 4, [[4e3, 8e3]] * 4, [[50.0, 90.0]] * 4).shape
    ((3, 1), (4, 3, 1))
    """
    heard = tuple(c for c in causes if c.height is not None)
    frequency = np.array([c.frequency(speeds) for c in heard]).reshape(-1)
    columns = np.repeat(np.array([c.shape for c in heard]), len(speeds), axis=0)
    typical, worst = np.array([c.amplitude(speeds) for c in heard]).transpose(1, 0, 2).reshape(2, -1)
    rows, ends = [p.row for p in points], [p.row for p in places]
    moved = ready.along(frequency, columns, [*rows, *ends]) * typical[:, None]
    receptance = ready.receptance(frequency, [*rows, *ends], ends)
    felt = felt_per_metre(frequency, points)
    over = np.divide(worst, typical, out=np.zeros_like(worst), where=typical > 0)
    return PairRoad(
        2 * np.pi * frequency,
        moved[:, :-2] * felt,
        receptance[:, :-2] * felt[..., None],
        receptance[:, -2:],
        moved[:, -2:],
        over,
        np.asarray(speeds),
        tuple(points),
        heard,
        stacked,
    )
