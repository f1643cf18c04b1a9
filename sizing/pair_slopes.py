"""What one pair of dampers does, with exact slopes: what a search by gradients asks again and again.

The two equations M f = b of a pair are differentiated as they stand: M df = db - dM f, and what is on the
right is how far each equation is thrown off balance by a change of one link or one mass.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .pair import PairRoad, solved

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True)
class FeltPair:
    """What one pair does, with slopes over x = (ln omega_damper, ln damping ratio, ln mass) of each.

    level [m/s^2] r.m.s. (V, P), level_slope (6, V, P); stroke [m] (V, 2), stroke_slope (6, V, 2)
    """

    level: Floats
    level_slope: Floats
    stroke: Floats
    stroke_slope: Floats


def felt_pair(road: PairRoad, x: Floats) -> FeltPair:
    """Levels and strokes of one pair, with exact slopes.

    x  (ln omega_damper [rad/s], ln damping ratio [-], ln mass [kg]) of each, (6,)

    >>> from ..model.example import small_truck
    >>> from ..model.response import dynamics
    >>> from ..model.road import Roads, inputs
    >>> from .pair import pair_road
    >>> truck = small_truck()
    >>> end, causes = truck.points["rear end"], inputs(Roads((1,)), truck, 5.0)
    >>> road = pair_road(dynamics(truck), causes, np.linspace(6.0, 8.0, 21), [end], (end, end))
    >>> found = felt_pair(road, np.log([17.0, 0.1, 10.0, 20.0, 0.1, 10.0]))
    >>> found.level_slope.shape, found.stroke_slope.shape
    ((6, 21, 1), (6, 21, 2))
    """
    own, ratio, m = np.exp(x).reshape(2, 3).T
    omega = road.omega[:, None]
    a, still, dash = m * omega**2, m * own**2, 2j * ratio * m * own * omega
    link = still + dash
    f = road.forces(a, link)
    by_link, by_mass = _unbalanced(road, a, link, f)
    steps = np.array([2 * still + dash, dash, link])  # of each link, over x; a mass moves `a` by `a` itself
    off = np.array([by_link[j] * step[:, j, None] for j in (0, 1) for step in steps])
    off[2] += by_mass[0] * a[:, 0, None]
    off[5] += by_mass[1] * a[:, 1, None]
    f_slope = solved(road.equations(a, link), off)
    moved, moved_slope = f / link, f_slope / link
    for j in (0, 1):
        moved_slope[3 * j : 3 * j + 3, :, j] -= steps[:, :, j] * (moved / link)[:, j]
    return FeltPair(
        *_levels(road, road.rise + road.felt(f), road.felt(f_slope)), *_strokes(road, moved, moved_slope)
    )


def _unbalanced(road: PairRoad, a: Floats, link: Complexes, f: Complexes) -> tuple[Complexes, Complexes]:
    """How far both equations are off per change of l, and of a, of the first and of the second, (2, Q, 2)
    each."""
    by_link, by_mass = np.zeros((2, 2, *f.shape), dtype=complex)
    goes = road.lift + (road.give * (f * road.holds)[..., None, :]).sum(axis=-1)
    for j in (0, 1):
        by_link[j, :, j] = a[:, j] * goes[:, j] - f[:, j]
        by_mass[j, :, j] = link[:, j] * goes[:, j] + f[:, j]
    if road.stacked:
        (a1, a2), l2, (f1, f2) = a.T, link[:, 1], f.T
        by_link[0, :, 0] += f2
        by_mass[0, :, 1] = (a2 - l2) * f2
        by_link[1, :, 1] = a2 * f1 - (a1 + a2) * f2
        by_mass[1, :, 1] = l2 * f1 - (l2 - a1) * f2
    return by_link, by_mass


def _levels(road: PairRoad, after: Complexes, slope: Complexes) -> tuple[Floats, Floats]:
    """Root of the sum of squares over causes."""
    after, slope = after.reshape(*road.grid, -1), slope.reshape(6, *road.grid, after.shape[-1])
    level = np.sqrt((after.real**2 + after.imag**2).sum(axis=0))
    change = (after.real * slope.real + after.imag * slope.imag).sum(axis=1)
    return level, change / np.maximum(level, 1e-300)


def _strokes(road: PairRoad, moved: Complexes, slope: Complexes) -> tuple[Floats, Floats]:
    """Sum over causes at their worst."""
    worst = road.worst[:, None]
    moved = (moved * worst).reshape(*road.grid, 2)
    slope = (slope * worst).reshape(6, *road.grid, 2)
    size = np.abs(moved)
    change = (moved.real * slope.real + moved.imag * slope.imag) / np.maximum(size, 1e-300)
    return size.sum(axis=0), change.sum(axis=1)
