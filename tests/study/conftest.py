"""The study's functions, for its tests: the script is loaded as it is run, its simulator beside it."""

from __future__ import annotations

import importlib
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def study():
    """The module of `confusion.py`."""
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(str(Path(__file__).parent))
        return importlib.import_module("confusion")


@pytest.fixture(scope="session")
def calibration():
    """The module of `calibration.py`."""
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(str(Path(__file__).parent))
        return importlib.import_module("calibration")


@pytest.fixture(scope="session")
def reads(study):
    """A small share of the study's rides, five of each story; their seeds are not those of the fit."""
    return [study.read(seed) for seed in range(45)]
