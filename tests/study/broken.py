"""Truths that break the model: what is measured on each, and whether a calibration is fooled by it.

friction   leaves that their own friction holds: stiffer and with losses on the drive, stiffer still where the
           frame is snapped at standstill than any leaf of the model
torsion    the frame's torsion rings near its bending, and is read for a second shake of the plane
bracket    the weight that tells the effective mass hangs on a soft hitch, and so does the sensor
panel      one sensor stands on a panel that rings by itself
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from truths import Floats, Truth, blurred, shapes, weighing

from counterbounce.model.calibrate import calibrate
from counterbounce.model.calibrated import Calibrated
from counterbounce.model.datum import Datum
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.matrices import Matrices
from counterbounce.model.numbers import NORMAL_95
from counterbounce.model.points import dense
from counterbounce.model.predicted import Followed, error, followed, standing

NARROWED = 0.5  # of the logarithmic width before: what a calibration claims to know
INSIDE = 1.6448536269514722 / NORMAL_95  # of half a 95 % width: half a 90 % one
ENDS = ("front end", "rear end")


@dataclass(frozen=True)
class Quiet:
    """A truth that breaks the model, and what came of it.

    said    whether no vehicle was said to agree, or no mode to come near
    missed  of each natural frequency that is claimed to be known, the shake's first: whether the truth lies
            outside its 90 % interval and nothing was said
    """

    way: str
    said: bool
    missed: tuple[bool, ...]


@dataclass(frozen=True)
class Found:
    """What was measured, and the matrices of the vehicle that it was measured on."""

    data: list[Datum]
    system: Matrices


def broken(drawn: Truth, seed: int, way: str) -> Quiet:
    """One truth broken in one way, measured and calibrated."""
    real = WAYS[way](drawn, np.random.default_rng((seed, 3)))
    try:
        found = calibrate(drawn.bench.case, real.data)
    except CounterbounceError:
        return Quiet(way, True, (False,))
    return Quiet(way, not found.agrees, _missed(drawn, real.system, found))


def _missed(drawn: Truth, system: Matrices, found: Calibrated) -> tuple[bool, ...]:
    """Of each mode that the calibration claims to know, that of the shake first."""
    shake, told, like = drawn.bench.start.modes.names[drawn.bench.bends[0]], {}, shapes(drawn, found)
    for known in found.modes:
        best, _, high = known.after
        if np.log(high / best) > NARROWED * np.log(known.before[2] / known.before[0]):
            continue
        real = float(followed(system, like[known.name]).frequency[0])
        off = abs(np.log(real / best)) > INSIDE * np.log(high / best)
        told[known.name] = bool(off and found.agrees)
    return tuple(told[name] for name in sorted(told, key=lambda name: name != shake))


# --- what is measured ---------------------------------------------------------------------------------------


def _points(drawn: Truth) -> tuple[str, ...]:
    return (ENDS[0], drawn.vehicle.watched[0].name, ENDS[1])


def _motion(drawn: Truth, seen: Followed) -> Floats:
    """Of the points that carry sensors, in a mode."""
    rows = [drawn.vehicle.points[name].row for name in _points(drawn)]
    return dense(rows, drawn.many.system.coordinates) @ seen.shape[0]


def _shape(drawn: Truth, motion: Floats, shake: str, random: np.random.Generator) -> Datum:
    """A shape as it is read: off by what a shape usually is."""
    one = Datum("shape", 1.0, 0.15, shake=shake)
    read = motion / np.linalg.norm(motion) + error(one) * random.standard_normal(len(motion))
    moved = {name: complex(x) for name, x in zip(_points(drawn), read, strict=True)}
    return replace(one, shape=moved)


def _shake(drawn: Truth, system: Matrices, random: np.random.Generator, condition: str = "rolling") -> list:
    """Frequency, damping and shape of the first bending, as read at some sensors."""
    seen = followed(system, drawn.bench.start.modes.shapes[:, drawn.bench.bends[0]])
    word = f"shake, {condition}"
    told = _lines(float(seen.frequency[0]), float(seen.damping_ratio[0]), word, random)
    each = [*told, _shape(drawn, _motion(drawn, seen), word, random)]
    return [replace(one, condition=condition) for one in each]


def _lines(frequency: float, ratio: float, word: str, random: np.random.Generator) -> list[Datum]:
    told = [
        Datum("natural frequency", frequency, 0.012 * frequency, shake=word),
        Datum("damping ratio", ratio, 0.2 * ratio, shake=word),
    ]
    return blurred(told, random)


def _friction(drawn: Truth, random: np.random.Generator) -> Found:
    """Leaves 1 to 3 times as stiff on the drive, with a loss factor of 0.1 to 0.4 [-], and 3 to 6 times at
    standstill."""
    plan, many = drawn.bench.case.plan, drawn.many
    held, locked = random.uniform(1.0, 3.0), random.uniform(3.0, 6.0)
    omega = 2 * np.pi * float(followed(many.system, _like(drawn)).frequency[0])
    leaf = standing(plan, many, 2.0).K - many.system.K
    lost = random.uniform(0.1, 0.4) * held / omega * leaf
    driven = replace(standing(plan, many, held), C=many.system.C + lost)
    still = standing(plan, many, locked)
    data = [weighing(drawn), *_shake(drawn, driven, random), *_shake(drawn, still, random, "standstill")]
    return Found(data, driven)


def _like(drawn: Truth) -> Floats:
    return drawn.bench.start.modes.shapes[:, drawn.bench.bends[0]]


def _torsion(drawn: Truth, random: np.random.Generator) -> Found:
    """The twist of the frame within 20 % of its bending, at sensors beside the middle of it: one end up, the
    other down, and a node between."""
    system = drawn.many.system
    bend = float(followed(system, _like(drawn)).frequency[0])
    twist = bend * float(np.exp(random.choice([-1, 1]) * random.uniform(0.04, 0.2)))
    told = _lines(twist, random.uniform(0.015, 0.04), "twist", random)
    motion = np.array([-1.0, random.uniform(-0.6, 0.2), random.uniform(0.6, 1.4)])
    seen = [*_shake(drawn, system, random)] if random.random() < 0.5 else []  # bending is drowned, or is not
    return Found([weighing(drawn), *seen, *told, _shape(drawn, motion, "twist", random)], system)


def _bracket(drawn: Truth, random: np.random.Generator) -> Found:
    """A weight of 20 to 60 kg on a hitch of 0.1 to 1 MN/m: its place moves more than the frame's end."""
    system, shake = drawn.many.system, _shake(drawn, drawn.many.system, random)
    seen = followed(system, _like(drawn))
    weight, rate = random.uniform(20, 60), 10 ** random.uniform(5, 6)
    more = 1 / max(1 - weight * float(seen.undamped[0]) ** 2 / rate, 0.2)
    own = float(1 / (_motion(drawn, seen)[-1] * more) ** 2)
    mass = Datum("effective mass", own, 0.15 * own, point=ENDS[1], shake=shake[0].shake)
    moved = _shape(drawn, _motion(drawn, seen) * [1, 1, more], shake[0].shake, random)
    return Found([weighing(drawn), *shake[:2], moved, *blurred([mass], random)], system)


def _panel(drawn: Truth, random: np.random.Generator) -> Found:
    """A panel under the middle sensor that rings at 5 to 20 Hz: a shake of its own, and more of the other."""
    system, shake = drawn.many.system, _shake(drawn, drawn.many.system, random)
    seen = followed(system, _like(drawn))
    own, lost = random.uniform(5.0, 20.0), random.uniform(0.02, 0.06)
    ratio = float(seen.frequency[0]) / own
    rise = abs((1 + 2j * lost * ratio) / (1 - ratio**2 + 2j * lost * ratio))
    moved = _shape(drawn, _motion(drawn, seen) * [1, rise, 1], shake[0].shake, random)
    alone = _shape(drawn, np.array([0.1, 1.0, 0.1]), "panel", random)
    data = [weighing(drawn), *shake[:2], moved, *_lines(own, lost, "panel", random), alone]
    return Found(data, system)


WAYS: Mapping[str, Callable[[Truth, np.random.Generator], Found]] = {
    "friction": _friction,
    "torsion": _torsion,
    "bracket": _bracket,
    "panel": _panel,
}
