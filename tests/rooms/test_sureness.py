"""How surely a damper helps: what plausible vehicles do to a verdict."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.sizing.sureness import SURE, helped, known, with_promise, with_survey
from counterbounce.sizing.verdict import Outcome, say


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


def off_by(survey, share, far):
    """With a damper that halves the level in a share of its vehicles, and is off by so much in the others."""
    fine = np.arange(len(survey.before)) < share * len(survey.before)
    left = np.where(fine, 0.5, 0.5 + far)
    return replace(survey, agreement=np.ones_like(survey.agreement), after=left * survey.before)


@pytest.mark.parametrize(
    ("share", "far", "good"),
    [(0.95, 0.3, True), (0.88, 0.3, False), (0.88, 0.09, True), (0.88, -0.3, False)],
)
def test_a_reduction_is_known_to_ten_points_where_nine_in_ten_vehicles_lie_so_near(truck, share, far, good):
    found = off_by(truck.survey, share, far)
    fine = np.mean(found.after < 0.5001 * found.before) if far > 0 else np.mean(found.reduction < 0.5001)
    assert found.expected == pytest.approx(0.5 - (1 - fine) * far)
    assert known(found) is good
    said = with_promise(say(Outcome.HELPS, **truck.verdict.facts), found).sentence
    assert f"As it is drawn, expect {100 * found.expected:.0f} %" in said
    assert ("within ten points of that" in said) is good
    assert ("is not known to ten points; what would tell most is" in said) is not good


def test_less_is_expected_of_a_damper_than_on_the_vehicle_that_it_is_tuned_to(truck):
    assert truck.survey.expected < truck.sized.comparison.reduction


def test_nothing_is_promised_of_a_damper_that_does_not_help(truck):
    no = replace(truck.verdict, outcome=Outcome.UNSURE)
    assert with_promise(no, truck.survey) == no
