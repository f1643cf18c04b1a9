"""Energy along a rough drive: what the road gives is stored, or burnt by something that says how much.

Each force is written here a second time, by what it stores and what it burns, from its stretch alone.  With
h' = (F sign(s') - h) |s'| / b a leaf stores b h^2 / 2F and burns h^2 |s'| / F, so h s' is their sum.
"""

import numpy as np
import pytest

from counterbounce.model.forces import Leaf, LiftOff, Stop, TwoWayShock
from counterbounce.model.laws import Law, ground_loads
from counterbounce.model.matrices import matrices
from counterbounce.model.points import dense
from counterbounce.model.rough_drive import marched, rough

RATE = 8000.0  # [Hz] fine enough for powers to be summed as trapezia
SECONDS = 2.0
CLOSES_WITHIN = 1e-5  # of what is burnt; five times what the worst vehicle needs at this rate


def every_law(vehicle):
    """Leaves, stops, shocks and lift-off on every axle; by hand, as these vehicles have no rules."""
    loads = ground_loads(vehicle)
    for axle in vehicle.axles:
        load, parts = loads[axle.name], {(p.kind, p.path): p for p in vehicle.parts}
        number = f"axle.{axle.name}.".__add__
        spring, shock = parts["spring", number("spring_rate")], parts["damper", number("damping")]
        leaf = Leaf(0.1 * load, 0.2 * load / spring.value, spring.value / 2)
        yield Law("leaf", spring.row, leaf, spring.name)
        yield Law("stops", shock.row, Stop(0.02, 0.02, 3 * spring.value))
        damping = shock.value + 1.0  # a textbook may have none
        yield Law("shock", shock.row, TwoWayShock(0.6 * damping, 1.4 * damping, 150 * damping), shock.name)
        if ("spring", number("tyre_rate")) in parts:
            tyres = parts["spring", number("tyre_rate")]
            yield Law("lift-off", tyres.row, LiftOff(load, axle.tyre_rate, axle.tyre_damping), tyres.name)


def road(axles):
    """Humps that throw the wheels up, one axle after the other."""
    t = np.arange(round(SECONDS * RATE) + 1) / RATE
    late = (t - 0.1 - 0.25 * i for i in range(axles))
    return np.array([0.1 * np.where((x > 0) & (x < 0.15), np.sin(np.pi * x / 0.15) ** 2, 0.0) for x in late])


class Drive:
    """A vehicle, its laws and all that moved, at every sample."""

    def __init__(self, vehicle):
        self.vehicle, self.laws, self.heights = vehicle, list(every_law(vehicle)), road(len(vehicle.axles))
        self.system, ready = matrices(vehicle), rough(vehicle, self.laws)
        history = marched(ready, self.heights, RATE, fast=True)
        n = len(self.system.coordinates)
        self.excess, self.q = history.pulls.T, history.states[:, :n].T
        self.v = history.states[:, n:].T + ready.space.B[:n, : len(self.heights)] @ self.heights
        self.rates = np.gradient(self.heights, 1 / RATE, axis=1)

    def along(self, row):
        """Stretch and its speed along a row."""
        own, below = (dense([row], c)[0] for c in (self.system.coordinates, self.system.roads))
        return own @ self.q + below @ self.heights, own @ self.v + below @ self.rates

    def summed(self, power):
        return np.trapezoid(power, dx=1 / RATE)


@pytest.fixture(scope="module")
def driven(built):
    return Drive(built.vehicle)


def pull(drive, law, excess):
    """Force of a law [N]: what it adds to its linear part, and that part, which laws of one name share."""
    stretch, speed = drive.along(law.row)
    mine = [p for p in drive.vehicle.parts if p.name == law.part]
    sharing = sum(other.part == law.part for other in drive.laws)
    return excess + sum(p.value * (stretch if p.kind == "spring" else speed) for p in mine) / sharing


def of_law(drive, law, force):
    """What a law has stored at the end [J], and what it has burnt on the way [J]."""
    stretch, speed = drive.along(law.row)
    match law.force:
        case Stop(up, down, rate):
            beyond = max(stretch[-1] - up, 0.0) + min(stretch[-1] + down, 0.0)
            return rate * beyond**2 / 2, 0.0
        case LiftOff(load, rate, damping):  # in the air it still lifts the load that it had carried
            return 0.0, drive.summed(np.minimum(load, rate * stretch + damping * speed) * speed)
        case Leaf(friction, travel, rate):
            held = force - rate * stretch
            kept = rate * stretch[-1] ** 2 / 2 + travel * held[-1] ** 2 / (2 * friction)
            return kept, drive.summed(held**2 * np.abs(speed)) / friction
        case TwoWayShock(compression, rebound, bush):
            dampings = np.where(force > 0, rebound, compression)
            return force[-1] ** 2 / (2 * bush), drive.summed(force**2 / dampings)


def from_the_road(drive, forces):
    """Work of the road: each force times what the road does to its stretch [J]."""
    each = (
        (row, drive.summed(force * (dense([row], drive.system.roads)[0] @ drive.rates)))
        for row, force in forces
    )
    return sum(work for _, work in each)


def books(drive):
    """What the road gave [J], what is stored at the end [J], and what each part has burnt [J]."""
    gone = {law.part for law in drive.laws}
    stored, burnt, forces = 0.5 * drive.v[:, -1] @ drive.system.M @ drive.v[:, -1], [], []
    for part in (p for p in drive.vehicle.parts if p.kind != "mass" and p.name not in gone):
        stretch, speed = drive.along(part.row)
        forces.append((part.row, part.value * (stretch if part.kind == "spring" else speed)))
        if part.kind == "spring":
            stored += 0.5 * part.value * stretch[-1] ** 2
        else:
            burnt.append(part.value * drive.summed(speed**2))
    for law, excess in zip(drive.laws, drive.excess, strict=True):
        force = pull(drive, law, excess)
        forces.append((law.row, force))
        kept, heat = of_law(drive, law, force)
        stored += kept
        burnt.append(heat)
    return from_the_road(drive, forces), stored, burnt


def test_what_the_road_gives_is_stored_or_burnt(driven):
    given, stored, burnt = books(driven)
    assert abs(given - stored - sum(burnt)) < CLOSES_WITHIN * sum(map(abs, burnt))


def test_the_road_reaches_every_kind_of_law(driven):
    """Else the balance would say nothing of it."""
    reached = {}
    for law, excess in zip(driven.laws, driven.excess, strict=True):
        reached[law.name] = max(reached.get(law.name, 0.0), np.abs(excess).max())
    assert len(reached) >= 3
    assert min(reached.values()) > 1.0  # [N]
