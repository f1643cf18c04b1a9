"""What is said, tabled, drawn and told of a case at the amplitude found."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from counterbounce.app.amplitude import amplitude
from counterbounce.app.amplitude_picture import along_amplitude
from counterbounce.app.amplitude_tables import along_table, before_a_weight, laws_table
from counterbounce.app.answer import to_json
from counterbounce.app.curves import curves
from counterbounce.app.figures import svg
from counterbounce.app.report import page
from counterbounce.app.terminal import tell
from counterbounce.model.case import parse
from counterbounce.sizing.assess import assess

LOCKED = (Path(__file__).parents[1] / "cases" / "locked_leaves.toml").read_text(encoding="utf-8")
LAWS = 'laws = ["leaf friction", "stops", "lift-off"]'


@pytest.fixture(scope="module")
def held():
    """Locked leaves, their friction measured, and stops and lift-off beside them."""
    text = LOCKED.replace('laws = ["leaf friction"]', LAWS)
    assert LAWS in text
    return assess(parse(text, "locked.toml"))


@pytest.fixture(scope="module")
def supposed():
    text = LOCKED.replace('laws = ["leaf friction"]', "")
    return assess(parse(text.replace('friction = "5 kN (measured: load test)"', ""), "locked.toml"))


def test_json_tells_each_law_with_what_it_is_worth(held):
    told = json.loads(to_json(held))["amplitude"]
    assert [law["name"] for law in told["laws"]] == [
        f"{axle} {law}" for law in ("leaf friction", "stops", "lift-off") for axle in ("front", "rear")
    ]
    leaf, stop, tyre = told["laws"][1], told["laws"][3], told["laws"][5]
    assert leaf["stiffness_n_m"] == pytest.approx(leaf["static_rate_n_m"] + leaf["lock"] * 1280e3, rel=1e-5)
    assert leaf["travel_m"] == pytest.approx(leaf["friction_n"] / 1280e3, rel=1e-6)
    assert leaf["damping_n_s_m"] > 1000
    assert (stop["stiffness_n_m"], stop["lock"]) == (0, None)  # a millimetre is far from any stop
    assert tyre["stiffness_n_m"] == pytest.approx(2.4e6)  # and from a tyre that lifts
    assert told["with_damper_m_s2"] == pytest.approx((1 - told["reduction"]) * told["level_m_s2"], rel=1e-6)
    assert told["freed"]["cures"] is True
    assert told["freed"]["sentence"] == before_a_weight(held)
    assert told["assumed"] is False


def test_json_follows_each_mode_along_amplitude(held):
    told = amplitude(held)
    for mode in told["modes"]:
        hertz = mode["frequency_hz"]
        assert len(hertz) == len(mode["damping_ratio"]) == len(told["stretch_m"])
        assert hertz[0] == pytest.approx(held.host.modes.frequency_hz[mode["mode_index"]], rel=1e-3)
        assert hertz[-1] < mode["found_frequency_hz"] <= hertz[0] * 1.001


def test_the_curves_hold_the_same(held, assessed):
    rows = list(csv.DictReader(io.StringIO(curves(held)["amplitude.csv"])))
    told = amplitude(held)
    assert [float(row["stretch_m"]) for row in rows] == pytest.approx(told["stretch_m"])
    for mode in told["modes"]:
        column = [float(row[f"{mode['name']} frequency_hz"]) for row in rows]
        assert column == pytest.approx(mode["frequency_hz"], rel=1e-8)
    assert "amplitude.csv" not in curves(replace(assessed("truck"), amplitude=None))


def test_nothing_is_told_where_nothing_is_asked(assessed):
    found = replace(assessed("truck"), amplitude=None)
    assert amplitude(found) is None
    assert (laws_table(found).rows, along_table(found).rows, before_a_weight(found)) == ((), (), "")


def test_the_table_of_laws(held):
    table = laws_table(held)
    rear = dict(zip(table.columns, table.rows[1], strict=True))
    assert rear["for small shakes"] == "1500 kN/m"
    assert rear["under load"] == "220 kN/m"
    assert rear["friction turns round over"] == "3.91 mm"
    assert rear["it moves by"] == f"{held.amplitude.stretch[1] * 1e3:.2f} mm"
    stops = dict(zip(table.columns, table.rows[3], strict=True))
    assert (stops["friction holds"], stops["under load"]) == ("–", "–")
    assert "assumed" not in table.note


def test_the_table_of_modes_goes_along_amplitude(held):
    table = along_table(held)
    assert table.columns == ("mode", "for small shakes", "as found", "2.0 mm", "5.0 mm", "20 mm")
    bounce = table.rows[0]
    hertz = [float(cell.split(" ")[0]) for cell in bounce[1:]]
    assert bounce[0] == "Body bounce"
    assert hertz == sorted(hertz, reverse=True)
    assert hertz[0] == pytest.approx(held.host.modes.frequency_hz[0], abs=0.005)


def test_an_assumption_is_said_to_be_one(supposed):
    assert before_a_weight(supposed).startswith("Ask first whether the rear leaves")
    assert "assumed, not measured, and changes no answer" in laws_table(supposed).note


def test_what_did_not_settle_is_said(held):
    assert "settle" not in laws_table(held).note
    settled = replace(held.amplitude.settled, error=np.array([1e-8, 0.04]))
    found = replace(held, amplitude=replace(held.amplitude, settled=settled))
    assert "did not settle; they may be off by 4 %" in laws_table(found).note
    assert amplitude(found)["stretch_error"] == 0.04


def test_two_motions_at_one_speed_are_said(held):
    other = replace(held.amplitude.settled, stretch=2 * held.amplitude.settled.stretch)
    found = replace(held, amplitude=replace(held.amplitude, other=other))
    assert "another motion stands at the same speed" in laws_table(found).note
    law = amplitude(found)["laws"][0]
    assert law["stretch_from_large_m"] == pytest.approx(2 * law["stretch_m"])


def test_terminal_and_page_put_the_leaf_before_the_weight(held):
    written = io.StringIO()
    tell(held, None, written, 100)
    said = " ".join(written.getvalue().split())
    assert f"BEFORE A WEIGHT {before_a_weight(held)}" in said
    drawn = dict.fromkeys(("critical_speeds", "mode_shapes", "response", "amplitude"), "<svg/>")
    shown = page(held, drawn)
    assert before_a_weight(held) in shown
    assert "At which amplitude this holds" in shown


def test_the_picture_names_modes_laws_and_their_stretch(held):
    drawn = svg(along_amplitude(held))
    found = held.amplitude
    for law, stretch in zip(found.laws, found.stretch, strict=True):
        leaf = law.name.endswith("leaf friction")
        assert (f"{law.name}: {stretch * 1e3:.3g}" in drawn) == leaf  # stops and tyres would crowd it
    for name in found.along.names:
        assert name in drawn
    assert "stretch of every law, mm" in drawn


def test_a_mode_that_is_lost_on_the_way_is_a_dash(held):
    lost = held.amplitude.along.frequency_hz.copy()
    lost[-1] = np.nan
    along = replace(held.amplitude.along, frequency_hz=lost)
    found = replace(held, amplitude=replace(held.amplitude, along=along))
    assert {row[-1] for row in along_table(found).rows} == {"–"}
    assert json.loads(to_json(found))["amplitude"]["modes"][0]["frequency_hz"][-1] is None
    assert svg(along_amplitude(found))
