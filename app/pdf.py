"""The papers as one PDF, by Typst, which is an extra."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from dataclasses import asdict
from importlib.resources import files
from importlib.util import find_spec
from tempfile import TemporaryDirectory

import click

from ..model.faults import CounterbounceError, Fault
from .blocks import Paper
from .figures import font_folder

PAPERS = "papers.pdf"


def ready_for_pdf(report: bool) -> None:
    """What --pdf needs, looked at before any work: a report for the papers to lie in, and Typst."""
    if not report:
        raise click.UsageError("--pdf goes into a report, and none is asked for: give --out FOLDER")
    require_typst()


def require_typst() -> None:
    """Raise CounterbounceError with the one line that installs Typst, where it is not there."""
    if find_spec("typst") is None:
        line = f'python3 -m pip --python "{sys.executable}" install "typst>=0.13"'
        raise CounterbounceError([Fault("", None, "--pdf", "", f"it needs Typst; this installs it: {line}")])


def to_pdf(papers: Sequence[Paper]) -> bytes:
    """All papers as one PDF, a page each: the same bytes for the same papers.

    Raises CounterbounceError where Typst is not installed.

    What comes from a case reaches Typst as data, so nothing in it can be read as markup.
    """
    require_typst()
    import typst

    told = json.dumps([asdict(one) for one in papers])
    layout = files("counterbounce.app").joinpath("templates/papers.typ").read_bytes()
    with TemporaryDirectory() as empty:  # nothing lies there that a layout could read
        compiler = typst.Compiler(root=empty, font_paths=[font_folder()], ignore_system_fonts=True)
        made = compiler.compile(layout, format="pdf", sys_inputs={"papers": told})
    assert isinstance(made, bytes)
    return made
