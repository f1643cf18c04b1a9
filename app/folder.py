"""A folder of results: written beside and renamed, so whole or absent; never over foreign files."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from ..model.faults import CounterbounceError, Fault

MARKER = ".counterbounce"  # lists the files that we wrote: what else lies there is not ours


def write_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files into a folder of their own, in one step; an earlier one of ours is replaced.

    Raises CounterbounceError where something that is not ours is there, or where nothing can be written.
    """
    folder = Path(os.path.abspath(folder))
    try:
        _refuse_foreign(folder)
        folder.parent.mkdir(parents=True, exist_ok=True)
        beside = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
        try:
            _fill(beside, files)
            _swap(beside, folder)
        finally:
            shutil.rmtree(beside, ignore_errors=True)
    except OSError as error:
        reason = error.strerror or str(error)
        raise _fault(folder, f"cannot be written: {reason}") from None


def _fill(beside: Path, files: Mapping[str, bytes]) -> None:
    for name, content in files.items():
        (beside / name).write_bytes(content)
    (beside / MARKER).write_text(json.dumps(sorted(files)) + "\n", encoding="utf-8")
    beside.chmod(0o777 & ~_umask())  # made for its owner only; a result is like any other file


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _swap(beside: Path, folder: Path) -> None:
    """Put the new folder in place of the old one; the old one comes back if that fails."""
    if not folder.exists():
        beside.rename(folder)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
    folder.rename(old)  # an empty folder may be renamed over
    try:
        beside.rename(folder)
    except BaseException:
        old.rename(folder)
        raise
    shutil.rmtree(old, ignore_errors=True)


def _refuse_foreign(folder: Path) -> None:
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise _fault(folder, "is no folder: give another place with --out")
    if not folder.is_dir():
        return
    there = {item.name for item in folder.iterdir()}
    if not there:
        return
    if MARKER not in there:
        raise _fault(folder, "holds files that counterbounce did not write: give another place with --out")
    foreign = sorted(there - {MARKER, *_listed(folder)})
    if foreign:
        raise _fault(
            folder,
            f"also holds {', '.join(foreign[:5])}, which counterbounce did not write: move it away first",
        )


def _listed(folder: Path) -> list[str]:
    try:
        listed = json.loads((folder / MARKER).read_text(encoding="utf-8"))
    except ValueError:
        return []
    return [str(name) for name in listed] if isinstance(listed, list) else []


def _fault(folder: Path, wanted: str) -> CounterbounceError:
    return CounterbounceError([Fault(str(folder), None, "", "", wanted)])
