"""A case file in, a case out, or every fault of the file at once."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from .building import build
from .casefile.checks import findings
from .casefile.evidence import data_of, ties_of
from .casefile.facts import numbers_of, units_written
from .casefile.key_faults import NO_SUCH_KEY, Finding, read_keys, related
from .casefile.lines import Key, key_lines, line_of
from .casefile.needs import impossible_numbers, key_of, missing_numbers
from .casefile.plans import plan_of
from .casefile.recorded import labels_of, sensors_of, speedometer_of
from .casefile.roads import roads_of
from .casefile.schema import CaseFile, ComplaintTable, LimitsTable, SpeedTable, json_schema
from .casefile.seen import checks_of, observations_of
from .casefile.toml_file import decoded, read_bytes, read_tables
from .datum import Datum
from .faults import CounterbounceError, Fault
from .measured.sensors import Sensor, Speedometer
from .notebook import shown_as_html
from .numbers import Missing, Numbers
from .observations import Observation
from .plan import Plan
from .road import Roads
from .said import Said
from .units import Display, Reading, display_of, shorten

__all__ = ["Case", "Complaint", "Limits", "json_schema", "load", "parse"]

DEFAULT_SPEEDS = (8.0, 33.0)  # [m/s]
DEFAULT_WORTH = 0.25
FEW_TERMS = 5  # shapes of the frame: enough to find contradictions
MOST_FAULTS = 100


@dataclass(frozen=True)
class Complaint:
    """What the person feels: speed (from, to) [m/s], where (a point), level [m/s^2 r.m.s.], words."""

    speed: tuple[float, float] | None
    where: str | None
    direction: str
    level: float | None
    how_bad: str
    starts_after_bump: bool
    feeds_itself: bool


@dataclass(frozen=True)
class Limits:
    """What a countermeasure may be; None where the case does not say.

    places (points), mass [kg], stroke and clearance [m, each way], worth [-, smallest fall that is worth it],
    gross_rating [kg], front_share [-, of the weight], towing (needed, remove first or none),
    centre_of_gravity_height [m, above the ground], friction [N, that a damper's guides hold before they slip]
    """

    places: tuple[str, ...]
    mass: float | None
    stroke: float | None
    clearance: float | None
    worth: float
    gross_rating: float | None
    front_share: float | None
    towing: str
    centre_of_gravity_height: float | None = None
    friction: float | None = None


@dataclass(frozen=True)
class Case:
    """A case: the vehicle's plan and its numbers, what it runs on, what is felt, what may be done.

    speeds   (from, to) [m/s] to look at
    checks   the walk round: good or bad, for what was looked at
    observations  what was tried, and what the shake did
    display  the units that the person wrote, and so gets back
    sha256   of the file's bytes
    sensors  which column of a recording was taken where
    labels   how the vehicle was driven while it was recorded, as text
    speedometer  which column of a recording is the road speed, where the file names one
    evidence what was measured on the whole vehicle, and not yet counted in the numbers
    said     what recordings of this vehicle said; no file holds it
    counted  SHA-256 of the recordings that its numbers rest on already
    doubt    what these said against a damper
    """

    name: str
    note: str
    plan: Plan
    numbers: Numbers
    roads: Roads
    speeds: tuple[float, float]
    complaint: Complaint | None
    checks: Mapping[str, str]
    observations: tuple[Observation, ...]
    limits: Limits
    display: Display
    sha256: str
    path: Path
    sensors: tuple[Sensor, ...] = ()
    labels: Mapping[str, str] = field(default_factory=dict)
    speedometer: Speedometer | None = None
    evidence: tuple[Datum, ...] = ()
    said: tuple[Said, ...] = ()
    counted: tuple[str, ...] = ()
    doubt: str = ""

    def _repr_html_(self) -> str:
        show = self.display
        felt = self.complaint.speed if self.complaint else None
        speeds = {"looked at": self.speeds, "complained of": felt}
        rows = [("model", self.plan.kind), ("axles", ", ".join(axle.name for axle in self.plan.axles))]
        rows += [
            (name, " to ".join(show.show(v, "speed") for v in band)) for name, band in speeds.items() if band
        ]
        rows.append(("numbers given", str(len(self.numbers.given))))
        return shown_as_html(self.name, (), rows, self.note)


def load(path: str | Path) -> Case:
    """A case from a TOML file.  Raises CounterbounceError with every fault of the file."""
    file = Path(path)
    data = read_bytes(file)
    return _case(decoded(data, str(file)), str(file), hashlib.sha256(data).hexdigest())


def parse(text: str, file: str = "case.toml") -> Case:
    """A case from the text of a TOML file.  Raises CounterbounceError with every fault of the text.

    >>> parse('name = "x"\\nwheelbase = "3 m"')
    Traceback (most recent call last):
    counterbounce.model.faults.CounterbounceError: 2 faults:
      case.toml:2: wheelbase = '3 m': no such key here
      case.toml: axle: needed here, and missing
    """
    return _case(text, file, hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest())


def _case(text: str, file: str, sha256: str) -> Case:
    raw = read_tables(text, file)
    keys, lines = read_keys(raw), key_lines(text)
    found = list(keys.faults)
    if keys.file is not None:
        misspelt = tuple((*one.key[:-1], one.near) for one in found if one.wanted == NO_SUCH_KEY and one.near)
        more = (*findings(keys.file, Path(file).parent), *missing_numbers(keys.file))
        mended = (*keys.mended, *misspelt)
        found += [one for one in more if _sound(one, mended) and one.given not in keys.lost]
    if not found and keys.file is not None:
        found += _contradictions(keys.file)
    if found or keys.file is None:
        raise CounterbounceError(_in_order([_fault(file, lines, raw, one) for one in found]))
    return _assembled(keys.file, sha256, Path(file))


def _sound(found: Finding, mended: tuple[Key, ...]) -> bool:
    """Whether a finding hangs on nothing that had to be mended."""
    return not any(related(key, other) for key in (found.key, *found.others) for other in mended)


# --- faults ---------------------------------------------------------------------------------------------


def _fault(file: str, lines: dict[Key, int], raw: Any, found: Finding) -> Fault:
    line, key = line_of(lines, found.key), _shown(raw, found.key)
    return Fault(file, line, key, found.given, found.wanted, found.near, found.example)


def _shown(raw: Any, key: Key) -> str:
    """A key as the person knows it: items of a list by their name, or else by number from 1."""
    parts: list[str] = []
    for part in key:
        try:
            raw = raw[part]
        except (KeyError, IndexError, TypeError):
            raw = None
        if isinstance(part, str):
            parts.append(part if part.isprintable() and len(part) <= 60 else shorten(part))
        elif isinstance(raw, dict) and isinstance(raw.get("name"), str):
            parts.append(raw["name"][:60])
        else:
            parts.append(str(part + 1))
    return ".".join(parts)


def _in_order(faults: list[Fault]) -> list[Fault]:
    """By line, each once, and no more than anyone would read."""
    once = list(dict.fromkeys(faults))
    once.sort(key=lambda fault: fault.line or 10**9)
    left = len(once) - MOST_FAULTS
    more = [Fault(once[0].file, None, "", "", f"and {left} more faults")] if left > 0 else []
    return once[:MOST_FAULTS] + more


def _contradictions(file: CaseFile) -> list[Finding]:
    """What only shows when the vehicle is put together: bodies heavier than the whole, and the like."""
    impossible = list(impossible_numbers(file))
    if impossible:
        return impossible
    try:
        with np.errstate(all="ignore"):
            build(plan_of(file), numbers_of(file), FEW_TERMS)
    except CounterbounceError as error:
        return [Finding(key_of(f.key, file), f.given, f.wanted, f.near, f.example) for f in error.faults]
    except Missing as missing:
        return [Finding(key_of(missing.path, file), "", f"needed: {missing.because}")]
    except (ArithmeticError, ValueError) as error:
        return [Finding((), "", f"these numbers make no vehicle: {error}")]
    return []


# --- a case without faults --------------------------------------------------------------------------------


def _assembled(file: CaseFile, sha256: str, path: Path) -> Case:
    return Case(
        name=file.name,
        note=file.note,
        plan=plan_of(file),
        numbers=replace(numbers_of(file), tied=ties_of(file)),
        roads=roads_of(file.inputs, path.parent),
        speeds=_speeds(file),
        complaint=_complaint(file.complaint) if file.complaint else None,
        checks=checks_of(file),
        observations=observations_of(file),
        limits=_limits(file.limits),
        display=display_of(units_written(file)),
        sha256=sha256,
        path=path,
        sensors=sensors_of(file),
        labels=labels_of(file),
        speedometer=speedometer_of(file),
        evidence=data_of(file),
        counted=tuple(file.calibrated.recordings) if file.calibrated else (),
        doubt=file.calibrated.doubt if file.calibrated else "",
    )


def _value(reading: Reading | None) -> float | None:
    return None if reading is None else reading.value


def _band(speed: SpeedTable | None) -> tuple[float, float] | None:
    return None if speed is None else (speed.from_.value, speed.to.value)


def _speeds(file: CaseFile) -> tuple[float, float]:
    """The speeds asked for; else the usual ones, widened to hold the complaint."""
    given, felt = _band(file.inputs.speeds), _band(file.complaint.speed) if file.complaint else None
    if given or not felt:
        return given or DEFAULT_SPEEDS
    return min(DEFAULT_SPEEDS[0], felt[0]), max(DEFAULT_SPEEDS[1], felt[1])


def _complaint(table: ComplaintTable) -> Complaint:
    return Complaint(
        _band(table.speed),
        table.where,
        table.direction,
        _value(table.level),
        table.how_bad,
        table.starts_after_bump,
        table.feeds_itself,
    )


def _limits(table: LimitsTable) -> Limits:
    return Limits(
        places=tuple(table.places),
        mass=_value(table.mass),
        stroke=_value(table.stroke),
        clearance=_value(table.clearance),
        worth=DEFAULT_WORTH if table.worth is None else table.worth.value,
        gross_rating=_value(table.gross_rating),
        front_share=_value(table.front_share),
        towing=table.towing,
        centre_of_gravity_height=_value(table.centre_of_gravity_height),
        friction=_value(table.friction),
    )
