"""Pictures of the response along speed and of the modes from the side."""

from __future__ import annotations

from collections.abc import Callable
from textwrap import fill
from typing import TYPE_CHECKING, Any

from ..sizing.assess import Assessment
from .amplitude_picture import along_amplitude
from .figures import GHOST, HUE, INK, SECOND, canvas
from .shapes import Outline, SideView, outline, shown_modes, side_view
from .speed_map import critical_speed_map, shade_bands
from .tables import percent

if TYPE_CHECKING:
    from .figures import Axes, Figure

MOST_PANELS = 6


def drawings(a: Assessment) -> dict[str, Callable[[], Figure]]:
    """Every picture of an assessment by its name, not yet drawn."""
    return {
        "critical_speeds": lambda: critical_speed_map(a),
        "mode_shapes": lambda: mode_shapes(a),
        "response": lambda: response(a),
        **({"amplitude": lambda: along_amplitude(a)} if a.amplitude else {}),
    }


# --- response along speed -------------------------------------------------------------------------------


def response(a: Assessment) -> Figure:
    """Level along speed at each watched point: before, with the damper, with the same weight bolted down."""
    points, curves = response_curves(a)
    shown = range(min(len(points), MOST_PANELS))
    tall = 1.1 + 2.35 * len(shown)
    with canvas(9.6, tall) as figure:
        room = {"left": 0.075, "right": 0.985, "top": 1 - 0.55 / tall, "bottom": 0.5 / tall, "hspace": 0.22}
        grid = figure.subplots(len(shown), 1, sharex=True, squeeze=False, gridspec_kw=room)[:, 0]
        unit, one = a.case.display.unit("speed")
        for axes, p in zip(grid, shown, strict=True):
            for (name, speeds, levels), style in zip(curves, _LINES, strict=False):
                axes.plot(speeds / one, levels[:, p], label=name, **style)
            _plausible_band(axes, a, points[p], one)
            axes.set_ylim(0, 1.16 * max(float(levels[:, p].max()) for _, _, levels in curves) or 1.0)
            axes.set_xlim(*(v / one for v in a.case.speeds))
            axes.set_title(points[p], loc="left")
            axes.set_ylabel("m/s² r.m.s.")
            axes.grid(axis="y", color="#e3e8ea", linewidth=0.7)
            shade_bands(axes, a, one, p == 0)
        grid[-1].set_xlabel(f"speed, {unit}")
        grid[0].legend(loc="lower right", bbox_to_anchor=(1, 1.0), ncols=3, fontsize=9, handlelength=3.2)
    return figure


def _plausible_band(axes: Axes, a: Assessment, title: str, one: float) -> None:
    """Where nine in ten plausible vehicles lie, at the point that they were asked about."""
    asked = a.host.target.critical.point if a.host.target else None
    if a.survey is None or asked is None or not title.startswith(f"{asked.name}, {asked.direction}"):
        return
    for which, colour in ((0, INK), (1, HUE)):
        low, high = a.survey.band(which)
        axes.fill_between(a.survey.speeds / one, low, high, color=colour, alpha=0.13, linewidth=0, zorder=1)


_LINES: tuple[dict[str, Any], ...] = (
    {"color": INK, "linewidth": 1.9, "linestyle": "-", "zorder": 4},
    {"color": HUE, "linewidth": 1.9, "linestyle": (0, (5, 2)), "zorder": 5},
    {"color": SECOND, "linewidth": 1.5, "linestyle": (0, (1.2, 1.6)), "zorder": 3},
)


def response_curves(a: Assessment) -> tuple[list[str], list[tuple[str, Any, Any]]]:
    """Titles of the points, and (name, speeds [m/s] (V,), typical levels [m/s^2] (V, P)) of each curve."""
    if a.sized is None:
        swept = a.host.sweep
        points, curves = swept.points, [("as it is", swept.speeds, swept.total())]
    else:
        c = a.sized.comparison
        points = c.points
        curves = [
            ("before", c.speeds, c.before),
            ("with the damper", c.speeds, c.after),
            ("with the same weight as ballast", c.speeds, c.ballast),
        ]
    titles = [
        f"{p.name}, {p.direction}" + (f", weighted {p.weighting}" if p.weighting != "none" else "")
        for p in points
    ]
    return titles, curves


# --- mode shapes ----------------------------------------------------------------------------------------


def mode_shapes(a: Assessment) -> Figure:
    """The first modes from the side: at rest in grey, in the mode in colour; the motion is exaggerated."""
    views = [side_view(a, i) for i in shown_modes(a)]
    rows = max((len(views) + 1) // 2, 1)
    tall = 0.1 + 2.35 * rows
    with canvas(9.6, tall) as figure:
        room = {
            "left": 0.01,
            "right": 0.99,
            "top": 1 - 0.45 / tall,
            "bottom": 0.08 / tall,
            "wspace": 0.04,
            "hspace": 0.26,
        }
        grid = figure.subplots(rows, 2, squeeze=False, gridspec_kw=room).ravel()
        for axes in grid:
            axes.set_axis_off()
        for axes, view in zip(grid, views, strict=False):
            _side(axes, view, a)
    return figure


def _side(axes: Axes, view: SideView, a: Assessment) -> None:
    m, i = a.host.modes, view.index
    name = view.name[:1].upper() + view.name[1:]
    frequency = f"{m.frequency_hz[i]:.2f} Hz, {percent(float(m.damping_ratio[i]))} damping"
    axes.set_title(f"{name}\n{frequency}", loc="left")
    (low, high), top = view.ends, view.top
    axes.set(xlim=(low, high), ylim=(-0.18, top), aspect="equal")
    axes.plot([low, high], [0, 0], color=INK, linewidth=1.1)
    for moved, colour, width in ((0.0, GHOST, 1.0), (1.0, HUE, 2.0)):
        _draw(axes, outline(view, moved), colour, width)
    for box in view.boxes:
        if not box.rigid:
            middle = box.foot + box.rise + box.height / 2
            axes.text(box.station, middle, fill(box.name, 12), ha="center", va="center", fontsize=9, zorder=5)


def _draw(axes: Axes, drawn: Outline, colour: str, width: float) -> None:
    axes.plot(*drawn.frame, color=colour, linewidth=1.3 * width, solid_capstyle="round", label="frame")
    for x, y in drawn.springs:
        axes.plot(x, y, color=colour, linewidth=0.8 * width, linestyle=(0, (2, 1.4)))
    for x, y in drawn.wheels:
        axes.plot(x, y, color=colour, linewidth=width)
        axes.plot(
            (x.min() + x.max()) / 2, (y.min() + y.max()) / 2, marker="o", markersize=2.2 * width, color=colour
        )
    for x, y in drawn.boxes:
        if colour != GHOST:  # what lies behind a body shows through faintly, and its name can be read
            axes.fill(x, y, color="white", alpha=0.85, linewidth=0, zorder=3)
        axes.plot(x, y, color=colour, linewidth=width, zorder=4 if colour != GHOST else 2)
    for x, y in drawn.lumps:
        axes.fill(x, y, color=colour, alpha=0.7, linewidth=0)
