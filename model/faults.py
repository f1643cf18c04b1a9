"""Every fault of an input at once: where, what came, what was wanted, the nearest known name, an example."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches


@dataclass(frozen=True)
class Fault:
    """One thing wrong with one input; `line` counts from 1 and is None where no line is to blame.

    Where one of a few names was wanted, `choices` holds them and `wanted` says so without them.

    >>> print(Fault("van.toml", 7, "axle.rear.lod", "'2 t'", "no such key here", near="load"))
    van.toml:7: axle.rear.lod = '2 t': no such key here; did you mean "load"?
    >>> print(Fault("", None, "spring", "'lef'", "wanted one of", "leaf", choices=("leaf", "coil")))
    spring = 'lef': wanted one of leaf, coil; did you mean "leaf"?
    """

    file: str
    line: int | None
    key: str
    given: str
    wanted: str
    near: str = ""
    example: str = ""
    choices: tuple[str, ...] = ()

    def __str__(self) -> str:
        place = self.file if self.line is None else f"{self.file}:{self.line}"
        subject = f"{self.key} = {self.given}" if self.key and self.given else self.key or self.given
        wanted = f"{self.wanted} {', '.join(self.choices)}".rstrip()
        text = ": ".join(part for part in (place, subject, wanted) if part)
        if self.near:
            text += f'; did you mean "{self.near}"?'
        return text + (f"; for example {self.example}" if self.example else "")


class CounterbounceError(Exception):
    """All that is wrong with an input, one fault a line.

    >>> print(CounterbounceError([Fault("van.toml", 3, "note", "7", "wanted words in quotes")]))
    1 fault:
      van.toml:3: note = 7: wanted words in quotes
    """

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__(self.faults)

    def __str__(self) -> str:
        count = len(self.faults)
        heading = "1 fault:" if count == 1 else f"{count} faults:"
        return "\n  ".join([heading, *map(str, self.faults)])


def nearest(word: str, words: Iterable[str]) -> str:
    """The known name that is most like `word`, or nothing where none is close; capitals do not count.

    >>> nearest("unsprung_mas", ["load", "unsprung_mass"]), nearest("xyz", ["load"])
    ('unsprung_mass', '')
    """
    known = {name.casefold(): name for name in words}
    close = get_close_matches(
        word.casefold()[:100], known, n=1
    )  # a longer word than that is no slip of the pen
    return known[close[0]] if close else ""
