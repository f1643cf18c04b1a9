"""One body from quarter to bending half vehicle: shapes whose bending moment is a Legendre polynomial.

The frame's rise is a sum of shapes: bounce, pitch, then bending shapes.  The curvature of a bending shape is
P_k / EI, integrated twice, so that steps of stiffness are met exactly where plain polynomials converge slowly
and to the wrong frequency; the shapes are made orthogonal over the length, each 1 at the rear end.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, cached_property

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
    """A beam between two stations [m], front and rear.

    stiffness  EI [N m^2], a function of station (array in, array out), smooth between `breaks`; None: rigid
    terms      1: bounce, a quarter vehicle; 2: and pitch, a rigid half vehicle; more: it bends
    breaks     stations [m] where the stiffness steps

    >>> bare = Frame(0.0, 6.0, lambda x: 5.5e6 + 0 * x, terms=9)
    >>> [round(float(r), 6) for r in bare.rise([3.0])[0, :3]]     # constant EI: Legendre polynomials
    [1.0, 0.0, -0.5]
    """

    front: float
    rear: float
    stiffness: Callable[[Floats], Floats] | None = None
    terms: int = 2
    breaks: tuple[float, ...] = ()

    @property
    def length(self) -> float:
        """Length [m]."""
        return self.rear - self.front

    @cached_property
    def coordinates(self) -> tuple[str, ...]:
        """Names of the frame's coordinates, (terms,)."""
        return coordinate_names(self.terms)

    def gauss(self, upto: float | None = None) -> tuple[Floats, Floats]:
        """Stations [m] and weights [m] of a quadrature, segment by segment.

        upto  from the front end up to here [m]; None: to the rear end
        """
        end = self.rear if upto is None else upto
        inner = sorted(b for b in self.breaks if self.front < b < end)
        edges = np.array([self.front, *inner, end])
        points, weights = quadrature(self.terms + 4)
        half = np.diff(edges)[:, None] / 2
        return (edges[:-1, None] + (points + 1) * half).ravel(), (weights * half).ravel()

    def _curvature_raw(self, stations: Floats) -> Floats:
        bend = np.zeros((len(stations), self.terms))
        if self.terms > 2 and self.stiffness is not None:
            middle = self.stiffness(np.array([(self.front + self.rear) / 2]))
            softness = middle / self.stiffness(stations)
            bend[:, 2:] = softness[:, None] * legendre.legvander(self._unit(stations), self.terms - 3)
        return bend

    def _unit(self, stations: Floats) -> Floats:
        return 2 * (stations - self.front) / self.length - 1

    def _rigid(self, station: float) -> Floats:
        return np.array([1.0, self._unit(np.array(station)), *np.zeros(self.terms)])[: self.terms]

    def _rise_raw(self, station: float) -> Floats:
        x, w = self.gauss(station)
        return self._rigid(station) + (w * (station - x)) @ self._curvature_raw(x)

    def _slope_raw(self, station: float) -> Floats:
        x, w = self.gauss(station)
        rigid = np.array([0.0, 2 / self.length, *np.zeros(self.terms)])[: self.terms]
        return rigid + w @ self._curvature_raw(x)

    @cached_property
    def _change(self) -> Floats:
        """Columns that make the shapes orthogonal over the length, each 1 at the rear end."""
        x, w = self.gauss()
        raw = np.array([self._rise_raw(s) for s in x])
        columns = np.linalg.inv(np.linalg.qr(np.sqrt(w)[:, None] * raw)[1])
        return np.asarray(columns / (self._rise_raw(self.rear) @ columns))

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
        """Curvature [1/m^2] per unit of each coordinate at stations [m], (stations, terms)."""
        return self._curvature_raw(stations) @ self._change

    def row(self, station: float) -> Row:
        """The row of a point at a station [m]; beyond an end it rides on the end's rise and slope."""
        near = min(max(station, self.front), self.rear)
        values = self._rise(near)
        if station != near:
            values = values + (station - near) * self._slope(near)
        return Row(zip(self.coordinates, values.tolist(), strict=True))

    def slope(self, station: float) -> Row:
        """The row of the slope d rise / d station [1/m] at a station [m]; constant beyond an end."""
        near = min(max(station, self.front), self.rear)
        return Row(zip(self.coordinates, self._slope(near).tolist(), strict=True))

    @cached_property
    def _rise(self) -> Callable[[float], Floats]:
        """Each station is asked for many times while a vehicle is built."""
        return cache(lambda station: self._rise_raw(station) @ self._change)

    @cached_property
    def _slope(self) -> Callable[[float], Floats]:
        return cache(lambda station: self._slope_raw(station) @ self._change)
