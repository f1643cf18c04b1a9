"""A vehicle as A, B, C, D with named axes, for control design: x' = A x + B u, y = C x + D u.

The road pushes with its height and with its rate.  Two ways keep the form proper without differentiating:

    road = "height"  the states are q and p = q' - M^-1 push_1 u, which takes the road's rate out of the
                     equations exactly: x has 2n states and the poles are the vehicle's own.  An acceleration
                     of a point that the road's dampers reach directly would need the road's rate: refused.
    road = "rate"    the input is the rate of the height, the height is one more state a road (a pole at 0),
                     and every output is proper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import linalg

from .faults import nearest
from .matrices import Matrices, matrices
from .points import dense
from .vehicle import Vehicle

Floats = NDArray[np.float64]
Motion = Literal["displacement", "velocity", "acceleration"]

UNITS: dict[Motion, str] = {"displacement": "m", "velocity": "m/s", "acceleration": "m/s^2"}
DIRECT = 1e-9  # of the largest, below which a road's rate does not reach a point's acceleration


@dataclass(frozen=True)
class Signal:
    """One axis: what it is, and its unit.

    >>> str(Signal("force at rear end", "N"))
    'force at rear end [N]'
    """

    name: str
    unit: str

    def __str__(self) -> str:
        return f"{self.name} [{self.unit}]"


@dataclass(frozen=True)
class StateSpace:
    """x' = A x + B u, y = C x + D u, in the units of its axes [SI].

    A (states, states), B (states, inputs), C (outputs, states), D (outputs, inputs)
    """

    A: Floats
    B: Floats
    C: Floats
    D: Floats
    states: tuple[Signal, ...]
    inputs: tuple[Signal, ...]
    outputs: tuple[Signal, ...]

    @property
    def matrices(self) -> tuple[Floats, Floats, Floats, Floats]:
        """(A, B, C, D) [SI], as control libraries take them: `control.ss(*one.matrices)`."""
        return self.A, self.B, self.C, self.D

    @property
    def labels(self) -> dict[str, list[str]]:
        """Names and units of the axes, ready for `control.ss(*one.matrices, **one.labels)`.

        A dot becomes a space: control libraries keep it for themselves.
        """
        axes = {"states": self.states, "inputs": self.inputs, "outputs": self.outputs}
        return {axis: [str(one).replace(".", " ") for one in named] for axis, named in axes.items()}


def to_state_space(
    vehicle: Vehicle,
    inputs: Sequence[str],
    outputs: Sequence[tuple[Motion, str]],
    road: Literal["height", "rate"] = "height",
) -> StateSpace:
    """A vehicle between named inputs and named outputs.

    inputs   points that are pushed [N], and roads: "road.<axle>" [m], or [m/s] where `road` is "rate"
    outputs  ("displacement", "velocity" or "acceleration", point) each [m, m/s, m/s^2]
    road     what a road's input is; roads that are no input lie flat

    Raises KeyError for a name that is not there, and ValueError for an acceleration that would need the rate
    of a road that comes in as a height.

    >>> from .example import small_truck
    >>> one = to_state_space(small_truck(), ["rear end", "road.rear"], [("velocity", "front end")])
    >>> one.A.shape, [str(signal) for signal in one.inputs]
    ((8, 8), ['force at rear end [N]', 'height of road.rear [m]'])
    """
    system = matrices(vehicle)
    push_0, push_1 = _pushes(vehicle, system, inputs)
    n, m = push_0.shape
    below = np.hstack([-system.K, -system.C, push_0, push_1])
    solved = linalg.cho_solve(linalg.cho_factor(system.M), below)
    heard = [i for i, name in enumerate(inputs) if name in system.roads]
    form = (_with_heights if road == "height" else _with_rates)(solved, n, m, heard)
    rows = dense([vehicle.point(name).row for _, name in outputs], system.coordinates)
    read = [form.read(motion, row, name) for (motion, name), row in zip(outputs, rows, strict=True)]
    return StateSpace(
        form.a,
        form.b,
        np.array([c for c, _ in read]).reshape(-1, len(form.a)),
        np.array([d for _, d in read]).reshape(-1, m),
        _states(system, inputs, road),
        tuple(_input(name, name in system.roads, road) for name in inputs),
        tuple(Signal(f"{motion} of {name}", UNITS[motion]) for motion, name in outputs),
    )


def _pushes(vehicle: Vehicle, system: Matrices, inputs: Sequence[str]) -> tuple[Floats, Floats]:
    """What each input pushes with, itself and by its rate, (n, inputs)."""
    push_0, push_1 = np.zeros((2, len(system.coordinates), len(inputs)))
    for i, name in enumerate(inputs):
        if name in system.roads:
            road = system.roads.index(name)
            push_0[:, i], push_1[:, i] = system.push_0[:, road], system.push_1[:, road]
        elif name in vehicle.points:
            push_0[:, i] = dense([vehicle.points[name].row], system.coordinates)[0]
        else:
            known = [*vehicle.points, *system.roads]
            raise KeyError(f"no point or road {name!r}; {nearest(name, known) or ', '.join(known)}")
    return push_0, push_1


@dataclass(frozen=True)
class _Form:
    """A, B, and what each motion of the coordinates is made of: states, inputs and rates of inputs."""

    a: Floats
    b: Floats
    motions: dict[str, tuple[Floats, Floats, Floats]]

    def read(self, motion: Motion, row: Floats, name: str) -> tuple[Floats, Floats]:
        """A row of C and of D for one point."""
        if motion not in self.motions:
            raise ValueError(f"{motion!r} is no motion; one of {', '.join(self.motions)}")
        states, inputs, rates = self.motions[motion]
        if np.abs(row @ rates).max(initial=0.0) > DIRECT * np.abs(rates).max(initial=0.0):
            raise ValueError(f"the acceleration of {name} needs the rate of a road: ask with road='rate'")
        return np.asarray(row @ states), np.asarray(row @ inputs)


def _with_heights(solved: Floats, n: int, m: int, _: list[int]) -> _Form:
    """q' = p + p1 u and p' = k q + c q' + p0 u, where k, c, p0, p1 are M^-1 (-K, -C, push_0, push_1)."""
    k, c, p0, p1 = np.split(solved, [n, 2 * n, 2 * n + m], axis=1)
    still, one, none = np.zeros((n, n)), np.eye(n), np.zeros((n, m))
    own, gain = np.hstack([k, c]), p0 + c @ p1
    motions = {
        "displacement": (np.hstack([one, still]), none, none),
        "velocity": (np.hstack([still, one]), p1, none),
        "acceleration": (own, gain, p1),
    }
    return _Form(np.vstack([np.hstack([still, one]), own]), np.vstack([p1, gain]), motions)


def _with_rates(solved: Floats, n: int, m: int, heard: list[int]) -> _Form:
    """q'' = k q + c q' + p0 h + p1 h' for roads, whose h' is the input and whose h is a state."""
    k, c, p0, p1 = np.split(solved, [n, 2 * n, 2 * n + m], axis=1)
    direct, high, none = p0.copy(), np.zeros((n, len(heard))), np.zeros((n, m))
    direct[:, heard] = p1[:, heard]
    still, one = np.zeros((n, n)), np.eye(n)
    rise, rate = np.hstack([one, still, high]), np.hstack([still, one, high])
    own = np.hstack([k, c, p0[:, heard]])
    a = np.vstack([rate, own, np.zeros((len(heard), own.shape[1]))])
    b = np.vstack([none, direct, np.eye(m)[heard]])
    motions = {
        "displacement": (rise, none, none),
        "velocity": (rate, none, none),
        "acceleration": (own, direct, none),
    }
    return _Form(a, b, motions)


def _states(system: Matrices, inputs: Sequence[str], road: str) -> tuple[Signal, ...]:
    turning = {c: "rad" if c.endswith(".pitch") else "m" for c in system.coordinates}
    rise = [Signal(c, unit) for c, unit in turning.items()]
    less = " less what the road's rate passes" if road == "height" else ""
    rate = [Signal(f"rate of {c}{less}", f"{unit}/s") for c, unit in turning.items()]
    heights = [Signal(f"height of {name}", "m") for name in inputs if name in system.roads]
    return (*rise, *rate, *(heights if road == "rate" else ()))


def _input(name: str, is_road: bool, road: str) -> Signal:
    if not is_road:
        return Signal(f"force at {name}", "N")
    return Signal(f"{road} of {name}", "m" if road == "height" else "m/s")
