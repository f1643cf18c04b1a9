"""The command `read`, its pictures and its report: what is said, written and refused."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from counterbounce.app.cli import ANSWERED, FAULT_OF_THE_INPUT, _failed
from counterbounce.app.figures import svg
from counterbounce.app.read import read
from counterbounce.app.read_dials import points_picture
from counterbounce.app.read_pictures import drawings, map_of
from counterbounce.app.read_report import write_report
from counterbounce.app.read_study import Asked, study
from counterbounce.app.read_together import shown_row, together_of
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.findings import PointMotion
from counterbounce.model.measured.notes import HealthNote
from counterbounce.model.measured.rotation import shaft_from_times

EXAMPLE = Path(__file__).parents[2] / "examples" / "technician"
RIDE, CASE = str(EXAMPLE / "ride.csv"), str(EXAMPLE / "flatbed.toml")


@pytest.fixture(scope="module")
def heard():
    return study(Asked((RIDE,), CASE))


@pytest.fixture
def ask(tmp_path, monkeypatch):
    """The command as the program runs it: (exit code, what it said)."""
    monkeypatch.chdir(tmp_path)

    def run(*arguments):
        done = CliRunner().invoke(read, arguments)
        if done.exception is not None and not isinstance(done.exception, SystemExit):
            return _failed(done.exception), str(done.exception)
        return done.exit_code, done.output

    return run


# --- pictures ---------------------------------------------------------------------------------------------


def test_the_map_is_darkest_where_the_wheel_meets_the_mode(heard):
    found = map_of(heard)
    seen = found.frequency > 5
    levels = np.where(seen, found.along_time[0], 0.0)
    strip, line = np.unravel_index(np.nanargmax(levels), levels.shape)
    around = heard.evidence.estimates["circumference"].value
    assert found.frequency[line] == pytest.approx(8.75, abs=0.4)
    assert found.speed[strip] / around == pytest.approx(8.75, abs=0.6)


def test_a_point_that_moves_against_the_other_has_its_hand_down(heard):
    one = heard.evidence.findings[0]
    points = {
        "rear end": PointMotion(0.4, 0.0, 0.0, 1.0),
        "driver's floor": PointMotion(0.2, np.pi, 0.1, 0.9),
    }
    changed = replace(one, points=points, where="rear end")
    figure = points_picture(replace(heard, evidence=replace(heard.evidence, findings=(changed,))))
    hands = [line for line in figure.axes[0].lines if line.get_linewidth() == 2.6]
    rises = sorted(float(np.diff(line.get_ydata())[0]) for line in hands)
    assert rises == pytest.approx([-0.23, 0.46])  # half the level, half as long, and downward


def test_tramp_is_shown_where_it_is(heard):
    tramp = replace(heard.evidence.findings[0], kind="outside_the_model", where="rear axle", points={})
    names = ("driver's floor", "rear axle, left", "rear axle, right")
    beside = replace(heard.slow, names=names)
    assert shown_row(replace(heard, slow=beside, evidence=replace(heard.evidence, findings=(tramp,)))) == 1


def test_a_point_whose_phase_is_not_known_has_no_hand(heard):
    one = heard.evidence.findings[0]
    points = {"rear end": PointMotion(0.4, 0.0, float("inf"), 0.0)}
    changed = replace(heard.evidence, findings=(replace(one, points=points),))
    figure = points_picture(replace(heard, evidence=changed))
    assert not [line for line in figure.axes[0].lines if line.get_linewidth() == 2.6]
    assert "none to tell" in " ".join(text.get_text() for text in figure.axes[0].texts)


def test_without_a_speed_there_is_no_map_and_the_page_says_why(heard, tmp_path):
    still = replace(heard.slow, speed=np.zeros_like(heard.slow.speed))
    blind = replace(heard, slow=still)
    assert "order_map" not in drawings(blind)
    page = write_report(blind, tmp_path / "out").read_text(encoding="utf-8")
    assert "No picture of the shake against speed" in page


def test_a_shaft_that_swings_with_the_shake_is_above_the_line(heard):
    """The swing is made of the shake itself; beside it, a shaft that turns evenly."""
    time = np.arange(heard.slow.shake.shape[1]) / heard.slow.rate
    shake = heard.slow.shake[shown_row(heard)]
    for swing, moves in ((0.02, True), (0.0, False)):
        speed = 40.0 * (1 + swing * shake / shake.std())
        turns = np.cumsum(speed) / heard.slow.rate
        times = np.interp(np.arange(1, int(turns[-1] * 4)) / 4, turns, time)
        found = together_of(replace(heard, shaft=shaft_from_times(times, 4, 0, clock=1e6)))
        near = np.abs(found.spectra.frequency - found.frequency) < 0.3
        assert (found.spectra.coherence(0, "shaft")[near].max() > 0.5) == moves
        assert len(found.swing) == len(found.shake) > 10
        along = np.corrcoef(found.swing, found.shake)[0, 1]
        assert (along > 0.8) == moves


def test_the_same_recording_gives_the_same_bytes(heard):
    first, second = ([svg(draw()) for draw in drawings(heard).values()] for _ in range(2))
    assert first == second
    assert len(first) == 3


# --- the report -------------------------------------------------------------------------------------------


def test_the_page_stands_alone_and_links_the_guide(heard, tmp_path):
    path = write_report(heard, tmp_path / "out")
    page = path.read_text(encoding="utf-8")
    outside = [link for link in re.findall(r'(?:src|href)="([^"#]+)', page) if not link.startswith("data:")]
    assert outside == ["recording-guide.html"]
    assert all((path.parent / link).is_file() for link in outside)
    assert page.count('role="img"') == 3
    for words in ("Can the recording be trusted?", "Before anyone drives", heard.hashes["ride.csv"]):
        assert words in page
    guide = (path.parent / "recording-guide.html").read_text(encoding="utf-8")
    assert "beat every 810 m" in guide  # 2.44 m over 0.3 %


def test_what_is_wrong_with_the_recording_stands_beside_the_answer(heard, tmp_path):
    note = HealthNote("rear end", "clipping", 3.0, 9.5, "41 samples at 19.6 m/s^2", "left as it is")
    ill = replace(heard, recording=replace(heard.recording, notes=(note,)))
    page = write_report(ill, tmp_path / "ill").read_text(encoding="utf-8")
    answer = page[page.index('class="answer"') : page.index("Before anyone drives")]
    assert "rear end: clipping" in answer
    assert "41 samples at 19.6 m/s²" in page
    well = write_report(heard, tmp_path / "well").read_text(encoding="utf-8")
    assert "Not all of this recording is sound" not in well


def test_words_from_a_recording_are_no_markup(heard, tmp_path):
    ride = replace(heard.recording.ride, name="<b>bold</b>")
    found = replace(heard, recording=replace(heard.recording, ride=ride))
    page = write_report(found, tmp_path / "out").read_text(encoding="utf-8")
    assert "<b>bold" not in page
    assert "&lt;b&gt;bold" in page


def test_foreign_files_are_left_alone(heard, tmp_path):
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine.txt").write_text("mine")
    with pytest.raises(CounterbounceError, match="did not write"):
        write_report(heard, tmp_path / "out")
    assert [file.name for file in (tmp_path / "out").iterdir()] == ["mine.txt"]


# --- the command ------------------------------------------------------------------------------------------


def test_every_fault_of_the_options_at_once(ask, tmp_path):
    code, said = ask(
        RIDE, "--tyre", "999", "--circumference", "2 s", "--rate", "fast", "--sensor", "x",
        "--sensor", "rear end = tail, sideways",
    )  # fmt: skip
    assert code == FAULT_OF_THE_INPUT
    assert said.startswith("6 faults")  # the tyre twice: it is no size, and the circumference says it already
    for option in ("--tyre", "--circumference", "--rate", "--sensor = x", "sideways"):
        assert option in said
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((CASE,), "wanted a recording"),
        ((RIDE, CASE, CASE), "one case at most"),
        (("nowhere.csv",), "there is no such file"),
        ((RIDE, "--sensor", "rear tip = tail"), "no such column"),
        ((RIDE, "--pulses", "nowhere.txt"), "there is no such file"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_reason(ask, tmp_path, arguments, words):
    code, said = ask(*arguments)
    assert (code, words in said) == (FAULT_OF_THE_INPUT, True)
    assert list(tmp_path.iterdir()) == []


def test_a_sensor_that_hangs_upside_down_turns_its_phase(ask):
    floor = "driver's floor"
    phases = {}
    for more in ("", ", inverted"):
        code, said = ask(
            RIDE, "--json", "--sensor", "rear end = tail", "--sensor", f"{floor} = {floor}{more}"
        )
        assert code == ANSWERED
        phases[more] = json.loads(said)["findings"][0]["points"][floor]["phase_rad"]
    turned = np.exp(1j * (phases[", inverted"] - phases[""]))
    assert turned.real == pytest.approx(-1.0, abs=1e-3)


def test_it_says_what_it_found_and_the_one_next_step(ask, tmp_path):
    code, said = ask(RIDE, CASE, "--out", "here")
    words = " ".join(said.split())
    assert code == ANSWERED
    assert (
        words.index("FOUND") < words.index("NEXT") < words.index("BEFORE DRIVING") < words.index("Findings")
    )
    assert words.count("NEXT ") == 1
    assert "mph" in words
    assert (tmp_path / "here" / "report.html").is_file()
