"""What the guards share: the rooms, and the files that belong to the project."""

from __future__ import annotations

import os
from pathlib import Path

import pathspec
import pytest

ROOT = Path(__file__).parents[2]


def files_of(tree: Path) -> list[Path]:
    """Files below `tree` that its .gitignore lets in, relative to it: a clone, and what was added since."""
    lines = (tree / ".gitignore").read_text().splitlines()
    ignored = pathspec.GitIgnoreSpec.from_lines([*lines, ".git"])
    found = []
    for folder, inner, names in os.walk(tree):
        here = Path(folder).relative_to(tree)
        inner[:] = [name for name in inner if not ignored.match_file(f"{here / name}/")]
        found += [here / name for name in names if not ignored.match_file(str(here / name))]
    return sorted(found)


@pytest.fixture(scope="session")
def root() -> Path:
    """The project's folder."""
    return ROOT


@pytest.fixture(scope="session")
def rooms() -> tuple[str, ...]:
    """The rooms, in reading order."""
    return ("model", "sizing", "app")


@pytest.fixture(scope="session")
def kept() -> list[Path]:
    """The project's files, relative to its folder."""
    return files_of(ROOT)
