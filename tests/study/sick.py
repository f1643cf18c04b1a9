"""How well faults of a recording are found: hit rates by fault and size, false alarms, and the speed's lag.

Every ride is simulated (simulated.py), spoilt in one way on one channel, written to a file and read again.
Run it for the whole table; numbers are how many rides of each, and the first seed:

    .venv/bin/python tests/study/sick.py 216 700000
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import simulated

from counterbounce.model.measured.notes import HealthNote
from counterbounce.model.measured.recording import Recording, read
from counterbounce.model.measured.sensors import GRAVITY, Speedometer
from counterbounce.model.ride import Channel, Ride
from counterbounce.model.ride_files import ride_bytes

RATE = simulated.RATE
Spoil = Callable[[np.ndarray, int, float, np.random.Generator], None]


def clipped(x, row, size, rng):
    """The largest `size` of all samples are cut off."""
    x[row] = np.clip(x[row], *np.quantile(x[row], [size / 2, 1 - size / 2]))


def dropped(x, row, size, rng):
    """Three times nothing but zeros, for `size` seconds."""
    for at in rng.integers(400, x.shape[1] - 1000, 3):
        x[row, at : at + round(size * RATE)] = 0.0


def held(x, row, size, rng):
    """Three times the last reading over and over, for `size` seconds."""
    for at in rng.integers(400, x.shape[1] - 1000, 3):
        x[row, at : at + round(size * RATE)] = x[row, at]


def missing(x, row, size, rng):
    """Three times no reading at all, for `size` seconds."""
    for at in rng.integers(400, x.shape[1] - 1000, 3):
        x[row, at : at + round(size * RATE)] = np.nan


def drifting(x, row, size, rng):
    """A straight trend of `size` times the channel's level from end to end."""
    x[row] += np.linspace(-0.5, 0.5, x.shape[1]) * size * x[row].std()


def humming(x, row, size, rng):
    """Mains of `size` times the channel's level."""
    mains = 2 * np.pi * rng.choice([50.0, 60.0]) * np.arange(x.shape[1]) / RATE
    x[row] += size * x[row].std() * np.sqrt(2) * np.sin(mains)


def dead(x, row, size, rng):
    """Nothing left but noise of `size` times the channel's level."""
    x[row] = rng.normal(0, 1, x.shape[1]) * size * x[row].std()


def aliased(x, row, size, rng):
    """Noise over the whole band, of `size` times the channel's level."""
    x[row] += rng.normal(0, 1, x.shape[1]) * size * x[row].std()


def knocking(x, row, size, rng):
    """A knock every five seconds, as high as `size` times the channel's level."""
    for at in rng.integers(100, x.shape[1] - 100, int(x.shape[1] / RATE / 5)):
        x[row, at : at + 2] += size * x[row].std() * np.array([1, -1]) * rng.choice([-1, 1])


def upside_down(x, row, size, rng):
    """Gravity upside down."""
    x[:-1] += size * GRAVITY
    x[row] -= 2 * size * GRAVITY


def jumping(x, row, size, rng):
    """A speed that is wrong by `size` m/s for two seconds."""
    at = rng.integers(400, x.shape[1] - 1000)
    x[-1, at : at + 400] += size


FAULTS: dict[str, tuple[str, Spoil, tuple[float, ...]]] = {
    "clipping": ("clipping", clipped, (0.001, 0.01, 0.05)),
    "zeros": ("dropout", dropped, (0.05, 0.2, 1.0)),
    "held readings": ("dropout", held, (0.05, 0.2, 1.0)),
    "no readings": ("gap", missing, (0.01, 0.05, 0.5)),
    "drift": ("drift", drifting, (0.5, 2.0, 5.0)),
    "mains hum": ("mains hum", humming, (0.03, 0.1, 0.3)),
    "dead": ("dead", dead, (0.01, 0.003, 0.0)),
    "noise above": ("aliasing suspect", aliased, (0.3, 1.0, 3.0)),
    "knocks": ("loose sensor", knocking, (3.0, 6.0, 12.0)),
    "upside down": ("inverted", upside_down, (1.0,)),
    "speed jumps": ("speed jump", jumping, (3.0, 8.0, 20.0)),
}


def made(seed: int, **changed: object) -> tuple[tuple[str, ...], np.ndarray]:
    """Names and samples of a ride of one of the stories, its speed last; nothing is wrong with it."""
    story = simulated.STORIES[seed % len(simulated.STORIES)]
    told = replace(simulated.drawn(story, seed), lag=0.0, quantum=0.0, swapped=False, scale=1.0, **changed)
    ride = simulated.ride(told).ride
    return tuple(channel.name for channel in ride.channels), np.array(ride.samples)


def heard(names: tuple[str, ...], samples: np.ndarray, lag: float | None = 0.0) -> Recording:
    """What a reader makes of it.

    lag  [s] of the speed as told; None: to be found, which takes most of the time
    """
    channels = tuple(Channel(name, "m/s" if name == "speed" else "m/s^2") for name in names)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "run.npz"
        file.write_bytes(ride_bytes(Ride("invented", RATE, 0.0, channels, samples), file)[file])
        return read(file, speed=Speedometer("speed", lag=lag))


def spoilt(seed: int, fault: str, size: float) -> tuple[str, tuple[HealthNote, ...]]:
    """Which channel was spoilt, and what is noted."""
    names, samples = made(seed)
    rng = np.random.default_rng((seed, 3))
    row = int(rng.integers(len(names) - 1))
    FAULTS[fault][1](samples, row, size, rng)
    return ("speed" if fault == "speed jumps" else names[row]), heard(names, samples).notes


def found(seed: int, fault: str, size: float) -> bool:
    """Whether a fault of a size is noted, on its channel."""
    channel, notes = spoilt(seed, fault, size)
    alike = {"dropout", "gap"} if FAULTS[fault][0] in ("dropout", "gap") else {FAULTS[fault][0]}
    return any(note.channel == channel and note.kind in alike for note in notes)


def alarms(seed: int) -> list[str]:
    """What is noted of a ride with which nothing is wrong."""
    return [f"{note.kind}: {note.found}" for note in heard(*made(seed)).notes]


def late(seed: int, lag: float) -> float | None:
    """The lag found of a speed in whole km/h, told once a second and late by `lag`; None: not told."""
    names, samples = made(seed)
    time = np.arange(samples.shape[1]) / RATE
    told = np.interp(np.floor(time) - lag, time, samples[-1])
    samples[-1] = np.round(told * 3.6) / 3.6
    notes = [note for note in heard(names, samples, None).notes if note.kind == "lag"]
    return float(notes[0].found.split(" s late")[0].rsplit(" ", 1)[1]) if notes else None


def main(count: int, first: int) -> None:
    seeds = range(first, first + count)
    noted = [alarms(seed) for seed in seeds]
    print(f"{count} rides with which nothing is wrong: notes on {sum(map(bool, noted))}")
    for note, number in Counter(note for one in noted for note in one).most_common():
        print(f"  {note}, {number} times")
    print(f"\nfound, of {count // 4} rides each")
    for fault, (_, _, sizes) in FAULTS.items():
        rates = [np.mean([found(seed, fault, size) for seed in seeds[::4]]) for size in sizes]
        told = ", ".join(f"{size:g}: {rate:.0%}" for size, rate in zip(sizes, rates, strict=True))
        print(f"  {fault:14s} {told}", flush=True)
    print(f"\nlag of a speed in whole km/h once a second, of {count // 2} rides each")
    for lag in (0.0, 0.5, 1.0, 2.0, 3.0):
        told = [one for seed in seeds[::2] if (one := late(seed, lag)) is not None]
        off = np.abs(np.array(told) - lag)
        spread = f"; off by {np.median(off):.2f} s in the middle, {off.max():.2f} s at most" if told else ""
        print(f"  {lag:g} s late: told {len(told)}{spread}", flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:] or ("216", "700000")))
