"""The road of a case: a class, a density of one's own, a measured profile."""

from __future__ import annotations

from pathlib import Path

import pytest

from counterbounce.model.case import load, parse
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.roughness import of_class

VAN = (Path(__file__).parents[1] / "cases" / "van.toml").read_text(encoding="utf-8")


def roads(line: str):
    return parse(f"{VAN}\n[inputs]\n{line}\n").roads


def test_nothing_is_said_unless_it_is_said():
    assert (roads("").roughness, roads("").profile) == (None, None)


def test_a_class():
    assert roads('roughness = { class = "C" }').roughness == of_class("C")


def test_a_density_of_ones_own():
    road = roads('roughness = { density = "40e-6 m^3 (measured: profiler)", waviness = 2.2 }').roughness
    assert (road.density, road.waviness, road.source) == (40e-6, 2.2, "profiler")
    assert roads('roughness = { density = "40e-6 m^3" }').roughness.waviness == 2


def test_a_density_for_one_radian_is_converted():
    road = roads('roughness = { angular_density = "1e-6 m^3" }').roughness
    assert road.density == pytest.approx(15.915e-6, rel=1e-4)
    assert road.road_class == "A"


def test_a_profile_lies_beside_the_case(tmp_path):
    (tmp_path / "roads").mkdir()
    (tmp_path / "roads" / "lane.csv").write_text("0 0\n1 0\n2 0\n", encoding="utf-8")
    case = tmp_path / "van.toml"
    case.write_text(f'{VAN}\n[inputs]\nprofile = "roads/lane.csv"\n', encoding="utf-8")
    assert load(case).roads.profile == tmp_path / "roads" / "lane.csv"
    case.write_text(f'{VAN}\n[inputs]\nprofile = "lane.csv"\n', encoding="utf-8")
    with pytest.raises(CounterbounceError, match=r"inputs.profile = 'lane.csv': a file.*none is there"):
        load(case)


@pytest.mark.parametrize("name", ["a" * 90, "no\\u0000thing", ".", ""])
def test_a_name_that_is_no_file_is_a_fault(name):
    with pytest.raises(CounterbounceError, match="profile"):
        roads(f'profile = "{name}"')
