"""A calibrated case as a case: what it states anew, what hangs together, and the file that it becomes."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from counterbounce.app.calibrated_file import rewritten
from counterbounce.app.cli import cli, run
from counterbounce.model.calibrate import calibrate
from counterbounce.model.case import load, parse
from counterbounce.model.datum import Datum
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.felt import felt
from counterbounce.model.meanings import ground
from counterbounce.model.numbers import Known, Numbers
from counterbounce.model.plausible import draw

EXAMPLES = Path(__file__).parents[2] / "examples"
EVIDENCE = """
[[evidence]]  # snapped off, twice
what = "natural frequency"
value = "9.6 Hz ± 0.1 Hz (measured: ring-down)"
mode = "frame bending 1"

[[evidence]]
what = "damping ratio"
value = "2.6 % ± 0.8 %"
mode = "frame bending 1"
"""


@pytest.fixture(scope="module")
def text():
    return (EXAMPLES / "engineer" / "box_truck.toml").read_text(encoding="utf-8") + EVIDENCE


@pytest.fixture(scope="module")
def corrected(text):
    case = parse(text)
    found = calibrate(case, case.evidence)
    return found, rewritten(text, "case.toml", found)


def test_the_new_case_is_the_calibrated_vehicle_and_as_sure_of_it(corrected):
    found, new = corrected
    told = ground(parse(new))
    for known, frequency, spread in zip(found.modes, told.modes.frequency_hz, told.spread, strict=False):
        assert frequency == pytest.approx(known.after[0], rel=2e-3)  # small moves are not stated
        assert frequency * np.exp(spread) == pytest.approx(known.after[2], rel=0.01)
    assert told.modes.frequency_hz[2] == pytest.approx(9.6, abs=0.06)


def test_comments_and_all_else_are_kept(text, corrected):
    _, new = corrected
    comments = [line for line in text.splitlines() if line.lstrip().startswith("#")]
    assert comments
    assert all(comment in new for comment in comments)
    assert "[[evidence]]  # snapped off, twice" in new
    before, after = tomllib.loads(text), tomllib.loads(new)
    assert before["complaint"] == after["complaint"]
    assert before["axle"]["rear"]["load"] == after["axle"]["rear"]["load"]
    assert before["frame"]["bending_stiffness"] != after["frame"]["bending_stiffness"]


def test_origin_spread_and_source_are_told(corrected):
    found, new = corrected
    known = parse(new).numbers.given["frame.bending_stiffness"]
    assert known.origin == "calibrated"
    assert "natural frequency of frame bending 1" in known.source
    assert "was measured" in known.source
    old = found.case.numbers.given["frame.bending_stiffness"]
    assert known.half / known.value < 0.9 * old.half / old.value


def test_evidence_counts_once(corrected):
    _, new = corrected
    assert parse(new).evidence == ()
    assert [one["counted"] for one in tomllib.loads(new)["evidence"]] == [True, True]


def test_numbers_that_hang_together_are_drawn_together(corrected):
    _, new = corrected
    case = parse(new)
    terms = ground(case, speeds=False).vehicle.frame.terms
    paths = case.numbers.uncertain()
    many = draw(case.plan, case.numbers, terms, 256)
    assert np.corrcoef(many.scores.T) == pytest.approx(case.numbers.correlation(paths), abs=0.06)  # rounded
    assert case.numbers.tied["frame.bending_stiffness", "vehicle.pitch_inertia"] > 0.5


def test_ties_that_contradict_each_other_still_make_scores():
    tied = {("a", "b"): 0.99, ("b", "c"): 0.99, ("a", "c"): -0.99}
    numbers = Numbers({path: Known(1.0, 0.1, "assumed") for path in "abc"}, {}, tied=tied)
    root = numbers.root(["a", "b", "c"])
    assert np.diag(root @ root.T) == pytest.approx(np.ones(3))


def test_ties_stay_with_the_numbers():
    tied = {("a", "b"): 0.5}
    numbers = Numbers({"a": Known(1.0, 0.1, "assumed")}, {}, tied=tied)
    for other in (numbers.with_scores({"a": 1.0}), numbers.with_given({"b": Known(2.0, 0.1, "assumed")})):
        assert other.correlation(["a", "b"])[0, 1] == 0.5


def test_a_placard_speaks_through_what_a_case_can_state():
    """A frame's first bending is no key of a case: its stiffness is."""
    path = EXAMPLES / "technician" / "flatbed.toml"
    case = load(path)
    found = calibrate(case, felt(case))
    new = rewritten(path.read_text(encoding="utf-8"), "case.toml", found)
    again = parse(new)
    assert "frame.bending_stiffness" in again.numbers.given
    assert not again.plan.stiffness_known  # felt is not measured
    assert ground(again).modes.frequency_hz[2] == pytest.approx(found.modes[2].after[0], rel=1e-3)


def test_a_vehicle_on_the_edge_of_what_can_be_makes_a_case(text):
    """Its pitch inertia is the least that its masses allow; rounded, it would be less."""
    first, second = {"shake": "shake 0"}, {"shake": "shake 1"}
    data = [
        Datum("axle load", 3328.47, 33.285, axle="rear"),
        Datum("natural frequency", 10.41647, 0.125, **first),
        Datum("damping ratio", 0.0190866, 0.0038173, **first),
        Datum("effective mass", 681.743, 102.261, point="rear end", **first),
        Datum("natural frequency", 23.31107, 0.27973, **second),
    ]
    found = calibrate(load(EXAMPLES / "engineer" / "box_truck.toml"), data)
    again = ground(parse(rewritten(text, "case.toml", found)))
    told = {one.name: one.after for one in found.modes}
    first_bending = again.modes.frequency_hz[again.modes.names.index("frame bending 1")]
    assert first_bending == pytest.approx(told["frame bending 1"][0], rel=2e-3)


# --- keys of evidence -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("table", "wanted"),
    [
        ('what = "natural frequency"', "needed here, and missing"),
        ('what = "natural frequency"\nvalue = "8.7 s"', "kept in Hz"),
        ('what = "natural frequency"\nvalue = 8.7', "a bare number has no unit"),
        ('what = "natural frequenzy"\nvalue = "8.7 Hz"', "wanted one of"),
        ('what = "damping ratio"\nvalue = "3 %"', "mode or shake"),
        ('what = "effective mass"\nvalue = "500 kg"\nmode = "x"', "needed for effective mass"),
        ('what = "axle load"\nvalue = "500 kg"', "needed for axle load"),
        ('what = "axle load"\nvalue = "500 kg"\naxle = "raer"', "no such axle"),
        ('what = "axle load"\nvalue = "500 kg"\naxle = "rear"\nmode = "x"', "says nothing of axle load"),
        ('what = "critical speed"\nvalue = "80 km/h"\nat = "rear end"', "says nothing of critical speed"),
        ('what = "natural frequency"\nvalue = "8 Hz"\ncause = "x"', "says nothing of natural frequency"),
        ('what = "shape"\nvalue = "8 Hz"\nshape = []', "none for a shape"),
        ('what = "shape"\nshape = [{ point = "rear end", level = 1 }]', "two points or more"),
        ('what = "shape"\nshape = [{ point = "rear end", level = 1, phase = "180" }]', "wanted an angle"),
        ('what = "shape"\nshape = [{ point = "roof", level = 1 }]', "no such point"),
    ],
)  # fmt: skip
def test_evidence_that_is_wrong_is_told_so(table, wanted):
    text = (EXAMPLES / "engineer" / "box_truck.toml").read_text(encoding="utf-8")
    with pytest.raises(CounterbounceError) as caught:
        parse(f"{text}\n[[evidence]]\n{table}\n")
    assert wanted in str(caught.value)


def test_evidence_is_read_as_it_is_written():
    text = (EXAMPLES / "engineer" / "box_truck.toml").read_text(encoding="utf-8")
    shape = '[{ point = "rear end", level = 2.0, phase = "180 deg" }, { point = "front end", level = 1 }]'
    more = f'[[evidence]]\nwhat = "shape"\nshape = {shape}\nshake = "bad"\ncondition = "standstill"\n'
    told = parse(f"{text}\n{more}").evidence
    assert told[0].shape["rear end"] == pytest.approx(-2.0)
    assert (told[0].shake, told[0].condition, told[0].felt) == ("bad", "standstill", False)


# --- the command ----------------------------------------------------------------------------------------


def test_the_command_writes_a_new_case_and_never_over_an_old_one(text, tmp_path):
    old, new = tmp_path / "case.toml", tmp_path / "new.toml"
    old.write_text(text, encoding="utf-8")
    done = CliRunner().invoke(cli, ["calibrate", str(old), "--out", str(new)])
    assert done.exit_code == 0
    assert "AGREES" in done.output
    assert "What moved" in done.output
    assert load(new).numbers.given["frame.bending_stiffness"].origin == "calibrated"
    assert old.read_text(encoding="utf-8") == text
    kept = new.read_bytes()
    assert run(["calibrate", str(old), "--out", str(new)]) == 2
    assert run(["calibrate", str(old), "--out", str(old)]) == 2
    assert new.read_bytes() == kept


def test_the_command_says_so_where_there_is_nothing_to_agree_with(capsys):
    assert run(["calibrate", str(EXAMPLES / "engineer" / "box_truck.toml")]) == 2
    assert "--felt" in capsys.readouterr().err


def test_where_nothing_agrees_nothing_is_written(text, tmp_path):
    old, new = tmp_path / "case.toml", tmp_path / "new.toml"
    stranger = '\n[[evidence]]\nwhat = "axle load"\naxle = "rear"\nvalue = "5 t ± 10 kg"\n'
    old.write_text(text + stranger, encoding="utf-8")
    done = CliRunner().invoke(cli, ["calibrate", str(old), "--out", str(new), "--json"])
    assert done.exit_code == 0
    told = json.loads(done.stdout)
    assert (told["agrees"], told["written"]) == (False, None)
    assert "axle load of rear" in told["strangers"]
    assert not new.exists()


def test_json_tells_what_moved_and_how_surely(text, tmp_path):
    old = tmp_path / "case.toml"
    old.write_text(text, encoding="utf-8")
    done = CliRunner().invoke(cli, ["calibrate", str(old), "--json"])
    told = json.loads(done.stdout)
    bends = next(one for one in told["modes"] if one["name"] == "frame bending 1")
    low, high = bends["frequency_interval_hz"]["after"]
    assert low < 9.6 < high
    assert high - low < 0.5 * np.diff(bends["frequency_interval_hz"]["before"])[0]
    assert {one["path"] for one in told["moved"]} >= {"frame.bending_stiffness", "frame.loss_factor"}
    assert [one["what"] for one in told["evidence"]] == ["natural frequency", "damping ratio"]


def test_a_number_is_not_stated_where_one_that_it_comes_from_is():
    """The tyres' damping comes from their loss factor and a spring rate; a case may state one of the two."""
    path = EXAMPLES / "technician" / "flatbed.toml"
    hop = Datum("damping ratio", 0.09, 0.005, mode="rear axle hop")
    data = [Datum("natural frequency", 12.4, 0.1, mode="rear axle hop"), hop]
    new = parse(rewritten(path.read_text(encoding="utf-8"), "case.toml", calibrate(load(path), data)))
    assert {"axle.rear.tyre_loss_factor", "axle.rear.spring_rate"} <= set(new.numbers.given)
    assert "axle.rear.tyre_damping" not in new.numbers.given
    seen = ground(new).modes
    assert seen.frequency_hz[seen.names.index("rear axle hop")] == pytest.approx(12.4, rel=5e-3)
