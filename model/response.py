"""Motion of each watched point, along frequency and along speed.

Prepared once per vehicle as a sum over its poles, then asked many times; where the poles coalesce the sum is
ill-conditioned, and the same functions solve (K + i omega C - omega^2 M) q = push directly instead.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy import linalg

from .comfort import weighting_factor
from .matrices import Matrices, matrices
from .notebook import shown_as_html
from .points import Point, dense
from .road import GONE, HIGHEST, Input
from .vehicle import Vehicle

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

WELL_CONDITIONED = 1e6  # of the eigenvectors; beyond it the poles are too close to coalescing


@dataclass(frozen=True)
class Dynamics:
    """A vehicle ready to be asked: receptances and road responses at any frequencies."""

    system: Matrices

    @cached_property
    def _poles(self) -> tuple[Complexes, Complexes, Complexes] | None:
        """Poles (2n,), right rows (n, 2n) and left columns (2n, n) with receptance = sum of right left /
        (i w - pole)."""
        s = self.system
        n = len(s.coordinates)
        lower = linalg.cholesky(s.M, lower=True)
        inverse = linalg.solve_triangular(lower, np.eye(n), lower=True)
        scale = np.sqrt(
            max(np.abs(inverse @ s.K @ inverse.T).max(), 1e-12)
        )  # [rad/s] balances the two halves
        state = np.zeros((2 * n, 2 * n))
        state[:n, n:] = np.eye(n) * scale
        state[n:, :n] = -inverse @ s.K @ inverse.T / scale
        state[n:, n:] = -inverse @ s.C @ inverse.T
        values, vectors = linalg.eig(state)
        if np.linalg.cond(vectors) > WELL_CONDITIONED:
            return None
        left = np.linalg.solve(vectors, np.vstack([np.zeros((n, n)), inverse]).astype(complex))
        return values, inverse.T @ vectors[:n] / scale, left

    def receptance(
        self, frequency: Floats, outputs: Sequence[Mapping[str, float]], inputs: Sequence[Mapping[str, float]]
    ) -> Complexes:
        """Rise of each output point per newton at each input point [m/N], (frequencies, outputs, inputs).

        frequency  [Hz] (frequencies,)
        outputs    rows of the points that are watched [m per unit coordinate]
        inputs     rows of the points that are pushed [m per unit coordinate]
        """
        push = dense(inputs, self.system.coordinates).T
        return self._response(frequency, self._rows(outputs), push, np.zeros_like(push))

    def road_response(self, frequency: Floats, outputs: Sequence[Mapping[str, float]]) -> Complexes:
        """Rise of each output point per metre of road height under each axle [m/m], (frequencies, outputs,
        axles).

        frequency  [Hz] (frequencies,)
        outputs    rows of the points that are watched [m per unit coordinate]
        """
        return self._response(frequency, self._rows(outputs), self.system.push_0, self.system.push_1)

    def along(
        self, frequency: Floats, columns: Complexes, outputs: Sequence[Mapping[str, float]]
    ) -> Complexes:
        """Rise of each output point [m], (frequencies, outputs), where each frequency has road heights of
        its own.

        frequency  [Hz] (frequencies,)
        columns    [m] complex road heights under the axles, (frequencies, axles)
        outputs    rows of the points that are watched [m per unit coordinate]
        """
        rows, s = self._rows(outputs), self.system
        omega = 2 * np.pi * np.asarray(frequency, dtype=float)
        if self._poles is None:
            push = columns @ s.push_0.T + 1j * omega[:, None] * (columns @ s.push_1.T)
            return np.asarray(np.linalg.solve(self._stiffness(omega), push[..., None])[..., 0] @ rows.T)
        values, right, left = self._poles
        driven = left @ s.push_0 + values[:, None] * (left @ s.push_1)
        return np.asarray(((columns @ driven.T) / (1j * omega[:, None] - values)) @ (rows @ right).T)

    def _rows(self, points: Sequence[Mapping[str, float]]) -> Floats:
        return dense(points, self.system.coordinates)

    def _stiffness(self, omega: Floats) -> Complexes:
        s, w = self.system, omega[:, None, None]
        return np.asarray(s.K + 1j * w * s.C - w**2 * s.M)

    def _response(self, frequency: Floats, rows: Floats, push_0: Floats, push_1: Floats) -> Complexes:
        omega = 2 * np.pi * np.asarray(frequency, dtype=float)
        if self._poles is None:
            push = push_0 + 1j * omega[:, None, None] * push_1
            return np.asarray(rows @ np.linalg.solve(self._stiffness(omega), push))
        values, right, left = self._poles
        # i w / (i w - pole) = 1 + pole / (i w - pole), and the ones cancel over all poles
        residues = (rows @ right)[:, :, None] * (left @ push_0 + values[:, None] * (left @ push_1))
        flat = residues.transpose(1, 0, 2).reshape(len(values), -1)
        answer = (1.0 / (1j * omega[:, None] - values)) @ flat
        return np.asarray(answer.reshape(len(omega), rows.shape[0], push_0.shape[1]))


def dynamics(vehicle: Vehicle) -> Dynamics:
    """Prepare a vehicle for many questions.

    >>> from .example import small_truck
    >>> truck = small_truck()
    >>> end = truck.points["rear end"].row
    >>> ready = dynamics(truck)
    >>> [f"{abs(h):.2g}" for h in ready.receptance(np.array([1.0, 3.0, 9.0]), [end], [end]).flat]
    ['5.9e-06', '6.3e-05', '6.4e-07']
    """
    return Dynamics(matrices(vehicle))


def plain_receptance(system: Matrices, omega: Floats, outputs: Floats, inputs: Floats) -> Complexes:
    """The receptance by one dense solve a frequency [m/N]: what the sum over poles is held against.

    system   matrices of the vehicle [SI]
    omega    [rad/s] (frequencies,)
    outputs  rows [m per unit coordinate] (outputs, n)
    inputs   rows [m per unit coordinate] (inputs, n)

    >>> from .example import small_truck
    >>> system = matrices(small_truck())
    >>> wheel = np.array([[0.0, 0.0, 0.0, 1.0]])
    >>> stiff = 1 / plain_receptance(system, np.array([0.01]), wheel, wheel)
    >>> round(float(stiff.real.item() / 1e6), 2)     # at rest the tyre alone: the body swings about the front
    3.2
    """
    w = omega[:, None, None]
    return np.asarray(outputs @ np.linalg.solve(system.K + 1j * w * system.C - w**2 * system.M, inputs.T))


# --- along speed ------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Sweep:
    """How hard each watched point shakes, along speed.

    speeds   [m/s] (V,)
    inputs   the causes, N of them, each with a level
    points   the watched points, P of them
    typical  [m/s^2] r.m.s., weighted as each point says, (N, V, P)
    worst    the same when all parts of a cause add
    """

    speeds: Floats
    inputs: tuple[Input, ...]
    points: tuple[Point, ...]
    typical: Floats
    worst: Floats

    def total(self) -> Floats:
        """Typical level of all causes together [m/s^2] r.m.s., (V, P): different causes add as powers."""
        return np.asarray(np.sqrt((self.typical**2).sum(axis=0)))

    def total_worst(self) -> Floats:
        """Level at the top of a beat [m/s^2] r.m.s., (V, P): parts of one kind and order add as they are."""
        groups: dict[tuple[str, float], Floats] = {}
        for cause, level in zip(self.inputs, self.worst, strict=True):
            key = (cause.kind, cause.order)
            groups[key] = groups.get(key, np.zeros_like(level)) + level
        return np.asarray(np.sqrt(sum((g**2 for g in groups.values()), np.zeros(self.worst.shape[1:]))))

    def _repr_html_(self) -> str:
        total, worst = self.total(), self.total_worst()
        most = total.argmax(axis=0) if len(self.speeds) else ()
        rows = [
            (p.name, f"{self.speeds[i]:.3g}", f"{total[i, n]:.3g}", f"{worst[i, n]:.3g}")
            for n, (p, i) in enumerate(zip(self.points, most, strict=True))
        ]
        columns = ("shakes most", "at [m/s]", "typical [m/s² r.m.s.]", "worst [m/s² r.m.s.]")
        return shown_as_html(f"Sweep of {len(self.inputs)} inputs", columns, rows)


def sweep(ready: Dynamics, causes: Sequence[Input], speeds: Floats, points: Sequence[Point]) -> Sweep:
    """Levels at points along speed, all causes in one call.

    speeds  [m/s] (V,)
    points  (P,) each with its direction and weighting

    >>> from .example import small_truck
    >>> from .road import Roads, inputs
    >>> truck = small_truck()
    >>> causes, speeds = inputs(Roads((1,)), truck, 5.0), np.array([6.0, 7.2, 9.0])
    >>> found = sweep(dynamics(truck), causes, speeds, truck.watched)
    >>> found.total().round(2).tolist()     # a row a speed: front end and rear end
    [[0.21, 0.18], [0.73, 1.05], [0.16, 0.24]]
    """
    heard = tuple(c for c in causes if c.height is not None)
    frequency = np.array([c.frequency(speeds) for c in heard]).reshape(len(heard), len(speeds))
    columns = np.repeat(np.array([c.shape for c in heard]), len(speeds), axis=0)
    rise = np.zeros((0, len(points)))
    if heard:
        rise = np.abs(ready.along(frequency.ravel(), columns, [p.row for p in points]))
    felt = rise.reshape(len(heard), len(speeds), len(points)) * felt_per_metre(frequency, points)
    levels = np.array([c.amplitude(speeds) for c in heard]).reshape(len(heard), 2, len(speeds), 1)
    return Sweep(speeds, heard, tuple(points), felt * levels[:, 0], felt * levels[:, 1])


def felt_per_metre(frequency: Floats, points: Sequence[Point]) -> Floats:
    """Weighted acceleration r.m.s. per metre of amplitude [1/s^2], frequency's shape + (points,).

    frequency  [Hz]; from 25 Hz on it counts for less and less, above 30 Hz for nothing

    >>> felt_per_metre(np.array([1.0, 10.0, 30.0]), [Point("floor", 0.0, {})]).ravel().round(1).tolist()
    [27.9, 2791.5, 0.0]
    """
    omega = 2 * np.pi * frequency
    over = np.clip((frequency - HIGHEST) / (GONE - HIGHEST), 0.0, 1.0)
    plain = omega**2 / np.sqrt(2) * (1 - over) ** 2 * (1 + 2 * over)
    return np.stack([plain * weighting_factor(p.weighting, frequency) for p in points], axis=-1)
