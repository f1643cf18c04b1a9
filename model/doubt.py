"""How far the spread of each number moves each natural frequency: built anew, not solved anew."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from .building import build
from .matrices import Matrices, matrices
from .modes import Modes
from .numbers import NORMAL_95, Numbers
from .plan import Plan
from .vehicle import Vehicle

Floats = NDArray[np.float64]

STEP = 0.01  # of half a 95 % width: where frame ends move, the error is of the size of the step


def frequency_doubt(plan: Plan, numbers: Numbers, vehicle: Vehicle, found: Modes) -> dict[str, Floats]:
    """What each uncertain number does to ln(undamped frequency): half a 95 % width [-], (n,), by the
    number's path.

    numbers  the resolver that the vehicle was built from: its ledger holds what was asked

    First order: the frequency of a moved vehicle is Rayleigh's quotient of the unmoved shape, whose
    error is of second order.  Numbers that move no frequency are left out.

    >>> from .example import small_case, small_truck
    >>> from .modes import modes
    >>> one, truck = small_case(), small_truck()
    >>> doubt = frequency_doubt(one.plan, one.numbers, truck, modes(truck))
    >>> round(float(doubt["vehicle.sprung_mass"][0]), 3)     # 5 % more mass, 2.3 % less bounce
    -0.023
    """
    still = _quotients(matrices(vehicle), found)
    steps = dict.fromkeys(numbers.uncertain(), STEP)
    moved = _moved(plan, numbers, steps, vehicle.frame.terms, found)
    steps |= {path: -STEP for path, quotient in moved.items() if np.isnan(quotient).any()}
    moved |= _moved(plan, numbers, {p: s for p, s in steps.items() if s < 0}, vehicle.frame.terms, found)
    doubt = {path: np.log(quotient / still) / 2 / steps[path] for path, quotient in moved.items()}
    return {path: change for path, change in doubt.items() if np.abs(change).max() > 1e-4}


def _moved(
    plan: Plan, numbers: Numbers, steps: Mapping[str, float], terms: int, found: Modes
) -> dict[str, Floats]:
    """Rayleigh's quotients with each number in turn a step off; not numbers where it contradicts others."""
    if not steps:
        return {}
    scores = dict(zip(steps, np.diag(list(steps.values())) * NORMAL_95, strict=True))
    many = matrices(build(plan, numbers.with_scores(scores), terms))
    quotients = np.broadcast_to(_quotients(many, found), (len(steps), len(found.undamped)))
    return dict(zip(steps, quotients, strict=True))


def _quotients(system: Matrices, found: Modes) -> Floats:
    """Rayleigh's quotient of each shape [1/s^2], (n,), or (vehicles, n); shapes that nothing holds count as
    unmoved."""
    held, carried = (((a @ found.shapes) * found.shapes).sum(axis=-2) for a in (system.K, system.M))
    most = held.max(axis=-1, keepdims=True)
    return np.where(np.isnan(most) | (held > 1e-9 * most), held / carried, 1.0)


def frequency_spread(doubt: Mapping[str, Floats], count: int, numbers: Numbers | None = None) -> Floats:
    """Half the 95 % width of ln(undamped frequency) [-], (count,): a factor of e^spread either way.

    doubt    what each number does to it [-], as from `frequency_doubt`
    count    of modes [-]
    numbers  that know which of them are tied to one another; None: they vary independently

    >>> frequency_spread({"mass": np.array([0.03]), "rate": np.array([0.04])}, 1).round(3).tolist()
    [0.05]
    """
    if not doubt:
        return np.zeros(count)
    moved = np.array(list(doubt.values()))
    root = numbers.root(list(doubt)) if numbers else np.eye(len(moved))
    return np.asarray(np.linalg.norm(root.T @ moved, axis=0))
