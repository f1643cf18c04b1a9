"""What is being done, said while it is done."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress() -> Iterator[Callable[[str], None]]:
    """What is being done, on a terminal's standard error; silence where that is not a terminal."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console

    with Console(stderr=True).status("reading the case") as status:
        yield lambda words: status.update(words)
