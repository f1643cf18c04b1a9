"""New files: all of them or none, whole or not there, and never over what lies there already."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterable, Mapping
from pathlib import Path

from ..model.faults import CounterbounceError, Fault


def refuse_existing(paths: Iterable[Path]) -> None:
    """Raises CounterbounceError, with a fault for each path where something lies already."""
    wanted = "is there already and is not written over: give another name, or move it away first"
    faults = [_fault(path, wanted) for path in paths if os.path.lexists(path)]
    if faults:
        raise CounterbounceError(faults)


def write_new(files: Mapping[Path, bytes]) -> None:
    """Write files where nothing lies yet, folders included; a failure or an interrupt leaves none of them.

    Raises CounterbounceError where something is there already, or where nothing can be written.
    """
    refuse_existing(files)
    made: list[Path] = []
    try:
        for path, content in files.items():
            made += _make_folders(path.parent)
            _place(path, content)
            made.append(path)
    except BaseException as error:
        _take_back(made)
        if isinstance(error, OSError):
            reason = error.strerror or str(error)
            raise _fault_error(path, f"cannot be written: {reason}") from None
        raise


def _place(path: Path, content: bytes) -> None:
    """Beside it first, then under its name: unlike a rename, a link never replaces what came in between."""
    beside = path.with_name(f".{path.name}-{os.getpid()}")
    try:
        with beside.open("xb") as stream:
            stream.write(content)
        try:
            os.link(beside, path)
        except FileExistsError:
            raise
        except OSError:  # a disc without links
            refuse_existing([path])
            beside.rename(path)
    finally:
        beside.unlink(missing_ok=True)


def _make_folders(folder: Path) -> list[Path]:
    """The folders that had to be made, outermost first."""
    absent = [one for one in (folder, *folder.parents) if not one.exists()]
    if folder.exists() and not folder.is_dir():  # or else it would be said that the new file exists
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR))
    folder.mkdir(parents=True, exist_ok=True)
    return absent[::-1]


def _take_back(made: list[Path]) -> None:
    for path in reversed(made):
        if path.is_dir():
            path.rmdir()
        else:
            path.unlink(missing_ok=True)


def _fault(path: Path, wanted: str) -> Fault:
    return Fault(str(path), None, "", "", wanted)


def _fault_error(path: Path, wanted: str) -> CounterbounceError:
    return CounterbounceError([_fault(path, wanted)])
