"""The command `pairs`: what it prints, and what it says as JSON."""

import json
from dataclasses import replace

import pytest

from counterbounce.app.cli import run
from counterbounce.app.pairs_table import answer, beside_table, build_table, in_short, ratings_table
from counterbounce.model.example import small_case
from counterbounce.sizing.several import ON_TOP, TWICE, several


@pytest.fixture(scope="module")
def two():
    """A case where a pair earns its bracket."""
    return several(small_case())


@pytest.fixture(scope="module")
def one(two):
    """The same, had nobody noticed the second damper."""
    return replace(two, pairs=tuple(replace(pair, earns=False) for pair in two.pairs))


def test_in_short(two, one):
    (head, said), (_, todo) = in_short(two, 44.0)
    assert head == "TWO DO BETTER"
    assert "44 kg to do as well" in said
    assert "second bracket" in todo
    (head, said), _ = in_short(one, None)
    assert head == "ONE IS ENOUGH"
    assert "does not earn a second bracket" in said
    (_, said), _ = in_short(replace(one, pairs=(_broken(one.pairs[0]),)), None)
    assert "do not keep to: worse elsewhere" in said
    assert in_short(replace(two, pairs=()), None) == ()


def _broken(pair):
    return replace(pair, found=replace(pair.found, broken=("worse_elsewhere",)))


def test_every_kind_stands_beside_the_one(two):
    table = beside_table(two)
    assert [row[0] for row in table.rows] == ["one", *(pair.found.pair.kind for pair in two.pairs)]
    assert table.marked == {1}
    assert table.rows[0][1] == "rear end, 33.3 kg"
    assert "worse elsewhere" in beside_table(replace(two, pairs=(_broken(two.pairs[0]),))).note


def test_only_what_earns_its_bracket_is_to_be_built(two, one):
    rows = {row[0]: row[1:] for row in build_table(two).rows}
    best = two.earning.found.pair
    assert rows["hangs at"] == ("rear end", "the first's mass" if best.stacked else "rear end")
    assert rows["mass"] == tuple(two.host.case.display.show(d.mass, "mass") for d in best.both)
    assert ratings_table(two).rows[0][0] == "rear axle rating"
    assert (build_table(one).rows, ratings_table(one).rows) == ((), ())


def test_cautions_come_twice(two, one):
    assert TWICE in two.cautions
    assert (ON_TOP in two.cautions) == two.earning.found.pair.stacked
    assert TWICE in one.cautions
    assert ON_TOP not in one.cautions


def test_as_json(two):
    told = json.loads(json.dumps(answer(two, 44.0)))
    assert told["earning"] == two.earning.found.pair.kind
    assert told["equal_single_mass_kg"] == 44.0
    assert told["single"]["reduction"] == pytest.approx(two.single.found.reduction)
    best = told["pairs"][0]
    assert best["earns_its_bracket"] is True
    assert sum(d["mass_kg"] for d in best["dampers"]) == pytest.approx(best["mass_kg"])
    assert best["left_over_single"] * (1 - told["single"]["reduction"]) == pytest.approx(
        1 - best["reduction"]
    )
    assert best["ratings"][0]["met"] is True
    assert TWICE in told["cautions"]


def test_a_vehicle_that_is_not_safe(case_texts, tmp_path, capsys):
    path = tmp_path / "shimmy.toml"
    path.write_text(case_texts["shimmy"])
    assert run(["pairs", str(path)]) == 0
    printed = capsys.readouterr().out
    assert "INSPECT FIRST" in printed
    assert "One or two" not in printed
    assert run(["pairs", str(path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["verdict"]["outcome"] == "inspect_first"
    assert (told["single"], told["pairs"], told["earning"]) == (None, [], None)


def test_a_fault_of_the_file(tmp_path, capsys):
    assert run(["pairs", str(tmp_path / "none.toml")]) == 2
    assert "none.toml" in capsys.readouterr().err


def test_at_a_terminal(tmp_path, capsys):
    from counterbounce.model.example import TEXT

    path = tmp_path / "small.toml"
    path.write_text(TEXT)
    assert run(["pairs", str(path)]) == 0
    printed = capsys.readouterr().out
    for said in (
        "TWO DO BETTER",
        "BEFORE DRIVING",
        "One or two, of the same weight",
        "What to build",
        "Ratings",
    ):
        assert said in printed
    assert "two re-torque dates" in " ".join(printed.split())
