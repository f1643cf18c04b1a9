"""The map of critical speeds: what the road asks as lines, modes as bands, and dots where they meet."""

from __future__ import annotations

from math import dist
from textwrap import fill
from typing import TYPE_CHECKING, Any

import numpy as np

from ..model.road import HIGHEST
from ..model.speeds import CriticalSpeed
from ..sizing.assess import Assessment
from .answer import interval
from .figures import GHOST, HUE, INK, PALE, canvas, key_to, plate, shade
from .layout import Point, free_place, joined, spread_out
from .tables import MOST_CRITICAL, percent

if TYPE_CHECKING:
    from .figures import Axes, Figure

DASHES: dict[str, Any] = {
    "wheel": "-",
    "joints": (0, (6, 2.5)),
    "wave": (0, (10, 3, 2, 3)),
    "propshaft": (0, (1.5, 1.8)),
    "engine": (0, (5, 2, 1, 2)),
}
KINDS = {
    "wheel": "wheel orders",
    "joints": "joints",
    "wave": "sine road",
    "propshaft": "propshaft",
    "engine": "engine",
}
LARGEST_DOT = 420.0  # [pt^2]
SAME_LINE = 0.04  # inputs whose lines are closer than this share one label


def critical_speed_map(a: Assessment) -> Figure:
    """Frequency against speed: what the road asks as lines, modes as bands, and dots where they meet."""
    with canvas(9.6, 6.4) as figure:
        axes = figure.add_axes((0.06, 0.195, 0.66, 0.755))
        unit, one = a.case.display.unit("speed")
        low, high = (v / one for v in a.case.speeds)
        axes.set(xlim=(low, high), ylim=(0, HIGHEST))
        axes.set_xlabel(f"speed, {unit}")
        axes.set_ylabel("frequency, Hz")
        shade_bands(axes, a, one, above=True)
        _mode_bands(axes, a)
        _input_lines(axes, a, one)
        _dots(axes, a, one)
        _size_key(axes, a)
    return figure


def _mode_bands(axes: Axes, a: Assessment) -> None:
    """Each mode where it most likely is, and the band that holds 95 % of plausible vehicles."""
    modes = a.host.modes
    heard = [i for i, f in enumerate(modes.frequency_hz) if f <= HIGHEST]
    names = [fill(modes.names[i], 34) for i in heard]
    lines = max((name.count("\n") + 2 for name in names), default=2)
    places = spread_out([float(modes.frequency_hz[i]) for i in heard], 0.8 * lines)
    for i, name, place in zip(heard, names, places, strict=True):
        middle = float(modes.frequency_hz[i])
        axes.axhspan(*interval(a, i), facecolor=PALE, alpha=0.55, linewidth=0, zorder=1)
        axes.axhline(middle, color=INK, linewidth=0.9, zorder=2)
        axes.annotate(
            f"{name}\n{middle:.1f} Hz, {percent(float(modes.damping_ratio[i]))} damping", (1, middle),
            xycoords=("axes fraction", "data"), xytext=(1.03, place), textcoords=("axes fraction", "data"),
            va="center", fontsize=9, linespacing=1.05, annotation_clip=False,
            arrowprops={"arrowstyle": "-", "color": GHOST, "linewidth": 0.7, "shrinkA": 1, "shrinkB": 0},
        )  # fmt: skip


def _input_lines(axes: Axes, a: Assessment, one: float) -> None:
    """Every input's frequency along speed, labelled where there is room; neighbours share a label."""
    low, high = axes.get_xlim()
    for cause in a.host.causes:
        top = min(high, HIGHEST / (cause.per_metre * one))
        if top > low:
            speeds = np.array([low, top])
            axes.plot(
                speeds, cause.per_metre * one * speeds, color=INK, linestyle=DASHES[cause.kind],
                linewidth=0.9, zorder=3, label=cause.name,
            )  # fmt: skip
    numbered = [c for c in a.host.critical[:MOST_CRITICAL] if c.typical]
    taken = [(spot, spot) for c in numbered for spot in [_inches(axes, c.speed / one, _height(c))]]
    for text, per_metre in _line_labels(a):
        _along_the_line(axes, text, per_metre * one, taken)


def _line_labels(a: Assessment) -> list[tuple[str, float]]:
    """(text, cycles per metre) of the lines that get a label: all but the higher harmonics of joints."""
    groups: list[tuple[float, list[str]]] = []
    for cause in sorted(a.host.causes, key=lambda c: (c.kind != "wheel", c.per_metre)):
        name = cause.name.replace("expansion joints", "joints")
        near = [g for g in groups if abs(g[0] / cause.per_metre - 1) < SAME_LINE and cause.kind != "joints"]
        if near:
            near[0][1].append(name)
        elif cause.kind != "joints" or cause.order <= 5:
            groups.append((cause.per_metre, [name]))
    return [(_one_label(names), per_metre) for per_metre, names in groups]


def _one_label(names: list[str]) -> str:
    """wheel order 1, front axle + wheel order 1, rear axle -> wheel order 1, front and rear axle."""
    heads = list(dict.fromkeys(name.partition(", ")[0] for name in names))
    tails = list(dict.fromkeys(name.partition(", ")[2].removesuffix(" axle") for name in names))
    end = " axle" if names[0].endswith(" axle") else ""
    if len(heads) == 1:
        return f"{heads[0]}, {joined(tails)}{end}" if tails[0] else heads[0]
    return f"{joined(heads)}, {tails[0]}" if len(tails) == 1 and tails[0] else joined(names)


def _inches(axes: Axes, x: float, y: float) -> tuple[float, float]:
    """A place in the picture, in inches from the corner of its axes."""
    box, figure = axes.get_position(), axes.get_figure()
    assert figure is not None
    wide, tall = figure.get_size_inches()  # type: ignore[union-attr]
    (low, high), (bottom, top) = axes.get_xlim(), axes.get_ylim()
    return (x - low) / (high - low) * box.width * wide, (y - bottom) / (top - bottom) * box.height * tall


def _along_the_line(axes: Axes, text: str, slope: float, taken: list[tuple[Point, Point]]) -> None:
    """A label above a line, at its end or further down where that is taken; none where there is no room."""
    low, high = axes.get_xlim()
    end = min(high, HIGHEST / slope)
    if end <= low:  # the line stays above the picture
        return
    foot, head = _inches(axes, low, slope * low), _inches(axes, end, slope * end)
    reach, length = dist(foot, head), 0.070 * len(text)
    turn = np.arctan2(head[1] - foot[1], head[0] - foot[0])
    ends = [reach - 0.1 - back for back in np.arange(0.0, 4.0, 0.4) if reach - 0.1 - back > length]
    places = [(_on(foot, turn, at - length), _on(foot, turn, at)) for at in ends]
    if (chosen := free_place(places, taken, 0.19)) is None:
        if "," in text:  # a shorter one may still fit
            _along_the_line(axes, text.partition(",")[0], slope, taken)
        return
    taken.append(places[chosen])
    x = low + (end - low) * ends[chosen] / reach
    axes.annotate(
        text, (x, slope * x), xytext=(-2.5 * np.sin(turn), 2.5 * np.cos(turn)), textcoords="offset points",
        rotation=float(np.degrees(turn)), rotation_mode="anchor", ha="right", va="baseline", fontsize=9,
        zorder=4,
        bbox=plate(),
    )  # fmt: skip


def _on(foot: Point, turn: float, reach: float) -> Point:
    """A label's middle line: beside its input's line, as high as half a letter."""
    return foot[0] + reach * np.cos(turn) - 0.09 * np.sin(turn), foot[1] + reach * np.sin(
        turn
    ) + 0.09 * np.cos(turn)


def _dots(axes: Axes, a: Assessment, one: float) -> None:
    """Critical speeds: the larger the level, the larger the dot; rings where healthy wheels were assumed."""
    known = [c for c in a.host.critical if c.typical]
    largest = max((c.typical or 0.0 for c in known), default=1.0)
    for c in reversed(known):
        face = "white" if c.cause.assumed else HUE
        axes.scatter(
            [c.speed / one],
            [_height(c)],
            s=[_area(c.typical or 0.0, largest)],
            facecolor=face,
            edgecolor=HUE if c.cause.assumed else "white",
            linewidth=1.4 if c.cause.assumed else 0.8,
            zorder=6,
        )
    taken: list[tuple[Point, Point]] = []
    for number, c in enumerate(a.host.critical[:MOST_CRITICAL], 1):
        if c.typical:
            _number(axes, number, c, one, _area(c.typical, largest), taken)


def _height(c: CriticalSpeed) -> float:
    """On its input's line [Hz]: at the peak the input is beside the mode, not on it."""
    return c.cause.per_metre * c.speed


def _area(level: float, largest: float) -> float:
    return max(LARGEST_DOT * level / largest, 9.0)


BESIDE = (
    (0.75, -1.0),
    (-0.75, 1.1),
    (0.85, 1.0),
    (-0.85, -1.1),
    (1.6, 0.0),
    (-1.6, 0.0),
    (0.0, 1.7),
    (0.0, -1.7),
)


def _number(
    axes: Axes, number: int, c: CriticalSpeed, one: float, area: float, taken: list[tuple[Point, Point]]
) -> None:
    """A dot's number in the table: in it where it is large, else beside it where no other number stands."""
    x, y = _inches(axes, c.speed / one, _height(c))
    away = max(area**0.5 / 2, 3.0) + 4.0  # [pt] from the dot's middle
    offsets = [(away * dx, away * dy) for dx, dy in BESIDE]
    if area > 150:
        offsets.insert(0, (0.0, 0.0))
    spots = [(x + dx / 72, y + dy / 72) for dx, dy in offsets]
    chosen = free_place([(spot, spot) for spot in spots], taken, 0.18) or 0
    taken.append((spots[chosen], spots[chosen]))
    inside = offsets[chosen] == (0.0, 0.0)
    axes.annotate(
        str(number), (c.speed / one, _height(c)), xytext=offsets[chosen], textcoords="offset points",
        ha="center", va="center_baseline" if inside else "center", fontsize=9, fontweight="bold", zorder=7,
        color="white" if inside and not c.cause.assumed else INK, bbox=None if inside else plate(),
    )  # fmt: skip


def _size_key(axes: Axes, a: Assessment) -> None:
    """What the sizes, rings and dashes mean."""
    levels = [c.typical for c in a.host.critical if c.typical]
    largest = max(levels, default=1.0)
    marks = [
        key_to(
            f"{level:.2g} m/s²", linestyle="", marker="o", color=HUE, markersize=_area(level, largest) ** 0.5
        )
        for level in ((largest, largest / 3, largest / 10) if levels else ())
    ]
    if any(c.cause.assumed for c in a.host.critical):
        ring = {"markerfacecolor": "white", "markeredgecolor": HUE, "markersize": 9}
        marks.append(key_to("ordinary wheels assumed", linestyle="", marker="o", **ring))
    dashes = [
        key_to(KINDS[k], color=INK, linewidth=0.9, linestyle=DASHES[k])
        for k in dict.fromkeys(c.kind for c in a.host.causes)
    ]
    for row, entries in enumerate(keys for keys in (marks, dashes) if keys):
        key = axes.legend(
            handles=entries, bbox_to_anchor=(-0.02, -0.125 - 0.08 * row), ncols=len(entries),
            loc="upper left", fontsize=9, handlelength=3.0, columnspacing=1.6, borderaxespad=0,
        )  # fmt: skip
        axes.add_artist(key)


def bands_shown(a: Assessment) -> list[tuple[tuple[float, float], str]]:
    """The speeds [m/s] to shade with their words: what is complained of, what a damper is judged at."""
    complaint = a.case.complaint.speed if a.case.complaint else None
    judged = a.host.target.band if a.host.target else None
    bands = [(complaint, "complaint")] if complaint else []
    return bands + ([(judged, "judged here")] if judged and judged != complaint else [])


def shade_bands(axes: Axes, a: Assessment, one: float, named: bool = True, above: bool = False) -> None:
    """Shade the speeds that the answer is about.

    one  [m/s] that one unit of speed is
    """
    for (low, high), word in bands_shown(a):
        shade(axes, low / one, high / one, word if named else "", above)
