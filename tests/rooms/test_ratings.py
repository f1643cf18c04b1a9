"""Loads on the ground, and every limit that a case states."""

import numpy as np
import pytest

from counterbounce.model.case import parse
from counterbounce.model.matrices import matrices
from counterbounce.model.settle import settled
from counterbounce.sizing.ratings import RatingCheck, axle_loads, heaviest, load_change, rating_checks

TRUCK = """
name = "A truck for ratings"
[vehicle]
model = "half"
wheelbase = "4 m"
{vehicle}
[frame]
front_overhang = "1 m"
rear_overhang = "2 m"
[axle.front]
{front}
unsprung_mass = "300 kg"
spring_rate = "280 kN/m"
damping = "9 kN*s/m"
tyre_rate = "1.7 MN/m"
tyre_damping = "1 kN*s/m"
rating = "3000 kg"
[axle.rear]
{rear}
unsprung_mass = "600 kg"
spring_rate = "500 kN/m"
damping = "9 kN*s/m"
tyre_rate = "3 MN/m"
tyre_damping = "1 kN*s/m"
tyres = 4
tyre_rating = "1000 kg"
{more}
[inputs]
wheel_orders = []
[limits]
gross_rating = "6500 kg"
front_share = "30 %"
"""
WEIGHED = {"front": 'load = "2500 kg"', "rear": 'load = "3600 kg"', "vehicle": "", "more": ""}
LISTED = {
    "front": "",
    "rear": "",
    "vehicle": 'sprung_mass = "5200 kg"\ncentre_of_gravity = "2.3 m"\npitch_inertia = "18 t*m^2"',
    "more": "",
}
DRIVER = '[[body]]\nname = "driver"\nmass = "80 kg"\nstation = "1 m"\nincluded = false'
BALLAST = '[[mass]]\nname = "ballast"\nat = "rear end"\nmass = "100 kg"'


def loads_of(facts, more=""):
    case = parse(TRUCK.format(**{**facts, "more": more}))
    vehicle = settled(case.plan, case.numbers)
    return case, vehicle, axle_loads(case, vehicle)


def test_what_was_weighed_is_what_stands_there():
    assert loads_of(WEIGHED)[2] == {"front": 2500.0, "rear": 3600.0}


def test_a_body_that_was_not_weighed_is_added_by_the_lever_rule():
    """80 kg a quarter of the wheelbase behind the front axle."""
    assert loads_of(WEIGHED, DRIVER)[2] == pytest.approx({"front": 2560.0, "rear": 3620.0})


def test_a_mass_of_ones_own_stands_on_the_axles_too():
    """100 kg at the rear end, 2 m behind the rear axle: half as much again there, half off the front."""
    assert loads_of(WEIGHED, BALLAST)[2] == pytest.approx({"front": 2450.0, "rear": 3750.0})


@pytest.mark.parametrize("more", ["", BALLAST, DRIVER])
def test_what_was_not_weighed_follows_from_the_masses(more):
    _, vehicle, loads = loads_of(LISTED, more)
    assert sum(loads.values()) == pytest.approx(vehicle.total_mass, rel=1e-9)
    if not more:
        assert loads["rear"] == pytest.approx(600 + 5200 * 2.3 / 4)


def test_every_limit_is_checked_before_and_after():
    case, _, before = loads_of(WEIGHED)
    checks = {c.name: c for c in rating_checks(case, before, {"front": 1800.0, "rear": 4600.0})}
    assert {n: (c.limit, c.met_before, c.met) for n, c in checks.items()} == {
        "front axle rating": (3000.0, True, True),
        "rear tyres, together": (4000.0, True, False),
        "gross weight rating": (6500.0, True, True),
        "share of the front axle": (0.3, True, False),
    }
    share = checks["share of the front axle"]
    assert (share.before, share.after) == pytest.approx((2500 / 6100, 1800 / 6400))


@pytest.mark.parametrize(("floor", "met"), [(False, [True, True, False]), (True, [False, True, True])])
def test_a_limit_that_is_just_met_is_met(floor, met):
    assert [RatingCheck("x", 10.0, 10.0, after, floor=floor).met for after in (9.9, 10.0, 10.1)] == met


def test_heaviest_weight_is_where_the_first_limit_is_met():
    case, vehicle, loads = loads_of(WEIGHED)
    share = load_change(matrices(vehicle), vehicle.points["rear end"].row, 1.0)
    assert share == pytest.approx([-0.5, 1.5])
    # gross: 400 kg left; tyres behind: 400 / 1.5; front share: (2500 - m / 2) = 0.3 (6100 + m)
    limits = [400.0, 400 / 1.5, (2500 - 0.3 * 6100) / 0.8]
    assert heaviest(case, loads, share, 5000.0) == pytest.approx(min(limits), rel=1e-6)
    assert heaviest(case, loads, share, 50.0) == 50.0
    assert heaviest(case, {"front": 3100.0, "rear": 3000.0}, np.array([0.5, 0.5]), 50.0) == pytest.approx(
        0, abs=1e-9
    )
