"""Loads on the ground, and every limit that a case states."""

import numpy as np
import pytest

from counterbounce.model.case import parse
from counterbounce.model.matrices import matrices
from counterbounce.model.settle import settled
from counterbounce.model.units import Display
from counterbounce.sizing.ratings import (
    RatingCheck,
    above_ground,
    axle_loads,
    heaviest,
    load_change,
    rating_checks,
    tyre_capacity,
)
from counterbounce.sizing.reasons import check_texts

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
{limits}
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
    case = parse(TRUCK.format(**{"limits": "", **facts, "more": more}))
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


# --- tyres at their pressure --------------------------------------------------------------------------------


def tyres_of(rear):
    case, _, loads = loads_of({**WEIGHED, "rear": f"{WEIGHED['rear']}\n{rear}"})
    (check,) = [c for c in rating_checks(case, loads, loads) if "rear tyres" in c.name]
    return check


def test_a_tyre_carries_less_at_less_than_its_rated_pressure():
    """1000 kg each at 8 bar, at 6 bar three quarters of it to the power of 0.8."""
    check = tyres_of('rated_pressure = "8 bar"\npressure = "6 bar"')
    assert check.name == "rear tyres at their pressure, together"
    assert check.limit == pytest.approx(4000 * 0.75**0.8)
    assert (check.met, check.before) == (False, 3600.0)


@pytest.mark.parametrize("pressures", ["", 'rated_pressure = "8 bar"', 'pressure = "6 bar"'])
def test_a_rating_holds_as_it_stands_where_a_pressure_is_not_known(pressures):
    assert (tyres_of(pressures).name, tyres_of(pressures).limit) == ("rear tyres, together", 4000.0)


def test_more_than_the_rated_pressure_carries_no_more():
    assert tyres_of('rated_pressure = "6 bar"\npressure = "7 bar"').limit == 4000.0
    assert tyre_capacity(1000.0, 7e5, 6e5) == 1000.0


def test_a_dual_pair_has_a_rating_of_its_own():
    assert tyres_of('dual_rating = "900 kg"').limit == 3600.0


# --- height of the centre of gravity ------------------------------------------------------------------------

TALL = {
    **WEIGHED,
    "vehicle": 'centre_of_gravity_height = "1.2 m"',
    "limits": 'centre_of_gravity_height = "1.25 m"',
}
RACK = '[[point]]\nname = "rack"\nstation = "5 m"\nabove_ground = "2.4 m"'
TANK = '[[body]]\nname = "tank"\nmass = "300 kg"\nstation = "2 m"\nincluded = false\nabove_ground = "2 m"'


def heights_of(more, added, place):
    case, _, before = loads_of(TALL, more)
    after = {name: load + added / 2 for name, load in before.items()}
    (check,) = [c for c in rating_checks(case, before, after, place) if "height" in c.name]
    return check


def test_a_weight_moves_the_centre_of_gravity_towards_itself():
    """100 kg 2.4 m up on 6100 kg that have theirs at 1.2 m; on the frame, 0.8 m up, it comes down instead."""
    high, low = heights_of(RACK, 100.0, "rack"), heights_of(RACK, 100.0, "rear end")
    assert (high.limit, high.unit, high.before) == (1.25, "m", pytest.approx(1.2))
    assert high.after == pytest.approx((6100 * 1.2 + 100 * 2.4) / 6200)
    assert low.after == pytest.approx((6100 * 1.2 + 100 * 0.8) / 6200)


def test_a_body_that_was_not_weighed_moves_it_before():
    check = heights_of(TANK, 0.0, "")
    assert check.before == check.after == pytest.approx((6100 * 1.2 + 300 * 2.0) / 6400)
    assert check.met
    assert not heights_of(TANK.replace('above_ground = "2 m"', 'above_ground = "2.6 m"'), 0.0, "").met


def test_a_height_is_told_in_metres():
    check = heights_of(RACK, 100.0, "rack")
    assert check_texts(check, check.after, Display()) == ("1.25 m", "1.22 m")


def test_the_limit_of_height_bounds_the_weight():
    """h = (6100 x 1.2 + m x 2.4) / (6100 + m) reaches 1.25 m at m = 6100 x 0.05 / 1.15."""
    case, _, loads = loads_of(TALL, RACK)
    shares = np.array([0.5, 0.5])
    assert heaviest(case, loads, shares, 300.0, "rack") == pytest.approx(6100 * 0.05 / 1.15, rel=1e-6)
    assert heaviest(case, loads, shares, 300.0, "rear end") == 300.0


def test_a_thing_is_as_high_as_what_it_is_on():
    chain = TANK + '\n[[point]]\nname = "lid"\non = "tank"\nstation = "2 m"\n' + BALLAST
    case = loads_of(TALL, chain)[0]
    heights = {
        name: above_ground(case, name) for name in ("lid", "tank", "rear end", "mass.ballast", "axle.rear")
    }
    assert heights == {"lid": 2.0, "tank": 2.0, "rear end": 0.8, "mass.ballast": 0.8, "axle.rear": 0.4}
    tyred = loads_of({**TALL, "front": WEIGHED["front"] + '\ntyre = "225/70R19.5"'})[0]
    assert above_ground(tyred, "rear end") == pytest.approx(0.810, abs=0.001)
    assert above_ground(tyred, "axle.front") == pytest.approx(0.405, abs=0.001)
