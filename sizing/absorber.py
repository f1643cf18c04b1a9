"""The tuned mass damper: one more body on a station, and what the station feels of it.

Four curves describe a vehicle to any damper at a place: what the watched points and the place do without it,
what a newton at the place does to the points, and what it does to the place.  With a = m w^2, l = k + i w c,

    y = y0 + G a l / (l - a - a l H),

G the product of reach and lift, H the place's own receptance.  The form holds for m = 0 and at the damper's
own resonance; the host must carry damping.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import pi, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..model.notebook import shown_as_html
from ..model.parts import damper, mass, spring
from ..model.points import Point, at
from ..model.quantities import Quantity, si
from ..model.response import Dynamics, felt_per_metre
from ..model.road import Input
from ..model.vehicle import Vehicle

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

GRAVITY = 9.80665  # [m/s^2] standard gravity
BLOCK = 8192  # complex numbers per block: fits the nearest caches


@dataclass(frozen=True)
class Damper:
    """A mass on a spring and a dashpot, hung on a named point.

    place, mass [kg], stiffness [N/m], damping [N s/m]

    >>> hung = Damper("rear end", 20.0, 20.0 * (2 * pi * 7.0) ** 2, 100.0)
    >>> round(hung.tuned_hz, 6), round(hung.damping_ratio, 4), round(hung.static_sag * 1e3, 2)
    (7.0, 0.0568, 5.07)
    """

    place: str
    mass: float
    stiffness: float
    damping: float

    @property
    def tuned_hz(self) -> float:
        """Its own undamped frequency on a fixed place [Hz]."""
        return sqrt(self.stiffness / self.mass) / (2 * pi)

    @property
    def damping_ratio(self) -> float:
        """c / (2 m omega_damper) [-]: over its OWN critical damping."""
        return self.damping / (2 * sqrt(self.stiffness * self.mass))

    @property
    def static_sag(self) -> float:
        """How far the spring gives under the mass [m]."""
        return self.mass * GRAVITY / self.stiffness

    def _repr_html_(self) -> str:
        rows = [
            ("hangs at", self.place),
            ("mass [kg]", f"{self.mass:.2f}"),
            ("tuned to [Hz]", f"{self.tuned_hz:.3f}"),
            ("damping ratio [-]", f"{self.damping_ratio:.4f}"),
            ("stiffness [N/m]", f"{self.stiffness:.5g}"),
            ("damping [N s/m]", f"{self.damping:.4g}"),
            ("static sag [mm]", f"{1e3 * self.static_sag:.2f}"),
        ]
        return shown_as_html("Tuned mass damper", (), rows)


def tuned(place: str, mass: Quantity, tuned_hz: Quantity, damping_ratio: Quantity) -> Damper:
    """A damper from its mass [kg], own frequency tuned_hz [Hz] and damping_ratio [-] over its own critical
    damping; each in SI, as text, or as a quantity.  Raises UnitFault, a ValueError.

    >>> tuned("rear end", 20.0, 7.0, 0.08) == tuned("rear end", "20 kg", "7 Hz", "8 %")
    True
    """
    m, ratio = si(mass, "kg", "20 kg", above=0.0), si(damping_ratio, "", "8 %")
    omega = 2 * pi * si(tuned_hz, "Hz", "7 Hz", above=0.0)
    return Damper(place, m, m * omega**2, 2 * ratio * m * omega)


def with_damper(vehicle: Vehicle, hung: Damper) -> Vehicle:
    """The vehicle with the damper as one more body: assembled, not coupled.

    >>> from ..model.example import small_truck
    >>> with_damper(small_truck(), tuned("rear end", "20 kg", "3 Hz", "10 %")).coordinates[-1]
    'damper'
    """
    place, own = vehicle.point(hung.place).row, at("damper")
    parts = (
        mass("damper", hung.mass, own),
        spring("damper", hung.stiffness, own, place),
        damper("damper", hung.damping, own, place),
    )
    return replace(
        vehicle,
        coordinates=(*vehicle.coordinates, "damper"),
        parts=(*vehicle.parts, *parts),
        components=(*vehicle.components, ("damper on its spring", own)),
        points={**vehicle.points, "damper": Point("damper", vehicle.point(hung.place).station, own)},
    )


def with_ballast(vehicle: Vehicle, place: str, kilograms: Quantity) -> Vehicle:
    """The vehicle with the same weight bolted down at the place: `kilograms` [kg], or as text.

    >>> from ..model.example import small_truck
    >>> round(with_ballast(small_truck(), "rear end", "55 lb").total_mass - small_truck().total_mass, 3)
    24.948
    """
    ballast = mass("ballast", si(kilograms, "kg", "20 kg"), vehicle.point(place).row)
    return replace(vehicle, parts=(*vehicle.parts, ballast))


@dataclass(frozen=True)
class Host:
    """All that a damper at one place needs to know of a vehicle, at Q frequencies and P watched points.

    omega  [rad/s] (Q,)
    rise   what the watched points do without it, in any unit, (Q, P)
    push   the same per newton at the place times the place's own motion without it, (Q, P)
    give   motion of the place per newton there [m/N] (Q,)
    lift   motion of the place without it [m] (Q,)
    """

    omega: Floats
    rise: Complexes
    push: Complexes
    give: Complexes
    lift: Complexes

    def coupling(self, m: ArrayLike, k: ArrayLike, c: ArrayLike) -> Complexes:
        """a l / (l - a - a l H) [N/m], shape of the candidates + (Q,): newtons at the place per metre of
        `lift`.

        m [kg], k [N/m], c [N s/m]: candidates of one shape, e.g. (C,)
        """
        a, link = self._parts(m, k, c)
        both = a * link
        return np.asarray(both / (link - a - both * self.give))

    def with_damper(self, m: ArrayLike, k: ArrayLike, c: ArrayLike) -> Complexes:
        """`rise` once the damper hangs there, candidates + (Q, P).

        m [kg], k [N/m], c [N s/m]: candidates of one shape

        >>> w = np.linspace(0.5, 1.5, 401)
        >>> y = (1 / (1 - w**2 + 0.02j * w))[:, None]
        >>> host = Host(w, y, y * y, y[:, 0], y[:, 0])
        >>> bool(np.allclose(host.with_damper(0.0, 1.0, 0.0), y))     # no mass, no change
        True
        >>> host.with_damper([0.05] * 3, [0.05] * 3, [0.01] * 3).shape
        (3, 401, 1)
        """
        return self.rise + self.push * self.coupling(m, k, c)[..., None]

    def with_ballast(self, m: ArrayLike) -> Complexes:
        """`rise` once a mass m [kg] is bolted down there, candidates + (Q, P)."""
        a = np.asarray(m, dtype=float)[..., None] * self.omega**2
        return np.asarray(self.rise + self.push * (a / (1 - a * self.give))[..., None])

    def stroke(self, m: ArrayLike, k: ArrayLike, c: ArrayLike) -> Floats:
        """How far the mass moves against the place [m], amplitude, candidates + (Q,).

        m [kg], k [N/m], c [N s/m]: candidates of one shape
        """
        a, link = self._parts(m, k, c)
        return np.asarray(np.abs(a * self.lift / (link - a - a * link * self.give)))

    def worst(self, m: ArrayLike, k: ArrayLike, c: ArrayLike) -> Floats:
        """The largest |rise| over frequencies, per candidate and watched point, (C, P); in blocks that fit
        the cache.

        m [kg], k [N/m], c [N s/m]: candidates (C,)
        """
        m, k, c = (np.atleast_1d(np.asarray(x, dtype=float)) for x in (m, k, c))
        answer = np.empty((len(m), self.rise.shape[1]))
        step = max(BLOCK // len(self.omega), 1)
        for start in range(0, len(m), step):
            part = slice(start, start + step)
            felt = self.coupling(m[part], k[part], c[part])
            for p in range(self.rise.shape[1]):
                after = felt * self.push[:, p]
                after += self.rise[:, p]
                squared = after.real**2 + after.imag**2
                answer[part, p] = np.sqrt(squared.max(axis=-1))
        return answer

    def _parts(self, m: ArrayLike, k: ArrayLike, c: ArrayLike) -> tuple[Floats, Complexes]:
        m, k, c = (np.asarray(x, dtype=float)[..., None] for x in (m, k, c))
        return np.asarray(m * self.omega**2), np.asarray(k + 1j * self.omega * c)


@dataclass(frozen=True)
class RoadHost:
    """A host under road inputs along speed: levels instead of motions.

    host    Q = N V points (inputs first, then speeds), rise and push in typical m/s^2 r.m.s. as felt, lift
        in worst metres
    speeds  [m/s] (V,)
    points  the watched points, P of them
    causes  the inputs, N of them
    """

    host: Host
    speeds: Floats
    points: tuple[Point, ...]
    causes: tuple[Input, ...]

    def levels(self, hung: Complexes) -> Floats:
        """Typical level of all causes together [m/s^2] r.m.s., candidates + (V, P).

        hung  felt motion of each cause, candidates + (Q, P)
        """
        split = hung.reshape(*hung.shape[:-2], len(self.causes), len(self.speeds), len(self.points))
        return np.asarray(np.sqrt((split.real**2 + split.imag**2).sum(axis=-3)))

    def thinned(self, most: int) -> RoadHost:
        """The same on at most so many speeds [-], evenly taken: for a first look."""
        kept = np.arange(0, len(self.speeds), max(-(-len(self.speeds) // most), 1))
        rows = (np.arange(len(self.causes))[:, None] * len(self.speeds) + kept).ravel()
        host = Host(*(part[rows] for part in vars(self.host).values()))
        return RoadHost(host, self.speeds[kept], self.points, self.causes)

    def before(self) -> Floats:
        """Typical level without any damper [m/s^2] r.m.s., (V, P)."""
        return self.levels(self.host.rise)

    def after(self, m: ArrayLike, k: ArrayLike, c: ArrayLike) -> Floats:
        """Typical level with a damper of m [kg], k [N/m], c [N s/m], candidates + (V, P) [m/s^2] r.m.s."""
        return self.levels(self.host.with_damper(m, k, c))

    def ballast(self, m: ArrayLike) -> Floats:
        """Typical level with a mass m [kg] bolted down, candidates + (V, P) [m/s^2] r.m.s."""
        return self.levels(self.host.with_ballast(m))

    def stroke(self, m: ArrayLike, k: ArrayLike, c: ArrayLike) -> Floats:
        """Stroke each way when all causes add at their worst [m], candidates + (V,): an upper bound.

        m [kg], k [N/m], c [N s/m]: candidates of one shape
        """
        each = self.host.stroke(m, k, c)
        return np.asarray(each.reshape(*each.shape[:-1], len(self.causes), len(self.speeds)).sum(axis=-2))


def road_host(
    ready: Dynamics, causes: Sequence[Input], speeds: Floats, points: Sequence[Point], place: Point
) -> RoadHost:
    """Prepare a place on a vehicle for any number of dampers.

    speeds  [m/s] (V,)
    points  the watched points
    place   where dampers are to hang

    >>> from ..model.example import small_truck
    >>> from ..model.response import dynamics
    >>> from ..model.road import Roads, inputs
    >>> truck = small_truck()
    >>> causes, end = inputs(Roads((1,)), truck, 5.0), truck.points["rear end"]
    >>> one = road_host(dynamics(truck), causes, np.array([7.0, 7.2, 7.4]), [end], end)
    >>> one.before().shape, one.after([20.0] * 4, [8e3] * 4, [90.0] * 4).shape
    ((3, 1), (4, 3, 1))
    """
    heard = tuple(c for c in causes if c.height is not None)
    frequency = np.array([c.frequency(speeds) for c in heard]).reshape(-1)
    columns = np.repeat(np.array([c.shape for c in heard]), len(speeds), axis=0)
    levels = np.array([c.amplitude(speeds) for c in heard])
    typical, worst = levels[:, 0].reshape(-1), levels[:, 1].reshape(-1)
    rows = [p.row for p in points]
    moved = ready.along(frequency, columns, [*rows, place.row])
    receptance = ready.receptance(frequency, [*rows, place.row], [place.row])[..., 0]
    felt = felt_per_metre(frequency, points) * typical[:, None]
    rise, lift = moved[:, :-1] * felt, moved[:, -1]
    push = receptance[:, :-1] * lift[:, None] * felt
    host = Host(2 * np.pi * frequency, rise, push, receptance[:, -1], lift * worst)
    return RoadHost(host, np.asarray(speeds), tuple(points), heard)
