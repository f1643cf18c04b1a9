"""How rough a road is by ISO 8608: spectra of its heights, classes A to H, and any road of one's own.

Spectra are one-sided, over cycles per metre.  The reference is n0 = 0.1 cycle/m; tables that start with
1, 4, 16 (1e-6 m^3) for classes A, B, C belong to 1 rad/m instead, and are 16 times too small here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
RoadClass = Literal["A", "B", "C", "D", "E", "F", "G", "H"]

N0 = 0.1  # [cycle/m] the reference of the standard
CLASSES: dict[RoadClass, float] = {
    "A": 16e-6, "B": 64e-6, "C": 256e-6, "D": 1024e-6,
    "E": 4096e-6, "F": 16384e-6, "G": 65536e-6, "H": 262144e-6,
}  # fmt: skip
"""Geometric mean of Gd(n0) of each class [m^3]; a class reaches from half of it to twice it.

Source: ISO 8608:1995, Annex C (A to D as seen in copies, E to H from memory, each 4 times the last)."""

SMOOTHEST = 2e-6  # [m^3] a stated density below it belongs to 1 rad/m (common practice, no source)
ROUGHEST = 1.0  # [m^3] beyond it no wheel stays on the road
FLATTEST, STEEPEST = 1.0, 4.0  # [-] waviness that roads have (common practice, no source)


@dataclass(frozen=True)
class Roughness:
    """A random road: Gd(n) = density (n / n0)^-waviness between two wavelengths, and nothing beyond them.

    density   [m^3] one-sided spectral density of the heights at n0 = 0.1 cycle/m
    waviness  [-] 2: the slope of the road is white
    longest   [m] wavelength
    shortest  [m] wavelength
    source    where it comes from; "" where the person gave it

    >>> road = Roughness(256e-6)
    >>> float(road.spectrum(0.1)), float(road.spectrum(0.2)), float(road.spectrum(100.0))
    (0.000256, 6.4e-05, 0.0)
    """

    density: float
    waviness: float = 2.0
    longest: float = 100.0
    shortest: float = 0.1
    source: str = ""

    def __post_init__(self) -> None:
        if not 0 < self.density <= ROUGHEST:
            raise ValueError(f"density must lie in (0, {ROUGHEST:g}] m^3, got {self.density}")
        if not FLATTEST <= self.waviness <= STEEPEST:
            raise ValueError(f"waviness must lie in [{FLATTEST:g}, {STEEPEST:g}], got {self.waviness}")
        if not 0 < self.shortest < self.longest < np.inf:
            raise ValueError(f"wavelengths from {self.shortest} m to {self.longest} m: wanted short to long")

    def spectrum(self, wave_number: ArrayLike) -> Floats:
        """One-sided density of the heights [m^3], that is m^2 per cycle/m.

        wave_number  n [cycle/m], any shape
        """
        n = np.asarray(wave_number, dtype=float)
        inside = (n >= 1 / self.longest) & (n <= 1 / self.shortest)
        return np.where(inside, self.density * (np.where(inside, n, N0) / N0) ** -self.waviness, 0.0)

    def in_time(self, frequency: ArrayLike, speed: float) -> Floats:
        """One-sided density of the heights along time [m^2/Hz]: Gd(f / v) / v.

        frequency  [Hz], any shape
        speed      v [m/s], above 0

        >>> float(Roughness(256e-6).in_time(1.0, 20.0).round(12))
        5.12e-05
        """
        if not speed > 0:
            raise ValueError(f"speed must be above 0 m/s, got {speed}")
        return self.spectrum(np.asarray(frequency, dtype=float) / speed) / speed

    @property
    def road_class(self) -> RoadClass:
        """Its class by ISO 8608."""
        return class_of(self.density)

    @property
    def velocity_density(self) -> float:
        """One-sided density of the slope at n0 [m]: (2 pi n0)^2 Gd(n0); flat where the waviness is 2."""
        return (2 * np.pi * N0) ** 2 * self.density

    @property
    def variance(self) -> float:
        """Of the heights [m^2]: the area under the spectrum."""
        low, high, power = 1 / self.longest, 1 / self.shortest, 1 - self.waviness
        if abs(power) < 1e-9:
            return float(self.density * N0 * np.log(high / low))
        return float(self.density * N0**self.waviness * (high**power - low**power) / power)


ASSUMED = Roughness(CLASSES["A"], source="class A, assumed (common practice, no source)")
"""A good main road, 2.2 m/km by the roughness index; on class B, 4.4, few would tell one shake apart."""


def of_class(letter: RoadClass) -> Roughness:
    """The geometric mean of a class of ISO 8608, with waviness 2.

    >>> of_class("C").density
    0.000256
    """
    if letter not in CLASSES:
        raise ValueError(f"class {letter!r}: wanted one of {', '.join(CLASSES)}")
    return Roughness(CLASSES[letter], source=f"class {letter} of ISO 8608")


def class_of(density: float) -> RoadClass:
    """The class that a road belongs to; the smoothest is A and the roughest H, however far beyond.

    density  [m^3] at n0 = 0.1 cycle/m

    >>> class_of(31.9e-6), class_of(32.1e-6), class_of(1e-9)
    ('A', 'B', 'A')
    """
    if not 0 < density < np.inf:
        raise ValueError(f"density must be above 0 m^3, got {density}")
    return next((letter for letter, mean in CLASSES.items() if density < 2 * mean), "H")


def bounds(letter: RoadClass) -> tuple[float, float]:
    """Lower and upper Gd(n0) of a class [m^3]: half of its geometric mean, and twice it.

    A has no lower bound and H no upper one (ISO 8608:1995, Annex C, from memory).

    >>> bounds("B")
    (3.2e-05, 0.000128)
    """
    mean = CLASSES[letter]
    return (0.0 if letter == "A" else mean / 2), (np.inf if letter == "H" else 2 * mean)


def at_one_radian(density: float, waviness: float = 2.0) -> float:
    """Gd at 1 rad/m [m^3] of a road, from its Gd at 0.1 cycle/m.

        Gd(Omega) = Gd(n) / 2 pi,   Omega = 2 pi n

    density   [m^3] at 0.1 cycle/m
    waviness  [-]

    Source: ISO 8608:1995, whose table rounds the classes' 1.005, 4.02, 16.1 to 1, 4, 16 (1e-6 m^3).

    >>> round(at_one_radian(16e-6) * 1e6, 4)
    1.0053
    """
    return float(density * (2 * np.pi * N0) ** waviness / (2 * np.pi))


def from_one_radian(angular_density: float, waviness: float = 2.0) -> float:
    """Gd at 0.1 cycle/m [m^3] of a road, from its Gd at 1 rad/m: the inverse of `at_one_radian`.

    angular_density  [m^3] at 1 rad/m
    waviness         [-]

    >>> round(from_one_radian(1.0053e-6) * 1e6, 3)
    16.0
    """
    return angular_density / at_one_radian(1.0, waviness)


def misread(density: float) -> str:
    """Why a stated density is likely to be another one; "" where nothing speaks for it.

    density  [m^3] as stated at n0 = 0.1 cycle/m

    >>> misread(64e-6)
    ''
    >>> misread(1e-6)
    'no paved road is as smooth at 0.1 cycle/m: class A has 1e-6 m^3 at 1 rad/m, which is 16e-6 there'
    """
    if density >= SMOOTHEST:
        return ""
    here = f"at {N0:g} cycle/m"
    return f"no paved road is as smooth {here}: class A has 1e-6 m^3 at 1 rad/m, which is 16e-6 there"


def stated(density: float, waviness: float = 2.0) -> Roughness:
    """A road that somebody states, with the density that belongs to 1 rad/m refused.

    density   [m^3] at n0 = 0.1 cycle/m
    waviness  [-]

    Raises ValueError for a density that no road has; `from_one_radian` converts one for 1 rad/m.

    >>> stated(64e-6).road_class, stated(from_one_radian(1e-6)).road_class
    ('B', 'A')
    """
    if doubt := misread(density):
        raise ValueError(f"density {density:.3g} m^3: {doubt}")
    return Roughness(density, waviness)
