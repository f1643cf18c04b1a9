"""One body from quarter to bending half vehicle: shapes whose bending moment is a Legendre polynomial.

The frame's rise is a sum of shapes: bounce, pitch, then bending shapes.  The curvature of a bending shape is
P_k / EI, integrated twice, so that steps of stiffness are met exactly where plain polynomials converge slowly
and to the wrong frequency; the shapes are made orthogonal over the length, each 1 at the rear end.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

from .points import Row

Floats = NDArray[np.float64]


quadrature = cache(legendre.leggauss)


def coordinate_names(terms: int) -> tuple[str, ...]:
    """Names of a frame's coordinates: bounce, pitch, bend 1, bend 2, ...

    >>> coordinate_names(4)
    ('bounce', 'pitch', 'bend 1', 'bend 2')
    """
    return ("bounce", "pitch", *(f"bend {i}" for i in range(1, terms - 1)))[:terms]


@dataclass(frozen=True)
class Frame:
    """A beam between two stations [m], front and rear; or many, where its numbers are arrays (vehicles,).

    stiffness  EI [N m^2], a function of station (array in, array out), smooth between `breaks`; None: rigid
    terms      1: bounce, a quarter vehicle; 2: and pitch, a rigid half vehicle; more: it bends
    breaks     stations [m] where the stiffness steps, in order

    >>> bare = Frame(0.0, 6.0, lambda x: 5.5e6 + 0 * x, terms=9)
    >>> [round(float(r), 6) for r in bare.rise([3.0])[0, :3]]     # constant EI: Legendre polynomials
    [1.0, 0.0, -0.5]
    """

    front: Any
    rear: Any
    stiffness: Callable[[Floats], Floats] | None = None
    terms: int = 2
    breaks: tuple[Any, ...] = ()

    @property
    def length(self) -> Any:
        """Length [m]."""
        return self.rear - self.front

    @cached_property
    def coordinates(self) -> tuple[str, ...]:
        """Names of the frame's coordinates, (terms,)."""
        return coordinate_names(self.terms)

    def gauss(self) -> tuple[Floats, Floats]:
        """Stations [m] and weights [m] of a quadrature over the length, segment by segment, (points,) each;
        (vehicles, points) for many."""
        return self._gauss(self.rear)

    def _gauss(self, upto: Any) -> tuple[Floats, Floats]:
        """A quadrature from the front end up to a station [m]; a segment beyond it weighs nothing."""
        borders = [self.front, *self.breaks, self.rear]
        edges = np.stack(np.broadcast_arrays(*(np.clip(b, self.front, upto) for b in borders)), axis=-1)
        points, weights = quadrature(self.terms + 4)
        half = np.diff(edges)[..., None] / 2
        stations = edges[..., :-1, None] + (points + 1) * half
        shape = (*edges.shape[:-1], -1)
        return stations.reshape(shape), (weights * half).reshape(shape)

    def _curvature_raw(self, stations: Floats) -> Floats:
        if self.terms <= 2 or self.stiffness is None:
            return np.zeros((*stations.shape, self.terms))
        middle = self.stiffness(np.asarray((self.front + self.rear) / 2)[..., None])
        softness = middle / self.stiffness(stations)
        bend = softness[..., None] * legendre.legvander(self._unit(stations), self.terms - 3)
        return np.concatenate([np.zeros((*bend.shape[:-1], 2)), bend], axis=-1)

    def _unit(self, stations: Floats) -> Floats:
        """Stations along the last axis, from -1 at the front end to 1 at the rear."""
        front, length = np.asarray(self.front)[..., None], np.asarray(self.length)[..., None]
        return np.asarray(2 * (stations - front) / length - 1)

    def _rise_raw(self, station: Any) -> Floats:
        x, w = self._gauss(station)
        near = np.asarray(station)[..., None]
        bend = np.matmul((w * (near - x))[..., None, :], self._curvature_raw(x))[..., 0, :]
        bend[..., 0] = 1.0
        bend[..., 1:2] = self._unit(near)[..., : self.terms - 1]
        return np.asarray(bend)

    def _slope_raw(self, station: Any) -> Floats:
        x, w = self._gauss(station)
        slope = np.matmul(w[..., None, :], self._curvature_raw(x))[..., 0, :]
        slope[..., 1:2] = (2 / np.asarray(self.length)[..., None])[..., : self.terms - 1]
        return np.asarray(slope)

    @cached_property
    def _change(self) -> Floats:
        """Columns that make the shapes orthogonal over the length, each 1 at the rear end."""
        x, w = self.gauss()
        raw = np.stack([self._rise_raw(s) for s in np.moveaxis(x, -1, 0)], axis=-2)
        columns = np.linalg.inv(np.linalg.qr(np.sqrt(w)[..., None] * raw)[1])
        return np.asarray(columns / np.matmul(self._rise_raw(self.rear)[..., None, :], columns))

    def rise(self, stations: Sequence[float] | Floats) -> Floats:
        """Rise per unit of each coordinate at stations [m] on the frame, (stations, terms).

        Raises ValueError for a station beyond the ends: a polynomial is never extrapolated.
        """
        for station in stations:
            if not self.front - 1e-9 <= station <= self.rear + 1e-9:
                raise ValueError(
                    f"station {station:g} m lies outside the frame ({self.front:g} to {self.rear:g} m); "
                    "hang an arm on its end"
                )
        return np.array([self._rise_raw(s) for s in stations]) @ self._change

    def curvature(self, stations: Floats) -> Floats:
        """Curvature [1/m^2] per unit of each coordinate at stations [m], (stations, terms); (vehicles,
        stations, terms) for many."""
        return np.asarray(self._curvature_raw(stations) @ self._change)

    def curvature_rows(self) -> list[Row]:
        """The rows of the curvature [1/m^2] at the stations of `gauss`, in their order."""
        table = np.moveaxis(self.curvature(self.gauss()[0]), -2, 0)
        return [self._row(values) for values in table]

    def row(self, station: Any) -> Row:
        """The row of a point at a station [m]; beyond an end it rides on the end's rise and slope."""
        near = np.clip(station, self.front, self.rear)
        values = self._at(near, self._rise_raw)
        if np.any(station != near):
            values = values + np.asarray(station - near)[..., None] * self._at(near, self._slope_raw)
        return self._row(values)

    def slope(self, station: Any) -> Row:
        """The row of the slope d rise / d station [1/m] at a station [m]; constant beyond an end."""
        return self._row(self._at(np.clip(station, self.front, self.rear), self._slope_raw))

    def _row(self, values: Floats) -> Row:
        """Coordinates along the last axis; plain floats for one vehicle."""
        shares = values.tolist() if values.ndim == 1 else list(np.moveaxis(values, -1, 0))
        return Row(zip(self.coordinates, shares, strict=True))

    def _at(self, station: Any, raw: Callable[[Any], Floats]) -> Floats:
        """Each station of one vehicle is asked for many times while it is built, so they are kept."""
        key = (raw.__name__, float(station)) if np.ndim(station) == 0 else None
        if key is None or key not in self._kept:
            found = np.matmul(raw(station)[..., None, :], self._change)[..., 0, :]
            if key is None:
                return np.asarray(found)
            self._kept[key] = np.asarray(found)
        return self._kept[key]

    @cached_property
    def _kept(self) -> dict[tuple[str, float], Floats]:
        return {}
