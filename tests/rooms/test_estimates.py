import numpy as np
import pytest

from counterbounce.model import estimates
from counterbounce.model.axle_estimates import AXLE_RULES, axle_names
from counterbounce.model.law_estimates import LAW_RULES
from counterbounce.model.numbers import Missing

ASKED = (
    *(f"vehicle.{q}" for q in ("sprung_mass", "centre_of_gravity", "pitch_inertia")),
    *(f"frame.{q}" for q in ("front_end", "rear_end", "bending_stiffness", "loss_factor")),
    *(
        f"axle.{name}.{q}"
        for name in ("front", "rear")
        for q in (
            "station",
            "load",
            "unsprung_mass",
            "spring_rate",
            "damping",
            "tyre_rate",
            "tyre_damping",
            "circumference",
            "contact_length",
        )
    ),
)


# --- every vehicle ------------------------------------------------------------------------------------------


def test_a_placard_answers_all_that_a_vehicle_needs(given, resolve):
    numbers = resolve(given)
    for path in ASKED:
        assert np.isfinite(numbers[path]), path
        assert numbers.known(path).source or path in given


def test_one_vehicle_and_many_are_the_same_arithmetic(given, resolve):
    """Column i of an array is the vehicle with the i-th score, whichever way it is asked."""
    numbers = resolve(given)
    for path in ASKED:
        numbers[path]
    scores = np.random.default_rng(1).standard_normal((len(numbers.uncertain()), 5))
    many = numbers.plausible(lambda i: scores[i])
    for vehicle in range(5):
        one = numbers.plausible(lambda i, column=vehicle: float(scores[i, column]))
        for path in ASKED:
            assert np.broadcast_to(many[path], 5)[vehicle] == pytest.approx(one[path], rel=1e-12), path


def test_body_and_hop_come_where_trucks_have_them(given, resolve):
    """Body 1.5 to 3 Hz, hop 8 to 15 Hz: Gillespie, SAE 850001, and UMTRI-86-12 (from memory)."""
    numbers = resolve(given)
    for name in ("front", "rear"):
        spring, tyre = numbers[f"axle.{name}.spring_rate"], numbers[f"axle.{name}.tyre_rate"]
        ride = np.sqrt(spring * tyre / (spring + tyre) / numbers[f"axle.{name}.sprung_load"]) / (2 * np.pi)
        hop = np.sqrt((spring + tyre) / numbers[f"axle.{name}.unsprung_mass"]) / (2 * np.pi)
        assert 1.5 < ride < 3
        assert 8 < hop < 15


def test_springs_carry_what_the_axles_weigh(given, resolve):
    numbers = resolve(given)
    loads = [numbers[f"axle.{n}.load"] - numbers[f"axle.{n}.unsprung_mass"] for n in ("front", "rear")]
    assert numbers["vehicle.sprung_mass"] == pytest.approx(sum(loads))
    moment = numbers["vehicle.centre_of_gravity"] * numbers["vehicle.sprung_mass"]
    assert moment == pytest.approx(loads[1] * numbers["vehicle.wheelbase"])


@pytest.mark.parametrize("overhang", [0.3, 1.5, 3.5])
@pytest.mark.parametrize("scatter", [-2.0, 0.0, 2.0])
def test_an_estimated_pitch_inertia_leaves_a_mass_along_the_frame_everywhere(
    given, overhang, scatter, resolve
):
    """The quadratic density of that mass, centre and inertia, by solving for its moments, is positive."""
    numbers = resolve(given, frame__rear_overhang=overhang, frame__front_overhang=0.3 + overhang / 2)
    numbers = numbers.with_scores({"vehicle.radius_of_gyration": scatter})
    front, rear = numbers["frame.front_end"], numbers["frame.rear_end"]
    mass, centre = numbers["vehicle.sprung_mass"], numbers["vehicle.centre_of_gravity"]
    second = numbers["vehicle.pitch_inertia"] + mass * centre**2
    powers = np.arange(5)
    moments = (rear ** (powers + 1) - front ** (powers + 1)) / (powers + 1)
    hankel = np.array([[moments[i + j] for j in range(3)] for i in range(3)])
    density = np.polynomial.Polynomial(np.linalg.solve(hankel, [mass, mass * centre, second]))
    assert density(np.linspace(front, rear, 401)).min() > 0


# --- vehicle ------------------------------------------------------------------------------------------------


def test_axles_are_named_in_the_order_of_the_file(resolve, known):
    given = {"axle.rear 2.load": known(1), "vehicle.wheelbase": known(1), "axle.a.b.tyres": known(2)}
    assert axle_names(resolve(given)) == ("rear 2", "a.b")


def test_only_the_ends_of_the_wheelbase_have_a_station_by_rule(flatbed, resolve, known):
    three = {**flatbed, "axle.tag.load": known(900), "axle.tag.tyres": known(2)}
    assert resolve(three)["axle.front.station"] == 0.0
    assert resolve(three)["axle.tag.station"] == 4.1
    with pytest.raises(Missing) as missing:
        resolve(three)["axle.rear.station"]
    assert missing.value.path == "axle.rear.station"


def test_a_load_is_never_estimated(flatbed, resolve, without):
    assert not any(path.endswith(".load") for path in estimates.RULES)
    with pytest.raises(Missing) as missing:
        resolve(without(flatbed, "rear.load"))["vehicle.sprung_mass"]
    assert missing.value.path == "axle.rear.load"


def test_without_loads_the_levers_share_the_sprung_mass(flatbed, resolve, without):
    numbers = resolve(without(flatbed, ".load"), vehicle__sprung_mass=3000, vehicle__centre_of_gravity=1.64)
    assert numbers["axle.front.sprung_load"] == pytest.approx(1800)
    assert numbers["axle.rear.sprung_load"] == pytest.approx(1200)
    for path in (p for p in ASKED if not p.endswith(".load")):
        assert np.isfinite(numbers[path]), path


def test_without_loads_and_centre_the_load_is_asked_for(flatbed, resolve, without):
    with pytest.raises(Missing) as missing:
        resolve(without(flatbed, ".load"), vehicle__sprung_mass=3000)["axle.rear.damping"]
    assert missing.value.path == "axle.rear.load"


def test_one_weighed_axle_leaves_the_rest_of_the_sprung_mass_to_the_other(flatbed, resolve, without):
    numbers = resolve(without(flatbed, "rear.load"), vehicle__sprung_mass=3000)
    both = numbers["axle.front.sprung_load"] + numbers["axle.rear.sprung_load"]
    assert both == pytest.approx(3000)
    assert numbers["axle.front.sprung_load"] == pytest.approx(1750 - numbers["axle.front.unsprung_mass"])


def test_one_axle_carries_all_of_the_sprung_mass(resolve, known):
    given = {"axle.only.tyres": known(2), "vehicle.sprung_mass": known(300)}
    assert resolve(given)["axle.only.sprung_load"] == 300.0


def test_pitch_inertia_from_what_is_given_has_no_scatter_of_its_own(flatbed, resolve):
    by_radius = resolve(flatbed, vehicle__radius_of_gyration=1.5)
    assert by_radius["vehicle.pitch_inertia"] == pytest.approx(by_radius["vehicle.sprung_mass"] * 2.25)
    by_index = resolve(flatbed, vehicle__dynamic_index=0.9)
    centre = by_index["vehicle.centre_of_gravity"]
    wanted = by_index["vehicle.sprung_mass"] * 0.9 * centre * (4.1 - centre)
    assert by_index["vehicle.pitch_inertia"] == pytest.approx(wanted)
    assert by_radius.known("vehicle.pitch_inertia").half == by_index.known("vehicle.pitch_inertia").half == 0


def test_assumed_frame_reaches_beyond_the_axles(flatbed, resolve):
    """A quarter of the wheelbase ahead, 0.4 of it behind.  Common practice, no source."""
    numbers = resolve(flatbed)
    assert numbers["frame.front_end"] == pytest.approx(-0.25 * 4.1)
    assert numbers["frame.rear_end"] == pytest.approx(1.4 * 4.1)
    assert resolve(flatbed, frame__rear_overhang=2)["frame.rear_end"] == pytest.approx(6.1)


def test_a_bolted_frame_loses_four_per_cent_give_or_take_a_factor_of_two(flatbed, resolve):
    loss = resolve(flatbed).known("frame.loss_factor")
    assert (loss.value, loss.half, loss.origin) == (0.04, 0.04, "assumed")


def test_assumed_frame_bends_where_it_was_assumed_to(flatbed, resolve):
    numbers = resolve(flatbed)
    length = numbers["frame.rear_end"] - numbers["frame.front_end"]
    line = numbers["vehicle.sprung_mass"] / length
    first = 4.73004**2 / (2 * np.pi * length**2) * np.sqrt(numbers["frame.bending_stiffness"] / line)
    assert first == pytest.approx(7.5, rel=1e-4)


def test_assumed_bending_stiffness_is_known_within_a_factor_of_1_8(flatbed, resolve, without):
    numbers = resolve(without(flatbed), frame__front_end=-1, frame__rear_end=5.5, vehicle__sprung_mass=3400)
    best = numbers["frame.bending_stiffness"]
    rng = np.random.default_rng(0)
    many = numbers.plausible(lambda i: rng.standard_normal(40_000))["frame.bending_stiffness"]
    low, high = np.quantile(many / best, [0.025, 0.975])
    assert high == pytest.approx(1.8, rel=0.03)
    assert low == pytest.approx(1 / 1.8, rel=0.03)


# --- the table itself ---------------------------------------------------------------------------------------


def test_every_rule_says_where_it_comes_from():
    for path, rule in estimates.RULES.items():
        assert len(rule.source) > 10, path
        assert path.count("*") <= 1
        assert rule.scatter >= 0
        if rule.origin == "assumed" and rule.scatter:
            assert "no source" in rule.source or "from memory" in rule.source, path
    assert {*AXLE_RULES, *LAW_RULES} == {path for path in estimates.RULES if path.startswith("axle.")}


def test_healthy_run_out_falls_with_the_order():
    amounts = [estimates.healthy_run_out(order) for order in range(1, 12)]
    assert amounts[:4] == [0.6e-3, 0.3e-3, 0.2e-3, 0.12e-3]
    assert np.diff(amounts).max() < 0
    with pytest.raises(ValueError, match="order"):
        estimates.healthy_run_out(0)
