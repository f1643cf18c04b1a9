"""Harm, counted: the counting itself, and that the gate is what keeps it down."""

from __future__ import annotations

from dataclasses import replace

import pytest
from scipy.stats import binom

from counterbounce.model.observations import PACE, Observation
from counterbounce.sizing import advised as answers
from counterbounce.sizing import harm as rooms
from counterbounce.sizing.advised import advises, by_numbers
from counterbounce.sizing.assess import assess, without_sizing
from counterbounce.sizing.complaints import simulated
from counterbounce.sizing.evidence import with_wheels
from counterbounce.sizing.harm import GOAL, Frame, Harm, Put, counted, harm, put
from counterbounce.sizing.shake_kinds import TO_DO, Kind
from counterbounce.sizing.study import host, told
from counterbounce.sizing.verdict import Outcome, Verdict
from counterbounce.sizing.witness import FOREIGN, Care, Cause

# Complaints whose numbers pass for a shake that a damper would help; of 240 of seed 0.
HARD = [(Cause.LOOSE, 0), (Cause.FRAME, 1), (Cause.WHEEL, 3), (Cause.DRIVELINE, 6), (Cause.LOOSE, 9)]
GENUINE = [(Cause.MODE, 6), (Cause.MODE, 9), (Cause.MODE, 11)]  # of seed 991


@pytest.mark.parametrize("of", [1, 20, 500, 597, 598, 737])
def test_the_interval_of_none_in_closed_form(of):
    """Clopper and Pearson 1934 (from memory): none of n is met with 0.025 by a share 1 - 0.025^(1/n)."""
    found = counted([False] * of)
    assert (found.share, found.low) == (0.0, 0.0)
    assert found.high == pytest.approx(1 - 0.025 ** (1 / of), rel=1e-9)
    assert found.bound == pytest.approx(1 - 0.05 ** (1 / of), rel=1e-9)
    assert found.met is (True if of >= 598 else None)


def test_the_bound_of_a_few_by_the_binomial_itself():
    """As many or fewer are met with 0.05 where the share is at the bound (Clopper and Pearson 1934)."""
    for advised, of in ((1, 50), (3, 504), (5, 1800)):
        found = counted([True] * advised + [False] * (of - advised))
        assert binom.cdf(advised, of, found.bound) == pytest.approx(0.05, rel=1e-6)
        assert found.bound < found.high
    assert counted([False] * 737).bound == pytest.approx(0.0041, abs=5e-5)
    assert counted([True] * 4).bound == 1.0


def test_an_interval_holds_its_share_and_some_and_all_mirror_each_other():
    found, other = counted([True] * 3 + [False] * 97), counted([True] * 97 + [False] * 3)
    assert found.low < found.share == 0.03 < found.high
    assert (found.low, found.high) == pytest.approx((1 - other.high, 1 - other.low))
    assert found.met is False
    assert counted([True] + [False] * 99).met is None
    assert counted([]).of == 0
    assert GOAL == 0.005


def test_causes_are_counted_apart():
    yes, no, frame = dict.fromkeys(Care, True), dict.fromkeys(Care, False), Frame.RAILS
    made = Put(Cause.WHEEL, yes, False, frame), Put(Cause.FRAME, no, False, frame)
    every = Harm(0, (*made, Put(Cause.MODE, yes, True, frame), Put(Cause.MODE, no, True, Frame.GUESSED)))
    assert (every.harmful(Care.USUAL).advised, every.harmful(Care.USUAL).of) == (1, 2)
    assert every.of(Cause.FRAME, Care.USUAL).advised == 0
    assert (every.of_modes(Care.USUAL, True).advised, every.of_modes(Care.USUAL, False).of) == (1, 0)
    assert [every.of_modes(Care.USUAL, True, one).of for one in Frame] == [0, 1, 1]


@pytest.mark.parametrize(("cause", "number"), HARD)
def test_whoever_looks_at_nothing_or_carefully_is_not_told_that_it_helps(cause, number):
    one = simulated(cause, 0, number)
    assert by_numbers(host(one.case))  # so that the complaint is a hard one
    found = put(one)
    assert not found.advised[Care.NOTHING]
    assert not found.advised[Care.CAREFUL]
    assert not found.cure


def test_without_the_gate_harm_is_done(monkeypatch):
    """What the test above holds down comes up: each of them is advised a damper by whoever looked at nothing;
    and without the rest of what takes an advice away, by the careful too."""
    some = [simulated(cause, 0, number) for cause, number in HARD[:3]]
    monkeypatch.setattr(answers, "still_open", lambda one: ())
    assert all(put(one).advised[Care.NOTHING] for one in some)
    assert not any(put(one).advised[Care.CAREFUL] for one in some)
    monkeypatch.setattr(answers, "without_sizing", lambda one: None)
    monkeypatch.setattr(answers, "with_wheels", lambda one, verdict: verdict)
    assert all(put(one).advised[Care.CAREFUL] for one in some)


@pytest.mark.parametrize(("cause", "number"), GENUINE)
def test_whoever_looked_and_has_a_shake_that_a_damper_cures_is_told_so(cause, number):
    """Never to advise one would do no harm either."""
    found = put(simulated(cause, 991, number))
    assert found.cure
    assert found.advised[Care.CAREFUL]
    assert found.advised[Care.ASKED]
    assert not found.advised[Care.NOTHING]


def test_a_propshaft_out_of_balance_is_told_by_how_fast_it_shakes():
    """Without that one observation nothing that the careful tried would have told them."""
    one = simulated(Cause.DRIVELINE, 0, 6)
    careful = one.said[Care.CAREFUL]
    kept = tuple(seen for seen in careful.observations if seen.change != PACE)
    silent = host(replace(careful, observations=kept))
    assert by_numbers(silent)
    assert not advises(silent)
    heard = host(careful)
    assert without_sizing(heard).outcome is Outcome.NOT_A_RESONANCE
    assert "another, faster shake" in without_sizing(heard).sentence


@pytest.mark.parametrize(("cause", "number"), [(Cause.MODE, 0), (Cause.SHIMMY, 0)])
def test_one_sizing_for_all_cares_answers_as_the_main_job(cause, number):
    one = simulated(cause, 0, number)
    answers = {care: assess(simulated(cause, 0, number).said[care]).verdict.good for care in Care}
    assert put(one).advised == answers


def test_what_is_told_of_how_fast_it_shakes_chooses_the_target_as_the_main_job_does():
    one = simulated(Cause.MODE, 991, 7)
    careful = one.said[Care.CAREFUL]
    silent, heard = host(one.case), host(careful)
    names = [
        (found.target.critical.cause.name, found.target.critical.mode, found.target.band)
        for found in (told(silent, careful), heard, silent)
    ]
    assert names[0] == names[1] != names[2]


def test_causes_are_put_alike_often_and_the_same_for_the_same_seed(monkeypatch):
    monkeypatch.setattr(rooms, "put", lambda one: (one.cause, one.case.sha256, one.case.complaint))
    found = harm(6, 3).put
    assert [cause for cause, *_ in found] == [*FOREIGN, Cause.MODE]
    assert len({sha256 for _, sha256, _ in found}) == len(found)
    assert harm(6, 3).put == found
    assert harm(6, 4).put != found


@pytest.mark.parametrize("wheels", ["vanished", "weaker"])
def test_other_wheels_that_cure_it_take_the_advice_away(wheels):
    """As it would be were the wheels not at fault: the same host, with and without that one observation."""
    one = simulated(Cause.MODE, 0, 0)
    told = host(replace(one.case, observations=(Observation("known-good wheels", wheels),)))
    stopped = without_sizing(told)
    if wheels == "vanished":
        assert stopped.outcome is Outcome.INSPECT_FIRST
        assert TO_DO[Kind.WHEEL][1:] in stopped.next_step
    else:
        assert stopped is None
        taken = with_wheels(told, Verdict(Outcome.HELPS, "It helps.", "Fit it."))
        assert taken.outcome is Outcome.UNSURE
        assert taken.next_step.startswith("The wheels first")
