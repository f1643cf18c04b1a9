"""M, C and K from the parts, in numbers, in symbols, or for many plausible vehicles at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .parts import Kind, Part
from .points import dense
from .vehicle import Vehicle

Floats = NDArray[np.float64]


def assemble(
    parts: Iterable[Part], kind: Kind, rows: tuple[str, ...], columns: tuple[str, ...] | None = None
) -> NDArray[Any]:
    """Sum of value * row rowT over the parts of one kind [SI], (rows, columns); no `columns` means rows.

    A value may be a float, a SymPy symbol, or an array with one entry per vehicle: then (vehicles, rows,
    columns).

    >>> from .parts import spring
    >>> from .points import at
    >>> leaf = spring("leaf", 3e5, at("body"), at("axle"))
    >>> assemble([leaf], "spring", ("body", "axle")).tolist()
    [[300000.0, -300000.0], [-300000.0, 300000.0]]
    """
    mine = [part for part in parts if part.kind == kind]
    left = dense((p.row for p in mine), rows)
    right = left if columns is None else dense((p.row for p in mine), columns)
    lanes = max((np.size(p.value) for p in mine if isinstance(p.value, np.ndarray)), default=0)
    if lanes:
        values = np.array([np.broadcast_to(p.value, (lanes,)) for p in mine])
        return np.asarray(np.einsum("pl,pi,pj->lij", values, left, right, optimize=True))
    return np.asarray(left.T @ (np.array([p.value for p in mine])[:, None] * right))


@dataclass(frozen=True)
class Matrices:
    """M q'' + C q' + K q = push_0 u + push_1 u', u the heights of the road under the axles.

    coordinates    (n,)
    roads          (r,)
    M, C, K        (n, n) [kg, N s/m, N/m]
    push_0, push_1 (n, r) [N/m, N s/m]: what the road's height and its rate push with
    """

    coordinates: tuple[str, ...]
    roads: tuple[str, ...]
    M: Floats
    C: Floats
    K: Floats
    push_0: Floats
    push_1: Floats


def matrices(vehicle: Vehicle) -> Matrices:
    """The matrices of a vehicle; symmetric to the last bit.

    >>> from .example import small_truck
    >>> system = matrices(small_truck())
    >>> system.coordinates, float(system.M[2, 2]), float(system.push_0[2, 0])
    (('bounce', 'pitch', 'axle.front', 'axle.rear'), 300.0, 1600000.0)
    """
    free, roads = vehicle.coordinates, vehicle.roads
    m, c, k = (_even(assemble(vehicle.parts, kind, free)) for kind in ("mass", "damper", "spring"))
    push_0 = -assemble(vehicle.parts, "spring", free, roads)
    push_1 = -assemble(vehicle.parts, "damper", free, roads)
    return Matrices(free, roads, m, c, k, push_0, push_1)


def _even(a: NDArray[Any]) -> Floats:
    return np.asarray((a + a.T) / 2, dtype=float)
