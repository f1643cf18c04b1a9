"""A profile out of a file: ways of writing, what is mended and said, what is refused and on which line."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.profile import Profile
from counterbounce.model.profile_files import parse_profile, read_profile

HEIGHTS = [0.001, 0.0025, -0.0005, 0.004]


def read(text: str, **known) -> Profile:
    return parse_profile(text.encode(), "road.csv", **known)


def refused(text: str | bytes, **known) -> str:
    data = text if isinstance(text, bytes) else text.encode()
    with pytest.raises(CounterbounceError) as caught:
        parse_profile(data, "road.csv", **known)
    return str(caught.value)


@pytest.mark.parametrize(
    "text",
    [
        "0 0.001\n0.25 0.0025\n0.5 -0.0005\n0.75 0.004",
        "0,0.001\n0.25,0.0025\n0.5,-0.0005\n0.75,0.004\n",
        "0, 0.001\r\n0.25, 0.0025\r\n0.5, -0.0005\r\n0.75, 0.004\r\n",
        "0;0,001\n0,25;0,0025\n0,5;-0,0005\n0,75;0,004",
        "0\t0,001\n0,25\t0,0025\n0,5\t-0,0005\n0,75\t0,004",
        "0 0,001\n0,25 0,0025\n0,5 -0,0005\n0,75 0,004",
        "# a remark\n\ndistance,elevation\n0,1e-3\n0.25,2.5e-3\n# another\n0.5,-5e-4\n0.75,4e-3",
        "distance [m],elevation [mm]\n0,1\n0.25,2.5\n0.5,-0.5\n0.75,4",
        "Elevation (mm);Chainage (km)\n1;0\n2,5;0,00025\n-0,5;0,0005\n4;0,00075",
        '"distance_m","elevation_mm"\n"0","1"\n"0.25","2.5"\n"0.5","-0.5"\n"0.75","4"',
        "x ft;height in\n0;0,0393700787\n0,82021;0,0984251969\n1,64042;-0,0196850394\n2,46063;0,157480315",
        "distance [m] elevation [mm]\n0 1\n0.25 2.5\n0.5 -0.5\n0.75 4",
        "0;0.001;\n0.25;0.0025;\n0.5;-0.0005;\n0.75;0.004;",
        "\ufeff0 0.001\n0.25 0.0025\n0.5 -0.0005\n0.75 0.004",
    ],
)
def test_ways_of_writing_one_road(text):
    road = read(text)
    assert road.heights == pytest.approx(HEIGHTS, rel=1e-6)
    assert (road.spacing, road.start) == (pytest.approx(0.25, rel=1e-5), 0.0)
    assert road.source == "file road.csv"


def test_heights_alone_take_the_spacing():
    road = read("elevation [mm]\n1\n2.5\n-0.5\n4", spacing=0.25)
    assert road.heights == pytest.approx(HEIGHTS)
    assert road.distance.tolist() == [0, 0.25, 0.5, 0.75]
    assert read("1\n2.5\n-0.5\n4", spacing=0.25, elevation_unit="mm").heights == pytest.approx(HEIGHTS)
    assert "spacing" in refused("0.001\n0.002\n0.003")


def test_two_tracks():
    road = read("distance;left [mm];right [mm]\n0;1;2\n0,25;2;3\n0,5;3;4")
    assert road.heights == pytest.approx(np.array([[1, 2, 3], [2, 3, 4]]) * 1e-3)
    left_first = read("1 2\n2 3\n3 4\n1 1", spacing=0.25, elevation_unit="mm")
    assert left_first.heights[:, :3] == pytest.approx(road.heights)


def test_what_is_not_said_is_said():
    assert "The heights carry no unit: metres were taken." in read("0 0\n1 0\n2 0").done
    assert "Heights came in mm." in read("x;z [mm]\n0;0\n1;0\n2;0").done
    assert any("decimal commas" in said for said in read("0 0\n0,5 0,1\n1 0").done)


def test_a_file_that_runs_backwards_is_turned_round():
    road = read("2 0.3\n1.5 0.2\n1 0.1")
    assert (road.start, road.heights.tolist()) == (1.0, [0.1, 0.2, 0.3])
    assert any("turned round" in said for said in road.done)


def test_short_gaps_are_bridged_and_said():
    road = read("0,1\n0.25,\n0.5,3\n0.75,nan\n1,5\n1.25,4", elevation_unit="mm")
    assert road.heights == pytest.approx([0.001, 0.002, 0.003, 0.004, 0.005, 0.004])
    assert "2 missing heights (lines 2, 4) were bridged by straight lines." in road.done


def test_missing_ends_are_cut_off_and_said():
    road = read("0 nan\n1 0.1\n2 0.2\n3 0.1\n4 nan")
    assert (road.start, road.heights.tolist()) == (1.0, [0.1, 0.2, 0.1])
    assert any("cut off" in said for said in road.done)


def test_a_wide_gap_is_a_fault_with_its_lines():
    rows = [f"{0.25 * i} {'nan' if 10 <= i < 15 else 0.001 * (i % 3)}" for i in range(40)]
    words = refused("\n".join(rows))
    assert "road.csv:10" in words
    assert "1.5 m up to line 16" in words
    assert "road.csv:2" in refused("0 0\n0.25 0.1\n5 0.1\n5.25 0.1\n5.5 0")


def test_uneven_steps_are_resampled_and_said():
    road = read("0 0\n0.2 0.01\n0.5 0.02\n0.6 0.01\n0.8 0")
    assert road.spacing == pytest.approx(0.2)
    assert road.heights == pytest.approx([0, 0.01, 0.01 + 2 / 3 * 0.01, 0.01, 0])
    assert any("resampled" in said for said in road.done)


def test_rounded_distances_are_taken_as_even_and_said():
    places = [round(0.0254 * i, 2) for i in range(200)]
    road = read("\n".join(f"{x} {0.001 * (i % 2)}" for i, x in enumerate(places)))
    assert len(road.heights) == 200 or any("resampled" in said for said in road.done)
    slightly = [round(0.304 * i, 2) for i in range(200)]
    road = read("\n".join(f"{x} 0.001" for x in slightly))
    assert road.spacing == pytest.approx(0.304, rel=1e-3)
    assert any("taken as even" in said for said in road.done)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no numbers"),
        ("# nothing\n", "no numbers"),
        ("distance,elevation\n", "no numbers below"),
        (b"\x00\x01\x02", "no text"),
        ("0 0\n1 0.1\n0.5 0.1\n2 0", "road.csv:3: 0.5: a distance beyond the last one, 1"),
        ("0 0\n1 0.1\n1 0.1\n2 0", "road.csv:3"),
        ("0 0\n1 oops\n2 0", "road.csv:2: 'oops': a number"),
        ("0 0\n1 0 0\n2 0", "road.csv:2"),
        ("0 0\nnan 0\n2 0", "road.csv:2: a distance"),
        ("0 0\n1 0", "3 lines"),
        ("0 12\n1 15\n2 19\n3 22", "say their unit"),
        ("distance,height [kg]\n0,0\n1,0\n2,0", "a unit of length"),
        ("distance,a,b,c\n0,0,0,0\n1,0,0,0\n2,0,0,0", "there are 3"),
        ("distance,x,z\n0,0,0\n1,1,0\n2,2,0", "one column of distances"),
        ("a,b\n0,0\n1,1\n2,0", "a column of distances"),
        ("a,b,c\n0,0\n1,1\n2,0", "3 names stand over 2 columns"),
        ("0 1e999\n1 0\n2 0", "road.csv:1"),
    ],
)
def test_what_is_no_profile_is_refused(text, words):
    assert words in refused(text)


def test_every_bad_line_is_named_at_once():
    assert refused("0 a\n1 b\n2 0\n3 c").startswith("3 faults")


@pytest.mark.parametrize("spacing", [0.0, -1.0, float("nan"), float("inf")])
def test_a_spacing_that_is_none_is_refused(spacing):
    assert "above 0 m" in refused("0\n0\n0", spacing=spacing)


def test_options_may_not_contradict_the_file():
    assert "distances of its own" in refused("distance,height\n0,0\n1,0\n2,0", spacing=1.0)
    assert "distances of its own" in refused("0 0.1\n1 0.2\n2 0.1\n3 0.2", spacing=1.0)
    words = refused("distance,height [mm]\n0,0\n1,0\n2,0", elevation_unit="m")
    assert "heights in mm, as the file says" in words


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(CounterbounceError, match="cannot be read"):
        read_profile(tmp_path / "none.csv")
    with pytest.raises(CounterbounceError, match="cannot be read"):
        read_profile(tmp_path)


SCRAPS = st.sampled_from(
    ["0", "1.5", "2,5", "nan", "-", "x", "[mm]", ";", ",", "\t", " ", "\n", "#", "1e300", "é"]
)


def outcome(data: bytes, **known) -> Profile | tuple:
    try:
        return parse_profile(data, "road.csv", **known)
    except CounterbounceError as error:
        return error.faults


def is_sound(found: Profile | tuple) -> bool:
    return found.length > 0 if isinstance(found, Profile) else len(found) > 0


@settings(deadline=None, max_examples=400, suppress_health_check=[HealthCheck.too_slow])
@given(st.one_of(st.binary(max_size=60), st.lists(SCRAPS, max_size=40).map(lambda s: "".join(s).encode())))
def test_whatever_comes_a_profile_or_its_faults_go_out(data):
    assert is_sound(outcome(data))
    assert is_sound(outcome(data, spacing=0.25))


NUMBERS = st.sampled_from([0.0, 1e-3, 0.5, 1.0, 2.0, 1e9, -1e-300, 1e300])


@settings(deadline=None, max_examples=300)
@given(st.lists(st.lists(NUMBERS, min_size=2, max_size=3)))
def test_any_numbers_give_a_profile_or_its_faults(rows):
    assert is_sound(outcome("\n".join(" ".join(map(repr, row)) for row in rows).encode()))


@settings(deadline=None, max_examples=300)
@given(st.lists(st.tuples(st.floats(-1e308, 1e308), NUMBERS), min_size=3, unique_by=lambda row: row[0]))
def test_any_rising_distances_give_a_profile_or_its_faults(rows):
    assert is_sound(outcome("\n".join(" ".join(map(repr, row)) for row in sorted(rows)).encode()))
