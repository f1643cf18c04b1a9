"""Who moves with a shake: coherence against its significance, and a shaft's swing against the shake."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ..model.measured.spectra import Spectra, spectra
from ..model.measured.travelled import is_unsprung
from ..model.ride import Channel, Ride
from ..model.units import significant
from .figures import HUE, INK, SECOND, canvas, key_to, plate
from .read_study import Heard

if TYPE_CHECKING:
    from .figures import Axes, Figure

Floats = NDArray[np.float64]

SECONDS = 4.0  # [s] of a piece
LOWEST, HIGHEST = 2.0, 25.0  # [Hz] that are shown
NEAR = 0.06  # [-] of its frequency within which a shake is measured
SHAFT = "shaft"
MOST_CURVES = 3
DASHES: tuple[Any, ...] = ("-", (0, (5, 1.6)), (0, (1.4, 1.4)))


def shown_row(h: Heard) -> int:
    """The row of the point that pictures are about: where the first finding shakes, or above axles."""
    one, names = h.evidence.findings[0], h.slow.names
    above = [name for name in one.points if not is_unsprung(name)]
    loudest = max(above, key=lambda name: one.points[name].level, default=None)
    sides = [name for name in names if name.startswith(f"{one.where}, ")]
    tramps = sides[0] if sides and one.kind == "outside_the_model" else None
    place = one.where if one.where in names else tramps or loudest
    return names.index(place) if place in names else h.slow.sprung[0]


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
    keys = [key_to(name, color=HUE, linestyle=dash) for name, dash in zip(names[1:], DASHES, strict=False)]
    averages = f"{found.spectra.averages:.0f} independent averages"
    axes.set_title(f"with {names[0]}; {averages}", loc="left", fontsize=9.5, pad=24)
    above: dict[str, Any] = {"loc": "lower left", "bbox_to_anchor": (0, 1.0)}
    axes.legend(handles=keys, ncols=3, fontsize=8.5, handlelength=3, **above)


def _scatter(axes: Axes, found: Together) -> None:
    rings: dict[str, Any] = {
        "linestyle": "",
        "marker": "o",
        "markersize": 4,
        "color": HUE,
        "fillstyle": "none",
    }
    axes.plot(found.shake, 100 * found.swing, **rings)
    axes.set(xlabel=f"{found.spectra.names[0]}, m/s² r.m.s.", ylabel="swing of the shaft's speed, % r.m.s.")
    axes.set_xlim(left=0)
    axes.set_ylim(bottom=0)
    pieces = f"each {SECONDS:g} s, near {significant(found.frequency or 0.0)} Hz"
    axes.set_title(pieces, loc="left", fontsize=9.5)
