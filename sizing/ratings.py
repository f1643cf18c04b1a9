"""Axle, tyre and weight limits, and what a weight at a station does to them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..model.case import Case
from ..model.matrices import Matrices, matrices
from ..model.numbers import Missing
from ..model.plan import AxlePlan
from ..model.points import dense
from ..model.vehicle import Vehicle

Floats = NDArray[np.float64]

PRESSURE_EXPONENT = 0.8


@dataclass(frozen=True)
class RatingCheck:
    """One limit: what it is of, what stands before and after the damper; `floor` limits must not be undercut.

    limit, before, after  [kg], [-] for a share, or [m] for a height
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


def tyre_capacity(rating: float, pressure: float, rated_pressure: float) -> float:
    """What a tyre may carry at less than the pressure that its rating holds at [kg].

        W = W_r (p / p_r)^0.8, and no more than W_r above it

    rating          W_r [kg]
    pressure        p [Pa], cold, gauge
    rated_pressure  p_r [Pa], as p

    Source: the load and pressure rule of the ETRTO Standards Manual (from memory).  North American tables of
    light-truck tyres allow more at low pressure, as with an exponent of 0.7: the table of the tyre itself has
    the last word.

    >>> round(tyre_capacity(1450.0, 4.0e5, 5.5e5))
    1124
    """
    return float(rating * min(1.0, pressure / rated_pressure) ** PRESSURE_EXPONENT)


def rating_checks(
    case: Case, before: Mapping[str, float], after: Mapping[str, float], place: str = ""
) -> tuple[RatingCheck, ...]:
    """Every limit that the case states, before and after.

    before, after  load on the ground under each axle [kg]
    place          the point where weight was added, for how high it sits

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
        if (tyres := _tyres(case, axle)) is not None:
            checks.append(RatingCheck(*tyres, one, two))
    gross, front = case.limits.gross_rating, case.limits.front_share
    sums = sum(before.values()), sum(after.values())
    if gross is not None:
        checks.append(RatingCheck("gross weight rating", gross, *sums))
    if front is not None and len(before) > 1:
        first = case.plan.axles[0].name
        shares = before[first] / sums[0], after[first] / sums[1]
        checks.append(RatingCheck("share of the front axle", front, *shares, unit="-", floor=True))
    if (highest := case.limits.centre_of_gravity_height) is not None:
        heights = centre_heights(case, *sums, place)
        checks.append(RatingCheck("height of the centre of gravity", highest, *heights, unit="m"))
    return tuple(checks)


def _tyres(case: Case, axle: AxlePlan) -> tuple[str, float] | None:
    """What an axle's tyres may carry together [kg], at their pressure where that is below the rated one."""
    path = f"axle.{axle.name}"
    found = [_optional(case, f"{path}.{name}") for name in ("dual_rating", "tyre_rating")]
    rating = next((value for value in found if value is not None), None)
    if rating is None:
        return None
    facts = [_optional(case, f"{path}.{name}") for name in ("pressure", "rated_pressure")]
    if facts[0] is None or facts[1] is None or facts[0] >= facts[1]:
        return f"{axle.name} tyres, together", rating * axle.tyres
    capacity = tyre_capacity(rating, facts[0], facts[1])
    return f"{axle.name} tyres at their pressure, together", capacity * axle.tyres


def centre_heights(case: Case, before: float, after: float, place: str = "") -> tuple[float, float]:
    """Height of the vehicle's centre of gravity above the ground [m], before and after.

    before, after  what the vehicle weighs [kg]
    place          the point where the weight was added; nothing: on the frame

    The vehicle as weighed has its height given; bodies that were not weighed, masses of one's own and what is
    added sit where they say, or as high as what they are on.

    >>> from dataclasses import replace
    >>> from ..model.example import small_case
    >>> from ..model.numbers import Known
    >>> one, told = small_case(), Known(1.2, 0.0, "measured", law="shift")
    >>> tall = replace(one, numbers=one.numbers.with_given({"vehicle.centre_of_gravity_height": told}))
    >>> [round(h, 4) for h in centre_heights(tall, 4800.0, 4830.0)]     # 30 kg on a frame 0.8 m high
    [1.2, 1.1975]
    """
    plan, numbers = case.plan, case.numbers
    more = [(f"body.{body.name}.mass", body.name) for body in plan.bodies if not body.included]
    more += [(f"mass.{m.name}.mass", f"mass.{m.name}") for m in plan.links if m.kind == "mass"]
    weights = [(float(numbers[path]), above_ground(case, name)) for path, name in more]
    weighed = before - sum(weight for weight, _ in weights)
    moment = weighed * float(numbers["vehicle.centre_of_gravity_height"]) + sum(w * h for w, h in weights)
    return moment / before, (moment + (after - before) * above_ground(case, place)) / after


def above_ground(case: Case, name: str) -> float:
    """How high something sits [m]: as it says itself, or as what it is on; the frame where nothing does.

    name  a point, a body, an axle as "axle.rear", or a mass of one's own as "mass.ballast"

    >>> from ..model.example import small_case
    >>> above_ground(small_case(), "rear end")
    0.8
    """
    for path in (f"{kind}{name}.above_ground" for kind in ("body.", "point.", "")):
        if path in case.numbers.given:
            return float(case.numbers[path])
    if name.startswith("axle."):
        diameter = _optional(case, f"{name}.tyre_diameter")
        return 0.4 if diameter is None else diameter / 2
    under = {body.name: body.on for body in case.plan.bodies}
    under |= {point.name: point.on for point in case.plan.points}
    under |= {f"mass.{link.name}": link.upper for link in case.plan.links if link.kind == "mass"}
    return above_ground(case, under[name]) if name in under else float(case.numbers["frame.above_ground"])


def _optional(case: Case, path: str) -> float | None:
    try:
        return float(case.numbers[path])
    except Missing:
        return None


def heaviest(
    case: Case, before: Mapping[str, float], per_kilogram: Floats, cap: float, place: str = ""
) -> float:
    """The largest weight [kg] up to `cap` [kg] that keeps every limit of the case.

    before        load on the ground under each axle [kg]
    per_kilogram  what one kilogram adds under each axle [-], (axles,)
    place         the point that it hangs at

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
        return all(check.met for check in rating_checks(case, before, after, place))

    if keeps(cap):
        return cap
    low, high = 0.0, cap
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if keeps(middle) else (low, middle)
    return low
