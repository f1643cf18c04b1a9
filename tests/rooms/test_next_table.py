"""What to do next, as it is shown."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counterbounce.app.answer import answer
from counterbounce.app.next_table import SHOWN, first_step, steps_table
from counterbounce.sizing.measure_next import Step, WhatNext


@pytest.fixture(scope="module")
def truck(assessed):
    return assessed("truck")


def with_steps(a, steps, why=""):
    a = replace(a)  # an assessment of its own, whose steps are made up
    vars(a)["next_steps"] = WhatNext(0.5, not steps, why, tuple(steps))
    return a


def test_steps_are_listed_in_their_order_and_the_first_said_in_a_line(truck):
    made = [Step(f"measure {i}", 10.0 + i, 0.25, "So.") for i in range(9)]
    a = with_steps(truck, made)
    table = steps_table(a)
    assert table.rows[0] == ("Measure 0", "10 min", "25 %", "So.")
    assert len(table.rows) == SHOWN
    assert "no source" in table.note
    assert first_step(a) == "Measure 0, about 10 minutes. So."
    told = answer(a)["measure_next"]
    assert told[0] == {"what": "measure 0", "minutes": 10.0, "decision_doubt_left": 0.25, "how": "So."}
    assert len(told) == 9


def test_a_settled_answer_says_so(truck):
    a = with_steps(truck, [], "Settled: a damper helps.")
    assert (steps_table(a).rows, steps_table(a).note) == ((), "Settled: a damper helps.")
    assert answer(a)["measure_next"] == []


def test_every_answer_ranks_what_is_left(any_assessment):
    found = any_assessment.next_steps
    rates = [step.rate for step in found.steps]
    assert rates == sorted(rates, reverse=True)
    assert bool(found.why) is not bool(found.steps)
    assert 0 <= found.doubt <= 0.25
