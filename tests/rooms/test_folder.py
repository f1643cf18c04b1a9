"""A folder of results is whole or absent, and never lies over what is not ours."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from counterbounce.app.folder import MARKER, write_folder
from counterbounce.model.faults import CounterbounceError

FILES = {"a.txt": b"one", "b.txt": b"two"}


def told(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir() if p.name != MARKER}


def test_what_is_written_is_there_and_nothing_beside(tmp_path):
    write_folder(tmp_path / "new" / "deeper", FILES)
    assert told(tmp_path / "new" / "deeper") == FILES
    assert [p.name for p in (tmp_path / "new").iterdir()] == ["deeper"]


def test_an_earlier_one_of_ours_is_replaced_whole(tmp_path):
    write_folder(tmp_path / "out", FILES)
    write_folder(tmp_path / "out", {"c.txt": b"three"})
    assert told(tmp_path / "out") == {"c.txt": b"three"}
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_an_empty_folder_may_be_filled(tmp_path):
    (tmp_path / "out").mkdir()
    write_folder(tmp_path / "out", FILES)
    assert told(tmp_path / "out") == FILES


@pytest.mark.parametrize("marked", [False, True])
def test_foreign_files_stay_as_they_are(tmp_path, marked):
    """Whether the folder was never ours, or was and someone put a note into it."""
    folder = tmp_path / "out"
    if marked:
        write_folder(folder, FILES)
    folder.mkdir(exist_ok=True)
    (folder / "notes.txt").write_text("mine")
    before = told(folder)
    with pytest.raises(CounterbounceError, match=r"did not write"):
        write_folder(folder, {"c.txt": b"three"})
    assert told(folder) == before
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_a_marker_that_is_no_list_does_not_make_files_ours(tmp_path):
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / MARKER).write_text("not ours")
    (folder / "notes.txt").write_text("mine")
    with pytest.raises(CounterbounceError, match=r"notes\.txt"):
        write_folder(folder, FILES)


@pytest.mark.parametrize("kind", ["file", "link"])
def test_only_a_folder_is_replaced(tmp_path, kind):
    there = tmp_path / "out"
    if kind == "file":
        there.write_text("mine")
    else:
        (tmp_path / "real").mkdir()
        there.symlink_to(tmp_path / "real")
    with pytest.raises(CounterbounceError, match=r"is no folder.*--out"):
        write_folder(there, FILES)
    assert there.is_symlink() == (kind == "link")


def test_nothing_is_left_after_a_failure(tmp_path):
    write_folder(tmp_path / "out", FILES)
    with pytest.raises(CounterbounceError, match="cannot be written"):
        write_folder(tmp_path / "out", {"fine.txt": b"1", "no/such/folder.txt": b"2"})
    assert told(tmp_path / "out") == FILES
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_the_old_one_comes_back_when_the_new_one_cannot_take_its_place(tmp_path, monkeypatch):
    write_folder(tmp_path / "out", FILES)
    rename, target = Path.rename, tmp_path / "out"

    def refuse(self, to):
        if Path(to) == target and not (self / "a.txt").exists():
            raise OSError(28, "No space left on device")
        return rename(self, to)

    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(CounterbounceError, match="No space left on device"):
        write_folder(target, {"c.txt": b"three"})
    assert told(target) == FILES
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_a_place_where_nothing_can_be_written_is_said_so(tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(CounterbounceError, match="cannot be written"):
        write_folder(tmp_path / "file" / "out", FILES)


def test_others_may_read_it_as_far_as_the_umask_lets_them(tmp_path):
    old = os.umask(0o027)
    try:
        write_folder(tmp_path / "out", FILES)
    finally:
        os.umask(old)
    assert (tmp_path / "out").stat().st_mode & 0o777 == 0o750
