"""The commands `verify` and `score`, and `assess --seal`, as their users run them."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from counterbounce.app.cli import run
from counterbounce.app.driven import Asked, driven
from counterbounce.model.case import load
from counterbounce.model.ride import Channel, Ride
from counterbounce.model.ride_files import ride_bytes
from counterbounce.sizing.absorber import tuned
from counterbounce.sizing.sealed import read_sealed

TRUCK = Path(__file__).parents[2] / "examples" / "engineer" / "box_truck.toml"
SECONDS = 40.0


def saved(ride, path):
    for file, content in ride_bytes(ride, path).items():
        file.write_bytes(content)
    return str(path)


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    """A sealed prediction, and rides of the same truck before and after: simulated, eight of each."""
    folder = tmp_path_factory.mktemp("job")
    sealed = folder / "sealed.json"
    assert run(["assess", str(TRUCK), "--no-report", "--seal", str(sealed)]) == 0
    case, damper, files = load(TRUCK), read_sealed(sealed).damper, {"before": [], "after": []}
    for seed in range(8):
        for side, hung in (("before", None), ("after", damper)):
            asked = Asked(84 / 3.6, 92 / 3.6, SECONDS, 200.0, "class A", "drawn", seed + 10 * bool(hung))
            ride = driven(case, asked, hung).ride
            name = "driver's floor" + (", with the damper" if hung else "")
            channel = (Channel("driver's floor", "m/s^2"),)
            one = Ride("", ride.rate, 0.0, channel, ride.channel(name)[None], ride.labels)
            files[side].append(saved(one, folder / f"{side}{seed}.npz"))
    return folder, str(sealed), files


def asked(files, *more):
    return ["verify", "--before", *files["before"], "--after", *files["after"], *more]


def test_a_damper_that_helps_is_shown_and_its_sealed_prediction_scored(job, capsys, tmp_path):
    _, sealed, files = job
    score = tmp_path / "jobs" / "score.json"
    capsys.readouterr()
    assert run(asked(files, "--sealed", sealed, "--score", str(score), "--json")) == 0
    told = json.loads(capsys.readouterr().out)
    low, high = told["change"]["reduction_interval"]
    assert told["outcome"] == "less"
    assert told["score"]["low"] - 0.1 < told["change"]["reduction"] < told["score"]["high"] + 0.1
    assert low < told["change"]["reduction"] < high
    assert run(["score", str(score.parent), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["jobs"][0]["sealed_sha256"] == told["score"]["sealed_sha256"]
    assert run(["score", str(score.parent)]) == 0
    assert "intervals held" in capsys.readouterr().out


def test_the_answer_is_readable_and_speaks_of_orders(job, capsys):
    _, _, files = job
    capsys.readouterr()
    assert run(asked(files, "--case", str(TRUCK))) == 0
    said = capsys.readouterr().out
    for words in ("IT SHAKES LESS", "BEFORE DRIVING", "wheel order 1", "Speed by speed", "88.0 km/h", "NOTE"):
        assert words in said


def test_speed_can_be_told_for_recordings_without_one(tmp_path, capsys):
    draw, files = np.random.default_rng(1), {"before": [], "after": []}
    for side, files_of in files.items():
        for i in range(4):
            rows = draw.standard_normal((1, 4000))
            ride = Ride("", 100.0, 0.0, (Channel("seat", "m/s^2"),), rows)
            files_of.append(saved(ride, tmp_path / f"{side}{i}.csv"))
    assert run(asked(files)) == 2
    assert "--speed" in capsys.readouterr().err
    assert run(asked(files, "--speed", "80 km/h", "--json")) == 0
    assert json.loads(capsys.readouterr().out)["outcome"] == "not_shown"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--beat", "3"], "the unit is missing"),
        (["--different", "lod"], 'did you mean "load"'),
        (["--at", "seat"], "--at = seat"),
        (["--score", "x.json"], "--score wants --sealed"),
        (["--sealed", "nowhere.json"], "nowhere.json: cannot be read"),
    ],
)
def test_bad_options_end_in_a_clear_fault(job, capsys, more, said):
    capsys.readouterr()
    assert run(asked(job[2], *more)) == 2
    assert said in capsys.readouterr().err


def test_a_drive_that_holds_both_counts_with_the_damper_after_the_fix(tmp_path, capsys):
    over = Asked(88 / 3.6, 88 / 3.6, SECONDS, 200.0, "smooth", "in-phase", 1)
    hung = {"before": None, "after": tuned("rear end", 40.0, 8.93, 0.052)}
    files = {
        side: [saved(driven(load(TRUCK), over, one).ride, tmp_path / f"{side}.npz")]
        for side, one in hung.items()
    }
    capsys.readouterr()
    assert run(asked(files, "--json")) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["change"]["channel"] == "driver's floor"
    assert told["change"]["reduction"] > 0.5


def test_the_same_ride_does_not_count_twice(job, capsys):
    files = job[2]
    assert run(asked({"before": files["before"], "after": files["before"]})) == 2
    assert "is the same ride as" in capsys.readouterr().err


def test_a_tampered_seal_is_refused(job, capsys, tmp_path):
    _, sealed, files = job
    changed = tmp_path / "sealed.json"
    changed.write_text(Path(sealed).read_text().replace('"mass_kg": ', '"mass_kg": 1'))
    assert run(asked(files, "--sealed", str(changed), "--score", str(tmp_path / "score.json"))) == 2
    assert "was changed after it was sealed" in capsys.readouterr().err
    assert not (tmp_path / "score.json").exists()


def test_nothing_is_written_over(job, capsys):
    _, sealed, files = job
    was = Path(sealed).read_bytes()
    assert run(["assess", str(TRUCK), "--no-report", "--seal", sealed]) == 2
    assert run(asked(files, "--sealed", sealed, "--score", sealed)) == 2
    assert Path(sealed).read_bytes() == was


def test_a_folder_without_scores_is_refused(capsys, tmp_path):
    (tmp_path / "other.json").write_text("[1, 2]")  # anybody's, and none of ours
    assert run(["score", str(tmp_path)]) == 2
    assert "holds no score" in capsys.readouterr().err
    assert run(["score", str(tmp_path / "none")]) == 2
    (tmp_path / "score.json").write_text('{"kind": "score')
    assert run(["score", str(tmp_path)]) == 2
    assert "score.json: is no JSON" in capsys.readouterr().err
