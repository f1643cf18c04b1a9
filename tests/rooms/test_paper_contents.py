"""What stands on each paper, against the numbers of its assessment recomputed."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from itertools import chain
from math import exp, log, pi, sqrt

import numpy as np
import pytest

from counterbounce.app import drive_card
from counterbounce.app.papers import papers, to_html
from counterbounce.model.case import parse
from counterbounce.sizing.assess import assess


def words(text):
    """The text of a page as a reader sees it, on one line."""
    bare = re.sub(r"<style>.*?</style>", " ", text, flags=re.S)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", bare)).split())


def one(a, file):
    (found,) = [p for p in papers(a) if p.file == file]
    return words(to_html(found))


def shown(a, value, kind):
    return a.case.display.show(value, kind).replace("*", " ").replace("^2", "²")


@pytest.fixture(scope="module")
def good(assessed):
    return assessed("truck")


# --- drive card -------------------------------------------------------------------------------


def test_a_pass_holds_three_beats_of_the_wheels(case_texts):
    text = case_texts["truck"].replace('joints = { spacing = "15 ft", step = "3 mm" }', "")
    a = assess(parse(text.replace('from = "60 km/h", to = "75 km/h"', 'from = "80 km/h", to = "95 km/h"')))
    aim = a.host.target.critical
    assert aim.cause.kind == "wheel"
    circumference = aim.cause.order / aim.cause.per_metre
    beats = 3 * circumference / aim.cause.order / a.case.roads.rolling_difference
    seconds = drive_card.hold(a, aim.speed)
    assert seconds >= beats / aim.speed > seconds - 5
    said = one(a, "drive-card")
    assert f"at least 3 beats, {beats / 1000:.1f} km" in said
    minutes, left = divmod(round(seconds), 60)
    assert f"{aim.speed * 3.6:.0f} km/h {minutes} min {left:02d} s" in said
    assert aim.point.name in said


def test_joints_do_not_beat(good):
    assert good.host.target.critical.cause.kind == "joints"
    assert drive_card.beat_length(good) is None
    assert drive_card.hold(good, 20.0) == 20.0
    assert "Nothing beats here" in one(good, "drive-card")


def test_the_sweep_holds_complaint_and_range(good):
    low, high = drive_card.reach(good)
    assert low <= good.case.complaint.speed[0]
    assert high >= min(good.host.target.range[1], good.case.speeds[1])
    said = one(good, "drive-card")
    assert f"slow sweep up, then down {low * 3.6:.0f} to {high * 3.6:.0f} km/h" in said
    assert "neutral coast-down" in said
    assert "No screens while driving" in said


def test_nobody_is_sent_out_before_the_inspection(assessed):
    said = one(assessed("shimmy"), "drive-card")
    assert "Do not drive this test." in said
    assert "slow sweep" not in said
    assert "km/h" not in said.split("Walk round")[0].split("Do not drive")[0]
    assert said.count("box") == 0  # boxes are drawn, not written
    assert said.count("good bad") == 9


def test_an_overloaded_vehicle_stays_where_it_is(good):
    over = replace(good, checks=tuple(replace(c, before=c.limit + 1) for c in good.checks))
    assert "load comes off before it is driven" in one(over, "drive-card")
    assert "proof" not in [p.file for p in papers(over)]


# --- answer, customer, fit, proof -------------------------------------------------------------


def test_the_answer_holds_both_sentences_and_the_numbers(good):
    said, c = one(good, "answer"), good.sized.comparison
    assert good.verdict.sentence.replace("m/s^2", "m/s²") in said
    assert good.verdict.next_step in said
    inside = (c.speeds >= c.band[0] - 1e-9) & (c.speeds <= c.band[1] + 1e-9)
    for p in range(len(c.points)):
        assert shown(good, c.before[inside, p].max(), "acceleration") in said
        assert shown(good, c.after[inside, p].max(), "acceleration") in said
    mode = good.host.target.critical.mode
    widths = sorted((expm1(abs(d[mode])) for d in good.host.doubt.values()), reverse=True)[:3]
    for width in widths:
        assert f"± {100 * width:.{0 if width >= 0.0995 else 1}f} %" in said


def expm1(x):
    return exp(float(x)) - 1


def test_the_customer_reads_gain_rest_and_price(good):
    said, c, hung = one(good, "customer"), good.sized.comparison, good.sized.found.damper
    assert f"fall by about {c.reduction:.0%}".replace("%", " %") in said
    assert f"Payload: {hung.mass:.1f} kg less" in said
    room = hung.mass * 9.80665 / hung.stiffness + good.sized.found.stroke
    assert f"Room: {shown(good, room, 'small_length')}" in said
    for before, after in zip(good.host.loads.values(), good.sized.loads.values(), strict=True):
        assert f"{before:.0f} kg → {after:.0f} kg" in said
    worst = c.elsewhere
    assert f"{worst.speed * 3.6:.0f} km/h" in said
    assert shown(good, worst.after, "acceleration") in said
    assert "mends nothing" in said
    assert "local codes" in said


@pytest.mark.parametrize(
    ("towing", "wanted"),
    [("needed", "Towing stays in use"), ("remove first", "comes off before"), ("none", "No towing")],
)
def test_towing_is_what_the_case_says(good, towing, wanted):
    case = replace(good.case, limits=replace(good.case.limits, towing=towing))
    assert wanted in one(replace(good, host=replace(good.host, case=case)), "customer")


def test_the_fit_card_gives_bench_and_washers(good):
    said, hung = one(good, "fit-and-retune"), good.sized.found.damper
    z = hung.damping / (2 * sqrt(hung.stiffness * hung.mass))
    decrement = 2 * pi * z / sqrt(1 - z**2)
    assert f"= {decrement:.3f}" in said
    assert f"{exp(decrement):.3f} times the next" in said
    for n in (1, 2, 3, 5):
        assert f"{good.sized.found.stroke * exp(-n * decrement) * 1e3:.2f} mm" in said
    own = sqrt(hung.stiffness / hung.mass) / (2 * pi)
    for step in (-0.05, -0.02, -0.01, 0.01, 0.02, 0.05):
        assert f"{own / sqrt(1 + step):.2f} Hz" in said
    for step in (-0.1, -0.05, 0.05, 0.1):
        assert f"{own * sqrt(1 + step):.2f} Hz" in said
    assert "again at" not in said
    assert "re-torqued at 50 km" in said
    assert "common practice, no source" in said
    assert "Second retainer" in said


def test_the_engineer_reads_what_would_refute_it(good):
    said, aim, c = one(good, "proof"), good.host.target.critical, good.sized.comparison
    factor = exp(float(good.host.spread[aim.mode]))
    speeds = [f"{v * 3.6:.1f} km/h" for v in (aim.speed, aim.speed / factor, aim.speed * factor)]
    assert f"{speeds[0]} ({speeds[1]} to {speeds[2]})" in said
    ratio, two = 1 - c.reduction, exp(sqrt(2) * log(1.15))
    assert f"outside {ratio / two:.2f} to {ratio * two:.2f}" in said
    rises = {n: float(good.host.modes.shape_at(p.row)[aim.mode]) for n, p in good.host.vehicle.points.items()}
    vertical = [n for n, p in good.host.vehicle.points.items() if p.direction == "vertical"]
    most = max((rises[n] for n in vertical), key=abs)
    assert f"{rises['rear end'] / most:+.2f}".replace("-", "−") in said.split("rear end")[-1][:30]
    assert "50.0 kg at the rear end moves it" in said
    assert "neutral coast-down" in said
    others = [x for x in good.host.critical if x.mode == aim.mode and x.cause.kind == "joints"]
    assert len(others) > 1
    for other in others[:5]:
        assert f"{aim.cause.order / other.cause.order:.3f}" in said


def test_blank_cells_are_there_to_be_written_in(good):
    told = list(chain.from_iterable(p.blocks for p in papers(good)))
    sheets = [b for b in told if b.kind == "sheet" and b.blanks]
    assert sheets
    assert all(row[i] == "" for b in sheets for row in b.rows for i in b.blanks if row is b.rows[-1])
    assert np.all([len(row) == len(b.columns) for b in sheets for row in b.rows])
