"""A finished vehicle: as many frame shapes as it needs, and its losses as dampers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .building import build
from .matrices import matrices
from .modes import part_shares, undamped
from .numbers import Numbers
from .parts import Part, damper
from .plan import Plan
from .points import Row
from .vehicle import Vehicle

Floats = NDArray[np.float64]

SETTLED_BELOW = 2 * np.pi * 25.0  # [rad/s] modes that must not move as shapes are added
SETTLED_WITHIN = 1e-3
MOST_TERMS = 25
RULES = 0.1  # share of a mode's energy below which a part has no say in it


def with_losses(vehicle: Vehicle) -> Vehicle:
    """Loss factors become dampers: c = eta k / omega, the same c along frequency and along time.

    omega is the undamped frequency of the first mode that the part rules: the lowest below 25 Hz in
    which it holds at least half of the share that it holds in its best one (the best of all is a high
    bending mode that nobody feels).

    >>> from dataclasses import replace
    >>> from .example import small_truck
    >>> truck = small_truck()
    >>> parts = [replace(p, loss_factor=0.1) if p.kind == "spring" else p for p in truck.parts]
    >>> len(with_losses(replace(truck, parts=tuple(parts))).parts) - len(truck.parts)
    4
    """
    lossy = [p for p in vehicle.parts if p.kind == "spring" and np.any(p.loss_factor)]
    if not lossy:
        return vehicle
    omega, shapes = undamped(matrices(vehicle))
    energy = part_shares(vehicle, "spring", shapes)
    dampers = [_loss(part, _ruled(omega, energy[part.name])) for part in lossy]
    kept = [replace(p, loss_factor=0.0) if np.any(p.loss_factor) else p for p in vehicle.parts]
    return replace(vehicle, parts=(*kept, *dampers))


def _ruled(omega: Floats, share: Floats) -> Any:
    """Modes along the last axis."""
    low = (omega > 0) & (omega <= SETTLED_BELOW)
    has_a_say = np.max(share, axis=-1, where=low, initial=0.0, keepdims=True) >= RULES
    among = np.where(has_a_say, low, omega > 0)
    best = np.max(share, axis=-1, where=among, initial=0.0, keepdims=True)
    first = np.argmax(among & (share >= best / 2), axis=-1)
    return np.take_along_axis(omega, first[..., None], axis=-1)[..., 0]


def _loss(part: Part, omega: Any) -> Part:
    return damper(part.name, part.loss_factor * part.value / omega, part.row, Row())


def settled(plan: Plan, numbers: Numbers) -> Vehicle:
    """The vehicle with as many frame shapes as it needs and with its losses as dampers.

    Shapes are added until two further ones each move every mode below 25 Hz by less than 0.1 %.

    >>> from .example import small_case
    >>> one = small_case()
    >>> settled(one.plan, one.numbers).kind
    'half'
    """
    if plan.kind != "bending":
        return with_losses(build(plan, numbers))
    if plan.terms:
        return with_losses(build(plan, numbers, plan.terms))
    vehicles = [build(plan, numbers, terms) for terms in (5, 6, 7)]
    below = [_low_frequencies(v) for v in vehicles]
    while not (_close(below[-3], below[-2]) and _close(below[-2], below[-1])):
        terms = vehicles[-1].frame.terms + 1
        if terms > MOST_TERMS:
            break
        vehicles.append(build(plan, numbers, terms))
        below.append(_low_frequencies(vehicles[-1]))
    return with_losses(vehicles[-1])


def _low_frequencies(vehicle: Vehicle) -> Floats:
    found = undamped(matrices(vehicle))[0]
    return np.asarray(found[found < SETTLED_BELOW])


def _close(before: Floats, after: Floats) -> bool:
    same = min(len(before), len(after))
    return bool(np.allclose(before[:same], after[:same], rtol=SETTLED_WITHIN, atol=0))
