"""What a person found without instruments, out of the tables of a case file."""

from __future__ import annotations

from collections.abc import Mapping

from ..observations import CHECKS, USUAL_PLACE, USUAL_WEIGHT, WEIGHT, Observation
from .schema import CaseFile, ObservationTable


def checks_of(file: CaseFile) -> Mapping[str, str]:
    """The walk round: good or bad, for what was looked at."""
    return {name: answer for name in CHECKS if (answer := getattr(file.checks, name)) is not None}


def observations_of(file: CaseFile) -> tuple[Observation, ...]:
    """What was tried, in the order of the file; a weight without mass or place is the usual one."""
    return tuple(_observation(table) for table in file.observation)


def _observation(table: ObservationTable) -> Observation:
    band = None if table.speed is None else (table.speed.from_.value, table.speed.to.value)
    weight = table.change == WEIGHT
    mass = table.mass.value if table.mass else USUAL_WEIGHT
    place = table.at or USUAL_PLACE
    return Observation(
        table.change,
        table.result,
        band,
        mass if weight else None,
        place if weight else None,
        table.note,
        table.frequency.value if table.frequency else None,
    )
