"""Keys of what was measured on the whole vehicle, and of what a calibration left behind."""

from __future__ import annotations

import re
from math import pi
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from ..datum import Condition
from ..units import UnitFault, Wants, read, shorten
from .kinds import Prose, Table, Word, key, needed


def phase_of(text: str) -> float:
    """A phase as written [rad]: "180 deg", "-90°" or "1.2 rad".  Raises UnitFault.

    >>> round(phase_of("180 deg"), 4), phase_of("-0.2 rad")
    (3.1416, -0.2)
    """
    found = re.fullmatch(r"\s*([+-]?[0-9]+\.?[0-9]*)\s*(deg|°|rad)\s*", text.replace("−", "-"))
    if not found:
        raise UnitFault(shorten(text), "wanted an angle", example='"180 deg"')
    return float(found[1]) * (1.0 if found[2] == "rad" else pi / 180)


def _phase(text: str) -> str:
    """The phase as written, once it has been understood."""
    phase_of(text)
    return text


class ShapeTable(Table):
    """How one point moves in a shake, beside the others: `level` [any unit, the same for all]."""

    point: Word = needed("its name", "rear end")
    level: Annotated[float, Field(gt=0, lt=1e9)] = needed("how much it moves, in any unit", 1.0)
    phase: Annotated[Word, AfterValidator(_phase)] = key("against the others", "0 deg", "180 deg")


class EvidenceTable(Table):
    """One thing that was measured on the whole vehicle: it corrects the numbers that it depends on.

    `value` is as it was written, with its own [unit].
    """

    what: Literal[
        "natural frequency", "damping ratio", "effective mass", "critical speed", "shape", "axle load",
        "rolling circumference",
    ] = needed("what was measured", "natural frequency")  # fmt: skip
    value: str | float | None = key(
        "what it is, with its unit and ±; none for a shape", None, "8.7 Hz ± 0.1 Hz"
    )
    mode: Word | None = key("of which it is; where left out, whichever agrees", None, "frame bending 1")
    shake: Word | None = key("any word: evidence with the same word is of one mode", None, "the bad one")
    at: Word | None = key("point at which an effective mass was found", None, "rear end")
    axle: Word | None = key("that was weighed or rolled", None, "rear")
    cause: Word | None = key("of a critical speed, as an answer calls it", None, "wheel order 1, rear axle")
    shape: list[ShapeTable] = key("points that move together", [], max_length=50)
    condition: Condition = key(
        "rolling, or at a standstill, where leaves are locked", "rolling", "standstill"
    )
    counted: bool = key("whether the numbers of this file agree with it already", False, True)
    note: Prose = key("anything a reader should know", "", "weight snapped off the rear end")


Share = Annotated[float, Field(ge=-1, le=1)]


class CalibratedTable(Table):
    """What a calibration leaves beside the numbers that it corrected; `ties` [-]."""

    felt: bool = key("whether they rest on what was felt alone", False, True)
    words: Prose = key("what the evidence was taken for", "", "natural frequency: frame bending 1")
    ties: dict[str, dict[str, Share]] = key("correlations of the corrected numbers", {}, max_length=500)
    recordings: list[Word] = key("SHA-256 of the recordings that they rest on", [], max_length=500)
    doubt: Prose = key(
        "what these recordings said against a damper", "", "the driveline swings along with it"
    )


def understood(text: str | float | None, wants: Wants) -> UnitFault | None:
    """Why a value is none of the kind wanted; None where it is.

    text  as written [any unit]

    >>> understood("8.7 Hz", Wants("Hz", "8.7 Hz")) is None, understood(8.7, Wants("Hz", "8.7 Hz")).hint
    (True, 'a bare number has no unit')
    """
    try:
        if text is None:
            raise UnitFault("", "needed here, and missing", example=f'value = "{wants.example}"')
        read(text, wants)
    except UnitFault as fault:
        return UnitFault(shorten(text), fault.wanted, near=fault.near, example=fault.example, hint=fault.hint)
    return None
