"""A file's bytes, text and TOML tables, or the one reason why there are none."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from ..faults import CounterbounceError, Fault, nearest

LARGEST = 500_000  # bytes of a case file
DEEPEST = 8  # tables in tables
MOST = 4000  # keys and items of lists


def _single(file: str, line: int | None, wanted: str, near: str = "") -> CounterbounceError:
    return CounterbounceError([Fault(file, line, "", "", wanted, near)])


def read_bytes(file: Path) -> bytes:
    """The bytes of a file, and one more than the most allowed of a longer one.  Raises CounterbounceError."""
    try:
        if file.is_dir():
            raise _single(str(file), None, "a directory, wanted a case file (.toml)")
        if not file.exists():
            siblings = [other.name for other in file.parent.iterdir()] if file.parent.is_dir() else []
            raise _single(str(file), None, "no such file", nearest(file.name, siblings))
        if not file.is_file():
            raise _single(str(file), None, "not a file, wanted a case file (.toml)")
        with file.open("rb") as stream:
            return stream.read(LARGEST + 1)
    except (OSError, ValueError) as error:  # a path may hold a null byte
        raise _single(str(file), None, f"cannot be read: {error}") from None


def decoded(data: bytes, file: str) -> str:
    """The text of a file's bytes.  Raises CounterbounceError."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise _single(file, line, "not text in UTF-8: save it as UTF-8") from None


def read_tables(text: str, file: str) -> dict[str, Any]:
    """The tables of a TOML text.  Raises CounterbounceError."""
    if len(text) > LARGEST:
        raise _single(file, None, f"longer than {LARGEST // 1000} kB: this is no case file")
    if not text.strip():
        raise _single(file, None, "empty, wanted a case file with at least a name and one axle")
    try:
        raw = tomllib.loads(text)
    except RecursionError:
        raise _single(file, None, f"tables in tables more than {DEEPEST} deep") from None
    except ValueError as error:  # its own error, or that of a number of thousands of digits
        found = re.search(r"\s*\(at line (\d+), column (\d+)\)", str(error))
        words = str(error).replace(found[0], f" in column {found[2]}") if found else str(error)
        line = int(found[1]) if found else text.count("\n") + 1 if "end of document" in words else None
        raise _single(file, line, f"not TOML: {words}"[:300]) from None
    _check_size(raw, file)
    return raw


def _check_size(raw: dict[str, Any], file: str) -> None:
    """Refuses what no person would write, before anything looks at it key by key."""
    level: list[Any] = [raw]
    depth = count = 0
    while level:
        depth += 1
        inner = [value for item in level for value in (item.values() if isinstance(item, dict) else item)]
        count += len(inner)
        if depth > DEEPEST:
            raise _single(file, None, f"tables in tables more than {DEEPEST} deep")
        if count > MOST:
            raise _single(file, None, f"more than {MOST} keys and items: this is no case file")
        level = [value for value in inner if isinstance(value, dict | list)]
