"""Rows: a point is how far it rises per unit of each generalised coordinate.

Up is positive.  A station is a distance behind the front axle [m], positive rearward.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

Direction = Literal["vertical", "fore-aft"]
Weighting = Literal["none", "Wk", "Wd"]


class Row(dict[str, Any]):
    """Rise of one point [m] per unit of each coordinate; rows add, subtract and scale.

    >>> Row(bounce=1.0, pitch=2.0) - Row(axle=1.0)
    {'bounce': 1.0, 'pitch': 2.0, 'axle': -1.0}
    """

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

    >>> dense([Row(a=1.0), Row(b=2.0)], ("a", "b")).tolist()
    [[1.0, 0.0], [0.0, 2.0]]
    """
    listed = [[row.get(c, 0) for c in coordinates] for row in rows]
    return np.array(listed).reshape(len(listed), len(coordinates))


@dataclass(frozen=True)
class Point:
    """A named place on the vehicle, and the row of its motion.

    name       as the case file calls it
    station    [m] behind the front axle
    row        rise (or, fore-aft, height times slope) [m] per unit coordinate
    direction  vertical (up positive), or fore-aft (forward positive: height times slope)
    weighting  what a person feels there: none (plain acceleration), Wk (seat, vertical) or Wd (seat,
        fore-aft)
    watched    whether the shake is judged here
    """

    name: str
    station: float
    row: Row
    direction: Direction = "vertical"
    weighting: Weighting = "none"
    watched: bool = False
