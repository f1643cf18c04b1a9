"""The safety gate: the worst error is a damper advised on a vehicle that should have been inspected."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest

from counterbounce.model.case import load, parse
from counterbounce.model.casefile.schema import ChecksTable
from counterbounce.model.observations import CHECKS, Observation
from counterbounce.sizing import assess as jobs
from counterbounce.sizing.absorber import tuned
from counterbounce.sizing.assess import assess
from counterbounce.sizing.in_hand import try_damper
from counterbounce.sizing.study import host
from counterbounce.sizing.verdict import Outcome
from counterbounce.sizing.walk_items import ITEMS
from counterbounce.sizing.walk_round import gate, unanswered, unsafe

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*/*.toml"))
VAN = (ROOT / "tests" / "cases" / "van.toml").read_text(encoding="utf-8")
FELT = '[complaint]\nspeed = { from = "70 km/h", to = "80 km/h" }\n'


def felt(**changes):
    """A trouble that the complaint tells of."""
    return lambda case: replace(case, complaint=replace(case.complaint or NOBODY, **changes))


def seen(change, result):
    """A trouble that an observation tells of."""
    return lambda case: replace(case, observations=(*case.observations, Observation(change, result)))


def bad(name):
    return lambda case: replace(case, checks={**case.checks, name: "bad"})


NOBODY = parse(VAN + "[complaint]").complaint
TROUBLES = {
    **{f"bad {name}": bad(name) for name in CHECKS},
    "steering": felt(direction="steering"),
    "bump": felt(starts_after_bump=True),
    "feeds itself": felt(feeds_itself=True),
    "seen after a bump": seen("after a bump", "started"),
    "left with the wheels": seen("known-good wheels", "vanished"),
    **{f"braking {result}": seen("braking", result) for result in ("started", "vanished", "stronger")},
}


@cache
def example(path):
    return host(load(path))


def answered(path, monkeypatch, *troubles):
    """The whole main job on an example with troubles: they change nothing of its vehicle, which is kept."""
    one, case = example(path), load(path)
    for trouble in troubles:
        case = trouble(case)
    monkeypatch.setattr(jobs, "host", lambda case, *_: replace(one, case=case))
    return assess(case)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_no_damper_on_a_vehicle_with_any_trouble_or_any_two(path, monkeypatch):
    """Every trouble alone and every pair of them: inspect first, and no damper is even sized."""
    sets = [(name,) for name in TROUBLES] + list(combinations(TROUBLES, 2))
    assert len(sets) > 100
    for names in sets:
        found = answered(path, monkeypatch, *(TROUBLES[name] for name in names))
        assert found.verdict.outcome is Outcome.INSPECT_FIRST, names
        assert found.sized is None, names
        assert found.evidence.next_test is None, names


@pytest.mark.parametrize("name", TROUBLES)
def test_a_damper_in_hand_passes_the_same_gate(name, tmp_path, monkeypatch):
    path = ROOT / "examples/engineer/box_truck.toml"
    one, case = example(path), TROUBLES[name](load(path))
    monkeypatch.setattr("counterbounce.sizing.in_hand.host", lambda case, *_: replace(one, case=case))
    tried = try_damper(case, tuned("rear end", 40.0, 9.03, 0.1))
    assert tried.verdict.outcome is Outcome.INSPECT_FIRST
    assert tried.assessment.sized is None


def test_without_the_trouble_some_examples_are_helped(monkeypatch):
    """Else the test above would prove nothing."""
    helped = [p.stem for p in EXAMPLES if answered(p, monkeypatch).verdict.outcome is Outcome.HELPS]
    assert {"box_truck", "service_body"} <= set(helped)


def test_the_list_is_the_one_of_the_case_file():
    assert tuple(ITEMS) == CHECKS == tuple(ChecksTable.model_fields)
    assert len({item.name for item in ITEMS.values()}) == len(CHECKS)


@pytest.mark.parametrize("name", CHECKS)
def test_a_bad_answer_is_named_with_what_to_do(name):
    verdict = unsafe(parse(f'{VAN}[checks]\n{name} = "bad"'))
    assert verdict.outcome is Outcome.INSPECT_FIRST
    assert ITEMS[name].name in verdict.sentence
    assert verdict.next_step == ITEMS[name].do
    others = [ITEMS[n].name for n in CHECKS if n != name and ITEMS[n].name not in ITEMS[name].name]
    assert not [other for other in others if f" {other}." in verdict.sentence]


def test_all_that_is_bad_is_named_at_once():
    text = f'{VAN}{FELT}direction = "steering"\nfeeds_itself = true\n[checks]\ntyres = "bad"\nframe = "bad"'
    verdict = unsafe(parse(text + '\n[[observation]]\nchange = "braking"\nresult = "started"'))
    for words in ("tyres, frame", "shimmy", "felt in the steering", "brakes"):
        assert words in verdict.sentence
    for do in (ITEMS["tyres"].do, ITEMS["frame"].do, "steering joints", "calipers"):
        assert do in verdict.next_step
    assert verdict.sentence.count("tyres, frame") == 1


def test_what_was_not_looked_at_stands_in_front_and_stops_nothing():
    case = parse(f'{VAN}[checks]\ntyres = "good"\nframe = "good"')
    assert unanswered(case) == tuple(n for n in CHECKS if n not in ("tyres", "frame"))
    assert unanswered(parse(VAN)) == CHECKS
    assert gate(host(case)) is None
    good = "\n".join(f'{name} = "good"' for name in CHECKS)
    assert unanswered(parse(f"{VAN}[checks]\n{good}")) == ()


@pytest.mark.parametrize(
    ("axle", "speeds", "said"),
    [
        ("solid", ("70 km/h", "80 km/h"), True),
        ("solid", ("30 km/h", "40 km/h"), False),
        ("solid", ("110 km/h", "120 km/h"), False),
        ("independent", ("70 km/h", "80 km/h"), False),
    ],
)
def test_shimmy_is_said_to_be_usual_where_it_is(axle, speeds, said):
    text = VAN.replace("[axle.front]", f'[axle.front]\ntype = "{axle}"')
    text += '[complaint]\nstarts_after_bump = true\nspeed = {{ from = "{}", to = "{}" }}'.format(*speeds)
    sentence = unsafe(parse(text)).sentence
    assert ("usual at 64 to 97 km/h" in sentence) == said  # 40 to 60 mph
    assert "shimmy" in sentence


def test_other_directions_are_outside_and_a_good_case_passes():
    one = host(parse(VAN + "[complaint]"))
    assert gate(one) is None
    for direction in ("side to side", "roll", "twist", "fore-aft"):
        case = replace(one.case, complaint=replace(one.case.complaint, direction=direction))
        assert gate(replace(one, case=case)).outcome is Outcome.OUTSIDE_THE_MODEL
    for direction in (
        "side to side",
        "roll",
        "twist",
        "fore-aft",
    ):  # what is unsafe comes before what is unknown
        case = replace(one.case, complaint=replace(one.case.complaint, direction=direction))
        assert gate(replace(one, case=bad("tyres")(case))).outcome is Outcome.INSPECT_FIRST
