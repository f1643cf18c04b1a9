"""Level of a single mass on a base of white acceleration.

Source: J. W. Miles, On structural fatigue under random loading, Journal of the Aeronautical Sciences 21
(1954), as in shock and vibration handbooks (from memory): sqrt(pi/2 f Q G).  With the damper between mass and
base the exact value has the factor (1 + 4 z^2) under the root.  Numbers recomputed.
"""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.background import background
from counterbounce.model.plan import AxlePlan, Plan
from counterbounce.model.response import dynamics
from counterbounce.model.roughness import N0, Roughness

GRAVITY = 9.80665


def level(shop, frequency: float, damping_ratio: float, density: float, speed: float = 20.0) -> float:
    """[g r.m.s.] of a mass on a spring that stands on a road of white acceleration: waviness 4.

    density  [g^2/Hz] one-sided, of the base: (2 pi n0)^4 Gd(n0) v^3
    """
    omega = 2 * np.pi * frequency
    values = shop.table("vehicle", sprung_mass=1000.0) | shop.table(
        "axle.wheel", station=0.0, spring_rate=1000 * omega**2, damping=2000 * damping_ratio * omega
    )
    vehicle = shop.built(Plan("quarter", (AxlePlan("wheel", massless=True),)), values).vehicle
    of_base = density * GRAVITY**2 / ((2 * np.pi * N0) ** 4 * speed**3)
    road = Roughness(of_base, waviness=4.0, longest=1e5, shortest=0.01)
    (body,) = (p for p in vehicle.points.values() if p.row == {"bounce": 1.0})
    return float(background(dynamics(vehicle), vehicle, road, np.array([speed]), [body])[0, 0]) / GRAVITY


def test_ten_hertz_with_five_per_cent(shop):
    """1.7813 g, and not the 1.7725 g without the factor, here from 3 Hz by the root of the frequency.

    What lies below 0.02 Hz and above 25 Hz is not counted, 3e-4.
    """
    assert level(shop, 3.0, 0.05, 0.02) * np.sqrt(10 / 3) == pytest.approx(1.7813, rel=4e-4)


@pytest.mark.parametrize("damping_ratio", [0.02, 0.05, 0.1])
@pytest.mark.parametrize("frequency", [2.0, 3.0, 4.0])
def test_the_exact_factor(shop, frequency, damping_ratio):
    """To 0.1 %, which the ends of the band cost at 10 % damping."""
    miles = np.sqrt(np.pi / 2 * frequency / (2 * damping_ratio) * 0.02)
    exact = miles * np.sqrt(1 + 4 * damping_ratio**2)
    assert level(shop, frequency, damping_ratio, 0.02) == pytest.approx(exact, rel=1e-3)
