"""A case file in, a case out."""

from __future__ import annotations

import hashlib
import tomllib
from pathlib import Path

import numpy as np
import pytest

from counterbounce.model.building import build
from counterbounce.model.case import load, parse
from counterbounce.model.casefile.needs import needed_paths
from counterbounce.model.observations import CHECKS, Observation
from counterbounce.model.units import Display

CASES = Path(__file__).parents[1] / "cases"
FILES = sorted(CASES.glob("*.toml"))
PLACARD = (CASES / "box_truck_placard.toml").read_text(encoding="utf-8")
TANDEM = (CASES / "bending_explicit.toml").read_text(encoding="utf-8")
SALOON = (CASES / "b7_large_saloon.toml").read_text(encoding="utf-8")
VAN = (CASES / "van.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_good_file_gives_a_case_whose_numbers_all_resolve(file):
    case = load(file)
    assert case.path == file
    assert case.sha256 == hashlib.sha256(file.read_bytes()).hexdigest()
    assert case.name == tomllib.loads(file.read_text(encoding="utf-8"))["name"]
    assert case.numbers.ledger == {}
    for path in needed_paths(case.plan, bool(case.roads.wheel_orders)):
        assert np.isfinite(case.numbers[path]), path
    assert build(case.plan, case.numbers).total_mass > 0


def test_a_placard_case():
    case = parse(PLACARD)
    plan, numbers = case.plan, case.numbers
    assert (plan.kind, plan.frame_source, plan.stiffness_known) == ("bending", "assumed", False)
    front, rear = plan.axles
    assert (front.name, front.springing, front.tyres, front.driven) == ("front", "leaf", 2, False)
    assert (rear.name, rear.tyre, rear.tyres, rear.driven) == ("rear", "225/70R19.5", 4, True)
    load = numbers.known("axle.front.load")
    assert (load.value, load.half, load.origin, load.unit) == (2610.0, 20.0, "measured", "kg")
    assert load.source == "weighbridge, driver aboard"
    assert numbers.known("vehicle.wheelbase").half == pytest.approx(0.01)
    assert numbers["axle.front.station"] == 0.0
    assert numbers["axle.rear.station"] == pytest.approx(3.8)
    assert numbers["axle.rear.tyre_diameter"] == pytest.approx(19.5 * 0.0254 + 2 * 0.225 * 0.70)
    assert numbers["frame.rear_end"] == pytest.approx(3.8 + 2.0)
    assert [numbers[f"axle.{name}.is_leaf"] for name in ("front", "rear")] == [1.0, 1.0]
    assert [numbers[f"axle.{name}.driven"] for name in ("front", "rear")] == [0.0, 1.0]
    assert [numbers[f"axle.{name}.is_front"] for name in ("front", "rear")] == [1.0, 0.0]
    assert not numbers.has("axle.rear.is_solid")
    assert (numbers["vehicle.axles"], numbers["vehicle.gross_rating"]) == (2.0, 7500.0)
    assert case.speeds == pytest.approx((40 / 3.6, 110 / 3.6))
    assert case.complaint is not None
    assert case.complaint.where == "driver's floor"
    assert case.complaint.speed == pytest.approx((84 / 3.6, 92 / 3.6))
    assert case.limits.worth == 0.25
    assert (case.limits.mass, case.limits.stroke, case.limits.towing) == (30.0, None, "none")
    assert case.display == Display("km/h", "metric")
    assert case.roads.wheel_orders == (1, 2, 3, 4)
    assert case.roads.wheel_faults[0].run_out == pytest.approx((0.8e-3, 0.5e-3))
    assert case.roads.joints is not None
    assert case.roads.joints.spacing == pytest.approx(15 * 0.3048)
    cab = plan.bodies[0]
    assert (cab.rotates, cab.included, len(cab.mounts)) == (True, True, 2)
    assert numbers["body.cab.mount.1.loss_factor"] == pytest.approx(0.1)
    assert [point.soft for point in plan.points] == [False, False, True]


def test_an_explicit_bending_case():
    case = parse(TANDEM)
    plan, numbers = case.plan, case.numbers
    assert [axle.name for axle in plan.axles] == ["front", "rear 1", "rear 2"]
    assert (plan.kind, plan.frame_source, plan.segments) == ("bending", "along", 2)
    assert plan.stiffness_known
    assert plan.load_sharing == (("rear 1", "rear 2"),)
    assert plan.axles[1].springing == "air"
    assert numbers["frame.segment.1.to"] == 1.5
    assert numbers["frame.segment.2.to"] == pytest.approx(5.5 + 1.5)
    assert numbers["frame.segment.2.bending_stiffness"] == 9e6
    assert numbers["vehicle.wheelbase"] == pytest.approx(5.5)
    assert numbers["vehicle.sprung_mass"] == pytest.approx(8000 + 8000 + 6000 - 1050 - 1050 - 550)
    assert [body.included for body in plan.bodies] == [True, False]
    assert [(link.kind, link.upper, link.lower) for link in plan.links] == [
        ("damper", "rear end", "ground"),
        ("mass", "rear end", ""),
    ]


def test_the_model_follows_from_axles_and_frame():
    assert parse(VAN).plan.kind == "half"
    assert parse(VAN + "[frame]").plan.kind == "bending"
    assert parse(VAN.replace("[axle.rear]", "separate_frame = true\n[axle.rear]")).plan.kind == "bending"
    assert parse(VAN.replace("[axle.rear]", 'model = "bending"\n[axle.rear]')).plan.kind == "bending"
    assert parse(VAN.replace("[axle.rear]", 'model = "half"\n[axle.rear]') + "[frame]").plan.kind == "half"
    assert parse(SALOON).plan.kind == "quarter"


def test_front_goes_first_whatever_the_order_of_writing():
    numbers = parse(VAN).numbers
    assert [axle.name for axle in parse(VAN).plan.axles] == ["front", "rear"]
    assert (numbers["axle.front.station"], numbers["axle.rear.station"]) == (0.0, 3.0)


def test_the_speeds_are_the_usual_ones_widened_by_the_complaint():
    assert parse(VAN).speeds == (8.0, 33.0)
    complaint = '[complaint]\nspeed = { from = "130 km/h", to = "140 km/h" }'
    assert parse(VAN + complaint).speeds == pytest.approx((8.0, 140 / 3.6))


def test_an_order_that_was_measured_is_looked_at():
    wheel = '[[inputs.wheel]]\naxle = "rear"\norder = 6\nrun_out = ["1 mm", "1 mm"]'
    assert parse(VAN + wheel).roads.wheel_orders == (1, 2, 3, 4, 6)


def test_miles_in_miles_out():
    case = parse(VAN + '[inputs]\nspeeds = { from = "30 mph", to = "70 mph" }')
    assert case.display.speed == "mph"
    assert case.display.show(case.speeds[1], "speed") == "70.0 mph"


def test_windows_line_ends_and_byte_order_marks_change_nothing_but_the_hash(tmp_path):
    file = tmp_path / "van.toml"
    file.write_bytes(b"\xef\xbb\xbf" + VAN.replace("\n", "\r\n").encode())
    other = load(file)
    assert other.plan == parse(VAN).plan
    assert other.sha256 == hashlib.sha256(file.read_bytes()).hexdigest()


def test_the_walk_round_holds_what_was_looked_at_in_its_order():
    assert parse(VAN).checks == {}
    case = parse(VAN + '[checks]\nframe = "bad"\ntyres = "good"')
    assert list(case.checks.items()) == [("tyres", "good"), ("frame", "bad")]
    every = "\n".join(f'{name} = "good"' for name in CHECKS)
    assert parse(f"{VAN}[checks]\n{every}").checks == dict.fromkeys(CHECKS, "good")


def test_observations_in_their_order_with_the_usual_weight_where_none_is_given():
    text = """
[complaint]
speed = { from = "72 km/h", to = "90 km/h" }
[[observation]]
change = "neutral coast-down"
result = "stayed"
note = "both ways"
[[observation]]
change = "weight over the rear end"
result = "moved"
[[observation]]
change = "weight over the rear end"
result = "moved"
speed = { from = "54 km/h", to = "72 km/h" }
mass = "80 kg"
at = "axle.rear"
"""
    assert parse(VAN).observations == ()
    assert parse(VAN + text).observations == (
        Observation("neutral coast-down", "stayed", note="both ways"),
        Observation("weight over the rear end", "moved", None, 50.0, "rear end"),
        Observation("weight over the rear end", "moved", (15.0, 20.0), 80.0, "axle.rear"),
    )
