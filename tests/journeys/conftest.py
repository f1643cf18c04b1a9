"""Rides that journeys share with the studies: their script is loaded as it is run there."""

from __future__ import annotations

import importlib
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def drives():
    """The function that drives a vehicle in a computer."""
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(str(Path(__file__).parents[1] / "study"))
        return importlib.import_module("driven").driven
