"""A profile's spectrum and a profile out of a spectrum: each is held against the other."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.events import slabs
from counterbounce.model.profile import Profile
from counterbounce.model.profile_spectrum import Wavelength, dominant_wavelengths, realised, spectrum
from counterbounce.model.road import Joints
from counterbounce.model.roughness import Roughness, of_class


def gaussian(roughness: Roughness, length: float, spacing: float, seed: int) -> Profile:
    """A road whose sines have random amplitudes, too: a Gaussian process, unlike `realised`."""
    count = int(length / spacing)
    n = np.arange(count // 2 + 1) / (count * spacing)
    scale = np.sqrt(roughness.spectrum(n) * n[1])
    parts = np.random.default_rng(seed).standard_normal((2, len(n)))
    return Profile(spacing, 0.0, np.fft.irfft(scale / 2 * (parts[0] + 1j * parts[1]) * count, count), "")


# --- realised ---------------------------------------------------------------------------------------------


def test_the_same_seed_gives_the_same_bits_and_another_another_road():
    one, same, other = (realised(of_class("B"), 300.0, 0.1, seed) for seed in (5, 5, 6))
    assert one.heights.tobytes() == same.heights.tobytes()
    assert not np.allclose(one.heights, other.heights)
    assert "seed 5" in one.done[0]
    assert "One track" in one.done[0]


@pytest.mark.parametrize("waviness", [1.6, 2.0, 2.8])
def test_each_line_of_a_realised_road_is_a_sine_of_the_spectrum(waviness):
    """Amplitude sqrt(2 Gd dn) at every line of its band, nothing beside it: to rounding."""
    road = Roughness(100e-6, waviness, longest=60.0, shortest=0.5)
    heights = realised(road, 240.0, 0.1, seed=1).heights
    n = np.arange(1, 1200) / 240.0
    amplitude = 2 * np.abs(np.fft.rfft(heights))[1:1200] / len(heights)
    assert np.allclose(amplitude, np.sqrt(2 * road.spectrum(n) / 240.0), rtol=1e-9, atol=1e-15)


def test_its_variance_is_that_of_its_band():
    """A sum over lines against an integral, on a band that ends between lines: 1 %."""
    road = Roughness(64e-6, longest=50.0, shortest=0.5)
    assert np.var(realised(road, 5025.0, 0.1, seed=3).heights) == pytest.approx(road.variance, rel=0.01)


@pytest.mark.parametrize(
    ("length", "spacing"), [(0.0, 0.1), (10.0, 0.0), (1.0, 2.0), (np.inf, 1.0), (0.05, 0.02)]
)
def test_a_road_without_waves_is_refused(length, spacing):
    with pytest.raises(ValueError, match=r"wanted|no wave"):
        realised(of_class("B"), length, spacing, seed=0)


# --- spectrum ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("letter", ["A", "C", "E"])
@pytest.mark.parametrize("waviness", [1.6, 2.0, 2.6])
def test_a_realised_road_gives_its_density_and_waviness_back(letter, waviness):
    """2 km: a road of sines of fixed amplitude has no scatter for the correction to undo: it adds 5 %."""
    asked = Roughness(of_class(letter).density, waviness)
    found = spectrum(realised(asked, 2000.0, 0.1, seed=11))
    assert found.density_n0 == pytest.approx(asked.density, rel=0.07)
    assert found.waviness == pytest.approx(waviness, abs=0.03)
    assert found.road_class == letter


def test_a_gaussian_road_gives_them_back_without_bias():
    """Mean of 60 roads of 600 m; one alone scatters by 10 %, so their mean by 1.3 %: within three of that."""
    found = [spectrum(gaussian(Roughness(256e-6), 600.0, 0.25, seed)) for seed in range(60)]
    assert np.mean([f.density_n0 for f in found]) == pytest.approx(256e-6, rel=0.04)
    assert np.mean([f.waviness for f in found]) == pytest.approx(2.0, abs=0.03)
    assert np.std([f.density_n0 for f in found]) < 0.15 * 256e-6


def test_its_area_is_the_variance():
    """Welch's densities are one-sided: a sine of amplitude a adds a^2 / 2, to 0.5 %."""
    x = 0.1 * np.arange(20_000)
    road = Profile(0.1, 0.0, 0.01 * np.sin(2 * np.pi * x / 3.7) + 1e-5 * np.sin(x), "")
    found = spectrum(road)
    area = np.sum(found.density) * found.wave_number[0]
    assert area == pytest.approx(0.01**2 / 2, rel=5e-3)


def test_level_and_grade_do_not_matter():
    road = realised(of_class("C"), 600.0, 0.25, seed=4)
    hill = Profile(0.25, 40.0, road.heights + 583 + 0.04 * road.distance, "")
    one, other = spectrum(road), spectrum(hill)
    assert other.density_n0 == pytest.approx(one.density_n0, rel=1e-6)
    assert other.waviness == pytest.approx(one.waviness, rel=1e-6)


def test_two_tracks_count_as_their_mean():
    road = realised(of_class("C"), 600.0, 0.25, seed=4)
    both = Profile(0.25, 0.0, np.array([road.heights * 1.5, road.heights * 0.5]), "")
    assert spectrum(both).density_n0 == pytest.approx(spectrum(road).density_n0, rel=1e-9)


@pytest.mark.parametrize(
    ("heights", "words"), [(np.zeros(500), "no roughness"), (np.zeros(100), "128 samples")]
)
def test_what_has_no_spectrum_is_refused(heights, words):
    with pytest.raises(ValueError, match=words):
        spectrum(Profile(0.25, 0.0, heights, ""))


# --- dominant wavelengths ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("length", "amplitude"), [(4.57, 3e-3), (9.3, 5e-3), (1.83, 1.5e-3)])
def test_a_wave_is_found_with_its_length_and_amplitude(length, amplitude):
    """Length to 0.5 %; amplitude to 15 %, for the road's own waves are there, too."""
    road = realised(of_class("B"), 1000.0, 0.1, seed=8)
    wavy = Profile(0.1, 0.0, road.heights + amplitude * np.cos(2 * np.pi * road.distance / length), "")
    (found,) = dominant_wavelengths(spectrum(wavy))
    assert found.length == pytest.approx(length, rel=5e-3)
    assert found.amplitude == pytest.approx(amplitude, rel=0.15)
    assert found.over_line > 3
    assert found.prominence > 2


def test_slabs_are_found_by_their_harmonics():
    road = realised(of_class("A"), 900.0, 0.1, seed=8)
    faulted = road.heights + slabs(Joints(4.5, step=6e-3), 200, 0.1).heights
    found = dominant_wavelengths(spectrum(Profile(0.1, 0.0, faulted, "")))
    harmonics = [4.5 / wave.length for wave in found]
    assert len(found) >= 4
    assert harmonics == pytest.approx(np.round(harmonics), rel=0.01)
    assert 1 in np.round(harmonics)


def test_a_road_of_chance_shows_no_wavelength():
    """1 % by design: more than 4 of 100 would come once in 300."""
    roads = (gaussian(Roughness(256e-6), 600.0, 0.25, seed) for seed in range(100))
    assert sum(bool(dominant_wavelengths(spectrum(road))) for road in roads) <= 4


def test_a_wavelength_meets_a_mode_where_frequency_times_length_says():
    assert Wavelength(6.1, 20.0, 10.0, 1e-3).speed(1.5) == pytest.approx(9.15)
