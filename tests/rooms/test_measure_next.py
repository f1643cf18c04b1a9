"""What to do next: doubt left in closed form, what a sample tells, and the order of what comes of it."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.special import ndtr, ndtri

from counterbounce.model.numbers import Known
from counterbounce.model.observations import Observation
from counterbounce.model.plausible import scores
from counterbounce.sizing.measure_next import doubt_left, explained, measure_next, normal_scores, pinned
from counterbounce.sizing.measurements import RUN_OUT, Measurement, measurements, readings
from counterbounce.sizing.next_test import TESTS, mean_square
from counterbounce.sizing.observed import reading
from counterbounce.sizing.shake_kinds import TABLE, Kind
from counterbounce.sizing.verdict import Outcome, say

EVEN = np.full(128, 1 / 128)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.83])
@pytest.mark.parametrize("told", [0.0, 0.3, 0.7, 0.95])
def test_doubt_left_is_the_mean_over_what_may_be_measured(share, told):
    """Against Gauss and Hermite's quadrature over the measured part."""
    at, weight = np.polynomial.hermite_e.hermegauss(200)
    p = ndtr((np.sqrt(told) * at + ndtri(share)) / np.sqrt(1 - told))
    assert doubt_left(share, told) == pytest.approx(weight @ (p * (1 - p)) / weight.sum(), abs=2e-4)


def test_doubt_left_falls_from_all_to_none():
    left = [doubt_left(0.3, told) for told in np.linspace(0, 1, 21)]
    assert left[0] == pytest.approx(0.21)
    assert left[-1] == 0
    assert np.all(np.diff(left) < 0)
    assert doubt_left(0.0, 0.5) == doubt_left(1.0, 0.5) == 0


def linear(seed, count=128):
    """Vehicles whose reduction hangs on two of eight numbers, by 0.8 and 0.2 of its variance."""
    drawn = scores(8, count, seed)
    values = 0.3 + 0.2 * drawn[:, 0] + 0.1 * drawn[:, 1]
    return drawn, normal_scores(values, np.full(count, 1 / count))


def told(drawn, score, columns, error=0.0):
    return explained(
        score, drawn[:, columns], np.full(len(columns), error), np.full(len(score), 1 / len(score))
    )


@pytest.mark.parametrize("seed", range(5))
def test_shares_of_a_linear_dependence_are_found(seed):
    drawn, score = linear(seed)
    assert told(drawn, score, [0]) == pytest.approx(0.8, abs=0.06)
    assert told(drawn, score, [1]) == pytest.approx(0.2, abs=0.12)
    assert told(drawn, score, list(range(8))) > 0.97
    assert told(drawn, score, [5]) == told(drawn, score, [2, 3, 4]) == 0  # nothing hangs on them
    assert told(drawn, score, [0], 1.0) == pytest.approx(0.4, abs=0.06)  # as good as what is known already


def test_how_accurate_a_sample_of_128_is():
    """The docstring's 0.1: one standard deviation of the share of doubt left, over seeds, for R of 0.2."""
    found = [doubt_left(0.5, told(*linear(seed), [1])) / 0.25 for seed in range(40)]
    assert np.mean(found) == pytest.approx(doubt_left(0.5, 0.2) / 0.25, abs=0.03)
    assert np.std(found) < 0.1


def test_chance_tells_nothing():
    """Columns that nothing hangs on, drawn by themselves: not one in fifty is taken for real."""
    rng = np.random.default_rng(1)
    score = rng.normal(size=128)
    found = [explained(score, rng.normal(size=(128, 2)), np.zeros(2), EVEN) for _ in range(200)]
    assert np.mean(np.array(found) > 0) <= 0.03


def test_a_dependence_that_turns_round_is_seen():
    drawn = scores(3, 128, 2)
    score = normal_scores(-(drawn[:, 0] ** 2), EVEN)
    assert told(drawn, score, [0]) > 0.6
    assert told(drawn, score, [1]) == 0


def test_weights_count():
    drawn, _ = linear(0)
    first = np.arange(128) < 64
    score = np.where(first, drawn[:, 0], drawn[:, 1])
    weight = np.where(first, 1 / 64, 0.0)
    assert explained(score, drawn[:, :1], np.zeros(1), weight) > 0.99
    assert explained(score, drawn[:, :1], np.zeros(1), EVEN) < 0.7


def test_only_what_is_not_known_better_already_is_pinned():
    paths = ("axle.rear.load", "axle.front.load", "point.floor.station", "frame.loss_factor")
    ledger = {
        "axle.rear.load": Known(2000.0, 200.0, "assumed"),
        "axle.front.load": Known(1000.0, 2.0, "measured"),
        "point.floor.station": Known(1.0, 0.05, "assumed", law="shift"),
    }
    drawn = scores(4, 128)
    found = SimpleNamespace(paths=paths, scores=drawn)
    test = Measurement("both", 1.0, "", {"axle.*.load": 0.01, "point.*.station": 0.005}, {"speed": 0.01})
    columns, errors = pinned(test, found, ledger, {"speed": np.log(20 + drawn[:, 3])})
    assert errors[:2] == pytest.approx([np.log1p(0.01) / np.log1p(0.1), 0.1])
    assert columns[:, :2] == pytest.approx(drawn[:, [0, 2]])
    assert columns[:, 2].std() == pytest.approx(1.0)
    assert pinned(replace(test, numbers={"no such": 1.0}, reads={}), found, ledger, {})[0].shape == (128, 0)


# --- on a case ----------------------------------------------------------------------------------------------

HELPS = replace(say(Outcome.INSPECT_FIRST, "loose", why="", do=""), outcome=Outcome.HELPS)
ONLY_A_MODE = tuple(
    Observation(*seen)
    for seen in [
        ("known-good wheels", "stayed"), ("neutral coast-down", "stayed"), ("after a bump", "stayed"),
        ("braking", "stayed"), ("pressure changed", "moved"),
    ]
)  # fmt: skip


@pytest.fixture(scope="module")
def truck(assessed):
    return assessed("truck")


def doubtful(truck, path):
    """The truck's survey, with what the damper does hanging on one number alone: half of them are helped."""
    found = truck.survey
    i = found.paths.index(path)
    reduction = np.clip(0.25 + 0.2 * found.scores[:, i], -1, 0.9)
    even = np.ones_like(found.agreement)
    return replace(found, agreement=even, retuned=(1 - reduction) * found.before)


def after(truck, *seen):
    return replace(truck.host, case=replace(truck.host.case, observations=seen))


def test_where_only_a_mode_remains_the_number_that_decides_is_measured_first(truck):
    one = after(truck, *ONLY_A_MODE)
    assert reading(one.case).remaining == (Kind.MODE,)
    for path, what in [
        ("axle.rear.spring_rate", "rate of the rear springs"),
        ("axle.front.circumference", "one turn of the front wheels"),
    ]:
        found = measure_next(one, HELPS, doubtful(truck, path))
        assert found.chance == pytest.approx(0.5, abs=0.05)
        assert found.steps[0].what == what
        assert found.steps[0].doubt_left < 0.4
        assert [step.rate for step in found.steps] == sorted((s.rate for s in found.steps), reverse=True)
        assert found == measure_next(one, HELPS, doubtful(truck, path))


def test_where_many_kinds_remain_they_are_told_apart_first(truck):
    found = measure_next(after(truck), HELPS, doubtful(truck, "axle.rear.spring_rate"))
    kinds = {step.what for step in found.steps} & set(TESTS)
    assert found.steps[0].what == "how fast it shakes"
    assert len(kinds) > 3
    assert all(0 < step.doubt_left < 1 for step in found.steps)


def test_where_wheels_and_a_mode_remain_run_out_tells_them_apart(truck):
    seen = Observation("neutral coast-down", "stayed"), Observation("weight over the rear end", "moved")
    one = after(truck, *seen)
    assert set(reading(one.case).remaining) == {Kind.WHEEL, Kind.MODE}
    sure = replace(truck.survey, retuned=0.3 * truck.survey.before)
    left = {step.what: step.doubt_left for step in measure_next(one, HELPS, sure).steps}
    # by hand: run-out is found on 0.6 of wheels at fault and 0.05 of others
    by_hand = 0.5 * (1.35 * 0.95 / 1.35 * 0.4 / 1.35 + 0.65 * 0.05 / 0.65 * 0.6 / 0.65) / 0.25
    assert left[RUN_OUT.what] == pytest.approx(by_hand)


def test_a_settled_answer_says_so(truck):
    sure = replace(truck.survey, retuned=0.3 * truck.survey.before)
    found = measure_next(after(truck, *ONLY_A_MODE), HELPS, sure)
    assert (found.settled, found.steps, found.chance) == (True, (), pytest.approx(1.0))
    assert "a damper helps" in found.why
    gone = measure_next(after(truck, Observation("neutral coast-down", "vanished")), HELPS, sure)
    assert gone.settled
    assert "not the cure" in gone.why


def test_nothing_is_proposed_before_an_inspection_or_on_contradictions(truck):
    stop = say(Outcome.INSPECT_FIRST, "loose", why="", do="")
    assert measure_next(truck.host, stop, truck.survey).steps == ()
    both = Observation("braking", "stayed"), Observation("braking", "weaker")
    found = measure_next(after(truck, *both), HELPS, truck.survey)
    assert found.steps == ()
    assert "again" in found.why


def test_without_a_survey_the_kind_alone_is_in_doubt(truck):
    found = measure_next(after(truck), HELPS, None)
    assert {step.what for step in found.steps} <= {*TESTS, RUN_OUT.what}
    assert found.chance == pytest.approx(1 / len(Kind))


def test_measured_wheels_are_not_measured_again(truck):
    case = truck.host.case
    faults = (SimpleNamespace(axle="rear", order=1),)
    measured = replace(truck.host, case=replace(case, roads=replace(case.roads, wheel_faults=faults)))
    assert RUN_OUT.what not in {step.what for step in measure_next(measured, HELPS, None).steps}


@pytest.mark.parametrize("change", TESTS)
def test_what_a_test_tells_of_a_mode_is_between_nothing_and_all(change):
    kinds = list(Kind)
    told = mean_square(change, kinds, Kind.MODE)
    assert 1 / len(kinds) ** 2 <= told <= 1 / len(kinds)
    rows = [row for (changed, _), row in TABLE.items() if changed == change]
    chances = [0.0 if Kind.MODE in r.excludes else 2.0 if Kind.MODE in r.supports else 1.0 for r in rows]
    assert (told > 1 / len(kinds) ** 2 + 1e-12) or len(set(chances)) == 1 or change in ("warm", "cold")


def test_a_weight_moves_each_vehicle_as_it_moves_it_alone(truck):
    """The logarithm for many at once, against one vehicle with ballast bolted on."""
    from counterbounce.model.modes import modes
    from counterbounce.model.observations import USUAL_PLACE, USUAL_WEIGHT
    from counterbounce.sizing.absorber import with_ballast

    one, found = truck.host, truck.survey
    moved = readings(one, found)["heavier"]
    mode = one.target.critical.mode
    assert np.all(moved < 0)
    heavy = modes(with_ballast(one.vehicle, USUAL_PLACE, USUAL_WEIGHT)).undamped[mode]
    assert np.median(moved) == pytest.approx(np.log(heavy / one.modes.undamped[mode]), abs=0.01)


def test_every_measurement_says_how_and_is_named_once(truck):
    listed = measurements(truck.host.case.plan)
    assert len({one.what for one in listed}) == len(listed)
    assert all(one.how.endswith(".") and one.minutes > 0 for one in listed)
    assert all(one.numbers or one.reads for one in listed)
    pins = [path for path in truck.survey.paths if any(one.accuracy(path) for one in listed)]
    assert len(pins) >= 0.7 * len(truck.survey.paths)
