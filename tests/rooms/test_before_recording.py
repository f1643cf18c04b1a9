"""`read --guide`: what to do before there is a recording, on the screen and on one page of either paper."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from counterbounce.app.cli import main

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
FLATBED = str(Path(__file__).parents[2] / "examples" / "technician" / "flatbed.toml")


@pytest.fixture
def ask(tmp_path, monkeypatch, capsys):
    def run(*arguments):
        monkeypatch.chdir(tmp_path)
        with pytest.raises(SystemExit) as ended:
            main(["read", "--guide", *arguments])
        told = capsys.readouterr()
        return ended.value.code, " ".join((told.out + told.err).split())

    return run


def test_it_needs_no_recording_and_says_all_that_a_ride_needs(ask, tmp_path):
    code, said = ask()
    assert code == 0
    for word in (
        "Where:",
        "How to fix them",
        "200 samples a second",
        "cold pressure",
        "Sweep from",
        "3 beats",
        "No reading of screens while driving",
    ):
        assert word in said
    assert (tmp_path / "recording-guide" / "recording-guide.html").is_file()


def test_a_size_makes_the_beats_those_of_its_wheels(ask):
    _, usual = ask("--no-report")
    _, told = ask("--no-report", "--circumference", "3.0 m")
    assert "every 800 m" in usual
    assert "every 1000 m" in told


def test_a_case_names_places_and_speeds(ask, tmp_path):
    code, said = ask(FLATBED, "--no-report")
    assert code == 0
    assert re.search(r"Sweep \d+ to \d+ mph up", said)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    "arguments", [("ride.csv",), ("--json",), (FLATBED, FLATBED), ("--tyre", "round"), ("absent.toml",)]
)
def test_what_it_cannot_use_is_refused(ask, tmp_path, arguments):
    assert ask(*arguments)[0] == 2
    assert not list(tmp_path.iterdir())


def test_without_files_it_is_named(capsys):
    with pytest.raises(SystemExit) as ended:
        main(["read"])
    assert ended.value.code == 2
    assert "--guide" in capsys.readouterr().err


@pytest.mark.parametrize("sheet", ["A4", "letter"])
@pytest.mark.skipif(BROWSER is None, reason="no Chromium here")
def test_it_is_one_page_of_either_paper(ask, sheet, tmp_path):
    ask()
    text = (tmp_path / "recording-guide" / "recording-guide.html").read_text(encoding="utf-8")
    sized = text.replace("@page { margin", f"@page {{ size: {sheet}; margin")
    assert sized != text
    page, pdf = tmp_path / "guide.html", tmp_path / "guide.pdf"
    page.write_text(sized, encoding="utf-8")
    command = [
        BROWSER,
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--no-first-run",
        f"--user-data-dir={tmp_path}",
        "--no-pdf-header-footer",
        f"--print-to-pdf={pdf}",
        page.as_uri(),
    ]
    subprocess.run(command, capture_output=True, check=True, timeout=120)
    assert len(re.findall(rb"/Type\s*/Page\b", pdf.read_bytes())) == 1
