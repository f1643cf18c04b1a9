"""Fancher, Ervin, Winkler, Gillespie 1986, A Factbook of the mechanical properties of the components for
single-unit and articulated heavy trucks, UMTRI-86-12, DOT HS 807 125.

The numbers are from memory; they are ranges that the estimates have to come into, not digits to be met.
"""

import pytest

from counterbounce.model.estimates import RULES
from counterbounce.model.numbers import Known, Numbers
from counterbounce.model.tyres import parse_size

POUND = 0.45359237
POUND_INCH = 175.1268
PSI = 6894.757


def axle(load_lb, tyres, driven):
    tyre = parse_size("11R22.5")
    given = {
        "load": load_lb * POUND,
        "tyres": tyres,
        "driven": driven,
        "is_leaf": 1.0,
        "pressure": 100 * PSI,
        "tyre_width": tyre.width,
        "tyre_aspect": tyre.aspect,
        "rim_diameter": tyre.rim,
        "tyre_diameter": tyre.diameter,
    }
    return Numbers(
        {f"axle.only.{key}": Known(value, 0.0, "published") for key, value in given.items()}, RULES
    )


@pytest.mark.parametrize(
    ("load", "tyres", "driven", "low", "high"),
    [(12_000, 2, 0.0, 1000, 1400), (19_000, 4, 1.0, 2100, 2700), (17_000, 4, 0.0, 1300, 1700)],
    ids=["steer, about 1200 lb", "drive, 2300 to 2500 lb", "trailer, about 1500 lb"],
)
def test_unsprung_mass(load, tyres, driven, low, high):
    assert low < axle(load, tyres, driven)["axle.only.unsprung_mass"] / POUND < high


@pytest.mark.parametrize(("load", "tyres"), [(12_000, 2), (19_000, 4)])
def test_tyre_rate_of_a_radial(load, tyres):
    """4500 to 5500 lbf/in each."""
    each = axle(load, tyres, 0.0)["axle.only.tyre_rate"] / tyres
    assert 4500 < each / POUND_INCH < 5500


@pytest.mark.parametrize(("load", "tyres"), [(12_000, 2), (19_000, 4)])
def test_leaf_springs_for_small_shakes(load, tyres):
    """1000 to 10 000 lbf/in a side, the stiff end of it for strokes inside the friction loop."""
    side = axle(load, tyres, 0.0)["axle.only.spring_rate"] / 2
    assert 1000 < side / POUND_INCH < 10_000
