"""Generic quarter cars, and how far the usual shortcuts are off.

Sources: parameter sets attributed to R. N. Jazar, Vehicle Dynamics (375 kg), and R. Rajamani, Vehicle
Dynamics and Control (250 kg), both from memory; frequencies recomputed independently.
"""

import numpy as np
import pytest

from counterbounce.model.modes import modes
from counterbounce.model.plan import AxlePlan, Plan

KNOWN = [("b9_quarter_375", (1.41124, 8.79640)), ("b9_quarter_250", (1.21307, 9.96088))]


@pytest.mark.parametrize(("name", "hertz"), KNOWN)
def test_frequencies(textbook, name, hertz):
    assert modes(textbook(name).vehicle).frequency_hz == pytest.approx(hertz, rel=5e-6)  # printed digits


def shortcuts(numbers):
    """Ride rate under the body alone, and the hub alone on both its springs [Hz]."""
    spring, tyre = numbers["axle.wheel.spring_rate"], numbers["axle.wheel.tyre_rate"]
    body, hub = numbers["vehicle.sprung_mass"], numbers["axle.wheel.unsprung_mass"]
    return np.sqrt([spring * tyre / (spring + tyre) / body, (spring + tyre) / hub]) / (2 * np.pi)


@pytest.mark.parametrize("name", ["b7_large_saloon", "b9_quarter_375", "b9_quarter_250"])
def test_shortcuts_are_high_for_the_body_and_low_for_the_hop(textbook, name):
    one = textbook(name)
    ride, hop = shortcuts(one.case.numbers) / (modes(one.vehicle).undamped / (2 * np.pi)) - 1
    assert 6e-4 <= ride <= 2.5e-3
    assert -2.5e-3 <= hop <= -6e-4


def test_a_heavy_hub_shows_the_shortcut(shop):
    """2500 kg on a hub of 320 kg, 80 and 500 kN/m: the shortcut says 0.8359 Hz, the vehicle 0.8349 Hz."""
    rates = {"spring_rate": 80e3, "tyre_rate": 500e3, "damping": 0.0, "tyre_damping": 0.0}
    values = shop.table("axle.wheel", station=0.0, unsprung_mass=320.0, **rates) | {
        "vehicle.sprung_mass": 2500.0
    }
    one = shop.built(Plan("quarter", (AxlePlan("wheel"),)), values)
    assert shortcuts(one.numbers)[0] == pytest.approx(0.8359, rel=1e-4)
    assert modes(one.vehicle).frequency_hz[0] == pytest.approx(0.8349, rel=1e-4)
