"""Who would notice the shake, as it is told: page, answer paper, terminal and JSON say the same."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from counterbounce.app.answer import answer
from counterbounce.app.answer_sheet import answer_sheet
from counterbounce.app.noticed_table import noticed_table, noticed_words
from counterbounce.app.report import page
from counterbounce.app.terminal import tell
from counterbounce.model.roughness import CLASSES
from counterbounce.sizing.noticed import FAINTEST

PICTURES = dict.fromkeys(("critical_speeds", "response", "mode_shapes"), "<svg></svg>")


def on_road(a, density, stated=True):
    return replace(a, noticed=replace(a.noticed.on(density), assumed=not stated))


@pytest.fixture
def truck(assessed):
    return assessed("truck")


def test_a_row_a_road_and_its_own_stands_out(truck):
    table = noticed_table(truck)
    assert [row[0] for row in table.rows] == ["class A, assumed", "class B", "class C"]
    assert table.marked == {0}
    alone = [float(row[1].split()[0]) for row in table.rows]
    assert [b / a for a, b in pairwise(alone)] == pytest.approx([2.0, 2.0], rel=0.01)
    n = truck.noticed
    assert alone[0] == pytest.approx(n.largest(n.before.background), rel=0.005)
    assert float(table.rows[0][2].split()[0]) == pytest.approx(n.largest(n.before.total), rel=0.005)
    assert float(table.rows[0][3].split()[0]) == pytest.approx(n.largest(n.after.total), rel=0.005)


def test_a_road_of_its_own_gets_a_row_of_its_own(truck):
    rows = noticed_table(on_road(truck, 30e-6)).rows
    assert [row[0] for row in rows] == ["class A", "class A, as stated", "class B", "class C"]


def test_bands_are_in_the_users_unit_and_few(truck):
    """Six bands of the case's km/h, of which four are named."""
    n = truck.noticed
    inside = [any(v <= 3.6 * speed <= v + 4 for v in (30, 40, 50, 60, 70, 80)) for speed in n.speeds]
    felt = replace(n.before, shake=5.0 * np.array(inside)[:, None] * np.ones(len(n.points)))
    felt = replace(felt, background=np.ones_like(n.before.background))
    told = noticed_table(replace(truck, noticed=replace(n, before=felt))).rows[0][4]
    assert told == "30 to 34 km/h, 40 to 44 km/h, 50 to 54 km/h, 60 to 64 km/h, 2 more"


def test_one_line_wherever_it_is_told(truck):
    said = noticed_words(truck)
    stream = io.StringIO()
    tell(truck, None, stream, width=2000)
    assert f"NOTICED  {said}" in stream.getvalue()
    (columns,) = (block for block in answer_sheet(truck).blocks if block.kind == "beside")
    assert said in [getattr(block, "words", "") for block in columns.right]
    shown = page(truck, PICTURES)
    assert "Would a person notice it?" in shown
    assert "class A, assumed" in shown


def test_what_the_line_says(truck):
    loud, quiet = on_road(truck, 1e-7), on_road(truck, CLASSES["E"])
    assert noticed_words(loud).startswith("On a class A road a person would notice the shake at ")
    assert "; with the damper at " in noticed_words(loud)
    assert noticed_words(quiet).startswith("A class E road drowns the shake at every speed. At 60 to 75 km/h")
    assert noticed_words(truck).startswith(("On a class A road (assumed)", "A class A road (assumed)"))
    n = truck.noticed
    assert n.change_noticeable
    assert "would be felt" in noticed_words(truck)
    same = replace(truck, noticed=replace(n, after=n.before))
    assert "would NOT be felt" in noticed_words(same)
    faint = replace(n, before=replace(n.before, shake=n.before.shake * 0 + FAINTEST / 2), after=None)
    assert "too faint to be felt on any road" in noticed_words(replace(truck, noticed=faint))


def test_json_says_what_was_found(truck):
    told, n = answer(truck)["noticed"], truck.noticed
    assert (told["background_class"], told["background_density_m3"], told["assumed"]) == ("A", 16e-6, True)
    assert told["before_m_s"] == [pytest.approx(band) for band in n.bands_before]
    assert told["change_noticeable"] is n.change_noticeable
    levels = told["levels_before"]
    assert levels["shake_m_s2"] == pytest.approx(told_prediction(truck), rel=0.02)
    assert levels["total_m_s2"] >= max(levels["shake_m_s2"], levels["background_m_s2"])
    assert told["comfort_words_before"] == list(n.words(n.before))
    assert told["levels_after"]["total_m_s2"] < levels["total_m_s2"]


def told_prediction(a):
    return answer(a)["prediction"]["before_m_s2"]


def test_without_a_damper_only_before_is_told(assessed):
    told = answer(assessed("shimmy"))["noticed"]
    assert [
        told[key] for key in ("after_m_s", "change_noticeable", "levels_after", "comfort_words_after")
    ] == [None] * 4
    assert len(noticed_table(assessed("shimmy")).columns) == 4


def test_nothing_is_said_where_no_input_has_a_level(assessed):
    assert noticed_words(assessed("silent")) == ""
    assert noticed_table(assessed("silent")).rows == ()
