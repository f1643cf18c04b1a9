"""The road that a drive goes over."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.app.drive_road import road_asked
from counterbounce.model.example import small_case
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.road import Joints, Roads, Wave

REACH = (-55.0, 120.0)


@pytest.mark.parametrize(
    ("road", "changed"),
    [
        ("class A", {}),
        ("CLASS  h", {}),
        ("joints", {"joints": Joints(4.5, step=3e-3)}),
        ("wave", {"wave": Wave(6.0, 0.01)}),
        ("case", {"joints": Joints(4.5, step=3e-3), "wave": Wave(6.0, 0.01)}),
    ],
)
def test_roads_reach_as_far_as_they_must(road, changed):
    case = replace(small_case(), roads=replace(small_case().roads, **changed))
    profile = road_asked(road, case, REACH, 1)
    assert profile.start <= REACH[0] + 0.1
    assert profile.start + profile.length >= REACH[1]


def test_joints_have_one_at_0():
    case = replace(small_case(), roads=Roads(joints=Joints(4.5, step=3e-3, gap_width=0.02, gap_depth=5e-3)))
    profile = road_asked("joints", case, REACH, 1)
    for joint in (-45.0, 0.0, 45.0):
        assert profile.at(joint) < -3e-3  # in the gap
        assert profile.at(joint - 0.1) == pytest.approx(-1.5e-3, abs=2e-4)
        assert profile.at(joint + 0.1) == pytest.approx(1.5e-3, abs=2e-4)


def test_a_case_is_all_that_it_says():
    joints, wave = Joints(4.5, step=3e-3), Wave(6.0, 0.01)
    case = replace(small_case(), roads=Roads(joints=joints, wave=wave))
    places = np.linspace(-50.0, 110.0, 5000)
    found = road_asked("case", case, REACH, 3).at(places)
    bare = road_asked("case", replace(case, roads=Roads()), REACH, 3).at(places)
    more = sum(road_asked(word, case, REACH, 3).at(places) for word in ("joints", "wave"))
    assert np.sqrt(np.mean((found - bare - more) ** 2)) < 1e-4


def test_a_file_begins_under_the_front_axle(tmp_path):
    file = tmp_path / "hump.csv"
    file.write_text("distance [m],height [mm]\n" + "\n".join(f"{500 + x},{x}" for x in range(200)))
    case = replace(small_case(), roads=Roads(profile=file))
    for profile in (road_asked(str(file), case, REACH, 1), road_asked("case", case, REACH, 1)):
        assert profile.at([-1.0, 0.0, 100.0]) == pytest.approx([0.0, 0.0, 0.1])
    with pytest.raises(CounterbounceError, match="199 m long"):
        road_asked(str(file), case, (-55.0, 200.0), 1)
