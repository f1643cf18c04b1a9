import numpy as np
import pytest

from counterbounce.model.numbers import Missing


def test_unsprung_mass_without_a_size_is_a_share_of_the_load(flatbed, resolve, without):
    numbers = resolve(without(flatbed, "tyre_diameter"))
    assert numbers["axle.front.unsprung_mass"] == pytest.approx(0.11 * 1750)
    assert numbers["axle.rear.unsprung_mass"] == pytest.approx(0.15 * 2300)


def test_unsprung_mass_without_size_or_load_is_a_share_of_what_the_springs_carry(resolve, known):
    given = {"axle.only.tyres": known(2), "vehicle.sprung_mass": known(800)}
    assert resolve(given)["axle.only.unsprung_mass"] == pytest.approx(0.11 * 900)


def test_an_independent_axle_is_lighter_than_a_beam_or_an_unknown_one(flatbed, resolve):
    unknown, solid = resolve(flatbed), resolve(flatbed, axle__front__is_solid=1)
    independent = resolve(flatbed, axle__front__is_solid=0)
    wheels = 260 * 2 * 0.7739**2 * 0.245
    assert solid["axle.front.unsprung_mass"] == unknown["axle.front.unsprung_mass"]
    saved = solid["axle.front.unsprung_mass"] - independent["axle.front.unsprung_mass"]
    assert saved == pytest.approx(0.3 * (solid["axle.front.unsprung_mass"] - wheels), rel=1e-3)


def test_an_unladen_axle_keeps_something_on_its_springs(flatbed, resolve, known):
    numbers = resolve({**flatbed, "axle.rear.load": known(700)})
    assert numbers["axle.rear.sprung_load"] == pytest.approx(0.65 * 700)


def test_a_massless_axle_carries_its_whole_load_on_its_springs(flatbed, resolve):
    numbers = resolve(flatbed, axle__rear__massless=1.0)
    assert numbers["axle.rear.sprung_load"] == pytest.approx(2300)


def test_leaves_are_stiffer_for_small_shakes_than_as_load_tested(flatbed, resolve, without):
    numbers = resolve(flatbed, axle__rear__static_spring_rate=200e3)
    assert numbers["axle.rear.spring_rate"] == pytest.approx(400e3)
    coil = resolve(without(flatbed, "is_leaf"), axle__rear__is_coil=1, axle__rear__static_spring_rate=200e3)
    assert coil["axle.rear.spring_rate"] == pytest.approx(200e3)


def test_air_springs_by_pressure_and_volume(box, resolve, without):
    """Doubling the volume halves the rate; the rate by differentiating p V^1.3 at constant area."""
    air = {"axle__rear__air__pressure": 4.5e5, "axle__rear__is_air": 1.0}
    given = without(box, "rear.is_leaf")
    numbers = resolve(given, axle__rear__air__volume=0.03, **air)
    weight = numbers["axle.rear.sprung_load"] * 9.80665
    area, absolute = weight / 4.5e5, 4.5e5 + 101_325

    def force(x):
        return (absolute * (0.03 / (0.03 - area * x)) ** 1.3 - 101_325) * area

    slope = (force(1e-6) - force(-1e-6)) / 2e-6
    assert numbers["axle.rear.spring_rate"] == pytest.approx(slope, rel=1e-6)
    double = resolve(given, axle__rear__air__volume=0.06, **air)
    assert double["axle.rear.spring_rate"] == pytest.approx(slope / 2, rel=1e-6)


@pytest.mark.parametrize(
    ("kind", "hertz"), [("is_leaf", 1.66), ("is_coil", 1.44), ("is_air", 1.38), ("", 1.88)]
)
def test_static_rate_by_the_kind_of_spring(kind, hertz, box, resolve, without, known):
    """Body on its springs, as load-tested.  Common practice, no source."""
    numbers = resolve({**without(box, "is_leaf"), **({f"axle.rear.{kind}": known(1)} if kind else {})})
    rate = numbers["axle.rear.static_spring_rate"]
    assert np.sqrt(rate / numbers["axle.rear.sprung_load"]) / (2 * np.pi) == pytest.approx(hertz, abs=0.01)


@pytest.mark.parametrize("kind", ["is_leaf", "is_coil"])
def test_damping_is_a_fifth_of_critical_for_the_springs_as_they_ride(kind, box, resolve, without, known):
    numbers = resolve(
        {**without(box, "is_leaf"), f"axle.rear.{kind}": known(1)}, axle__rear__static_spring_rate=300e3
    )
    critical = 2 * np.sqrt(300e3 * numbers["axle.rear.sprung_load"])
    assert numbers["axle.rear.damping"] / critical == pytest.approx(0.2)


def test_tyre_rate_of_an_axle_is_all_its_tyres_by_size_and_pressure(box, resolve):
    numbers = resolve(box)
    assert numbers["axle.rear.tyre_rate"] == pytest.approx(2 * numbers["axle.front.tyre_rate"])
    assert numbers["axle.front.tyre_rate"] / 2 == pytest.approx(594e3, rel=0.01)


def test_tyre_rate_without_a_pressure_is_load_over_deflection_and_less_sure(box, resolve, without):
    numbers = resolve(without(box, ".pressure"))
    assert numbers["axle.front.tyre_rate"] == pytest.approx(2600 * 9.80665 / 0.026)
    assert numbers.known("axle.front.tyre_deflection").half == pytest.approx(0.013)


def test_tyre_damping_gives_its_loss_factor_at_the_hop(box, resolve):
    numbers = resolve(box, axle__rear__tyre_loss_factor=0.1)
    tyre, spring = numbers["axle.rear.tyre_rate"], numbers["axle.rear.spring_rate"]
    hop = np.sqrt((tyre + spring) / numbers["axle.rear.unsprung_mass"])
    assert numbers["axle.rear.tyre_damping"] * hop / tyre == pytest.approx(0.1)


def test_circumference_needs_a_size(box, resolve, without):
    assert resolve(box)["axle.rear.circumference"] == pytest.approx(2.471, abs=0.001)
    with pytest.raises(Missing) as missing:
        resolve(without(box, "tyre_diameter"))["axle.rear.circumference"]
    assert missing.value.path == "axle.rear.tyre_diameter"


def test_contact_length_falls_back_on_less(box, resolve, without):
    assert resolve(box)["axle.front.contact_length"] == pytest.approx(0.137, abs=0.001)
    assert resolve(without(box, ".pressure"))["axle.front.contact_length"] == pytest.approx(0.162, abs=0.001)
    assert resolve(without(box, "tyre_diameter"))["axle.front.contact_length"] == 0.18
