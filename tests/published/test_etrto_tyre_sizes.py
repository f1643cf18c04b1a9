"""Tyre sizes, rolling circumference and wheel orders against the trade's standards.

ETRTO Standards Manual and TRA Year Book: the arithmetic of the size markings (seen in public copies of the
rule); the factor 3.05 of the rolling circumference and the makers' revolutions a mile are from memory.
"""

import math

import pytest

from counterbounce.model import tyres

MPH = 0.44704

DIAMETERS = {  # nominal, in mm to one decimal: rim x 25.4 + 2 x width x aspect / 100
    "LT245/75R16": 773.9,
    "LT235/85R16": 805.9,
    "LT265/70R17": 802.8,
    "LT275/70R18": 842.2,
    "LT275/65R20": 865.5,
    "225/70R19.5": 810.3,
    "245/70R19.5": 838.3,
    "295/75R22.5": 1014.0,
    "275/80R22.5": 1011.5,
    "315/80R22.5": 1075.5,
    "295/80R22.5": 1043.5,
    "385/65R22.5": 1072.0,
    "255/70R22.5": 928.5,
}

CIRCUMFERENCES = {  # 3.05 x diameter, whole mm (factor from memory)
    "315/80R22.5": 3280,
    "295/80R22.5": 3183,
    "385/65R22.5": 3270,
    "LT245/75R16": 2360,
    "225/70R19.5": 2471,
    "295/75R22.5": 3093,
}

TURNS_A_MILE = {  # 63 360 in over the rolling circumference
    "LT245/75R16": 681.8,
    "225/70R19.5": 651.2,
    "295/75R22.5": 520.4,
    "315/80R22.5": 490.6,
    "245/70R19.5": 629.4,
}

ORDER_ONE_SPEEDS = [  # size, Hz, mph
    ("LT275/70R18", 7, 40.22),
    ("LT275/70R18", 11, 63.21),
    ("225/70R19.5", 2, 11.06),
    ("225/70R19.5", 7, 38.70),
    ("225/70R19.5", 11, 60.81),
    ("295/75R22.5", 2, 13.84),
    ("295/75R22.5", 7, 48.43),
    ("295/75R22.5", 11, 76.10),
]

TABLE_DIAMETERS = {  # mm in the tables of TRA and ETRTO, from memory; these sizes do not state their aspect
    "9R22.5": 970,
    "10R22.5": 1019,
    "11R22.5": 1054,
    "12R22.5": 1085,
    "7.50R16": 802,
    "8.25R20": 962,
    "9.00R20": 1018,
    "10.00R20": 1054,
    "11.00R20": 1085,
    "12.00R20": 1122,
    "9.00-20": 1018,
    "185R14C": 650,
}


def circumference(size):
    return tyres.rolling_circumference(tyres.parse_size(size).diameter)


@pytest.mark.parametrize(("size", "millimetres"), DIAMETERS.items())
def test_nominal_outside_diameter(size, millimetres):
    # half of the last printed digit
    assert tyres.parse_size(size).diameter * 1000 == pytest.approx(millimetres, abs=0.0501)


@pytest.mark.parametrize(
    ("size", "inches"), [("LT245/75R16", 30.47), ("LT275/70R18", 33.16), ("295/75R22.5", 39.92)]
)
def test_nominal_outside_diameter_in_inches(size, inches):
    assert tyres.parse_size(size).diameter / tyres.INCH == pytest.approx(inches, abs=0.00501)


@pytest.mark.parametrize(("size", "millimetres"), CIRCUMFERENCES.items())
def test_rolling_circumference_is_3_05_diameters(size, millimetres):
    assert circumference(size) * 1000 == pytest.approx(millimetres, abs=0.6)


@pytest.mark.parametrize(("size", "turns"), TURNS_A_MILE.items())
def test_revolutions_per_mile(size, turns):
    assert tyres.revolutions_per_mile(circumference(size)) == pytest.approx(turns, abs=0.051)
    assert tyres.revolutions_per_kilometre(circumference(size)) == pytest.approx(turns / 1.609344, abs=0.05)


def test_revolutions_per_mile_agree_with_the_makers_tables():
    """Makers print 518 to 521 for 295/75R22.5 (from memory): pi times the diameter is 2.6 % off."""
    maker = 519.5
    assert tyres.revolutions_per_mile(circumference("295/75R22.5")) == pytest.approx(maker, rel=0.01)
    by_pi = tyres.MILE / (math.pi * tyres.parse_size("295/75R22.5").diameter)
    assert by_pi != pytest.approx(maker, rel=0.02)


@pytest.mark.parametrize(("size", "frequency", "mph"), ORDER_ONE_SPEEDS)
def test_speed_of_wheel_orders_one_and_two(size, frequency, mph):
    speed = tyres.order_speed(frequency, circumference(size), 1)
    assert speed / MPH == pytest.approx(mph, abs=0.00501)
    assert tyres.order_speed(frequency, circumference(size), 2) == pytest.approx(speed / 2, rel=1e-12)


@pytest.mark.parametrize(("size", "millimetres"), TABLE_DIAMETERS.items())
def test_sizes_without_an_aspect_come_within_three_per_cent_of_the_tables(size, millimetres):
    found = tyres.parse_size(size)
    assert not found.aspect_given
    assert found.diameter * 1000 == pytest.approx(millimetres, rel=0.03)


def test_a_light_truck_tyre_turns_eight_times_a_second_at_45_to_48_mph():
    """Common practice, no source: a tyre of 0.83 m, about eight turns a second at 45 to 48 mph."""
    speed = tyres.order_speed(8.0, tyres.rolling_circumference(0.83), 1) / MPH
    assert 45 <= speed <= 48
