"""Remedies on the screen and as JSON; the command `remedies`."""

import json
from pathlib import Path

import pytest

from counterbounce.app.cli import run
from counterbounce.app.remedies_table import answer, asks_table, details_table, ranked_table, said, time_text
from counterbounce.model.case import load
from counterbounce.sizing.remedies import remedies

FLATBED = Path(__file__).parents[2] / "examples" / "technician" / "flatbed.toml"


@pytest.fixture(scope="module")
def found():
    return remedies(load(FLATBED))


def test_one_table_with_all_of_them(found):
    table = ranked_table(found)
    assert [row[1] for row in table.rows] == [one.name for one in found.ranked]
    assert [table.rows[i][1].split()[2] for i in table.marked] == ["damper"]
    assert all(len(row) == len(table.columns) for row in table.rows)
    assert "45.0 to 50.0 mph" in table.title or "mph" in table.title


def test_what_is_not_allowed_says_so(found):
    rows = ranked_table(found).rows
    for one, row in zip(found.ranked, rows, strict=True):
        assert row[5].startswith("TOO MUCH") == (not one.allowed)


def test_every_remedy_asks_for_something(found):
    """Each number stands in one row of what they ask, and what must be known exactly is told once."""
    numbers = [n for row in asks_table(found).rows for n in row[0].split(", ")]
    assert sorted(numbers, key=int) == [str(n) for n in range(1, len(found.ranked) + 1)]
    told = {n for row in details_table(found).rows for n in row[0].split(", ")}
    assert told == {str(n) for n, one in enumerate(found.ranked, 1) if one.detail}


def test_what_does_little_is_told(found):
    assert all(name in said(found)[-1] for name, _ in found.little)
    assert said(found)[0] == found.notes[0]


def test_as_json(found):
    told = answer(found)
    assert json.loads(json.dumps(told, allow_nan=False)) == told
    assert [one["name"] for one in told["remedies"]] == [one.name for one in found.ranked]
    first = told["remedies"][0]
    assert 0 <= first["share_helped"] <= 1
    low, high = first["reduction_interval_90"]
    assert low <= high
    assert (told["verdict"], told["worth"]) == (None, 0.25)


def test_times():
    assert [time_text(m) for m in (15, 60, 480, 960)] == ["15 min", "1 h", "8 h", "2 days"]


def test_the_command(found, capsys):
    assert run(["remedies", str(FLATBED)]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "What each asks" in out
    assert "Local codes" in out
    assert found.notes[0][:40] in out


def test_unsafe_cases_get_the_gate_and_nothing_else(tmp_path, capsys, case_texts):
    file = tmp_path / "shimmy.toml"
    file.write_text(case_texts["shimmy"])
    assert run(["remedies", str(file)]) == 0
    out = capsys.readouterr().out
    assert "INSPECT FIRST" in out
    assert "lowers it by" not in out
    assert run(["remedies", str(file), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["verdict"]["outcome"], told["remedies"]) == ("inspect_first", [])


def test_a_faulty_case_is_refused(tmp_path, capsys):
    file = tmp_path / "faulty.toml"
    file.write_text('name = "x"\nwheelbase = "3 m"\n')
    assert run(["remedies", str(file)]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert "faulty.toml:2: wheelbase" in shown.err
