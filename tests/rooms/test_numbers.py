"""Given numbers, rules for the rest, and many plausible vehicles at once."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.numbers import NORMAL_95, Known, Missing, Numbers, Rule

GIVEN = {
    "axle.front.load": Known(1000.0, 100.0, "measured", "scale", unit="kg"),
    "axle.rear 2.load": Known(2000.0, 0.0, "published"),
    "axle.front.station": Known(1.0, 0.02, "assumed", law="shift"),
}
RULES = {
    "axle.*.rate": Rule(lambda n, name: 10 * n[f"axle.{name}.load"], 0.5, "a rule"),
    "axle.*.damping": Rule(lambda n, name: n[f"axle.{name}.rate"] / 100, 0.0, "another", "assumed"),
    "vehicle.mass": Rule(
        lambda n, between: n["axle.front.load"] + n["axle.rear 2.load"] + len(between), 0.0, "sum"
    ),
    "axle.front.damping": Rule(lambda n, _: 7.0, 0.0, "the front's own"),
    "ring.a": Rule(lambda n, _: n["ring.b"], 0.0, "round"),
    "ring.b": Rule(lambda n, _: n["ring.a"], 0.0, "and round"),
}


def numbers() -> Numbers:
    return Numbers(GIVEN, RULES)


def test_given_numbers_are_themselves_and_others_come_from_rules():
    assert numbers()["axle.front.load"] == 1000.0
    assert numbers()["axle.rear 2.rate"] == 20_000.0
    assert isinstance(numbers()["axle.rear 2.rate"], float)


def test_a_path_of_its_own_goes_before_a_pattern():
    assert numbers()["axle.front.damping"] == 7.0
    assert numbers()["axle.rear 2.damping"] == 200.0


def test_the_longest_pattern_goes_first():
    rules = {"axle.*.rate": Rule(lambda n, _: 1.0, 0, ""), "axle.*.tyre.rate": Rule(lambda n, _: 2.0, 0, "")}
    for order in (rules, dict(reversed(rules.items()))):
        assert Numbers({}, order)["axle.rear.tyre.rate"] == 2.0


def test_a_pattern_needs_something_between():
    assert not numbers().has("axle..rate")
    assert not numbers().has("axle.rate")


def test_what_is_given_goes_before_a_rule():
    assert numbers().with_given({"axle.front.rate": Known(5.0, 0.0, "measured")})["axle.front.rate"] == 5.0


def test_the_ledger_is_in_order_of_asking_with_origins():
    asked = numbers()
    asked["axle.front.rate"]
    asked["vehicle.mass"]
    asked["axle.front.rate"]
    assert list(asked.ledger) == ["axle.front.rate", "axle.front.load", "vehicle.mass", "axle.rear 2.load"]
    assert asked.ledger["axle.front.rate"] == Known(10_000.0, 5_000.0, "estimated", "a rule")
    assert asked.known("axle.front.load") is GIVEN["axle.front.load"]
    assert asked.known("axle.rear 2.damping").origin == "assumed"


def test_what_is_missing_says_what_would_have_to_be_given_and_what_asked():
    with pytest.raises(Missing) as caught:
        numbers()["axle.mid.damping"]
    assert caught.value.path == "axle.mid.load"
    assert "axle.mid.rate" in caught.value.because
    with pytest.raises(Missing) as caught:
        numbers()["nowhere"]
    assert caught.value.path == "nowhere"


def test_a_number_that_was_missing_leaves_no_trace():
    asked = numbers()
    assert asked.optional("axle.mid.damping") is None
    assert list(asked.ledger) == []
    assert asked.has("axle.mid.damping")
    assert asked["axle.front.load"] == 1000.0


def test_a_circle_of_estimates_is_named():
    with pytest.raises(Missing, match=r"ring\.a needs ring\.b needs ring\.a"):
        numbers()["ring.a"]


def test_scores_move_a_number_by_its_law():
    factor, shift = GIVEN["axle.front.load"], GIVEN["axle.front.station"]
    assert factor.at(NORMAL_95) == pytest.approx(1100.0)
    assert factor.at(-NORMAL_95) == pytest.approx(1000.0 / 1.1)
    assert shift.at(NORMAL_95) == pytest.approx(1.02)
    assert shift.at(-NORMAL_95) == pytest.approx(0.98)
    assert Known(0.0, 0.0, "assumed").at(3.0) == 0.0
    assert Known(-2.0, 0.2, "assumed").at(NORMAL_95) == pytest.approx(-2.2)


def test_estimates_follow_what_they_are_estimated_from_and_scatter_themselves():
    moved = numbers().with_scores({"axle.front.load": NORMAL_95})
    assert moved["axle.front.rate"] == pytest.approx(11_000.0)
    both = numbers().with_scores({"axle.front.load": NORMAL_95, "axle.front.rate": NORMAL_95})
    assert both["axle.front.rate"] == pytest.approx(11_000.0 * 1.5)
    assert both["vehicle.mass"] == pytest.approx(3100.0)


def test_many_vehicles_at_once_have_the_spread_that_was_said():
    asked = numbers()
    asked["axle.front.rate"]
    asked["axle.rear 2.load"]
    assert asked.uncertain() == ("axle.front.rate", "axle.front.load")
    random = np.random.default_rng(1)
    count = 200_000
    many = asked.plausible(lambda i: random.standard_normal(count))
    load = many["axle.front.load"]
    assert load.shape == (count,)
    low, middle, high = np.quantile(load, [0.025, 0.5, 0.975])
    # the quantile of 200,000 draws is good to 0.5 % of the spread of 10 %
    assert [low, middle, high] == pytest.approx([1000 / 1.1, 1000, 1100], rel=2e-3)
    # rate and load are both lognormal: their spreads add as squares of logarithms
    width = np.hypot(np.log(1.1), np.log(1.5))
    assert np.quantile(many["axle.front.rate"], 0.975) == pytest.approx(10_000 * np.exp(width), rel=5e-3)
    assert many["axle.rear 2.load"] == 2000.0


def test_another_vehicle_has_a_ledger_of_its_own():
    asked = numbers()
    asked["vehicle.mass"]
    assert asked.with_scores({}).ledger == {}
    assert asked.with_given({}).ledger == {}
