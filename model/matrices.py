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

    A value may be a float, a SymPy symbol, or an array with one entry a vehicle, and so may a share of a
    row: then (vehicles, rows, columns).

    >>> from .parts import spring
    >>> from .points import at
    >>> leaf = spring("leaf", 3e5, at("body"), at("axle"))
    >>> assemble([leaf], "spring", ("body", "axle")).tolist()
    [[300000.0, -300000.0], [-300000.0, 300000.0]]
    """
    mine = [part for part in parts if part.kind == kind]
    left = dense((p.row for p in mine), rows)
    right = left if columns is None else dense((p.row for p in mine), columns)
    values = _values(mine)
    return np.asarray(np.swapaxes(left, -1, -2) @ (values[..., None] * right))


def _values(parts: list[Part]) -> NDArray[Any]:
    """(parts,), or (vehicles, parts)."""
    if any(isinstance(p.value, np.ndarray) for p in parts):
        return np.stack(np.broadcast_arrays(*(p.value for p in parts)), axis=-1)
    return np.array([p.value for p in parts])


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
    """The matrices of a vehicle; symmetric to the last bit.  Of many vehicles at once: a first axis for them.

    >>> from .example import small_truck
    >>> system = matrices(small_truck())
    >>> system.coordinates, float(system.M[2, 2]), float(system.push_0[2, 0])
    (('bounce', 'pitch', 'axle.front', 'axle.rear'), 300.0, 1600000.0)
    """
    free, roads = vehicle.coordinates, vehicle.roads
    m, c, k = (_even(assemble(vehicle.parts, kind, free)) for kind in ("mass", "damper", "spring"))
    push_0 = -assemble(vehicle.parts, "spring", free, roads)
    push_1 = -assemble(vehicle.parts, "damper", free, roads)
    found = (m, c, k, push_0, push_1)
    vehicles = np.broadcast_shapes(*(a.shape[:-2] for a in found))
    return Matrices(free, roads, *(np.broadcast_to(a, (*vehicles, *a.shape[-2:])) for a in found))


def _even(a: NDArray[Any]) -> Floats:
    return np.asarray((a + np.swapaxes(a, -1, -2)) / 2, dtype=float)
