"""Where each key of a TOML file stands: the reader of the language itself does not say.

The text has been accepted as TOML before, so that this needs to follow its brackets and strings only.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping

Key = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}(?!")|' + r"'''.*?'{3,5}(?!')" + r'|"(?:[^"\\\n]|\\.)*"' + r"|'[^'\n]*'",
    re.DOTALL,
)
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BARE_VALUE = re.compile(r"[^,\]}#\n]*")


def key_lines(text: str) -> dict[Key, int]:
    """Line, counted from 1, of every key, table and list item of a TOML text.

    >>> lines = key_lines('[axle.rear]\\nload = "2 t"\\n[[body]]\\n[[body]]\\nmounts = [{rate = 1}]')
    >>> lines["axle", "rear", "load"], lines["body", 0], lines["body", 1, "mounts", 0, "rate"]
    (2, 3, 5)
    """
    scanner = _Scanner(text)
    scanner.scan()
    return scanner.lines


def line_of(lines: Mapping[Key, int], key: Key) -> int | None:
    """The line of a key, or of the nearest table around it."""
    return next((lines[key[:n]] for n in range(len(key), 0, -1) if key[:n] in lines), None)


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text, self.at = text, 0
        self.newlines = [i for i, c in enumerate(text) if c == "\n"]
        self.lines: dict[Key, int] = {}
        self.counts: dict[Key, int] = {}  # items of each array of tables so far

    def scan(self) -> None:
        table: Key = ()
        while self.skip(_BLANK).at < len(self.text):
            start = self.at
            if self.text.startswith("[", self.at):
                table = self.header()
            else:
                self.pair(table)
            if self.at == start:  # not TOML after all
                return

    def skip(self, pattern: re.Pattern[str]) -> _Scanner:
        found = pattern.match(self.text, self.at)
        self.at = found.end() if found else self.at
        return self

    def take(self, character: str) -> bool:
        if self.text.startswith(character, self.at):
            self.at += 1
            return True
        return False

    def note(self, key: Key) -> None:
        self.lines.setdefault(key, bisect_right(self.newlines, self.at - 1) + 1)

    def key(self) -> list[str]:
        """A dotted key, and the scanner behind it."""
        parts: list[str] = []
        while True:
            self.skip(_SPACE)
            found = _STRING.match(self.text, self.at) or _BARE_KEY.match(self.text, self.at)
            if not found:
                return parts
            parts.append(_unquoted(found[0]))
            self.at = found.end()
            self.skip(_SPACE)
            if not self.take("."):
                return parts

    def header(self) -> Key:
        self.take("[")
        many = self.take("[")
        start, parts = self.at, self.key()
        end, self.at = self.at, start
        path: Key = ()
        for n, part in enumerate(parts):
            path = (*path, part)
            self.note(path)
            last = n == len(parts) - 1
            if last and many:
                self.counts[path] = self.counts.get(path, 0) + 1
            if path in self.counts:
                path = (*path, self.counts[path] - 1)
                self.note(path)
        self.at = end
        while self.take("]") or self.take(" "):
            pass
        return path

    def pair(self, table: Key) -> None:
        start, parts = self.at, self.key()
        end, self.at = self.at, start
        for n in range(len(parts)):
            self.note((*table, *parts[: n + 1]))
        self.at = end
        if self.take("="):
            self.skip(_SPACE)
            self.value((*table, *parts))

    def value(self, path: Key) -> None:
        found = _STRING.match(self.text, self.at)
        if found:
            self.at = found.end()
        elif self.take("["):
            self.items(path)
        elif self.take("{"):
            self.inline(path)
        else:
            self.skip(_BARE_VALUE)

    def items(self, path: Key) -> None:
        count = 0
        while not self.skip(_BLANK).take("]") and self.at < len(self.text):
            start = self.at
            self.note((*path, count))
            self.value((*path, count))
            self.skip(_BLANK).take(",")
            count += 1
            if self.at == start:
                return

    def inline(self, path: Key) -> None:
        while not self.skip(_BLANK).take("}") and self.at < len(self.text):
            start = self.at
            self.pair(path)
            self.skip(_BLANK).take(",")
            if self.at == start:
                return


def _unquoted(key: str) -> str:
    if key[0] == "'":
        return key[1:-1]
    if key[0] != '"':
        return key
    import tomllib

    try:
        return str(tomllib.loads(f"key = {key}")["key"])
    except ValueError:
        return key[1:-1]
