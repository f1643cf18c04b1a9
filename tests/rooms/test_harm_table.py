"""The command `harm`: its tables, its JSON, its options."""

from __future__ import annotations

import json

import pytest

from counterbounce.app import cli
from counterbounce.app.harm_table import answer, causes_table, modes_table, said
from counterbounce.sizing import harm as rooms
from counterbounce.sizing.complaints import FOREIGN, Care, Cause
from counterbounce.sizing.harm import Harm, Put


def made(bad, of):
    """Complaints of each foreign cause, the first `bad` of the wheels advised unless somebody looked."""
    no = dict.fromkeys(Care, False)
    put = [
        Put(cause, no | {Care.NOTHING: cause is Cause.WHEEL and i < bad}, False)
        for cause in FOREIGN
        for i in range(of)
    ]
    return Harm(7, (*put, Put(Cause.MODE, dict.fromkeys(Care, True), True)))


def test_the_answer_says_whether_the_goal_is_met():
    text = said(made(20, 200))
    assert text.startswith("Goal: a damper is advised in 0.5 % or less of complaints that no damper is for.")
    assert "Nothing looked at: 1.7 % (1.0 % to 2.6 %), the goal is NOT met" in text
    assert "all looked at, no mistake: 0.0 % (0.0 % to 0.3 %), the goal is met" in text
    assert "too few complaints to say" in said(made(0, 10))


def test_each_cause_has_its_row_and_they_add_up():
    table = causes_table(made(2, 10))
    assert [row[0] for row in table.rows] == [*FOREIGN, "all of them"]
    assert [row[1] for row in table.rows] == ["10"] * 6 + ["60"]
    assert table.rows[0][2].startswith("2: 2.5 % to 56 %")
    assert table.rows[-1][2].startswith("2: ")
    assert table.rows[0][3].startswith("0: ")
    assert "Seed 7" in table.note
    assert [row[1:3] for row in modes_table(made(2, 10)).rows] == [("1", "1: 2.5 % to 100 %"), ("0", "–")]


def test_json_says_the_same():
    told = json.loads(json.dumps(answer(made(2, 10)), allow_nan=False))
    assert told["by_care"]["nothing looked at"] | {"interval_95": []} == {
        "advised": 2, "of": 60, "share": pytest.approx(1 / 30), "interval_95": [],
    }  # fmt: skip
    assert told["modes"]["damper_would_not_help"]["as people do"]["share"] is None
    assert set(told["by_cause"]) == set(FOREIGN)
    assert any("no source" in line for line in told["assumptions"])


def test_the_command_prints_it(monkeypatch, capsys):
    monkeypatch.setattr(rooms, "harm", lambda cases, seed, _: made(1, cases))
    assert cli.run(["harm", "--cases", "5", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["by_care"]["nothing looked at"]["of"] == 30
    assert cli.run(["harm", "--cases", "5"]) == 0
    out = capsys.readouterr().out
    assert "Goal:" in out
    assert "Assumed" in out
    assert cli.run(["harm", "--cases", "0"]) == 2
