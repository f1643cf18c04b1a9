"""`counterbounce --help` loads nothing heavy: a library is imported by the command that uses it."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

HEAVY = {"numpy", "scipy", "pint", "pydantic", "sympy", "matplotlib", "jinja2", "rich", "numba"}
ASK = """
import json, sys
sys.argv = ["counterbounce", *sys.argv[1:]]
try:
    {entry}
except SystemExit as ended:
    assert not ended.code, ended.code
print(json.dumps(sorted(sys.modules)))
"""


def loaded(entry: str, *arguments: str) -> tuple[str, set[str]]:
    """What a fresh interpreter prints, and the libraries it holds, after `entry` has run."""
    command = [sys.executable, "-c", ASK.format(entry=entry), *arguments]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    said, _, modules = done.stdout.rstrip().rpartition("\n")
    return said, {name.partition(".")[0] for name in json.loads(modules)}


def test_help_loads_nothing_heavy():
    said, modules = loaded("from counterbounce.app.cli import main; main()", "--help")
    assert "assess" in said
    assert "click" in modules
    assert modules & HEAVY == set()


@pytest.mark.parametrize("library", ["numpy", "rich"])
def test_a_heavy_import_is_seen(library):
    said, modules = loaded(f"import {library}; print('hello'); sys.exit(0)")
    assert said == "hello"
    assert modules & HEAVY == {library}
