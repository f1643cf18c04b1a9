"""What a recording says as pictures: which of them there are, and the shake against speed."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ..model.measured.orders import OrderMap, order_map
from ..model.measured.resampling import angle_from_speed
from ..model.measured.travelled import SLOWEST
from ..model.ride import Channel, Ride
from ..model.units import significant
from .figures import INK, SECOND, canvas, one_hue, plate
from .layout import spread_out
from .read_dials import points_picture
from .read_study import Heard
from .read_together import HIGHEST, LOWEST, SECONDS, coherence_picture, shown_row, together_of

if TYPE_CHECKING:
    from .figures import Axes, Figure

Floats = NDArray[np.float64]

METRES = 60.0  # [m] of the pieces of road that a map is made of
ORDERS = 4.5  # [-] up to which wheel orders are shown
STRIPS = (6, 32)  # fewest and most bins of speed


def drawings(h: Heard) -> dict[str, Callable[[], Figure]]:
    """Every picture that this recording is enough for, by its name, not yet drawn."""
    found: dict[str, Callable[[], Figure]] = {}
    mapped = map_of(h)
    if mapped is not None:
        found["order_map"] = lambda: order_map_picture(h, mapped)
    if h.evidence.findings[0].points:
        found["points"] = lambda: points_picture(h)
    together = together_of(h)
    if together is not None:
        found["coherence"] = lambda: coherence_picture(together)
    return found


def map_of(h: Heard) -> OrderMap | None:
    """The map of the point that is shown; None where no speed was recorded, or too little was driven."""
    slow = h.slow
    if slow.moving.sum() < 3 * SECONDS * slow.rate or slow.travelled[-1] < 3 * METRES:
        return None
    low, high = np.quantile(slow.speed[slow.moving], (0.005, 0.995))
    pieces = slow.moving.sum() / slow.rate / SECONDS
    bins = int(np.clip(pieces, *STRIPS))
    middle, half = (low + high) / 2, max((high - low) / 2, 0.5)
    edges = np.linspace(max(middle - half, SLOWEST), middle + half, bins + 1)
    name = slow.names[shown_row(h)]
    channels = Channel(name, "m/s^2"), Channel("speed", "m/s")
    ride = Ride("map", slow.rate, 0.0, channels, np.stack([slow.shake[shown_row(h)], slow.speed]))
    return order_map(ride, angle_from_speed(ride), edges, SECONDS, METRES, channels=[name])


def order_map_picture(h: Heard, found: OrderMap) -> Figure:
    """Level against speed and frequency, and against speed and turns of a wheel (or metres)."""
    estimate = h.evidence.estimates.get("circumference")
    around = estimate.value if estimate else None
    unit, one = h.display.unit("speed")
    by_time = _levels(found.along_time[0], found.frequency[1])
    by_way = _levels(found.along_metre[0], found.per_metre[1])
    seen = (found.frequency >= LOWEST) & (found.frequency <= HIGHEST)
    turns = found.per_metre * (around or 1.0)
    most = ORDERS if around else 2.0
    kept = (turns > (0.4 if around else 0.1)) & (turns <= most)
    largest = float(np.nanmax([np.nanmax(by_time[:, seen]), np.nanmax(by_way[:, kept])]))
    with canvas(9.6, 4.5) as figure:
        shares = {"left": 0.065, "right": 0.9, "wspace": 0.2, "top": 0.86}
        left, right = figure.subplots(1, 2, gridspec_kw=shares)
        edges = found.edges / one
        shown = _image(left, edges, found.frequency[seen], by_time[:, seen], largest)
        _image(right, edges, turns[kept], by_way[:, kept], largest)
        left.set(xlabel=f"speed, {unit}", ylabel="frequency, Hz")
        each = "turn of a wheel" if around else "metre"
        right.set(xlabel=f"speed, {unit}", ylabel=f"times per {each}")
        left.set_title("a flat line here belongs to the vehicle", loc="left", fontsize=9.5)
        right.set_title("a flat line here turns, or lies on the road", loc="left", fontsize=9.5)
        _guides(left, h, edges, around, one)
        figure.suptitle(f"{found.names[0]}: level against speed", x=0.065, ha="left", fontsize=10.5)
        bar = figure.colorbar(shown, cax=figure.add_axes((0.915, 0.11, 0.014, 0.75)))
        bar.set_label("m/s² r.m.s. in the width of a line")
    return figure


def _levels(densities: Floats, step: float) -> Floats:
    """R.m.s. level [m/s^2] within the width of a line under the window, (bins, lines).

    densities  [m^2/s^3, or m^3/s^4] (bins, lines)
    step       [Hz, or 1/m] between two lines
    """
    return np.asarray(np.sqrt(densities * 1.5 * step))


def _image(axes: Axes, edges: Floats, up: Floats, levels: Floats, largest: float) -> Any:
    half = (up[1] - up[0]) / 2
    extent = (float(edges[0]), float(edges[-1]), float(up[0] - half), float(up[-1] + half))
    return axes.imshow(
        levels.T, origin="lower", aspect="auto", extent=extent, cmap=one_hue(), vmin=0.0, vmax=largest,
        interpolation="nearest",
    )  # fmt: skip


def _guides(axes: Axes, h: Heard, edges: Floats, around: float | None, one: float) -> None:
    """Where wheel orders run, and where the findings lie."""
    top = axes.get_ylim()[1]
    bare = {**plate(), "pad": 0.3}
    for order in range(1, 4) if around else ():
        hertz = order * edges * one / (around or 1.0)
        axes.plot(edges, hertz, color=INK, linewidth=0.8, linestyle=(0, (6, 3)))
        if hertz[-1] < top - 1.5:
            axes.annotate(
                f"wheel order {order}", (edges[-1], hertz[-1]), xytext=(-3, -12), textcoords="offset points",
                ha="right", va="top", fontsize=8, bbox=bare,
            )  # fmt: skip
    axes.set_xlim(edges[0], edges[-1])
    axes.set_ylim(LOWEST, top)
    heights = sorted(
        f.frequency_hz for f in h.evidence.findings if f.kind == "resonance" and f.frequency_hz is not None
    )
    for height in heights:
        axes.axhline(height, color=SECOND, linewidth=1.0, linestyle=(0, (1.4, 1.6)))
    for height, place in zip(heights, spread_out(heights, 1.3), strict=True):
        axes.annotate(
            f"{significant(height)} Hz", (edges[0], place), xytext=(3, 3), textcoords="offset points",
            fontsize=8, color=SECOND, bbox=bare,
        )  # fmt: skip
