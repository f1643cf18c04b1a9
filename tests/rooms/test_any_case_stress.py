"""Whatever comes, a case or its faults go out, and never another exception."""

from __future__ import annotations

import re
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from counterbounce.model.case import parse
from counterbounce.model.faults import CounterbounceError

FILES = sorted((Path(__file__).parents[1] / "cases").glob("*.toml"))
GOOD = [file.read_text(encoding="utf-8") for file in FILES]
SCRAPS = st.one_of(
    st.sampled_from(
        ["", "0", "-", "1e9 ", "9", "m", "kg", '"', "[", "]", "{", "}", "=", "\n", ".", "true", "#",
         "[[body]]\n", "[frame]\n", 'model = "half"\n', 'model = "bending"\n', "massless = true\n", "± 900 %",
         "(measured)"]
    ),
    st.text(max_size=5),
)  # fmt: skip


def a_case_or_its_faults(text: str) -> None:
    try:
        case = parse(text)
    except CounterbounceError as error:
        faults = error.faults
    else:
        assert case.plan.axles
        return
    assert faults
    assert all(fault.wanted for fault in faults)
    assert "\n" not in "".join(map(str, faults))


@settings(deadline=None, max_examples=6000, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_a_good_file_changed_at_random_gives_a_case_or_its_faults(data):
    text = data.draw(st.sampled_from(GOOD))
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        length = data.draw(st.integers(0, 30))
        text = text[:start] + data.draw(SCRAPS) + text[start + length :]
    a_case_or_its_faults(text)


@settings(deadline=None, max_examples=6000, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_a_good_file_with_lines_lost_or_moved_gives_a_case_or_its_faults(data):
    lines = data.draw(st.sampled_from(GOOD)).splitlines()
    for _ in range(data.draw(st.integers(1, 4))):
        gone = lines.pop(data.draw(st.integers(0, len(lines) - 1)))
        if data.draw(st.booleans()):
            lines.insert(data.draw(st.integers(0, len(lines))), gone)
    a_case_or_its_faults("\n".join(lines))


@settings(deadline=None, max_examples=6000, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_a_good_file_with_other_numbers_gives_a_case_or_its_faults(data):
    text = data.draw(st.sampled_from(GOOD))
    numbers = list(re.finditer(r"(?<![\w.])[0-9.]+(?= ?[\w%])", text))
    for found in data.draw(st.lists(st.sampled_from(numbers), max_size=3, unique=True)):
        other = data.draw(st.sampled_from(["0", "-1", "1e-9", "1e3", "1e6", "1e20", "1e300", "7", "0.001"]))
        text = text.replace(found[0], other)
    a_case_or_its_faults(text)


@settings(deadline=None)
@given(st.text(max_size=300))
def test_any_text_gives_a_case_or_its_faults(text):
    a_case_or_its_faults(text)
