"""Sealed predictions: what they hold, that later edits show, and what is made of them."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from counterbounce.model.example import small_case
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.ride import Channel, Ride
from counterbounce.sizing.assess import assess
from counterbounce.sizing.measured_gain import measured_gain
from counterbounce.sizing.scored import Score, as_told, interval_score, record, score_of, scored
from counterbounce.sizing.sealed import interval, opened, seal


@pytest.fixture(scope="module")
def found():
    return assess(small_case())


@pytest.fixture(scope="module")
def text(found):
    return seal(found, "9.9", datetime(2031, 5, 6, 7, 8, 9, tzinfo=UTC))


def test_what_was_predicted_comes_back(found, text):
    held, c = opened(text), found.sized.comparison
    assert held.at == "2031-05-06T07:08:09+00:00"
    assert held.case_sha256 == found.case.sha256
    assert held.damper.tuned_hz == pytest.approx(found.sized.found.damper.tuned_hz, rel=1e-5)
    assert held.band == pytest.approx(c.band, rel=1e-5)
    # at the one speed of the largest level, before: the reduction there, from the assessment's own curves
    row = [p.name for p in c.points].index(held.point)
    for speed in held.speeds[[0, -1]]:
        before, after = (np.interp(speed, c.speeds, level[:, row]) for level in (c.before, c.after))
        best, _ = held.reduction(np.array([speed]), np.ones(1))
        assert best == pytest.approx(1 - after / before, abs=1e-4)


@pytest.mark.parametrize("counted", ["alike", "those that shake harder"])
def test_its_interval_is_that_of_the_plausible_vehicles(found, counted):
    """Against the survey's own weights, which the sealed vehicles stand for without any."""
    s = found.survey
    if counted != "alike":
        s = replace(s, agreement=(s.before > np.median(s.before)) + 0.01)
    held = opened(seal(replace(found, survey=s), "9.9"))
    middle = np.array([np.mean(held.band)])
    _, sealed = held.reduction(middle, np.ones(1))
    curves = np.array([[np.interp(middle[0], s.speeds, c) for c in both] for both in s.curves])
    assert interval(sealed) == pytest.approx(s.interval(1 - curves[:, 1] / curves[:, 0]), abs=0.03)


def edits():
    def better(told):
        told["best_m_s2"][1][0] *= 0.9

    def later(told):
        told["sealed_at_utc"] = "2031-05-07T07:08:09+00:00"

    def wider(told):
        told["plausible_m_s2"].append(told["plausible_m_s2"][0])

    def longer(told):
        told["remark"] = "said so"

    return [better, later, wider, longer]


@pytest.mark.parametrize("edit", edits())
def test_an_edit_shows(text, edit):
    told = json.loads(text)
    edit(told)
    with pytest.raises(CounterbounceError, match="was changed after it was sealed"):
        opened(json.dumps(told), "s.json")


def test_another_layout_is_no_edit(text):
    assert opened(json.dumps(json.loads(text), indent=4, sort_keys=True)).sha256 == opened(text).sha256


@pytest.mark.parametrize("text", ["", "[]", "{", "3", '{"kind": "a shopping list"}', "[" * 100_000])
def test_what_is_no_seal_is_refused(text):
    with pytest.raises(CounterbounceError, match=r"s\.json: is no"):
        opened(text, "s.json")


def test_nothing_to_seal_is_said(found):
    with pytest.raises(CounterbounceError, match="nothing to seal"):
        seal(replace(found, sized=None), "9.9")


def made(**changes):
    whole = Score("van", "c", "t", "s", 0.5, 0.4, 0.5, 0.6, 0.55, 0.54, 0.56, False, 0.02, 0.2)
    return replace(whole, **changes)


def test_a_score_comes_back_whole():
    one = made(least=True)
    assert score_of(json.dumps(as_told(one)), "") == one


@pytest.mark.parametrize(
    "spoil", [{"measured": "much"}, {"predicted": None}, {"case": 3}, {"low": float("inf")}, {"least": 1}]
)
def test_a_score_that_lacks_something_is_refused(spoil):
    told = as_told(made()) | spoil
    with pytest.raises(CounterbounceError, match=f"s.json: {next(iter(spoil))}"):
        score_of(json.dumps(told), "s.json")


def test_a_record_counts_what_held_and_refuses_to_count_twice():
    at = [0.35 + 0.1 * i for i in range(5)]
    jobs = [
        made(sealed_sha256=str(i), measured=m, measured_low=m - 0.01, measured_high=m + 0.01)
        for i, m in enumerate(at)
    ]
    told = record(jobs)
    assert told.held == sum(one.inside for one in jobs) == 2
    assert told.error == pytest.approx(0.13)
    assert told.bias == pytest.approx(0.05)
    for jobs in ([], [made(), made()]):
        with pytest.raises(CounterbounceError):
            record(jobs)


def test_the_doubt_of_the_rides_counts_and_a_bound_refutes_only_what_lies_below_it():
    assert not made(measured=0.63, measured_low=0.62, measured_high=0.64).inside
    assert made(measured=0.63, measured_low=0.50, measured_high=0.76).inside
    assert not made(measured=0.80, measured_low=0.67, measured_high=0.93).inside
    assert made(measured=0.2, measured_low=0.2, measured_high=1.0, least=True).inside
    assert made(measured=0.2, measured_low=0.2, measured_high=1.0, least=True).error == 0.0
    assert not made(measured=0.7, measured_low=0.7, measured_high=1.0, least=True).inside


def test_what_is_held_is_held_as_often_as_it_should():
    """4,000 truths out of normal vehicles, each measured with a doubt as large as theirs."""
    draw, held = np.random.default_rng(2), 0
    for true, off in draw.standard_normal((4000, 2)) * 0.05:
        m = 0.5 + true + off
        low, high = 0.5 - 1.645 * 0.05, 0.5 + 1.645 * 0.05
        around = {"measured_low": m - 1.96 * 0.05, "measured_high": m + 1.96 * 0.05}
        held += made(low=low, high=high, measured=m, **around).inside
    assert held / 4000 == pytest.approx(0.9, abs=0.015)


def test_rides_that_show_nothing_score_nothing(found, text):
    draw = np.random.default_rng(1)
    held = opened(text)
    channels = (Channel(held.point, "m/s^2"), Channel("speed", "m/s"))

    def noise():
        return Ride("", 100.0, 0.0, channels, np.stack([draw.standard_normal(9000), np.full(9000, 7.2)]))

    gain = measured_gain([noise() for _ in range(4)], [noise() for _ in range(4)], lines=held.lines)
    with pytest.raises(CounterbounceError, match="the rides do not show what was sealed"):
        scored(held, gain)


def test_an_interval_that_is_too_narrow_or_too_wide_scores_worse():
    """Proper: of normal truths, the interval that holds nine in ten scores best."""
    truth = np.random.default_rng(1).standard_normal(4000)
    mean = {w: np.mean([interval_score(-w, w, y) for y in truth]) for w in (0.8, 1.645, 3.0)}
    assert min(mean, key=mean.get) == 1.645
