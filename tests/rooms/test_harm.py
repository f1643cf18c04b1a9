"""Harm, counted: the counting itself, and that the gate is what keeps it down."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counterbounce.model.observations import Observation
from counterbounce.sizing import harm as rooms
from counterbounce.sizing.assess import assess, without_sizing
from counterbounce.sizing.complaints import FOREIGN, Care, Cause, simulated
from counterbounce.sizing.evidence import with_wheels
from counterbounce.sizing.harm import GOAL, Harm, Put, counted, harm, put
from counterbounce.sizing.shake_kinds import TO_DO, Kind
from counterbounce.sizing.study import host
from counterbounce.sizing.verdict import Outcome, Verdict

# Complaints that pass for a shake that a damper would help, as long as nobody looks; of 240 of seed 0.
HARD = [(Cause.LOOSE, 0), (Cause.FRAME, 1), (Cause.WHEEL, 3), (Cause.DRIVELINE, 6), (Cause.LOOSE, 9)]


@pytest.mark.parametrize("of", [1, 20, 500, 737])
def test_the_interval_of_none_in_closed_form(of):
    """Clopper and Pearson 1934 (from memory): none of n is met with 0.025 by a share 1 - 0.025^(1/n)."""
    found = counted([False] * of)
    assert (found.share, found.low) == (0.0, 0.0)
    assert found.high == pytest.approx(1 - 0.025 ** (1 / of), rel=1e-9)
    assert found.met is (True if of >= 737 else None)


def test_an_interval_holds_its_share_and_some_and_all_mirror_each_other():
    found, other = counted([True] * 3 + [False] * 97), counted([True] * 97 + [False] * 3)
    assert found.low < found.share == 0.03 < found.high
    assert (found.low, found.high) == pytest.approx((1 - other.high, 1 - other.low))
    assert found.met is False
    assert counted([True] + [False] * 99).met is None
    assert counted([]).of == 0
    assert GOAL == 0.005


def test_causes_are_counted_apart():
    yes, no = dict.fromkeys(Care, True), dict.fromkeys(Care, False)
    every = Harm(0, (Put(Cause.WHEEL, yes, False), Put(Cause.FRAME, no, False), Put(Cause.MODE, yes, True)))
    assert (every.harmful(Care.USUAL).advised, every.harmful(Care.USUAL).of) == (1, 2)
    assert every.of(Cause.FRAME, Care.USUAL).advised == 0
    assert (every.of_modes(Care.USUAL, True).advised, every.of_modes(Care.USUAL, False).of) == (1, 0)


@pytest.mark.parametrize(("cause", "number"), HARD)
def test_whoever_looks_carefully_is_told_no(cause, number):
    found = put(simulated(cause, 0, number))
    assert found.advised[Care.NOTHING]  # so that the complaint is a hard one
    assert not found.advised[Care.CAREFUL]
    assert not found.cure


def test_without_the_gate_harm_is_done(monkeypatch):
    """What the test above holds down comes up: each of them is advised a damper."""
    monkeypatch.setattr(rooms, "without_sizing", lambda one: None)
    monkeypatch.setattr(rooms, "with_wheels", lambda one, verdict: verdict)
    assert all(put(simulated(cause, 0, number)).advised[Care.CAREFUL] for cause, number in HARD[:3])


@pytest.mark.parametrize(("cause", "number"), [(Cause.MODE, 0), (Cause.SHIMMY, 0)])
def test_one_sizing_for_all_cares_answers_as_the_main_job(cause, number):
    one = simulated(cause, 0, number)
    answers = {care: assess(simulated(cause, 0, number).said[care]).verdict.good for care in Care}
    assert put(one).advised == answers


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
