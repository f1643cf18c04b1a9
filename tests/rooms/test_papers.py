"""The papers: which there are, one page each, the same bytes, and nobody's name as markup."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from dataclasses import asdict
from html import unescape
from importlib.resources import files

import pytest

from counterbounce.app import cli, pdf
from counterbounce.app.figures import font_folder
from counterbounce.app.papers import missing, pages, papers
from counterbounce.app.report import write_report
from counterbounce.app.terminal import tell
from counterbounce.model.case import parse
from counterbounce.model.faults import CounterbounceError
from counterbounce.sizing.assess import assess

ALL = ["drive-card", "answer", "customer", "fit-and-retune", "proof"]
BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
QUIET = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--no-pdf-header-footer",
)  # fmt: skip
HOSTILE = '#let x = $1$ *b* _i_ @r <b>&amp; \\n \\ "q" `c` [l] // /* -- ~ {{ 7 * 7 }} {% x %} #panic()'
LONG = "wheel well of the very long and rather unusual invented service body, left & right <rear> #1 $2 *3*"


def words(text):
    """The text of a page as a reader sees it, on one line."""
    bare = re.sub(r"<style>.*?</style>", " ", text, flags=re.S)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", bare)).split())


@pytest.fixture(scope="module")
def hostile(case_texts):
    """The truck with names that would be markup, as long as a case file lets them be."""
    text = case_texts["truck"].replace('"Truck & <friends>"', f"'''{(HOSTILE + LONG)[:200]}'''")
    text = text.replace("driver's floor", LONG[:60]).replace('name = "roof"', f"name = '''{HOSTILE[:60]}'''")
    return assess(parse(text, "a_file_of_a_name_that_goes_on_for_longer_than_a_page_is_wide_" * 2 + ".toml"))


@pytest.fixture(scope="module")
def good(assessed):
    return assessed("truck")


# --- which papers there are -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("truck", ALL),
        ("uncleared", ["drive-card", "answer", "proof"]),
        ("shimmy", ["drive-card", "answer"]),
        ("silent", ["drive-card", "answer"]),
        ("unheard", ["drive-card", "answer"]),
        ("quarter", ["drive-card", "answer", "proof"]),
    ],
)
def test_only_what_helps_is_handed_to_whoever_builds(assessed, name, expected):
    a = assessed(name)
    assert [p.file for p in papers(a)] == expected
    assert bool(missing(a)) == (expected != ALL)
    if "customer" not in expected:
        assert a.verdict.outcome.value.replace("_", " ") in missing(a)[0]


def test_the_report_links_to_them_or_says_why_not(assessed, tmp_path):
    for name in ("truck", "quarter", "shimmy"):
        a = assessed(name)
        page = write_report(a, tmp_path / name).read_text(encoding="utf-8")
        linked = re.findall(r'<a href="([^"#]+)"', page)
        assert linked == [f"{p.file}.html" for p in papers(a)]
        assert all((tmp_path / name / file).is_file() for file in linked)
        assert all(said in words(page) for said in missing(a))
    assert not (tmp_path / "quarter" / "customer.html").exists()


def test_the_terminal_names_them_last(good, assessed, tmp_path, capsys):
    for a in (good, assessed("quarter")):
        tell(a, tmp_path, width=400)
        said = capsys.readouterr().out
        assert said.splitlines()[-1].endswith(", ".join(f"{p.file}.html" for p in papers(a)))
        assert all(why in said for why in missing(a))


# --- what all of them have --------------------------------------------------------------------


def test_each_asks_for_nothing_and_carries_every_caution(any_assessment):
    for name, page in pages(any_assessment).items():
        text = page.decode()
        assert not re.search(r"<(script|link|img|iframe|object|embed|base)\b|@import|url\(|\son\w+=", text), (
            name
        )
        assert all(" ".join(c.split()) in words(text) for c in any_assessment.cautions), name
        assert any_assessment.case.sha256[:16] in text


def test_the_same_bytes_twice(good):
    assert pages(good) == pages(good)
    made = pdf.to_pdf(papers(good))
    assert made == pdf.to_pdf(papers(good))
    assert b"CreationDate" not in made  # two made in one second would be alike
    assert b"CreateDate" not in made


def test_what_people_wrote_stays_text_in_html(hostile):
    for name, page in pages(hostile).items():
        text = page.decode()
        assert HOSTILE[:60] in words(text), name
        assert "<b>" not in text
        assert "<rear>" not in text
        assert "49" not in words(text).split(HOSTILE[:60])[1][:60]


def compiled(all_papers, selector):
    """What Typst itself found under a selector in the layout of some papers."""
    import typst

    told = json.dumps([asdict(p) for p in all_papers])
    layout = files("counterbounce.app").joinpath("templates/papers.typ").read_bytes()
    compiler = typst.Compiler(
        layout, font_paths=[font_folder()], ignore_system_fonts=True, sys_inputs={"papers": told}
    )
    return json.loads(compiler.query(selector))


def text_of(content):
    """The letters of what Typst found, in order."""
    if isinstance(content, dict):
        if content.get("func") == "space":
            return " "
        return content.get("text", "") or "".join(map(text_of, content.values()))
    return "".join(map(text_of, content)) if isinstance(content, list) else ""


def test_what_people_wrote_stays_text_in_typst(hostile):
    found = papers(hostile)
    heads = [text_of(h["body"]) for h in compiled(found, "heading") if h["level"] == 1]
    assert heads == [f"{p.title}: {p.case}" for p in found]
    assert all(HOSTILE[:60] in head for head in heads)


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="no pdftotext to read the PDF back with")
def test_the_pdf_can_be_read_back(hostile, tmp_path):
    (tmp_path / "a.pdf").write_bytes(pdf.to_pdf(papers(hostile)))
    done = subprocess.run(["pdftotext", "-layout", tmp_path / "a.pdf", "-"], capture_output=True, check=True)
    text = " ".join(done.stdout.decode().split())
    assert HOSTILE[:30] in text
    assert "A weight of 40.0 kg on springs" in text


# --- one page each ----------------------------------------------------------------------------


def page_count(data):
    return len(re.findall(rb"/Type\s*/Page\b", data))


@pytest.mark.parametrize("name", ["truck", "shimmy", "quarter", "hostile"])
def test_each_is_one_page_of_the_pdf(assessed, hostile, name):
    found = papers(hostile if name == "hostile" else assessed(name))
    assert page_count(pdf.to_pdf(found)) == len(found)


@pytest.mark.skipif(BROWSER is None, reason="no Chromium to print with")
@pytest.mark.parametrize("size", ["A4", "letter"])
@pytest.mark.parametrize("name", ["truck", "shimmy", "quarter", "hostile"])
def test_each_prints_on_one_page(assessed, hostile, tmp_path, name, size):
    a = hostile if name == "hostile" else assessed(name)
    for file, page in pages(a).items():
        text, changed = re.subn(r"size: (A4|letter);", f"size: {size};", page.decode())
        assert changed == 2  # the report's sheet, and the paper's own after it
        (tmp_path / file).write_text(text, encoding="utf-8")
        command = [
            BROWSER,
            *QUIET,
            f"--user-data-dir={tmp_path / 'browser'}",
            f"--print-to-pdf={tmp_path / 'a.pdf'}",
        ]
        subprocess.run([*command, str(tmp_path / file)], capture_output=True, check=True, timeout=120)
        assert page_count((tmp_path / "a.pdf").read_bytes()) == 1, file
        (tmp_path / "a.pdf").unlink()


def test_a_sheet_is_that_of_its_readers_country(assessed):
    assert {p.size for p in papers(assessed("truck"))} == {"a4"}
    assert {p.size for p in papers(assessed("quarter"))} == {"us-letter"}


# --- PDF by command ---------------------------------------------------------------------------


@pytest.fixture
def ask(case_texts, tmp_path, monkeypatch, capsys):
    (tmp_path / "silent.toml").write_text(case_texts["silent"], encoding="utf-8")
    monkeypatch.chdir(tmp_path)

    def run(*arguments):
        code = cli.run(["assess", "silent.toml", *arguments])
        out, err = capsys.readouterr()
        return code, out, err

    return run


def test_the_command_writes_the_pdf(ask, tmp_path):
    code, out, _ = ask("--pdf")
    assert code == 0
    assert "papers.pdf" in out
    folder = tmp_path / "silent-report"
    assert page_count((folder / "papers.pdf").read_bytes()) == 2
    assert 'href="papers.pdf"' in (folder / "report.html").read_text(encoding="utf-8")


def test_without_the_extra_the_command_says_the_line(ask, tmp_path, monkeypatch):
    monkeypatch.setattr(pdf, "find_spec", lambda name: None)
    monkeypatch.setattr("counterbounce.sizing.assess.assess", lambda *_: 1 / 0)  # said before the work
    code, out, err = ask("--pdf")
    assert (code, out) == (2, "")
    assert re.search(r'python3 -m pip --python "[^"]+" install "typst>=0\.13"', err)
    assert [p.name for p in tmp_path.iterdir()] == ["silent.toml"]
    with pytest.raises(CounterbounceError, match="Typst"):
        pdf.to_pdf(())


@pytest.mark.parametrize("arguments", [("--pdf", "--no-report"), ("--pdf", "--json")])
def test_a_pdf_without_a_report_is_refused(ask, arguments):
    code, _, err = ask(*arguments)
    assert code == 2
    assert "--out" in err


def test_what_is_not_cleared_stands_in_front_of_the_numbers(assessed):
    """On the answer: the list first, then the damper that nobody is to hang on yet."""
    sheet = words(pages(assessed("uncleared"))["answer.html"].decode())
    first, number = (
        sheet.index("Unsure. Not cleared yet: the walk round the vehicle"),
        sheet.index(" off the shake"),
    )
    assert first < number
    assert "Not to be built before the answer is settled" in sheet
    assert "until then hang nothing on" in sheet
    assert "Not cleared yet" not in words(pages(assessed("truck"))["answer.html"].decode())
    assert "Not cleared yet. tyres, wheel nuts" in words(pages(assessed("silent"))["answer.html"].decode())
