"""What is given, with its origin and spread."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from counterbounce.model.case import load, parse
from counterbounce.model.numbers import NORMAL_95

CASES = Path(__file__).parents[1] / "cases"
TANDEM = (CASES / "bending_explicit.toml").read_text(encoding="utf-8")
VAN = (CASES / "van.toml").read_text(encoding="utf-8")
SALOON = (CASES / "b7_large_saloon.toml").read_text(encoding="utf-8")


def changed(text: str, *changes: tuple[str, str]) -> str:
    for old, new in changes:
        assert text.count(old) >= 1, old
        text = text.replace(old, new, 1)
    return text


@pytest.mark.parametrize(
    ("written", "origin", "share"),
    [
        ('"30 kg"', "assumed", 0.20),
        ('"30 kg (assumed)"', "assumed", 0.20),
        ('"30 kg (estimated: by eye)"', "estimated", 0.20),
        ('"30 kg (published: maker)"', "published", 0.05),
        ('"30 kg (measured: scale)"', "measured", 0.02),
        ('"30 kg ± 7 %"', "assumed", 0.07),
    ],
)
def test_spread_by_origin(written, origin, share):
    text = changed(SALOON, ("exact = true", "exact = false"), ('"30 kg"', written))
    known = parse(text).numbers.known("axle.wheel.unsprung_mass")
    assert (known.origin, known.half / known.value) == (origin, pytest.approx(share))
    assert known.source == (re.search(r": (.*)\)", written) or ["", ""])[1] or "in the case" in known.source


def test_exact_means_no_spread_where_none_is_written():
    numbers = parse(changed(SALOON, ('"300 kg"', '"300 kg ± 3 kg"'))).numbers
    assert numbers.known("axle.wheel.unsprung_mass").half == 0
    assert numbers.known("vehicle.sprung_mass").half == 3.0


def test_stations_are_uncertain_by_a_length():
    text = TANDEM.replace('station = "5.5 m"', 'station = "5.5 m (measured: tape)"')
    numbers = parse(text).numbers
    assert numbers.known("axle.front.station").half == 0  # where stations are counted from
    assert numbers.known("axle.rear 1.station").half == pytest.approx(0.020)
    assert numbers.known("axle.rear 2.station").half == pytest.approx(0.010)
    assert numbers.known("axle.rear 1.station").law == "shift"
    assert numbers.known("frame.front_overhang").half == pytest.approx(0.020)


def test_a_wheelbase_is_as_uncertain_as_the_station_that_it_gives():
    numbers = parse(VAN).numbers
    assert numbers.known("vehicle.wheelbase").half == pytest.approx(0.020)
    moved = numbers.with_scores({"vehicle.wheelbase": NORMAL_95})
    assert moved["axle.rear.station"] == pytest.approx(3.020)


def test_dual_wheels_are_four_tyres():
    numbers = parse(TANDEM).numbers
    assert [numbers[f"axle.{name}.tyres"] for name in ("front", "rear 1")] == [2.0, 4.0]


def test_a_pitch_inertia_keeps_the_origin_of_what_it_was_written_as():
    known = load(CASES / "b1_thomson_car.toml").numbers.known("vehicle.pitch_inertia")
    assert (known.origin, known.half) == ("assumed", 0.0)
