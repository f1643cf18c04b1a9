"""The command `harm`: its tables, its JSON, its options."""

from __future__ import annotations

import json

import pytest

from counterbounce.app import cli
from counterbounce.app.harm_table import answer, causes_table, modes_table, said
from counterbounce.sizing import harm as rooms
from counterbounce.sizing.harm import Frame, Harm, Put
from counterbounce.sizing.witness import FOREIGN, Care, Cause


def made(bad, of):
    """Complaints of each foreign cause, the first `bad` of the wheels advised unless somebody looked."""
    no = dict.fromkeys(Care, False)
    put = [
        Put(cause, no | {Care.NOTHING: cause is Cause.WHEEL and i < bad}, False, Frame.KNOWN)
        for cause in FOREIGN
        for i in range(of)
    ]
    return Harm(7, (*put, Put(Cause.MODE, dict.fromkeys(Care, True), True, Frame.RAILS)))


def test_the_answer_says_whether_the_goal_is_met():
    text = said(made(20, 200))
    assert text.startswith("Goal: a damper is advised in 0.5 % or less of complaints that no damper is for.")
    assert "Of 1200, with what the share stays below, 95 % sure: nothing looked at, 20 (below 2.4" in text
    assert "all looked at, no mistake, 0 (below 0.25 %)." in text
    assert "The goal is NOT met: nothing looked at." in text
    assert "The goal is met: as people do; as people do, then all that was asked for; all looked at" in text
    assert said(made(0, 200)).endswith("The goal is met.")
    assert said(made(0, 10)).endswith("Too few complaints to say whether the goal is met.")


def test_each_cause_has_its_row_and_they_add_up():
    table = causes_table(made(2, 10))
    assert [row[0] for row in table.rows] == [*FOREIGN, "all of them"]
    assert [row[1] for row in table.rows] == ["10"] * 6 + ["60"]
    assert table.rows[0][2:4] == ("2 (20 %)", "0")
    assert table.rows[-1][2] == "2 (3.3 %)"
    assert "Seed 7" in table.note
    rows = {row[0]: row[1:3] for row in modes_table(made(2, 10)).rows}
    assert rows["would help, its rails measured"] == ("1", "1 (100 %)")
    assert rows["would help, its frame guessed"] == ("0", "–")
    assert rows["would help, all of them"] == ("1", "1 (100 %)")
    assert rows["would not help"] == ("0", "–")


def test_json_says_the_same():
    told = json.loads(json.dumps(answer(made(2, 10)), allow_nan=False))
    assert told["by_care"]["nothing looked at"] | {"interval_95": []} == {
        "advised": 2, "of": 60, "share": pytest.approx(1 / 30), "interval_95": [],
        "upper_bound_95": pytest.approx(0.1012, abs=1e-4),
    }  # fmt: skip
    assert told["modes"]["damper_would_not_help"]["as people do"]["share"] is None
    assert set(told["by_cause"]) == set(FOREIGN)
    assert told["damper_would_help_by_frame"]["its rails measured"]["as people do"]["advised"] == 1
    assert any("no source" in line for line in told["assumptions"])


def test_the_command_prints_it(monkeypatch, capsys):
    monkeypatch.setattr(rooms, "harm", lambda count, seed, _: made(1, count))
    assert cli.run(["harm", "--count", "5", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["by_care"]["nothing looked at"]["of"] == 30
    assert cli.run(["harm", "--count", "5"]) == 0
    out = capsys.readouterr().out
    assert "Goal:" in out
    assert "Assumed" in out
    assert cli.run(["harm", "--count", "0"]) == 2
