"""The rows of recordings; by themselves: .venv/bin/python tests/benchmarks/rows_measured.py

Samples lie in files, as they would: what either side reads or holds counts.  A peak of memory above its limit
fails the row like a ratio below its floor.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import tempfile
import tracemalloc
from collections.abc import Callable
from itertools import combinations
from pathlib import Path

import numpy as np
from bench import Bench, Row, medians

from counterbounce.model.measured.pulses import edges
from counterbounce.model.measured.spectra import spectra
from counterbounce.model.ride import Channel, Ride

PIECE = 1 << 20
HOUR, RATE, CHANNELS, SEGMENT = 3600, 2000.0, 6, 2048
MINUTES, CLOCK, TEETH, LEVEL = 10, 200_000.0, 36, 3000


def peak(work: Callable[[], object]) -> float:
    """The most that a piece of work holds at a time [MB]."""
    tracemalloc.start()
    try:
        work()
        return tracemalloc.get_traced_memory()[1] / 1e6
    finally:
        tracemalloc.stop()


def an_hour(folder: str) -> Ride:
    """Six channels that share something, each with a mean of its own."""
    count = round(HOUR * RATE)
    held = np.memmap(Path(folder, "hour"), dtype=np.float64, mode="w+", shape=(CHANNELS, count))
    draw = np.random.default_rng(1)
    for first in range(0, count, PIECE):
        part = held[:, first : first + PIECE]
        part[:] = draw.standard_normal(part.shape)
        part += np.arange(1, CHANNELS + 1)[:, None] * (1 + 0.3 * draw.standard_normal(part.shape[1]))
    names = tuple(Channel(f"point {i}", "m/s^2") for i in range(CHANNELS))
    return Ride("an hour", RATE, 0.0, names, held)


def spectra_of_an_hour(_: Bench) -> Row:
    """The peer answers one pair of channels after the other, and gives no densities."""
    from scipy.signal import coherence

    pairs = list(combinations(range(CHANNELS), 2))
    with tempfile.TemporaryDirectory() as folder:
        ride = an_hour(folder)
        x = ride.samples

        def ours() -> list[np.ndarray]:
            found = spectra(ride, SEGMENT / RATE)
            return [found.coherence(i, j) for i, j in pairs]

        def theirs() -> list[np.ndarray]:
            return [coherence(x[i], x[j], RATE, nperseg=SEGMENT)[1] for i, j in pairs]

        apart = max(float(np.abs(a - b).max()) for a, b in zip(ours(), theirs(), strict=True))
        times, megabytes = medians(ours, theirs, 1), peak(ours)
    work = f"one hour, 6 channels, 2 kHz: all spectra and coherences; peak {megabytes:.0f} MB of 100"
    return Row(9, work, "scipy.signal.coherence, 15 pairs", *times, _within(apart, megabytes, 100), 10, 1e-9)


def pulse_train(folder: str) -> np.ndarray:
    """Ten minutes of 36 teeth, one of them missing, with noise, at a speed from 13 to 27 rev/s."""
    count = round(60 * MINUTES * CLOCK)
    held = np.memmap(Path(folder, "pulses"), dtype=np.int16, mode="w+", shape=(count,))
    draw = np.random.default_rng(2)
    for first in range(0, count, PIECE):
        t = np.arange(first, min(first + PIECE, count)) / CLOCK
        tooth = (20 * t + 22 * np.sin(0.3 * t)) * TEETH
        there = (tooth % 1 < 0.5) & (tooth % TEETH < TEETH - 1)
        held[first : first + PIECE] = np.where(there, 8000, -8000) + draw.normal(0, 600, len(t))
    return held


def pulses_of_ten_minutes(_: Bench) -> Row:
    """The peer is told its levels, and marks low and high of the whole array; ours finds them on its way."""
    with tempfile.TemporaryDirectory() as folder:
        x = pulse_train(folder)

        def ours() -> np.ndarray:
            return edges(x, CLOCK).times

        def theirs() -> np.ndarray:
            above, below = x >= LEVEL, x <= -LEVEL
            index = np.flatnonzero(above | below)
            high = above[index]
            up = index[1:][high[1:] & ~high[:-1]]
            one, two = x[up - 1].astype(float), x[up].astype(float)
            return (up - 1 - one / (two - one)) / CLOCK

        one, other = ours(), theirs()
        same = len(one) == len(other)
        apart = float(np.abs(one - other).max() * CLOCK) if same else np.inf
        times, megabytes = medians(ours, theirs, 3), peak(ours)
    work = f"pulses, 10 min at 200 kHz, missing teeth (apart: samples); peak {megabytes:.0f} MB of 50"
    return Row(10, work, "whole-array NumPy threshold", *times, _within(apart, megabytes, 50), 2, 0.05)


def _within(apart: float, megabytes: float, most: float) -> float:
    return apart if megabytes <= most else np.inf


ROWS = (spectra_of_an_hour, pulses_of_ten_minutes)

if __name__ == "__main__":
    for make in ROWS:
        row = make(None)  # type: ignore[arg-type]
        print(f"{row.work}: {row.ours * 1e3:.0f} ms, {row.peer} {row.theirs * 1e3:.0f} ms")
        print(f"ratio {row.ratio:.1f}, apart {row.apart:.1e}, holds: {row.holds}")
