"""Vehicle and levels at a stated amplitude, by harmonic linearisation.

A law that is not proportional (a leaf that locks, a stop, a tyre that lifts) is worth, for a sine of one
amplitude, one spring and one damper.  They take the place of its linear part, the response gives the
amplitude of its stretch, and so on until the amplitude assumed is the amplitude found.  Several causes at
once count as one sine with their r.m.s. stretch and their mean frequency.

Higher harmonics and means are left out.  Against histories that cost 1 to 2 % on leaves that friction makes
four times as stiff, and up to 8 % where it makes them six times as stiff.

Source: Gelb and Vander Velde (1968), Multiple-Input Describing Functions, McGraw-Hill, chapters 2 and 3
(from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .laws import Law
from .parts import Part
from .points import Point, dense
from .response import Dynamics, dynamics, felt_per_metre
from .road import Input
from .vehicle import Vehicle

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

TOLERANCE = 1e-6  # |ln(amplitude found / amplitude assumed)|
MOST_STEPS = 1000
FIRST_STRIDE = 0.5  # of ln(found / assumed): whole strides leap over an answer that is near another
STILL = 1e-12  # [m] a stretch below this is none
UPWARDS = (0.01, 0.1, 0.4, 0.7, 1.0)  # shares of the input, one after the other
DOWNWARDS = (100.0, 10.0, 3.0, 1.6, 1.2, 1.0)
APART = 0.01  # of a level or an amplitude: two answers that differ by more are two


def at_amplitude(vehicle: Vehicle, laws: Sequence[Law], amplitudes: ArrayLike, omega: ArrayLike) -> Vehicle:
    """The vehicle with each law's linear part replaced by the spring and damper that it is worth.

    amplitudes  [m] of each law's stretch, (laws,) or one for all
    omega       [rad/s] of the motion, (laws,) or one for all

    >>> from .example import small_truck
    >>> from .forces import Stop
    >>> truck = small_truck()
    >>> shock = next(p for p in truck.parts if p.name == "rear shock")
    >>> bump = Law("rear stops", shock.row, Stop(0.06, 0.06, 2e6))
    >>> harder = at_amplitude(truck, [bump], 0.07, 20.0)
    >>> [(p.kind, round(float(p.value))) for p in harder.parts if p.name == "rear stops"]
    [('spring', 126819), ('damper', 0)]
    """
    bare = without_parts(vehicle, laws)
    each = (np.broadcast_to(np.asarray(x, dtype=float), (len(laws),)) for x in (amplitudes, omega))
    new = [part for law, a, w in zip(laws, *each, strict=True) for part in _worth(law, float(a), float(w))]
    return replace(bare, parts=(*bare.parts, *new))


def without_parts(vehicle: Vehicle, laws: Sequence[Law]) -> Vehicle:
    """The vehicle without the springs and dampers that laws take the place of."""
    gone = {law.part for law in laws if law.part}
    kept = tuple(p for p in vehicle.parts if p.kind == "mass" or p.name not in gone)
    return replace(vehicle, parts=kept)


def _worth(law: Law, amplitude: float, omega: float) -> tuple[Part, Part]:
    k, c = law.force.equivalent(max(amplitude, STILL), omega)
    name = law.part or law.name
    return Part("spring", name, k, law.row), Part("damper", name, c, law.row)


# --- the response settles ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class Settled:
    """What a vehicle with laws does along speed once the amplitude assumed is the amplitude found.

    speeds   [m/s] (V,)
    omega    [rad/s] frequency of each law's stretch, the mean by power of small shakes, (V, laws)
    stretch  [m] amplitude of each law's stretch, (V, laws)
    levels   [m/s^2] r.m.s. of all causes together at the points, typical, (V, P)
    error    [-] |ln(found / assumed)| of the amplitudes, the largest at each speed, (V,)
    """

    vehicle: Vehicle
    laws: tuple[Law, ...]
    points: tuple[Point, ...]
    speeds: Floats
    omega: Floats
    stretch: Floats
    levels: Floats
    error: Floats

    def vehicle_at(self, i: int) -> Vehicle:
        """The linear vehicle that does the same at the speed of index i."""
        return at_amplitude(self.vehicle, self.laws, self.stretch[i], self.omega[i])


@dataclass(frozen=True)
class _Asked:
    """The linear vehicle under all causes, and what forces at the laws would change: what is iterated upon.

    omega [rad/s] (V, N), stretch (V, N, laws) and rise (V, N, points) [m] of the linear vehicle,
    between (V, N, laws, laws) and beyond (V, N, points, laws) [m/N], felt (V, N, points) [1/s^2],
    linear: (laws, 2) [N/m, N s/m] of the parts that the laws take the place of
    """

    laws: tuple[Law, ...]
    omega: Floats
    stretch: Complexes
    rise: Complexes
    between: Complexes
    beyond: Complexes
    felt: Floats
    linear: Floats

    @cached_property
    def mean(self) -> Floats:
        """Frequency of each law's stretch [rad/s], the mean by power, (V, laws); 1 if nothing shakes it."""
        power = np.abs(self.stretch) ** 2 + STILL**2
        total, moved = power.sum(axis=1), (self.omega[..., None] ** 2 * power).sum(axis=1)
        return np.asarray(np.sqrt(np.where(total > 0, moved, 1.0) / np.where(total > 0, total, 1.0)))

    def found(self, stretch: Floats, share: float) -> tuple[Floats, Complexes]:
        """Amplitude of each law's stretch [m], (V, laws), and the points' rise [m], (V, N, points).

        stretch  as assumed; share  [-] of the input
        """
        more = self._worth(stretch) - self.linear
        force = more[:, None, :, 0] + 1j * self.omega[..., None] * more[:, None, :, 1]
        coupled = np.eye(len(self.laws)) + self.between * force[..., None, :]
        moved = np.linalg.solve(coupled, share * self.stretch[..., None])[..., 0]
        rise = share * self.rise - (self.beyond @ (force * moved)[..., None])[..., 0]
        return np.sqrt((np.abs(moved) ** 2).sum(axis=1)) + STILL, rise

    def _worth(self, stretch: Floats) -> Floats:
        """What each law is worth at each speed, (V, laws, 2) [N/m, N s/m]."""
        pairs = [
            [law.force.equivalent(float(a), float(w)) for law, a, w in zip(self.laws, *row, strict=True)]
            for row in zip(stretch, self.mean, strict=True)
        ]
        return np.array(pairs, dtype=float).reshape(*stretch.shape, 2)


def settled_levels(
    vehicle: Vehicle,
    laws: Sequence[Law],
    causes: Sequence[Input],
    speeds: Floats,
    points: Sequence[Point],
    ready: Dynamics | None = None,
    shares: Sequence[float] = UPWARDS,
) -> Settled:
    """Levels along speed at the amplitudes found there.

    speeds  [m/s] (V,)
    ready   the vehicle prepared, where that was done before
    shares  [-] of the input, one after the other: from small ones upwards, or (`DOWNWARDS`) from large ones
        downwards; they differ where a vehicle has two motions at one speed, a locked and a freed one, say

    >>> from .example import small_truck
    >>> from .forces import Leaf
    >>> from .road import Roads, inputs
    >>> truck = small_truck()
    >>> spring = next(p for p in truck.parts if p.name == "rear spring")
    >>> pack = Law("rear leaf friction", spring.row, Leaf(1350.0, 0.003, 1.5e5), spring.name)
    >>> causes, speed = inputs(Roads((1,)), truck, 5.0), np.array([7.24])
    >>> found = settled_levels(truck, [pack], causes, speed, truck.watched)
    >>> found.levels.round(2).tolist(), (1e3 * found.stretch).round(2).tolist()     # locked: 0.73, 1.06
    ([[0.43, 0.6]], [[1.03]])
    """
    along = np.asarray(speeds, dtype=float)
    asked = _asked(vehicle, ready or dynamics(vehicle), tuple(laws), causes, along, points)
    found = _marched(asked, shares)
    return Settled(vehicle, tuple(laws), tuple(points), along, asked.mean, *found)


def settled_amplitude(
    vehicle: Vehicle, laws: Sequence[Law], causes: Sequence[Input], speed: float
) -> tuple[Settled, ...]:
    """What the laws settle to at one speed: one answer, or two where small and large input lead apart.

    speed  [m/s]
    """
    at = np.array([speed])
    small, large = (
        settled_levels(vehicle, laws, causes, at, vehicle.watched, None, shares)
        for shares in (UPWARDS, DOWNWARDS)
    )
    return (small, large) if apart(small, large) else (small,)


def apart(one: Settled, other: Settled) -> bool:
    """Whether two answers to the same question are two motions, not one."""
    return bool(np.abs(np.log(other.stretch / one.stretch)).max(initial=0.0) > APART)


def _asked(
    vehicle: Vehicle,
    ready: Dynamics,
    laws: tuple[Law, ...],
    causes: Sequence[Input],
    along: Floats,
    points: Sequence[Point],
) -> _Asked:
    heard = [c for c in causes if c.height is not None]
    rows, watched = [law.row for law in laws], [p.row for p in points]
    frequency = np.array([c.frequency(along) for c in heard]).reshape(len(heard), len(along)).T
    flat = frequency.ravel()
    size = np.array([c.amplitude(along)[0] for c in heard]).reshape(len(heard), len(along)).T
    road = size[..., None] * np.array([c.shape for c in heard]).reshape(len(heard), len(vehicle.roads))
    linear = ready.along(flat, road.reshape(len(flat), len(vehicle.roads)), [*rows, *watched])
    linear = linear.reshape(*frequency.shape, len(rows) + len(points))
    held = ready.receptance(flat, [*rows, *watched], rows).reshape(*linear.shape, len(rows))
    n = len(rows)
    return _Asked(
        laws,
        2 * np.pi * frequency,
        linear[..., :n] + road @ dense(rows, vehicle.roads).T,
        linear[..., n:],
        held[..., :n, :],
        held[..., n:, :],
        felt_per_metre(frequency, points) if points else np.zeros((*frequency.shape, 0)),
        _linear(vehicle, laws),
    )


def _linear(vehicle: Vehicle, laws: Sequence[Law]) -> Floats:
    """Rate [N/m] and damping [N s/m] of the part that each law takes the place of, (laws, 2); laws of one
    part share it, so that the first has it all."""
    found = np.zeros((len(laws), 2))
    for i, law in enumerate(laws):
        if law.part and law.part not in {other.part for other in laws[:i]}:
            mine = [p for p in vehicle.parts if p.name == law.part and p.kind != "mass"]
            if any(p.row != law.row for p in mine):
                raise ValueError(f"the law {law.name!r} does not act where the part {law.part!r} does")
            found[i] = [sum(p.value for p in mine if p.kind == kind) for kind in ("spring", "damper")]
    return found


def _marched(asked: _Asked, shares: Sequence[float]) -> tuple[Floats, Floats, Floats]:
    """Stretch (V, laws), levels (V, P) and error (V,) after the input went through shares of itself [-]."""
    stretch = shares[0] * np.sqrt((np.abs(asked.stretch) ** 2).sum(axis=1)) + STILL
    for share in shares:
        stretch, rise, error = _settle(asked, stretch, share)
    return stretch, np.sqrt(((asked.felt * np.abs(rise)) ** 2).sum(axis=1)), error


def _settle(asked: _Asked, stretch: Floats, share: float) -> tuple[Floats, Complexes, Floats]:
    """Step towards the amplitude found, by half as much after each turning back, until they agree."""
    stride, last = np.full(len(stretch), FIRST_STRIDE), np.zeros_like(stretch)
    for _ in range(MOST_STEPS):
        found, rise = asked.found(stretch, share)
        step = np.log(found / stretch)
        error = np.abs(step).max(axis=1, initial=0.0)
        if error.max(initial=0.0) < TOLERANCE:
            break
        stride = np.where((step * last).sum(axis=1) < 0, stride / 2, stride)
        stretch, last = stretch * np.exp(stride[:, None] * step), step
    return stretch, rise, error
