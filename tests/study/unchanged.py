"""What `measured_gain` says of simulated rides: an invented truck whose wheels beat, over roads of any class.

    python tests/study/unchanged.py [PAIRS] [WHAT] [SHAKE] [DRIVEN] [ROAD] [PASSES] [SEED]

WHAT is "nothing" (how often are rides before and after nothing at all told to differ?), "fall" (a change that
takes 20 % off all that shakes: how often is that shown?) or "damper" (how far off is the fall, and how often
does the interval hold it?).  SHAKE is "all" that is felt or what follows the "wheels", DRIVEN a "sweep" once
through the shake, "wide" (65 to 105 km/h) or "steady", ROAD "smooth" or a class of ISO 8608.  Every pass has
wheels of its own phases and a road of its own.  The truth of a damper is that of many passes over a smooth
road.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
from threadpoolctl import threadpool_limits

from counterbounce.model.case import load
from counterbounce.model.drive import drive
from counterbounce.model.profile_spectrum import realised
from counterbounce.model.ride import Channel, Ride
from counterbounce.model.roughness import of_class
from counterbounce.model.settle import settled
from counterbounce.model.travel import road_in_time, travel, wheels_in_time
from counterbounce.model.vehicle import Vehicle
from counterbounce.sizing.absorber import tuned, with_damper
from counterbounce.sizing.measured_gain import Gain, measured_gain
from counterbounce.sizing.reduction import Change
from counterbounce.sizing.scored import share_interval

CASE = load(Path(__file__).parents[2] / "examples" / "engineer" / "box_truck.toml")
BARE = settled(CASE.plan, CASE.numbers)
FITTED = with_damper(BARE, tuned("rear end", 40.0, 8.93, 0.052))
LINE = 1 / float(CASE.numbers["axle.rear.circumference"])  # [1/m] wheel order 1
RATE, RUN_IN, NOISE = 200.0, 8.0, 0.02  # [Hz], [s], [m/s^2] of the instrument
SPEEDS = {"sweep": (84 / 3.6, 92 / 3.6), "wide": (65 / 3.6, 105 / 3.6), "steady": (88 / 3.6, 88 / 3.6)}
TRUTHS = 200  # passes over a smooth road


def one_pass(vehicle: Vehicle, driven: str, road: str, seed: int, seconds: float = 60.0) -> Ride:
    """A pass up or down [s], its ends a little off."""
    draw = np.random.default_rng((seed, 7))
    ends = np.array(SPEEDS[driven][:: 1 - 2 * (seed % 2)])
    ends *= 1 + 0.005 * (draw.standard_normal() if driven == "steady" else draw.standard_normal(2))
    way = travel(([0.0, seconds], ends), seconds, RATE, RUN_IN)
    under = wheels_in_time(vehicle, CASE.roads, way, seed)
    heights = under.heights
    if road != "smooth":
        begin = float(way.distance[0]) - 10.0
        profile = realised(of_class(road), float(way.distance[-1]) - begin + 5.0, 0.05, seed)
        heights = heights + road_in_time(vehicle, replace(profile, start=begin), way)
    ride = drive(vehicle, heights, RATE, None, under.forces, start=way.start)
    felt = ride.samples[0] + NOISE * draw.standard_normal(len(ride))
    channels = ride.channels[0], Channel("speed", "m/s")
    return Ride(f"pass {seed}", RATE, way.start, channels, np.stack([felt, way.speed])).since(0.0)


def pairs(
    count: int,
    what: str,
    shake: str,
    driven: str,
    road: str,
    passes: int,
    seed: int = 0,
    seconds: float = 60.0,
) -> Iterator[Gain]:
    """Sets of passes before and after; each pass lasts `seconds` [s]."""
    lines = (LINE,) if shake == "wheels" else ()
    for pair in range(count):
        first = 100_000 * (seed + 1) + 1000 * pair
        before = [one_pass(BARE, driven, road, first + i, seconds) for i in range(passes)]
        later = FITTED if what == "damper" else BARE
        after = [one_pass(later, driven, road, first + 500 + i, seconds) for i in range(passes)]
        if what == "fall":
            after = [replace(one, samples=one.samples * [[0.8], [1.0]]) for one in after]
        yield measured_gain(before, after, lines=lines)


def truth(what: str, shake: str, driven: str) -> float:
    """By how much the level falls [-]."""
    if what != "damper":
        return {"nothing": 0.0, "fall": 0.2}[what]
    sides = ([one_pass(v, driven, "smooth", 50_000_000 + i) for i in range(TRUTHS)] for v in (BARE, FITTED))
    return measured_gain(*sides, lines=(LINE,) if shake == "wheels" else ()).change.reduction


def table(found: list[Change], true: float) -> str:
    """What was said, how far off, and how often the interval held the truth."""
    told = [one for one in found if one.interval is not None]
    said = {word: sum(one.said == word for one in found) for word in ("less", "more", "not_shown")}
    lines = [f"{found[0].drawn} drawn: {said}; an interval in {len(told)} of {len(found)}"]
    if known := [one.reduction for one in told if not one.least]:
        lines.append(f"truth {true:.3f}, found {np.mean(known):.3f} +- {np.std(known):.3f} in {len(known)}")
    if told:
        held = sum(one.interval[0] <= true <= one.interval[1] for one in told)
        low, high = share_interval(held, len(told))
        wide = np.median([one.interval[1] - one.interval[0] for one in told])
        lines.append(f"{held} of {len(told)} hold it ({low:.1%} to {high:.1%}), {wide:.3f} wide (median)")
    return "\n    ".join(lines)


def main(
    count: int = 200, what: str = "nothing", shake: str = "all", driven: str = "sweep", road: str = "A",
    passes: int = 4, seed: int = 0,
) -> None:  # fmt: skip
    """Print the table."""
    with threadpool_limits(1):
        found = [gain.change for gain in pairs(count, what, shake, driven, road, passes, seed)]
        print(
            f"{what}, {shake}, {driven}, {road}, {passes} passes:",
            table(found, truth(what, shake, driven)),
            flush=True,
        )


if __name__ == "__main__":
    kinds = (int, str, str, str, str, int, int)
    main(*(kind(text) for kind, text in zip(kinds, sys.argv[1:], strict=False)))
