"""The wheel holds what the rooms and the examples hold, and nothing else."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

PROJECT = "counterbounce"
DATA = ("examples",)  # folders that are installed as they are, for `new --example`; no rooms


def the_wheel(folder: Path) -> Path:
    """The one that was built there."""
    (wheel,) = folder.glob("*.whl")
    return wheel


def build(root: Path, files: list[Path], folder: Path) -> set[str]:
    """Names in the wheel built from a clean copy of `files`: nothing is left over from an earlier build."""
    clean = folder / "clean"
    for file in files:
        (clean / file).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(root / file, clean / file)
    command = [
        sys.executable,
        "-m",
        "build",
        "--wheel",
        "--no-isolation",
        "--outdir",
        str(folder),
        str(clean),
    ]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return set(zipfile.ZipFile(the_wheel(folder)).namelist())


def differences(files: list[Path], folders: tuple[str, ...], wheel: set[str]) -> list[str]:
    """Where a wheel and some folders differ; beside them it may only hold the notes about itself."""
    wanted = {f"{PROJECT}/{file.as_posix()}" for file in files if file.parts[0] in folders}
    held = {name for name in wheel if not name.split("/")[0].endswith(".dist-info")}
    return sorted(
        [f"missing: {name}" for name in wanted - held] + [f"too many: {name}" for name in held - wanted]
    )


def packages_on_disk(files: list[Path], rooms: tuple[str, ...]) -> list[str]:
    """Every folder of the rooms that can be imported."""
    folders = {file.parent for file in files if file.parts[0] in rooms and file.suffix == ".py"}
    return sorted(".".join([PROJECT, *folder.parts]) for folder in folders)


@pytest.fixture(scope="module")
def built(root, kept, tmp_path_factory):
    """A folder with the project's wheel in it, and the names of what the wheel holds."""
    folder = tmp_path_factory.mktemp("wheel")
    return folder, build(root, kept, folder)


def test_the_wheel_holds_what_rooms_and_examples_hold(kept, rooms, built):
    _, wheel = built
    assert differences(kept, rooms + DATA, wheel) == []
    (notes,) = {name.split("/")[0] for name in wheel if ".dist-info" in name}
    assert {f"{notes}/entry_points.txt", f"{notes}/licenses/LICENSE"} <= wheel


def test_an_example_comes_out_of_the_wheel(root, built, tmp_path):
    """The wheel stands before this checkout on the path, so what is copied is what was packed."""
    zipfile.ZipFile(the_wheel(built[0])).extractall(tmp_path / "installed")
    code = "from counterbounce.app.new_case import EXAMPLES, new; print(EXAMPLES); new()"
    done = subprocess.run(
        [sys.executable, "-c", code, "--example", "engineer"],
        env={**os.environ, "PYTHONPATH": str(tmp_path / "installed")},
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(str(tmp_path / "installed" / PROJECT / "examples"))
    copied = {path.name: path.read_bytes() for path in (tmp_path / "engineer").iterdir()}
    kept = [path for path in (root / "examples" / "engineer").iterdir() if path.is_file()]
    assert copied == {path.name: path.read_bytes() for path in kept if path.suffix != ".svg"}


def test_every_package_is_listed(root, kept, rooms):
    setuptools = tomllib.loads((root / "pyproject.toml").read_text())["tool"]["setuptools"]
    data = [f"{PROJECT}.{folder}" for folder in DATA]
    assert sorted(setuptools["packages"]) == sorted(packages_on_disk(kept, rooms) + data)
    assert setuptools["package-dir"] == {f"{PROJECT}.{folder}": folder for folder in rooms + DATA}


def test_nothing_in_the_rooms_is_ignored(root, kept, rooms):
    """A folder called build/ would be left out of every clone by .gitignore, without a word."""
    found = {
        path.relative_to(root) for room in rooms for path in (root / room).glob("**/*") if path.is_file()
    }
    assert {path for path in found - set(kept) if "__pycache__" not in path.parts} == set()


# The guard is seen failing.


MADE_UP = """
[build-system]
requires = ["setuptools"]
build-backend = "setuptools.build_meta"
[project]
name = "counterbounce"
version = "0"
[tool.setuptools]
include-package-data = false
packages = ["counterbounce.model"]
py-modules = ["stray"]
[tool.setuptools.package-dir]
"counterbounce.model" = "model"
"""


@pytest.fixture
def made_up(tmp_path_factory):
    """A project with one listed package, one that is not, data that is not declared, and a stray module."""
    tree = tmp_path_factory.mktemp("made_up")
    (tree / "pyproject.toml").write_text(MADE_UP)
    files = ["model/__init__.py", "model/measured/__init__.py", "model/table.csv", "stray.py"]
    for file in files:
        (tree / file).parent.mkdir(parents=True, exist_ok=True)
        (tree / file).write_text("")
    return tree, [Path("pyproject.toml"), *map(Path, files)]


def test_what_a_wheel_forgets_or_adds_is_seen(made_up, tmp_path):
    tree, files = made_up
    assert differences(files, ("model",), build(tree, files, tmp_path)) == [
        "missing: counterbounce/model/measured/__init__.py",
        "missing: counterbounce/model/table.csv",
        "too many: stray.py",
    ]
    assert packages_on_disk(files, ("model",)) == ["counterbounce.model", "counterbounce.model.measured"]
