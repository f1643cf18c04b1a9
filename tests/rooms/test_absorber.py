"""The damper as a part of a vehicle, against the textbook's single mass."""

import numpy as np
import pytest

from counterbounce.model.modes import modes
from counterbounce.model.plan import AxlePlan, Plan
from counterbounce.model.response import dynamics
from counterbounce.sizing.absorber import Damper, tuned, with_ballast, with_damper
from counterbounce.sizing.closed_form import den_hartog

HOST, OMEGA = 1000.0, 2 * np.pi * 2.0


@pytest.fixture
def undamped(shop):
    values = shop.table("axle.wheel", station=0.0, spring_rate=HOST * OMEGA**2, damping=0.0)
    plan = Plan("quarter", (AxlePlan("wheel", massless=True),))
    return shop.built(plan, values | {"vehicle.sprung_mass": HOST}).vehicle


def hung(vehicle, ratio):
    best = den_hartog(ratio)
    return with_damper(vehicle, tuned("body", ratio * HOST, best.tuning * 2.0, best.damping_ratio))


def test_den_hartogs_damper_on_a_vehicle(undamped):
    """Receptance over static: the swept peak, a little above sqrt(1 + 2/u); recomputed independently."""
    ready = dynamics(hung(undamped, 0.05))
    frequency, row = np.linspace(1.0, 3.0, 40_001), undamped.point("body").row
    over_static = np.abs(ready.receptance(frequency, [row], [row])[:, 0, 0]) * HOST * OMEGA**2
    assert over_static.max() == pytest.approx(6.408443, rel=1e-6)
    assert over_static.max() > np.sqrt(1 + 2 / 0.05)


def test_a_damper_is_one_more_body(fleet):
    vehicle = fleet("bending").vehicle
    one = with_damper(vehicle, Damper("rear end", 20.0, 4e4, 100.0))
    assert one.coordinates == (*vehicle.coordinates, "damper")
    assert one.total_mass == pytest.approx(vehicle.total_mass + 20.0)
    assert one.points["damper"].row == {"damper": 1.0}
    assert one.points["damper"].station == vehicle.points["rear end"].station
    found = modes(one)
    assert any("damper on its spring" in name for name in found.names)
    assert np.array(list(found.shares.values())).sum(axis=0) == pytest.approx(1.0)


def test_ballast_is_mass_and_nothing_else(fleet):
    vehicle = fleet("bending").vehicle
    one = with_ballast(vehicle, "rear end", 20.0)
    assert one.coordinates == vehicle.coordinates
    assert one.total_mass == pytest.approx(vehicle.total_mass + 20.0)
    assert modes(one).undamped[2] < modes(vehicle).undamped[2]


def test_sag_is_the_weight_over_the_spring():
    """g over omega squared: 5.07 mm at 7 Hz, whatever the mass (1 g peak of 7 Hz: 5.0695 mm)."""
    for mass in (1.0, 30.0):
        assert tuned("rear end", mass, 7.0, 0.1).static_sag == pytest.approx(5.0695e-3, rel=1e-5)


def test_a_misspelt_place_is_refused(fleet):
    with pytest.raises(KeyError, match=r"no point 'raer end'; rear end\W*$"):
        with_damper(fleet("bending").vehicle, Damper("raer end", 20.0, 4e4, 100.0))
