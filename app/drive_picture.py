"""A drive as a picture: each channel over the whole way, and a second of it beside."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ..model.ride import Channel, Ride
from .drive_table import KINDS, title
from .driven import WITH, Driven, Level
from .figures import HUE, INK, canvas, key_to
from .ledger import readable

if TYPE_CHECKING:
    from .figures import Axes, Figure

Floats = NDArray[np.float64]

MOST_PANELS = 12
STRIPS = 240  # across the picture: a longer ride is drawn from the lowest to the highest value of each
CLOSE_UP = 1.0  # [s]
LOOKS: tuple[dict[str, Any], ...] = (
    {"color": INK, "linewidth": 1.1, "linestyle": "-"},
    {"color": HUE, "linewidth": 1.4, "linestyle": (0, (4, 1.5))},
)


def drive_picture(found: Driven) -> Figure:
    """Every channel in a row: the whole drive, and the second around its largest value."""
    levels = found.levels[:MOST_PANELS]
    swept = found.asked.to != found.asked.speed
    head, tall = (0.85 if swept else 0.6), 1.05 + 1.4 * len(levels)
    with canvas(9.6, tall) as figure:
        room = {"left": 0.065, "right": 0.985, "top": 1 - head / tall, "bottom": 0.45 / tall}
        shares = {**room, "hspace": 0.42, "wspace": 0.1, "width_ratios": [3, 2]}
        grid = figure.subplots(len(levels), 2, squeeze=False, gridspec_kw=shares)
        for (whole, close), level in zip(grid, levels, strict=True):
            _panels(whole, close, found, level)
        for whole in grid[:-1, 0]:
            whole.tick_params(labelbottom=False)
        grid[-1, 0].set_xlabel("time, s")
        grid[-1, 1].set_xlabel("time, s: around the largest value")
        if swept:
            _speeds_above(grid[0, 0], found)
        if found.damper is not None:
            keys = [
                key_to(words, **look)
                for words, look in zip(("as it is", "with the damper"), LOOKS, strict=True)
            ]
            figure.legend(handles=keys, loc="upper right", ncols=2, fontsize=9, handlelength=3.0)
    return figure


def _panels(whole: Axes, close: Axes, found: Driven, level: Level) -> None:
    unit, one = found.case.display.unit(KINDS[level.channel.unit])
    curves = _curves(found.shown, level.channel)
    time, first = found.shown.time, curves[0][1]
    middle = time[np.abs(first).argmax()] if len(time) else 0.0
    start = max(min(middle - CLOSE_UP / 2, time[-1] - CLOSE_UP), time[0])
    near = (time >= start) & (time <= start + CLOSE_UP)
    for look, values in curves:
        _draw_whole(whole, time, values / one, look)
        close.plot(time[near], values[near] / one, **look)
    whole.axvspan(start, start + CLOSE_UP, color="#e3e8ea", zorder=0)
    whole.set_xlim(time[0], time[-1])
    close.set_xlim(start, start + CLOSE_UP)
    close.set_ylim(whole.get_ylim())
    close.tick_params(labelleft=False)
    whole.set_title(f"{title(level)}, {readable(unit)}", loc="left", fontsize=9.5)
    for axes in (whole, close):
        axes.set_axisbelow(True)
        axes.grid(axis="y", color="#e3e8ea", linewidth=0.7)


def _curves(shown: Ride, channel: Channel) -> list[tuple[dict[str, Any], Floats]]:
    """Look and values of a channel as it is and with the damper, as far as there are."""
    there = [one.name for one in shown.channels]
    wanted = zip(LOOKS, (channel.name, f"{channel.name}{WITH}"), strict=True)
    return [(look, shown.channel(name)) for look, name in wanted if name in there]


def _draw_whole(axes: Axes, time: Floats, values: Floats, look: dict[str, Any]) -> None:
    """As a line, or where that would be a smear, as a band from the lowest to the highest of each strip."""
    each = len(values) // STRIPS
    if each < 2:
        axes.plot(time, values, **look)
        return
    starts = np.arange(0, len(values), each)
    low, high = np.minimum.reduceat(values, starts), np.maximum.reduceat(values, starts)
    filled = {"facecolor": look["color"], "alpha": 0.35, "linewidth": 0}
    axes.fill_between(time[starts], low, high, **filled)
    for edge in (low, high):
        axes.plot(time[starts], edge, **{**look, "linewidth": 0.8})


def _speeds_above(axes: Axes, found: Driven) -> None:
    """The speed along the top of the first panel."""
    unit, one = found.case.display.unit("speed")
    begin, end, seconds = found.asked.speed / one, found.asked.to / one, found.asked.seconds

    def at(time: Any) -> Any:
        return begin + (end - begin) * time / seconds

    def when(speed: Any) -> Any:
        return (speed - begin) / (end - begin) * seconds

    above = axes.secondary_xaxis("top", functions=(at, when))
    above.set_xlabel(f"speed, {unit}")
    axes.set_title(axes.get_title(loc="left"), loc="left", fontsize=9.5, pad=34)
