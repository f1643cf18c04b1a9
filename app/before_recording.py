"""The recording guide before the first recording: on the screen, and as a page to print."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING

from .blocks import Beside, Block, Paper, Points, Sheet, Text
from .folder import write_folder
from .papers import to_html
from .recording_guide import any_guide, recording_guide

if TYPE_CHECKING:
    from rich.console import Console

ANY = "any vehicle"


def guide_of(case: str | None, circumference: float | None = None) -> Paper:
    """The guide of a vehicle: of its case file, or of any vehicle.

    circumference  [m] rolling, where there is no case; None: a usual one

    Raises CounterbounceError with the faults of the case.

    >>> guide_of(None).title
    'Recording guide'
    """
    if case is None:
        return any_guide(
            ANY, f"counterbounce {version('counterbounce')}; no recording, no case.", circumference
        )
    from ..model.case import load
    from ..sizing.assess import assess

    return recording_guide(assess(load(case)))


def write_guide(page: Paper, folder: Path | None) -> None:
    """Print a guide and, where a folder is given, write it there as a page.

    Raises CounterbounceError where the folder holds what we did not write, or cannot be written.
    """
    from . import writing

    if folder is not None:
        write_folder(folder, {f"{page.file}.html": to_html(page).encode()})
    on = writing.console()
    writing.heading(on, page.title, page.case)
    for block in page.blocks:
        _print(on, block)
    _print(on, Points("Before any drive", page.cautions))
    if folder is not None:
        on.print()
        on.print(f"To print: {folder / page.file}.html", soft_wrap=True, markup=False)


def _print(on: Console, block: Block) -> None:
    """One block of a guide as text; what is filled in by hand belongs to the page."""
    for title, lines in _told(block):
        on.print()
        on.print(title, style="bold", markup=False)
        for line in lines:
            on.print(f"- {line}", markup=False)


def _told(block: Block) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Headings with the sentences below them."""
    if isinstance(block, Beside):
        for part in (*block.left, *block.right):
            yield from _told(part)
    elif isinstance(block, Points):
        yield block.title, block.items
    elif isinstance(block, Sheet):
        yield block.title, (*(f"{place}, {way}: {why}" for _, place, way, why, *_ in block.rows), block.note)
    elif isinstance(block, Text):
        yield block.lead, (block.words,)
