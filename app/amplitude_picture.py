"""The picture of natural frequencies along amplitude."""

from __future__ import annotations

from textwrap import shorten
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..model.forces import Leaf
from ..sizing.assess import Assessment
from .figures import GHOST, HUE, INK, canvas, plate
from .layout import spread_out

if TYPE_CHECKING:
    from .figures import Axes, Figure

Floats = NDArray[np.float64]

STANDS = 0.01  # share of its frequency by which a mode that does not move moves at most
LINE_GAP = 1.2  # [Hz] between labels
MOST_NAMED = 4  # laws above the picture


def along_amplitude(a: Assessment) -> Figure:
    """Each mode's frequency along the stretch of the laws; upright lines: how far leaves were found to go."""
    found = a.amplitude
    assert found is not None
    unit, one = a.case.display.unit("small_length")
    along = found.along
    with canvas(9.6, 4.2) as figure:
        room = {"left": 0.07, "right": 0.68, "top": 0.86, "bottom": 0.13}
        axes = figure.subplots(gridspec_kw=room)
        for i in range(len(along.names)):
            hertz = along.frequency_hz[:, i]
            colour, wide = (HUE, 1.9) if _moves(hertz) else (GHOST, 1.2)
            axes.plot(along.amplitude / one, hertz, color=colour, linewidth=wide, zorder=3)
        axes.set_xscale("log")
        axes.xaxis.set_major_formatter(lambda value, _: f"{value:g}")
        axes.set_xlim(along.amplitude[0] / one, along.amplitude[-1] / one)
        axes.set_ylim(0, 1.08 * float(np.nanmax(along.frequency_hz)))
        axes.set_xlabel(f"stretch of every law, {unit}")
        axes.set_ylabel("Hz")
        axes.grid(axis="y", color="#e3e8ea", linewidth=0.7)
        _names(axes, a)
        _found(axes, a, one)
    return figure


def _names(axes: Axes, a: Assessment) -> None:
    """Each mode's name beside the end of its line; where it moves, with its frequencies at both ends."""
    assert a.amplitude is not None
    along = a.amplitude.along
    ends = sorted((float(hertz[np.isfinite(hertz)][-1]), i) for i, hertz in enumerate(along.frequency_hz.T))
    for y, (end, i) in zip(spread_out([one for one, _ in ends], LINE_GAP), ends, strict=True):
        hertz = (
            f": {along.frequency_hz[0, i]:.2f} to {end:.2f} Hz" if _moves(along.frequency_hz[:, i]) else ""
        )
        axes.annotate(
            shorten(f"{along.names[i]}{hertz}", 44, placeholder=" …"), (1, end),
            xycoords=("axes fraction", "data"), xytext=(1.03, y), textcoords=("axes fraction", "data"),
            va="center", fontsize=8.5, annotation_clip=False,
            arrowprops={"arrowstyle": "-", "color": GHOST, "linewidth": 0.6, "shrinkA": 0, "shrinkB": 0},
        )  # fmt: skip


def _moves(hertz: Floats) -> bool:
    return bool(np.nanmax(hertz) > (1 + STANDS) * np.nanmin(hertz))


def _found(axes: Axes, a: Assessment, one: float) -> None:
    """Where the leaves were found to be in the band; without leaves, where the first laws were."""
    assert a.amplitude is not None
    found = list(zip(a.amplitude.laws, a.amplitude.stretch, strict=True))
    leaves = [pair for pair in found if isinstance(pair[0].force, Leaf)]
    for n, (law, stretch) in enumerate((leaves or found)[:MOST_NAMED]):
        at = float(stretch) / one
        axes.axvline(at, color=INK, linewidth=1.0, linestyle=(0, (4, 2)), zorder=2)
        axes.annotate(
            f"{law.name}: {a.case.display.show(float(stretch), 'small_length')}", (at, 1),
            xycoords=("data", "axes fraction"), xytext=(3, 4 + 11 * n), textcoords="offset points",
            fontsize=8.5, bbox=plate(), annotation_clip=False,
        )  # fmt: skip
