"""The points of a shake from the side, each as a dial: its size is the level, its hand the phase."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ..model.measured.findings import PointMotion
from ..model.measured.travelled import is_unsprung
from ..model.units import significant
from .figures import GHOST, HUE, INK, canvas, plate
from .read_study import Heard
from .read_tables import has_phase, phase_words
from .shapes import FRAME_HEIGHT, USUAL_RADIUS

if TYPE_CHECKING:
    from .figures import Axes, Figure

LARGEST_DIAL = 0.46  # [m] on the drawing
APART = 1.8  # [m] on the drawing, of points whose stations nobody knows


def points_picture(h: Heard) -> Figure:
    """Each point of the first finding as a dial: its size is the level, its hand the phase."""
    one, stations = h.evidence.findings[0], h.stations
    known = {name: stations[name] for name in one.points if name in stations}
    placed = known or {name: APART * i for i, name in enumerate(one.points)}
    low, high = min(placed.values()), max(placed.values())
    heights = {name: USUAL_RADIUS if known and is_unsprung(name) else FRAME_HEIGHT for name in placed}
    with canvas(9.6, 3.6 if known else 2.8) as figure:
        axes = figure.add_axes((0.01, 0.02, 0.98, 0.86))
        axes.set_axis_off()
        axes.set(aspect="equal", ylim=(-0.15 if known else FRAME_HEIGHT - 0.55, 2.45))
        if known:
            low, high = _vehicle(axes, h, low, high)
        axes.set_xlim(low - 1.2, high + 1.2)
        largest = max(one.points[name].level for name in placed) or 1.0
        taken: list[tuple[float, float]] = []
        for name, station in sorted(placed.items(), key=lambda item: item[1]):
            place = _free(station, heights[name], taken), heights[name]
            _dial(axes, name, place, one.points[name], largest)
        at = "" if one.frequency_hz is None else f" at {one.frequency_hz:.3g} Hz"
        left = [name for name in one.points if name not in placed]
        said = f"; not in the case, so not shown: {', '.join(left)}" if left else ""
        figure.suptitle(f"Points in the first finding{at}{said}", x=0.015, ha="left", fontsize=10)
    return figure


def _free(station: float, height: float, taken: list[tuple[float, float]]) -> float:
    """The station, or the next free place beside it [m]: two dials do not cover each other."""
    while any(abs(station - x) < 0.7 and height == y for x, y in taken):
        station += 0.75
    taken.append((station, height))
    return station


def _vehicle(axes: Axes, h: Heard, low: float, high: float) -> tuple[float, float]:
    """The frame and the wheels of the case from the side; from where to where they reach [m]."""
    from ..model.settle import settled

    assert h.case is not None
    vehicle = settled(h.case.plan, h.case.numbers)
    turn = np.linspace(0, 2 * np.pi, 49)
    for axle in vehicle.axles:
        radius = axle.circumference / (2 * np.pi) if axle.circumference else USUAL_RADIUS
        wheel = axle.station + radius * np.cos(turn), radius + radius * np.sin(turn)
        axes.plot(*wheel, color=GHOST, linewidth=1.2)
    stations = [axle.station for axle in vehicle.axles]
    ends = (vehicle.frame.front, vehicle.frame.rear) if vehicle.kind != "quarter" else (low - 0.6, high + 0.6)
    axes.plot(ends, (FRAME_HEIGHT, FRAME_HEIGHT), color=GHOST, linewidth=3, solid_capstyle="round")
    low, high = min(low, *stations, *ends), max(high, *stations, *ends)
    axes.plot((low - 0.5, high + 0.5), (0, 0), color=INK, linewidth=1.0)
    return low, high


def _dial(axes: Axes, name: str, at: tuple[float, float], moved: PointMotion, largest: float) -> None:
    """A circle as large as the level, its hand at the phase: up with the point that shows it most."""
    radius = max(LARGEST_DIAL * moved.level / largest, 0.02)
    turn = np.linspace(0, 2 * np.pi, 73)
    words = phase_words(moved)
    told = has_phase(moved)
    axes.plot(
        at[0] + radius * np.cos(turn), at[1] + radius * np.sin(turn), color=HUE, linewidth=1.4,
        linestyle="-" if told else (0, (2, 2)), zorder=4,
    )  # fmt: skip
    axes.plot(*at, marker="o", color=HUE, markersize=3, zorder=5)
    if told:
        tip = at[0] - radius * np.sin(moved.phase), at[1] + radius * np.cos(moved.phase)
        hand = (at[0], tip[0]), (at[1], tip[1])
        axes.plot(*hand, color=HUE, linewidth=2.6, solid_capstyle="round", zorder=5)
    text = f"{name}\n{significant(moved.level)} m/s² r.m.s.\n{words}"
    up = at[1] >= FRAME_HEIGHT
    axes.annotate(
        text, (at[0], at[1] + (LARGEST_DIAL if up else 0.0)),
        xytext=(0, 4) if up else (max(radius, 0.3) * 72 + 4, -4), textcoords="offset points",
        ha="center" if up else "left", va="bottom" if up else "center", fontsize=8.5, zorder=6,
        bbox=plate(),
    )  # fmt: skip
