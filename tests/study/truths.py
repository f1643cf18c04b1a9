"""Vehicles drawn from the spreads of a case, what would be measured on each, and the case that comes of it.

A truth's complaint is its own: the band of its worst critical speed, read off a speedometer.  The walk round
and the drive on other wheels have found nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
import tomlkit
from numpy.typing import NDArray

from counterbounce.app.calibrated_file import rewritten
from counterbounce.model.calibrated import Calibrated
from counterbounce.model.case import Case, parse
from counterbounce.model.datum import Datum
from counterbounce.model.matrices import Matrices
from counterbounce.model.meanings import Ground, ground
from counterbounce.model.modes import Modes, modes
from counterbounce.model.observations import CHECKS
from counterbounce.model.plausible import Plausible, scored
from counterbounce.model.points import dense
from counterbounce.model.predicted import Followed, error, followed
from counterbounce.model.response import dynamics
from counterbounce.model.road import HIGHEST, Input, inputs
from counterbounce.model.speeds import critical_speeds
from counterbounce.model.vehicle import Vehicle
from counterbounce.sizing.target import Target, target

Floats = NDArray[np.float64]

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ("technician/flatbed.toml", "engineer/box_truck.toml")
NEEDLE = 2 / 3.6  # [m/s] to which a person reads a speedometer
PACE = (4.1, 21.9)  # [Hz] that a blur may be
SEEN = """
[[observation]]
change = "known-good wheels"
result = "stayed"
[[observation]]
change = "how fast it shakes"
result = "blur"
frequency = "{:.1f} Hz"
"""


@dataclass(frozen=True)
class Bench:
    """A case without its complaint, cleared of all that is no mode, before anything is measured.

    bends, hops  indices of the first two modes of frame bending, and of those of the axles
    """

    text: str
    case: Case
    start: Ground
    paths: tuple[str, ...]
    root: Floats
    bends: tuple[int, ...]
    hops: tuple[int, ...]


@dataclass(frozen=True)
class Truth:
    """One vehicle drawn from a bench: its scores [-], matrices, modes, what it runs on, and what is felt."""

    bench: Bench
    scores: Floats
    many: Plausible
    vehicle: Vehicle
    modes: Modes
    causes: tuple[Input, ...]
    aim: Target
    felt: tuple[float, float]


@dataclass(frozen=True)
class Means:
    """What is measured with: passes of one road, and whether each axle carries a sensor too."""

    passes: int = 1
    axles: bool = False


@cache
def bench(name: str) -> Bench:
    """An example, made ready."""
    document = tomlkit.parse((EXAMPLES / name).read_text(encoding="utf-8"))
    document.pop("observation", None)
    document["complaint"].pop("speed")
    document["checks"] = dict.fromkeys(CHECKS, "good")
    text = tomlkit.dumps(document)
    case = parse(text)
    start = ground(case, speeds=False)
    paths, names = case.numbers.uncertain(), start.modes.names
    bends = [i for i, name in enumerate(names) if "frame bending" in name][:2]
    hops = [i for i, name in enumerate(names) if name.endswith("axle hop")]
    return Bench(text, case, start, paths, case.numbers.root(paths), tuple(bends), tuple(hops))


def truth(name: str, seed: int) -> Truth | None:
    """A vehicle drawn from an example; None where its numbers contradict each other."""
    known = bench(name)
    true = known.root @ np.random.default_rng(seed).standard_normal(len(known.paths))
    terms = known.start.vehicle.frame.terms
    many = scored(known.case.plan, known.case.numbers, known.paths, true[None], terms)
    if many.refused:
        return None
    vehicle = many.one(0)
    found, slowest = modes(vehicle), known.case.speeds[0]
    causes = inputs(known.case.roads, vehicle, slowest)
    met = critical_speeds(dynamics(vehicle), found, causes, vehicle.judged, known.case.speeds)
    aim = target(met, np.zeros(len(found.undamped)), None)
    if aim is None:
        return None
    low, high = np.floor(aim.band[0] / NEEDLE) * NEEDLE, np.ceil(aim.band[1] / NEEDLE) * NEEDLE
    felt = max(float(low), slowest), min(float(high), known.case.speeds[1])
    return Truth(known, true, many, vehicle, found, causes, aim, felt)


# --- what is measured -------------------------------------------------------------------------------------


def blurred(told: list[Datum], random: np.random.Generator) -> list[Datum]:
    """The same as an instrument and a model read them that err as they say."""
    by = [float(np.exp(error(one) * random.standard_normal())) for one in told]
    return [replace(one, value=one.value * b, half=one.half * b) for one, b in zip(told, by, strict=True)]


def weighing(drawn: Truth) -> Datum:
    """The load on the rear axle, to one per cent."""
    scores = dict(zip(drawn.bench.paths, drawn.scores.tolist(), strict=True))
    load = float(drawn.bench.case.numbers.with_scores(scores)["axle.rear.load"])
    return Datum("axle load", load, 0.01 * load, axle="rear")


def effective_mass(drawn: Truth, seen: Followed) -> float:
    """Of a mode at the rear end [kg]."""
    row = dense([drawn.vehicle.points["rear end"].row], drawn.many.system.coordinates)[0]
    return float(1 / (row @ seen.shape[0]) ** 2)


def measured(drawn: Truth, means: Means, named: bool, random: np.random.Generator) -> list[Datum]:
    """What would be found: the first two frame modes, damping and effective mass of the first, the load on
    the rear axle; with sensors on the axles, their hop."""
    system, start = drawn.many.system, drawn.bench.start.modes
    told: list[Datum] = [weighing(drawn)]
    once = 1 / np.sqrt(means.passes)
    for n, mode in enumerate((*drawn.bench.bends, *(drawn.bench.hops if means.axles else ()))):
        seen, hop = followed(system, start.shapes[:, mode]), n >= len(drawn.bench.bends)
        frequency, ratio = float(seen.frequency[0]), float(seen.damping_ratio[0])
        if frequency > HIGHEST:  # nobody looks there
            continue
        who: Mapping[str, str | int] = {"mode": mode} if named or hop else {"shake": f"shake {n}"}
        off = (0.02 if hop else 0.012) * once
        told.append(Datum("natural frequency", frequency, off * frequency, **who))  # type: ignore[arg-type]
        if hop or n == 0:
            told.append(Datum("damping ratio", ratio, 0.2 * once * ratio, **who))  # type: ignore[arg-type]
        if n == 0:
            weight = effective_mass(drawn, seen)
            told.append(Datum("effective mass", weight, 0.15 * weight, point="rear end", **who))  # type: ignore[arg-type]
    return blurred(told, random)


# --- the case that comes of it ----------------------------------------------------------------------------


def corrected(drawn: Truth, found: Calibrated) -> Case:
    """The calibrated case, out of the file that its user would assess, with the truth's complaint."""
    document = tomlkit.parse(drawn.bench.text)
    low, high = (f"{speed:.5f} m/s" for speed in drawn.felt)
    document["complaint"]["speed"] = tomlkit.inline_table()  # type: ignore[index]
    document["complaint"]["speed"].update({"from": low, "to": high})  # type: ignore[index]
    frequency = float(drawn.modes.frequency_hz[drawn.aim.critical.mode])
    text = tomlkit.dumps(document) + SEEN.format(np.clip(frequency, *PACE))
    return parse(rewritten(text, "case.toml", found))


def shapes(drawn: Truth, found: Calibrated) -> dict[str, Floats]:
    """Of each natural frequency that a calibration tells, on the vehicle found, as the truth writes them."""
    known, terms = drawn.bench.case, drawn.bench.start.vehicle.frame.terms
    chosen = modes(scored(known.plan, known.numbers, found.paths, found.scores[None], terms).one(0))
    return {one.name: chosen.shapes[:, chosen.names.index(one.name)] for one in found.modes}


def same(system: Matrices, one: Floats, other: Floats) -> float:
    """How alike two shapes of unit mass are [-]."""
    return float(abs(one @ system.M[0] @ other))
