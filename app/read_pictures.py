"""What a recording says as pictures: shake against speed, points with their phases, who moves with whom."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ..model.measured.findings import PointMotion
from ..model.measured.orders import OrderMap, order_map
from ..model.measured.resampling import angle_from_speed
from ..model.measured.spectra import Spectra, spectra
from ..model.measured.travelled import SLOWEST, is_unsprung
from ..model.ride import Channel, Ride
from ..model.units import significant
from .figures import GHOST, HUE, INK, SECOND, canvas, key_to, one_hue, plate
from .layout import spread_out
from .read_study import Heard
from .read_tables import phase_words
from .shapes import FRAME_HEIGHT, USUAL_RADIUS

if TYPE_CHECKING:
    from .figures import Axes, Figure

Floats = NDArray[np.float64]

SECONDS, METRES = 4.0, 60.0  # of the pieces that a map is made of
LOWEST, HIGHEST = 2.0, 25.0  # [Hz] that are shown
ORDERS = 4.5  # [-] up to which wheel orders are shown
STRIPS = (6, 32)  # fewest and most bins of speed
NEAR = 0.06  # [-] of its frequency within which a shake is measured
SHAFT = "shaft"
MOST_CURVES = 3
DASHES: tuple[Any, ...] = ("-", (0, (5, 1.6)), (0, (1.4, 1.4)))


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


def shown_row(h: Heard) -> int:
    """The row of the point that pictures are about: where the first finding shakes, or the first above axles."""
    one, names = h.evidence.findings[0], h.slow.names
    above = [name for name in one.points if not is_unsprung(name)]
    loudest = max(above, key=lambda name: one.points[name].level, default=None)
    place = one.where if one.where in names else loudest
    return names.index(place) if place in names else h.slow.sprung[0]


# --- shake against speed ----------------------------------------------------------------------------------


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
        left, right = figure.subplots(1, 2, gridspec_kw={"left": 0.065, "right": 0.9, "wspace": 0.2, "top": 0.86})
        edges = found.edges / one
        shown = _image(left, edges, found.frequency[seen], by_time[:, seen], largest)
        _image(right, edges, turns[kept], by_way[:, kept], largest)
        left.set(xlabel=f"speed, {unit}", ylabel="frequency, Hz")
        right.set(xlabel=f"speed, {unit}", ylabel="times per turn of a wheel" if around else "times per metre")
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
                f"wheel order {order}", (edges[-1], hertz[-1]), xytext=(-3, -4), textcoords="offset points",
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


# --- points with their phases -----------------------------------------------------------------------------


def points_picture(h: Heard) -> Figure:
    """Each point of the first finding as a dial: its size is the level, its hand the phase."""
    one, stations = h.evidence.findings[0], h.stations
    known = {name: stations[name] for name in one.points if name in stations}
    placed = known or {name: 1.8 * i for i, name in enumerate(one.points)}
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
            _dial(axes, name, (_free(station, heights[name], taken), heights[name]), one.points[name], largest)
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
        axes.plot(axle.station + radius * np.cos(turn), radius + radius * np.sin(turn), color=GHOST, linewidth=1.2)
    stations = [axle.station for axle in vehicle.axles]
    ends = (vehicle.frame.front, vehicle.frame.rear) if vehicle.kind != "quarter" else (low - 0.6, high + 0.6)
    axes.plot(ends, (FRAME_HEIGHT, FRAME_HEIGHT), color=GHOST, linewidth=3, solid_capstyle="round")
    low, high = min(low, *stations, *ends), max(high, *stations, *ends)
    axes.plot((low - 0.5, high + 0.5), (0, 0), color=INK, linewidth=1.0)
    return low, high


LARGEST_DIAL = 0.46  # [m] on the drawing


def _dial(axes: Axes, name: str, at: tuple[float, float], moved: PointMotion, largest: float) -> None:
    """A circle as large as the level, its hand at the phase: up with the point that shows it most."""
    radius = max(LARGEST_DIAL * moved.level / largest, 0.02)
    turn = np.linspace(0, 2 * np.pi, 73)
    words = phase_words(moved)
    told = words[0].isdigit() or words[0] == "−"
    axes.plot(
        at[0] + radius * np.cos(turn), at[1] + radius * np.sin(turn), color=HUE, linewidth=1.4,
        linestyle="-" if told else (0, (2, 2)), zorder=4,
    )  # fmt: skip
    axes.plot(*at, marker="o", color=HUE, markersize=3, zorder=5)
    if told:
        tip = at[0] - radius * np.sin(moved.phase), at[1] + radius * np.cos(moved.phase)
        axes.plot((at[0], tip[0]), (at[1], tip[1]), color=HUE, linewidth=2.6, solid_capstyle="round", zorder=5)
    text = f"{name}\n{significant(moved.level)} m/s² r.m.s.\n{words}"
    up = at[1] >= FRAME_HEIGHT
    axes.annotate(
        text, (at[0], at[1] + (LARGEST_DIAL if up else 0.0)),
        xytext=(0, 4) if up else (max(radius, 0.3) * 72 + 4, -4), textcoords="offset points",
        ha="center" if up else "left", va="bottom" if up else "center", fontsize=8.5, zorder=6,
        bbox=plate(),
    )  # fmt: skip


# --- who moves with whom ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Together:
    """What the first finding's point shares with a shaft, or with the other points.

    spectra    of the point, named first, and of what is held against it
    frequency  [Hz] of the finding; None: there is none
    shake      [m/s^2] r.m.s. of the point near that frequency, piece by piece (pieces,)
    swing      [-] r.m.s. of the shaft's speed over its mean, likewise; empty without a shaft
    """

    spectra: Spectra
    frequency: float | None
    shake: Floats
    swing: Floats


def together_of(h: Heard) -> Together | None:
    """None where there is one channel only, or too little of it."""
    slow, row = h.slow, shown_row(h)
    frequency = h.evidence.findings[0].frequency_hz
    rows, names = [slow.shake[row]], [slow.names[row]]
    swing: Floats = np.zeros(0)
    use = np.ones(slow.shake.shape[1], dtype=bool)
    if h.shaft is not None and len(h.shaft.time) > 8:
        time = h.recording.ride.start + np.arange(len(use)) / slow.rate
        use = (time >= h.shaft.time[0]) & (time <= h.shaft.time[-1])
        swing = np.interp(time, h.shaft.time, h.shaft.speed)
        rows, names = [*rows, swing], [*names, SHAFT]
    else:
        others = [i for i in range(len(slow.names)) if i != row][:MOST_CURVES]
        rows += [slow.shake[i] for i in others]
        names += [slow.names[i] for i in others]
    if len(rows) < 2 or use.sum() < 3 * SECONDS * slow.rate:
        return None
    channels = tuple(Channel(name, "m/s^2") for name in names)
    found = spectra(Ride("", slow.rate, 0.0, channels, np.stack(rows)[:, use]), SECONDS)
    shake, moved = _piecewise(rows[0][use], swing[use] if len(swing) else swing, slow.rate, frequency)
    return Together(found, frequency, shake, moved)


def _piecewise(shake: Floats, swing: Floats, rate: float, frequency: float | None) -> tuple[Floats, Floats]:
    """R.m.s. of both near a frequency, piece by piece; the swing as a share of the mean."""
    if frequency is None or not len(swing):
        return np.zeros(0), np.zeros(0)
    size = round(SECONDS * rate)
    pieces = [slice(at, at + size) for at in range(0, len(shake) - size + 1, size // 2)]
    means = np.array([swing[one].mean() for one in pieces])
    moves = np.array([_near(swing[one], rate, frequency) for one in pieces])
    return np.array([_near(shake[one], rate, frequency) for one in pieces]), moves / np.maximum(means, 1e-9)


def _near(values: Floats, rate: float, frequency: float) -> float:
    """R.m.s. level of one piece within a few per cent of a frequency.

    values  [any unit] (n,)
    rate, frequency  [Hz]
    """
    window = np.hanning(len(values) + 1)[:-1]
    power = np.abs(np.fft.rfft((values - values.mean()) * window)) ** 2 / (window @ window) / rate * 2
    hertz = np.fft.rfftfreq(len(values), 1 / rate)
    near = np.abs(hertz / frequency - 1) <= max(NEAR, 1.01 * hertz[1] / frequency)
    return float(np.sqrt(power[near].sum() * hertz[1]))


def coherence_picture(found: Together) -> Figure:
    """Coherence along frequency with its line of significance; with a shaft, its swing against the shake."""
    spread = len(found.swing) > 0
    with canvas(9.6, 3.7) as figure:
        shares = {"left": 0.065, "right": 0.985, "top": 0.82, "bottom": 0.13, "wspace": 0.2}
        grid = figure.subplots(1, 2 if spread else 1, squeeze=False, gridspec_kw=shares)[0]
        _coherence(grid[0], found)
        if spread:
            _scatter(grid[1], found)
    return figure


def _coherence(axes: Axes, found: Together) -> None:
    hertz, names = found.spectra.frequency, found.spectra.names
    for name, dash in zip(names[1:], DASHES, strict=False):
        axes.plot(hertz, found.spectra.coherence(0, name), color=HUE, linewidth=1.4, linestyle=dash)
    axes.axhline(found.spectra.significance, color=INK, linewidth=1.0, linestyle=(0, (6, 2)))
    axes.annotate(
        f"significant above {found.spectra.significance:.2f}", (HIGHEST, found.spectra.significance),
        xytext=(-2, 3), textcoords="offset points", ha="right", fontsize=8.5, bbox=plate(), zorder=7,
    )  # fmt: skip
    if found.frequency is not None:
        axes.axvline(found.frequency, color=SECOND, linewidth=1.0, linestyle=(0, (1.4, 1.6)))
        axes.annotate(
            f"{significant(found.frequency)} Hz", (found.frequency, 1.0), xytext=(3, -9),
            textcoords="offset points", fontsize=8.5, color=SECOND, bbox=plate(), zorder=7,
        )  # fmt: skip
    axes.set(xlim=(LOWEST, HIGHEST), ylim=(0, 1.02), xlabel="frequency, Hz", ylabel="coherence")
    keys = [
        key_to(name, color=HUE, linestyle=dash) for name, dash in zip(names[1:], DASHES, strict=False)
    ]
    averages = f"{found.spectra.averages:.0f} independent averages"
    axes.set_title(f"with {names[0]}; {averages}", loc="left", fontsize=9.5, pad=24)
    axes.legend(handles=keys, loc="lower left", bbox_to_anchor=(0, 1.0), ncols=3, fontsize=8.5, handlelength=3)


def _scatter(axes: Axes, found: Together) -> None:
    axes.plot(found.shake, 100 * found.swing, linestyle="", marker="o", markersize=4, color=HUE, fillstyle="none")
    axes.set(xlabel=f"{found.spectra.names[0]}, m/s² r.m.s.", ylabel="swing of the shaft's speed, % r.m.s.")
    axes.set_xlim(left=0)
    axes.set_ylim(bottom=0)
    pieces = f"each {SECONDS:g} s, near {significant(found.frequency or 0.0)} Hz"
    axes.set_title(pieces, loc="left", fontsize=9.5)
