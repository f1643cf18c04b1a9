"""The recording guide: one page, its numbers from the assessment, and no speeds where nobody should drive."""

from __future__ import annotations

import re
import shutil
import subprocess
from html import unescape
from pathlib import Path

import pytest

from counterbounce.app.drive_card import BEATS, beat_length, hold, reach
from counterbounce.app.papers import to_html
from counterbounce.app.recording_guide import LEAST_RATE, recording_guide
from counterbounce.model.case import load
from counterbounce.model.measured.ride_health import ENOUGH
from counterbounce.sizing.assess import assess

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)


@pytest.fixture
def root_of_examples():
    return Path(__file__).parents[2] / "examples"


def words(text):
    bare = re.sub(r"<style>.*?</style>", " ", text, flags=re.S)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", bare)).split())


def test_it_says_where_how_and_how_long(root_of_examples):
    a = assess(load(root_of_examples / "engineer" / "box_truck.toml"))
    said = words(to_html(recording_guide(a)))
    low, _ = reach(a)
    assert f"a pass holds {BEATS} beats, {hold(a, low):.0f} s at {a.case.display.show(low, 'speed')}" in said
    assert a.case.display.show(beat_length(a), "length") in said
    for point in a.host.vehicle.watched[:2]:
        assert f"{point.name} {point.direction}" in said
    assert "rear axle, left" in said


def test_the_rate_it_doubts_is_the_one_that_is_doubted():
    assert LEAST_RATE == ENOUGH


def test_no_speeds_for_a_vehicle_that_is_to_stay(assessed):
    said = words(to_html(recording_guide(assessed("shimmy"))))
    assert "names no speeds" in said
    assert "Sweep" not in said
    assert "km/h up" not in said


@pytest.mark.parametrize("name", ["truck", "silent", "unheard", "quarter", "shimmy"])
@pytest.mark.skipif(BROWSER is None, reason="no Chromium here")
def test_it_is_one_page(name, assessed, tmp_path):
    page, pdf = tmp_path / "guide.html", tmp_path / "guide.pdf"
    page.write_text(to_html(recording_guide(assessed(name))), encoding="utf-8")
    command = [BROWSER, "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"]
    command += [
        f"--user-data-dir={tmp_path}",
        "--no-pdf-header-footer",
        f"--print-to-pdf={pdf}",
        page.as_uri(),
    ]
    subprocess.run(command, capture_output=True, check=True, timeout=120)
    assert len(re.findall(rb"/Type\s*/Page\b", pdf.read_bytes())) == 1
