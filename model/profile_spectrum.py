"""How rough a profile is: its spectrum, class and dominant wavelengths; and a profile out of a spectrum."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .profile import Profile
from .roughness import N0, RoadClass, Roughness, class_of

Floats = NDArray[np.float64]

FIT_FROM, FIT_TO = 0.011, 2.83  # [cycle/m] where the line is fitted (ISO 8608:1995, from memory)
NOTHING = 1e-24  # [m^3] below it there is only rounding
PARTS = 4  # a profile is cut into so many lengths, overlapping by half, whose spectra are averaged
LONGEST_PART = 250.0  # [m]
FEWEST_IN_PART = 32  # samples
FEWEST_BANDS = 6  # thirds of an octave that a line is drawn through
LEAST_LINES = 2.0  # lines above zero from which on the window and the trend no longer disturb
HIGHEST_SHARE = 0.8  # of the highest wave number that the spacing can show
MOST_PEAKS = 6
BY_CHANCE = 0.01  # chance that a road without any dominant wavelength shows one
NO_LINE = 0.3  # [-] by which the bands of a road lie off any straight line (common practice, no source)
AROUND = 31  # lines whose median is the ground that a peak stands on
SKIRT = 3  # lines on either side that belong to a peak
LEAST_PROMINENCE = 2.0  # [-] of a peak over the valleys beside it


@dataclass(frozen=True)
class ProfileSpectrum:
    """Spectrum of a profile, the straight line through it, and what stands out from that line.

    wave_number  [cycle/m] (n,) evenly spaced, without zero
    density      [m^3] one-sided, (n,): m^2 per cycle/m
    averages     [-] how many independent spectra it is worth
    density_n0   [m^3] of the line at n0 = 0.1 cycle/m
    waviness     [-] of the line
    bands        (wave number [cycle/m], density [m^3]) of the third-octave bands that it goes through
    """

    wave_number: Floats
    density: Floats
    averages: float
    density_n0: float
    waviness: float
    bands: tuple[Floats, Floats]

    @property
    def road_class(self) -> RoadClass:
        """Class by ISO 8608, from the fitted Gd(n0)."""
        return class_of(self.density_n0)

    def line(self, wave_number: Floats) -> Floats:
        """The fitted line [m^3].

        wave_number  [cycle/m], any shape
        """
        return np.asarray(self.density_n0 * (wave_number / N0) ** -self.waviness)


def spectrum(profile: Profile) -> ProfileSpectrum:
    """Spectrum of what an axle feels of a profile, by Welch's method with a Hann window.

    The line is one of least squares through the logarithms of third-octave bands between 0.011 and
    2.83 cycle/m: a band of few lines counts for less, and its logarithm is corrected for being too low.

    Raises ValueError for a profile of fewer than 128 samples, a shorter one than six such bands need, or one
    without any roughness.

    >>> from .roughness import of_class
    >>> found = spectrum(realised(of_class("C"), 2000.0, 0.1, seed=1))
    >>> found.road_class, round(found.density_n0 * 1e6), round(found.waviness, 2)
    ('C', 267, 2.02)
    """
    from scipy.signal import detrend, welch

    heights: Floats = profile.felt - profile.felt.mean()
    part = max(min(len(heights) // PARTS, int(LONGEST_PART / profile.spacing)), FEWEST_IN_PART)
    if len(heights) < PARTS * FEWEST_IN_PART:
        raise ValueError(
            f"a spectrum needs {PARTS * FEWEST_IN_PART} samples or more, and the profile has {len(heights)}"
        )
    n, density = welch(heights, 1 / profile.spacing, "hann", part, detrend=detrend)
    n, density = n[1:], np.maximum(density[1:], NOTHING)
    if np.all(density == NOTHING):
        raise ValueError("the profile has no roughness: it is straight")
    averages = len(heights) / part
    bands = _third_octaves(n, density, n[0] * LEAST_LINES, HIGHEST_SHARE * n[-1])
    if len(bands[0]) < FEWEST_BANDS:
        raise ValueError(f"the profile is too short for a spectrum: {profile.length:g} m")
    waviness, density_n0 = _fitted(*bands, len(heights) * profile.spacing)
    return ProfileSpectrum(n, density, averages, density_n0, waviness, bands)


def _third_octaves(n: Floats, density: Floats, low: float, high: float) -> tuple[Floats, Floats]:
    """Mean density of each third of an octave [m^3], at its geometric middle [cycle/m].

    For a waviness of 2 the mean over a band is the density at its geometric middle.
    """
    edges = 2.0 ** (np.arange(-40, 20) / 3 + 1 / 6) * N0
    edges = edges[(edges >= max(low, FIT_FROM)) & (edges <= min(high, FIT_TO))]
    area = np.concatenate([[0.0], np.cumsum(density) * n[0]])
    upto = np.interp(edges, np.concatenate([[n[0] / 2], n + n[0] / 2]), area)
    return np.sqrt(edges[1:] * edges[:-1]), np.maximum(np.diff(upto) / np.diff(edges), NOTHING)


def _fitted(n: Floats, density: Floats, length: float) -> tuple[float, float]:
    """(waviness [-], Gd(n0) [m^3]); a band of a profile holds width * length pairs of independent numbers."""
    from scipy.special import digamma, polygamma

    pairs = np.maximum(n * (2 ** (1 / 6) - 2 ** (-1 / 6)) * length, 1.0)
    expected = np.log(density) - (digamma(pairs) - np.log(pairs))
    spread = np.sqrt(polygamma(1, pairs) + NO_LINE**2)
    slope, level = np.polyfit(np.log(n / N0), expected, 1, w=1 / spread)
    return float(-slope), float(np.exp(level))


# --- dominant wavelengths ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class Wavelength:
    """A wavelength that stands out.

    length      [m]
    over_line   [-] density of the peak over the fitted line
    prominence  [-] density of the peak over the higher of the valleys beside it
    amplitude   [m] of a sine of the power by which the peak exceeds its ground

    >>> Wavelength(4.5, 30.0, 20.0, 1e-3).speed(10.0)
    45.0
    """

    length: float
    over_line: float
    prominence: float
    amplitude: float

    def speed(self, frequency: float) -> float:
        """Where it meets a natural frequency [m/s].

        frequency  [Hz]
        """
        return frequency * self.length


def dominant_wavelengths(found: ProfileSpectrum) -> tuple[Wavelength, ...]:
    """Wavelengths that stand out, most prominent first, 6 at most.

    A peak counts where it exceeds both the line and its own surroundings by more than chance allows (1 % for
    the whole spectrum, if heights are a Gaussian process), and the valleys beside it twofold.

    >>> from .roughness import of_class
    >>> road = realised(of_class("A"), 1000.0, 0.25, seed=2)
    >>> dominant_wavelengths(spectrum(road))
    ()
    >>> waves = Profile(0.25, 0.0, road.heights + 4e-3 * np.sin(2 * np.pi * road.distance / 6.1), "invented")
    >>> [(round(w.length, 2), round(w.amplitude * 1e3, 1)) for w in dominant_wavelengths(spectrum(waves))]
    [(6.1, 4.1)]
    """
    from scipy.ndimage import median_filter
    from scipy.signal import find_peaks, peak_prominences

    n, step = found.wave_number, found.wave_number[0]
    over_line = found.density / found.line(n)
    ground = np.maximum(median_filter(over_line, AROUND, mode="nearest"), 1.0)
    heard = (n >= LEAST_LINES * step) & (n <= HIGHEST_SHARE * n[-1])
    level = np.where(heard, np.log(over_line / ground), -np.log(1e9))
    tops, _ = find_peaks(level, height=np.log(_by_chance(found)), prominence=np.log(LEAST_PROMINENCE))
    waves = []
    for top, prominence in zip(tops, peak_prominences(level, tops)[0], strict=True):
        own = slice(max(top - SKIRT, 0), top + SKIRT + 1)
        power = step * np.sum(found.density[own] - (ground * found.line(n))[own])
        length = 1 / _polished(n, np.log(found.density), int(top))
        amplitude = float(np.sqrt(2 * max(power, 0.0)))
        waves.append(Wavelength(length, float(over_line[top]), float(np.exp(prominence)), amplitude))
    return tuple(sorted(waves, key=lambda w: -w.prominence)[:MOST_PEAKS])


def _by_chance(found: ProfileSpectrum) -> float:
    """How far over its mean the highest of all lines rises by chance [-]."""
    from scipy.stats import chi2

    freedom = 2 * max(2 * found.averages - 1, 1.0) / 1.06  # lengths overlapping by half, Hann window
    return float(chi2.ppf(1 - BY_CHANCE / len(found.wave_number), freedom) / freedom)


def _polished(n: Floats, level: Floats, top: int) -> float:
    """Where the parabola through a peak and its neighbours is highest [cycle/m]."""
    if not 0 < top < len(n) - 1:
        return float(n[top])
    before, here, after = level[top - 1 : top + 2]
    bend = before - 2 * here + after
    return float(n[top] + n[0] * (0.0 if bend >= 0 else 0.5 * (before - after) / bend))


# --- a profile out of a spectrum --------------------------------------------------------------------------


def realised(roughness: Roughness, length: float, spacing: float, seed: int) -> Profile:
    """One track of a random road: a sum of sines of amplitude sqrt(2 Gd dn) with random phases.

    length   [m], rounded up to a whole number of steps; the road repeats itself after it
    spacing  [m]
    seed     of the phases; the same seed gives the same road

    Raises ValueError where the length holds no wave of the band, or the spacing cannot show the shortest one
    that a spacing of its own would (2 samples a wave): waves shorter than that are left out.

    >>> from .roughness import of_class
    >>> road = realised(of_class("B"), 500.0, 0.05, seed=7)
    >>> len(road.heights), bool(np.array_equal(road.heights, realised(of_class("B"), 500.0, 0.05, 7).heights))
    (10000, True)
    """
    if not 0 < spacing < length < np.inf:
        raise ValueError(f"spacing {spacing} m and length {length} m: wanted 0 < spacing < length")
    count = int(np.ceil(length / spacing * (1 - 1e-12)))
    n = np.arange(count // 2 + 1) / (count * spacing)
    amplitude = np.sqrt(2 * roughness.spectrum(n) * n[1])
    amplitude[n * 2 * spacing >= 1] = 0.0
    if count < 3 or not amplitude.any():
        raise ValueError(f"no wave of the road fits {length:g} m at {spacing:g} m between samples")
    phase = np.random.default_rng(seed).uniform(0, 2 * np.pi, len(n))
    heights = np.fft.irfft(amplitude / 2 * np.exp(1j * phase) * count, count)
    band = f"{1 / n[amplitude > 0][-1]:.3g} m to {1 / n[amplitude > 0][0]:.3g} m"
    source = f"random road, Gd(0.1 cycle/m) {roughness.density:.3g} m^3, waviness {roughness.waviness:g}"
    done = f"One track, {np.count_nonzero(amplitude)} sines with random phases, seed {seed}, waves of {band}."
    return Profile(spacing, 0.0, heights, source, (done,))
