"""The command `new` as a person meets it: questions, options, faults, and what is left on the disc."""

from __future__ import annotations

import os
import shlex
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from counterbounce.app import cli, new_case
from counterbounce.app.questions import QUESTIONS
from counterbounce.model.case import load
from counterbounce.model.observations import CHECKS
from counterbounce.sizing.assess import assess
from counterbounce.sizing.verdict import Outcome

EXAMPLES = Path(__file__).parents[2] / "examples"
NEEDED = ["--wheelbase", "3.6 m", "--front-load", "1.5 t", "--rear-load", "1.8 t", "--tyre", "225/70R19.5"]
FLATBED = shlex.split(
    """--wheelbase "141 in" --front-load "3300 lb" --rear-load "3900 lb" --tyre LT245/75R17
    --pressure "65 psi" --dual --front-spring coil --rear-spring leaf --complaint "45 to 50 mph"
    --where "driver's floor" --station "42 in" --mass-limit "60 lb" """
)


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setitem(cli.cli.commands, "new", new_case.new)
    return tmp_path


@pytest.fixture
def ask(here):
    """Exit code and everything that is said, to whichever stream."""

    def run(*arguments, typed=""):
        with CliRunner().isolation(input=typed) as (_, _, said):
            code = cli.run(["new", *arguments])
        return code, said.getvalue().decode()

    return run


@pytest.fixture
def sit(ask, monkeypatch):
    """The same with somebody at a terminal, who types one line a question."""
    monkeypatch.setattr(new_case, "on_a_terminal", lambda: True)
    return lambda *arguments, lines: ask(*arguments, typed="".join(f"{line}\n" for line in lines))


def files(here):
    return sorted(str(path.relative_to(here)) for path in here.rglob("*") if path.is_file())


def table(here, name="a.toml"):
    return tomllib.loads((here / name).read_text(encoding="utf-8"))


def test_options_alone_make_a_case(ask, here):
    code, said = ask("a.toml", *FLATBED)
    assert code == 0
    assert said == (
        "a.toml is written.\n\nNext: open it, fill in the commented lines that you can, then\n"
        "  counterbounce assess a.toml\n"
    )
    assert files(here) == ["a.toml"]
    assert table(here)["axle"]["rear"]["load"] == "3900 lb (measured: scale)"
    assert load("a.toml").display.speed == "mph"


def test_every_question_is_asked_once_and_answered_as_by_options(sit, here):
    lines = [
        "141 in",
        "3300 lb",
        "3900 lb",
        "LT245/75R17",
        "65 psi",
        "",
        "du",
        "coil",
        "leaf",
        "",
        "45-50 mph",
    ]
    seen = ["blur", "stayed", *(["g", ""] * len(CHECKS))[: len(CHECKS)]]
    code, said = sit("a.toml", lines=[*lines, "", "42 in", "", *seen, "60 lb", ""])
    assert code == 0
    assert [said.count(f"\n{question.ask}.\n") for question in QUESTIONS] == [1] * len(QUESTIONS)
    options = [word for name in CHECKS[::2] for word in (f"--check-{name.replace('_', '-')}", "good")]
    options += ["--how-fast", "blur", "--other-wheels", "stayed"]
    name = ["--name", "Vehicle that shakes at 45-50 mph"]
    assert cli.run(["new", "b.toml", *FLATBED, *options, *name, "--yes"]) == 0
    assert table(here) == table(here, "b.toml")
    assert table(here)["checks"] == dict.fromkeys(CHECKS[::2], "good")


def test_a_question_says_its_default_its_range_its_unit_and_why(sit):
    _, said = sit("a.toml", lines=[])
    first = QUESTIONS[0]
    for words in (
        first.why,
        "Usual: 2 to 8 m.",
        "Such as: 3.6 m or 141 in.",
        "Enter: 3.7 m ± 0.7 m (assumed",
    ):
        assert words in said


def test_after_the_first_answer_examples_are_in_its_units(sit):
    assert "Such as: 3300 lb.\n" in sit("a.toml", lines=["141 in"])[1]
    assert "Such as: 1.5 t.\n" in sit("a.toml", lines=["3.6 m"])[1]


def test_what_options_give_is_not_asked(sit, here):
    more = [word for name in CHECKS for word in (f"--check-{name.replace('_', '-')}", "good")]
    more += ["--how-fast", "blur", "--other-wheels", "stayed", "--direction", "vertical", "--name", "Mine"]
    code, said = sit("a.toml", *FLATBED, "--frame", *more, lines=["70 psi"])
    assert code == 0
    asked = [question.fact for question in QUESTIONS if f"\n{question.ask}." in said]
    assert asked == ["rear_pressure"]
    assert table(here)["axle"]["rear"]["pressure"] == "70 psi (published: door placard)"


def test_enter_alone_takes_guesses_and_says_so(sit, here):
    code, said = sit("a.toml", lines=[""] * len(QUESTIONS))
    assert code == 0
    assert "GUESSED, not given: wheelbase, front load, rear load, tyre, station." in said
    assert cli.run(["new", "b.toml", "--yes"]) == 0
    assert table(here) == table(here, "b.toml")


@pytest.mark.parametrize(
    ("fact", "wrong", "says"),
    [
        ("wheelbase", "141", "wheelbase: '141': wanted a number and its unit, kept in m (the unit is"),
        ("tyre", "245/75", "tyre: '245/75': wanted a tyre size as on the sidewall"),
        ("rear_spring", "leave", 'wanted one of coil, leaf, air, other; did you mean "leaf"?'),
        ("complaint", "50 to 45 mph", "wanted speeds from slow to fast"),
        ("where", "rear.seat", "without dots"),
        ("name", "x" * 201, "200 characters or fewer"),
    ],
)
def test_a_bad_answer_is_said_and_asked_again(sit, here, fact, wrong, says):
    lines = ["3.6 m", "1.5 t", "1.8 t", "225/70R19.5", *[""] * (len(QUESTIONS) - 4)]
    index = [question.fact for question in QUESTIONS].index(fact)
    code, said = sit("a.toml", lines=[*lines[:index], wrong, wrong, *lines[index:]])
    assert code == 0
    assert said.count(says) == 2
    assert load("a.toml").numbers["vehicle.wheelbase"] == pytest.approx(3.6)


def test_an_odd_answer_is_asked_about(sit, here):
    code, said = sit("a.toml", lines=["141 ft", "n", "141 in", *[""] * len(QUESTIONS)])
    assert code == 0
    assert "141 ft (measured: tape) is outside the usual 80 to 320 in.  Keep it?" in said
    assert table(here)["vehicle"]["wheelbase"] == "141 in (measured: tape)"
    assert sit("b.toml", lines=["9 m", "y", *[""] * len(QUESTIONS)])[0] == 0
    assert table(here, "b.toml")["vehicle"]["wheelbase"] == "9 m (measured: tape)"


@pytest.mark.parametrize("answered", [0, 1, 5, len(QUESTIONS) - 1])
def test_leaving_in_the_middle_leaves_nothing(sit, here, answered):
    code, said = sit("deep/a.toml", lines=[""] * answered)
    assert code == 130
    assert said.rstrip().endswith("interrupted")
    assert list(here.iterdir()) == []


def test_a_place_at_an_end_needs_no_tape(ask, here):
    assert ask("a.toml", *NEEDED, "--where", "Rear end")[0] == 0
    assert table(here)["complaint"]["where"] == "rear end"
    assert "point" not in table(here)
    code, said = ask("b.toml", *NEEDED, "--where", "rear end", "--station", "5 m")
    assert code == 2
    assert "--station: 5 m (measured: tape): the rear end has a station of its own" in said


def test_without_a_terminal_all_that_is_missing_or_wrong_is_said_at_once(ask, here):
    code, said = ask("a.toml", "--front-load", "3300", "--complaint", "fast", typed="3.6 m\n1 t\n")
    assert code == 2
    assert "5 faults:" in said
    assert "--yes" in said
    for words in (
        "--wheelbase: needed: Wheelbase", "for example --wheelbase '3.6 m' or --wheelbase '141 in'",
        "--front-load: '3300': wanted", "--rear-load: needed", "--tyre: needed", "--complaint: 'fast'",
    ):  # fmt: skip
        assert words in said
    assert files(here) == []


def test_what_would_not_load_is_not_written_and_not_lost(ask, here):
    answers = [
        "--wheelbase",
        "3.6 m",
        "--front-load",
        "5 t",
        "--rear-load",
        "260 kg",
        "--tyre",
        "225/70R19.5",
        "--dual",
    ]
    code, said = ask("a.toml", *answers, "--complaint", "60 to 70 km/h")
    assert code == 2
    assert "would have to be centred at" in said
    assert files(here) == []
    again = said.split("The same answers, to correct:\n  ")[1].splitlines()[0]
    repeated = shlex.split(again)
    assert repeated[:3] == ["counterbounce", "new", "a.toml"]
    assert "--dual" in repeated
    assert repeated[repeated.index("--complaint") + 1] == "60 to 70 km/h"
    assert ask(*repeated[2:])[1] == said


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "Missing argument 'CASE.toml'"),
        (["truck", "--yes"], "truck: a case file ends in .toml; for example truck.toml"),
        (["--example", "engineer", "--yes"], "leave the other options out"),
        (["--example", "engineer", "--tyre", "225/70R19.5"], "leave the other options out"),
        (["--example", "driver"], "'driver' is not one of"),
    ],
)
def test_faults_of_the_command_are_two(ask, here, arguments, says):
    code, said = ask(*arguments)
    assert code == 2
    assert says in said
    assert files(here) == []


def test_nothing_is_written_over(sit, here):
    (here / "a.toml").write_text("mine")
    code, said = sit("a.toml", lines=[""] * len(QUESTIONS))
    assert code == 2
    assert "a.toml: is there already and is not written over: give another name, or move it away" in said
    assert "Wheelbase" not in said  # before anything is asked
    assert (here / "a.toml").read_text() == "mine"


@pytest.mark.parametrize("user", new_case.USERS)
def test_an_example_is_copied_as_it_is(ask, here, user):
    code, said = ask("--example", user)
    assert code == 0
    originals = {path.name: path.read_bytes() for path in (EXAMPLES / user).glob("*.toml")}
    assert originals
    assert {path.name: path.read_bytes() for path in (here / user).glob("*.toml")} == originals
    assert not list((here / user).glob("*.svg"))
    for name in originals:
        assert f"counterbounce assess {user}/{name}" in said
        load(here / user / name)


def test_there_is_an_example_for_each_user():
    assert {path.name for path in EXAMPLES.iterdir() if path.is_dir()} == set(new_case.USERS)


def test_an_example_is_whole_or_not_there(ask, here):
    (here / "mine").mkdir()
    (here / "mine" / "service_body.toml").write_text("mine")
    code, said = ask("--example", "upfitter", "mine")
    assert code == 2
    assert f"mine{os.sep}service_body.toml: is there already" in said
    assert files(here) == ["mine/service_body.toml"]
    assert ask("--example", "technician", "mine")[0] == 0
    copied = ["mine/flatbed.toml", "mine/make_ride.py", "mine/ride.csv", "mine/service_body.toml"]
    assert files(here) == copied


@pytest.mark.parametrize(
    "arguments",
    [
        FLATBED,
        ["--yes"],
        [*NEEDED, "--shell", "--complaint", "100 km/h", "--where", "rear end"],
        [*NEEDED, "--direction", "roll", "--complaint", "60 to 70 km/h"],
        [
            "--wheelbase",
            "5.2 m",
            "--front-load",
            "5.5 t",
            "--rear-load",
            "9 t",
            "--tyre",
            "11R22.5",
            "--dual",
            "--yes",
        ],
    ],
)
def test_each_starter_gets_an_answer(ask, arguments):
    assert ask("a.toml", *arguments)[0] == 0
    outcome = assess(load("a.toml")).verdict.outcome
    assert isinstance(outcome, Outcome)
    assert (outcome is Outcome.OUTSIDE_THE_MODEL) == ("roll" in arguments)
