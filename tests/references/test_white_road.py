"""A vehicle on a road of white slope against Lyapunov's equation, which knows no frequencies.

The vehicles are slowed down tenfold (springs by 100, dampers by 10), so that nothing is left above 25 Hz,
where levels fade.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import solve_continuous_lyapunov

from counterbounce.model.background import background
from counterbounce.model.golden_car import golden_car
from counterbounce.model.matrices import matrices
from counterbounce.model.points import Point, at, dense
from counterbounce.model.response import dynamics
from counterbounce.model.roughness import Roughness

SLOWER = 10.0


def by_lyapunov(vehicle, row, intensity: float) -> float:
    """Level of a point's acceleration [m/s^2] where the road's rate is white, two-sided `intensity` [m^2/s].

    States: coordinates less the road's height, and their rates; the road's rate drives the differences.
    """
    s = matrices(vehicle)
    n = len(s.coordinates)
    lifted = np.array([vehicle.lift()[c] for c in s.coordinates])
    below = -np.linalg.solve(s.M, np.hstack([s.K, s.C]))
    system = np.vstack([np.hstack([np.zeros((n, n)), np.eye(n)]), below])
    kick = np.concatenate([-lifted, np.zeros(n)])
    spread = solve_continuous_lyapunov(system, -np.outer(kick, kick) * intensity)
    shown = dense([row], s.coordinates)[0] @ below
    return float(np.sqrt(shown @ spread @ shown))


@pytest.fixture(params=["golden car", "quarter"])
def slow(request, fleet, rescaled):
    if request.param == "golden car":
        return rescaled(golden_car(), damper=1 / SLOWER, spring=1 / SLOWER**2)
    return rescaled(fleet("quarter").vehicle, damper=1 / SLOWER, spring=1 / SLOWER**2)


def without_footprint(vehicle):
    from dataclasses import replace

    return replace(vehicle, axles=tuple(replace(a, contact_length=0.0) for a in vehicle.axles))


@pytest.mark.parametrize("speed", [5.0, 25.0])
def test_level_of_the_body(slow, speed):
    """To 0.2 %: what the road asks below 0.02 Hz and above 25 Hz is not counted."""
    vehicle = without_footprint(slow)
    road = Roughness(256e-6, longest=1e6, shortest=1e-3)
    body = Point("body", 0.0, at("bounce"))
    level = background(dynamics(vehicle), vehicle, road, np.array([speed]), [body])[0, 0]
    intensity = road.velocity_density * speed / 2  # one-sided 4 pi^2 n0^2 Gd v, by Hz: half of it two-sided
    assert level == pytest.approx(by_lyapunov(vehicle, at("bounce"), intensity), rel=2e-3)
