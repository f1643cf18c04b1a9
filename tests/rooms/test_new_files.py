"""New files: all or none, whole or not there, never over others."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from counterbounce.app.new_files import refuse_existing, write_new
from counterbounce.model.faults import CounterbounceError


def left(folder):
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*"))


def test_files_and_their_folders_are_made(tmp_path):
    write_new({tmp_path / "a" / "b" / "one.toml": b"1", tmp_path / "two.toml": b"2"})
    assert left(tmp_path) == ["a", "a/b", "a/b/one.toml", "two.toml"]
    assert (tmp_path / "a" / "b" / "one.toml").read_bytes() == b"1"
    mode = stat.S_IMODE((tmp_path / "two.toml").stat().st_mode)
    (tmp_path / "plain").touch()
    assert mode == stat.S_IMODE((tmp_path / "plain").stat().st_mode)


@pytest.mark.parametrize("kind", ["file", "folder", "broken link"])
def test_each_thing_in_the_way_is_named_and_nothing_is_written(tmp_path, kind):
    here = tmp_path / "one.toml"
    {
        "file": lambda: here.write_text("mine"),
        "folder": here.mkdir,
        "broken link": lambda: here.symlink_to(tmp_path / "nowhere"),
    }[kind]()
    (tmp_path / "two.toml").write_text("mine")
    with pytest.raises(CounterbounceError) as found:
        write_new({tmp_path / "new.toml": b"", here: b"", tmp_path / "two.toml": b""})
    assert [Path(fault.file).name for fault in found.value.faults] == ["one.toml", "two.toml"]
    assert left(tmp_path) == ["one.toml", "two.toml"]
    refuse_existing([tmp_path / "new.toml"])


def test_a_folder_that_is_a_file_is_a_fault(tmp_path):
    (tmp_path / "a").write_text("mine")
    with pytest.raises(CounterbounceError, match="cannot be written: Not a directory"):
        write_new({tmp_path / "a" / "one.toml": b"1"})
    assert left(tmp_path) == ["a"]


@pytest.mark.parametrize("failure", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_a_failure_or_an_interrupt_takes_all_back(tmp_path, monkeypatch, failure):
    write, calls = os.link, []

    def fail_at_the_second(*arguments):
        calls.append(arguments)
        if len(calls) == 2:
            raise failure
        write(*arguments)

    monkeypatch.setattr(os, "link", fail_at_the_second)
    monkeypatch.setattr(Path, "rename", lambda *_: (_ for _ in ()).throw(failure))
    with pytest.raises((CounterbounceError, KeyboardInterrupt)) as found:
        write_new({tmp_path / "a" / "one.toml": b"1", tmp_path / "a" / "two.toml": b"2"})
    assert "No space left" in str(found.value) or isinstance(found.value, KeyboardInterrupt)
    assert left(tmp_path) == []


def test_what_comes_in_between_is_not_written_over(tmp_path, monkeypatch):
    """Somebody makes the file after we looked: it is theirs."""
    path, really = tmp_path / "one.toml", os.link

    def too_late(source, target):
        path.write_text("theirs")
        really(source, target)

    monkeypatch.setattr(os, "link", too_late)
    with pytest.raises(CounterbounceError, match="cannot be written: File exists"):
        write_new({path: b"ours"})
    assert path.read_text() == "theirs"
    assert left(tmp_path) == ["one.toml"]


def test_a_disc_without_links_will_do(tmp_path, monkeypatch):
    def no_links(*_):
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    write_new({tmp_path / "one.toml": b"1"})
    assert left(tmp_path) == ["one.toml"]
    assert (tmp_path / "one.toml").read_bytes() == b"1"
