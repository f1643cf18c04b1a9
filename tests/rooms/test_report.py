"""The report: one page that asks for nothing, says the answer first, and holds what was found."""

from __future__ import annotations

import csv
import io
import json
import re
from html.parser import HTMLParser

import numpy as np
import pytest

from counterbounce.app import report as reports
from counterbounce.app.answer import answer
from counterbounce.app.report import write_report
from counterbounce.model.faults import CounterbounceError

FILES = {
    "report.html", "answer.json", "equations.txt", "response.csv", "critical_speeds.csv", "modes.csv",
    "critical_speeds.svg", "mode_shapes.svg", "response.svg",
}  # fmt: skip
PAPERS = {"drive-card.html", "answer.html"}  # of every assessment; the others by what it says
MORE = {"truck": {"customer.html", "fit-and-retune.html", "proof.html"}, "quarter": {"proof.html"}}
VOID = {"meta", "br", "hr", "img", "input", "link"}


class Page(HTMLParser):
    """Elements with their attributes in order, the text, and whether all is closed."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements, self.open, self.wrong, self.text = [], [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.wrong.append(tag)

    def handle_data(self, data):
        if "style" not in self.open:
            self.text.append(data)

    def all(self, tag):
        return [attrs for name, attrs in self.elements if name == tag]

    @property
    def words(self) -> str:
        return " ".join(" ".join(self.text).split())


@pytest.fixture(scope="module")
def written(assessed, tmp_path_factory):
    """name -> (folder, text of the page)."""
    root, done = tmp_path_factory.mktemp("reports"), {}

    def write(name):
        if name not in done:
            path = write_report(assessed(name), root / name)
            done[name] = path.parent, path.read_text(encoding="utf-8")
        return done[name]

    return write


NAMES = ["truck", "shimmy", "silent", "unheard", "quarter"]


@pytest.mark.parametrize("name", NAMES)
def test_it_is_one_page_that_asks_for_nothing(written, name):
    folder, text = written(name)
    beside = PAPERS | MORE.get(name, set())
    assert {p.name for p in folder.iterdir() if not p.name.startswith(".")} == FILES | beside
    page = Page(text)
    assert page.wrong == page.open == []
    assert not {tag for tag, _ in page.elements} & {
        "script",
        "iframe",
        "link",
        "img",
        "object",
        "embed",
        "base",
    }
    fetched = [
        v
        for _, attrs in page.elements
        for k, v in attrs.items()
        if k in ("src", "href", "xlink:href", "action", "srcset")
    ]
    assert [v for v in fetched if not v.startswith("#") and v not in beside] == []
    assert not re.search(r"@import|url\((?!#)", text)
    assert [k for _, attrs in page.elements for k in attrs if k.startswith("on")] == []


@pytest.mark.parametrize("name", NAMES)
def test_the_answer_stands_first(assessed, written, name):
    verdict, page = assessed(name).verdict, Page(written(name)[1])
    sentence = verdict.sentence.replace("m/s^2", "m/s²")
    order = [
        page.words.index(w)
        for w in (
            verdict.outcome.value.replace("_", " "),
            sentence,
            verdict.next_step,
            assessed(name).cautions[0],
        )
    ]
    assert order == sorted(order)
    assert order[-1] < page.words.index("Where the road meets the vehicle")
    assert all(" ".join(caution.split()) in page.words for caution in assessed(name).cautions)


@pytest.mark.parametrize("name", NAMES)
def test_it_can_be_read_by_ear(written, name):
    page = Page(written(name)[1])
    levels = [int(tag[1]) for tag, _ in page.elements if re.fullmatch(r"h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert max(np.diff(levels)) <= 1
    pictures = page.all("svg")
    assert len(pictures) == 3
    assert all(p["role"] == "img" and len(p["aria-label"]) > 20 for p in pictures)
    assert all(th.get("scope") in ("col", "row") for th in page.all("th"))
    assert page.all("html")[0]["lang"] == "en"
    ids = [attrs["id"] for _, attrs in page.elements if "id" in attrs]
    assert len(ids) == len(set(ids))
    assert {attrs["aria-labelledby"] for _, attrs in page.elements if "aria-labelledby" in attrs} <= set(ids)


def test_what_a_person_wrote_stays_text(written):
    text = written("truck")[1]
    assert "Truck &amp; &lt;friends&gt;" in text
    assert "<friends>" not in text
    assert "<winch>" not in text


def test_it_holds_what_was_found(assessed, written):
    found, words = assessed("truck"), Page(written("truck")[1]).words
    hung, prediction = found.sized.found.damper, answer(found)["prediction"]
    for text in (
        f"{hung.tuned_hz:.2f} Hz",
        f"{hung.stiffness / 1e3:.0f} kN/m" if hung.stiffness > 1e5 else f"{hung.stiffness / 1e3:.1f} kN/m",
        f"{prediction['before_m_s2']:.3f} m/s²",
        f"−{prediction['reduction']:.0%}".replace("%", " %"),
        "Den Hartog",
        "weighbridge",
        "an invented sheet",
        "2600 kg",
        "Kinetic energy",
        found.case.sha256,
    ):
        assert text in words, text


def test_a_damper_that_does_not_help_is_not_offered(written):
    assert "What to build" in Page(written("truck")[1]).words
    words = Page(written("quarter")[1]).words
    assert "What to build" not in words
    assert "Not to be built" in words


def test_its_files_hold_the_same_numbers(assessed, written):
    folder, _ = written("truck")
    told = json.loads((folder / "answer.json").read_text(encoding="utf-8"))
    assert told == answer(assessed("truck"))
    c = assessed("truck").sized.comparison
    rows = list(csv.reader(io.StringIO((folder / "response.csv").read_text(encoding="utf-8"))))
    assert rows[0][:2] == ["speed_m_s", "driver's floor before_m_s2"]
    table = np.array(rows[1:], dtype=float)
    assert table == pytest.approx(np.column_stack([c.speeds, c.before, c.after, c.ballast]), rel=1e-8)
    critical = list(csv.DictReader(io.StringIO((folder / "critical_speeds.csv").read_text(encoding="utf-8"))))
    assert [r["cause"] for r in critical] == [c["cause"] for c in told["critical_speeds"]]
    unknown = [r for r in critical if r["kind"] == "engine"]
    assert unknown
    assert {r["typical_m_s2"] for r in unknown} == {""}
    modes = list(csv.DictReader(io.StringIO((folder / "modes.csv").read_text(encoding="utf-8"))))
    assert [float(r["frequency_hz"]) for r in modes] == [m["frequency_hz"] for m in told["modes"]]
    assert float(modes[0]["energy in rear spring"]) == told["modes"][0]["energy"]["rear spring"]


def test_the_same_bytes_twice(assessed, written, tmp_path):
    folder, _ = written("truck")
    again = write_report(assessed("truck"), tmp_path / "again").parent
    for file in folder.iterdir():
        assert (again / file.name).read_bytes() == file.read_bytes(), file.name


def test_an_own_report_is_replaced_and_a_foreign_folder_is_not(assessed, tmp_path):
    folder = tmp_path / "out"
    write_report(assessed("silent"), folder)
    write_report(assessed("quarter"), folder)
    assert "A corner in pounds" in (folder / "report.html").read_text(encoding="utf-8")
    (folder / "notes.txt").write_text("mine")
    with pytest.raises(CounterbounceError, match=r"notes\.txt"):
        write_report(assessed("silent"), folder)
    assert "A corner in pounds" in (folder / "report.html").read_text(encoding="utf-8")


def test_nothing_is_left_when_a_page_cannot_be_made(assessed, tmp_path, monkeypatch):
    monkeypatch.setattr(reports, "page", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        write_report(assessed("silent"), tmp_path / "out")
    assert list(tmp_path.iterdir()) == []
