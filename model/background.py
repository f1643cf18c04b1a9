"""What a rough road alone does to each watched point: the background that a shake stands out from, or not.

All axles roll over one profile, each later by its station, so their inputs are wholly correlated:

    H(f) = sum over axles  response to its road * exp(-2 pi i f x / v) * smoothing by its footprint
    level^2 = integral  |H|^2 (2 pi f)^4 weighting(f)^2 Gd(f / v) / v  df
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import linalg

from .matrices import Matrices
from .notebook import shown_as_html
from .points import Point
from .response import Dynamics, felt_per_metre
from .road import GONE, delays
from .roughness import Roughness
from .vehicle import Vehicle

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

LOWEST = 0.02  # [Hz] where the integral begins
PER_OCTAVE = 60  # points of the grid for the spectrum of the road, all of its octaves alike
PER_HERTZ = 20  # for the beat between axles, as slow as v / wheelbase
PER_RESONANCE = 200  # over each resonance
UNDAMPED = 1e-6  # [-] damping ratio below which a random road drives a mode without end


@dataclass(frozen=True)
class RoughRide:
    """Spectrum of each watched point on a rough road at one speed.

    speed      [m/s]
    frequency  [Hz] (F,), closest where the vehicle resonates
    points     the watched points, P of them
    density    [(m/s^2)^2/Hz] one-sided, weighted as each point says, (F, P)
    """

    speed: float
    frequency: Floats
    points: tuple[Point, ...]
    density: Floats

    @property
    def level(self) -> Floats:
        """Root of the area under each spectrum [m/s^2 r.m.s.], (P,)."""
        return np.asarray(np.sqrt(np.trapezoid(self.density, self.frequency, axis=0)))

    def _repr_html_(self) -> str:
        most = self.frequency[self.density.argmax(axis=0)]
        rows = [
            (p.name, f"{level:.3g}", f"{f:.3g}")
            for p, level, f in zip(self.points, self.level, most, strict=True)
        ]
        columns = ("point", "level [m/s² r.m.s.]", "most at [Hz]")
        return shown_as_html(f"On a rough road at {self.speed:.3g} m/s", columns, rows)


def rough_ride(
    ready: Dynamics,
    vehicle: Vehicle,
    roughness: Roughness,
    speed: float,
    points: Sequence[Point],
    frequency: Floats | None = None,
) -> RoughRide:
    """Spectra of points on a rough road at one speed.

    ready      the vehicle's dynamics, `vehicle` the same vehicle
    speed      [m/s], above 0
    points     (P,) each with its direction and weighting
    frequency  [Hz] (F,) ascending; None: as fine as the resonances ask for

    >>> from .example import small_truck
    >>> from .response import dynamics
    >>> from .roughness import of_class
    >>> truck = small_truck()
    >>> found = rough_ride(dynamics(truck), truck, of_class("B"), 20.0, truck.watched)
    >>> found.level.round(2).tolist()     # front end and rear end
    [4.81, 6.78]
    """
    f = resonance_grid(ready.system) if frequency is None else np.asarray(frequency, dtype=float)
    response = ready.road_response(f, [p.row for p in points])
    return RoughRide(
        speed, f, tuple(points), _density(response, vehicle, roughness, speed, f, _felt(f, points))
    )


def background(
    ready: Dynamics,
    vehicle: Vehicle,
    roughness: Roughness,
    speeds: Floats,
    points: Sequence[Point],
    fine: float = 1.0,
) -> Floats:
    """Level of points on a rough road along speed [m/s^2 r.m.s.], (V, P), weighted as each point says.

    ready   the vehicle's dynamics, `vehicle` the same vehicle
    speeds  [m/s] (V,), above 0
    points  (P,) each with its direction and weighting
    fine    [-] how many times the usual number of frequencies; 0.2 is off by 4e-4 at most

    Counts 0.02 to 30 Hz, fading from 25 Hz on as everywhere here.  A grid twice as fine moves no level of the
    test vehicles by more than 2e-5.  Infinite where a mode has no damping at all.

    >>> from .example import small_truck
    >>> from .response import dynamics
    >>> from .roughness import of_class
    >>> truck = small_truck()
    >>> ready, speeds = dynamics(truck), np.array([10.0, 20.0])
    >>> background(ready, truck, of_class("B"), speeds, truck.watched).round(2).tolist()
    [[3.32, 3.62], [4.81, 6.78]]
    """
    if not len(points):
        return np.zeros((len(speeds), 0))
    if _undamped(ready.system):
        return np.full((len(speeds), len(points)), np.inf)
    f = resonance_grid(ready.system, fine)
    response, felt = ready.road_response(f, [p.row for p in points]), _felt(f, points)
    densities = (_density(response, vehicle, roughness, float(v), f, felt) for v in speeds)
    squares = [np.trapezoid(density, f, axis=0) for density in densities]
    return np.sqrt(np.array(squares).reshape(len(speeds), len(points)))


def _felt(frequency: Floats, points: Sequence[Point]) -> Floats:
    """Weighted acceleration per metre of rise [1/s^2], (F, P): of amplitude to amplitude."""
    return np.asarray(np.sqrt(2) * felt_per_metre(frequency, points))


def _density(
    response: Complexes, vehicle: Vehicle, roughness: Roughness, speed: float, f: Floats, felt: Floats
) -> Floats:
    height = roughness.in_time(f, speed)
    together = np.einsum("fpa,fa->fp", response, delays(vehicle, f / speed))
    return np.asarray(np.abs(together * felt) ** 2 * height[:, None])


# --- where to look ----------------------------------------------------------------------------------------


def resonance_grid(system: Matrices, fine: float = 1.0) -> Floats:
    """Frequencies to integrate over [Hz], from 0.02 to 30, closest at the poles.

    Even steps of a measure that counts octaves, hertz and, for every pole, the angle through which its
    resonance turns.

    fine  [-] how many times the usual number of points

    >>> from .example import small_truck
    >>> from .matrices import matrices
    >>> f = resonance_grid(matrices(small_truck()))
    >>> len(f), float(f[0]), float(f[-1])
    (2012, 0.02, 30.0)
    """
    values = _poles(system)
    centre, width = np.abs(values.imag) / (2 * np.pi), np.maximum(-values.real, 1e-4) / (2 * np.pi)
    dense = np.geomspace(LOWEST, GONE, 8000)
    turned = np.arctan((dense[:, None] - centre) / width).sum(axis=1) / np.pi
    measure = PER_OCTAVE * np.log2(dense) + PER_HERTZ * dense + PER_RESONANCE * turned
    count = int(fine * (measure[-1] - measure[0])) + 2
    f = np.interp(np.linspace(measure[0], measure[-1], count), measure, dense)
    f[[0, -1]] = LOWEST, GONE
    return np.asarray(f)


def _poles(system: Matrices) -> Complexes:
    """One of each pair [rad/s]."""
    n = len(system.coordinates)
    below = -linalg.solve(system.M, np.hstack([system.K, system.C]), assume_a="pos")
    whole = np.vstack([np.hstack([np.zeros((n, n)), np.eye(n)]), below])
    values = np.asarray(linalg.eigvals(whole), dtype=complex)
    return values[values.imag >= 0]


def _undamped(system: Matrices) -> bool:
    """Whether some mode that is followed here has no damping."""
    values = _poles(system)
    heard = (np.abs(values) > 2 * np.pi * LOWEST) & (np.abs(values) < 2 * np.pi * GONE)
    return bool(np.any(-values.real[heard] < UNDAMPED * np.abs(values[heard])))
