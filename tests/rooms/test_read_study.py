"""What the command `read` studies: files, a case's sizes, pulses, tables and JSON; all rides are invented."""

from __future__ import annotations

import csv
import hashlib
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from counterbounce.app import read_tables
from counterbounce.app.read_answer import answer
from counterbounce.app.read_study import Asked, shaft_of, stations_of, study
from counterbounce.model.case import load
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.columns import Began
from counterbounce.model.measured.findings import Finding, PointMotion
from counterbounce.model.measured.sensors import Sensor
from counterbounce.model.units import Display

RATE, AROUND, RATIO = 100.0, 2.4, 4.1
HEADER = ("time [s]", "driver's floor [m/s^2]", "rear axle [m/s^2]", "speed [m/s]")


def rows_of(seconds=80.0, seed=5):
    """A wheel 2.3 mm out of true, through a sweep: what an axle and a floor make of it, in noise."""
    time = np.arange(0, seconds, 1 / RATE)
    speed = 15.0 + 10.0 * time / seconds
    turn = 2 * np.pi * np.cumsum(speed) / RATE / AROUND
    noise = np.random.default_rng(seed).standard_normal((2, len(time)))
    shake = 0.004 * speed**2 * np.cos(turn)
    return np.stack([time, shake + 0.02 * noise[0], 2 * shake + 0.05 * noise[1], speed], axis=1)


def write(path: Path, rows, header=HEADER) -> str:
    with path.open("w", newline="", encoding="utf-8") as stream:
        lines = csv.writer(stream)
        lines.writerow(header)
        lines.writerows([[cell if isinstance(cell, str) else f"{cell:.5f}" for cell in row] for row in rows])
    return str(path)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    made = tmp_path_factory.mktemp("rides")
    write(made / "sweep.csv", rows_of())
    return made


@pytest.fixture(scope="module")
def heard(folder):
    return study(Asked((str(folder / "sweep.csv"),)))


# --- what is found ----------------------------------------------------------------------------------------


def test_a_wheel_out_of_true_is_found_with_its_circumference(heard):
    assert heard.evidence.findings[0].kind == "rotating_part"
    found = heard.evidence.estimates["circumference"]
    assert found.low < AROUND < found.high


def test_hashes_are_those_of_the_files(heard, folder):
    assert heard.hashes == {"sweep.csv": hashlib.sha256((folder / "sweep.csv").read_bytes()).hexdigest()}


def test_json_is_whole_and_names_what_a_program_asks_for(heard):
    told = json.loads(json.dumps(answer(heard), allow_nan=False))
    assert list(told) == ["run", "recording", "health", "findings", "estimates", "next_step", "limits"]
    assert told["run"]["files"][0]["sha256"] == heard.hashes["sweep.csv"]
    (first, *_) = told["findings"]
    wanted = {
        "kind", "met_by", "cause", "where", "order", "frequency_hz", "damping_ratio", "interval",
        "speed_band_m_s", "level_m_s2", "input_over_healthy", "amplified_by", "driveline", "confidence",
    }  # fmt: skip
    assert wanted <= set(first)
    assert first["met_by"] is None
    assert first["frequency_hz"] == pytest.approx(heard.evidence.findings[0].frequency_hz)
    assert told["next_step"]["text"] == str(heard.evidence.next_step)


def test_a_dead_channel_and_a_speed_written_once_a_second_are_no_failure_of_ours(folder):
    rows = [[*row[:3], 0.0, row[3] if i % 100 == 0 else ""] for i, row in enumerate(rows_of().tolist())]
    file = write(folder / "sparse.csv", rows, (*HEADER[:3], "rear end [m/s^2]", HEADER[3]))
    found = study(Asked((file,)))
    assert ("rear end", "dead") in {(note.channel, note.kind) for note in found.health}
    assert found.evidence.findings[0].kind == "rotating_part"
    assert found.slow.speed.max() == pytest.approx(25.0, abs=0.3)


# --- what a case adds -------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def case():
    return Path(__file__).parents[2] / "examples" / "technician" / "flatbed.toml"


def test_a_case_gives_sizes_and_places_and_no_prediction(folder, case, heard):
    found = study(Asked((str(folder / "sweep.csv"),), str(case)))
    assert found.asked.circumference == pytest.approx(2.438, abs=0.001)  # 3.05 x 0.7993 m
    assert found.stations["rear axle"] == pytest.approx(141 * 0.0254)
    assert found.display.speed == "mph"
    alone, beside = heard.evidence.findings[0], found.evidence.findings[0]
    assert beside.frequency_hz == pytest.approx(alone.frequency_hz, rel=1e-6)
    assert beside.kind == alone.kind


def test_options_go_before_the_case(folder, case):
    mine = (Sensor("rear axle", "tail"),)
    asked = Asked((str(folder / "sweep.csv"),), str(case), circumference=2.41, sensors=mine)
    found = study(asked)
    assert (found.asked.circumference, found.slow.names) == (2.41, ("tail",))


def test_left_and_right_of_a_point_stand_where_it_does(case):
    loaded = load(case)
    found = stations_of(loaded, ("rear axle, left", "driver's floor", "nowhere"))
    assert found == pytest.approx({"rear axle, left": 141 * 0.0254, "driver's floor": 42 * 0.0254})


# --- pulses -----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def pulse_times():
    """Of 12 teeth, one of them missing, on a propshaft."""
    rows = rows_of()
    turns = np.cumsum(rows[:, 3]) / RATE / AROUND * RATIO * 12
    numbers = np.arange(np.ceil(turns[0]), turns[-1])
    return np.interp(numbers[numbers % 12 != 0], turns, rows[:, 0])


def test_a_list_of_times_tells_the_axle_ratio(folder, pulse_times):
    listed = folder / "pulses.txt"
    listed.write_text("\n".join(f"{time:.5f}" for time in pulse_times), encoding="utf-8")
    found = study(Asked((str(folder / "sweep.csv"),), pulses=str(listed), teeth=12, missing=1))
    ratio = found.evidence.estimates["shaft ratio"]
    assert ratio.low < RATIO < ratio.high
    assert found.evidence.findings[0].driveline == "quiet"
    assert set(found.hashes) == {"sweep.csv", "pulses.txt"}
    told = answer(found)["recording"]["shaft"]
    assert (told["teeth"], told["missing"]) == (12, 1)


def test_a_waveform_says_what_the_list_says(folder, pulse_times):
    clock = 5000.0
    some = pulse_times[pulse_times < 10.0]
    time = np.arange(0, 10, 1 / clock)
    wave = np.zeros(len(time))
    for pulse in some:
        wave += np.exp(-0.5 * ((time - pulse) / 6e-4) ** 2)
    file = write(folder / "wave.csv", np.stack([time, wave], axis=1), ("time [s]", "pickup [V]"))
    listed = folder / "some.txt"
    listed.write_text("\n".join(f"{one:.6f}" for one in some), encoding="utf-8")
    by_wave, by_list = shaft_of(file, 12, 1, None), shaft_of(str(listed), 12, 1, None)
    same = np.interp(by_list.time[5:-5], by_wave.time, by_wave.speed)
    assert same == pytest.approx(by_list.speed[5:-5], rel=5e-3)


def test_times_since_1970_are_put_on_the_clock_of_the_ride(folder, pulse_times):
    file = folder / "since_1970.txt"
    file.write_text("\n".join(f"{1.78e9 + 5 + time:.6f}" for time in pulse_times))
    shaft = shaft_of(str(file), 12, 1, None, Began(1.78e9, zone="Z"))
    assert shaft.pulses[0] == pytest.approx(5 + pulse_times[0], abs=1e-5)


def test_a_time_of_pulses_that_comes_twice_is_named(folder, pulse_times):
    file = folder / "twice.txt"
    file.write_text("\n".join(f"{time:.6f}" for time in [pulse_times[0], *pulse_times]))
    with pytest.raises(CounterbounceError, match="each time must be later"):
        shaft_of(str(file), 12, 1, None)


def test_columns_without_a_clock_are_no_pulses(folder):
    file = folder / "two.csv"
    file.write_text("1;2\n2;1\n3;4\n1;1\n", encoding="utf-8")
    with pytest.raises(CounterbounceError, match="line of names and units"):
        shaft_of(str(file), 12, None, None)


# --- words ------------------------------------------------------------------------------------------------


RESONANCE = Finding(
    "resonance", "a natural frequency, met by wheel order 1, rear axle", 0.93, "wheel_order", "rear end",
    1.0, 8.75, 0.021, (8.69, 8.81), speed_band_m_s=(20.9, 21.7), level_m_s2=0.553, input_over_healthy=1.2,
    amplified_by=24.0, driveline="moves_with_it",
)  # fmt: skip


def test_a_resonance_in_words():
    said = read_tables.sentence(RESONANCE, Display("mph", "US"))
    assert said == (
        "A natural frequency at 8.75 Hz, 2.1 % damped, met by wheel order 1, rear axle. It reaches 0.553 "
        "m/s² r.m.s. at rear end, at 46.8 to 48.5 mph. The input is 1.2 times a healthy one, to a factor of "
        "two; the resonance makes 24 times as much of what comes in. 93 % sure."
    )


def test_following_is_never_told_as_driving(heard):
    follows = replace(heard, evidence=replace(heard.evidence, findings=(RESONANCE,)))
    assert "Following is not driving" in read_tables.behind_table(follows).note
    quiet = replace(
        heard, evidence=replace(heard.evidence, findings=(replace(RESONANCE, driveline="quiet"),))
    )
    assert read_tables.behind_table(quiet).note == ""


def test_a_phase_that_is_not_known_is_not_told():
    known, unknown = PointMotion(0.1, -3.0, 0.1, 0.9), PointMotion(0.1, -3.0, float("inf"), 0.0)
    assert read_tables.phase_words(known) == "−172° ± 11°"
    assert read_tables.phase_words(unknown) == "none to tell"


def test_the_next_step_is_in_the_units_of_the_reader(heard, folder, case):
    found = study(Asked((str(folder / "sweep.csv"),), str(case)))
    assert "km/h" in " ".join(text for _, text in read_tables.step_rows(heard))
    in_miles = " ".join(text for _, text in read_tables.step_rows(found))
    assert "mph" in in_miles
    assert "km/h" not in in_miles


def test_a_healthy_recording_says_so(heard):
    table = read_tables.health_table(heard)
    assert (table.rows == ()) == ("Nothing wrong" in table.note)
