"""Any host for a damper, a vehicle or not: four measured or computed curves, or modes, are all it takes.

A host is prepared over frequency instead of speed: it stands on a road of one wave a metre, so that a
speed in m/s is a frequency in Hz, and everything that sizes and judges a damper on a vehicle does so here.

    H_wl, H_ll   motion of the watched points, and of the place, per newton at the place
    H_wi, H_li   the same per unit of the input; or, where only a spectrum is known, their motions themselves
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..model.comfort import weighting_factor
from ..model.points import Point, Row
from ..model.road import Input, Level
from .absorber import Host, RoadHost
from .limits import Place

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
_Curve = Callable[[NDArray[Any]], Complexes]
Kind = Literal["receptance", "mobility", "accelerance"]

POWER: dict[str, int] = {"receptance": 0, "mobility": 1, "accelerance": 2}  # of i omega, over a displacement


def host_from_receptances(
    frequency: ArrayLike,
    h_ll: ArrayLike,
    h_wl: ArrayLike,
    h_li: ArrayLike,
    h_wi: ArrayLike,
    level: ArrayLike = 1.0,
    *,
    kind: Kind = "receptance",
    points: Sequence[Point | str] = (),
) -> RoadHost:
    """A host from the four curves that describe it to any damper at one place.

    frequency  [Hz] (Q,) ascending, above zero
    h_ll       motion of the place per newton there [m/N, or its first or second rate], (Q,)
    h_wl       motion of the watched points per newton at the place [the same unit], (Q, P) or (Q,) for one
    h_li       motion of the place per unit of the input [m per unit, or its first or second rate], (Q,)
    h_wi       motion of the watched points per unit of the input [the same unit], (Q, P) or (Q,)
    level      amplitude of the input [its own unit], one or (Q,)
    kind       receptance, mobility or accelerance: whether the motions are displacements, velocities or
               accelerations
    points     names of the watched points, or points with a weighting

    Where motions in service were measured, and no input: give their complex amplitudes as h_li and h_wi.
    Levels are r.m.s. accelerations [m/s^2], as each point is weighted.  A host without damping is refused.

    >>> f = np.linspace(4.0, 6.0, 201)
    >>> y = 1 / (1e5 - 100 * (2 * np.pi * f) ** 2 + 2j * np.pi * f * 60)    # 100 kg at 5 Hz
    >>> host = host_from_receptances(f, y, y, y, y, level=10.0)             # shaken by 10 N
    >>> round(float(host.before().max()), 3), round(float(host.after(5.0, 4.5e3, 30.0).max()), 3)
    (3.718, 0.524)
    """
    f = np.asarray(frequency, dtype=float)
    if f.ndim != 1 or len(f) < 2 or not (np.diff(f) > 0).all() or f[0] <= 0:
        raise ValueError("frequencies must ascend from above zero")
    at_place, driven = (_one(h, f, name) for h, name in ((h_ll, "h_ll"), (h_li, "h_li")))
    reach, rise = (_table(h, f, name) for h, name in ((h_wl, "h_wl"), (h_wi, "h_wi")))
    if reach.shape != rise.shape:
        raise ValueError(f"h_wl has {reach.shape[1]} watched points, h_wi {rise.shape[1]}")
    omega = 2 * np.pi * f
    scale = (1j * omega) ** -POWER[kind]
    at_place = at_place * scale
    _refuse_undamped(at_place)
    watched = _points(points, reach.shape[1])
    amplitude = np.broadcast_to(np.asarray(level, dtype=float), f.shape)
    felt = (
        omega[:, None] ** 2 / np.sqrt(2) * np.stack([weighting_factor(p.weighting, f) for p in watched], -1)
    )
    lift = driven * scale * amplitude
    felt = felt * scale[:, None]
    host = Host(omega, rise * felt * amplitude[:, None], reach * felt * lift[:, None], at_place, lift)
    return RoadHost(host, f, watched, (_input(),))


def host_from_modes(
    frequency: ArrayLike,
    natural_hz: ArrayLike,
    damping_ratio: ArrayLike,
    place: ArrayLike,
    watched: ArrayLike,
    driven: ArrayLike,
    level: ArrayLike = 1.0,
    *,
    modal_mass: ArrayLike = 1.0,
    points: Sequence[Point | str] = (),
) -> RoadHost:
    """A host from its modes; whatever lies beyond them is left out, which detunes a damper.

    frequency      [Hz] (Q,) where it is looked at
    natural_hz     |pole| / 2 pi [Hz] (n,)
    damping_ratio  [-] (n,)
    place          shape of each mode at the place [m per unit amplitude], (n,)
    watched        shapes at the watched points [m per unit amplitude], (P, n) or (n,) for one
    driven         shapes where the input pushes [m per unit amplitude], (n,); for a road under a tyre of
                   rate k the input is its height, and this is k times the shape at the hub [N/m per unit]
    level          amplitude of the input [N, or m], one or (Q,)
    modal_mass     [kg] (n,); 1 for mass-normalised shapes.  Complex shapes of a heavily damped host take a
                   complex one: psiT (2 pole M + C) psi / (2 i Im pole)
    points         names of the watched points, or points with a weighting

    >>> f = np.linspace(4.0, 6.0, 201)
    >>> host = host_from_modes(f, [5.0], [0.01], [1.0], [1.0], [1.0], 10.0, modal_mass=100.0)
    >>> host.before().shape
    (201, 1)
    """
    f, natural, ratio = (np.asarray(x, dtype=float) for x in (frequency, natural_hz, damping_ratio))
    shapes = [np.atleast_2d(np.asarray(x)) for x in (place, watched, driven)]
    if any(s.shape[1] != len(natural) for s in shapes) or ratio.shape != natural.shape:
        raise ValueError(f"{len(natural)} modes want as many damping ratios and shapes")
    at_place, seen, pushed = shapes
    curve = _curves(2 * np.pi * f, 2 * np.pi * natural, ratio, np.asarray(modal_mass))
    return host_from_receptances(
        f,
        curve(at_place * at_place)[:, 0],
        curve(seen * at_place),
        curve(at_place * pushed)[:, 0],
        curve(seen * pushed),
        level,
        points=points,
    )


def place_in_band(host: RoadHost, band: tuple[float, float], name: str, heaviest: float = np.inf) -> Place:
    """A host made ready for the search: judged inside a band of frequencies, guarded outside it.

    band      from, to [Hz]
    name      of the place
    heaviest  what may hang there [kg]

    >>> from .limits import Bounds
    >>> from .search import best_damper
    >>> f = np.linspace(3.0, 8.0, 301)
    >>> host = host_from_modes(f, [5.0], [0.01], [1.0], [1.0], [1.0], 10.0, modal_mass=100.0)
    >>> best = best_damper([place_in_band(host, (4.0, 6.0), "bracket")], Bounds(5.0), 5.0)
    >>> round(best.damper.mass, 2), round(best.damper.tuned_hz, 2), round(best.reduction, 2)
    (5.0, 4.89, 0.89)
    """
    inside = (host.speeds >= band[0]) & (host.speeds <= band[1])
    if not inside.any():
        raise ValueError(f"no frequency of the host lies within {band[0]:g} to {band[1]:g} Hz")
    return Place(name, _part(host, inside), _part(host, ~inside), heaviest)


def _part(host: RoadHost, kept: NDArray[np.bool_]) -> RoadHost:
    return RoadHost(
        Host(*(part[kept] for part in vars(host.host).values())), host.speeds[kept], host.points, host.causes
    )


def _curves(omega: Floats, natural: Floats, ratio: Floats, mass: NDArray[Any]) -> _Curve:
    """Residues (points, n) to sums over modes (Q, points), conjugate poles included."""
    s = 1j * omega[:, None]
    below = natural**2 + 2 * ratio * natural * s + s**2

    def curve(residues: NDArray[Any]) -> Complexes:
        above = np.asarray(residues / mass)
        if not np.iscomplexobj(above):
            return np.asarray((1 / below) @ above.T)
        if (ratio >= 1).any():
            raise ValueError("a complex shape belongs to a pair of complex poles: damping ratios below 1")
        turning = natural * np.sqrt(1 - ratio**2)
        pole = -ratio * natural + 1j * turning
        residue = above / (2j * turning)
        even = -2 * (residue * pole.conj()).real
        return np.asarray((1 / below) @ even.T + (s / below) @ (2 * residue.real).T)

    return curve


def _one(curve: ArrayLike, frequency: Floats, name: str) -> Complexes:
    found = np.asarray(curve, dtype=complex)
    if found.shape != frequency.shape:
        raise ValueError(f"{name} has shape {found.shape}, wanted {frequency.shape}")
    return _finite(found, name)


def _table(curves: ArrayLike, frequency: Floats, name: str) -> Complexes:
    found = np.asarray(curves, dtype=complex)
    found = found[:, None] if found.ndim == 1 else found
    if found.ndim != 2 or len(found) != len(frequency):
        raise ValueError(f"{name} has shape {found.shape}, wanted ({len(frequency)}, points)")
    return _finite(found, name)


def _finite(found: Complexes, name: str) -> Complexes:
    if not np.isfinite(found).all():
        raise ValueError(f"{name} holds a value that is not finite")
    return found


def _refuse_undamped(at_place: Complexes) -> None:
    """Under e^{+i omega t} a push does work on a passive host, so its receptance has Im <= 0 there."""
    if at_place.imag.sum() > 0:
        raise ValueError("h_ll gives energy back: its phase turns the other way; give the conjugate curves")
    if not at_place.imag.any():
        raise ValueError("h_ll has no damping at all: the host must lose some energy")


def _points(points: Sequence[Point | str], count: int) -> tuple[Point, ...]:
    named = points or [f"watched {i + 1}" for i in range(count)]
    if len(named) != count:
        raise ValueError(f"{len(named)} points are named, and {count} are watched")
    return tuple(p if isinstance(p, Point) else Point(p, 0.0, Row(), watched=True) for p in named)


def _input() -> Input:
    """One wave a metre: at v [m/s] it comes v times a second."""
    return Input("given input", "wave", 1, None, 1.0, np.ones(1, dtype=complex), Level(1.0, 1.0))
