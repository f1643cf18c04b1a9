"""How surely a damper helps: what plausible vehicles do to a verdict."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.sizing.sureness import SURE, helped, with_survey
from counterbounce.sizing.verdict import Outcome


@pytest.fixture(scope="module")
def truck(assessed):
    found = assessed("truck")
    assert found.verdict.outcome is Outcome.HELPS
    return found


def with_share(survey, share):
    """With a damper that halves the level in a share of its vehicles and does nothing in others."""
    fine = np.arange(len(survey.before)) < share * len(survey.before)
    even = np.ones_like(survey.agreement)
    return replace(survey, agreement=even, retuned=np.where(fine, 0.5, 1.0) * survey.before)


def test_helped_counts_by_weight(truck):
    assert helped(with_share(truck.survey, 0.75), 0.25) == pytest.approx(0.75)
    half = replace(with_share(truck.survey, 0.5), agreement=np.arange(len(truck.survey.before)) * 1.0)
    assert helped(half, 0.25) < 0.3  # the first half weighs a quarter


@pytest.mark.parametrize(("share", "outcome"), [(SURE + 0.02, Outcome.HELPS), (SURE - 0.02, Outcome.UNSURE)])
def test_helps_needs_most_of_the_plausible_vehicles(truck, share, outcome):
    found = with_survey(truck.verdict, with_share(truck.survey, share), 0.25)
    assert found.outcome is outcome
    if outcome is Outcome.UNSURE:
        assert f"only {round(100 * helped(with_share(truck.survey, share), 0.25))} %" in found.sentence
        assert found.next_step.startswith("Narrow the model before buying anything. Measure")


def test_no_other_verdict_becomes_better(truck):
    for outcome in Outcome:
        if outcome is not Outcome.HELPS:
            verdict = replace(truck.verdict, outcome=outcome)
            assert with_survey(verdict, with_share(truck.survey, 1.0), 0.25) == verdict


def test_an_assessment_says_how_surely(truck):
    share = helped(truck.survey, truck.case.limits.worth)
    assert share >= SURE
    assert (
        f"Of 100 vehicles that these numbers allow {100 * share:.0f} would be helped"
        in truck.verdict.sentence
    )
