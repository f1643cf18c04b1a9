"""Which laws a case asks for, what they take the place of, and the rules for what nobody has measured."""

from dataclasses import replace
from pathlib import Path

import pytest

from counterbounce.model.case import load, parse
from counterbounce.model.example import small_case, small_truck
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.forces import DryFriction, Leaf, Stop
from counterbounce.model.laws import damper_laws, ground_loads, laws
from counterbounce.model.numbers import Known
from counterbounce.model.settle import settled
from counterbounce.sizing.absorber import tuned, with_damper

CASES = Path(__file__).parents[1] / "cases"
BOX_TRUCK = Path(__file__).parents[2] / "examples" / "engineer" / "box_truck.toml"
EVERY = '["leaf friction", "stops", "lift-off", "shocks"]'
GRAVITY = 9.80665


def asking(words, *changes):
    text = BOX_TRUCK.read_text(encoding="utf-8").replace("[vehicle]", f"[vehicle]\nlaws = {words}", 1)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    one = parse(text)
    vehicle = settled(one.plan, one.numbers)
    return one, {law.name: law for law in laws(one.plan, one.numbers, vehicle)}, vehicle


def test_a_case_that_asks_for_none_has_none():
    one = load(BOX_TRUCK)
    assert one.plan.laws == ()
    assert laws(one.plan, one.numbers, settled(one.plan, one.numbers)) == ()
    assert "axle.rear.friction" not in one.numbers.ledger


def test_each_law_takes_the_place_of_its_part_and_no_other():
    _, found, vehicle = asking(EVERY)
    places = {"leaf friction": "spring", "lift-off": "tyres", "shocks": "shock"}
    assert len(found) == 8
    for name, law in found.items():
        axle, _, kind = name.partition(" ")
        assert law.part == (f"{axle} {places[kind]}" if kind in places else "")
        rows = [p.row for p in vehicle.parts if p.name == (law.part or f"{axle} shock")]
        assert rows
        assert all(row == law.row for row in rows)


def test_for_small_shakes_each_law_is_worth_its_linear_part():
    """Only the shocks are worth less: their bushes give."""
    _, found, vehicle = asking(EVERY)
    for law in (law for law in found.values() if law.part and not law.name.endswith("shocks")):
        mine = [p for p in vehicle.parts if p.name == law.part]
        k, c = law.force.equivalent(1e-9, 60.0)
        assert k == pytest.approx(sum(p.value for p in mine if p.kind == "spring"))
        assert c == pytest.approx(sum(p.value for p in mine if p.kind == "damper"), abs=1e-3)


def test_travel_follows_from_both_rates_and_friction():
    given = 'spring_rate = "520 kN/m ± 15 % (measured: push test at 3 mm)"'
    more = f'{given}\nstatic_spring_rate = "320 kN/m"\nfriction = "4 kN (measured: on a press)"'
    one, found, _ = asking('["leaf friction"]', (given, more))
    assert found["rear leaf friction"].force == Leaf(4000.0, pytest.approx(0.02), 320e3)
    assert one.numbers.ledger["axle.rear.friction"].origin == "measured"


def test_what_is_not_given_is_assumed_and_says_so():
    one, found, _ = asking(EVERY)
    numbers = one.numbers
    weight = numbers["axle.rear.sprung_load"] * GRAVITY
    assert found["rear leaf friction"].force.friction == pytest.approx(0.1 * weight)
    assert found["rear stops"].force == Stop(0.09, 0.07, 3 * 520e3)
    assert found["rear shocks"].force.compression == pytest.approx(0.6 * 9e3)
    assert found["rear shocks"].force.rebound == pytest.approx(1.4 * 9e3)
    for name in ("friction", "bump_travel", "rebound_travel", "stop_rate", "rebound_damping", "bush_rate"):
        known = numbers.ledger[f"axle.rear.{name}"]
        assert known.origin == "assumed"
        assert known.source.endswith("common practice, no source")
        assert known.half >= 0.3 * known.value


def test_one_way_of_a_shock_gives_the_other_by_their_mean():
    given = 'damping = "9 kN*s/m ± 25 % (estimated: shock chart)"'
    _, found, _ = asking('["shocks"]', (given, f'{given}\nrebound_damping = "14 kN*s/m"'))
    assert found["rear shocks"].force.compression == pytest.approx(4e3)
    both = 'compression_damping = "4 kN*s/m"\nrebound_damping = "12 kN*s/m"'
    one, found, _ = asking('["shocks"]', (given, both))
    assert found["rear shocks"].force.compression == pytest.approx(4e3)
    assert one.numbers["axle.rear.damping"] == pytest.approx(8e3)


def test_what_a_law_needs_and_no_rule_can_find_is_a_fault_of_the_file():
    """Three axles without loads: nothing says what each carries, and so what its leaves rub."""
    lines = (CASES / "bending_explicit.toml").read_text(encoding="utf-8").splitlines()
    text = "\n".join(line for line in lines if not line.startswith("load ="))
    whole = 'sprung_mass = "18 t"\ncentre_of_gravity = "3.4 m"\npitch_inertia = "90000 kg*m^2"'
    text = text.replace("[vehicle]", f"[vehicle]\n{whole}")
    parse(
        text.replace(
            'spring = "air"\nair = { pressure = "5 bar", volume = "50 L" }', 'spring_rate = "6 kN/cm"'
        )
    )
    leaf = 'spring = "leaf"\nspring_rate = "600 kN/m"'
    asked = text.replace("[vehicle]", '[vehicle]\nlaws = ["leaf friction"]').replace('spring = "air"', leaf)
    with pytest.raises(CounterbounceError) as caught:
        parse(asked.replace('air = { pressure = "5 bar", volume = "50 L" }', ""))
    (fault,) = caught.value.faults
    assert fault.key == "axle.rear 1.load"
    assert fault.wanted.startswith("needed to estimate axle.rear 1.friction")


def test_a_leaf_no_stiffer_for_small_shakes_is_refused():
    one = small_case()
    leaves = replace(
        one.plan, laws=("leaf friction",), axles=tuple(replace(a, springing="leaf") for a in one.plan.axles)
    )
    numbers = one.numbers.with_given({"axle.front.static_spring_rate": Known(4e5, 0.0, "measured")})
    with pytest.raises(CounterbounceError, match=r"static_spring_rate.*less than the rate for small shakes"):
        laws(leaves, numbers, small_truck())


def test_an_axle_of_another_spring_has_no_leaf_friction_and_one_without_tyres_no_lift_off(fleet):
    one = small_case()
    assert laws(replace(one.plan, laws=("leaf friction",)), one.numbers, small_truck()) == ()
    massless = fleet("textbook half")
    assert laws(replace(massless.plan, laws=("lift-off",)), massless.numbers, massless.vehicle) == ()


def test_loads_at_rest_are_the_weight_of_the_vehicle(built):
    loads = ground_loads(built.vehicle)
    ground = sum(p.kind == "spring" and p.name in built.grounded for p in built.vehicle.parts)
    if not ground:
        assert sum(loads.values()) == pytest.approx(built.vehicle.total_mass * GRAVITY, rel=1e-9)


def test_the_load_that_lifts_off_is_the_weighed_one():
    _, found, _ = asking('["lift-off"]')
    loads = {"front": 2750.0, "rear": 3320.0}
    for axle, weighed in loads.items():
        assert found[f"{axle} lift-off"].force.static_load == pytest.approx(weighed * GRAVITY, rel=0.12)
    total = sum(found[f"{axle} lift-off"].force.static_load for axle in loads)
    assert total == pytest.approx(sum(loads.values()) * GRAVITY, rel=3e-3)


def test_a_dampers_guides_and_stops_hang_on_its_spring():
    hung = with_damper(small_truck(), tuned("rear end", "20 kg", "7 Hz", "8 %"))
    stick, stop = damper_laws(hung, 5.0, 0.012)
    place = small_truck().points["rear end"].row
    assert stick.row == stop.row == {"damper": 1.0, **{c: -share for c, share in place.items()}}
    assert stick.force == DryFriction(5.0, pytest.approx(1e5))
    assert stop.force.gap_up == stop.force.gap_down == 0.012
    assert (stick.part, stop.part) == ("", "")
    assert damper_laws(hung) == ()
    with pytest.raises(ValueError, match="no damper"):
        damper_laws(small_truck(), 5.0)


def test_a_dampers_friction_comes_from_the_case():
    text = BOX_TRUCK.read_text(encoding="utf-8").replace("[limits]", '[limits]\nfriction = "6 N"')
    assert parse(text).limits.friction == 6.0
    assert load(BOX_TRUCK).limits.friction is None
