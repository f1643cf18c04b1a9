"""Tables of text: what is in them is what was found, in the units that its user writes."""

from __future__ import annotations

import re

import pytest

from counterbounce.app.answer import doubts
from counterbounce.app.damper_tables import damper_table, loads_table, prediction_table, ratings_table
from counterbounce.app.ledger import Entry, entries, in_words, shown, spread, unit_of
from counterbounce.app.tables import beside_table, critical_table, doubts_table, ledger_table, modes_table
from counterbounce.model.case import json_schema
from counterbounce.model.numbers import Known
from counterbounce.model.units import Display

TABLES = (
    critical_table, modes_table, damper_table, prediction_table, loads_table, ratings_table, doubts_table,
    beside_table, ledger_table,
)  # fmt: skip
METRIC, US = Display(), Display("mph", "US")


def number(path, value, half=0.0, unit="", law="factor"):
    return entries({path: Known(value, half, "assumed", "invented", law, unit)})[0]


def column(table, title):
    return [row[table.columns.index(title)] for row in table.rows]


@pytest.mark.parametrize("make", TABLES)
def test_every_row_fills_its_columns(any_assessment, make):
    table = make(any_assessment)
    assert {len(row) for row in table.rows} <= {len(table.columns)}
    assert set(table.numbers) <= set(range(len(table.columns)))
    assert table.marked <= set(range(len(table.rows)))
    assert all("nan" not in cell and "None" not in cell for row in table.rows for cell in row)


def test_critical_speeds_in_the_users_unit_and_order(assessed):
    found = assessed("truck")
    table = critical_table(found, 30)
    assert [row[:3] for row in table.rows] == [
        (str(n), c.cause.name, c.mode_name) for n, c in enumerate(found.host.critical[:30], 1)
    ]
    met = [float(cell) for cell in column(table, "they meet at, km/h")]
    assert met == pytest.approx([c.coincidence * 3.6 for c in found.host.critical[:30]], rel=5e-3)  # 3 digits
    for cell, c in zip(column(table, "worst at, km/h"), found.host.critical, strict=False):
        assert (cell.startswith("(")) == (c.peak is None)
        assert float(cell.strip("()")) == pytest.approx(c.speed * 3.6, rel=5e-3)
    assert any(c.peak and abs(c.peak / c.coincidence - 1) > 0.02 for c in found.host.critical[:30])
    assert f"{len(found.host.critical) - 30} milder ones" in table.note
    assert column(critical_table(assessed("quarter")), "worst at, mph")


def test_an_assumed_input_and_an_unknown_level_are_marked(assessed):
    found = assessed("truck")
    table = critical_table(found, 99)
    for cell, c in zip(column(table, "typical, m/s²"), found.host.critical, strict=True):
        assert (cell == "–") == (c.typical is None)
        assert cell.endswith("*") == (c.cause.assumed and c.typical is not None)
    assert "asterisk" in table.note
    assert "asterisk" not in critical_table(assessed("unheard")).note


def test_where_it_is_felt_is_said_once_or_in_every_row(assessed):
    found = assessed("truck")
    places = {c.point.name for c in found.host.critical[:12] if c.point}
    table = critical_table(found, 12)
    assert ("felt at" in table.columns) == (len(places) > 1)
    one = critical_table(found, 1)
    assert "felt at" not in one.columns
    assert f"All are felt most at {found.host.critical[0].point.name}." in one.note


def test_modes_below_25_hz_and_how_many_are_left(assessed):
    found = assessed("truck")
    table = modes_table(found)
    heard = [f for f in found.host.modes.frequency_hz if f <= 25]
    assert column(table, "frequency") == [f"{f:.2f} Hz" for f in heard]
    assert f"{len(found.host.modes.names) - len(heard)} further modes" in table.note
    (about,) = table.marked
    assert about == found.host.target.critical.mode


def test_before_and_after_of_every_point(assessed):
    found = assessed("truck")
    c, table = found.sized.comparison, prediction_table(found)
    assert column(table, "before") == [f"{c.before[c.inside, p].max():.3f} m/s²" for p in range(2)]
    assert column(table, "with the damper") == [f"{c.after[c.inside, p].max():.3f} m/s²" for p in range(2)]
    falls = [1 - c.after[c.inside, p].max() / c.before[c.inside, p].max() for p in range(2)]
    assert [row[3] for row in table.rows] == [f"−{fall:.0%}".replace("%", " %") for fall in falls]
    assert table.title.endswith("60 to 75 km/h") or "60" in table.title


def test_the_textbook_stands_beside_the_damper(assessed):
    """Den Hartog: tuning 1 / (1 + u), damping sqrt(3 u / (8 (1 + u))), for the same mass."""
    found = assessed("truck")
    rows = {row[0]: row[1:] for row in damper_table(found).rows}
    hung, u = found.sized.found.damper, found.sized.closed_form.mass_ratio
    host = float(found.host.modes.frequency_hz[found.host.target.critical.mode])
    tuned, damped = rows["tuned to, alone on a fixed place"], rows["damping, of its own critical damping"]
    assert tuned == (f"{hung.tuned_hz:.2f} Hz", f"{host / (1 + u):.2f} Hz")
    assert float(damped[1].rstrip(" %")) == pytest.approx(100 * (3 * u / (8 * (1 + u))) ** 0.5, rel=5e-2)
    assert rows["mass"][0] == rows["mass"][1] == "40.0 kg"
    assert "of what is allowed" in rows["room needed each way, sag and stroke"][0]


def test_a_station_ahead_of_the_front_axle_is_said_so(assessed):
    place = {row[0]: row[1] for row in damper_table(assessed("truck")).rows}["place"]
    station = assessed("truck").host.vehicle.point(assessed("truck").sized.found.damper.place).station
    assert station < 0
    assert place.endswith("1.10 m ahead of the front axle")


def test_a_rating_that_breaks_is_loud(assessed):
    table = ratings_table(assessed("truck"))
    assert column(table, "limit") == ["3100 kg"]
    assert [row[-1] for row in table.rows] == ["holds (at most this)"]
    assert "no ratings" in ratings_table(assessed("quarter")).note


def test_the_ledger_is_in_the_users_units(assessed):
    rows = {row[0]: row[1:] for row in ledger_table(assessed("quarter")).rows}
    assert rows["rear axle: spring rate"][:2] == ("120 lbf/in", "± 20 %")
    assert rows["vehicle: sprung mass"][0] == "900 lb"
    metric = {row[0]: row[1:] for row in ledger_table(assessed("truck")).rows}
    assert metric["front axle: load"] == ("2600 kg", "± 2 %", "measured", "weighbridge")
    assert metric["frame: bending stiffness"][0] == "9.00 MN m²"


@pytest.mark.parametrize(
    ("path", "value", "half", "unit", "law", "text", "width"),
    [
        ("axle.rear.tyre_rate", 9.8e5, 1.47e5, "", "factor", "980 kN/m", "± 15 %"),
        ("axle.rear.pressure", 5.5e5, 5.5e5, "Pa", "factor", "5.50 bar", "factor 2.00"),
        ("axle.rear.tyres", 4.0, 0.0, "", "shift", "4", "–"),
        ("axle.rear.tyre_loss_factor", 0.08, 0.04, "", "factor", "0.08", "factor 1.50"),
        ("frame.front_end", -1.1, 0.02, "m", "shift", "-1.10 m", "± 20.0 mm"),
        ("axle.front.tyre_deflection", 0.026, 0.013, "", "factor", "26.0 mm", "factor 1.50"),
        ("vehicle.pitch_inertia", 21197.0, 2119.7, "", "factor", "21200 kg m²", "± 10 %"),
    ],
)  # fmt: skip
def test_a_number_as_its_user_writes_it(path, value, half, unit, law, text, width):
    entry = number(path, value, half, unit, law)
    assert shown(entry, METRIC) == text
    assert spread(entry, METRIC) == width


def test_a_number_in_the_us(assessed):
    assert shown(number("axle.rear.pressure", 6894.757293168361 * 80, unit="Pa"), US) == "80.0 psi"
    assert shown(number("axle.rear.damping", 4.4482216152605 / 0.0254 * 2), US) == "2.00 lbf s/in"
    assert spread(number("frame.front_end", -1.1, 0.0254, "m", "shift"), US) == "± 1.00 in"


def test_yes_and_no_are_no_numbers():
    ledger = {
        p: Known(1.0, 0.0, "published") for p in ("axle.rear.is_leaf", "axle.rear.driven", "axle.rear.load")
    }
    assert [e.path for e in entries(ledger)] == ["axle.rear.load"]


def test_a_name_with_blanks_is_kept():
    assert in_words("axle.rear 2.tyre_rate") == "rear 2 axle: tyre rate"
    assert in_words("point.driver's floor.station") == "driver's floor: station"
    assert in_words("body.cab.mount.0.rate") == "cab: mount 1 rate"
    assert in_words("frame.segment.2.bending_stiffness") == "frame: segment 2 bending stiffness"


def test_doubts_are_what_the_mode_hangs_on(assessed):
    """A stiffness of its own, moved by its whole spread, moves the frequency as far as the table says."""
    from counterbounce.model.modes import modes
    from counterbounce.model.settle import settled

    found = assessed("truck")
    numbers, mode = found.case.numbers, found.host.target.critical.mode
    told = dict(doubts(found))
    assert list(told.values()) == sorted(told.values(), reverse=True)
    path = "frame.bending_stiffness"
    other = settled(found.case.plan, numbers.with_scores({path: 1.959964}))
    moved = modes(other).undamped[mode] / found.host.modes.undamped[mode] - 1
    assert told[path] == pytest.approx(moved, rel=0.15)  # first order in the spread
    assert [row[0] for row in doubts_table(found).rows] == [in_words(path) for path in told]


def test_entries_are_kept_in_order(assessed):
    found = assessed("truck")
    paths = [e.path for e in entries(found.ledger)]
    assert paths == [p for p in found.ledger if p in set(paths)]
    assert all(isinstance(e, Entry) for e in entries(found.ledger))


def test_units_are_those_of_the_case_file():
    """A second way to the unit of a number: what the case file's schema says of the key of its name."""
    found = {}
    for key, unit in units_of_keys(json_schema()):
        found.setdefault(key, set()).add(unit)
    known = {key: units.pop() for key, units in found.items() if len(units) == 1}  # "to" is of two kinds
    assert len(known) > 30
    elsewhere = {  # of roads, limits and recordings: they never come into the ledger
        "from", "imbalance", "run_out", "force_variation", "spacing", "step", "curl", "gap_width",
        "gap_depth", "length", "level", "clearance", "stroke", "density", "angular_density", "speed_lag",
    }  # fmt: skip
    wrong = {key: unit for key, unit in known.items() if unit_of(f"axle.rear.{key}") != unit}
    assert {key for key, unit in wrong.items() if key not in elsewhere and unit != ""} == set()


def units_of_keys(node):
    for key, value in node.get("properties", {}).items():
        units = set(re.findall(r"'x-unit': '([^']*)'", str(value)))
        if len(units) == 1:
            yield key, units.pop()
    for value in node.get("$defs", {}).values():
        yield from units_of_keys(value)
