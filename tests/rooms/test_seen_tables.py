"""What was found without instruments, as it is told: JSON, the page and the terminal say the same."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path

import pytest

from counterbounce.app.answer import answer
from counterbounce.app.report import page
from counterbounce.app.seen_tables import next_table, not_cleared, observed_table, walk_round, weight_words
from counterbounce.app.terminal import tell
from counterbounce.model.case import load, parse
from counterbounce.model.observations import CHECKS
from counterbounce.sizing.assess import assess
from counterbounce.sizing.verdict import Outcome
from counterbounce.sizing.walk_items import ITEMS

CASES = Path(__file__).parents[1] / "cases"
FLATBED = CASES.parents[1] / "examples/technician/flatbed.toml"
VAN = (CASES / "van.toml").read_text(encoding="utf-8")
PICTURES = dict.fromkeys(("critical_speeds", "response", "mode_shapes"), "<svg></svg>")
GOOD = "[checks]\n" + "\n".join(f'{name} = "good"' for name in CHECKS) + "\n"
CLEARED = GOOD + "".join(
    f'[[observation]]\nchange = "{change}"\nresult = "{result}"\n'
    for change, result in (("how fast it shakes", "countable"), ("known-good wheels", "stayed"))
)
FELT = '[complaint]\nspeed = { from = "70 km/h", to = "80 km/h" }\n'
SEEN = """
[[observation]]
change = "neutral coast-down"
result = "stayed"
[[observation]]
change = "weight over the rear end"
result = "moved"
mass = "80 kg"
"""
CONTRADICTORY = """
[[observation]]
change = "braking"
result = "stayed"
[[observation]]
change = "braking"
result = "weaker"
"""


@cache
def found(text):
    return assess(parse(VAN + text))


def shown(a):
    """The page and the terminal, in words."""
    to = io.StringIO()
    tell(a, None, to)
    return " ".join(page(a, PICTURES).split()), " ".join(to.getvalue().split())


def test_nothing_looked_at_puts_the_whole_list_in_front():
    a = found("")
    assert [tick.answer for tick in walk_round(a)] == [None] * len(CHECKS)
    html, text = shown(a)
    assert html.count('class="box"') == 2 * len(CHECKS)
    assert html.index("Walk round the vehicle first") < html.index("Where the road meets the vehicle")
    assert "NOT CLEARED YET tyres, wheel nuts" in text
    for item in ITEMS.values():
        assert item.look.split(";")[0] in html
    assert answer(a)["checks"] == dict.fromkeys(CHECKS)


def test_what_was_looked_at_is_not_asked_again():
    a = found('[checks]\ntyres = "good"\nmounts = "good"')
    html, text = shown(a)
    assert html.count('class="box"') == 2 * (len(CHECKS) - 2)
    assert html.count("<strong>good</strong>") == 2
    assert "NOT CLEARED YET wheel nuts" in text
    assert "mounts" not in not_cleared(a)
    assert answer(a)["checks"]["mounts"] == "good"


def test_where_all_is_good_nothing_stands_in_front_but_the_cautions():
    a = found(CLEARED)
    html, text = shown(a)
    assert walk_round(a) == ()
    assert not_cleared(a) == ""
    assert "Walk round the vehicle first" not in html
    assert "NOT CLEARED YET" not in text
    assert a.cautions[0] in text


def test_a_bad_answer_is_loud_and_no_test_is_proposed():
    a = found(GOOD.replace('frame = "good"', 'frame = "bad"') + SEEN)
    html, text = shown(a)
    assert "<strong>bad</strong>" in html
    assert text.startswith(f"{a.case.name} INSPECT FIRST Found bad on the walk round: frame.")
    assert "DO NEXT" not in text
    assert answer(a)["next_test"] is None
    assert "inspected first" in next_table(a).note


def test_the_logic_is_a_table_with_its_reasons():
    a = found(GOOD + FELT + SEEN)
    told, table = answer(a)["observations"], observed_table(a)
    assert [row[0] for row in table.rows] == [
        "Neutral coast-down",
        "Weight over the rear end, 80.0 kg at the rear end",
    ]
    assert table.rows[1][1] == "It moved; where to was not said"
    assert "common practice, no source" in table.rows[0][4]
    assert "Rayleigh" in table.rows[1][4]
    excluded = {one["kind"] for one in told["excluded"]}
    assert excluded == {"the driveline", "the engine and its mounts", "brakes", "steering that feeds itself"}
    assert told["remaining"] == ["a wheel or tyre at fault", "a mode met by wheels or road"]
    assert "What remains: a wheel or tyre at fault, a mode met by wheels or road." in table.note
    html, text = shown(a)
    for shape in (html, text):
        assert "What remains: a wheel or tyre at fault, a mode met by wheels or road." in shape


def test_the_weight_is_told_in_words_and_numbers():
    a = assess(load(FLATBED))
    told, words = answer(a)["observations"]["weight_test"], weight_words(a)
    assert (told["mass_kg"], told["at"]) == (pytest.approx(200 * 0.45359237), "rear end")
    assert told["observed"] == "moved"
    assert told["frequency_after_hz"] < told["frequency_before_hz"]
    assert f"{told['frequency_before_hz']:.2f} Hz to {told['frequency_after_hz']:.2f} Hz" in words
    low, high = (v / 0.44704 for v in told["predicted_speed_m_s"])
    assert f"the complaint to {low:.0f} to {high:.0f} mph" in words
    assert told["agrees"] is True
    assert "what was felt agrees with it" in words
    assert answer(found(GOOD))["observations"]["weight_test"] is None
    assert weight_words(found(GOOD)) == ""


def test_a_weight_that_moves_what_the_model_holds_still_is_told_so():
    """The van's worst is an axle hop, which knows nothing of a weight on the body."""
    a = found(GOOD + FELT + SEEN)
    assert answer(a)["observations"]["weight_test"]["agrees"] is False
    assert "does NOT agree" in weight_words(a)
    assert a.verdict.outcome is Outcome.UNSURE


def test_the_next_test_is_told_with_what_it_would_decide():
    a = found(GOOD)
    told, table = answer(a)["next_test"], next_table(a)
    html, text = shown(a)
    assert table.title == f"Next test: {told['change']}, about {told['minutes']:.0f} minutes"
    assert table.title in html
    assert "DO NEXT How fast it shakes, about 3 minutes." in text
    assert len(told["would_decide"]) == len(table.rows) >= 2
    assert all(one["excludes"] or one["speaks_for"] for one in told["would_decide"])
    assert "no source" in table.note


def test_contradictions_are_told_and_stop_further_tests():
    a = found(GOOD + CONTRADICTORY)
    told = answer(a)
    assert told["observations"]["contradictions"] == ["braking: it stayed, and it became weaker"]
    assert told["next_test"] is None
    assert "This cannot all be so: braking: it stayed" in observed_table(a).note
    assert "done again" in next_table(a).note


def test_where_nothing_more_can_be_told_apart_it_is_said():
    wheels = '[[observation]]\nchange = "known-good wheels"\nresult = "weaker"\n'
    a = found(GOOD + FELT + SEEN + wheels)
    assert answer(a)["next_test"] is None
    assert "No further test" in next_table(a).note
    assert "No further test" in shown(a)[0]


def test_what_is_not_cleared_is_told_everywhere():
    a = found(GOOD)
    html, text = shown(a)
    assert answer(a)["still_open"] == ["how fast it shakes", "known-good wheels"]
    assert "NOT CLEARED YET how fast it shakes, known-good wheels" in text
    assert "<strong>Not cleared yet:</strong> how fast it shakes, known-good wheels." in html
    assert answer(found(CLEARED))["still_open"] == []
    assert answer(found(""))["still_open"][:2] == ["tyres", "wheel nuts"]
