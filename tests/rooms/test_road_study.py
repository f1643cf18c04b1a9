"""The command `road`: what it finds of a measured road, as JSON, as text, and when it cannot."""

from __future__ import annotations

import hashlib
import json
import re
from pathlib import Path

import numpy as np
import pytest

from counterbounce.app.cli import run
from counterbounce.app.road_study import answer, meetings, study
from counterbounce.app.road_tables import roughness_table, segments_table, waves_table
from counterbounce.model.case import load
from counterbounce.model.events import slabs
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.modes import modes
from counterbounce.model.profile_spectrum import realised
from counterbounce.model.road import Joints
from counterbounce.model.roughness import of_class
from counterbounce.model.settle import settled

CASE = Path(__file__).parents[1] / "cases" / "box_truck_placard.toml"


@pytest.fixture(scope="module")
def lane(tmp_path_factory):
    """An invented road of class B with faulted slabs of 4.6 m, 630 m long from 200 m on, in millimetres."""
    road = realised(of_class("B"), 630.0, 0.1, seed=12)
    heights = road.heights + slabs(Joints(4.6, step=5e-3), 137, 0.1).at(road.distance)
    lines = [f"{200 + 0.1 * i:.1f};{1e3 * h:.3f}".replace(".", ",") for i, h in enumerate(heights)]
    file = tmp_path_factory.mktemp("road") / "lane.csv"
    file.write_text("distance [m];elevation [mm]\n" + "\n".join(lines), encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def found(lane):
    return study(str(lane), 100.0, None, None, str(CASE))


def printed(capsys, *arguments: str) -> str:
    assert run(["road", *arguments]) == 0
    return capsys.readouterr().out


def test_json_holds_what_was_found(lane, capsys):
    told = json.loads(printed(capsys, str(lane), "--json", "--segment", "200m"))
    assert told["profile"]["length_m"] == pytest.approx(629.9)
    assert [(s["from_m"], s["to_m"]) for s in told["segments"]] == [
        (200, 400), (400, 600), (600, 800), (800, pytest.approx(829.9))
    ]  # fmt: skip
    assert told["iri_m_km"] == [s["iri_m_km"] for s in told["segments"]]
    assert told["iri_whole_m_km"] == pytest.approx(
        np.average(told["iri_m_km"], weights=[200, 200, 200, 29.7]), rel=1e-3
    )
    assert told["class"] in ("B", "C")
    assert told["gd_n0_m3"] == pytest.approx(64e-6, rel=0.8)
    assert 1.5 < told["waviness"] < 2.5
    assert told["run"]["sha256"] == hashlib.sha256(lane.read_bytes()).hexdigest()
    assert (told["run"]["file"], told["run"]["case_file"], told["run"]["seed"]) == ("lane.csv", None, None)
    assert "Heights came in mm." in told["done"]
    assert all(wave["meets"] == [] for wave in told["wavelengths"])


def test_the_slabs_are_found(found):
    longest = max(found.waves, key=lambda wave: wave.length)
    assert longest.length == pytest.approx(4.6, rel=0.01)
    assert longest.amplitude == pytest.approx(5e-3 / np.pi, rel=0.25)


def test_wavelengths_meet_the_modes_of_a_case_where_frequency_times_length_says(found):
    case = load(CASE)
    own = modes(settled(case.plan, case.numbers))
    told = answer(found)
    wave = told["wavelengths"][0]
    heard = own.frequency_hz <= 25
    assert [one["mode"] for one in wave["meets"]] == [n for n, so in zip(own.names, heard, strict=True) if so]
    assert [one["speed_m_s"] for one in wave["meets"]] == pytest.approx(
        [f * wave["length_m"] for f in own.frequency_hz[heard]], rel=1e-6
    )
    for one in wave["meets"]:
        assert one["looked_at"] == (case.speeds[0] <= one["speed_m_s"] <= case.speeds[1])
    assert told["run"]["case_sha256"] == case.sha256


def test_tables_say_the_same_in_the_cases_units(found):
    rows = dict(row[:2] for row in roughness_table(found).rows)
    assert rows["roughness index"] == f"{found.index.whole:.2f} m/km"
    assert rows["class"] == found.spectrum.road_class
    assert len(segments_table(found).rows) == 7
    row = waves_table(found).rows[0]
    met = [one for one in meetings(found, found.waves[0]) if one.looked_at]
    assert len(row[3].split(" at ")) == len(met) + 1


def test_many_segments_show_the_roughest(lane):
    found = study(str(lane), 10.0, None, None, None)
    table = segments_table(found)
    roughest = sorted((f"{s.index:.2f}" for s in found.index.segments), key=float)[-20:]
    assert sorted((row[2] for row in table.rows), key=float) == roughest
    assert [row[0] for row in table.rows] == sorted(row[0] for row in table.rows), "in the order of the road"
    assert "20 roughest of 63" in table.note


def test_a_terminal_gets_all_of_it(lane, capsys):
    text = printed(capsys, str(lane), "--case", str(CASE))
    for words in ("Road", "lane.csv", "m/km", "ISO 8608", "Wavelengths that stand out", "What was done"):
        assert words in text
    assert re.search(r"frame bending 1 at \d+\.\d km/h", text)


def test_without_a_wavelength_it_says_so(tmp_path, capsys):
    road = realised(of_class("A"), 500.0, 0.25, seed=3)
    file = tmp_path / "heights.txt"
    file.write_text("\n".join(f"{h:.6f}" for h in road.heights), encoding="utf-8")
    text = printed(capsys, str(file), "--spacing", "0.25 m", "--elevation-unit", "m")
    assert "No wavelength stands out" in text


def test_a_short_road_says_what_it_cannot_tell(tmp_path, capsys):
    file = tmp_path / "short.txt"
    road = realised(of_class("B"), 20.0, 0.25, seed=1)
    file.write_text("\n".join(f"{h:.6f}" for h in road.heights), encoding="utf-8")
    told = json.loads(printed(capsys, str(file), "--spacing", "25 cm", "--case", str(CASE), "--json"))
    assert told["class"] is None
    assert told["iri_whole_m_km"] > 0
    assert any("128 samples" in said for said in told["done"])


def test_a_road_shorter_than_the_vehicle_is_refused_with_the_length_needed(tmp_path):
    file = tmp_path / "short.txt"
    road = realised(of_class("B"), 3.0, 0.01, seed=1)
    file.write_text("\n".join(f"{h:.6f}" for h in road.heights), encoding="utf-8")
    with pytest.raises(CounterbounceError, match=r"2.99 m long: 3.8 m or more, for the vehicle"):
        study(str(file), 100.0, 0.01, "m", str(CASE))


def test_a_road_too_short_for_a_tenth_of_a_cycle_says_so(tmp_path):
    file = tmp_path / "short.txt"
    road = realised(of_class("B"), 30.0, 0.05, seed=1)
    file.write_text("\n".join(f"{h:.6f}" for h in road.heights), encoding="utf-8")
    found = study(str(file), 100.0, 0.05, "m", None)
    assert any("extended to there" in said for said in found.done)


@pytest.mark.parametrize(
    ("text", "options", "words"),
    [
        ("0 0\n1 0.1\n0.5 0\n2 0", [], "bad.txt:3: 0.5: a distance beyond the last one"),
        ("0 0\n1 0.1\n2 0\n3 0", ["--segment", "far"], "--segment"),
        ("0 0\n1 0.1\n2 0\n3 0", ["--segment", "100", "--spacing", "3 kg"], "2 faults"),
        ("0 0\n1 0.1\n2 0\n3 0", [], "11 m of road"),
        ("0 0\n1 0.1\n2 0\n3 0", ["--segment", "10 cm"], "--segment = 0.1 m: a spacing of the profile"),
        ("0 0\n1 0.1\n2 0\n3 0", ["--case", "no_such_case.toml"], "no_such_case.toml"),
        ("0\n1\n2\n3", ["--spacing", "0 m"], "more than 0"),
    ],
)
def test_bad_input_is_a_fault_without_a_traceback(tmp_path, capsys, text, options, words):
    file = tmp_path / "bad.txt"
    file.write_text(text, encoding="utf-8")
    assert run(["road", str(file), *options]) == 2
    shown = capsys.readouterr()
    assert words in shown.err
    assert shown.out == ""
    assert "Traceback" not in shown.err


def test_a_file_that_is_not_there(capsys):
    assert run(["road", "nowhere.csv"]) == 2
    assert "nowhere.csv: cannot be read" in capsys.readouterr().err
