"""A starter case: it loads whatever was answered, says what was said, and its commented lines are right."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from counterbounce.app.answers import ALWAYS_THERE, check, unanswered
from counterbounce.app.questions import METRIC, QUESTIONS, US
from counterbounce.app.starter import command, guesses, starter_text
from counterbounce.model.case import parse
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.observations import CHECKS

PATH = Path("truck.toml")
BY_FACT = {question.fact: question for question in QUESTIONS}
FLATBED = {
    "wheelbase": "141 in",
    "front_load": "3300 lb",
    "rear_load": "3900 lb ± 40 lb (estimated: sales sheet)",
    "tyre": "LT245/75R17",
    "pressure": "65 psi",
    "rear_wheels": "dual",
    "front_spring": "coil",
    "rear_spring": "leaf",
    "complaint": "45 to 50 mph",
    "station": "42 in",
    "mass_limit": "60 lb",
}
VAN = {
    "wheelbase": "3.3 m",
    "front_load": "1450 kg",
    "rear_load": "1.2 t",
    "tyre": "225/75R16C",
    "pressure": "3.4 bar",
    "rear_pressure": "4.2 bar (measured: gauge)",
    "built_on": "shell",
    "complaint": "95 to 105 km/h",
    "where": 'passenger\'s "seat"',
    "station": "0.9 m",
}


def answers_of(facts, system=METRIC):
    """Every fact: as given, or what no answer means."""
    return {
        fact: check(question, facts[fact]) if fact in facts else unanswered(question, system)
        for fact, question in BY_FACT.items()
    }


def filled_in(text):
    """A starter with the # taken away from every key, and each question that it asks there answered."""
    bare = re.sub(r"^# (?=\[|[a-z_]+ = )", "", text, flags=re.MULTILINE)
    answered = bare.replace("good or bad?", "good").replace('"? kg"', '"9 t"').replace('"? lb"', '"9 t"')
    answered = answered.replace("countable, blur or buzz?", "blur")
    answered = re.sub(r'"stayed, [^"]*\?"', '"stayed"', answered)
    answered = re.sub(r'"\? (mm|in)"', '"6 in"', answered)
    answered = re.sub(r'"\? (bar|psi)"', '"110 psi"', answered)
    return re.sub(r"^circumference = .*\n", "", answered, flags=re.MULTILINE)


CASES = {
    "flatbed": answers_of(FLATBED),
    "van": answers_of(VAN),
    "nothing said": answers_of({}),
    "nothing said, US": answers_of({}, US),
    "at an end": answers_of({"where": "rear end"}) | {"station": None},
}


def test_what_was_said_is_in_the_file_as_it_was_said():
    read = tomllib.loads(starter_text(CASES["flatbed"], PATH))
    assert read["vehicle"] == {"wheelbase": "141 in (measured: tape)"}
    assert read["axle"]["front"] == {
        "load": "3300 lb (measured: scale)",
        "spring": "coil",
        "tyre": "LT245/75R17",
        "pressure": "65 psi (published: door placard)",
    }
    assert read["axle"]["rear"] == {
        "load": "3900 lb ± 40 lb (estimated: sales sheet)",
        "spring": "leaf",
        "tyre": "LT245/75R17",
        "tyres": 4,
        "pressure": "65 psi (published: door placard)",
        "driven": True,
    }
    assert read["frame"] == {}
    assert read["point"] == [{"name": "driver's floor", "station": "42 in (measured: tape)", "watch": True}]
    assert read["complaint"] == {
        "speed": {"from": "45 mph", "to": "50 mph"},
        "where": "driver's floor",
        "direction": "vertical",
    }
    assert read["limits"] == {"mass": "60 lb"}
    assert read["name"] == "Vehicle that shakes at 45 to 50 mph"
    assert not {"checks", "observation", "body", "note"} & read.keys()


def test_what_was_looked_at_and_tried_is_in_the_file_and_the_rest_is_not():
    seen = {"check_tyres": "good", "check_frame": "b", "how_fast": "blur", "other_wheels": "weaker"}
    text = starter_text(answers_of(FLATBED | seen), PATH)
    read = tomllib.loads(text)
    assert read["checks"] == {"tyres": "good", "frame": "bad"}
    assert read["observation"] == [
        {"change": "how fast it shakes", "result": "blur"},
        {"change": "known-good wheels", "result": "weaker"},
    ]
    assert text.count('= "good or bad?"') == len(CHECKS) - 2
    assert len(tomllib.loads(filled_in(text))["checks"]) == len(CHECKS)


def test_the_units_of_the_person_are_kept():
    flatbed, van = (parse(starter_text(CASES[name], PATH)) for name in ("flatbed", "van"))
    assert (flatbed.display.speed, flatbed.display.system) == ("mph", "US")
    assert (van.display.speed, van.display.system) == ("km/h", "metric")
    for name, own, other in (
        ("flatbed", r"lb|in|mph|ft|psi", "kg|m|mm|km/h|bar"),
        ("van", "kg|m|mm|km/h|bar", "lb|in|mph|ft|psi"),
    ):
        commented = [
            line for line in starter_text(CASES[name], PATH).splitlines() if re.match(r"# [a-z_]+ = ", line)
        ]
        assert any(re.search(rf'[\d?] ({own})"', line) for line in commented)
        assert [line for line in commented if re.search(rf'[\d?] ({other})"', line)] == []


def test_a_shell_does_not_bend_and_rear_pressures_are_kept():
    text = starter_text(CASES["van"], PATH)
    assert tomllib.loads(text)["vehicle"]["separate_frame"] is False
    van = parse(text)
    assert van.plan.kind == "half"
    assert van.numbers["axle.front.pressure"] == pytest.approx(3.4e5)
    assert van.numbers["axle.rear.pressure"] == pytest.approx(4.2e5)
    assert van.complaint.where == 'passenger\'s "seat"'


def test_a_guess_is_marked_and_wide():
    case = parse(text := starter_text(CASES["nothing said"], PATH))
    assert guesses(CASES["nothing said"]) == ["wheelbase", "front load", "rear load", "tyre", "station"]
    assert (
        "GUESSES stand in for what was not answered: wheelbase, front load, rear load, tyre, station." in text
    )
    for path in ("vehicle.wheelbase", "axle.front.load", "axle.rear.load", "axle.rear.circumference"):
        known = case.numbers.known(path)
        assert (known.origin, known.source) == ("assumed", "a guess")
        assert known.half >= 0.18 * known.value
    assert guesses(CASES["flatbed"]) == []
    assert "GUESS" not in starter_text(CASES["flatbed"], PATH)


@pytest.mark.parametrize("name", CASES)
def test_the_commented_lines_are_right(name):
    """All at once, once what they ask for is filled in."""
    text = starter_text(CASES[name], PATH)
    read = tomllib.loads(filled_in(text))
    parse(filled_in(text))
    assert {"checks", "observation", "body", "point", "inputs", "complaint", "limits"} <= read.keys()
    assert len(read["checks"]) > 5
    assert {"joints", "driveline", "wheel", "speeds"} == read["inputs"].keys()
    assert {"rating", "tyre_rating", "unsprung_mass", "type"} <= read["axle"]["rear"].keys()
    if name != "van":
        assert {"front_overhang", "rear_overhang", "rail"} == read["frame"].keys()


@pytest.mark.parametrize(
    "key", ["tyres = ", "frame = ", "rating = ", "tyre_rating = ", "gross_rating = ", "clearance = "]
)
def test_what_only_a_look_can_tell_is_not_said_for_anyone(key):
    """A check or a rating whose # is taken away and that is not filled in is a fault."""
    text = starter_text(CASES["flatbed"], PATH)
    table = "# [checks]" if key in ("tyres = ", "frame = ") else "\0"
    bare = text.replace(table, table[2:]).replace(f"# {key}", key, 1)
    with pytest.raises(CounterbounceError) as fault:
        parse(bare)
    assert key.removesuffix(" = ") in str(fault.value)


def test_what_would_not_load_is_no_starter():
    heavy = answers_of(FLATBED | {"where": "driver's floor"}) | {
        "station": None,
        "where": check(BY_FACT["where"], "floor"),
    }
    with pytest.raises(CounterbounceError, match="no such point"):
        starter_text(heavy, PATH)


def test_a_path_with_blanks_is_quoted():
    assert command(Path("my truck.toml")) in starter_text(CASES["van"], Path("my truck.toml"))
    assert "'my truck.toml'" in command(Path("my truck.toml"))


def quantities(low, high, units):
    """Numbers in one of some units: (unit, units in one SI unit)."""
    return st.tuples(st.floats(low, high), st.sampled_from(units)).map(
        lambda x: f"{x[0] * x[1][1]:.4g} {x[1][0]}"
    )


LENGTHS, MASSES = [("m", 1.0), ("in", 39.37), ("ft", 3.281)], [("kg", 1.0), ("t", 1e-3), ("lb", 2.2046)]
WORDS = st.text(st.characters(exclude_characters=".", exclude_categories=("C", "Z")), min_size=1, max_size=30)
ANSWERED = st.fixed_dictionaries(
    {},
    optional={
        "wheelbase": quantities(2.1, 7.9, LENGTHS),
        "front_load": quantities(900, 2.6e3, MASSES),
        "rear_load": quantities(900, 2.6e3, MASSES),
        "tyre": st.sampled_from(["225/70R19.5", "LT245/75R17", "205/65R15", "11R22.5", "35x12.50R20"]),
        "pressure": quantities(2e5, 9e5, [("bar", 1e-5), ("psi", 1.45e-4), ("kPa", 1e-3)]),
        "rear_wheels": st.sampled_from(["single", "dual"]),
        "front_spring": st.sampled_from(["coil", "leaf", "air", "other"]),
        "rear_spring": st.sampled_from(["coil", "leaf", "air", "other"]),
        "built_on": st.sampled_from(["frame", "shell"]),
        "complaint": st.tuples(
            st.integers(10, 60), st.integers(61, 130), st.sampled_from(["mph", "km/h"])
        ).map(lambda x: f"{x[0]} to {x[1]} {x[2]}"),
        "where": WORDS.filter(lambda word: word.casefold() not in (*ALWAYS_THERE, "frame", "ground", "body")),
        "station": quantities(-1, 6, LENGTHS),
        "mass_limit": quantities(3, 90, MASSES),
        "name": WORDS,
    },
)


@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(ANSWERED)
def test_whatever_is_answered_loads_and_so_do_its_commented_lines(facts):
    answers = answers_of(facts)
    text = starter_text(answers, PATH)
    case = parse(text)
    for fact, path in (("wheelbase", "vehicle.wheelbase"), ("rear_load", "axle.rear.load")):
        assert case.numbers[path] == pytest.approx(answers[fact].readings[0].value)
    assert case.complaint.where == facts.get("where", "driver's floor")
    assert tomllib.loads(filled_in(text)).keys() >= {"checks", "observation"}
