"""The README's numbers are fresh results of the examples, and its commands are the ones that are run.

A number stands between two comments that a reader does not see; the first says where it comes from:

    <!-- check: engineer.verdict.reduction -->38 %<!-- /check -->

The first word is a folder of examples/ (or folder/case where it holds several cases); the rest is the path of
the number in what `counterbounce assess CASE --json` prints, items of a list by index.  It is written with
as many digits as the reader needs, and compared at that many, in the unit written beside it.
"""

from __future__ import annotations

import functools
import json
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text()
MARKED = re.compile(r"<!-- check: (?P<path>\S+) -->(?P<text>.*?)<!-- /check -->", re.S)
NUMBER = re.compile(r"(?P<number>[-−]?\d[\d,]*(?:\.\d+)?)\s*(?P<unit>.*)", re.S)
PER_SI = (
    {"": 1, "%": 100, "times": 1, "Hz": 1, "N": 1, "kN": 1e-3, "kg": 1, "t": 1e-3, "lb": 1 / 0.45359237}
    | {"m": 1, "mm": 1e3, "ft": 1 / 0.3048, "in": 1 / 0.0254, "m/s": 1, "km/h": 3.6, "mph": 1 / 0.44704}
    | {"N/m": 1, "kN/m": 1e-3, "N/mm": 1e-3, "lbf/in": 0.0254 / 4.4482216152605, "N s/m": 1, "kN s/m": 1e-3}
    | {"m/s²": 1, "milli-g": 1000 / 9.80665, "kN m²": 1e-3, "MN m²": 1e-6}
)
not_yet = pytest.mark.skipif("<!-- check: " not in README, reason="the README has no checked numbers yet")


def value_at(answer: Any, path: str) -> Any:
    """The value at a dotted path."""
    for key in path.split("."):
        answer = answer[int(key)] if isinstance(answer, list) else answer[key]
    return answer


def agrees(text: str, value: Any) -> bool:
    """Whether what is written is `value`, to the digits and in the unit written."""
    text = " ".join(text.split())
    if isinstance(value, str):
        return text == value.replace("_", " ")
    match = NUMBER.fullmatch(text)
    if match is None or match["unit"] not in PER_SI or type(value) not in (int, float):
        return False
    number = match["number"].replace(",", "").replace("−", "-")
    digits = len(number.partition(".")[2])
    return f"{value * PER_SI[match['unit']]:.{digits}f}" == number


def stale(text: str, answers: Any) -> list[str]:
    """The marked numbers of `text` that are not what `answers(example)` gives today."""
    found = []
    for match in MARKED.finditer(text):
        example, _, path = match["path"].partition(".")
        value = value_at(answers(example), path)
        if not agrees(match["text"], value):
            found.append(f"{match['path']}: written {match['text']!r}, is {value!r}")
    unpaired = text.count("<!-- check: ") + text.count("<!-- /check -->") - 2 * len(MARKED.findall(text))
    return found + ["a marker without its pair"] * bool(unpaired)


def commands(text: str) -> list[str]:
    """The sh blocks of a document."""
    return re.findall(r"^```sh\n(.*?)\n```$", text, re.S | re.M)


def announced(tree: Path) -> list[str]:
    """The commands that `.ci/run` of `tree` says it runs, taken from the README beside it."""
    done = subprocess.run(
        ["bash", ".ci/run", "--show"], cwd=tree, capture_output=True, text=True, check=False
    )
    return done.stdout.splitlines() if done.returncode == 0 else [done.stderr]


@functools.cache
def fresh(example: str) -> Any:
    """What an example answers today."""
    (case,) = (ROOT / "examples").glob(f"{example}.toml" if "/" in example else f"{example}/*.toml")
    script = Path(sys.executable).with_name("counterbounce")
    done = subprocess.run([script, "assess", case, "--json"], capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


@not_yet
def test_its_numbers_are_fresh(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)  # where a report may be left
    assert stale(README, fresh) == []


@not_yet
def test_it_begins_by_saying_what_this_is():
    title, first, *_ = README.split("\n\n")
    assert title.startswith("# counterbounce")
    assert re.match(r"[A-Z]", first)
    assert len(first.split()) >= 25


@not_yet
def test_its_two_commands_are_the_ones_that_are_run():
    use, test = commands(README)
    assert announced(ROOT) == [use, test]
    install = "python3 -m venv --without-pip .venv && python3 -m pip --python .venv/bin/python install -q -e "
    assert use.startswith(f"{install}. && .venv/bin/counterbounce assess examples/")
    assert (ROOT / use.split()[-1]).is_file()
    assert test == f"{install}'.[test]' && .venv/bin/python -m pytest -n auto --dist loadfile"


# The guards are seen failing.

ANSWER = {
    "verdict": {
        "outcome": "too_little_mass",
        "reduction": 0.3812,
        "stroke_m": 0.01234,
        "mass_kg": 1250.0,
        "loss": None,
    },
    "speeds": [{"speed_m_s": 24.6}, {"speed_m_s": -3.06}],
}


@pytest.mark.parametrize(
    ("path", "right", "wrong"),
    [
        ("verdict.reduction", "38 %", "39 %"),
        ("verdict.reduction", "38.1 %", "38.0 %"),
        ("verdict.reduction", "0.38", "0.39"),
        ("verdict.stroke_m", "12.3 mm", "12.4 mm"),
        ("verdict.mass_kg", "1,250 kg", "1,250 t"),
        ("verdict.outcome", "too little\nmass", "stroke"),
        ("speeds.0.speed_m_s", "89 km/h", "88 km/h"),
        ("speeds.0.speed_m_s", "55 mph", "89 mph"),
        ("speeds.1.speed_m_s", "−3.1 m/s", "3.1 m/s"),
        ("verdict.mass_kg", "1250", "about 1250"),
    ],
)
def test_a_stale_number_is_seen(path, right, wrong):
    marked = "A <!-- check: engineer.{} -->{}<!-- /check --> b."
    assert stale(marked.format(path, right), {"engineer": ANSWER}.get) == []
    assert len(stale(marked.format(path, wrong), {"engineer": ANSWER}.get)) == 1


def test_a_marker_that_leads_nowhere_is_seen():
    with pytest.raises(KeyError):
        stale("<!-- check: engineer.verdict.gain -->38 %<!-- /check -->", {"engineer": ANSWER}.get)
    assert not agrees("0", None)
    assert stale("<!-- check: engineer.verdict.reduction -->38 %", {"engineer": ANSWER}.get) == [
        "a marker without its pair"
    ]


def test_a_command_that_is_not_the_one_run_is_seen(tmp_path):
    shutil.copytree(ROOT / ".ci", tmp_path / ".ci")
    readme = tmp_path / "README.md"
    readme.write_text(
        "# A\n\n```sh\necho use\n```\n\n```\nnot run\n```\n\n```sh\necho install && echo test\n```\n"
    )
    assert announced(tmp_path) == commands(readme.read_text()) == ["echo use", "echo install && echo test"]
    (tmp_path / ".ci" / "run").write_text((ROOT / ".ci" / "run").read_text().replace('"$test"', '"$use"'))
    assert announced(tmp_path) != commands(readme.read_text())
    readme.write_text("# A\n\n```sh\necho only one\n```\n")
    assert "two" in announced(tmp_path)[0]
