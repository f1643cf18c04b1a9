"""Modes along amplitude, and the critical speeds at the amplitude found there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .amplitude import STILL, settled_levels, without_parts
from .laws import Law
from .matrices import matrices
from .modes import Modes, modes
from .points import Point, dense
from .response import dynamics
from .road import HIGHEST, Input
from .speeds import CriticalSpeed, critical_speeds
from .vehicle import Vehicle

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

CLOSE = 1e-8  # |change of a pole| over |pole| at which it stands
MOST_TURNS = 60
ALIKE = 0.9  # modal assurance from one amplitude to the next; below it the step is halved
FINEST = 1e-3  # of ln amplitude: no smaller steps
SMALL = 1e-3  # of the first amplitude: where following starts
BESIDE = 1e-10  # share of a pole: that far beside it the matrix is not singular
MOVED_ON = 1e-4  # of a critical speed: closer than this it has settled
MOST_ROUNDS = 30


@dataclass(frozen=True)
class ModesAlong:
    """Natural frequencies and damping along amplitude; each mode keeps its index of small shakes.

    amplitude      [m] as it was asked for: of every law's stretch, each law's own, or of other motions
    modes          index of each mode that was followed, (m,)
    names          as for small shakes, (m,)
    frequency_hz   |pole| / 2 pi [Hz], (A, m); NaN from where a mode cannot be followed
    damping_ratio  [-], (A, m)
    stretch        [m] amplitude of each law's stretch, (A, m, laws)
    """

    amplitude: Floats
    modes: tuple[int, ...]
    names: tuple[str, ...]
    frequency_hz: Floats
    damping_ratio: Floats
    stretch: Floats


def modes_along(
    vehicle: Vehicle,
    laws: Sequence[Law],
    amplitudes: ArrayLike,
    of: Sequence[Mapping[str, float]] = (),
    known: Modes | None = None,
) -> ModesAlong:
    """Follow every oscillating mode below 25 Hz along amplitude, by its shape.

    amplitudes  [m] ascending, (A,), or for each law its own, (A, laws)
    of          rows of motions [m per unit coordinate]: the largest of them has that amplitude, and each law
        the stretch that the mode then gives it; none: every law is stretched as far
    known       the modes of the vehicle for small shakes, where they were computed before

    >>> from .example import small_truck
    >>> from .forces import Leaf
    >>> truck = small_truck()
    >>> spring = next(p for p in truck.parts if p.name == "rear spring")
    >>> pack = Law("rear leaf friction", spring.row, Leaf(1350.0, 0.003, 1.5e5), spring.name)
    >>> found = modes_along(truck, [pack], [1e-4, 1e-3, 1e-2])
    >>> found.names[1], found.frequency_hz[:, 1].round(2).tolist()
    ('body pitch', [3.01, 2.99, 2.58])

    A mode whose motion draws together on one axle as a leaf lets go there may turn back along amplitude: it
    is NaN from there on.
    """
    found, wanted = known or modes(vehicle), np.asarray(amplitudes, dtype=float)
    path = _path(vehicle, tuple(laws), of)
    listed = [i for i, f in enumerate(found.frequency_hz) if f <= HIGHEST and found.poles[i, 0].imag > 0]
    along = [path.followed(found.poles[i, 0], found.damped_shapes[:, i], wanted) for i in listed]
    shape = (len(listed), len(wanted))
    poles = np.array([one for one, _ in along]).reshape(shape).T
    stretch = np.array([one for _, one in along]).reshape(*shape, len(laws)).swapaxes(0, 1)
    names = tuple(found.names[i] for i in listed)
    hertz, ratio = np.abs(poles) / (2 * np.pi), -poles.real / np.abs(poles)
    return ModesAlong(wanted, tuple(listed), names, hertz, ratio, stretch)


@dataclass(frozen=True)
class _Path:
    """What a mode is followed with: a vehicle without the parts that its laws take the place of.

    M, C, K (n, n) [SI], rows of the laws (laws, n) and of the motions whose amplitude is stated (k, n)
    """

    laws: tuple[Law, ...]
    M: Floats
    C: Floats
    K: Floats
    rows: Floats
    of: Floats

    def followed(self, pole: complex, shape: Complexes, amplitudes: Floats) -> tuple[Complexes, Floats]:
        """Poles [1/s] (A,) and stretches [m] (A, laws) of one mode; NaN from where it cannot be followed."""
        poles = np.full(len(amplitudes), complex(np.nan, np.nan))
        stretches = np.full((len(amplitudes), len(self.laws)), np.nan)
        now, low = (pole, self._unit(shape)), np.asarray(amplitudes[0] * SMALL)
        for i, high in enumerate(amplitudes):
            further = self._onwards(*now, low, high)
            if further is None:
                break
            now, low = further, high
            poles[i], stretches[i] = now[0], self._stretch(now[1], high)
        return poles, stretches

    def _onwards(
        self, pole: complex, shape: Complexes, low: Floats, high: Floats
    ) -> tuple[complex, Complexes] | None:
        """The mode at a larger amplitude [m]: in one step, or in two where its shape changes too much."""
        found = self._solved(pole, shape, high)
        if found is not None and abs(np.vdot(shape, self.M @ found[1])) ** 2 >= ALIKE:
            return found
        if np.log(high / low).max() < FINEST:
            return None
        middle = np.asarray(np.sqrt(low * high))
        half = self._onwards(pole, shape, low, middle)
        return None if half is None else self._onwards(*half, middle, high)

    def _solved(self, pole: complex, shape: Complexes, amplitude: Floats) -> tuple[complex, Complexes] | None:
        """Newton's method on the pole, with the laws at the amplitude that the shape gives them."""
        left = self.M @ shape.conj()
        for _ in range(MOST_TURNS):
            stretch = np.maximum(self._stretch(shape, amplitude), STILL)
            worth = [
                law.force.equivalent(float(a), abs(pole)) for law, a in zip(self.laws, stretch, strict=True)
            ]
            k, c = np.array(worth).T
            damping = self.C + (self.rows.T * c) @ self.rows
            beside = pole * (1 + BESIDE)
            whole = self.K + (self.rows.T * k) @ self.rows + beside * damping + beside**2 * self.M
            shape = np.linalg.solve(whole, (damping + 2 * beside * self.M) @ shape)
            step = complex(1 / (left @ shape))
            pole, shape = beside - step, shape * step
            if abs(step) < CLOSE * abs(pole):
                return pole, self._unit(shape)
        return None

    def _stretch(self, shape: Complexes, amplitude: Floats) -> Floats:
        """Amplitude [m] of each law's stretch, (laws,)."""
        if not len(self.of):
            return np.asarray(np.broadcast_to(amplitude, (len(self.laws),)))
        return np.asarray(amplitude * np.abs(self.rows @ shape) / np.abs(self.of @ shape).max())

    def _unit(self, shape: Complexes) -> Complexes:
        return np.asarray(shape / np.sqrt(np.vdot(shape, self.M @ shape).real))


def _path(vehicle: Vehicle, laws: tuple[Law, ...], of: Sequence[Mapping[str, float]]) -> _Path:
    bare = matrices(without_parts(vehicle, laws))
    rows = dense([law.row for law in laws], vehicle.coordinates)
    return _Path(laws, bare.M, bare.C, bare.K, rows, dense(of, vehicle.coordinates))


# --- critical speeds --------------------------------------------------------------------------------------


def settled_critical(
    vehicle: Vehicle,
    laws: Sequence[Law],
    critical: CriticalSpeed,
    causes: Sequence[Input],
    points: Sequence[Point],
    speeds: tuple[float, float],
) -> CriticalSpeed | None:
    """A critical speed of small shakes, at the amplitude found there; None where it leaves the speeds.

    causes  all that shake at the same time, its own among them
    speeds  [m/s] slowest and fastest
    """
    mass, shape, now = matrices(vehicle).M, modes(vehicle).shapes[:, critical.mode], critical
    for _ in range(MOST_ROUNDS):
        here = settled_levels(vehicle, laws, causes, np.array([now.speed]), points).vehicle_at(0)
        found = modes(here)
        same = int(np.argmax((shape @ mass @ found.shapes) ** 2))
        met = critical_speeds(dynamics(here), found, [critical.cause], points, speeds)
        mine = [c for c in met if c.mode == same]
        if not mine:
            return None
        moved, now, shape = abs(mine[0].speed / now.speed - 1), mine[0], found.shapes[:, same]
        if moved < MOVED_ON:
            return now
    return now
