"""Histories with stops, friction, shocks and lift-off against SciPy's Runge-Kutta of order 8.

The peer integrates the forces in their other form, as differential equations, and restarts at each bend of
the road.  Switching forces (a stop that is met, a tyre that lifts) are Lipschitz, so the order stays 2.
"""

from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from counterbounce.model.drive import drive
from counterbounce.model.example import small_truck
from counterbounce.model.forces import DryFriction, Leaf, LiftOff, Stop, TwoWayShock
from counterbounce.model.laws import Law
from counterbounce.model.matrices import matrices
from counterbounce.model.points import dense
from counterbounce.model.rough_drive import marched, rough, rough_drive

RATE = 200.0
SECONDS = 1.5


def road(seconds=SECONDS, height=0.05):
    """A hump with a dip behind it, later and lower under the rear axle."""
    t = np.arange(round(seconds * RATE) + 1) / RATE

    def hump(t):
        return np.where((t > 0) & (t < 0.3), np.sin(2 * np.pi * t / 0.3) * np.sin(np.pi * t / 0.3), 0.0)

    return np.array([height * hump(t - 0.05), 0.8 * height * hump(t - 0.35)])


def row(vehicle, name):
    return next(p.row for p in vehicle.parts if p.name == name)


def law(force, part="rear spring", adds=False):
    return Law(f"{part} law", row(small_truck(), part), force, "" if adds else part)


LAWS = {
    "stop": [law(Stop(0.008, 0.006, 2e6), "rear shock", adds=True)],
    "lift-off": [law(LiftOff(9e3, 3.2e6, 2.9e3), "rear tyres")],
    "leaf": [law(Leaf(3e3, 0.01, 3e5))],
    "dry friction": [law(DryFriction(800.0, 4e5), adds=True)],
    "rigid shock": [law(TwoWayShock(2e3, 9e3), "rear shock")],
    "shock": [law(TwoWayShock(4e3, 9e3, 4e5), "rear shock")],
}
LAWS["all"] = [one for laws in LAWS.values() for one in laws if one is not LAWS["rigid shock"][0]]


@dataclass
class Peer:
    """q, q', then what each force remembers; `slope` and `offset` give the road between two samples."""

    laws: list

    def __post_init__(self):
        self.vehicle = small_truck()
        self.system = s = matrices(self.vehicle)
        self.rows = dense((one.row for one in self.laws), s.coordinates)
        self.below = dense((one.row for one in self.laws), s.roads)
        kept = [p for p in self.vehicle.parts if p.name not in {one.part for one in self.laws}]
        self.K, self.C = (self.of(kept, kind, s.coordinates) for kind in ("spring", "damper"))
        self.push_0, self.push_1 = (-self.of(kept, kind, s.roads) for kind in ("spring", "damper"))

    def of(self, parts, kind, columns):
        mine = [p for p in parts if p.kind == kind]
        left, right = (
            dense((p.row for p in mine), self.system.coordinates),
            dense((p.row for p in mine), columns),
        )
        return left.T @ (np.array([p.value for p in mine])[:, None] * right)

    def derivative(self, t, y, u, rate):
        n = len(self.K)
        q, v, held = y[:n], y[n : 2 * n], y[2 * n :]
        stretch, speed = self.rows @ q + self.below @ u, self.rows @ v + self.below @ rate
        pairs = [pull(one.force, *x) for one, *x in zip(self.laws, stretch, speed, held, strict=True)]
        force, remembered = np.array(pairs).T
        push = self.push_0 @ u + self.push_1 @ rate - self.K @ q - self.C @ v - self.rows.T @ force
        return np.concatenate([v, np.linalg.solve(self.system.M, push), remembered])

    def history(self, heights):
        """States at every sample, (samples, states)."""
        y, found = np.zeros(2 * len(self.K) + len(self.laws)), []
        for before, after in pairwise(heights.T):
            found.append(y)
            rate = (after - before) * RATE
            over = solve_ivp(
                lambda t, y, before=before, rate=rate: self.derivative(t, y, before + t * rate, rate),
                (0, 1 / RATE),
                y,
                "DOP853",
                rtol=1e-9,
                atol=1e-12,
            )
            y = over.y[:, -1]
        return np.array([*found, y])

    def accelerations(self, states, heights):
        """q'' at every sample but the ends, the mean of before and behind each bend of the road."""
        n, rates = len(self.K), np.diff(heights).T * RATE
        both = [
            [self.derivative(0.0, y, u, rate)[n : 2 * n] for rate in pair]
            for y, u, pair in zip(states[1:-1], heights.T[1:], pairwise(rates), strict=False)
        ]
        return np.mean(both, axis=1)


def pull(force, s, v, held):
    """Force, and the rate of what it remembers."""
    match force:
        case Stop(up, down, rate):
            return rate * (max(s - up, 0) + min(s + down, 0)), 0.0
        case LiftOff(load, rate, damping):
            return min(rate * s + damping * v, load), 0.0
        case Leaf(friction, travel, rate):
            return rate * s + held, (friction * np.sign(v) - held) * abs(v) / travel
        case DryFriction(breakaway, stiffness):
            slips = abs(held) >= breakaway and held * v > 0
            return held, 0.0 if slips else stiffness * v
        case TwoWayShock(compression, rebound, bush):
            if np.isinf(bush):
                return (rebound if v > 0 else compression) * v, 0.0
            return held, bush * (v - held / (rebound if held > 0 else compression))


@pytest.fixture(scope="module")
def of_the_peer():
    """The peer and its states, by name of the law."""

    @cache
    def find(name):
        peer = Peer(LAWS[name])
        return peer, peer.history(road())

    return find


@pytest.mark.parametrize("name", LAWS)
def test_displacements_agree_and_the_error_falls_with_the_square_of_the_step(name, of_the_peer):
    peer, states = of_the_peer(name)
    ready, n = rough(small_truck(), peer.laws), len(peer.K)
    expected = states[:, :n]

    def error(steps):
        ours = marched(ready, road(), RATE, steps, fast=True).states[:, :n]
        return np.abs(ours - expected).max() / np.abs(expected).max()

    coarse, fine = error(4), error(64)
    assert fine < (2e-5 if name == "all" else 2e-6)  # five laws that switch at once: ten times one of them
    assert 1.7 < np.log2(coarse / fine) / 4 < 2.3  # over four halvings; switching makes single ones uneven


@pytest.mark.parametrize("name", LAWS)
def test_the_ride_is_as_near_as_its_label_says(name, of_the_peer):
    peer, states = of_the_peer(name)
    n, truck = len(peer.K), small_truck()
    ride = rough_drive(truck, peer.laws, road(), RATE, ["rear end"], within=1e-3)
    end = dense([truck.points["rear end"].row], peer.system.coordinates)[0]
    travel = dense([row(truck, "rear shock")], peer.system.coordinates)[0]
    expected = {
        "rear end": peer.accelerations(states, road()) @ end,
        "rear suspension travel": states[1:-1, :n] @ travel,
    }
    for channel, one in expected.items():
        ours = ride.channel(channel)[1:-1]
        assert np.abs(ours - one).max() < 1e-3 * np.abs(one).max()


def test_a_tyre_that_lifts_carries_nothing_and_no_less(of_the_peer):
    peer, states = of_the_peer("lift-off")
    n, (one,) = len(peer.K), peer.laws
    ride = rough_drive(small_truck(), peer.laws, road(), RATE, within=1e-4)
    load = one.force.static_load + ride.channel("rear tyre load variation")
    stretch = states[:, :n] @ peer.rows[0] + road().T @ peer.below[0]
    off = stretch > 1.2 * one.force.static_load / one.force.rate  # well off: the damper does not matter
    assert off.sum() > 5
    nothing = 1e-7 * one.force.static_load  # turns end where one more would move forces by 1e-8
    assert np.abs(load[off]).max() < nothing
    assert load.min() > -nothing


def test_without_laws_it_is_the_linear_history():
    """Laws that never leave their linear part change nothing; the peer of the linear step is its own test."""
    truck, heights = small_truck(), road() + np.array([[0.02], [0.01]])
    idle = [
        law(Stop(1.0, 1.0, 1e6), "rear shock", adds=True),
        law(LiftOff(1e9, 3.2e6, next(a.tyre_damping for a in truck.axles if a.name == "rear")), "rear tyres"),
        law(TwoWayShock(3e3, 3e3), "rear shock"),
    ]
    for motion in ("acceleration", "velocity", "displacement"):
        linear = drive(truck, heights, RATE, ["rear end", "axle.rear"], motion=motion)
        for laws in ([], idle):
            ours = rough_drive(truck, laws, heights, RATE, ["rear end", "axle.rear"], motion=motion)
            assert ours.channels == linear.channels
            largest = np.abs(linear.samples).max(axis=1, keepdims=True)
            assert np.abs(ours.samples - linear.samples).max() <= 1e-10 * largest.max()
            assert np.all(np.abs(ours.samples - linear.samples) <= 1e-9 * largest)
