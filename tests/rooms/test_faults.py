"""A fault, as people read it."""

from __future__ import annotations

from counterbounce.model.faults import Fault, nearest


def test_a_fault_is_one_readable_line():
    fault = Fault("van.toml", 3, "axle.rear.load", "2.1", "wanted a unit", "", '"2.1 t"')
    assert str(fault) == 'van.toml:3: axle.rear.load = 2.1: wanted a unit; for example "2.1 t"'
    assert str(Fault("van.toml", None, "", "", "no such file")) == "van.toml: no such file"


def test_nearest_does_not_mind_capitals_and_says_nothing_rather_than_nonsense():
    assert nearest("LOAD", ["load", "rating"]) == "load"
    assert nearest("zzz", ["load", "rating"]) == ""
    assert nearest("x" * 100_000, ["load"]) == ""
