"""A drive of a case, with and without a damper: what was driven, its table and its picture."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.app.drive_picture import drive_picture
from counterbounce.app.drive_table import drive_table, headline
from counterbounce.app.driven import WITH, Asked, driven
from counterbounce.app.figures import svg
from counterbounce.model.case import parse
from counterbounce.model.comfort import weighting_factor
from counterbounce.model.example import TEXT, small_case
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.response import dynamics, sweep
from counterbounce.model.road import Roads, inputs
from counterbounce.model.settle import settled
from counterbounce.model.wheels import WheelFault
from counterbounce.sizing.absorber import tuned

DAMPER = tuned("rear end", 30.0, 3.0, 0.1)


def asked(**changed):
    usual = {
        "speed": 7.2,
        "to": 7.2,
        "seconds": 4.0,
        "rate": 500.0,
        "road": "smooth",
        "wheels": "drawn",
        "seed": 1,
    }
    return Asked(**(usual | changed))


def test_the_same_seed_is_the_same_ride_and_another_is_another():
    one, again, other = (driven(small_case(), asked(road="class C", seed=seed), None) for seed in (1, 1, 2))
    assert np.array_equal(one.ride.samples, again.ride.samples)
    assert np.abs(one.ride.samples - other.ride.samples).max() > 0.1


def test_levels_are_those_along_speed():
    """One order of one axle, in phase, without a difference of size: the ride is steady."""
    case = small_case()
    even = Roads((1,), (WheelFault("rear", 1, (2e-3, 2e-3)), WheelFault("front", 1, (0.0, 0.0))), 0.0)
    case = replace(case, roads=even)
    found = driven(case, asked(wheels="in-phase", seconds=2.4 / 7.2 * 30), None)
    vehicle = settled(case.plan, case.numbers)
    along = sweep(
        dynamics(vehicle), inputs(even, vehicle, 7.2), np.array([7.2]), vehicle.watched
    ).total_worst()[0]
    assert [level.rms for level in found.levels[:2]] == pytest.approx(along.tolist(), rel=0.01)


def test_a_seat_is_felt_as_a_person_does():
    """Wk at the one frequency of the drive."""
    text = TEXT + '[[point]]\nname = "seat"\nstation = "1 m"\nweighting = "Wk"\nwatch = true\n'
    case = replace(parse(text, "seat.toml"), roads=Roads((1,), rolling_difference=0.0))
    plain = parse(text.replace('weighting = "Wk"', 'weighting = "none"'), "plain.toml")
    felt = driven(case, asked(wheels="in-phase", seconds=10.0), None).levels[0]
    bare = driven(replace(plain, roads=case.roads), asked(wheels="in-phase", seconds=10.0), None).levels[0]
    assert felt.channel.name == "seat"
    assert felt.rms / bare.rms == pytest.approx(float(weighting_factor("Wk", 3.0)), rel=0.01)
    assert "seat, weighted Wk" in [row[0] for row in drive_table(driven(case, asked(), None)).rows]


def test_true_wheels_on_a_smooth_road_do_nothing():
    found = driven(small_case(), asked(wheels="true"), DAMPER)
    assert not np.any(found.ride.samples)
    assert all("–" in row for row in drive_table(found).rows)  # no change of nothing


def test_a_ride_holds_both_vehicles():
    found = driven(small_case(), asked(), DAMPER)
    names = [c.name for c in found.ride.channels]
    assert names[:2] == ["front end", "rear end"]
    assert f"rear end{WITH}" in names
    alone = driven(small_case(), asked(), None)
    assert np.array_equal(alone.ride.samples, found.ride.samples[: len(alone.ride.channels)])
    assert "Damper: 30.0 kg" in headline(found)


def test_laws_of_a_case_hold_in_its_drive():
    """On a road of class E the tyres of the linear vehicle would pull at the ground."""
    quick = asked(road="class E", speed=15.0, to=15.0, seconds=1.0, rate=1000.0)
    linear = driven(small_case(), quick, None)
    case = replace(small_case(), plan=replace(small_case().plan, laws=("lift-off",)))
    lifting = driven(case, quick, None)
    assert "would leave the ground" in drive_table(linear).note
    assert "would leave the ground" not in drive_table(lifting).note
    assert linear.ride.channel("rear tyre load variation").min() < -2700 * 9.81
    assert lifting.ride.channel("rear tyre load variation").min() > -2701 * 9.81
    assert "rear lift-off" in headline(lifting)


def test_a_drive_that_cannot_be_had_with_laws_is_a_fault_of_what_was_asked():
    case = replace(small_case(), plan=replace(small_case().plan, laws=("lift-off",)))
    with pytest.raises(CounterbounceError, match="drive slower, over a smoother road"):
        driven(case, asked(road="class H", speed=40.0, to=40.0, seconds=5.0), None)


def test_imbalance_comes_into_a_drive_with_laws_as_into_one_without():
    """No tyre lifts at this speed, so the law changes nothing."""
    case = replace(small_case(), roads=Roads((1,), (WheelFault("rear", 1, imbalance=(0.3, 0.2)),)))
    lifting = replace(case, plan=replace(case.plan, laws=("lift-off",)))
    linear, law = (driven(one, asked(seconds=1.0), None).ride for one in (case, lifting))
    assert law.samples == pytest.approx(linear.samples, abs=1e-6 * np.abs(linear.samples).max())


def test_a_hung_damper_ends_at_its_stops_where_its_guides_are_known():
    uneven = Roads((1,), (WheelFault("rear", 1, (1e-3, 1e-3)),), 0.0)
    free = replace(small_case(), roads=uneven)
    held = replace(free, limits=replace(free.limits, stroke=4e-3, friction=0.5))
    asked_for = asked(wheels="in-phase")
    one, other = (driven(case, asked_for, DAMPER).ride for case in (free, held))
    stroke, ended = (np.abs(ride.channel(f"damper stroke{WITH}")).max() for ride in (one, other))
    assert stroke > 6e-3
    assert 4e-3 < ended < 5e-3
    assert "laws" not in one.labels
    assert other.labels["laws"] == "damper's guides, damper's end stops"


def test_a_sweep_goes_from_speed_to_speed():
    found = driven(small_case(), asked(speed=12.0, to=4.0, seconds=30.0), None)
    level = found.ride.channel("rear end")
    strongest = found.ride.time[np.abs(level).argmax()]
    assert 12.0 - 8.0 * strongest / 30.0 == pytest.approx(7.24, abs=0.8)  # where pitch meets the wheels


def test_a_picture_has_a_row_a_channel():
    figure = drive_picture(driven(small_case(), asked(speed=12.0, to=4.0), DAMPER))
    titles = [axes.get_title(loc="left") for axes in figure.axes[::2]]
    assert titles[:3] == ["front end, m/s²", "rear end, m/s²", "front suspension travel, mm"]
    drawn = svg(figure)
    for words in ("as it is", "with the damper", "speed, ", "around the largest value"):
        assert words in drawn
