"""What a person feels of a shake: the frequency weightings and comfort bands of ISO 2631-1."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Felt = Literal["none", "Wk", "Wd", "Wc"]

PERCEPTION_THRESHOLD = 0.015
"""Weighted peak [m/s^2] that half of alert, fit people just notice (ISO 2631-1:1997, Annex C)."""

_BAND = (0.4, 100.0)  # [Hz] corners of the two-pole Butterworth band limits, common to the three weightings


@dataclass(frozen=True)
class _Shape:
    """Corners [Hz] and resonance factors [-] of one weighting, as the standard names them."""

    f3: float
    f4: float
    q4: float
    step: tuple[float, float, float, float] | None = None  # f5, Q5, f6, Q6; None: no upward step


_SHAPES: dict[Felt, _Shape] = {
    "Wk": _Shape(12.5, 12.5, 0.63, (2.37, 0.91, 3.35, 0.91)),
    "Wd": _Shape(2.0, 2.0, 0.63),
    "Wc": _Shape(8.0, 8.0, 0.63),
}

COMFORT_BANDS: tuple[tuple[float, float, str], ...] = (
    (0.0, 0.315, "not uncomfortable"),
    (0.315, 0.63, "a little uncomfortable"),
    (0.5, 1.0, "fairly uncomfortable"),
    (0.8, 1.6, "uncomfortable"),
    (1.25, 2.5, "very uncomfortable"),
    (2.0, np.inf, "extremely uncomfortable"),
)
"""(from, to, words) of the weighted r.m.s. acceleration [m/s^2]; they overlap (ISO 2631-1:1997, Annex C)."""


def weighting_factor(kind: Felt, frequency_hz: ArrayLike) -> NDArray[np.float64]:
    """Share of an acceleration that a person feels, by frequency; the shape of `frequency_hz`.

        W(f) = |high pass| |low pass| |acceleration to velocity| |upward step|

    kind          [-] Wk (seat, vertical), Wd (seat, horizontal), Wc (seat back), or none: 1 everywhere
    frequency_hz  [Hz], 0 or above, any shape

    Raises ValueError for another kind.
    Source: ISO 2631-1:1997, Annex A; the constants were seen in a table after ISO 8041.

    >>> weighting_factor("Wk", [1.0, 6.3]).round(3).tolist()
    [0.482, 1.054]
    """
    f = np.asarray(frequency_hz, dtype=float)
    if kind == "none":
        return np.ones_like(f)
    if kind not in _SHAPES:
        raise ValueError(f"weighting {kind!r}: wanted one of none, {', '.join(_SHAPES)}")
    return _band_limits(f) * _response(_SHAPES[kind], f)


def _band_limits(f: NDArray[np.float64]) -> NDArray[np.float64]:
    low, high = _BAND
    passed: NDArray[np.float64] = f**2 / np.sqrt(f**4 + low**4) * high**2 / np.sqrt(f**4 + high**4)
    return passed


def _response(shape: _Shape, f: NDArray[np.float64]) -> NDArray[np.float64]:
    transition = (1 + 1j * f / shape.f3) / _pair(f, shape.f4, shape.q4)
    if shape.step is None:
        return np.abs(transition)
    f5, q5, f6, q6 = shape.step
    return np.abs(transition * _pair(f, f5, q5) / _pair(f, f6, q6) * (f5 / f6) ** 2)


def _pair(f: NDArray[np.float64], corner: float, q: float) -> NDArray[np.complex128]:
    """1 + s/(Q w) + (s/w)^2 at s = 2 pi i f."""
    x = f / corner
    return 1 - x**2 + 1j * x / q


def comfort_words(level: float) -> tuple[str, ...]:
    """What people are likely to call a shake: one or two neighbouring words, for the bands overlap.

    level  [m/s^2], weighted, r.m.s., 0 or above

    Source: ISO 2631-1:1997, Annex C (the last two bands from memory).

    >>> comfort_words(0.55)
    ('a little uncomfortable', 'fairly uncomfortable')
    """
    if not level >= 0:
        raise ValueError(f"level must be 0 m/s^2 or above, got {level}")
    return tuple(words for low, high, words in COMFORT_BANDS if low <= level < high)
