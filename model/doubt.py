"""How far the spread of each number moves each natural frequency: built anew, not solved anew."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from .building import build
from .faults import CounterbounceError
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
    terms, still = vehicle.frame.terms, _quotients(matrices(vehicle), found)
    doubt: dict[str, Floats] = {}
    for path in numbers.uncertain():
        step, moved = _moved(plan, numbers, path, terms)
        if moved is None:
            continue
        change = np.log(_quotients(matrices(moved), found) / still) / 2 / step
        if np.abs(change).max() > 1e-4:
            doubt[path] = change
    return doubt


def _moved(plan: Plan, numbers: Numbers, path: str, terms: int) -> tuple[float, Vehicle | None]:
    """The vehicle a step up of one number, or down where up contradicts others; None where both do."""
    for step in (STEP, -STEP):
        try:
            return step, build(plan, numbers.with_scores({path: step * NORMAL_95}), terms)
        except CounterbounceError:
            continue
    return STEP, None


def _quotients(system: Matrices, found: Modes) -> Floats:
    """Rayleigh's quotient of each shape [1/s^2], (n,); shapes that nothing holds count as unmoved."""
    held, carried = (np.einsum("im,ij,jm->m", found.shapes, a, found.shapes) for a in (system.K, system.M))
    return np.where(held > 1e-9 * held.max(), held / carried, 1.0)


def frequency_spread(doubt: Mapping[str, Floats], count: int) -> Floats:
    """Half the 95 % width of ln(undamped frequency) [-], (count,): a factor of e^spread either way.

    doubt  what each number does to it [-], as from `frequency_doubt`; numbers are taken to vary independently
    count  of modes [-]

    >>> frequency_spread({"mass": np.array([0.03]), "rate": np.array([0.04])}, 1).round(3).tolist()
    [0.05]
    """
    return np.asarray(np.sqrt(sum((d**2 for d in doubt.values()), np.zeros(count))))
