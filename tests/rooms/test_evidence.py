"""What observations do to the verdict of the main job."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest

from counterbounce.model.case import load
from counterbounce.model.observations import PACE, WEIGHT, Observation
from counterbounce.sizing import assess as jobs
from counterbounce.sizing.assess import assess, without_sizing
from counterbounce.sizing.evidence import by_observation, by_pace, evidence, with_wheels
from counterbounce.sizing.observed import reading
from counterbounce.sizing.shake_kinds import TABLE, TO_DO, Kind
from counterbounce.sizing.study import host
from counterbounce.sizing.verdict import Outcome, say

EXAMPLES = Path(__file__).parents[2] / "examples"
TRUCK, BODY, FLATBED = "engineer/box_truck", "upfitter/service_body", "technician/flatbed"


@cache
def example(name):
    return host(load(EXAMPLES / f"{name}.toml"))


def after(name, *seen):
    """An example's host, with these observations and no others."""
    one = example(name)
    return replace(one, case=replace(one.case, observations=tuple(seen)))


def seen(change, result):
    return Observation(change, result)


PACE_OF_TRUCK = Observation(PACE, "blur", frequency=10.0)  # of 84 to 92 km/h on wheels of 2.47 m
CLEARED = PACE_OF_TRUCK, seen("known-good wheels", "stayed")


@pytest.fixture
def answered(monkeypatch):
    def answer(name, *observations):
        one = after(name, *observations)
        monkeypatch.setattr(jobs, "host", lambda case, *_: replace(one, case=case))
        return assess(one.case)

    return answer


def test_no_observation_or_pair_that_excludes_the_mode_lets_a_damper_help():
    """Without sizing already: whatever excludes the mode, or contradicts itself, settles the verdict."""
    looked_at = 0
    for one, other in combinations(TABLE, 2):
        found = after(TRUCK, seen(*one), seen(*other))
        read = reading(found.case)
        verdict = without_sizing(found)
        if read.contradictions or read.excludes(Kind.MODE):
            assert verdict is not None
            assert verdict.outcome in (Outcome.INSPECT_FIRST, Outcome.NOT_A_RESONANCE, Outcome.UNSURE)
            looked_at += 1
    assert looked_at > 300


def test_what_leaves_the_mode_leaves_the_verdict_to_the_sizing(answered):
    found = answered(TRUCK, seen("neutral coast-down", "stayed"), *CLEARED)
    assert found.verdict.outcome is Outcome.HELPS
    assert found.verdict == answered(TRUCK, *CLEARED).verdict


def test_the_driveline_alone_is_no_resonance(answered):
    found = answered(
        TRUCK, seen("off the throttle", "vanished"), seen("another gear at the same speed", "stayed")
    )
    assert found.verdict.outcome is Outcome.NOT_A_RESONANCE
    assert found.sized is None
    assert "What remains: the driveline." in found.verdict.sentence
    assert "off the throttle: it vanished" in found.verdict.sentence
    assert TO_DO[Kind.DRIVELINE] in found.verdict.next_step
    assert TO_DO[Kind.ENGINE] not in found.verdict.next_step


def test_all_that_remains_is_to_be_looked_at():
    verdict = by_observation(after(TRUCK, seen("neutral coast-down", "vanished")))
    assert verdict.outcome is Outcome.NOT_A_RESONANCE
    assert "the driveline or the engine and its mounts" in verdict.sentence
    assert TO_DO[Kind.DRIVELINE] in verdict.next_step
    assert TO_DO[Kind.ENGINE] in verdict.next_step
    assert by_observation(after(TRUCK)) is None


def test_contradictions_are_said_and_no_damper_is_advised(answered):
    found = answered(TRUCK, seen("neutral coast-down", "stayed"), seen("neutral coast-down", "weaker"))
    assert found.verdict.outcome is Outcome.UNSURE
    assert "it stayed, and it became weaker" in found.verdict.sentence
    assert found.evidence.next_test is None


def test_a_weight_that_did_not_do_what_the_model_says_makes_it_unsure(answered):
    far = Observation(WEIGHT, "moved", (15.0, 17.0), 100.0, "rear end")
    found = answered(TRUCK, far, *CLEARED)
    assert found.evidence.weight.agrees is False
    assert found.verdict.outcome is Outcome.UNSURE
    assert "moved to 54 to 61 km/h" in found.verdict.sentence
    right = replace(far, speed=found.evidence.weight.predicted)
    assert answered(TRUCK, right, *CLEARED).verdict.outcome is Outcome.HELPS
    stayed = Observation(WEIGHT, "stayed", None, 400.0, "rear end")
    assert "it stayed where it was" in answered(TRUCK, stayed).verdict.sentence


def test_a_case_without_any_doubt_is_judged_by_the_weight_as_well():
    one = replace(after(TRUCK, Observation(WEIGHT, "stayed", None, 400.0, "rear end")), doubt={})
    assert without_sizing(one).outcome is Outcome.UNSURE
    assert "what the case takes as exact" in without_sizing(one).next_step
    assert without_sizing(replace(after(TRUCK), doubt={})) is None


def test_wheels_that_are_not_excluded_are_mentioned():
    unsure = replace(say(Outcome.INSPECT_FIRST, "loose", why="", do="Fit it."), outcome=Outcome.UNSURE)
    tell = "A wheel or tyre at fault is not excluded"
    neutral = seen("neutral coast-down", "stayed")
    assert tell not in with_wheels(after(TRUCK, neutral), unsure).next_step  # its wheels were measured
    assert tell in with_wheels(after(FLATBED), unsure).next_step  # healthy ones were assumed
    assert tell not in with_wheels(after(FLATBED, seen("known-good wheels", "stayed")), unsure).next_step
    assert tell not in with_wheels(after(BODY), unsure).next_step  # the joints shake it
    assert tell in with_wheels(after(BODY, neutral), unsure).next_step  # but somebody is looking
    tried = with_wheels(after(FLATBED, seen("known-good wheels", "weaker")), unsure).next_step
    assert TO_DO[Kind.WHEEL] in tried
    assert "drive once on known-good wheels" in with_wheels(after(FLATBED, neutral), unsure).next_step
    other = replace(unsure, outcome=Outcome.RATINGS)
    assert with_wheels(after(FLATBED), other) is other
    good = replace(unsure, outcome=Outcome.HELPS)
    assert with_wheels(after(FLATBED), good) is good  # the gate asks for them


def test_no_damper_is_advised_where_other_wheels_made_it_weaker(answered):
    found = answered(TRUCK, seen("known-good wheels", "weaker"))
    assert found.verdict.outcome is Outcome.UNSURE
    assert "on known-good wheels it became weaker" in found.verdict.sentence
    assert found.verdict.next_step.startswith("The wheels first: have the wheels' run-out")
    stronger = answered(TRUCK, seen("known-good wheels", "stronger"), PACE_OF_TRUCK)
    assert stronger.verdict.facts["left"] == "the wheels"  # they feed it, so they are measured first
    assert "run-out and force variation" in stronger.verdict.next_step


def test_no_test_is_proposed_on_a_vehicle_to_be_inspected():
    one = after(TRUCK)
    assert evidence(one, say(Outcome.INSPECT_FIRST, "loose", why="", do="")).next_test is None
    assert evidence(one, say(Outcome.NOT_A_RESONANCE, "nothing", complaint="")).next_test is not None


@pytest.mark.parametrize(
    ("result", "frequency", "outcome"),
    [
        ("blur", None, None),  # 9.5 to 10.4 in a second is expected
        ("blur", 9.9, None),
        ("blur", 8.5, None),  # speedometer and phone both off
        ("blur", 7.0, Outcome.UNSURE),
        ("blur", 14.0, Outcome.UNSURE),
        ("countable", None, Outcome.UNSURE),
        ("buzz", None, Outcome.NOT_A_RESONANCE),
        ("buzz", 38.0, Outcome.NOT_A_RESONANCE),
    ],
)
def test_a_shake_slower_or_faster_than_the_mode_that_is_met_is_another(result, frequency, outcome):
    found = by_pace(after(TRUCK, Observation(PACE, result, frequency=frequency)), "the frame")
    assert (found and found.outcome) is outcome
    if found:
        assert "9 to 11 times in a second" in found.sentence
        assert result in found.sentence
    if outcome is Outcome.NOT_A_RESONANCE:
        assert TO_DO[Kind.DRIVELINE] in found.next_step
        assert "a mode met by wheels or road" not in found.sentence


def test_how_fast_it_shakes_says_nothing_of_a_target_that_is_not_certain():
    one = after(TRUCK, seen(PACE, "buzz"))
    assert by_pace(replace(one, target=replace(one.target, certain=False)), "the frame") is None
    assert by_pace(replace(one, target=None), "the frame") is None
    assert by_pace(after(TRUCK), "the frame") is None
