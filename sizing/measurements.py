"""What can be measured in a yard or on the road, how long it takes, and how well it then is known.

Minutes and accuracies are common practice, no source; an accuracy is half of a 95 % interval, as a share of
the number, or in metres where the number is a station or a length by tape.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from fnmatch import fnmatchcase
from glob import escape

import numpy as np
from numpy.typing import NDArray

from ..model.building import build
from ..model.matrices import matrices
from ..model.modes import undamped
from ..model.observations import USUAL_PLACE, USUAL_WEIGHT, WEIGHT
from ..model.plan import Plan
from ..model.points import dense
from .next_test import impossible
from .study import Host
from .survey import Survey

Floats = NDArray[np.float64]

BENDING, TARGET, SPEED, LEVEL, HEAVIER = "bending", "target", "speed", "level", "heavier"


@dataclass(frozen=True)
class Measurement:
    """One measurement: minutes [min] it takes, and how to do it.

    numbers  which it pins, a pattern of their paths -> how well [- or m]
    reads    what it reads off the vehicle itself -> how well [-]
    """

    what: str
    minutes: float
    how: str
    numbers: Mapping[str, float] = field(default_factory=dict)
    reads: Mapping[str, float] = field(default_factory=dict)

    def accuracy(self, path: str) -> float | None:
        """How well it pins a number [- or m]; None where it does not."""
        return next((share for pattern, share in self.numbers.items() if fnmatchcase(path, pattern)), None)


OF_AXLE = (
    Measurement(
        "weigh the {name} axle", 20.0, "On a public scale, laden as when it shakes; both axles, one by one.",
        {"axle.{name}.load": 0.005},
    ),
    Measurement(
        "pressure of the {name} tyres", 5.0, "Cold, with a gauge that was checked against another.",
        {"axle.{name}.pressure": 0.02},
    ),
    Measurement(
        "one turn of the {name} wheels", 10.0, "A chalk mark on the tyre, three turns in a straight line.",
        {"axle.{name}.circumference": 0.005},
    ),
    Measurement(
        "rate of the {name} springs", 60.0, "Load the axle with a known weight and read how far it gives.",
        {"axle.{name}.static_deflection": 0.05, "axle.{name}.*spring_rate": 0.05},
    ),
    Measurement(
        "rate of the {name} tyres", 45.0, "Jack the axle off its tyres on a scale, and read height and load.",
        {"axle.{name}.tyre_rate": 0.05},
    ),
    Measurement(
        "what hangs below the {name} springs", 90.0, "Parts list, or the wheels and the axle on a scale.",
        {"axle.{name}.unsprung_mass": 0.05},
    ),
    Measurement(
        "shocks of the {name} axle", 120.0, "On a shock tester, slowly and fast, both sides.",
        {"axle.{name}.*damping*": 0.1},
    ),
)  # fmt: skip
OF_BODY = (
    Measurement(
        "weight and place of the {name}", 60.0, "Maker's sheet, or a scale with and without it.",
        {"body.{name}.mass": 0.03, "body.{name}.station": 0.03},
    ),
    Measurement(
        "mounts of the {name}", 30.0, "Their drawing, or a push at each and how far it gives.",
        {"body.{name}.mount.*.rate": 0.1},
    ),
)  # fmt: skip
OF_VEHICLE = (
    Measurement(
        "lengths by tape", 10.0, "Wheelbase, overhangs, and stations of what hangs and of who sits.",
        {"vehicle.wheelbase": 0.005, "frame.*_overhang": 0.005, "point.*.station": 0.005,
         "body.*.mount.*.station": 0.005},
    ),
    Measurement(
        "dimensions of the rails", 15.0, "Height, flange and thickness, by calliper, of either side.",
        {"frame.first_bending": 0.05, "frame.rail.*": 0.01},
    ),
    Measurement(
        "how the weight lies along the vehicle", 90.0, "A bill of masses with their stations.",
        {"vehicle.radius_of_gyration": 0.03, "vehicle.pitch_inertia": 0.06,
         "vehicle.centre_of_gravity": 0.01},
    ),
)  # fmt: skip
OF_FRAME = Measurement(
    "snap test at the rear end", 40.0,
    "Hang a weight on the rear end, snap it off and record the ring-down there; three times.",
    reads={BENDING: 0.015},
)  # fmt: skip
SWEEP = Measurement(
    "a sweep with a recorder", 45.0,
    "Two people, a level road: slowly through the speeds and back, recorded where it is felt.",
    reads={TARGET: 0.02, SPEED: 0.015, LEVEL: 0.15},
)  # fmt: skip
ADDED = Measurement(
    f"where {WEIGHT} moves it", 25.0,
    "Lash a known weight down there, within the ratings, and note the speeds on the same road.",
    reads={HEAVIER: 0.01},
)  # fmt: skip

RUN_OUT = Measurement(
    "run-out of all wheels", 40.0,
    "Each wheel off the ground, a dial gauge on the tread and on the rim, lowest to highest in one turn.",
)  # fmt: skip


def measurements(plan: Plan) -> tuple[Measurement, ...]:
    """What can be measured of a vehicle.

    >>> from ..model.example import small_case
    >>> [one.what for one in measurements(small_case().plan)][::7]
    ['weigh the front axle', 'weigh the rear axle', 'lengths by tape']
    """
    whole = [*OF_VEHICLE, *([OF_FRAME] if plan.kind == "bending" else []), SWEEP, ADDED]
    axles, bodies = [axle.name for axle in plan.axles], [body.name for body in plan.bodies]
    return (*_named(OF_AXLE, axles), *_named(OF_BODY, bodies), *whole)


def _named(kinds: tuple[Measurement, ...], names: list[str]) -> Iterator[Measurement]:
    for name in names:
        for one in kinds:
            numbers = {pattern.format(name=escape(name)): share for pattern, share in one.numbers.items()}
            yield replace(one, what=one.what.format(name=name), numbers=numbers)


def readings(one: Host, found: Survey) -> dict[str, Floats]:
    """What can be read off each plausible vehicle, as logarithms [-], (V,), by name."""
    assert one.target is not None
    mode = one.target.critical.mode
    seen = {TARGET: np.log(found.frequency[:, mode]), SPEED: np.log(found.speed), LEVEL: np.log(found.before)}
    held = one.modes.energy.get("frame bending", np.zeros(0))
    bends = np.flatnonzero(held >= 0.5).tolist()
    if bends:
        seen[BENDING] = np.log(found.frequency[:, bends[0]])
    if WEIGHT not in impossible(one):
        seen[HEAVIER] = _moved(one, found, mode)
    return seen


def _moved(one: Host, found: Survey, mode: int) -> Floats:
    """By how much the usual weight at the rear end moves the target's mode, as a logarithm [-], (V,)."""
    scored = one.case.numbers.with_scores(dict(zip(found.paths, found.scores.T, strict=True)))
    vehicle = build(one.case.plan, scored, one.vehicle.frame.terms)
    system = matrices(vehicle)
    row = dense([vehicle.points[USUAL_PLACE].row], system.coordinates)[..., 0, :]
    heavier = system.M + USUAL_WEIGHT * row[..., :, None] * row[..., None, :]
    natural, shapes = undamped(replace(system, M=heavier))
    alike = np.abs(np.swapaxes(shapes, -1, -2) @ heavier @ one.modes.shapes[:, mode])
    after = np.take_along_axis(natural, alike.argmax(axis=-1)[:, None], axis=-1)[:, 0] / (2 * np.pi)
    return np.asarray(np.log(after / found.frequency[:, mode]))
