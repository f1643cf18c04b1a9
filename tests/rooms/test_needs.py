"""The numbers that a plan cannot do without."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from counterbounce.model.case import parse
from counterbounce.model.casefile.needs import impossible_numbers, key_of
from counterbounce.model.casefile.schema import CaseFile
from counterbounce.model.faults import CounterbounceError

CASES = Path(__file__).parents[1] / "cases"
VAN = (CASES / "van.toml").read_text(encoding="utf-8")
TANDEM = (CASES / "bending_explicit.toml").read_text(encoding="utf-8")


def test_numbers_that_lead_to_less_than_nothing_are_a_fault():
    """A centre of gravity behind both axles: one of its distances is negative, and so is the inertia."""
    text = VAN.replace('"3 m"', '"3 m"\ncentre_of_gravity = "4 m"\ndynamic_index = 0.95')
    with pytest.raises(CounterbounceError) as caught:
        parse(text)
    (fault,) = caught.value.faults
    assert (fault.key, float(fault.given) < 0) == ("vehicle.pitch_inertia", True)
    assert "more than nothing" in fault.wanted


def test_numbers_that_divide_by_nothing_are_impossible(flat):
    file = CaseFile.model_validate(tomllib.loads(flat))
    found = {finding.key: finding for finding in impossible_numbers(file)}
    assert found["axle", "a", "spring_rate"].given == "nan"
    assert ("vehicle", "sprung_mass") not in found


@pytest.mark.parametrize(
    ("path", "key"),
    [
        ("vehicle.wheelbase", ("vehicle", "wheelbase")),
        ("axle.rear 1.air.pressure", ("axle", "rear 1", "air", "pressure")),
        ("body.driver.mass", ("body", 1, "mass")),
        ("body.driver.mount.0.rate", ("body", 1, "mounts", 0, "rate")),
        ("mass.ballast.mass", ("mass", 0, "mass")),
        ("frame.segment.2.bending_stiffness", ("frame", "along", 1, "bending_stiffness")),
    ],
)
def test_each_path_has_its_key(path, key):
    assert key_of(path, CaseFile.model_validate(tomllib.loads(TANDEM))) == key
