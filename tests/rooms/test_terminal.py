"""The answer on a terminal: first things first, plain when piped, readable when narrow."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pytest

from counterbounce.app.terminal import tell


def said(found, folder=None, width=None):
    to = io.StringIO()
    tell(found, folder, to, width)
    return to.getvalue()


def words(text):
    return " ".join(text.split())


def test_the_answer_comes_first_then_what_to_do_then_care(any_assessment):
    text = words(said(any_assessment))
    verdict = any_assessment.verdict
    order = [
        text.index(verdict.outcome.value.replace("_", " ").upper()),
        text.index(words(verdict.sentence).replace("m/s^2", "m/s²")),
        text.index(words(verdict.next_step)),
        text.index(words(any_assessment.cautions[0])),
        text.index("Modes"),
    ]
    assert order == sorted(order)
    assert all(words(caution) in text for caution in any_assessment.cautions)


def test_piped_it_is_plain_and_100_wide(any_assessment):
    lines = said(any_assessment).splitlines()
    assert "\x1b" not in "".join(lines)
    assert max(map(len, lines)) <= 100


@pytest.mark.parametrize("width", [40, 60, 80])
def test_narrow_it_stays_inside_and_whole(assessed, width):
    text = said(assessed("truck"), width=width)
    assert max(map(len, text.splitlines())) <= width
    assert "…" not in text


def test_it_holds_what_was_found(assessed):
    found = assessed("truck")
    text = words(said(found, Path("some/where")))
    hung = found.sized.found.damper
    for wanted in (
        f"{hung.tuned_hz:.2f} Hz",
        "40.0 kg",
        "front axle rating",
        "Den Hartog",
        "some/where/report.html",
    ):
        assert wanted in text
    for name, frequency in zip(found.host.modes.names, found.host.modes.frequency_hz, strict=True):
        if frequency <= 25:
            assert f"{frequency:.2f} Hz" in text
            assert name.split()[0].lower() in text.lower()


def test_without_a_report_none_is_named(assessed):
    assert "report.html" not in said(assessed("truck"))


def test_units_are_the_users(assessed):
    text = said(assessed("quarter"))
    assert "worst at, mph" in text
    assert " lb" in text
    assert "km/h" not in text


def test_names_are_not_read_as_markup(assessed):
    found = assessed("silent")
    case = replace(found.case, name="Van [bold]x[/bold] [1]")
    assert case.name in said(replace(found, host=replace(found.host, case=case)))


def test_on_a_terminal_the_case_is_bold(assessed):
    class Screen(io.StringIO):
        def isatty(self):
            return True

    to = Screen()
    tell(assessed("silent"), None, to, 90)
    assert "\x1b[1m" in to.getvalue()
