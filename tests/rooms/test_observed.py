"""What observations exclude and leave, one by one and together."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest

from counterbounce.model.case import parse
from counterbounce.sizing.observed import LOWEST_RATIO, in_words, reading, slowest_shaft
from counterbounce.sizing.shake_kinds import TABLE, Kind

VAN = (Path(__file__).parents[1] / "cases" / "van.toml").read_text(encoding="utf-8")


def read(*seen, more=""):
    tables = [f'[[observation]]\nchange = "{change}"\nresult = "{result}"\n{more}' for change, result in seen]
    return reading(parse("\n".join([VAN, *tables])))


def test_nothing_observed_leaves_everything():
    found = read()
    assert found.remaining == tuple(Kind)
    assert (found.excluded, found.contradictions, found.steps) == ((), (), ())


@pytest.mark.parametrize(("change", "result"), list(TABLE))
def test_each_rule_works_from_the_case_file_on(change, result):
    found, row = read((change, result)), TABLE[change, result]
    assert found.steps[0][1] is row
    assert set(found.remaining) == set(Kind) - set(row.excludes)
    assert {one.kind for one in found.excluded} == set(row.excludes)
    for one in found.excluded:
        assert found.excludes(one.kind)
        assert one.because.startswith(f"{change}: it ")
        assert one.because.endswith(row.why)
    assert found.contradictions == ()


def test_what_the_table_does_not_know_excludes_nothing():
    found = read(("after a bump", "weaker"))
    assert found.remaining == tuple(Kind)
    assert found.steps[0][1] is None


def test_the_first_observation_gets_the_credit():
    found = read(("another gear at the same speed", "stayed"), ("neutral coast-down", "stayed"))
    (engine,) = found.excluded
    assert engine.by.change == "another gear at the same speed"


def test_several_observations_add_up_whatever_their_order():
    seen = [
        ("neutral coast-down", "stayed"),
        ("known-good wheels", "weaker"),
        ("weight over the rear end", "moved"),
    ]
    assert read(*seen).remaining == read(*reversed(seen)).remaining == (Kind.WHEEL, Kind.MODE)
    for one, other in combinations(TABLE, 2):
        both = set(Kind) - set(TABLE[one].excludes) - set(TABLE[other].excludes)
        assert set(read(one, other).remaining) == both


def test_where_nothing_is_left_it_is_said():
    found = read(("neutral coast-down", "vanished"), ("weight over the rear end", "moved"))
    assert found.remaining == ()
    (said,) = found.contradictions
    assert "neutral coast-down: it vanished" in said
    assert "weight over the rear end: it moved" in said


def test_two_results_of_one_change_that_cannot_both_be_so():
    (said,) = read(("neutral coast-down", "stayed"), ("neutral coast-down", "weaker")).contradictions
    assert said == "neutral coast-down: it stayed, and it became weaker"
    assert read(("pressure changed", "moved"), ("pressure changed", "weaker")).contradictions == ()
    assert read(("braking", "stayed"), ("warm", "weaker")).contradictions == ()


def test_two_weights_may_do_two_things():
    text = VAN
    for mass, result in (("20 kg", "stayed"), ("100 kg", "moved")):
        text += (
            f'\n[[observation]]\nchange = "weight over the rear end"\nresult = "{result}"\nmass = "{mass}"'
        )
    assert reading(parse(text)).contradictions == ()
    assert reading(parse(text.replace("100 kg", "20 kg"))).contradictions != ()


def test_words():
    steps = read(("braking", "started"), ("cold", "stronger"), ("laden", "moved")).steps
    assert [in_words(seen) for seen, _ in steps] == [
        "braking: it is there then, and only then",
        "cold: it became stronger",
        "laden: it moved",
    ]


def pace(word, frequency="", speed="80 km/h", more=""):
    read_off = f'frequency = "{frequency}"\n' if frequency else ""
    seen = f'\n[[observation]]\nchange = "how fast it shakes"\nresult = "{word}"\n{read_off}'
    return parse(f'{VAN}[complaint]\nspeed = {{ from = "{speed}", to = "{speed}" }}\n{seen}{more}')


def test_how_fast_the_slowest_propshaft_turns():
    """Three times as fast as the wheels of this van, or as its own axle ratio says."""
    one = pace("blur")
    turn = one.numbers["axle.rear.circumference"]
    assert slowest_shaft(one) == pytest.approx(LOWEST_RATIO * 80 / 3.6 / turn)
    geared = pace("blur", more="[inputs]\ndriveline = { axle_ratio = 4.5 }\n")
    assert slowest_shaft(geared) == pytest.approx(4.5 * 80 / 3.6 / turn)
    assert slowest_shaft(parse(VAN)) is None


@pytest.mark.parametrize(
    ("word", "frequency", "speed", "excluded"),
    [
        ("countable", "", "80 km/h", {Kind.DRIVELINE, Kind.ENGINE}),
        ("blur", "", "80 km/h", {Kind.DRIVELINE}),
        ("blur", "", "40 km/h", set()),  # a propshaft of 14 turns in a second is a blur as well
        ("blur", "10 Hz", "40 km/h", {Kind.DRIVELINE}),
        ("blur", "20 Hz", "60 km/h", set()),
        ("buzz", "", "80 km/h", {Kind.STEERING}),
    ],
)
def test_how_fast_it_shakes_excludes_what_is_never_so_fast_or_so_slow(word, frequency, speed, excluded):
    found = reading(pace(word, frequency, speed))
    assert {one.kind for one in found.excluded} == excluded
    shafts = [one for one in found.excluded if one.kind is Kind.DRIVELINE and word == "blur"]
    assert all("its propshaft turns" in one.because for one in shafts)


def test_what_is_read_off_is_said_with_it():
    (seen, _), *_ = reading(pace("blur", "9.5 Hz")).steps
    assert in_words(seen) == "how fast it shakes: it is a blur, 9.5 Hz"
    both = '\n[[observation]]\nchange = "how fast it shakes"\nresult = "buzz"\n'
    assert reading(pace("blur", more=both)).contradictions != ()
