"""Whole jobs, as their user runs them: a prediction sealed, the fix, the rides, the score; and how it went.

    python tests/study/sealed_jobs.py [JOBS] [ROAD] [PASSES] [SEED]

Each job takes one of the example cases.  The vehicle on the road is not the one of its best estimates: it is
drawn from what the numbers allow, and the complaint counts as it does in an assessment, so that the vehicle
shakes where its driver says.  It is driven before and after, its wheels at random phases, over a road of a
class of ISO 8608, slowly through the band.  `assess --seal`, `verify --sealed --score` and `score` do the
rest.  Printed: a line a job, with the fall that the drawn vehicle has on a smooth road; then the share of
intervals that held.
"""

from __future__ import annotations

import json
import sys
import tempfile
from collections.abc import Iterator
from contextlib import redirect_stdout
from dataclasses import dataclass, replace
from io import StringIO
from pathlib import Path

import numpy as np
from threadpoolctl import threadpool_limits

from counterbounce.app.cli import run
from counterbounce.model.case import Case, load
from counterbounce.model.drive import drive
from counterbounce.model.plausible import draw
from counterbounce.model.profile_spectrum import realised
from counterbounce.model.ride import Channel, Ride
from counterbounce.model.ride_files import ride_bytes
from counterbounce.model.roughness import of_class
from counterbounce.model.travel import road_in_time, travel, wheels_in_time
from counterbounce.model.vehicle import Vehicle
from counterbounce.sizing.absorber import Damper, with_damper
from counterbounce.sizing.measured_gain import measured_gain
from counterbounce.sizing.sealed import Sealed, read_sealed
from counterbounce.sizing.study import host
from counterbounce.sizing.survey import survey

EXAMPLES = Path(__file__).parents[2] / "examples"
FILES = sorted(path for path in EXAMPLES.glob("*/*.toml") if "[complaint]" in path.read_text())
RATE, RUN_IN, SECONDS, NOISE = 200.0, 8.0, 60.0, 0.02  # [Hz], [s], [s], [m/s^2] of the instrument
MANY, TRUTHS = 128, 20  # vehicles of which one is drawn; passes over a smooth road


@dataclass(frozen=True)
class Job:
    """One job; falls are shares of the level [-].

    case  its name
    true  what many passes of the drawn vehicle over a smooth road show
    told  the score, as `verify --score` wrote it; None: the rides could not be scored
    """

    case: str
    true: float
    told: dict | None


def drawn(case: Case, damper: Damper, seed: int) -> Vehicle:
    """A vehicle that the numbers allow and the complaint does not exclude."""
    one = host(case)
    agreement = survey(one, damper, seed, first=MANY).agreement[:MANY]
    which = np.random.default_rng(seed).choice(MANY, p=agreement / agreement.sum())
    return draw(case.plan, case.numbers, one.vehicle.frame.terms, MANY, seed).one(which)


def fall(case: Case, vehicle: Vehicle, held: Sealed, seed: int) -> float:
    """By how much the damper lowers what was sealed [-], as many passes over a smooth road show."""
    sides = [
        [one_pass(case, one, held, "", seed + i) for i in range(TRUTHS)]
        for one in (vehicle, with_damper(vehicle, held.damper))
    ]
    return measured_gain(*sides, held.point, within=held.band, lines=held.lines).change.reduction


def one_pass(case: Case, vehicle: Vehicle, held: Sealed, road: str, seed: int) -> Ride:
    """Slowly through the band, up or down, over a road of a class; "": a smooth one."""
    draws = np.random.default_rng((seed, 7))
    ends = np.array(held.band[:: 1 - 2 * (seed % 2)]) * (1 + 0.005 * draws.standard_normal(2))
    way = travel(([0.0, SECONDS], ends), SECONDS, RATE, RUN_IN)
    under = wheels_in_time(vehicle, case.roads, way, seed)
    heights = under.heights
    if road:
        begin = float(way.distance[0]) - 15.0
        profile = realised(of_class(road), float(way.distance[-1]) - begin + 5.0, 0.05, seed)
        heights = heights + road_in_time(vehicle, replace(profile, start=begin), way)
    ride = drive(vehicle, heights, RATE, [held.point], under.forces, start=way.start)
    felt = ride.channel(held.point) + NOISE * draws.standard_normal(len(ride))
    channels = Channel(held.point, "m/s^2"), Channel("speed", "m/s")
    return Ride("", RATE, way.start, channels, np.stack([felt, way.speed])).since(0.0)


def jobs(count: int, road: str, passes: int, seed: int, folder: Path) -> Iterator[Job]:
    """Each in a folder of its own, so that `score` finds them."""
    for number in range(count):
        home, first = folder / f"job {number}", 1_000_000 * (seed + 1) + 1000 * number
        home.mkdir()
        text = FILES[number % len(FILES)].read_text().replace('name = "', f'name = "Job {number}: ', 1)
        (home / "case.toml").write_text(text)
        _ran("assess", str(home / "case.toml"), "--no-report", "--seal", str(home / "sealed.json"))
        case, held = load(home / "case.toml"), read_sealed(home / "sealed.json")
        vehicle = drawn(case, held.damper, first)
        later = with_damper(vehicle, held.damper)
        for side, driven, start in (("before", vehicle, first), ("after", later, first + 500)):
            for i in range(passes):
                ride = one_pass(case, driven, held, road, start + i)
                for file, content in ride_bytes(ride, home / f"{side}{i}.npz").items():
                    file.write_bytes(content)
        rides = [[str(home / f"{side}{i}.npz") for i in range(passes)] for side in ("before", "after")]
        asked = "--sealed", str(home / "sealed.json"), "--score", str(home / "score.json")
        scored = _ran("verify", "--before", *rides[0], "--after", *rides[1], *asked) == 0
        told = json.loads((home / "score.json").read_text()) if scored else None
        yield Job(case.name, fall(case, vehicle, held, first + 700), told)


def _ran(*words: str) -> int:
    with redirect_stdout(StringIO()):
        return run(list(words))


def line(job: Job) -> str:
    """A job in a line."""
    if job.told is None:
        return f"{job.case}: true {job.true:.2f}, not scored"
    told = job.told
    around = (
        ""
        if told["measured_low"] is None
        else f" ({told['measured_low']:.2f} to {told['measured_high']:.2f})"
    )
    sealed = f"sealed {told['predicted']:.2f} ({told['low']:.2f} to {told['high']:.2f})"
    least = ", at least" if told["least"] else ""
    held = "held" if told["inside"] else "missed"
    return (
        f"{job.case}: {sealed}, true {job.true:.2f}, measured {told['measured']:.2f}{around}{least}: {held}"
    )


def main(count: int = 32, road: str = "A", passes: int = 4, seed: int = 0) -> None:
    """Print a line a job, and what `score` says of all."""
    with threadpool_limits(1), tempfile.TemporaryDirectory() as folder:
        found = []
        for job in jobs(count, road, passes, seed, Path(folder)):
            found.append(job)
            print(line(job), flush=True)
        told = [job for job in found if job.told]
        true = sum(job.told["low"] <= job.true <= job.told["high"] for job in told)
        off = np.array([job.told["measured"] - job.true for job in told if not job.told["least"]])
        print(f"{len(told)} of {count} scored; the interval held the true fall in {true}")
        print(f"measured less true: {off.mean():.3f} +- {off.std():.3f}")
        run(["score", folder])


if __name__ == "__main__":
    main(*(kind(text) for kind, text in zip((int, str, int, int), sys.argv[1:], strict=False)))
