"""What findings of recordings do to a verdict, and what they clear: made-up findings on an invented truck."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from counterbounce.model.case import load
from counterbounce.model.measured.findings import Evidence, Finding, NextStep
from counterbounce.model.observations import Observation
from counterbounce.model.said import Said
from counterbounce.sizing.recorded import by_recording, with_recording, without_agreement
from counterbounce.sizing.shakes_heard import driveline_heard_quiet, wheels_heard_healthy
from counterbounce.sizing.study import host
from counterbounce.sizing.verdict import Outcome, Verdict

CASE = Path(__file__).parents[2] / "examples" / "engineer" / "box_truck.toml"
HELPS = Verdict(Outcome.HELPS, "It helps.", "Fit it.")
NEXT = NextStep("Record the sweep.", "There.", "Rise from 60 to 110 km/h.", "Because.")
HERE, ELSEWHERE = (24.0, 25.0), (12.0, 13.0)  # [m/s]: the complaint is at 84 to 92 km/h
POINTS = ("driver's floor", "front axle", "rear axle, left", "rear axle, right")
MET = "a natural frequency, met by wheel order 1, rear axle"
RINGS = Finding(
    "resonance", MET, 0.95, met_by="wheel_order", where="rear end", order=1.0, frequency_hz=9.9,
    interval=(9.7, 10.1), speed_band_m_s=HERE, input_over_healthy=1.2,
)  # fmt: skip
WHEEL = Finding(
    "rotating_part", "wheel order 1, rear axle", 0.95, speed_band_m_s=HERE, input_over_healthy=5.1
)
SHAFT = Finding("rotating_part", "propshaft order 1", 0.9, speed_band_m_s=HERE)
TRAMP = Finding("outside_the_model", "tramp: left and right of rear axle move", 0.9, frequency_hz=11.0)
STEADY = Finding("not_separable", "wheel order 1, at one speed only", 0.9, speed_band_m_s=HERE)
QUIET = Finding("nothing", "no shake of a narrow band stands out", 0.6)


@pytest.fixture(scope="module")
def truck():
    return host(load(CASE))


def said(*findings, speeds=(15.0, 30.0), points=POINTS):
    return Said("ride", Evidence(findings, {}, NEXT), points, speeds)


@pytest.fixture
def judge(truck):
    """The outcome and the words of a truck that helps, once recordings are known."""

    def answer(*recordings, **changes):
        one = replace(truck, case=replace(truck.case, said=recordings, **changes))
        return by_recording(one) or with_recording(one, HELPS)

    return answer


def test_without_a_recording_nothing_changes(judge):
    assert judge() is HELPS


def test_a_resonance_at_the_complaint_is_confirmed(judge):
    found = judge(said(RINGS))
    assert found.outcome is Outcome.HELPS
    assert "confirms it: a natural frequency, met by wheel order 1, rear axle, at 9.90 Hz" in found.sentence
    assert found.next_step == HELPS.next_step


@pytest.mark.parametrize(
    ("findings", "outcome", "words"),
    [
        ([WHEEL], Outcome.INSPECT_FIRST, "rear axle, 5.1 times a healthy one to a factor of two"),
        ([RINGS, WHEEL], Outcome.INSPECT_FIRST, "5.1 times"),
        ([SHAFT], Outcome.NOT_A_RESONANCE, "propshaft order 1"),
        ([RINGS, SHAFT], Outcome.INSPECT_FIRST, "propshaft order 1"),
        ([TRAMP, RINGS], Outcome.OUTSIDE_THE_MODEL, "tramp: left and right"),
        ([STEADY], Outcome.UNSURE, "at one speed the recording cannot tell"),
        ([QUIET], Outcome.UNSURE, "no shake at 84 to 92 km/h that a damper would cure: no shake of"),
        ([replace(RINGS, speed_band_m_s=ELSEWHERE)], Outcome.UNSURE, "that a damper would cure"),
        ([replace(RINGS, confidence=0.6)], Outcome.UNSURE, "does not tell surely what shakes"),
        ([replace(RINGS, frequency_hz=13.0, interval=(12.8, 13.2))], Outcome.UNSURE, "this is for 9.95 Hz"),
        ([replace(RINGS, input_over_healthy=4.0)], Outcome.UNSURE, "4.0 times a healthy input"),
        ([RINGS, replace(WHEEL, speed_band_m_s=ELSEWHERE)], Outcome.UNSURE, "5.1 times a healthy input"),
        ([replace(RINGS, driveline="moves_with_it")], Outcome.UNSURE, "following is not driving"),
    ],
)  # fmt: skip
def test_no_damper_where_the_vehicle_said_otherwise(judge, findings, outcome, words):
    found = judge(said(*findings))
    assert found.outcome is outcome
    assert words in found.sentence


@pytest.mark.parametrize(
    ("finding", "word"),
    [
        (STEADY, "Record the sweep. Rise from 60 to 110 km/h."),
        (QUIET, "Record the complaint itself"),
        (replace(RINGS, input_over_healthy=4.0), "The wheels first"),
        (replace(RINGS, driveline="moves_with_it"), "coast in neutral"),
        (WHEEL, "run-out"),
        (SHAFT, "propshaft looked at"),
        (TRAMP, "Record the sweep."),
    ],
)
def test_each_says_what_to_do(judge, finding, word):
    assert word in judge(said(finding)).next_step


def test_a_weak_finding_of_a_part_accuses_nobody(judge):
    assert judge(said(RINGS, replace(WHEEL, confidence=0.6))).outcome is Outcome.HELPS
    assert judge(said(RINGS, replace(SHAFT, confidence=0.6))).outcome is Outcome.HELPS
    assert judge(said(RINGS, replace(WHEEL, input_over_healthy=1.9))).outcome is Outcome.HELPS


def test_a_ride_that_never_was_there_says_nothing_of_it(judge):
    found = judge(said(QUIET, speeds=(10.0, 15.0)))
    assert found.outcome is Outcome.HELPS
    assert "does not tell what shakes at 84 to 92 km/h" in found.next_step


def test_neutral_tells_whether_the_driveline_drives(judge):
    swings = said(replace(RINGS, driveline="moves_with_it"))
    stayed, weaker = (Observation("neutral coast-down", result) for result in ("stayed", "weaker"))
    assert judge(swings, observations=(stayed,)).outcome is Outcome.HELPS
    assert judge(swings, observations=(weaker,)).outcome is Outcome.UNSURE


def test_without_a_complaint_every_speed_counts(judge):
    assert (
        judge(said(replace(WHEEL, speed_band_m_s=ELSEWHERE)), complaint=None).outcome is Outcome.INSPECT_FIRST
    )


def test_what_meets_a_recorded_resonance_is_asked_for_where_the_case_has_nothing(truck):
    case = replace(truck.case, said=(said(replace(RINGS, met_by="joints")),))
    none = Verdict(Outcome.NOT_A_RESONANCE, "Nothing meets a mode.", "Look for a part.")
    found = with_recording(replace(truck, case=case, target=None), none)
    assert found.outcome is Outcome.UNSURE
    assert "joints with their spacing" in found.next_step


def test_speeds_of_the_next_drive_are_in_the_units_of_the_case(truck):
    case = replace(truck.case, said=(said(STEADY),), display=replace(truck.case.display, speed="mph"))
    assert "Rise from 37 to 68 mph" in with_recording(replace(truck, case=case), HELPS).next_step


def test_a_stranger_leaves_nothing_to_build_on():
    found = without_agreement(HELPS, HELPS, ["natural frequency of ride, shake 1, 7.00 Hz"])
    assert found.outcome is Outcome.UNSURE
    assert "the stranger: natural frequency of ride, shake 1, 7.00 Hz" in found.sentence


# --- what is cleared ------------------------------------------------------------------------------------


def test_wheels_are_cleared_where_every_axle_was_listened_to(truck):
    def healthy(*findings, **more):
        return wheels_heard_healthy(replace(truck.case, said=(said(*findings, **more),)))

    assert healthy(RINGS)
    assert not healthy()
    assert not healthy(RINGS, points=("driver's floor", "rear axle"))
    assert not healthy(replace(RINGS, input_over_healthy=2.2))
    assert not healthy(replace(RINGS, input_over_healthy=None))
    assert not healthy(replace(RINGS, confidence=0.6))
    assert not healthy(replace(RINGS, met_by="joints"))
    assert not healthy(replace(RINGS, speed_band_m_s=ELSEWHERE))
    assert not healthy(RINGS, replace(WHEEL, confidence=0.55, speed_band_m_s=ELSEWHERE))


def test_shafts_are_cleared_where_wheels_meet_the_shake(truck):
    def quiet(*findings):
        return driveline_heard_quiet(replace(truck.case, said=(said(*findings),)))

    assert quiet(RINGS)
    assert not quiet(replace(RINGS, order=4.0))
    assert not quiet(replace(RINGS, driveline="moves_with_it"))
    assert not quiet(RINGS, replace(SHAFT, confidence=0.55))
    assert not quiet(QUIET)
