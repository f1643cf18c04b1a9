"""What a person feels of a shake: the frequency weightings and comfort bands of ISO 2631-1."""

from __future__ import annotations

from collections.abc import Mapping
from math import sqrt
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Weighting = Literal["none", "Wk", "Wd", "Wc"]

PERCEPTION_THRESHOLD = 0.015
"""Weighted peak [m/s^2] that half of alert, fit people just notice (ISO 2631-1:1997, Annex C)."""

JUST_NOTICEABLE = 0.10
"""Share [-] by which a level must change to be felt as changed, one right after the other.

About 10 % at 5 and 20 Hz, 0.1 and 0.5 m/s^2 r.m.s.: M. Morioka, M. J. Griffin, "Difference thresholds for
intensity perception of whole-body vertical vibration", J. Acoust. Soc. Am. 107 (2000) 620-624 (abstract
seen).  Medians of 5.2 to 6.5 % at 4 to 80 Hz: "Influence of frequency on difference thresholds for magnitude
of vertical sinusoidal whole-body vibration", Industrial Health 40 (2002) 313-319 (abstract seen); of 6.7 to
11.0 % at 1.3 and 6 Hz on a car's seat: "Difference thresholds for the perception of sinusoidal vertical
stimuli of whole-body vibrations", Vibration 3 (2020) 116-131 (abstract seen).
"""

Section = tuple[tuple[float, ...], tuple[float, ...], float]

_ROUND = 1 / sqrt(2)  # resonance factor of a two-pole Butterworth filter
_HIGH_PASS: Section = (1.0, 0.0, 0.0), (1.0, 1 / _ROUND, 1.0), 0.4
_LOW_PASS: Section = (1.0,), (1.0, 1 / _ROUND, 1.0), 100.0


def _transition(corner: float, q: float) -> Section:
    """From acceleration below the corner to velocity above it; the standard's f3 and f4 are one here."""
    return (1.0, 1.0), (1.0, 1 / q, 1.0), corner


def _step(f5: float, q5: float, f6: float, q6: float) -> Section:
    """Upward, from one level below f5 to another above f6."""
    share = f5 / f6
    return (1.0, share / q5, share**2), (1.0, 1 / q6, 1.0), f6


_SECTIONS: dict[Weighting, tuple[Section, ...]] = {
    "none": (),
    "Wk": (_HIGH_PASS, _LOW_PASS, _transition(12.5, 0.63), _step(2.37, 0.91, 3.35, 0.91)),
    "Wd": (_HIGH_PASS, _LOW_PASS, _transition(2.0, 0.63)),
    "Wc": (_HIGH_PASS, _LOW_PASS, _transition(8.0, 0.63)),
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

CONTACTS: dict[tuple[str, str], tuple[Weighting, float]] = {
    ("seat", "vertical"): ("Wk", 1.0),
    ("seat", "fore-aft"): ("Wd", 1.0),
    ("seat back", "vertical"): ("Wd", 0.4),
    ("seat back", "fore-aft"): ("Wc", 0.8),
    ("feet", "vertical"): ("Wk", 0.4),
    ("feet", "fore-aft"): ("Wk", 0.25),
}
"""(contact, direction): weighting and multiplying factor k [-] where a seated person touches the vehicle; for
comfort, not for health (ISO 2631-1:1997, 8.2.2; from memory)."""


def sections(kind: Weighting) -> tuple[Section, ...]:
    """The factors of a weighting: (numerator, denominator, corner), polynomials in s / (2 pi corner).

    Highest power first [-], corner [Hz].  In the standard's order: band limits, transition, upward step.

    Raises ValueError for another kind.
    Source: ISO 2631-1:1997, Annex A; the constants were seen in a table after ISO 8041.

    >>> [corner for _, _, corner in sections("Wk")]
    [0.4, 100.0, 12.5, 3.35]
    """
    if kind not in _SECTIONS:
        raise ValueError(f"weighting {kind!r}: wanted one of {', '.join(_SECTIONS)}")
    return _SECTIONS[kind]


def weighting_response(kind: Weighting, frequency_hz: ArrayLike) -> NDArray[np.complex128]:
    """What a weighting does to a steady shake, in size and phase [-]; the shape of `frequency_hz`.

    frequency_hz  [Hz], any shape

    Raises ValueError for another kind.
    """
    f = np.asarray(frequency_hz, dtype=float)
    response = np.ones(f.shape, dtype=complex)
    for top, bottom, corner in sections(kind):
        s = 1j * f / corner
        response *= np.polyval(top, s) / np.polyval(bottom, s)
    return response


def weighting_factor(kind: Weighting, frequency_hz: ArrayLike) -> Floats:
    """Share of an acceleration that a person feels, by frequency [-]; the shape of `frequency_hz`.

    kind          Wk (seat, vertical), Wd (seat, fore-aft), Wc (seat back, fore-aft), or none: 1 everywhere
    frequency_hz  [Hz], 0 or above, any shape

    Raises ValueError for another kind.

    >>> weighting_factor("Wk", [1.0, 6.3]).round(3).tolist()
    [0.482, 1.054]
    """
    return np.abs(weighting_response(kind, frequency_hz))


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


def multiplying_factor(kind: Weighting, direction: str) -> float:
    """k [-] of a point that is weighted so: of the seat where seat and feet share a weighting.

    Raises ValueError where no contact of a seated person is weighted so.

    >>> multiplying_factor("Wk", "vertical"), multiplying_factor("Wc", "fore-aft")
    (1.0, 0.8)
    """
    for (_, along), (weighting, factor) in CONTACTS.items():
        if (weighting, along) == (kind, direction):
            return factor
    raise ValueError(f"nothing that a seated person touches is weighted {kind} {direction}")


def total_value(levels: Mapping[tuple[str, str], float]) -> float:
    """Several weighted levels as one [m/s^2] r.m.s.: sqrt(sum of (k a)^2), in the planar model's directions.

    levels  [m/s^2] r.m.s., each weighted as CONTACTS says, by (contact, direction)

    For one contact its point vibration total value, for several the overall one.  Raises KeyError for a
    contact or direction that the standard gives no factor.
    Source: ISO 2631-1:1997, 6.5 and 8.2.2 (from memory).

    >>> round(total_value({("seat", "vertical"): 0.3, ("seat back", "fore-aft"): 0.5}), 2)
    0.5
    """
    return sqrt(sum((CONTACTS[contact][1] * level) ** 2 for contact, level in levels.items()))


def noticeable(before: ArrayLike, after: ArrayLike) -> NDArray[np.bool_]:
    """Whether a person would feel that a shake has changed; the shapes of before and after, broadcast.

    before  [m/s^2] r.m.s., weighted
    after   [m/s^2] r.m.s., weighted

    That is: half of all people, attentive, one right after the other.  Days apart it takes more.

    >>> noticeable([1.0, 1.0, 0.0], [0.95, 0.85, 0.0]).tolist()
    [False, True, False]
    """
    one, other = np.asarray(before, dtype=float), np.asarray(after, dtype=float)
    return np.asarray(np.abs(other - one) > JUST_NOTICEABLE * one)
