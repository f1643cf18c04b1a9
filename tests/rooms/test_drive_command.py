"""The command `drive`: what it says, what it writes, and what it refuses."""

from __future__ import annotations

import json

import numpy as np
import pytest
from click.testing import CliRunner

from counterbounce.app.cli import ANSWERED, FAULT_OF_THE_INPUT, _failed
from counterbounce.app.drive import drive
from counterbounce.app.driven import Asked, driven
from counterbounce.model.example import TEXT, small_case
from counterbounce.model.ride_files import read_ride
from counterbounce.sizing.absorber import tuned

QUICK = ("--speed", "26 km/h", "--seconds", "2", "--rate", "250")
IN_HAND = ("--mass", "30 kg", "--tuned", "3 Hz", "--damping", "10 %", "--at", "rear end")


@pytest.fixture
def ask(tmp_path, monkeypatch):
    """The command as the program runs it: (exit code, what it said)."""
    (tmp_path / "truck.toml").write_text(TEXT, encoding="utf-8")
    monkeypatch.chdir(tmp_path)

    def run(*arguments, case="truck.toml"):
        done = CliRunner().invoke(drive, [case, *arguments])
        if done.exception is not None and not isinstance(done.exception, SystemExit):
            return _failed(done.exception), str(done.exception)
        return done.exit_code, done.output

    return run


# --- what it says -----------------------------------------------------------------------------------------


def test_it_says_what_each_channel_amounts_to(ask):
    code, said = ask(*QUICK, *IN_HAND, "--road", "class B")
    assert code == ANSWERED
    for words in (
        "class B",
        "30.0 kg at rear end",
        "front tyre load variation",
        "damper stroke",
        "with the damper",
    ):
        assert words in " ".join(said.split())


def test_without_a_damper(ask):
    code, said = ask(*QUICK, "--no-damper")
    assert code == ANSWERED
    assert "damper" not in said
    assert "class A, assumed" in said


def test_by_default_it_is_the_best_damper_of_the_case(ask):
    code, said = ask(*QUICK, "--json")
    hung = json.loads(said)["damper"]
    assert (code, hung["place"]) == (ANSWERED, "rear end")
    assert hung["tuned_hz"] == pytest.approx(2.97, abs=0.1)


def test_json(ask):
    code, said = ask(*QUICK, *IN_HAND, "--to", "20 km/h", "--json", "--out", "a.wav")
    told = json.loads(said)
    assert code == ANSWERED
    assert (told["speed_m_s"], told["to_m_s"]) == pytest.approx((26 / 3.6, 20 / 3.6))
    assert told["files"] == ["a.wav", "a.wav.json"]
    first, last = told["channels"][0], told["channels"][-1]
    assert (first["name"], first["unit"], last["name"]) == ("front end", "m/s^2", "damper stroke")
    assert 0 < first["rms"] < first["peak"]
    assert last["rms"] is None
    assert 0 < last["rms_with_damper"] < last["peak_with_damper"]
    assert told["labels"]["speed"] == "26.00 km/h to 20.00 km/h"
    assert told["run"]["seed"] == 1


# --- what it writes ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["a.csv", "a.wav", "a.npz", "a.parquet"])
def test_the_ride_that_is_written_is_the_one_that_was_driven(ask, name):
    assert ask(*QUICK, *IN_HAND, "--out", name)[0] == ANSWERED
    asked = Asked(26 / 3.6, 26 / 3.6, 2.0, 250.0, "case", "drawn", 1)
    found = driven(small_case(), asked, tuned("rear end", 30.0, 3.0, 0.1))
    back = read_ride(name)
    assert back.channels == found.ride.channels
    largest = np.abs(found.ride.samples).max(axis=1, keepdims=True)
    assert np.abs(back.samples / largest - found.ride.samples / largest).max() < 1e-6
    assert (back.rate, back.start, back.duration) == (250.0, 0.0, 2.0)
    assert back.labels["wheels"] == "phases drawn by the seed"


@pytest.mark.parametrize(("name", "begins"), [("a.svg", b"<?xml"), ("a.png", b"\x89PNG")])
def test_the_picture_is_written(ask, tmp_path, name, begins):
    assert ask(*QUICK, *IN_HAND, "--picture", name)[0] == ANSWERED
    assert (tmp_path / name).read_bytes().startswith(begins)


def test_nothing_is_written_over(ask, tmp_path):
    (tmp_path / "a.wav.json").write_text("mine")
    code, said = ask(*QUICK, *IN_HAND, "--out", "a.wav", "--picture", "a.svg")
    assert (code, "a.wav.json: is there already" in said) == (FAULT_OF_THE_INPUT, True)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.wav.json", "truck.toml"]
    assert (tmp_path / "a.wav.json").read_text() == "mine"


def test_what_lies_in_the_way_is_said_before_any_work(ask, tmp_path):
    (tmp_path / "a.csv").write_text("mine")
    assert "a.csv: is there already" in ask(*QUICK, "--out", "a.csv", case="absent.toml")[1]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--speed", "0 km/h"), "--speed = '0 km/h'"),
        (("--speed", "26", "--to", "fast"), "--to = 'fast'"),
        (("--speed", "26 km/h", "--to", "-1 km/h"), "--to = '-1 km/h'"),
        (("--speed", "26 km/h", "--road", "class Q"), "wanted a class of A, B"),
        (("--speed", "26 km/h", "--road", "joints"), "the case has no [inputs] joints"),
        (("--speed", "26 km/h", "--road", "wave"), "the case has no [inputs] wave"),
        (("--speed", "26 km/h", "--road", "absent.csv"), "absent.csv: cannot be read"),
        (("--speed", "26 km/h", "--out", "a.xls", "--picture", "a.gif"), "2 faults"),
        (("--speed", "26 km/h", "--mass", "20 kg"), "--at: wanted"),
        (("--speed", "26 km/h", *IN_HAND[:-1], "rear and"), 'did you mean "rear end"'),
        (("--speed", "26 km/h", *IN_HAND, "--seconds", "36000"), "fewer than 4,000,000 samples"),
        (("--speed", "26 km/h", "--rate", "100"), "--rate"),
    ],
)
def test_what_is_refused(ask, tmp_path, arguments, said):
    no_damper = () if "--mass" in arguments else ("--no-damper",)
    code, answered = ask(*arguments, *no_damper)
    assert (code, said in answered) == (FAULT_OF_THE_INPUT, True), answered
    assert [p.name for p in tmp_path.iterdir()] == ["truck.toml"]


def test_a_road_that_is_too_short_is_refused_with_what_is_needed(ask, tmp_path):
    lines = "\n".join(f"{x},{0.001 * (x % 2)}" for x in range(40))
    (tmp_path / "short.csv").write_text(f"distance [m],height [m]\n{lines}\n")
    code, said = ask(*QUICK, "--no-damper", "--road", "short.csv")
    assert code == ANSWERED, said
    code, said = ask(*QUICK[:2], "--seconds", "10", "--no-damper", "--road", "short.csv")
    assert code == FAULT_OF_THE_INPUT
    assert "39 m long, and the drive needs 73" in said
