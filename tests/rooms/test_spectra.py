"""Spectra beyond what a reference library tells: flags, gaps, phases, memory, errors."""

import tracemalloc

import numpy as np
import pytest

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.segments import cut, transforms
from counterbounce.model.measured.spectra import spectra
from counterbounce.model.measured.spectrogram import spectrogram
from counterbounce.model.ride import Channel, Ride

RATE = 100.0


def ride_of(rows, rate=RATE, names=("floor", "rear end", "seat", "speed")):
    rows = np.atleast_2d(np.asarray(rows, dtype=float))
    return Ride("lane", rate, 0.0, tuple(Channel(name, "m/s^2") for name in names[: len(rows)]), rows)


def noise(rows, samples, seed=0):
    return np.random.default_rng(seed).standard_normal((rows, samples))


def test_pieces_with_a_gap_are_left_out_and_said():
    rows = noise(2, 10_000)
    holed = rows.copy()
    holed[1, 4321], holed[0, 4350] = np.nan, np.inf
    found = spectra(ride_of(holed), 4.0, overlap=0.0)
    assert (found.pieces, found.left_out) == (24, 1)
    assert any("1 pieces of 25 hold gaps" in said for said in found.warnings)
    whole = np.delete(rows.reshape(2, 25, 400), 10, axis=1).reshape(2, -1)
    assert found.cross == pytest.approx(spectra(ride_of(whole), 4.0, overlap=0.0).cross)


def test_phase_and_size_of_points_against_one():
    """A shape with a delay: a delay by tau is a factor e^{-i w tau}."""
    t = np.arange(40_000) / RATE
    shake = lambda when: np.cos(2 * np.pi * 6.25 * when)  # noqa: E731
    rows = np.stack([shake(t), -0.4 * shake(t), 2.0 * shake(t - 0.02)]) + 0.2 * noise(3, len(t))
    found = spectra(ride_of(rows), 4.0)
    ratio, error = found.relative("floor")
    at = found.frequency.tolist().index(6.25)
    wanted = np.array([1.0, -0.4, 2.0 * np.exp(-2j * np.pi * 6.25 * 0.02)])
    assert ratio[at] == pytest.approx(wanted, abs=5 * np.max(error[at] * abs(wanted)) + 1e-9)
    assert error[at].max() < 0.02
    assert error[at, 0] == pytest.approx(0, abs=1e-6)


def test_the_error_of_a_ratio_is_its_scatter():
    ratios, errors = [], []
    for seed in range(300):
        a, b = noise(2, 1600, seed)
        ratio, error = spectra(ride_of([a, a + b]), 1.0).relative(0)
        ratios.append(ratio[10:40:3, 1])
        errors.append(error[10:40:3, 1])
    assert np.std(np.abs(ratios)) == pytest.approx(np.mean(errors), rel=0.07)
    assert np.std(np.angle(ratios)) == pytest.approx(np.mean(errors), rel=0.07)


def test_edges_are_marked():
    found = spectra(ride_of(noise(1, 10_000)), 4.0)
    assert found.frequency[~found.edge][[0, -1]].tolist() == [0.5, 40.0]
    assert spectra(ride_of(noise(1, 10_000)), 4.0, window="flattop").frequency[5] == 1.25
    assert spectra(ride_of(noise(1, 10_000)), 4.0, window="flattop").edge[:6].tolist() == [True] * 5 + [False]


def test_few_averages_are_said():
    short, long = spectra(ride_of(noise(1, 2000)), 4.0), spectra(ride_of(noise(1, 20_000)), 4.0)
    assert any("independent averages" in said for said in short.warnings)
    assert long.warnings == ()


def test_speed_and_time_are_looked_past():
    found = spectra(ride_of(noise(4, 2000)), 4.0)
    assert found.names == ("floor", "rear end", "seat")
    assert spectra(ride_of(noise(4, 2000)), 4.0, ["speed"]).names == ("speed",)


def test_a_still_channel_is_coherent_with_nothing():
    found = spectra(ride_of([noise(1, 4000)[0], np.zeros(4000)]), 4.0)
    assert not found.coherence(0, 1).any()
    assert not found.relative(1)[0].any()
    assert np.isinf(found.relative(0)[1][2:, 1]).all()


def test_an_hour_takes_little_memory(tmp_path):
    """Of a twelfth of an hour: 29 MB of samples in a file; what is held does not grow with the ride."""
    count = 600_000
    held = np.memmap(tmp_path / "hour", dtype=np.float64, mode="w+", shape=(6, count))
    held[:] = noise(6, count)
    ride = Ride("", 2000.0, 0.0, tuple(Channel(f"{i}", "m/s^2") for i in range(6)), held)
    spectra(ride, 0.512)
    tracemalloc.start()
    try:
        spectra(ride, 1.024)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < 20e6


def test_batches_are_seamless():
    ride = ride_of(noise(1, 400_000))
    starts = np.concatenate([where for where, _ in transforms(ride, cut(ride, 40.96))])
    assert starts.tolist() == list(range(0, 400_000 - 4096 + 1, 2048))


@pytest.mark.parametrize(
    ("ask", "kind", "words"),
    [
        (lambda r: spectra(r, 60.0), CounterbounceError, "too short: lasts 20"),
        (lambda r: spectra(r, 0.01), ValueError, "a piece must last 0.08"),
        (lambda r: spectra(r, float("nan")), ValueError, "a piece must last"),
        (lambda r: spectra(r, 1.0, ["flor"]), KeyError, "floor"),
        (lambda r: spectra(r, 1.0, []), CounterbounceError, "no channel that shakes"),
        (lambda r: spectra(r, 1.0, window="hanning"), ValueError, "boxcar, hann, flattop"),
        (lambda r: spectra(r, 1.0, overlap=1.0), ValueError, "overlap"),
        (lambda r: spectra(r, 1.0).density("flor"), KeyError, "floor"),
        (lambda r: spectrogram(r, 1.0, rows=0), ValueError, "rows"),
        (lambda r: spectrogram(r, 60.0), CounterbounceError, "too short"),
        (lambda r: spectra(ride_of(r.samples * np.nan), 1.0), CounterbounceError, "holds a gap"),
        (lambda r: spectrogram(ride_of(r.samples * np.nan), 1.0), CounterbounceError, "holds a gap"),
    ],
)
def test_what_cannot_be(ask, kind, words):
    with pytest.raises(kind) as caught:
        ask(ride_of(noise(2, 2000)))
    assert words in str(caught.value)


def test_shown_in_a_notebook():
    assert "independent averages" in spectra(ride_of(noise(2, 2000)), 1.0)._repr_html_()


# --- along time -------------------------------------------------------------------------------------------


def test_neighbours_are_averaged_where_there_are_many():
    rows = noise(2, 20_000)
    fine, coarse = spectrogram(ride_of(rows), 1.0), spectrogram(ride_of(rows), 1.0, rows=100)
    assert coarse.density.shape[1] <= 100
    assert coarse.density[:, 0] == pytest.approx(fine.density[:, :4].mean(axis=1))
    assert coarse.time[0] == pytest.approx(fine.time[:4].mean())
    assert coarse.span == 2.5


def test_a_shake_that_comes_and_goes():
    t = np.arange(20_000) / RATE
    shake = np.where((t > 80) & (t < 120), np.sqrt(2) * np.cos(2 * np.pi * 8 * t), 0.0)
    found = spectrogram(ride_of(shake), 4.0)
    level = found.level(7, 9)[0]
    assert level[(found.time > 83) & (found.time < 117)] == pytest.approx(1.0, abs=1e-6)
    assert level[(found.time < 77) | (found.time > 123)].max() < 1e-9


def test_a_row_without_a_number_is_none():
    rows = noise(1, 4000)
    rows[0, 2000:2600] = np.nan
    found = spectrogram(ride_of(rows), 1.0)
    there = np.isfinite(found.density[0]).all(axis=1)
    assert not there[(found.time > 20) & (found.time < 26)].any()
    assert there[(found.time < 19) | (found.time > 27)].all()
