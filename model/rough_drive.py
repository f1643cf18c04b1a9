"""A vehicle over a road in time, with stops, friction, shocks and tyres that leave the ground.

The linear vehicle is exact from step to step, stiff frames included; only the few forces that are not
proportional are found in turns, as straight lines over a step.  The error falls with the square of the step.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, log

import numpy as np
from numpy.typing import NDArray

from .drive import drive, readings, with_outputs
from .exact_step import exact_step
from .force_steps import FRICTION, LEAF, LIFT_OFF, SHOCK, STOP, compiled, march
from .forces import DryFriction, Leaf, LiftOff, Stop, TwoWayShock
from .laws import Force, Law
from .matrices import matrices
from .points import dense
from .ride import Ride
from .state_space import Motion, StateSpace, to_state_space
from .vehicle import Vehicle

Floats = NDArray[np.float64]

WITHIN = 1e-3  # [-] of the largest value of each channel
MOST_STEPS = 64  # a sample
TINY = 1e-12  # [any unit] channels that stay below lie still
LONG = 20_000  # steps that are worth compiling for


@dataclass(frozen=True)
class Rough:
    """A vehicle with laws, ready to be driven: x' = A x + B (u, r), and what its laws see of x and u.

    space    A, B and the states [SI]; inputs are the heights of the roads, then what each law adds [N]
    stretch  of each law, of x and u [m], (laws, states + roads)
    speed    the same per second, but for what the roads' rates add [m/s], (laws, states + roads)
    roads    stretch of each law per metre of each road [-], (laws, roads)
    kinds    (laws,)
    numbers  (laws, 5) [SI], as `march` takes them
    """

    space: StateSpace
    stretch: Floats
    speed: Floats
    roads: Floats
    kinds: NDArray[np.int64]
    numbers: Floats


def rough(vehicle: Vehicle, laws: Sequence[Law]) -> Rough:
    """A vehicle and its laws, prepared.

    >>> from .example import small_truck
    >>> from .points import at
    >>> above = small_truck().points["rear end"].row
    >>> rough(small_truck(), [Law("a stop", above - at("axle.rear"), Stop(0.05, 0.05, 1e6))]).space.B.shape
    (8, 3)
    """
    system, space = matrices(vehicle), to_state_space(vehicle, vehicle.roads, [])
    n, rows = len(system.coordinates), dense((law.row for law in laws), system.coordinates)
    below, still = dense((law.row for law in laws), system.roads).astype(float), np.zeros((len(laws), n))
    pushed = np.vstack([still.T, -np.linalg.solve(system.M, rows.T)])
    forces, replaced = [_numbers(law.force) for law in laws], _replaced(vehicle, laws)
    return Rough(
        replace(space, B=np.hstack([space.B, pushed])),
        np.hstack([rows, still, below]),
        np.hstack([still, rows, rows @ space.B[:n]]),
        below,
        np.array([kind for kind, _ in forces], dtype=np.int64),
        np.array([[*own, *gone] for (_, own), gone in zip(forces, replaced, strict=True)]).reshape(-1, 5),
    )


def _numbers(force: Force) -> tuple[int, tuple[float, float, float]]:
    match force:
        case Stop(gap_up, gap_down, rate):
            return STOP, (gap_up, gap_down, rate)
        case LiftOff(load, rate, damping):
            return LIFT_OFF, (load, rate, damping)
        case Leaf(friction, travel, rate):
            return LEAF, (friction, travel, rate)
        case DryFriction(breakaway, stiffness):
            return FRICTION, (breakaway, stiffness, 0.0)
        case TwoWayShock(compression, rebound, bush_rate):
            return SHOCK, (compression, rebound, bush_rate)


def _replaced(vehicle: Vehicle, laws: Sequence[Law]) -> list[tuple[float, float]]:
    """Rate and damping of the linear part whose place each law takes; laws of one part share it alike."""
    sharing = Counter(law.part for law in laws)
    found = []
    for law in laws:
        mine = [p for p in vehicle.parts if p.name == law.part and p.row == law.row]
        rate, damping = (sum(p.value for p in mine if p.kind == kind) for kind in ("spring", "damper"))
        found.append((rate / sharing[law.part], damping / sharing[law.part]))
    return found


# --- the drive --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Marched:
    """A history: states (samples, states) and what each law adds to its linear part (samples, laws) [SI]."""

    states: Floats
    pulls: Floats


def marched(one: Rough, heights: Floats, rate: float, steps: int = 1, fast: bool | None = None) -> Marched:
    """A vehicle with laws over heights that are straight between samples, from rest on flat ground.

    heights  [m] under the axles, (axles, samples), the first all zero
    rate     [Hz] samples a second
    steps    in each sample
    fast     compiled or not; None: where numba is installed and there is enough to do

    Raises ValueError where the forces do not settle in steps of that length.
    """
    fine = _between_samples(heights, steps)
    moves, late = _step_matrices(one, 1 / (rate * steps))
    samples, laws = heights.shape[1], len(one.kinds)
    states, pulls = np.zeros((samples, len(one.space.A))), np.zeros((samples, laws))
    wanted = len(fine) >= LONG if fast is None else fast
    go = (compiled() if wanted else None) or march
    reached = go(moves, late, one.roads, fine, 1 / (rate * steps), one.kinds, one.numbers, states, pulls)
    if reached < samples:
        where, length = reached / rate, 1 / (rate * steps)
        raise ValueError(f"forces do not settle at {where:.4g} s in steps of {length:.3g} s")
    return Marched(states, pulls)


def _between_samples(heights: Floats, steps: int) -> Floats:
    """Heights at every step, (steps + 1, axles)."""
    samples = heights.shape[1]
    at = np.arange((samples - 1) * steps + 1) / steps
    return np.ascontiguousarray(np.array([np.interp(at, np.arange(samples), one) for one in heights]).T)


def _step_matrices(one: Rough, seconds: float) -> tuple[Floats, Floats]:
    """`moves` and `late` of a step, as `march` has them."""
    step, roads = exact_step(one.space.A, one.space.B, seconds), one.roads.shape[1]
    width = len(step.now)
    ends = np.hstack([step.now, step.before[:, :roads], step.after[:, :roads], step.before[:, roads:]])
    moves, late = [ends], [step.after[:, roads:]]
    for seen in (one.stretch, one.speed):
        rows = seen[:, :width] @ ends
        rows[:, width + roads : width + 2 * roads] += seen[:, width:]
        moves.append(rows)
        late.append(seen[:, :width] @ step.after[:, roads:])
    moves[2][:, width : width + roads] -= one.roads / seconds
    moves[2][:, width + roads : width + 2 * roads] += one.roads / seconds
    return np.vstack(moves), np.ascontiguousarray(np.vstack(late))


def rough_drive(
    vehicle: Vehicle,
    laws: Sequence[Law],
    heights: Floats,
    rate: float,
    points: Sequence[str] | None = None,
    motion: Motion = "acceleration",
    start: float = 0.0,
    labels: Mapping[str, str] | None = None,
    within: float = WITHIN,
) -> Ride:
    """The ride of a vehicle with laws; channels as `drive` has them, and without laws the same ride.

    It begins at rest, in balance on the first heights, with all friction at its middle.  Steps are halved
    until that moves no channel by more than `within`; what the last halving moved is among the labels.

    heights  [m] of the road and the wheels under the axles, (axles, samples)
    rate     [Hz] samples a second, at least 8 a period of 25 Hz
    points   names of the points to watch; None: the watched ones
    motion   acceleration, velocity or displacement of the points
    start    [s] time of the first sample
    labels   what is to be known of the ride
    within   [-] of the largest value of each channel

    Raises ValueError for what `drive` refuses, and where 64 steps a sample are not enough.

    >>> from dataclasses import replace
    >>> from .example import small_case, small_truck
    >>> from .laws import laws
    >>> one, truck = small_case(), small_truck()
    >>> hold = laws(replace(one.plan, laws=("lift-off",)), one.numbers, truck)
    >>> bump = 0.04 * np.sin(np.pi * np.clip(np.arange(600) / 30 - 1, 0, 1)) * np.ones((2, 1))
    >>> ride = rough_drive(truck, hold, bump, 600.0)
    >>> linear = drive(truck, bump, 600.0)
    >>> [round(float(r.channel("rear tyre load variation").min() / 9.80665)) for r in (linear, ride)]
    [-5000, -2700]
    """
    if not laws:
        return drive(vehicle, heights, rate, points, None, motion, start, labels)
    flat = np.repeat(heights[:, :1], 2, axis=1)
    rest = drive(vehicle, flat, rate, points, None, motion, start, labels)  # refuses what it refuses
    prepared, lifted = rough(vehicle, laws), heights - heights[:, :1]
    read = _outputs(vehicle, laws, prepared, points, motion)

    def ride(steps: int) -> Floats:
        return read(marched(prepared, lifted, rate, steps), lifted, rate)

    steps, coarse, fine = 2, ride(1), ride(2)
    while (moved := _moved(coarse, fine)) > within:
        halvings = max(1, ceil(log(moved / within, 4)))  # an error that falls with the square of the step
        steps *= 2**halvings
        if steps > MOST_STEPS:
            said = f"{MOST_STEPS} steps a sample are not enough for {within:.1g}; {steps} would be"
            raise ValueError(f"{said}: give samples at a higher rate")
        coarse, fine = fine if halvings == 1 else ride(steps // 2), ride(steps)
    said = (
        f"{steps} a sample; the last halving moved no channel by more than {moved:.1g} of its largest value"
    )
    return replace(rest, samples=fine + rest.samples[:, :1], labels={**rest.labels, "steps": said})


def _moved(coarse: Floats, fine: Floats) -> float:
    """The largest change of any channel [-], over its largest value."""
    largest = np.maximum(np.abs(fine).max(axis=1), TINY)
    return float((np.abs(fine - coarse).max(axis=1) / largest).max())


@dataclass(frozen=True)
class _Read:
    """What is read off a history: C x + D (u, r) and what the rates of the roads add [each its unit]."""

    c: Floats
    d: Floats
    by_rate: Floats

    def __call__(self, one: Marched, heights: Floats, rate: float) -> Floats:
        inputs = np.vstack([heights, one.pulls.T])
        by_rate = self.by_rate @ np.gradient(heights, 1 / rate, axis=1)
        return np.asarray(self.c @ one.states.T + self.d @ inputs + by_rate)


def _outputs(
    vehicle: Vehicle, laws: Sequence[Law], one: Rough, points: Sequence[str] | None, motion: Motion
) -> _Read:
    """The channels of `drive`, with what each law adds; a tyre that pulls more presses less."""
    read = readings(vehicle, points, motion)
    seen, by_rate = with_outputs(one.space, vehicle, read)
    tyres = {f"{axle.name} tyre load variation": f"{axle.name} tyres" for axle in vehicle.axles}
    presses = [[float(tyres.get(r.channel.name) == law.part) for law in laws] for r in read]
    through = seen.D.copy()
    through[:, len(vehicle.roads) :] -= np.array(presses)
    return _Read(seen.C, through, by_rate)
