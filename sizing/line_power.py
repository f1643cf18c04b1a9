"""How large a line is over what lies beside it: a rough road stirs up every frequency, a wheel only its own.

Cut into long pieces of road, a line is far narrower than any resonance that it may lie on.  So what a rough
road does under the line follows from what it does on both sides: a parabola, drawn through the bins beside
the line, goes through the top of a resonance and the bottom of a trough alike.  It is taken off as power, and
what chance still leaves is told as a doubt.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LINE = 2  # bins on either side that a line under a Hann window spreads over
SPREAD = 0.003  # [-] by which the wheels of a vehicle, and its speed, differ: that widens a high order
AROUND = 2  # times so many further bins on either side tell what is there without the line
SHARED = (1.0, 4 / 9, 1 / 36)  # squared correlation of a bin of a Hann window with itself and its neighbours


@dataclass(frozen=True)
class Bins:
    """How much each bin counts, to find one line.

    power       [-] (F,) of the line: one on it, and what takes off the background beside it
    background  [-] (F,) of the background alone, under the line
    bend        [-] (F,) of how far that background lies above a flat one
    doubt       [-] variance that chance gives `power`, over the mean square of `background`
    """

    power: Floats
    background: Floats
    bend: Floats
    doubt: float


def near(per_metre: Floats, places: Sequence[float], step: float) -> NDArray[np.bool_]:
    """Which bins lines spread over, (F,) [-].

    per_metre  [1/m] (F,) of the bins
    places     [1/m] of the lines
    step       [1/m] from bin to bin

    >>> near(np.arange(20) / 10, (1.0,), 0.1).nonzero()[0].tolist()
    [8, 9, 10, 11, 12]
    """
    found = np.zeros(len(per_metre), dtype=bool)
    for place in places:
        found |= np.abs(per_metre - place) <= _reach(place, step)
    return found


def _reach(place: float, step: float) -> float:
    return (LINE + 0.5) * step + SPREAD * place


def line_bins(per_metre: Floats, places: Sequence[float], taken: NDArray[np.bool_]) -> Bins | None:
    """How to find what one line, or several close to each other, amount to; None: nothing is left beside it.

    per_metre  [1/m] (F,) of the bins, evenly from 0
    places     [1/m] of its parts
    taken      [-] (F,) bins that other lines spread over

    The background is the parabola of least squares through the bins beside the line.  The doubt holds for a
    flat one: of bins that are exponential, and correlated as a Hann window leaves them.

    >>> bins = np.arange(200) / 480
    >>> found = line_bins(bins, (0.2,), np.zeros(200, dtype=bool))
    >>> resonance = 5 + 3 * bins - 40 * (bins - 0.21) ** 2     # a parabola is taken off whole
    >>> abs(round(float(found.power @ resonance), 9)), round(found.doubt, 1)
    (0.0, 0.5)
    """
    step = float(per_metre[1])
    own = near(per_metre, places, step)
    reach = (1 + AROUND) * _reach(max(places), step)
    middle = (min(places) + max(places)) / 2
    wide = reach + (max(places) - min(places)) / 2
    beside = (np.abs(per_metre - middle) <= wide) & ~own & ~taken & (np.arange(len(per_metre)) > LINE)
    if min(beside[: own.argmax()].sum(), beside[own.argmax() :].sum()) < LINE or not own.any():
        return None
    along = (per_metre - middle) / wide
    shapes = np.stack([np.ones_like(along), along, along**2])
    through, under = shapes[:, beside], shapes[:, own].sum(axis=1)
    background = np.zeros_like(along)
    background[beside] = np.linalg.solve(through @ through.T, under) @ through
    power, flat = own - background, own.sum() / beside.sum() * beside
    doubt = _chance(power) / (own.sum() ** 2 + _chance(background))
    return Bins(power, background, background - flat, float(doubt))


def _chance(weights: Floats) -> float:
    """Variance of a weighted sum of bins over the square of their mean [-]."""
    apart = [weights[lag:] @ weights[: len(weights) - lag] for lag in range(len(SHARED))]
    return float(apart[0] * SHARED[0] + 2 * sum(a * s for a, s in zip(apart[1:], SHARED[1:], strict=True)))
