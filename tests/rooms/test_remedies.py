"""All remedies of a case: ranked as told, beside the damper of the main job, on the same vehicles."""

from pathlib import Path

import numpy as np
import pytest

from counterbounce.model.case import load, parse
from counterbounce.sizing.assess import assess
from counterbounce.sizing.panel import panel, trial
from counterbounce.sizing.remedies import LITTLE, remedies
from counterbounce.sizing.sureness import helped
from counterbounce.sizing.tyre_remedies import other_rates

UPFITTED = Path(__file__).parents[2] / "examples" / "upfitter" / "service_body.toml"
TOLD: list[str] = []


@pytest.fixture(scope="module")
def found():
    return remedies(load(UPFITTED), TOLD.append)


@pytest.fixture(scope="module")
def assessment():
    return assess(load(UPFITTED))


def family(found, name):
    return [one for one in found.ranked if one.family == name]


def test_ranked_first_what_is_allowed_then_by_how_many_it_helps(found):
    keys = [(one.allowed, round(one.share, 2), one.reduction) for one in found.ranked]
    assert keys == sorted(keys, reverse=True)
    assert len(keys) > 10
    assert {True, False} == {one.allowed for one in found.ranked}


def test_each_is_named_once(found):
    names = [one.name for one in found.ranked] + [name for name, _ in found.little]
    assert len(names) == len(set(names))


def test_the_damper_is_that_of_the_main_job(found, assessment):
    (damper,) = family(found, "damper")
    sized, asked = assessment.sized, assessment.survey
    assert damper.reduction == pytest.approx(sized.comparison.reduction, abs=1e-9)
    assert damper.share == pytest.approx(helped(asked, 0.25), abs=1e-12)
    assert damper.interval == pytest.approx(asked.interval(asked.retuned_reduction))
    assert damper.weight == sized.found.damper.mass
    assert damper.elsewhere == sized.comparison.elsewhere


def test_ballast_of_the_dampers_weight_is_that_of_the_main_job(found, assessment):
    """Its best estimate along a coarser grid, and its vehicles in the same bands: to a hundredth or two."""
    equal = next(one for one in family(found, "ballast") if one.name.endswith("the damper's weight"))
    sized, asked = assessment.sized, assessment.survey
    assert equal.reduction == pytest.approx(sized.comparison.ballast_reduction, abs=1e-3)
    assert equal.weight == pytest.approx(sized.found.damper.mass)
    assert equal.interval == pytest.approx(asked.interval(asked.ballast_reduction), abs=0.02)


def test_all_are_asked_of_the_same_vehicles(found, assessment):
    assert (found.asked.scores == assessment.survey.scores).all()
    assert (found.asked.agreement == assessment.survey.agreement).all()
    many = panel(found.host, found.asked)
    tyres = list(other_rates(found.host))
    for one in family(found, "tyres"):
        proposed = next((p for contest in tyres for p in contest if p.name == one.name), None)
        if proposed is not None:
            assert one.share == pytest.approx(many.asked.share(many.reduction(proposed) >= 0.25))
            assert one.reduction == pytest.approx(trial(found.host, proposed).reduction)


def test_what_is_little_is_little_and_named(found):
    assert found.little
    assert all(share < LITTLE for _, share in found.little)
    equal = [one for one in found.ranked if one.name.endswith("the damper's weight")]
    strong = [one for one in found.ranked if one.family != "damper" and one not in equal]
    assert all(one.reduction >= LITTLE for one in strong)
    assert len(equal) == 2


def test_another_speed_is_the_nearest_that_is_calm_enough(found):
    """Against the survey's own curves: the next speed towards the band is not calm for four in five."""
    slow, fast = sorted(family(found, "speed"), key=lambda one: float(one.name.split()[2]))
    asked, (low, high) = found.asked, found.host.target.band
    falls = 1 - asked.curves[:, 0] / asked.before[:, None]
    speeds = [float(one.name.split()[2]) / 3.6 for one in (slow, fast)]
    at = [int(np.argmin(np.abs(asked.speeds - speed))) for speed in speeds]
    assert asked.speeds[at[0]] < low
    assert high < asked.speeds[at[1]]
    assert all(asked.share(falls[:, i] >= 0.25) >= 0.8 for i in at)
    for i, step in zip(at, (1, -1), strict=True):
        nearer = i + step
        outside = asked.speeds[nearer] < low or asked.speeds[nearer] > high
        assert not outside or asked.share(falls[:, nearer] >= 0.25) < 0.8


def test_weights_and_loads(found):
    assert all(
        one.weight == 0 for family_name in ("tyres", "mounts", "speed") for one in family(found, family_name)
    )
    assert all(abs(one.weight) < 1e-6 for one in family(found, "load"))
    plates = [one.weight for one in family(found, "frame")]
    assert min(plates) == pytest.approx(family(found, "damper")[0].weight, rel=1e-6)


def test_whoever_waits_is_told_what_is_done(found):
    assert any("plausible vehicles" in told for told in TOLD)


@pytest.mark.parametrize("name", ["shimmy", "silent"])
def test_what_comes_first_comes_alone(name, case_texts):
    """Unsafe, or nothing met: the main job's own verdict, and no remedy."""
    case = parse(case_texts[name], f"{name}.toml")
    one = remedies(case)
    assert one.verdict == assess(case).verdict
    assert (one.ranked, one.little, one.notes, one.asked) == ((), (), (), None)


def test_a_corner_of_a_vehicle_has_remedies_too(case_texts):
    """One axle on a sine road, in pounds: no wheels to true, no frame, nothing to move."""
    one = remedies(parse(case_texts["quarter"], "quarter.toml"))
    assert {"damper", "speed"} & {each.family for each in one.ranked}
    assert not {"wheels", "duals", "frame", "load", "mounting"} & {each.family for each in one.ranked}
    assert all(" kg" not in each.name for each in one.ranked)
