"""Recordings, the case corrected by them, and its answer: rides of vehicles that are known, kind by kind."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import tomlkit

from counterbounce.app.chain import chain
from counterbounce.app.chain_table import before_after, chain_json, chain_tables
from counterbounce.app.read_study import Asked
from counterbounce.model.case import load, parse
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.heard import from_ride
from counterbounce.model.modes import modes
from counterbounce.model.predicted import assurance
from counterbounce.model.settle import settled
from counterbounce.sizing.assess import assess
from counterbounce.sizing.shakes_heard import driveline_heard_quiet, wheels_heard_healthy

BOX = Path(__file__).parents[2] / "examples" / "engineer" / "box_truck.toml"
SOFTER = ("12.3 MN*m^2", "11.6 MN*m^2")  # within its spread
TRUE_WHEELS = (("1.1 mm", "0.7 mm"),)  # the case has wheels that are worse than healthy ones
BENDING = "frame bending 1"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder with the case; rides are written beside it."""
    here = tmp_path_factory.mktemp("chain")
    (here / "truck.toml").write_text(BOX.read_text(encoding="utf-8"), encoding="utf-8")
    return here


@pytest.fixture(scope="module")
def rides(folder, drives):
    """Rides by name, driven when they are first asked for, as files."""
    text, made = BOX.read_text(encoding="utf-8"), {}

    def ride(name, *changes, **how):
        if name not in made:
            told = text
            for old, new in (SOFTER, *(changes or TRUE_WHEELS)):
                assert old in told
                told = told.replace(old, new)
            made[name] = drives(told, **how)
            made[name].write(folder / f"{name}.csv")
        return made[name]

    return ride


def answered(folder, *files, **more):
    rides = [Asked((str(folder / file),), **more) for file in files]
    return chain(load(folder / "truck.toml"), rides, None, lambda _: None)


def outcome(found):
    return found.after.verdict.outcome.value


@pytest.fixture(scope="module")
def healthy(folder, rides):
    rides("healthy")
    return answered(folder, "healthy.csv")


# --- what a drive tells of a vehicle -----------------------------------------------------------------------


def test_a_drive_tells_frequency_damping_and_shape(healthy):
    """Beside the modes of the very vehicle that was driven; an axle, which the wheels move, has no part."""
    case = parse(BOX.read_text(encoding="utf-8").replace(*SOFTER))
    truck = settled(case.plan, case.numbers)
    found = modes(truck)
    mode = found.names.index(BENDING)
    told = {one.what: one for one in from_ride(healthy.heard[0].evidence, truck, "ride")}
    for what, true in (("natural frequency", found.frequency_hz), ("damping ratio", found.damping_ratio)):
        assert abs(told[what].value - true[mode]) < told[what].half
    moves = told["shape"].shape
    assert set(moves) == {"driver's floor", "rear end"}
    assert assurance(moves, [found.shape_at(truck.points[name].row)[mode] for name in moves]) > 0.95
    rolls = told["rolling circumference"]
    assert abs(rolls.value - truck.axles[1].circumference) < rolls.half


# --- a vehicle that agrees ------------------------------------------------------------------------------


def test_the_corrected_vehicle_is_nearer_to_the_one_that_was_driven(healthy):
    case = parse(BOX.read_text(encoding="utf-8").replace(*SOFTER))
    truth = modes(settled(case.plan, case.numbers))
    true = float(truth.frequency_hz[truth.names.index(BENDING)])
    told = {one.name: one for one in healthy.found.modes}[BENDING]
    assert abs(told.after[0] - true) < 0.4 * abs(told.before[0] - true)
    assert told.after[1] < true < told.after[2]
    assert told.after[2] - told.after[1] < 0.7 * (told.before[2] - told.before[1])


def test_the_answer_is_of_the_corrected_vehicle_and_its_plausible_ones(healthy):
    told = {one.name: one for one in healthy.found.modes}[BENDING]
    before, after = healthy.before, healthy.after
    mode = after.host.target.critical.mode
    assert after.host.modes.frequency_hz[mode] == pytest.approx(told.after[0], rel=2e-3)
    drawn = [one.survey.frequency[:, mode] for one in (before, after)]
    assert drawn[1].std() < 0.7 * drawn[0].std()
    undamped = after.host.modes.undamped[mode] / (2 * np.pi)
    assert np.quantile(drawn[1], 0.975) / undamped == pytest.approx(told.after[2] / told.after[0], rel=5e-3)
    assert after.case.numbers.tied


def test_a_healthy_vehicle_that_rings_is_confirmed_and_its_wheels_are_cleared(healthy):
    assert outcome(healthy) == "helps"
    assert "The recording confirms it" in healthy.after.verdict.sentence
    assert wheels_heard_healthy(healthy.after.case)
    assert driveline_heard_quiet(healthy.after.case)


def test_a_recording_of_every_axle_clears_wheels_and_driveline_for_who_tried_neither(folder, healthy):
    """The walk round was done; no other wheels were tried, and nobody said how fast it shakes."""
    document = tomlkit.parse(BOX.read_text(encoding="utf-8"))
    del document["observation"]
    (folder / "untried.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
    rides = [Asked((str(folder / "healthy.csv"),))]
    found = chain(load(folder / "untried.toml"), rides, None, lambda _: None)
    assert found.before.verdict.outcome.value == "unsure"
    assert outcome(found) == "helps"


def test_what_is_written_is_what_was_assessed(healthy):
    assert healthy.file == "truck-calibrated.toml"
    again = parse(healthy.text, "truck-calibrated.toml")
    assert again.sha256 == healthy.after.case.sha256
    assert again.numbers.given["frame.bending_stiffness"].origin == "calibrated"


def test_tables_say_what_was_said_what_moved_and_what_it_did(healthy):
    titles = " / ".join(table.title for table in chain_tables(healthy))
    for word in ("recording healthy said", "without and with", "agrees", "Natural frequencies", "What moved"):
        assert word in titles
    rows = {row[0]: row[1:] for row in before_after(healthy).rows}
    assert rows["answer"] == ("helps", "helps")
    assert rows["its frequency (95 %)"][0].startswith("9.95 Hz (")
    assert rows["its frequency (95 %)"][1].startswith("9.7")
    assert {"frame: bending stiffness"} <= {row[0] for row in chain_tables(healthy)[-1].rows}


def test_json_holds_recordings_calibration_and_the_answer_without(healthy):
    told = json.loads(json.dumps(chain_json(healthy, "there.toml"), allow_nan=False))
    assert told["recordings"][0]["findings"][0]["kind"] == "resonance"
    assert len(told["recordings"][0]["files"][0]["sha256"]) == 64
    assert told["recordings"][0]["health"] == []
    assert (told["calibration"]["agrees"], told["calibration"]["written"]) == (True, "there.toml")
    assert told["without_recordings"]["frequency_hz"] == pytest.approx(9.953, abs=0.01)
    assert told["without_recordings"]["verdict"]["outcome"] == "helps"


# --- a vehicle that says otherwise ------------------------------------------------------------------------


def test_a_wheel_at_fault_is_inspected_first(folder, rides):
    rides("faulty", ("1.1 mm", "6 mm"), ("0.6 mm", "4 mm"))
    found = answered(folder, "faulty.csv")
    assert outcome(found) == "inspect_first"
    assert "times a healthy one" in found.after.verdict.sentence
    assert found.after.sized is None
    assert not wheels_heard_healthy(found.after.case)


def test_a_corrected_case_remembers_what_spoke_against_a_damper(folder, rides):
    """Without the recording the truck would be told that a damper helps."""
    rides("faulty", ("1.1 mm", "6 mm"), ("0.6 mm", "4 mm"))
    found = answered(folder, "faulty.csv")
    again = parse(found.text, found.file)
    assert again.sha256 == found.after.case.sha256
    verdict = assess(again).verdict
    assert verdict.outcome.value == "unsure"
    assert "a part that turns is itself at fault: wheel order 1, rear axle" in verdict.sentence
    assert assess(replace(again, doubt="")).verdict.outcome.value == "helps"


def test_one_speed_asks_for_a_sweep(folder, rides):
    rides("steady", sweep=((0.0, 60.0), (24.4, 24.4)))
    found = answered(folder, "steady.csv")
    assert outcome(found) == "unsure"
    assert "while the speed changes" in found.after.verdict.next_step
    assert [datum.what for datum in found.found.data] == ["rolling circumference"] * 2


def test_a_ride_without_a_shake_is_not_cured(folder, rides):
    well_damped = 'loss_factor = "0.04', 'loss_factor = "0.6'
    rides("silent", well_damped, ("1.1 mm", "0.2 mm"), ("0.6 mm", "0.2 mm"), smooth=0.1)
    found = answered(folder, "silent.csv")
    assert outcome(found) == "unsure"
    assert "that a damper would cure" in found.after.verdict.sentence


def test_left_against_right_is_outside_the_model(folder, rides):
    """The axle's two ends, moved against each other at 11 Hz more than together."""
    ride = rides("healthy")
    rough = np.random.default_rng(0).standard_normal(len(ride.time))
    turn = np.exp(-2 * np.pi * 11 / 100 * (0.04 - 1j))
    ringing = np.array([0.0 + 0j])
    both = []
    for push in rough:
        ringing = ringing * turn + push
        both.append(float(ringing.real[0]))
    axle = ride.shake["rear axle"]
    apart = 3 * axle.std() / np.std(both) * np.array(both)
    sides = {"rear axle, left": axle + apart, "rear axle, right": axle - apart}
    replace(ride, shake={**ride.shake, **sides}).write(folder / "tramp.csv", "rear axle")
    assert outcome(answered(folder, "tramp.csv")) == "outside_the_model"


def test_a_shaft_that_swings_along_asks_for_neutral(folder, rides):
    """A propshaft of 12 teeth whose speed follows the shake by up to a hundredth."""
    ride = rides("healthy")
    fine = np.arange(ride.time[0], ride.time[-1], 1 / 20_000)
    shake = ride.shake["rear end"]
    speed = np.interp(fine, ride.time, ride.speed * (1 + 0.01 * shake / np.abs(shake).max()))
    teeth = np.cumsum(speed) / 20_000 / 2.4 * 4.1 * 12
    np.savetxt(folder / "teeth.txt", np.interp(np.arange(1, int(teeth[-1])), teeth, fine), fmt="%.6f")
    found = answered(folder, "healthy.csv", pulses=str(folder / "teeth.txt"), teeth=12)
    assert found.heard[0].evidence.findings[0].driveline == "moves_with_it"
    assert outcome(found) == "unsure"
    assert "neutral" in found.after.verdict.next_step


@pytest.mark.parametrize(
    ("rate", "known"),
    [("9.4 MN*m^2", "frame: bending stiffness"), ("6.0 MN*m^2", "natural frequency of stranger-6, shake 1")],
)
def test_a_recording_of_another_vehicle_is_a_stranger(folder, drives, rate, known):
    """Six of its spreads off, and so far off that no mode comes near."""
    name = f"stranger-{rate[0]}"
    other = BOX.read_text(encoding="utf-8").replace(SOFTER[0], rate)
    drives(other).write(folder / f"{name}.csv")
    found = answered(folder, f"{name}.csv")
    assert outcome(found) == "unsure"
    assert any(known in one for one in found.strangers)
    assert known in found.after.verdict.sentence
    assert found.text == ""
    assert found.after.sized.found.damper == found.before.sized.found.damper
    assert not any(table.title == "What moved" for table in chain_tables(found))
    told = json.loads(json.dumps(chain_json(found, None), allow_nan=False))
    assert told["calibration"]["agrees"] is False
    assert told["calibration"]["strangers"] == list(found.strangers)


# --- several recordings -----------------------------------------------------------------------------------


def test_two_rides_tell_more_than_one(folder, rides, healthy):
    rides("again", seed=2)
    both = answered(folder, "healthy.csv", "again.csv")
    assert [one.name for one in both.heard] == ["healthy", "again"]
    width = [np.ptp({m.name: m.after for m in one.found.modes}[BENDING][1:]) for one in (healthy, both)]
    assert width[1] < width[0]


def test_one_ride_given_twice_is_refused(folder, rides):
    rides("healthy")
    (folder / "copy.csv").write_bytes((folder / "healthy.csv").read_bytes())
    with pytest.raises(CounterbounceError, match="it counts once"):
        answered(folder, "healthy.csv", "copy.csv")


def test_a_recording_counts_once_in_a_case_that_was_corrected_by_it(folder, healthy):
    (folder / "corrected.toml").write_text(healthy.text, encoding="utf-8")
    with pytest.raises(CounterbounceError, match="this case was corrected with: it counts once"):
        chain(load(folder / "corrected.toml"), [Asked((str(folder / "healthy.csv"),))], None, lambda _: None)


def test_every_bad_file_is_named_at_once(folder):
    (folder / "empty.csv").write_text("", encoding="utf-8")
    with pytest.raises(CounterbounceError) as caught:
        answered(folder, "empty.csv", "nowhere.csv")
    assert [Path(fault.file).name for fault in caught.value.faults] == ["empty.csv", "nowhere.csv"]
