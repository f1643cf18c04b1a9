"""Answers as the case file will read them: origins added, slips noticed, faults told as for its keys."""

from __future__ import annotations

import pytest

from counterbounce.app.answers import check, fault_of, missing, system_of, unanswered
from counterbounce.app.questions import METRIC, QUESTIONS, US

BY_FACT = {question.fact: question for question in QUESTIONS}


def answer(fact, written):
    return check(BY_FACT[fact], written)


@pytest.mark.parametrize(
    ("fact", "written", "texts"),
    [
        ("wheelbase", " 141   in ", ("141 in (measured: tape)",)),
        ("front_load", "3300 lb ± 40 lb", ("3300 lb ± 40 lb (measured: scale)",)),
        ("rear_load", "1.8 t (published: sheet)", ("1.8 t (published: sheet)",)),
        ("pressure", "65 psi", ("65 psi (published: door placard)",)),
        ("mass_limit", "60 lb", ("60 lb",)),
        ("station", "-12 in", ("-12 in (measured: tape)",)),
        ("tyre", "LT245/75R17", ("LT245/75R17",)),
        ("rear_wheels", "DUAL", ("dual",)),
        ("front_spring", "l", ("leaf",)),
        ("direction", "side", ("side to side",)),
        ("complaint", "45 to 50 mph", ("45 mph", "50 mph")),
        ("complaint", "45-50 mph", ("45 mph", "50 mph")),
        ("complaint", "72.5 – 80 km/h", ("72.5 km/h", "80 km/h")),
        ("complaint", "45 mph to 80 km/h", ("45 mph", "80 km/h")),
        ("complaint", "47 mph", ("47 mph", "47 mph")),
        ("where", "Rear End", ("rear end",)),
        ("where", 'the "good" seat', ('the "good" seat',)),
    ],
)
def test_what_goes_into_the_file(fact, written, texts):
    found = answer(fact, written)
    assert found.texts == texts
    assert (found.guessed, found.odd) == (False, "")


@pytest.mark.parametrize(
    ("fact", "written", "says"),
    [
        ("wheelbase", "11 ft 9 in", "write 15.5 ft for 15 ft 6 in"),
        ("wheelbase", "", "wanted a number and its unit"),
        ("front_load", "3300 lbf", "wanted a number and its unit, kept in kg"),
        ("front_load", "-2 t", "it must be more than"),
        ("pressure", "65 psi (guessed: me)", "measured, published, estimated, assumed or calibrated"),
        ("tyre", "245/75", "wanted a tyre size as on the sidewall"),
        ("built_on", "ladder", "wanted one of frame, shell"),
        ("front_spring", "", "wanted one of coil, leaf, air, other"),
        ("rear_spring", "leave", 'did you mean "leaf"?'),
        ("complaint", "50 to 45 mph", "wanted speeds from slow to fast"),
        ("complaint", "45 to 50", "the unit is missing"),
        ("complaint", "fast", "the number is missing"),
        ("where", "rear.seat", "without dots"),
        ("where", "frame", "wanted a place in the vehicle"),
        ("where", "a\x07b", "wanted plain words"),
        ("name", "x" * 201, "200 characters or fewer"),
    ],
)
def test_what_is_wrong_is_told(fact, written, says):
    with pytest.raises(ValueError) as found:  # noqa: PT011
        answer(fact, written)
    fault = fault_of(found.value, "--it")
    assert fault.file == "--it"
    assert says in str(fault)


@pytest.mark.parametrize(
    ("fact", "slip", "usual"),
    [
        ("wheelbase", "141 ft", "80 to 320 in"),
        ("wheelbase", "14 m", "2 to 8 m"),
        ("front_load", "33 t", "250 kg to 12 t"),
        ("pressure", "5.5 kPa", ""),
        ("pressure", "650 psi", "22 to 138 psi"),
        ("complaint", "2 to 50 mph", "12 to 90 mph"),
        ("complaint", "50 to 95 mph", "12 to 90 mph"),
        ("mass_limit", "1 t", "2 to 300 kg"),
    ],
)
def test_a_slip_is_noticed(fact, slip, usual):
    if not usual:
        with pytest.raises(ValueError, match="it must be more than"):
            answer(fact, slip)
        return
    assert answer(fact, slip).odd == f"outside the usual {usual}"


def test_units_written_choose_the_examples_and_guesses_do_not():
    guess = unanswered(BY_FACT["wheelbase"], US)
    assert system_of([]) is None
    assert system_of([guess]) is None
    assert system_of([guess, answer("front_load", "1 t")]) == METRIC
    assert (
        system_of([answer("front_load", "1 t"), answer("wheelbase", "3 ft"), answer("rear_load", "9 lb")])
        == US
    )


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.fact)
def test_each_question_is_sound(question):
    """Its examples are answers, inside what it calls usual; its guesses are guesses, its defaults too."""
    for system, example in enumerate(question.examples):
        found = check(question, example)
        assert found.odd == ""
        if found.readings:
            assert system_of([found]) == system
        silent = unanswered(question, system)
        if question.guess:
            assert silent.guessed
            assert silent.text.endswith("(assumed: a guess)")
            low, high = question.usual
            assert question.kind == "tyre" or low < silent.readings[0].value < high
        elif question.default:
            assert check(question, question.default).texts == silent.texts
        else:
            assert silent is None
            assert question.left_out
    assert question.option in str(missing(question))
