"""A case and data in, the vehicle that agrees with them out, and how surely."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from counterbounce.model.calibrate import calibrate
from counterbounce.model.case import load, parse
from counterbounce.model.datum import Datum
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.felt import felt
from counterbounce.model.held_out import held_out
from counterbounce.model.matrices import matrices
from counterbounce.model.modes import modes
from counterbounce.model.numbers import NORMAL_95
from counterbounce.model.plausible import scored
from counterbounce.model.points import dense
from counterbounce.model.predicted import assurance, followed, locked, standing
from counterbounce.model.settle import settled

EXAMPLES = Path(__file__).parents[2] / "examples"
ONE_SPRING = """
name = "One spring"
exact = true
[vehicle]
sprung_mass = "400 kg"
[axle.wheel]
massless = true
spring_rate = "40 kN/m ± 20 %"
damping = "0 N*s/m"
[inputs]
wheel_orders = []
"""
EXACTLY: dict[str, float] = {}  # the model is taken as right
BENDING = "frame bending 1"


@pytest.fixture(scope="module")
def box_truck():
    return load(EXAMPLES / "engineer" / "box_truck.toml")


@pytest.fixture(scope="module")
def flatbed():
    return load(EXAMPLES / "technician" / "flatbed.toml")


def told_by(case, mode, scores=None, shape=()):
    """What would be measured without any error on a vehicle of a case: frequency and shape of a mode."""
    start = settled(case.plan, case.numbers)
    paths = case.numbers.uncertain()
    at = np.array([[(scores or {}).get(path, 0.0) for path in paths]])
    many = scored(case.plan, case.numbers, paths, at, start.frame.terms)
    found = modes(start)
    seen = followed(many.system, found.shapes[:, found.names.index(mode)])
    one = many.one(0)
    moves = {name: dense([one.points[name].row], one.coordinates)[0] @ seen.shape[0] for name in shape}
    return float(seen.frequency[0]), moves


# --- closed forms ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("off", [0.9, 1.0, 1.15])
@pytest.mark.parametrize("share", [1e-4, 0.02, 0.2])
def test_one_spring_moves_as_two_normal_scores_are_weighed(off, share):
    """ln f is half ln k: what was known of k, and what f says of it, are independent normal scores."""
    best = np.sqrt(40e3 / 400) / (2 * np.pi)
    datum = Datum("natural frequency", off * best, share * off * best)
    found = calibrate(parse(ONE_SPRING), [datum], EXACTLY)
    before, seen = np.log(1.2) / NORMAL_95, 2 * np.log1p(share) / NORMAL_95  # of ln k
    left = 1 / (1 / before**2 + 1 / seen**2)
    expected = left / seen**2 * 2 * np.log(off)
    moved = np.log(found.numbers["axle.wheel.spring_rate"] / 40e3)
    assert moved == pytest.approx(expected, abs=2e-4)  # the fit stops at a thousandth of a chi-square
    assert found.left[0] * before == pytest.approx(np.sqrt(left), rel=2e-3)
    strange = 2 * np.log(off) / np.hypot(before, seen)
    assert found.misfit == pytest.approx(strange**2, abs=2e-3)
    assert found.told[0].strange == pytest.approx(strange, abs=2e-3)


def test_an_exact_frequency_makes_that_spring():
    found = calibrate(parse(ONE_SPRING), [Datum("natural frequency", 1.7, 1e-6)], EXACTLY)
    assert found.numbers["axle.wheel.spring_rate"] == pytest.approx(400 * (2 * np.pi * 1.7) ** 2, rel=1e-6)


def test_two_measurements_of_one_thing_are_one_of_their_weighted_mean():
    best = np.sqrt(40e3 / 400) / (2 * np.pi)
    two = [Datum("natural frequency", best * f, 0.02 * best * f, mode=0) for f in (1.02, 1.06)]
    mean = best * np.sqrt(1.02 * 1.06)
    one = Datum("natural frequency", mean, np.expm1(np.log1p(0.02) / np.sqrt(2)) * mean, mode=0)
    both, single = (calibrate(parse(ONE_SPRING), data, EXACTLY) for data in (two, [one]))
    assert both.scores == pytest.approx(single.scores, abs=1e-3)
    assert both.left == pytest.approx(single.left, rel=1e-3)


def test_without_evidence_nothing_moves(box_truck):
    found = calibrate(box_truck, [])
    assert not found.scores.any()
    assert (found.covariance == np.eye(len(found.paths))).all()
    assert (found.moved, found.told, found.directions, found.agrees) == ({}, (), 0, True)


def test_what_agrees_already_moves_nothing_but_narrows(box_truck):
    frequency, _ = told_by(box_truck, BENDING)
    found = calibrate(box_truck, [Datum("natural frequency", frequency, 0.02 * frequency, mode=BENDING)])
    assert np.abs(found.scores).max() < 1e-6
    assert found.left[found.paths.index("frame.bending_stiffness")] < 0.8
    assert (found.left <= 1 + 1e-9).all()


# --- what is said of the result -------------------------------------------------------------------------


def test_an_inconsistent_weighing_is_named_as_the_stranger(box_truck):
    frequency, moves = told_by(box_truck, BENDING, shape=("front end", "driver's floor", "rear end"))
    good = [
        Datum("natural frequency", 1.005 * frequency, 0.01 * frequency, mode=BENDING),
        Datum("shape", 1.0, 0.1, mode=BENDING, shape=moves),
        Datum("axle load", 2755.0, 20.0, axle="front"),
    ]
    assert calibrate(box_truck, good).strangers == ()
    bad = [
        *good,
        Datum("axle load", 3800.0, 20.0, axle="rear"),
        Datum("axle load", 3325.0, 20.0, axle="rear"),
    ]
    found = calibrate(box_truck, bad)
    assert not found.agrees
    assert found.strangers == ("axle load of rear",)
    strange = {one.datum.value: abs(one.strange) for one in found.told}
    assert max(strange, key=lambda value: strange[value]) == 3800.0


def test_a_weighing_and_the_file_that_contradict_each_other_are_both_named(box_truck):
    found = calibrate(box_truck, [Datum("axle load", 3800.0, 20.0, axle="rear")])
    assert set(found.strangers) == {"axle load of rear", "axle.rear.load"}


def test_numbers_that_only_their_sum_is_known_of_cannot_be_told_apart():
    two = ONE_SPRING.replace('± 20 %"', '± 40 %"') + (
        '[[spring]]\nname = "helper"\nupper = "body"\nlower = "ground"\nrate = "40 kN/m ± 40 %"\n'
    )
    case = parse(two)
    found = calibrate(case, [Datum("natural frequency", np.sqrt(80e3 / 400) / (2 * np.pi), 1e-4)], EXACTLY)
    assert [set(pair[:2]) for pair in found.alike] == [{"axle.wheel.spring_rate", "spring.helper.rate"}]
    assert found.alike[0][2] < -0.99
    assert found.directions == 1


def test_a_complaint_that_two_modes_may_be_names_both_and_stays_wide(flatbed):
    found = calibrate(flatbed, felt(flatbed))
    assert "frame bending 1, met by wheel order 1" in found.words
    assert found.other is not None
    assert "frame bending 2" in found.other[0]
    bends = next(one for one in found.modes if one.name == BENDING)
    other = calibrate(flatbed, [Datum("critical speed", 21.2, 1.0, mode="frame bending 2")])
    low = next(one for one in other.modes if one.name == BENDING).after[0]
    assert bends.after[1] < low < bends.after[0] < bends.after[2]


def test_a_named_mode_is_told_more_surely_than_one_of_two(flatbed):
    either = calibrate(flatbed, felt(flatbed))
    named = calibrate(flatbed, [replace(one, mode=BENDING) for one in felt(flatbed)])
    which = [one.name for one in named.modes].index(BENDING)
    wide, narrow = (np.log(one.modes[which].after[2] / one.modes[which].after[0]) for one in (either, named))
    assert narrow < wide / 2
    assert named.modes[which].after[1] < named.modes[which].after[0] < named.modes[which].after[2]


def test_a_recording_kept_back_is_foretold(flatbed):
    """The first bending, measured, tells the second: both are of one frame."""
    stiffer = {"frame.first_bending": 1.2}
    first, second = (told_by(flatbed, mode, stiffer)[0] for mode in (BENDING, "frame bending 2"))
    found = calibrate(flatbed, [Datum("natural frequency", first, 0.01 * first, mode=BENDING)])
    kept = held_out(found, [Datum("natural frequency", second, 0.01 * second)])[0]
    assert (kept.mode, kept.inside) == ("frame bending 2", True)
    assert abs(kept.error) < 0.03 < abs(kept.before / second - 1)
    assert held_out(found, [Datum("natural frequency", 40.0, 0.1)]) == ()


# --- truths that break the model ------------------------------------------------------------------------


def test_a_shake_of_another_kind_is_no_false_confidence(box_truck):
    """A frame that twists: its middle hardly moves, and its ends do not follow the shape of bending."""
    frequency, _ = told_by(box_truck, BENDING)
    twists = [
        Datum("natural frequency", 0.97 * frequency, 0.01 * frequency, shake="twist"),
        Datum("effective mass", 3e5, 3e4, shake="twist", point="rear end"),
        Datum(
            "shape", 1.0, 0.1, shake="twist", shape={"front end": 1, "driver's floor": -1, "rear end": 0.2}
        ),
    ]
    assert not calibrate(box_truck, twists).agrees


def test_a_soft_bracket_under_the_sensor_is_a_stranger(box_truck):
    frequency, moves = told_by(box_truck, BENDING, shape=("front end", "rear end", "rear crossmember"))
    soft = {**moves, "rear crossmember": 3 * moves["rear crossmember"]}
    found = calibrate(
        box_truck,
        [
            Datum("natural frequency", frequency, 0.01 * frequency, mode=BENDING),
            Datum("shape", 1.0, 0.1, mode=BENDING, shape=soft),
        ],
    )
    assert "shape of frame bending 1" in found.strangers
    assert found.told[1].after < 0.9


def test_leaves_that_friction_locks_are_not_taken_for_a_frame(flatbed):
    """Rates four times those of the case move the axle hop out of what its numbers allow."""
    stiff = {"axle.rear.small_shake_factor": 5.8, "axle.rear.static_deflection": 0.0}
    hop, _ = told_by(flatbed, "rear axle hop", stiff)
    bends, _ = told_by(flatbed, BENDING, stiff)
    data = [
        Datum("natural frequency", hop, 0.01 * hop, mode="rear axle hop"),
        Datum("natural frequency", bends, 0.01 * bends, mode=BENDING),
    ]
    found = calibrate(flatbed, data)
    known = {one.name: one.after for one in found.modes}
    inside = [
        known[name][1] * 0.98 < f < known[name][2] * 1.02
        for name, f in (("rear axle hop", hop), (BENDING, bends))
    ]
    assert not found.agrees or all(inside)


# --- the parts ------------------------------------------------------------------------------------------


def test_a_followed_mode_is_the_one_that_modes_finds(fleet):
    for name in ("half", "bending"):
        truck = fleet(name).vehicle
        system, found = matrices(truck), modes(truck)
        many = replace(system, M=system.M[None], C=system.C[None], K=system.K[None])
        for mode in range(4):
            if found.damping_ratio[mode] < 0.9:
                seen = followed(many, found.shapes[:, mode])
                assert seen.frequency[0] == pytest.approx(found.frequency_hz[mode], rel=1e-6)
                assert seen.damping_ratio[0] == pytest.approx(found.damping_ratio[mode], rel=1e-5)


def test_leaves_are_stiffer_at_standstill(flatbed):
    start = settled(flatbed.plan, flatbed.numbers)
    many = scored(flatbed.plan, flatbed.numbers, (), np.zeros((1, 0)), start.frame.terms)
    stiffer = (standing(flatbed.plan, many, locked(0.0)).K - many.system.K)[0].diagonal()
    at = {name: stiffer[many.system.coordinates.index(f"axle.{name}")] for name in ("front", "rear")}
    assert at["rear"] > 1e5 > at["front"] == 0


def test_a_weight_tells_effective_mass(box_truck):
    """m_eff from the shift of a frequency (elementary) and the frequency ratio say the same."""
    start = settled(box_truck.plan, box_truck.numbers)
    found = modes(start)
    mode = found.names.index(BENDING)
    mass = float(found.effective_mass(start.points["rear end"].row)[mode])
    ratio = 1 / np.sqrt(1 + 10.0 / mass)
    told = [
        calibrate(box_truck, [datum])
        for datum in (
            Datum("effective mass", mass, 0.05 * mass, mode=BENDING, point="rear end"),
            Datum("frequency with a weight", ratio, 0.01, mode=BENDING, point="rear end", mass=10.0),
        )
    ]
    assert [abs(one.scores).max() < 0.05 for one in told] == [True, True]


def test_the_assurance_of_a_shape_does_not_depend_on_its_scale_or_phase():
    shape = {"a": 1.0 + 0j, "b": -0.4 + 0j, "c": 0.7 + 0j}
    turned = {name: 3 * one * np.exp(0.7j) for name, one in shape.items()}
    assert assurance(turned, [2.0, -0.8, 1.4]) == pytest.approx(1.0)
    assert assurance(turned, [1.0, 1.0, 1.0]) == pytest.approx(1.3**2 / (3 * 1.65))


@pytest.mark.parametrize(
    ("datum", "near"),
    [
        (Datum("natural frequency", 9.0, 0.1, mode="frame bnding 1"), BENDING),
        (Datum("effective mass", 900.0, 90.0, mode=BENDING, point="rear ent"), "rear end"),
        (Datum("axle load", 900.0, 90.0, axle="raer"), "rear"),
        (Datum("critical speed", 25.0, 1.0, cause="wheel order 1, rear axel"), "wheel order 1, rear axle"),
    ],
    ids=lambda one: one.what if isinstance(one, Datum) else "",
)
def test_what_is_not_there_is_a_fault_with_the_nearest_name(box_truck, datum, near):
    with pytest.raises(CounterbounceError) as caught:
        calibrate(box_truck, [datum])
    assert [fault.near for fault in caught.value.faults] == [near]


def test_a_frequency_that_no_mode_comes_near_is_a_fault(box_truck):
    with pytest.raises(CounterbounceError, match=r"frame bending 1 9\.95 Hz"):
        calibrate(box_truck, [Datum("natural frequency", 0.3, 0.01)])
