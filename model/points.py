"""Rows: a point is how far it rises per unit of each generalised coordinate.

Up is positive.  A station is a distance behind the front axle [m], positive rearward.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from .comfort import Weighting

Direction = Literal["vertical", "fore-aft"]


class Row(dict[str, Any]):
    """Rise of one point [m] per unit of each coordinate; rows add, subtract and scale.

    >>> Row(bounce=1.0, pitch=2.0) - Row(axle=1.0)
    {'bounce': 1.0, 'pitch': 2.0, 'axle': -1.0}
    """

    __array_ufunc__ = None  # so that an array, one entry a vehicle, times a row is a row

    def __add__(self, other: Mapping[str, Any]) -> Row:
        return Row({c: self.get(c, 0) + other.get(c, 0) for c in {**self, **other}})

    def __sub__(self, other: Mapping[str, Any]) -> Row:
        return Row({c: self.get(c, 0) - other.get(c, 0) for c in {**self, **other}})

    def __rmul__(self, factor: Any) -> Row:
        return Row({c: factor * share for c, share in self.items()})


def at(coordinate: str) -> Row:
    """The point that *is* a coordinate: an axle, a road contact, a damper's mass.

    >>> at("axle.rear")
    {'axle.rear': 1.0}
    """
    return Row({coordinate: 1.0})


def dense(rows: Iterable[Mapping[str, Any]], coordinates: tuple[str, ...]) -> NDArray[Any]:
    """Rows as an array (rows, coordinates) [m per unit]; shares of coordinates not listed are dropped.

    Shares that are arrays, one entry a vehicle, give (vehicles, rows, coordinates).

    >>> dense([Row(a=1.0), Row(b=2.0)], ("a", "b")).tolist()
    [[1.0, 0.0], [0.0, 2.0]]
    """
    listed = [[row.get(c, 0) for c in coordinates] for row in rows]
    shares = (share for row in listed for share in row)
    vehicles = max((share.size for share in shares if isinstance(share, np.ndarray)), default=0)
    if not vehicles:
        return np.array(listed).reshape(len(listed), len(coordinates))
    table = np.empty((vehicles, len(listed), len(coordinates)))
    for i, row in enumerate(listed):
        for j, share in enumerate(row):
            table[:, i, j] = share
    return table


@dataclass(frozen=True)
class Point:
    """A named place on the vehicle, and the row of its motion.

    name       as the case file calls it
    station    [m] behind the front axle
    row        rise (or, fore-aft, height times slope) [m] per unit coordinate
    direction  vertical (up positive), or fore-aft (forward positive: height times slope)
    weighting  what a person feels there: none (plain acceleration), Wk (seat, vertical), Wd (seat,
        fore-aft) or Wc (seat back, fore-aft)
    watched    whether the shake is told here; `judged` says which of these points decide
    """

    name: str
    station: float
    row: Row
    direction: Direction = "vertical"
    weighting: Weighting = "none"
    watched: bool = False


def judged(watched: Sequence[Point]) -> tuple[Point, ...]:
    """The points that decide: what a person feels where it is known (a weighting), all of them otherwise.

    A plain acceleration beside a weighted one is no larger shake.

    >>> floor, seat = Point("floor", 0.3, Row()), Point("seat", 0.5, Row(), weighting="Wk")
    >>> [p.name for p in judged([floor, seat])], [p.name for p in judged([floor])]
    (['seat'], ['floor'])
    """
    weighted = tuple(p for p in watched if p.weighting != "none")
    return weighted or tuple(watched)
