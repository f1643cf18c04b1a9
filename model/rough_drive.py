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

from .drive import drive, readings, refuse, with_hubs, with_outputs
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

    space    A, B and the states [SI]; inputs are u, the heights of the roads [m] and perhaps the forces on
             the hubs [N], then r, what each law adds [N]
    stretch  of each law, of x and u [m], (laws, states + u)
    speed    the same per second, but for what the rates of u add [m/s], (laws, states + u)
    share    stretch of each law per unit of u [m/m], nothing for a force, (laws, u)
    kinds    (laws,)
    numbers  (laws, 5) [SI], as `march` takes them
    """

    space: StateSpace
    stretch: Floats
    speed: Floats
    share: Floats
    kinds: NDArray[np.int64]
    numbers: Floats


def rough(vehicle: Vehicle, laws: Sequence[Law], pushed: bool = False) -> Rough:
    """A vehicle and its laws, prepared; `pushed`: forces on its hubs are inputs too.

    >>> from .example import small_truck
    >>> from .points import at
    >>> above = small_truck().points["rear end"].row
    >>> rough(small_truck(), [Law("a stop", above - at("axle.rear"), Stop(0.05, 0.05, 1e6))]).space.B.shape
    (8, 3)
    """
    system, hubs = matrices(vehicle), [f"hub.{axle.name}" for axle in vehicle.axles if pushed]
    space = to_state_space(with_hubs(vehicle), [*vehicle.roads, *hubs], [])
    n, rows = len(system.coordinates), dense((law.row for law in laws), system.coordinates)
    still, share = np.zeros((len(laws), n)), np.zeros((len(laws), space.B.shape[1]))
    share[:, : len(vehicle.roads)] = dense((law.row for law in laws), system.roads)
    pulled = np.vstack([still.T, -np.linalg.solve(system.M, rows.T)])
    forces, replaced = [_numbers(law.force) for law in laws], _replaced(vehicle, laws)
    return Rough(
        replace(space, B=np.hstack([space.B, pulled])),
        np.hstack([rows, still, share]),
        np.hstack([still, rows, rows @ space.B[:n]]),
        share,
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


def marched(one: Rough, inputs: Floats, rate: float, steps: int = 1, fast: bool | None = None) -> Marched:
    """A vehicle with laws, its inputs straight between samples, from rest on flat ground.

    inputs   heights [m] under the axles, the first all zero, then any forces [N] on the hubs, (u, samples)
    rate     [Hz] samples a second
    steps    in each sample
    fast     compiled or not; None: where numba is installed and there is enough to do

    Raises ValueError for inputs that are not finite, and where the forces do not settle in steps of that
    length.

    >>> from .example import small_truck
    >>> flat = marched(rough(small_truck(), []), np.zeros((2, 5)), 500.0)
    >>> flat.states.shape, flat.pulls.shape
    ((5, 8), (5, 0))
    """
    if not np.isfinite(inputs).all():
        raise ValueError("inputs must be finite numbers")
    fine, length = _between_samples(inputs, steps), 1 / (rate * steps)
    moves, late = _step_matrices(one, length)
    samples, laws = inputs.shape[1], len(one.kinds)
    states, pulls = np.zeros((samples, len(one.space.A))), np.zeros((samples, laws))
    wanted = len(fine) >= LONG if fast is None else fast
    go = (compiled() if wanted else None) or march
    with np.errstate(over="ignore", invalid="ignore"):  # forces that run away are told below
        reached = go(moves, late, one.share, fine, length, one.kinds, one.numbers, states, pulls)
    if reached < samples:
        raise ValueError(f"forces do not settle at {reached / rate:.4g} s in steps of {length:.3g} s")
    return Marched(states, pulls)


def _between_samples(inputs: Floats, steps: int) -> Floats:
    """Inputs at every step, (steps + 1, u)."""
    samples = inputs.shape[1]
    at = np.arange((samples - 1) * steps + 1) / steps
    return np.ascontiguousarray(np.array([np.interp(at, np.arange(samples), one) for one in inputs]).T)


def _step_matrices(one: Rough, seconds: float) -> tuple[Floats, Floats]:
    """`moves` and `late` of a step, as `march` has them."""
    step, known = exact_step(one.space.A, one.space.B, seconds), one.share.shape[1]
    width = len(step.now)
    ends = np.hstack([step.now, step.before[:, :known], step.after[:, :known], step.before[:, known:]])
    moves, late = [ends], [step.after[:, known:]]
    for seen in (one.stretch, one.speed):
        rows = seen[:, :width] @ ends
        rows[:, width + known : width + 2 * known] += seen[:, width:]
        moves.append(rows)
        late.append(seen[:, :width] @ step.after[:, known:])
    moves[2][:, width : width + known] -= one.share / seconds
    moves[2][:, width + known : width + 2 * known] += one.share / seconds
    return np.vstack(moves), np.ascontiguousarray(np.vstack(late))


def rough_drive(
    vehicle: Vehicle,
    laws: Sequence[Law],
    heights: Floats,
    rate: float,
    points: Sequence[str] | None = None,
    forces: Floats | None = None,
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
    forces   [N] upward on the hubs, (axles, samples); None: none
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
    >>> bump = 0.02 * np.sin(np.pi * np.clip(np.arange(600) / 30 - 1, 0, 1)) * np.ones((2, 1))
    >>> ride = rough_drive(truck, hold, bump, 600.0)
    >>> linear = drive(truck, bump, 600.0)
    >>> [round(float(r.channel("rear tyre load variation").min() / 9.80665)) for r in (linear, ride)]
    [-6854, -2700]
    """
    if not laws or heights.shape[-1] < 2:
        return drive(vehicle, heights, rate, points, forces, motion, start, labels)
    refuse(vehicle, heights, forces, rate)
    flat = np.repeat(heights[:, :1], 2, axis=1)
    rest = drive(vehicle, flat, rate, points, None, motion, start, labels)
    prepared, lifted = rough(vehicle, laws, forces is not None), heights - heights[:, :1]
    read = _outputs(vehicle, laws, prepared, points, motion)
    inputs = lifted if forces is None else np.vstack([lifted, forces])

    def ride(steps: int) -> Floats:
        return read(marched(prepared, inputs, rate, steps), inputs, rate)

    steps, coarse, fine = 2, ride(1), ride(2)
    while (moved := _moved(coarse, fine)) > within:
        if steps == MOST_STEPS:
            raise ValueError(f"in {steps} steps a sample, halving them still moves a channel by {moved:.2g}")
        halvings = max(1, ceil(log(moved / within, 4)))  # an error that falls with the square of the step
        steps = min(steps * 2**halvings, MOST_STEPS)
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

    def __call__(self, one: Marched, inputs: Floats, rate: float) -> Floats:
        roads = inputs[: self.by_rate.shape[1]]
        by_rate = self.by_rate @ np.gradient(roads, 1 / rate, axis=1)
        return np.asarray(self.c @ one.states.T + self.d @ np.vstack([inputs, one.pulls.T]) + by_rate)


def _outputs(
    vehicle: Vehicle, laws: Sequence[Law], one: Rough, points: Sequence[str] | None, motion: Motion
) -> _Read:
    """The channels of `drive`, with what each law adds; a tyre that pulls more presses less."""
    read = readings(vehicle, points, motion)
    seen, by_rate = with_outputs(one.space, vehicle, read)
    tyres = {f"{axle.name} tyre load variation": f"{axle.name} tyres" for axle in vehicle.axles}
    presses = [[float(tyres.get(r.channel.name) == law.part) for law in laws] for r in read]
    through = seen.D.copy()
    through[:, one.share.shape[1] :] -= np.array(presses)
    return _Read(seen.C, through, by_rate)
