"""Axle, tyre and weight limits, and what a weight at a station does to them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..model.case import Case
from ..model.matrices import Matrices, matrices
from ..model.numbers import Missing
from ..model.points import dense
from ..model.vehicle import Vehicle

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class RatingCheck:
    """One limit: what it is of, what stands before and after the damper; `floor` limits must not be undercut.

    limit, before, after  [kg], or [-] for a share
    """

    name: str
    limit: float
    before: float
    after: float
    unit: str = "kg"
    floor: bool = False

    @property
    def met(self) -> bool:
        """Whether the limit holds with the damper on."""
        return self.after >= self.limit if self.floor else self.after <= self.limit

    @property
    def met_before(self) -> bool:
        """Whether the limit holds without the damper."""
        return self.before >= self.limit if self.floor else self.before <= self.limit


def load_change(system: Matrices, row: Mapping[str, float], kilograms: float) -> Floats:
    """What a weight on a point adds to the load on the ground under each axle [kg], (axles,).

    row        of the point that carries it [m per unit coordinate]
    kilograms  the weight [kg]

    Statics of the assembled springs; where there are two axles it is the lever rule.

    >>> from ..model.example import small_truck
    >>> truck = small_truck()
    >>> end = truck.points["rear end"].row     # 2 m behind the rear axle, 6 m behind the front one
    >>> load_change(matrices(truck), end, 30.0).round(6).tolist()
    [-15.0, 45.0]
    """
    sag = np.linalg.solve(system.K, dense([row], system.coordinates)[0])
    return np.asarray(system.push_0.T @ sag * kilograms)


def axle_loads(case: Case, vehicle: Vehicle) -> dict[str, float]:
    """Load on the ground under each axle as the case stands, bodies that were not weighed included [kg].

    >>> from ..model.example import small_case, small_truck
    >>> axle_loads(small_case(), small_truck())
    {'front': 2100.0, 'rear': 2700.0}
    """
    system = matrices(vehicle)
    names = [axle.name for axle in vehicle.axles]
    extra = [(vehicle.points[b.name].row, f"body.{b.name}.mass") for b in case.plan.bodies if not b.included]
    own = [m for m in case.plan.links if m.kind == "mass"]
    extra += [(vehicle.points[m.upper].row, f"mass.{m.name}.mass") for m in own]
    added = np.zeros(len(names))
    for row, path in extra:
        added += load_change(system, row, float(case.numbers[path]))
    weighed = [case.numbers.given.get(f"axle.{name}.load") for name in names]
    if all(w is not None for w in weighed):
        base = np.array([float(case.numbers[f"axle.{name}.load"]) for name in names])
        return dict(zip(names, (base + added).tolist(), strict=True))
    return dict(zip(names, _carried(vehicle, system).tolist(), strict=True))


def _carried(vehicle: Vehicle, system: Matrices) -> Floats:
    """Loads from the weight of every part, by the statics of the springs."""
    lift = vehicle.lift()
    raised = np.array([lift[c] for c in system.coordinates])
    return np.asarray(system.push_0.T @ np.linalg.solve(system.K, system.M @ raised))


def rating_checks(
    case: Case, before: Mapping[str, float], after: Mapping[str, float]
) -> tuple[RatingCheck, ...]:
    """Every limit that the case states, before and after.

    before, after  load on the ground under each axle [kg]

    >>> from ..model.example import small_case
    >>> before, after = {"front": 2100.0, "rear": 2700.0}, {"front": 2080.0, "rear": 2760.0}
    >>> [(c.name, c.limit, c.met) for c in rating_checks(small_case(), before, after)]
    [('rear axle rating', 2750.0, False)]
    """
    checks = []
    for axle in case.plan.axles:
        one, two = before[axle.name], after[axle.name]
        if (rating := _optional(case, f"axle.{axle.name}.rating")) is not None:
            checks.append(RatingCheck(f"{axle.name} axle rating", rating, one, two))
        if (rating := _optional(case, f"axle.{axle.name}.tyre_rating")) is not None:
            checks.append(RatingCheck(f"{axle.name} tyres, together", rating * axle.tyres, one, two))
    gross, front = case.limits.gross_rating, case.limits.front_share
    sums = sum(before.values()), sum(after.values())
    if gross is not None:
        checks.append(RatingCheck("gross weight rating", gross, *sums))
    if front is not None and len(before) > 1:
        first = case.plan.axles[0].name
        shares = before[first] / sums[0], after[first] / sums[1]
        checks.append(RatingCheck("share of the front axle", front, *shares, unit="-", floor=True))
    return tuple(checks)


def _optional(case: Case, path: str) -> float | None:
    try:
        return float(case.numbers[path])
    except Missing:
        return None


def heaviest(case: Case, before: Mapping[str, float], per_kilogram: Floats, cap: float) -> float:
    """The largest weight [kg] up to `cap` [kg] that keeps every limit of the case.

    before        load on the ground under each axle [kg]
    per_kilogram  what one kilogram adds under each axle [-], (axles,)

    >>> from ..model.example import small_case
    >>> before, per_kilogram = {"front": 2100.0, "rear": 2700.0}, np.array([-0.5, 1.5])
    >>> round(heaviest(small_case(), before, per_kilogram, 60.0), 2)     # 50 kg are left, over 1.5
    33.33
    """

    def keeps(kilograms: float) -> bool:
        after = {
            name: load + kilograms * share
            for (name, load), share in zip(before.items(), per_kilogram, strict=True)
        }
        return all(check.met for check in rating_checks(case, before, after))

    if keeps(cap):
        return cap
    low, high = 0.0, cap
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if keeps(middle) else (low, middle)
    return low
