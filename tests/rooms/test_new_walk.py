"""The walk round the vehicle as `new` asks for it: item by item, and nothing is answered for anyone."""

from __future__ import annotations

import shlex
import tomllib
from pathlib import Path

import pytest

from counterbounce.app import cli
from counterbounce.app.questions import QUESTIONS, WALK
from counterbounce.model.case import load
from counterbounce.model.observations import CHECKS
from counterbounce.sizing.assess import assess
from counterbounce.sizing.verdict import Outcome
from counterbounce.sizing.walk_items import ITEMS

FLATBED = shlex.split(
    """--wheelbase "141 in" --front-load "3300 lb" --rear-load "3900 lb" --tyre LT245/75R17
    --complaint "45 to 50 mph" --station "42 in" """
)


@pytest.fixture
def new(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return lambda *arguments: cli.run(["new", "a.toml", *FLATBED, *arguments])


def test_each_item_is_a_question_of_its_own():
    assert [question.fact for question in WALK] == [f"check_{name}" for name in CHECKS]
    assert all(question in QUESTIONS for question in WALK)
    for question, item in zip(WALK, ITEMS.values(), strict=True):
        assert item.look in question.why
        assert set(question.words) == {"good", "bad"}
        assert question.silence(None).startswith("not looked at")


@pytest.mark.parametrize("nod", ["y", "yes", "ok", "fine", "all good", "1"])
def test_no_item_is_nodded_through(new, nod, capsys):
    assert new("--check-frame", nod) == 2
    said = capsys.readouterr().err
    assert "--check-frame" in said
    assert "wanted one of good, bad" in said
    assert not Path("a.toml").exists()


def test_nothing_answers_it_for_anyone(new):
    assert new("--yes") == 0
    assert not {"checks", "observation"} & tomllib.loads(Path("a.toml").read_text(encoding="utf-8")).keys()


def test_what_is_bad_is_said_at_once_and_stops_everything(new, capsys):
    assert new("--check-frame", "bad", "--check-tyres", "good") == 0
    said = capsys.readouterr().out
    assert f"INSPECT FIRST, frame: {ITEMS['frame'].do}" in said
    assert "FIRST, tyres" not in said
    assert assess(load("a.toml")).verdict.outcome is Outcome.INSPECT_FIRST
