"""The command `sheet`."""

import re
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest

from counterbounce.app import equations
from counterbounce.app.cli import run
from counterbounce.model.case import load
from counterbounce.model.settle import settled
from counterbounce.model.sheet import sheet

EXAMPLES = Path(__file__).parents[2] / "examples"
CASES = [*EXAMPLES.glob("*/*.toml"), *sorted((Path(__file__).parents[1] / "cases").glob("b*.toml"))]


@pytest.fixture(params=CASES, ids=lambda p: p.stem)
def found(request):
    case = load(request.param)
    return sheet(settled(case.plan, case.numbers))


def test_plain_text_has_every_term_once(found):
    text = equations.plain(found, "a case")
    for term in found.terms:
        assert sum(line.strip().startswith(term.text) for line in text.splitlines()) >= 1
    assert text.startswith("a case\n")


def test_latex_is_balanced_and_whole(found):
    text = equations.latex(found, "a case")
    assert text.count("{") == text.count("}")
    assert text.count("\\begin{align*}") == text.count("\\end{align*}") > 0
    assert sum(line.endswith("\\\\") for line in text.splitlines()) == len(found.terms)
    for foreign in "½∫ẇẏ²−":
        assert foreign not in text


def test_mathml_is_well_formed_and_says_the_same(found):
    class Words(HTMLParser):
        def __init__(self):
            super().__init__()
            self.text = ""

        def handle_data(self, data):
            self.text += data

    page = equations.mathml(found, "a case")
    formulas = re.findall(r"<math>.*?</math>", page)
    assert len(formulas) == len(found.terms)
    for formula, term in zip(
        formulas, [t for g in equations.HEADINGS for t in found.terms if t.group == g], strict=True
    ):
        said = "".join(ElementTree.fromstring(formula).itertext())
        words = Words()
        words.feed(term.html)
        plain = words.text
        for dotted, letter in equations.DOTTED.items():
            plain = plain.replace(dotted, f"{letter}˙")
        assert re.sub(r"\s", "", said) == re.sub(r"\s", "", plain)


def test_the_command(capsys):
    case = str(EXAMPLES / "engineer/box_truck.toml")
    for option, words in (([], "Kinetic energy"), (["--latex"], "\\begin{align*}"), (["--mathml"], "<math>")):
        assert run(["sheet", case, *option]) == 0
        assert words in capsys.readouterr().out
    assert run(["sheet", "nowhere.toml"]) == 2
