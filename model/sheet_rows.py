"""What a part stretches by, in words: motions of stations, bodies and axles, for the equation sheet."""

from __future__ import annotations

from typing import Any

import numpy as np

from .points import Row
from .vehicle import Vehicle

CLOSE = 1e-9  # [-] below which a share of a row is none
REACH = 2.0  # [m] beyond the frame's ends where a mount may stand

Piece = tuple[float, str]  # how much of it, and what: "w(3.9)", "w_x(0)", "y_axle.rear", "u_rear"


def pieces(vehicle: Vehicle, row: Row) -> list[Piece]:
    """A row as few named motions: the frame's rise or slope at a station, and whatever else moves.

    >>> from .example import small_truck
    >>> truck = small_truck()
    >>> pieces(truck, truck.parts[0].row)     # of the front spring
    [(1.0, 'w(0 m)'), (-1.0, 'y_front axle')]
    """
    frame, roads = vehicle.frame, set(vehicle.roads)
    own = [row.get(c, 0.0) for c in frame.coordinates]
    pieces = _of_frame(vehicle, np.array(own, dtype=float)) if any(own) else []
    for coordinate, share in row.items():
        if coordinate not in frame.coordinates and share:
            below = coordinate.partition(".")[2] if coordinate in roads else plain_name(coordinate)
            pieces.append((float(share), f"{'u' if coordinate in roads else 'y'}_{below}"))
    return sorted(pieces, key=lambda piece: piece[0] < 0)


def _of_frame(vehicle: Vehicle, own: Any) -> list[Piece]:
    frame = vehicle.frame
    if frame.terms == 1:
        return [(float(own[0]), "w")]
    if abs(own[0]) > CLOSE:  # the second share of a rise tells where it is: pitch is linear in the station
        station = frame.front + (own[1] / own[0] + 1) * frame.length / 2
        if _same(vehicle, own, own[0], frame.row(station)):
            return [(float(own[0]), f"w({_station(station)})")]
    else:
        for point in vehicle.points.values():
            slope = frame.slope(point.station)
            if _same(vehicle, own, (scale := own[1] / slope["pitch"]), slope):
                return [(float(scale), f"w_x({_station(point.station)})")]
    return _of_two(vehicle, own)


def _of_two(vehicle: Vehicle, own: Any) -> list[Piece]:
    """The mean of two stations (an equaliser), or else every shape by its name."""
    axles = vehicle.axles
    for i, one in enumerate(axles):
        for two in axles[i + 1 :]:
            mean = 0.5 * (vehicle.frame.row(one.station) + vehicle.frame.row(two.station))
            if _same(vehicle, own, own[0], mean):
                return [(float(own[0]) / 2, f"w({_station(axle.station)})") for axle in (one, two)]
    return _of_a_tilting_body(vehicle, own) or [
        (float(v), f"q_{c}") for c, v in zip(vehicle.frame.coordinates, own, strict=True) if v
    ]


def _of_a_tilting_body(vehicle: Vehicle, own: Any) -> list[Piece]:
    """A mount of a body that pitches with what it stands on: the rise at the mount's station x, less what the
    slope at the body's station s makes of the arm between them.

    The first two shares, of a rigid body, tell s; x is where the others fit.
    """
    from scipy.optimize import minimize_scalar

    frame = vehicle.frame
    if abs(own[0]) <= CLOSE:
        return []
    s = frame.front + (own[1] / own[0] + 1) * frame.length / 2

    def mount(x: float) -> Row:
        arm: Row = (x - s) * frame.slope(s)
        return frame.row(x) - arm

    def apart(x: float) -> float:
        row = mount(x)
        return float(sum((own[i] / own[0] - row[c]) ** 2 for i, c in enumerate(frame.coordinates)))

    grid = np.linspace(frame.front - REACH, frame.rear + REACH, 81)
    near = int(np.argmin([apart(x) for x in grid]))
    bounds = grid[max(near - 1, 0)], grid[min(near + 1, len(grid) - 1)]
    x = float(minimize_scalar(apart, bounds=bounds, method="bounded", options={"xatol": 1e-9}).x)
    if not _same(vehicle, own, own[0], mount(x), 1e-5):
        return []
    return [(float(own[0]), f"w({_station(x)})"), (float(-own[0] * (x - s)), f"w_x({_station(s)})")]


def _same(vehicle: Vehicle, own: Any, scale: float, row: Row, within: float = 1e-7) -> bool:
    want = scale * np.array([row[c] for c in vehicle.frame.coordinates])
    return bool(np.allclose(own, want, rtol=within, atol=within / 100 * max(float(np.abs(own).max()), 1e-12)))


def _station(station: float) -> str:
    return f"{round(station, 3) + 0.0:g} m"


def plain_name(coordinate: str) -> str:
    """axle.rear -> rear axle; body.cab -> cab; body.cab.pitch -> cab pitch."""
    kind, _, name = coordinate.partition(".")
    return f"{name} axle" if kind == "axle" else (name or kind).replace(".", " ")
