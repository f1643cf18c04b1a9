"""Before, after, and the same weight as plain ballast."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.points import Point, Row
from counterbounce.model.response import dynamics, sweep
from counterbounce.sizing import before_after
from counterbounce.sizing.absorber import Damper, tuned, with_ballast, with_damper
from counterbounce.sizing.before_after import Comparison, compare

SPEEDS = np.linspace(8.0, 33.0, 251)
BAND = (23.0, 26.0)


@pytest.fixture
def built(fleet):
    return fleet("bending")


def test_all_three_are_vehicles_swept(built):
    hung = tuned("rear end", 30.0, 6.4, 0.1)
    found = compare(built.vehicle, hung, built.causes, SPEEDS, BAND)
    three = (
        built.vehicle,
        with_damper(built.vehicle, hung),
        with_ballast(built.vehicle, "rear end", 30.0),
    )
    for levels, vehicle in zip((found.before, found.after, found.ballast), three, strict=True):
        swept = sweep(dynamics(vehicle), built.causes, SPEEDS, built.vehicle.watched).total()
        assert np.array_equal(levels, swept)


def test_what_is_ready_is_not_prepared_again(built, monkeypatch):
    """The same numbers to the last bit, with two vehicles prepared instead of three."""
    hung, prepared = tuned("rear end", 30.0, 6.4, 0.1), []
    ready, asked = dynamics(built.vehicle), (built.vehicle, hung, built.causes, SPEEDS, BAND)
    plain = compare(*asked)
    monkeypatch.setattr(before_after, "dynamics", lambda v: prepared.append(v) or dynamics(v))
    again = compare(*asked, ready)
    assert len(prepared) == 2
    for levels in ("before", "after", "ballast"):
        assert np.array_equal(getattr(again, levels), getattr(plain, levels))


def test_a_damper_of_no_consequence(built):
    """A gram: nothing changes, and no other speed gets worse."""
    found = compare(built.vehicle, Damper("rear end", 1e-3, 1.6, 1e-3), built.causes, SPEEDS, BAND)
    assert found.reduction == pytest.approx(0.0, abs=1e-4)
    assert found.ballast_reduction == pytest.approx(0.0, abs=1e-4)
    assert found.elsewhere.ratio == pytest.approx(1.0, abs=1e-3)
    assert found.elsewhere.allowed


def made(before, after, ballast=None, band=(2.0, 3.0), felt=("none", "none")):
    before, after = np.array(before), np.array(after)
    points = [Point(n, 0.0, Row(), weighting=w) for n, w in zip(("floor", "seat"), felt, strict=True)]
    speeds = np.arange(1.0, 1.0 + len(before))
    return Comparison(speeds, tuple(points), before, after, before if ballast is None else ballast, band)


def test_largest_over_points_and_band_is_compared():
    one = made(
        [[9.0, 9.0], [1.0, 2.0], [4.0, 1.0], [9.0, 9.0]], [[1.0, 1.0], [2.0, 3.0], [1.0, 1.0], [1.0, 1.0]]
    )
    assert one.inside.tolist() == [False, True, True, False]
    assert one.reduction == pytest.approx(1 - 3.0 / 4.0)
    assert one.point.name == "floor"


def test_a_weighted_point_decides_and_the_others_stand_beside_it():
    """The floor shakes most, rises elsewhere and falls less, but the seat is where a person sits."""
    levels = (
        [[1.0, 1.0], [9.0, 2.0], [9.0, 4.0], [1.0, 1.0]],
        [[9.0, 1.04], [9.0, 1.0], [9.0, 1.0], [9.0, 0.9]],
    )
    one = made(*levels, felt=("none", "Wk"))
    assert one.point.name == "seat"
    assert one.reduction == pytest.approx(1 - 1.0 / 4.0)
    assert (one.elsewhere.point, one.elsewhere.speed, one.elsewhere.after) == ("seat", 1.0, 1.04)
    assert one.elsewhere.allowed
    both = made(*levels, felt=("Wk", "Wk"))
    assert (both.point.name, both.reduction, both.elsewhere.point) == ("floor", 0.0, "floor")


def test_ballast_may_make_it_worse():
    one = made([[1.0, 1.0]] * 4, [[1.0, 1.0]] * 4, np.full((4, 2), 1.25))
    assert one.ballast_reduction == pytest.approx(-0.25)


def test_the_worst_speed_outside_the_band():
    """Speed 4 rises from 1.0 to 1.3 at the seat; in the band 1.2 is left, and 1.05 times 1.0 is less.  A fall
    of a quarter in the band, from 4.0 to 3.0, would be worth it: so 1.3 is no reason against the damper."""
    one = made(
        [[1.0, 1.0], [4.0, 4.0], [4.0, 4.0], [1.0, 1.0]], [[1.0, 1.1], [1.2, 1.0], [1.0, 1.0], [0.9, 1.3]]
    )
    worst = one.elsewhere
    assert (worst.speed, worst.point, worst.before, worst.after) == (4.0, "seat", 1.0, 1.3)
    assert worst.ratio == pytest.approx(1.3)
    assert worst.allowed
    assert not replace(one, worth=0.7).elsewhere.allowed  # 1.2 is left at either speed, 1.3 is more
    assert replace(one, worth=0.67).elsewhere.allowed
    moved = made(
        [[1.0, 1.0], [4.0, 4.0], [4.0, 4.0], [1.0, 1.0]], [[1.0, 1.1], [1.2, 1.0], [1.0, 1.0], [0.9, 3.1]]
    )
    assert not moved.elsewhere.allowed


def test_a_band_as_wide_as_the_road_has_no_elsewhere():
    assert made([[1.0, 1.0]] * 3, [[1.0, 1.0]] * 3, band=(0.0, 9.0)).elsewhere is None
