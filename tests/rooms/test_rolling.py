"""Lines sorted into wheels, joints and shafts."""

from __future__ import annotations

import pytest

from counterbounce.model.measured.lines import Line
from counterbounce.model.measured.rolling import sorted_lines


def heard(*per_metre):
    return [Line(k, 1e-3, 5.0, 30.0) for k in per_metre]


def families(found):
    return [one.family for one in found.lines]


def test_wheel_orders_tell_the_circumference():
    found = sorted_lines(heard(1 / 2.41, 2 / 2.41, 3 / 2.41))
    assert found.circumference == pytest.approx(2.41, rel=1e-6)
    assert [one.order for one in found.lines] == [1, 2, 3]
    estimate = found.estimates["circumference"]
    assert estimate.low < 2.41 < estimate.high
    assert estimate.high / estimate.low == pytest.approx(1.04, abs=0.01)  # a speed is known to 1 %


def test_a_given_circumference_is_corrected_to_what_is_heard():
    found = sorted_lines(heard(1 / 2.45), circumference=2.40)
    assert found.circumference == pytest.approx(2.45, rel=1e-6)
    assert found.lines[0].family == "wheel"


def test_joints_are_told_from_wheels_by_neighbouring_harmonics():
    found = sorted_lines(heard(3 / 5.2, 4 / 5.2, 5 / 5.2, 1 / 2.41), circumference=2.41)
    assert families(found) == ["joints"] * 3 + ["wheel"]
    assert found.estimates["joint spacing"].value == pytest.approx(5.2, rel=1e-6)
    assert [one.order for one in found.lines[:3]] == [3, 4, 5]


def test_a_driven_shaft_tells_the_axle_ratio():
    found = sorted_lines(heard(1 / 2.41, 4.3 / 2.41))
    assert families(found) == ["wheel", "shaft"]
    ratio = found.estimates["shaft ratio"]
    assert ratio.low < 4.3 < ratio.high
    second = sorted_lines(heard(1 / 2.41, 8.6 / 2.41), axle_ratio=4.3)
    assert second.estimates["shaft ratio"].value == pytest.approx(4.3, rel=1e-6)


def test_a_high_whole_order_is_a_wheel_s_only_where_lower_ones_are_heard():
    """A shaft may turn four times as often as the wheels, too."""
    assert families(sorted_lines(heard(1 / 2.41, 4 / 2.41))) == ["wheel", "shaft"]
    assert families(sorted_lines(heard(1 / 2.41, 2 / 2.41, 4 / 2.41))) == ["wheel"] * 3


def test_a_lone_high_line_is_not_taken_for_a_wheel():
    found = sorted_lines(heard(4.1 / 2.4))
    assert families(found) == ["unknown"]
    assert found.circumference is None
    assert sorted_lines([]).lines == ()
