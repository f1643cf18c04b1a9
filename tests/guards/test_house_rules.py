"""Short files and functions, no trace of a machine or of a script that is not ours, marked as typed."""

from __future__ import annotations

import ast
import re
import statistics
from collections.abc import Iterator
from pathlib import Path

import pytest

FILE_LINES = 300
BODY_LINES = 60
MEDIAN_LINES = 8
# A document or picture that is read as bytes is no text; everything else that is kept is read.
BYTES = {".png", ".jpg", ".gif", ".pdf", ".ico", ".woff2", ".gz", ".zip"}
SCRIPTS = {".js", ".mjs", ".cjs", ".jsx", ".ts", ".tsx", ".wasm", ".so", ".whl", ".exe"}
ANYWHERE = {
    "a path of one machine": re.compile(
        r"(?<![\w.$}~/-])/(?:work|home|root|Users|mnt|tmp|srv)/\w|\b[A-Z]:\\(?:Users|Windows|Temp)"
    ),
}
TO_BE_READ = {
    "a wheel order in shorthand: write it out": re.compile(r"\b[TPE][1-9]\b"),
    "mg for an acceleration: write milli-g": re.compile(r"\d\s?mg\b"),
}
FETCHED = re.compile(r"""<(?:script|link|img|iframe)\b[^>]*\b(?:src|href)\s*=\s*["']?(?:https?:)?//""", re.I)
CLIMB = re.compile(r"(?:\.\./)+(?=[\w.])")


def text_faults(file: Path, text: str) -> Iterator[str]:
    """What must not stand in a file, by its place in the project."""
    rules = ANYWHERE if file.parts[0] in ("tests", ".ci") else ANYWHERE | TO_BE_READ
    for number, line in enumerate(text.splitlines(), 1):
        yield from (f"{file}:{number}: {what}" for what, pattern in rules.items() if pattern.search(line))
        if any(climb.group().count("../") >= len(file.parts) for climb in CLIMB.finditer(line)):
            yield f"{file}:{number}: a path that leaves the project"
    if FETCHED.search(text) and file.parts[0] != "tests":
        yield f"{file}: something that a reader's browser would fetch"


def bodies(source: str) -> list[tuple[str, int]]:
    """(name, lines of body without its docstring) of every function and method."""
    functions = (
        n for n in ast.walk(ast.parse(source)) if isinstance(n, ast.FunctionDef | ast.AsyncFunctionDef)
    )
    return [(node.name, body_lines(node)) for node in functions]


def body_lines(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines from the first statement to the last."""
    body = node.body[1:] if ast.get_docstring(node) is not None else node.body
    return body[-1].end_lineno - body[0].lineno + 1 if body else 0


def python_files(root: Path, rooms: tuple[str, ...]) -> list[Path]:
    return sorted(path for room in rooms for path in (root / room).glob("**/*.py"))


def test_files_are_short(root, kept):
    lengths = {
        str(file): len((root / file).read_text().splitlines()) for file in kept if file.suffix == ".py"
    }
    assert lengths
    assert {file: lines for file, lines in lengths.items() if lines >= FILE_LINES} == {}


def test_functions_are_short(root, rooms):
    lengths = [
        (f"{path.relative_to(root)}: {name}", lines)
        for path in python_files(root, rooms)
        for name, lines in bodies(path.read_text())
    ]
    assert [long for long in lengths if long[1] > BODY_LINES] == []
    assert statistics.median(lines for _, lines in lengths) <= MEDIAN_LINES


def test_nothing_forbidden_is_written(root, kept):
    texts = [file for file in kept if file.suffix not in BYTES]
    assert [fault for file in texts for fault in text_faults(file, (root / file).read_text())] == []


def test_no_script_or_program_is_copied_in(kept):
    assert [file for file in kept if file.suffix in SCRIPTS or ".min." in file.name] == []


def test_every_room_is_marked_as_typed(kept, rooms):
    assert {Path(room, "py.typed") for room in rooms} <= set(kept)


def test_tests_stand_alone(kept):
    assert [file for file in kept if file.parts[0] == "tests" and file.name == "__init__.py"] == []


# The guards are seen failing.


@pytest.mark.parametrize(
    ("file", "line", "fault"),  # a ~ keeps each line from being a fault of this file; it is taken out
    [
        ("model/parts.py", "see https://example.org/home/page and a / b, 1/k", ""),
        ("model/parts.py", "see /~home/me/notes", "a path of one machine"),
        ("tests/laws/test_it.py", "open('/~work/x')", "a path of one machine"),
        ("README.md", "C:~\\Users", "a path of one machine"),
        ("README.md", "see .~./notes.md", "a path that leaves the project"),
        ("docs/a.md", "see ../README.md", ""),
        ("docs/a.md", "see ../.~./notes.md", "a path that leaves the project"),
        ("README.md", "order T1 of the rear axle", "a wheel order in shorthand"),
        ("examples/a.toml", "# P2 at 80 km/h", "a wheel order in shorthand"),
        ("README.md", "20 mg", "mg for an acceleration"),
        ("README.md", "20 milli-g, 20 kg", ""),
        ("app/templates/report.html", '<script src="https://cdn.example/x"></script>', "browser would fetch"),
        ("app/templates/report.html", '<a href="https://example.org">source</a>', ""),
    ],
)
def test_what_is_forbidden_is_seen(file, line, fault):
    found = list(text_faults(Path(file), line.replace("~", "")))
    assert len(found) == bool(fault)
    assert fault in "".join(found)


def test_lines_of_a_body_are_counted():
    source = (
        'def f(\n    a,\n):\n    """Long.\n\n    Text."""\n    b = [\n        a,\n    ]\n\n    return b\n'
    )
    assert bodies(source) == [("f", 5)]
    assert bodies('class A:\n    def g(self):\n        """Nothing."""\n') == [("g", 0)]
    long = "def f():\n" + "    a = 1\n" * (BODY_LINES + 1)
    assert bodies(long)[0][1] > BODY_LINES
