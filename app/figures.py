"""Draws results; the only file that knows Matplotlib.

Level is shown by size and number, never by colour; lines differ by dash as well as by colour, so that a page printed
in grey says the same.  The same result gives the same bytes.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import numpy as np

from ..model.response import HIGHEST
from ..model.road import Input
from ..model.speeds import CriticalSpeed
from ..sizing.assess import Assessment
from .answer import interval
from .layout import joined, spread_out
from .shapes import Box, SideView, shown_modes, side_view
from .tables import MOST_CRITICAL, percent

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INK, HUE, SECOND, PALE, GHOST = "#22303a", "#17616f", "#a4511c", "#c9d8dc", "#9aa7ad"
STYLE = {
    "font.family": ["DejaVu Sans", "sans-serif"],
    "font.size": 9.5,
    "axes.titlesize": 10,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "axes.linewidth": 0.8,
    "text.color": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "svg.fonttype": "none",
    "svg.hashsalt": "counterbounce",
    "hatch.linewidth": 0.6,
    "legend.frameon": False,
}
DASHES: dict[str, Any] = {
    "wheel": "-",
    "joints": (0, (6, 2.5)),
    "wave": (0, (10, 3, 2, 3)),
    "propshaft": (0, (1.5, 1.8)),
    "engine": (0, (5, 2, 1, 2)),
}
DOTS_DPI = 110
MOST_PANELS = 6
LARGEST_DOT = 420.0  # [pt^2]
SAME_LINE = 0.04  # inputs of one order whose lines are closer than this share one label


def drawings(a: Assessment) -> dict[str, Callable[[], Figure]]:
    """Every picture of an assessment by its name, not yet drawn."""
    return {
        "critical_speeds": lambda: critical_speed_map(a),
        "mode_shapes": lambda: mode_shapes(a),
        "response": lambda: response(a),
    }


def svg(figure: Figure) -> str:
    """A figure as SVG text, without date or program: the same bytes for the same figure."""
    import matplotlib

    to = io.StringIO()
    with matplotlib.rc_context(STYLE):  # type: ignore[arg-type]
        nothing = dict.fromkeys(("Date", "Creator", "Format", "Type"))
        figure.savefig(to, format="svg", metadata=nothing)
    return to.getvalue()


def png(figure: Figure) -> bytes:
    """A figure as PNG, without date or program."""
    import matplotlib

    to = io.BytesIO()
    with matplotlib.rc_context(STYLE):  # type: ignore[arg-type]
        figure.savefig(to, format="png", dpi=DOTS_DPI, metadata={"Software": None})
    return to.getvalue()


def inline(text: str, name: str, title: str) -> str:
    """An SVG file's text as an element of a page: ids of its own, and words for who cannot see it."""
    body = text[text.index("<svg") :]
    body = re.sub(r"<metadata>.*?</metadata>", "", body, flags=re.S)
    body = re.sub(r'\bid="', f'id="{name}-', body)
    body = re.sub(r'(href="#|url\(#)', rf"\1{name}-", body)
    return body.replace("<svg", f'<svg role="img" aria-label="{title}"', 1)


@contextmanager
def _canvas(width: float, height: float) -> Iterator[Figure]:
    """A figure of our own look, width and height [in]."""
    import matplotlib
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure as New

    with matplotlib.rc_context(STYLE):  # type: ignore[arg-type]
        figure = New(figsize=(width, height))
        FigureCanvasAgg(figure)
        yield figure


# --- the map of critical speeds -------------------------------------------------------------------------


def critical_speed_map(a: Assessment) -> Figure:
    """Frequency against speed: what the road asks as lines, modes as bands, and dots where they meet."""
    with _canvas(9.6, 6.2) as figure:
        axes = figure.add_axes((0.075, 0.175, 0.645, 0.745))
        unit, one = a.case.display.unit("speed")
        low, high = (v / one for v in a.case.speeds)
        axes.set(xlim=(low, high), ylim=(0, HIGHEST))
        axes.set_xlabel(f"speed, {unit}")
        axes.set_ylabel("frequency, Hz")
        _shade(axes, a, one, "complaint")
        _mode_bands(axes, a)
        _input_lines(axes, a, one)
        _dots(axes, a, one)
        _size_key(axes, a)
    return figure


def _shade(axes: Axes, a: Assessment, one: float, word: str) -> None:
    """The speeds that are complained of, or else those that a damper is judged at."""
    complaint = a.case.complaint.speed if a.case.complaint else None
    band = complaint or (a.host.target.band if a.host.target else None)
    if band is None:
        return
    low, high = (v / one for v in band)
    axes.axvspan(low, high, facecolor="#eef1f2", edgecolor=GHOST, hatch="///", linewidth=0, zorder=0)
    text = word if complaint else "judged here"
    axes.annotate(text, ((low + high) / 2, 1), xycoords=("data", "axes fraction"), xytext=(0, 4), textcoords="offset points", ha="center")


def _mode_bands(axes: Axes, a: Assessment) -> None:
    modes = a.host.modes
    heard = [i for i, f in enumerate(modes.frequency_hz) if f <= HIGHEST]
    places = spread_out([float(modes.frequency_hz[i]) for i in heard], 1.62)
    for i, place in zip(heard, places, strict=True):
        middle = float(modes.frequency_hz[i])
        axes.axhspan(*interval(a, i), facecolor=PALE, alpha=0.55, linewidth=0, zorder=1)
        axes.axhline(middle, color=INK, linewidth=0.9, zorder=2)
        text = f"{_wrapped(modes.names[i])}\n{middle:.1f} Hz, {percent(float(modes.damping_ratio[i]))} damping"
        axes.annotate(
            text,
            (1, middle),
            xycoords=("axes fraction", "data"),
            xytext=(1.025, place),
            textcoords=("axes fraction", "data"),
            va="center",
            fontsize=9,
            linespacing=1.05,
            annotation_clip=False,
            arrowprops={"arrowstyle": "-", "color": GHOST, "linewidth": 0.7, "shrinkA": 1, "shrinkB": 0},
        )


def _wrapped(name: str) -> str:
    return name if len(name) <= 34 else name[:33].rstrip() + "…"


def _input_lines(axes: Axes, a: Assessment, one: float) -> None:
    """Every input's frequency along speed; those that nearly coincide share one label."""
    low, high = axes.get_xlim()
    for cause in a.host.causes:
        top = min(high, HIGHEST / (cause.per_metre * one))
        if top > low:
            speeds = np.array([low, top])
            axes.plot(speeds, cause.per_metre * one * speeds, color=INK, linestyle=DASHES[cause.kind], linewidth=0.9, zorder=3, label=cause.name)
    for text, per_metre in _line_labels(a):
        _along_the_line(axes, text, per_metre * one)


def _line_labels(a: Assessment) -> list[tuple[str, float]]:
    """(text, cycles per metre) of the lines that get a label: all but the higher harmonics of joints."""
    groups: dict[tuple[str, float], list[Input]] = {}
    for cause in a.host.causes:
        if cause.kind != "joints" or cause.order <= 5:
            groups.setdefault((cause.kind, cause.order), []).append(cause)
    labels = []
    for (kind, order), causes in groups.items():
        close = max(c.per_metre for c in causes) < (1 + SAME_LINE) * min(c.per_metre for c in causes)
        if kind == "wheel" and close:
            axles = joined([c.axle or "" for c in causes])
            labels.append((f"wheel order {order:g}, {axles}" + (" axle" if len(causes) == 1 else ""), causes[0].per_metre))
        else:
            labels += [(c.name.replace("expansion joints", "joints"), c.per_metre) for c in causes]
    return labels


def _along_the_line(axes: Axes, text: str, slope: float) -> None:
    """A label on a line near the end where it leaves the picture."""
    low, high = axes.get_xlim()
    end = min(high, HIGHEST / slope)
    if end - low < 0.06 * (high - low):
        return
    at = end - 0.012 * (high - low)
    axes.text(
        at, slope * at, text, rotation=np.degrees(np.arctan(slope)), rotation_mode="anchor", transform_rotates_text=True,
        ha="right", va="bottom", fontsize=9, zorder=4,
        bbox={"facecolor": "white", "alpha": 0.75, "linewidth": 0, "pad": 0.4}, clip_on=True,
    )  # fmt: skip


def _dots(axes: Axes, a: Assessment, one: float) -> None:
    """Critical speeds: the larger the level, the larger the dot; rings where an ordinary wheel was assumed."""
    known = [c for c in a.host.critical if c.typical]
    largest = max((c.typical or 0.0 for c in known), default=1.0)
    for c in reversed(known):
        face = "white" if c.cause.assumed else HUE
        axes.scatter([c.speed / one], [_height(c)], s=[_area(c.typical or 0.0, largest)], facecolor=face, edgecolor=HUE if c.cause.assumed else "white", linewidth=1.4 if c.cause.assumed else 0.8, zorder=6)
    for number, c in enumerate(a.host.critical[:MOST_CRITICAL], 1):
        if c.typical:
            _number(axes, number, c, one, _area(c.typical, largest))


def _height(c: CriticalSpeed) -> float:
    """On its input's line [Hz]: at the peak the input is beside the mode, not on it."""
    return c.cause.per_metre * c.speed


def _area(level: float, largest: float) -> float:
    return max(LARGEST_DOT * level / largest, 9.0)


def _number(axes: Axes, number: int, c: CriticalSpeed, one: float, area: float) -> None:
    inside = area > 150
    axes.annotate(
        str(number), (c.speed / one, _height(c)), xytext=(0, 0) if inside else (6, -8), textcoords="offset points",
        ha="center", va="center_baseline" if inside else "center", fontsize=9, fontweight="bold", zorder=7,
        color="white" if inside and not c.cause.assumed else INK,
    )  # fmt: skip


def _size_key(axes: Axes, a: Assessment) -> None:
    """What the sizes, rings and dashes mean."""
    from matplotlib.lines import Line2D

    levels = [c.typical for c in a.host.critical if c.typical]
    if not levels:
        return
    largest = max(levels)
    marks = [
        Line2D([], [], linestyle="", marker="o", color=HUE, markersize=float(np.sqrt(_area(v, largest))), label=f"{v:.2g} m/s²")
        for v in (largest, largest / 3, largest / 10)
    ]  # fmt: skip
    if any(c.cause.assumed for c in a.host.critical):
        marks.append(Line2D([], [], linestyle="", marker="o", markerfacecolor="white", markeredgecolor=HUE, markersize=9, label="ring: ordinary wheels assumed"))
    axes.legend(handles=marks, loc="upper left", bbox_to_anchor=(0, -0.12), ncols=len(marks), fontsize=9, title="typical level, r.m.s.; numbers as in the table", title_fontsize=9, alignment="left", handletextpad=0.6, columnspacing=1.6)


# --- response along speed -------------------------------------------------------------------------------


def response(a: Assessment) -> Figure:
    """Level along speed at each watched point: before, with the damper, with the same weight bolted down."""
    points, curves = response_curves(a)
    shown = range(min(len(points), MOST_PANELS))
    with _canvas(9.6, 1.1 + 2.35 * len(shown)) as figure:
        grid = figure.subplots(len(shown), 1, sharex=True, squeeze=False)[:, 0]
        unit, one = a.case.display.unit("speed")
        for axes, p in zip(grid, shown, strict=True):
            for (name, speeds, levels), style in zip(curves, _LINES, strict=False):
                axes.plot(speeds / one, levels[:, p], label=name, **style)
            axes.set_ylim(bottom=0)
            axes.set_xlim(*(v / one for v in a.case.speeds))
            axes.set_title(points[p], loc="left")
            axes.set_ylabel("m/s² r.m.s.")
            axes.grid(axis="y", color="#e3e8ea", linewidth=0.7)
            _shade(axes, a, one, "complaint" if p == 0 else "")
        grid[-1].set_xlabel(f"speed, {unit}")
        grid[0].legend(loc="lower right", bbox_to_anchor=(1, 1.0), ncols=3, fontsize=9, handlelength=3.2)
        figure.tight_layout()
    return figure


_LINES: tuple[dict[str, Any], ...] = (
    {"color": INK, "linewidth": 1.9, "linestyle": "-", "zorder": 4},
    {"color": HUE, "linewidth": 1.9, "linestyle": (0, (5, 2)), "zorder": 5},
    {"color": SECOND, "linewidth": 1.5, "linestyle": (0, (1.2, 1.6)), "zorder": 3},
)


def response_curves(a: Assessment) -> tuple[list[str], list[tuple[str, Any, Any]]]:
    """Titles of the watched points, and (name, speeds [m/s] (V,), typical levels [m/s^2] (V, P)) of each curve."""
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
    titles = [f"{p.name}, {p.direction}" + (f", weighted {p.weighting}" if p.weighting != "none" else "") for p in points]
    return titles, curves


# --- mode shapes ----------------------------------------------------------------------------------------


def mode_shapes(a: Assessment) -> Figure:
    """The first modes from the side: at rest in grey, in the mode in colour; the motion is exaggerated."""
    views = [side_view(a, i) for i in shown_modes(a)]
    rows = max((len(views) + 1) // 2, 1)
    with _canvas(9.6, 0.3 + 2.35 * rows) as figure:
        grid = figure.subplots(rows, 2, squeeze=False).ravel()
        for axes in grid:
            axes.set_axis_off()
        for axes, view in zip(grid, views, strict=False):
            _side(axes, view, a)
        figure.tight_layout(h_pad=0.6, w_pad=0.6)
    return figure


def _side(axes: Axes, view: SideView, a: Assessment) -> None:
    m, i = a.host.modes, view.index
    name = view.name[:1].upper() + view.name[1:]
    axes.set_title(f"{name}\n{m.frequency_hz[i]:.2f} Hz, {percent(float(m.damping_ratio[i]))} damping", loc="left")
    ends = [*view.stations[[0, -1]], *(s for b in view.boxes for s in (b.station - b.length / 2, b.station + b.length / 2))]
    low, high = min(ends) - 0.4, max(ends) + 0.4
    axes.set_xlim(low, high)
    axes.set_ylim(-0.18, max([view.height + 0.6, *(b.foot + b.height + 0.45 for b in view.boxes)]))
    axes.set_aspect("equal")
    axes.plot([low, high], [0, 0], color=INK, linewidth=1.1)
    for moved, colour, width in ((0.0, GHOST, 1.0), (1.0, HUE, 2.0)):
        axes.plot(view.stations, view.height + moved * view.rise, color=colour, linewidth=width * 1.3, solid_capstyle="round")
        for wheel in view.wheels:
            _wheel(axes, wheel.station, wheel.radius, moved * wheel.rise, colour, width)
            hung = view.height + moved * float(np.interp(wheel.station, view.stations, view.rise))
            axes.plot([wheel.station] * 2, [wheel.radius + moved * wheel.rise, hung], color=colour, linewidth=0.8 * width, linestyle=(0, (2, 1.4)))
        for box in view.boxes:
            _box(axes, box, moved, colour, width)


def _wheel(axes: Axes, station: float, radius: float, rise: float, colour: str, width: float) -> None:
    from matplotlib.patches import Circle

    axes.add_patch(Circle((station, radius + rise), radius, fill=False, edgecolor=colour, linewidth=width))
    axes.plot([station], [radius + rise], marker="o", markersize=2.2 * width, color=colour)


def _box(axes: Axes, box: Box, moved: float, colour: str, width: float) -> None:
    from matplotlib.patches import Polygon

    half, foot = box.length / 2, box.foot + moved * box.rise
    turn = moved * box.slope * half
    corners: Sequence[tuple[float, float]] = [
        (box.station - half, foot - turn),
        (box.station + half, foot + turn),
        (box.station + half, foot + turn + box.height),
        (box.station - half, foot - turn + box.height),
    ]
    axes.add_patch(Polygon(corners, closed=True, fill=box.rigid, facecolor=colour, edgecolor=colour, linewidth=width, alpha=0.6 if box.rigid else 1.0))
    if moved and not box.rigid:
        axes.text(box.station, foot + box.height / 2, box.name, ha="center", va="center", fontsize=9)
