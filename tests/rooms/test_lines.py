"""Where each key of a TOML text stands."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from counterbounce.model.casefile.lines import key_lines

FILES = sorted((Path(__file__).parents[1] / "cases").glob("**/*.toml"))
GOOD = [file.read_text(encoding="utf-8") for file in FILES]


def test_whatever_lines_are_found_are_those_of_the_file():
    """Every key of every good file is found, and on a line that names it."""
    for text in GOOD:
        lines = key_lines(text)
        rows = text.split("\n")
        found = list(_keys(tomllib.loads(text)))
        assert set(found) <= set(lines)
        for key in found:
            names = [part for part in key if isinstance(part, str)]
            assert names[-1] in rows[lines[key] - 1] or isinstance(key[-1], int)


def _keys(value: object, path: tuple[str | int, ...] = ()):
    if path:
        yield path
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from _keys(inner, (*path, name))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _keys(inner, (*path, index))


@pytest.mark.parametrize(
    ("text", "key", "line"),
    [
        ('a = """\nb = 1\n"""\nb = 2', ("b",), 4),
        ("a = '''\nb = 1\n'''\nb = 2", ("b",), 4),
        ('a = "x # y = [" # c = 1\nc = 2', ("c",), 2),
        ('a = "\\"" \nc = 2', ("c",), 2),
        ("a = [\n  1, # x\n  2,\n]\nc = 2", ("a", 1), 3),
        ("a = [\n  1, # x\n  2,\n]\nc = 2", ("c",), 5),
        ("[x]\ny.z = 1\n[[x.w]]\n[[x.w]]\nq = 1", ("x", "w", 1, "q"), 5),
        ("[x]\ny.z = 1", ("x", "y", "z"), 2),
        ('["a b".\'c.d\']\n"e\\u0041" = 1', ("a b", "c.d", "eA"), 2),
        ("[[x]]\n[x.y]\nz = 1\n[[x]]\n[x.y]\nz = 2", ("x", 1, "y", "z"), 6),
        ("a = { b = [ { c = 1 }, { c = 2 } ], d = 3 }\ne = 1", ("e",), 2),
        ("a = 1979-05-27 07:32:00\nb = 1", ("b",), 2),
    ],
)
def test_lines_of_keys(text, key, line):
    tomllib.loads(text)
    assert key_lines(text)[key] == line
