"""The technician's flatbed with the recording of its ride, from the command line to the corrected case."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from counterbounce.app.cli import run
from counterbounce.model.case import load, parse
from counterbounce.model.modes import modes
from counterbounce.model.settle import settled

FOLDER = Path(__file__).parents[2] / "examples" / "technician"
CASE, RIDE = FOLDER / "flatbed.toml", FOLDER / "ride.csv"
STIFFNESS = 'bending_stiffness = "3.2 MN*m^2"'  # of the truck that was driven, as make_ride.py says


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    """The folder of a report, and what was printed."""
    folder = tmp_path_factory.mktemp("there") / "report"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COLUMNS", "100")
        assert run(["assess", str(CASE), "--recording", str(RIDE), "--out", str(folder)]) == 0
    return folder


@pytest.fixture(scope="module")
def told(report):
    return json.loads((report / "answer.json").read_text(encoding="utf-8"))


def test_the_recording_settles_what_the_placard_left_open(told):
    """The frame of the truck that was driven: inside the interval, which is a fifth of what it was."""
    text = CASE.read_text(encoding="utf-8").replace("[frame]", f"[frame]\n{STIFFNESS}")
    case = parse(text)
    truth = modes(settled(case.plan, case.numbers))
    true = float(truth.frequency_hz[truth.names.index("frame bending 1")])
    before, after = told["without_recordings"], told["modes"][told["target"]["mode_index"]]
    low, high = after["frequency_interval_hz"]
    assert low < true < high
    assert high - low < 0.2 * (before["frequency_interval_hz"][1] - before["frequency_interval_hz"][0])
    assert told["target"]["mode"] == "frame bending 1"


def test_more_plausible_vehicles_are_helped_than_before(told):
    assert (
        told["plausible"]["share_helped_retuned"] > 0.9 > told["without_recordings"]["share_helped_retuned"]
    )
    assert "The recording confirms it" in told["verdict"]["sentence"]


def test_other_wheels_made_it_weaker_and_that_still_stands(told):
    assert told["verdict"]["outcome"] == "unsure"
    assert told["verdict"]["next_step"].startswith("The wheels first")


def test_the_corrected_case_lies_in_the_report_and_can_be_asked_again(report, told, capsys):
    corrected = report / "flatbed-calibrated.toml"
    assert told["calibration"]["written"] == "flatbed-calibrated.toml"
    assert load(corrected).sha256 == told["run"]["case_sha256"]
    capsys.readouterr()
    assert run(["assess", str(corrected), "--json"]) == 0
    again = json.loads(capsys.readouterr().out)
    assert again["damper"] == told["damper"]
    assert again["plausible"] == told["plausible"]


def test_the_page_shows_what_was_said_what_moved_and_both_answers(report):
    page = (report / "report.html").read_text(encoding="utf-8")
    for words in (
        "What the recordings said, and what they moved", "The answer without and with the recordings",
        "a natural frequency, met by wheel order 1, rear axle", "What moved", "Taken for: ride, shake 1",
        'href="flatbed-calibrated.toml"',
    ):  # fmt: skip
        assert words in page
    assert page.count("Before anyone drives") == page.count(">Cautions<") == 1


def test_nothing_is_written_where_nothing_is_wanted(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert run(["assess", "--recording", str(RIDE), str(CASE), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["calibration"]["written"] is None
    assert told["recordings"][0]["name"] == "ride"
    assert list(tmp_path.iterdir()) == []


def test_a_terminal_reads_findings_both_answers_and_where_the_case_lies(tmp_path, capsys):
    assert run(["assess", str(CASE), "--recording", str(RIDE), "--out", str(tmp_path / "r")]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert re.search(r"answer unsure unsure mode in question frame bending 1 frame bending 1", out)
    assert "What the recording ride said (115 s at 100 Hz, 3 acceleration channels" in out
    assert "Nothing wrong with it was found." in out
    assert f"The corrected case: {tmp_path / 'r' / 'flatbed-calibrated.toml'}" in out


# --- bad files and options ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("nowhere.csv", None),
        ("empty.csv", b""),
        ("rubbish.wav", bytes(range(256)) * 4),
        ("words.csv", b"time [s],seat [g]\n0,a\n1,b\n"),
        ("short.csv", b"time [s],driver's floor [g]\n0,1\n0.01,1\n"),
        ("strange.xyz", b"1,2,3"),
    ],
)
def test_a_bad_recording_is_a_clear_fault_and_leaves_nothing(tmp_path, capsys, name, content):
    if content is not None:
        (tmp_path / name).write_bytes(content)
    before = set(tmp_path.iterdir())
    arguments = ["assess", str(CASE), "--recording", str(RIDE), str(tmp_path / name)]
    assert run([*arguments, "--out", str(tmp_path / "report"), "--seal", str(tmp_path / "seal.json")]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert name in said.err
    assert "Traceback" not in said.err
    assert set(tmp_path.iterdir()) == before


@pytest.mark.parametrize(
    ("options", "word"),
    [
        (["--pulses", "teeth.txt"], "speak of a --recording"),
        (["--together"], "speak of a --recording"),
        (["--recording", str(RIDE), "other.csv", "--pulses", "teeth.txt"], "belong to one ride"),
        (["--recording", str(RIDE), "--rate", "fast"], "--rate"),
        (["--recording", str(RIDE), "--sensor", "seat"], "wanted a column, an equals sign and a point"),
        (["--recording", str(RIDE), "--no-report", "--out", "x"], "contradict"),
    ],
)
def test_options_that_make_no_sense_are_refused(tmp_path, monkeypatch, capsys, options, word):
    monkeypatch.chdir(tmp_path)
    assert run(["assess", str(CASE), *options]) == 2
    assert word in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_files_of_one_ride_are_read_together(tmp_path, capsys):
    """The same ride, a file for its points and one for its speed."""
    rows = [line.split(",") for line in RIDE.read_text(encoding="utf-8").splitlines()[1:]]
    for name, columns in (("points.csv", (0, 1, 2, 3)), ("speed.csv", (0, 4))):
        text = "\n".join(",".join(row[i] for i in columns) for row in rows)
        (tmp_path / name).write_text(text + "\n", encoding="utf-8")
    files = [str(tmp_path / name) for name in ("points.csv", "speed.csv")]
    assert run(["assess", str(CASE), "--recording", *files, "--together", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert len(told["recordings"]) == 1
    assert told["recordings"][0]["findings"][0]["kind"] == "resonance"
