"""What gravity tells of sensors that feel it: offsets, what hangs upside down, where unknown axes point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from .clock import Grid
from .columns import Floats, pieces
from .notes import HealthNote
from .sensors import GRAVITY, Direction, Sensor

OFFSET = 0.5  # [m/s^2] of a mean from which on it is taken off
MOSTLY = 0.8  # [-] of gravity that an axis must carry to be the vertical one
HARDLY = 0.35  # [-] that it may carry where another one does
WITHIN = 0.1  # [-] of gravity by which three axes together may miss it
PACE = 1.0  # [s] of the means that are compared with how the speed changes
TELLS = 0.5  # [-] of the variance of the speed's changes that a direction must explain to be fore-aft
LIVELY = 0.15  # [m/s^2] r.m.s. of the speed's changes below which they tell nothing
TURNED = np.radians(6.0)  # [rad] between gravity before and after from which on a sensor has moved
STEADY = 20.0  # [s] of the means that show it
EXACTLY = 0.03  # [-] within which a mean must be what gravity is in a wrong unit
WRONG_UNITS = {
    1.0: "what gravity is in g: the column seems to be in g, not m/s^2",
    GRAVITY**2: "what gravity is in m/s^2: the column seems to be in m/s^2, not g",
    1e3: "what gravity is in milli-g: the column seems to be in milli-g, not m/s^2",
    1e3 * GRAVITY: "what gravity is in milli-g: the column seems to be in milli-g, not g",
}
"""Means [m/s^2] of a vertical axis that tell a wrong unit, and what they tell."""

AXES: tuple[Direction, ...] = ("axis 1", "axis 2", "axis 3")
Outcome = tuple[tuple[Sensor, ...], list[HealthNote], list[str]]


def means_of(samples: Any, count: int) -> Floats:
    """The mean of each of the first `count` rows (count,) [their unit], read piece by piece."""
    total = np.zeros(count)
    for where in pieces(samples.shape[1]):
        total += np.asarray(samples[:count, where]).sum(axis=1)
    return np.asarray(total / samples.shape[1])


def set_upright(samples: Any, sensors: Sequence[Sensor], grid: Grid, speed: Floats | None) -> Outcome:
    """Turns every sensor into its direction and takes gravity off, in place: sensors, notes, what was done.

    samples  (channels, samples) [m/s^2], one row for each sensor first
    speed    [m/s] (samples,), which tells the way forward where it changes; None: not known
    """
    found, notes, done = list(sensors), list[HealthNote](), list[str]()
    for point in dict.fromkeys(one.point for one in sensors if one.direction == "unknown"):
        rows = [i for i, one in enumerate(sensors) if one.point == point and one.direction == "unknown"]
        directions = _turned(samples, rows, point, grid, speed, notes, done)
        for row, direction in zip(rows, directions, strict=True):
            found[row] = replace(sensors[row], direction=direction)
    means = means_of(samples, len(found))
    for one, mean in zip(found, means, strict=True):
        notes += _wrong_unit(one.name, mean, grid) if one.direction == "vertical" else []
    _exchange(samples, found, means, grid, notes)
    for row, one in enumerate(found):
        if one.direction == "vertical" and means[row] < -MOSTLY * GRAVITY:
            _scaled(samples, row, -1.0)
            means[row] *= -1
            said = f"it reads {-means[row]:.2f} m/s^2 on average: gravity upside down"
            notes.append(HealthNote(one.name, "inverted", grid.start, grid.end, said, "turned round"))
    off = [row for row in range(len(found)) if abs(means[row]) > OFFSET]
    for row in off:
        for where in pieces(samples.shape[1]):
            samples[row, where] -= means[row]
    if off:
        listed = ", ".join(f"{found[row].name} {means[row]:.2f} m/s^2" for row in off)
        done.append(f"The mean was taken off (gravity, or an offset): {listed}.")
    return tuple(found), notes, done


def _wrong_unit(name: str, mean: float, grid: Grid) -> list[HealthNote]:
    """What is said of a mean [m/s^2] that is gravity to a hair, in another unit than the column says."""
    said = next((said for is_, said in WRONG_UNITS.items() if abs(abs(mean) / is_ - 1) < EXACTLY), None)
    found = f"it reads {mean:.4g} m/s^2 on average, {said}"
    return [HealthNote(name, "unit suspect", grid.start, grid.end, found, "left as it is")] if said else []


def _scaled(samples: Any, row: int, by: float) -> None:
    for where in pieces(samples.shape[1]):
        samples[row, where] *= by


def _exchange(
    samples: Any, sensors: list[Sensor], means: Floats, grid: Grid, notes: list[HealthNote]
) -> None:
    """Where gravity lies on another axis of a point than the vertical one, the two were swapped."""
    for up, one in enumerate(sensors):
        if one.direction != "vertical" or abs(means[up]) > HARDLY * GRAVITY:
            continue
        for row, other in enumerate(sensors):
            same = (other.point, other.side) == (one.point, one.side) and row != up
            if same and abs(means[row]) > MOSTLY * GRAVITY:
                for where in pieces(samples.shape[1]):
                    samples[[up, row], where] = np.asarray(samples[[row, up], where])
                means[[up, row]] = means[[row, up]]
                said = f"gravity, {abs(means[up]):.2f} m/s^2, lies on {other.name}"
                done = "the two were exchanged"
                notes.append(HealthNote(one.name, "swapped", grid.start, grid.end, said, done))
                return


# --- three axes that nobody knows -------------------------------------------------------------------------


def _turned(
    samples: Any,
    rows: list[int],
    point: str,
    grid: Grid,
    speed: Floats | None,
    notes: list[HealthNote],
    done: list[str],
) -> tuple[Direction, ...]:
    """Turns three axes to vertical and two horizontal ones, in place."""
    part = _means(samples, rows, grid, STEADY)
    gravity = part.mean(axis=1)
    length = float(np.linalg.norm(gravity))
    if len(rows) != 3 or abs(length / GRAVITY - 1) > WITHIN:
        notes += _wrong_unit(point, length, grid)
        done.append(f"{point}: no gravity in its axes ({length:.2f} m/s^2), so that none of them is known.")
        return AXES[: len(rows)]
    up = gravity / length
    tilt = float(np.degrees(np.arccos(np.abs(up).max())))
    said = f"{point}: gravity lies {tilt:.0f}° off the nearest axis; up is where it reads {length:.2f} m/s^2"
    notes += _moved(part, point, grid)
    basis = np.linalg.svd(np.eye(3) - np.outer(up, up))[0][:, :2].T
    forward = None if speed is None else _forward(basis @ _means(samples, rows, grid, PACE), speed, grid)
    if forward is not None:
        ahead = forward @ basis
        basis = np.stack([ahead, np.cross(up, ahead)])
        said += "; forward is where it reads more as the speed rises"
    turn = np.stack([up, *basis])
    for where in pieces(samples.shape[1]):
        samples[rows, where] = turn @ np.asarray(samples[rows, where])
    done.append(f"{said}.")
    return (
        ("vertical", "horizontal 1", "horizontal 2")
        if forward is None
        else ("vertical", "fore-aft", "lateral")
    )


def _means(samples: Any, rows: list[int], grid: Grid, seconds: float) -> Floats:
    """Means over so many seconds (rows, n), or over all where the ride is shorter."""
    size = max(min(round(seconds * grid.rate), grid.count), 1)
    firsts = range(0, grid.count - size + 1, size)
    return np.stack([np.asarray(samples[rows, i : i + size]).mean(axis=1) for i in firsts], axis=1)


def _moved(part: Floats, point: str, grid: Grid) -> list[HealthNote]:
    """Whether gravity points elsewhere at the end of the ride than at its beginning."""
    ways = part / np.linalg.norm(part, axis=0)
    angles = np.arccos(np.clip(ways.T @ ways[:, 0], -1, 1))
    if angles[len(angles) // 2 :].size and np.median(angles[len(angles) // 2 :]) > TURNED:
        at = grid.start + STEADY * int(np.argmax(angles > TURNED))
        found = f"gravity turned by {np.degrees(np.median(angles[len(angles) // 2 :])):.0f}°: it has slipped"
        return [
            HealthNote(point, "loose sensor", at, grid.end, found, "left as it is: fix it and drive again")
        ]
    return []


def _forward(horizontal: Floats, speed: Floats, grid: Grid) -> Floats | None:
    """The direction (2,) [-] that goes with the changes of the speed, or None where they do not tell."""
    size = round(PACE * grid.rate)
    if horizontal.shape[1] < 10:
        return None
    edges = np.minimum(np.arange(horizontal.shape[1] + 1) * size, grid.count - 1)
    changes = np.diff(np.asarray(speed[edges])) / PACE
    if changes.std() < LIVELY:
        return None
    centred = horizontal - horizontal.mean(axis=1, keepdims=True)
    along = centred @ (changes - changes.mean())
    along /= np.linalg.norm(along) + 1e-300
    share = np.corrcoef(along @ centred, changes)[0, 1] ** 2
    return along if share > TELLS else None
