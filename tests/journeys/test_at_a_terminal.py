"""A person at a real terminal, who is asked for a starter case; nothing here stands in for the terminal."""

from __future__ import annotations

import os
import select
import signal
import sys

import pytest

pty = pytest.importorskip("pty", reason="no terminals of this kind here")
# Newer Pythons warn of a fork beside threads; this one is another program at once.
pytestmark = pytest.mark.filterwarnings("ignore:.*forkpty:DeprecationWarning")
CTRL_C = "\x03"
PATIENCE = 30  # times that nothing came for a second
START = """
from counterbounce.app import cli, new_case
cli.cli.commands.setdefault("new", new_case.new)
cli.main()
"""


def sit_down(folder, *typed):
    """What the terminal shows, and the exit code; each text is typed when a prompt waits for it."""
    child, terminal = pty.fork()
    if child == 0:
        os.chdir(folder)
        os.execv(sys.executable, [sys.executable, "-c", START, "new", "a.toml"])
    shown, waiting, typing, stalls = b"", list(typed), "", 0
    while stalls < PATIENCE:
        if not select.select([terminal], [], [], 1.0)[0]:
            stalls += 1
            if typing == CTRL_C:  # one that comes just before the read is seen at the next: press it again
                os.write(terminal, typing.encode())
            continue
        try:
            read = os.read(terminal, 4096)
        except OSError:  # how Linux says that the other side has left
            read = b""
        if not read:
            break
        shown += read
        if shown.endswith(b"\n> ") and waiting:
            typing = waiting.pop(0)
            os.write(terminal, typing.encode())
    else:
        os.kill(child, signal.SIGKILL)
    os.close(terminal)
    return shown.decode().replace("\r\n", "\n"), os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def test_questions_are_asked_until_the_file_is_there(tmp_path):
    shown, code = sit_down(tmp_path, "141\n", "141 in\n", "3300 lb\n", "3900 lb\n", *["\n"] * 40)
    assert code == 0
    assert "kept in m (the unit is missing)" in shown
    assert shown.count("\n> ") >= 10
    assert 'wheelbase = "141 in (measured: tape)"' in (tmp_path / "a.toml").read_text(encoding="utf-8")


def test_ctrl_c_leaves_nothing(tmp_path):
    shown, code = sit_down(tmp_path, "141 in\n", CTRL_C)
    assert code == 130
    assert shown.endswith("interrupted\n")
    assert "Traceback" not in shown
    assert list(tmp_path.iterdir()) == []
