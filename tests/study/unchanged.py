"""How often rides before and after nothing at all are told to differ: an invented truck, its wheels beating.

    python tests/study/unchanged.py [PAIRS] [PASSES] [SECONDS]

Every pass has wheels of its own phases and a road of its own, and sweeps once through the shake.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from threadpoolctl import threadpool_limits

from counterbounce.model.case import load
from counterbounce.model.drive import drive
from counterbounce.model.ride import Channel, Ride
from counterbounce.model.settle import settled
from counterbounce.model.travel import travel, wheels_in_time
from counterbounce.sizing.measured_gain import Gain, measured_gain

CASE = load(Path(__file__).parents[2] / "examples" / "engineer" / "box_truck.toml")
RATE, RUN_IN, BAND = 200.0, 8.0, (84 / 3.6, 92 / 3.6)
ROUGH = 0.15  # [m/s^2] of what the road does besides


def one_pass(seed: int, seconds: float) -> Ride:
    """A sweep [s] over the band, up or down, its ends a little off."""
    vehicle, draw = settled(CASE.plan, CASE.numbers), np.random.default_rng(seed)
    ends = np.array(BAND[:: 1 - 2 * (seed % 2)]) * (1 + 0.005 * draw.standard_normal(2))
    way = travel(([0.0, seconds], ends), seconds, RATE, RUN_IN)
    wheels = wheels_in_time(vehicle, CASE.roads, way, seed)
    ride = drive(vehicle, wheels.heights, RATE, None, wheels.forces, start=way.start)
    felt = ride.samples[0] + ROUGH * draw.standard_normal(len(ride))
    channels = ride.channels[0], Channel("speed", "m/s")
    return Ride(f"pass {seed}", RATE, way.start, channels, np.stack([felt, way.speed])).since(0.0)


def pairs(count: int, passes: int, seconds: float) -> Iterator[Gain]:
    """Two sets of passes each, between which nothing was changed; each lasts `seconds` [s]."""
    for pair in range(count):
        first = 1000 * pair
        before, after = range(first, first + passes), range(first + 500, first + 500 + passes)
        yield measured_gain(*([one_pass(seed, seconds) for seed in side] for side in (before, after)))


def main(count: int = 200, passes: int = 4, seconds: float = 60.0) -> None:
    """Print how often a change was seen where there is none; passes last `seconds` [s]."""
    with threadpool_limits(1):
        found = [gain.change for gain in pairs(count, passes, seconds)]
    alarms = sum(one.said != "not_shown" for one in found)
    widths = [one.interval[1] - one.interval[0] for one in found if one.interval]
    fall = np.array([one.reduction for one in found])
    print(f"{passes} passes of {seconds:g} s, {found[0].drawn} drawn: {alarms} of {count} told to differ;")
    print(f"reduction {fall.mean():.3f} +- {fall.std():.3f}, intervals {np.mean(widths):.3f} wide")


if __name__ == "__main__":
    main(*(kind(text) for kind, text in zip((int, int, float), sys.argv[1:], strict=False)))
