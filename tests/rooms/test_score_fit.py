"""The search for the vehicle that agrees best: what it does on the edge of what can be."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from counterbounce.model import score_fit
from counterbounce.model.calibrate import calibrate
from counterbounce.model.case import load
from counterbounce.model.datum import Datum
from counterbounce.model.plausible import scored

EXAMPLES = Path(__file__).parents[2] / "examples"


def test_a_search_that_can_take_no_step_stays_where_it_is(monkeypatch):
    """On the edge of what can be every step may lead to numbers that make no vehicle."""

    def hardly_any(plan, numbers, paths, drawn, terms):
        near = drawn[np.abs(drawn).max(axis=1) <= 1.1 * score_fit.STEP]
        return replace(scored(plan, numbers, paths, near, terms), refused=len(drawn) - len(near))

    monkeypatch.setattr(score_fit, "scored", hardly_any)
    found = calibrate(
        load(EXAMPLES / "engineer" / "box_truck.toml"),
        [Datum("natural frequency", 14.0, 0.05, mode="frame bending 1")],
    )
    assert np.abs(found.scores).max() == 0
    assert not found.agrees
