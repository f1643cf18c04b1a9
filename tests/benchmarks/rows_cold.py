"""The rows of whole commands, started cold."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from bench import CASE, Bench, Row, medians


def help_text(_: Bench) -> Row:
    bare = [sys.executable, "-c", "pass"]
    ours = [str(Path(sys.executable).parent / "counterbounce"), "--help"]
    times = medians(lambda: run(ours), lambda: run(bare), 9)
    return Row(11, "counterbounce --help", "python -c pass", *times, 0.0, 1 / 8, 1.0)


def cold_assess(_: Bench) -> Row:
    """Not a ratio: 3 s is the peer."""
    with tempfile.TemporaryDirectory() as folder:
        command = [str(Path(sys.executable).parent / "counterbounce"), "assess", str(CASE), "--out"]
        turns = iter(range(100))
        ours, _ = medians(lambda: run([*command, f"{folder}/{next(turns)}"]), lambda: None, 3)
    return Row(
        13, "assess on the bending-frame example, report included, cold", "3 s", ours, 3.0, 0.0, 1.0, 1.0
    )


def run(command: list[str]) -> None:
    subprocess.run(command, check=True, capture_output=True)
