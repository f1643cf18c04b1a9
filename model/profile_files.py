"""A profile out of a file of numbers, with what was done to it.

One line a place: distance and height, or height alone where the spacing is given; one height, or a left and
a right one.  A first line of names may carry units, as in "distance [m]; elevation [mm]".  Lines that begin
with # are remarks.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from .faults import CounterbounceError, Fault
from .profile import FEWEST, Profile
from .profile_table import Table, read_table
from .unit_names import factor

Floats = NDArray[np.float64]

LARGEST = 400_000_000  # [byte]
SHORTEST, LONGEST = 1e-5, 100.0  # [m] from line to line
UNEVEN = 0.1  # [-] of a step by which a place may lie off an even grid, as rounded distances do
WIDEST_GAP = 1.0  # [m] without heights that a straight line may bridge
STEEPEST = 0.5  # [-] median slope between samples beyond which the unit of the heights must be wrong
DISTANCES = {"distance", "station", "chainage", "position", "dist", "x", "s"}
UNIT_EXAMPLE = "elevation [mm]"


@dataclass(frozen=True)
class _Asked:
    """The file, and what is known besides its text."""

    file: str
    spacing: float | None
    elevation_unit: str | None

    def fault(self, wanted: str, line: int | None = None, given: str = "", example: str = "") -> Fault:
        return Fault(self.file, line, "", given, wanted, example=example)

    def refuse(self, wanted: str, example: str = "") -> CounterbounceError:
        return CounterbounceError([self.fault(wanted, example=example)])


def read_profile(
    path: str | Path, spacing: float | None = None, elevation_unit: str | None = None
) -> Profile:
    """A profile from a text file.  Raises CounterbounceError with what is wrong, and on which lines.

    spacing         [m] between lines, for a file of heights alone; None: the file gives distances
    elevation_unit  of the heights, such as "mm"; None: as the line of names says, or else metres
    """
    return parse_profile(read_bytes(path), str(path), spacing, elevation_unit)


def read_bytes(path: str | Path) -> bytes:
    """The bytes of a file.  Raises CounterbounceError where they cannot be had."""
    asked, file = _Asked(str(path), None, None), Path(path)
    try:
        if file.stat().st_size > LARGEST:
            raise asked.refuse(f"is larger than {LARGEST // 10**6} MB")
        return file.read_bytes()
    except OSError as error:
        raise asked.refuse(f"cannot be read: {error.strerror or error}") from None


def parse_profile(
    data: bytes, file: str = "profile.csv", spacing: float | None = None, elevation_unit: str | None = None
) -> Profile:
    """A profile from the bytes of a text file.  Raises CounterbounceError.

    spacing         [m] between lines, for a file of heights alone; None: the file gives distances
    elevation_unit  of the heights, such as "mm"; None: as the line of names says, or else metres

    >>> road = parse_profile(b"distance [m]; height [mm]\\n0; 1,5\\n0,5; 2,5\\n1; 0,5")
    >>> road.spacing, road.heights.tolist()
    (0.5, [0.0015, 0.0025, 0.0005])
    >>> parse_profile(b"0 1\\n1 2\\n0.5 2\\n2 2")
    Traceback (most recent call last):
    counterbounce.model.faults.CounterbounceError: 1 fault:
      profile.csv:3: 0.5: a distance beyond the last one, 1
    """
    asked = _Asked(file, spacing, elevation_unit)
    table = read_table(data, file)
    place, columns = _roles(table, asked)
    heights, said = _in_metres(table, columns, asked)
    if place is None:
        assert spacing is not None
        where = np.asarray(spacing * np.arange(len(table.numbers)), dtype=float)
    else:
        where = table.numbers[:, place] * _scale(table.columns[place].unit or "m", asked)
        table, where, heights, turned = _ascending(table, where, heights, asked)
        said += turned
    where, heights, bridged = _bridged(table, where, heights, asked)
    step, heights, evened = _even(where, heights, asked)
    _check_slope(heights, step, asked)
    done = (f"Read {len(table.numbers)} lines of {table.separated}.", *said, *bridged, *evened)
    shaped = heights[0] if len(heights) == 1 else heights
    return Profile(step, float(where[0]), shaped, f"file {Path(file).name}", done)


# --- columns ----------------------------------------------------------------------------------------------


def _roles(table: Table, asked: _Asked) -> tuple[int | None, list[int]]:
    """(the column of distances, the columns of heights); no column where the spacing is given instead."""
    count, names = len(table.columns), [column.name for column in table.columns]
    found = [i for i, name in enumerate(names) if _is_distance(name)]
    if not any(names) and count > 1 and (asked.spacing is None or _is_even(table.numbers[:, 0])):
        found = [0]
    if asked.spacing is not None and not 0 < asked.spacing < np.inf:
        raise asked.refuse(f"a spacing above 0 m, got {asked.spacing:g} m")
    if len(found) > 1:
        raise asked.refuse(f"one column of distances, not {', '.join(names[i] for i in found)}")
    if found and asked.spacing is not None:
        raise asked.refuse("no spacing: the file has distances of its own")
    if not found and asked.spacing is None:
        raise asked.refuse(
            "a column of distances, or the spacing between lines", "distance [m], elevation [mm]"
        )
    heights = [i for i in range(count) if i not in found]
    if not 1 <= len(heights) <= 2:
        raise asked.refuse(f"one or two columns of heights, and there are {len(heights)}")
    return (found[0] if found else None), heights


def _is_even(column: Floats) -> bool:
    """Whether a column without a name counts up in even steps, as no road rises."""
    steps = np.diff(column)
    return bool(len(steps) > 1 and steps[0] > 0 and np.allclose(steps, steps[0], rtol=0.01, atol=0))


def _is_distance(name: str) -> bool:
    words = name.lower().replace("_", " ").split()
    return bool(words) and words[0] in DISTANCES


def _scale(unit: str, asked: _Asked) -> float:
    """Metres in one unit."""
    try:
        return factor(unit, "m")
    except ValueError:
        raise asked.refuse(f"a unit of length, not {unit!r}", UNIT_EXAMPLE) from None


def _in_metres(table: Table, columns: list[int], asked: _Asked) -> tuple[Floats, list[str]]:
    """Heights [m], (tracks, n), and the units that they came in."""
    units = [asked.elevation_unit or table.columns[i].unit for i in columns]
    for i, unit in zip(columns, units, strict=True):
        written = table.columns[i].unit
        if written and unit != written and _scale(unit, asked) != _scale(written, asked):
            raise asked.refuse(f"heights in {written}, as the file says, not in {unit}")
    heights = np.array(
        [table.numbers[:, i] * _scale(u or "m", asked) for i, u in zip(columns, units, strict=True)]
    )
    if not any(units):
        return heights, ["The heights carry no unit: metres were taken."]
    return heights, [f"Heights came in {' and '.join(dict.fromkeys(u or 'm' for u in units))}."]


# --- places -----------------------------------------------------------------------------------------------


def _ascending(
    table: Table, where: Floats, heights: Floats, asked: _Asked
) -> tuple[Table, Floats, Floats, list[str]]:
    """Lines in the order of travel; a file that runs backwards throughout is turned round."""
    missing = np.flatnonzero(np.isnan(where))
    if len(missing):
        raise CounterbounceError(asked.fault("a distance", table.lines[i]) for i in missing[:20])
    if np.all(np.diff(where) < 0):
        said = ["Distances fell from line to line: the file was turned round."]
        return table.reversed(), where[::-1], heights[:, ::-1], said
    back = np.flatnonzero(np.diff(where) <= 0)
    if len(back):
        raise CounterbounceError(
            asked.fault(
                f"a distance beyond the last one, {where[i]:g}", table.lines[i + 1], f"{where[i + 1]:g}"
            )
            for i in back[:20]
        )
    return table, where, heights, []


def _bridged(table: Table, where: Floats, heights: Floats, asked: _Asked) -> tuple[Floats, Floats, list[str]]:
    """Short gaps bridged by a straight line, missing ends cut off; a wide gap is a fault."""
    there = np.asarray(~np.isnan(heights).any(axis=0))
    good = np.flatnonzero(there)
    if len(good) < FEWEST:
        raise asked.refuse(f"{FEWEST} lines with heights or more, and there are {len(good)}")
    usual = float(np.median(np.diff(where)))
    apart = np.diff(where[good])
    wide = np.flatnonzero(apart > max(WIDEST_GAP, 1.5 * usual) * (1 + 1e-9))
    if len(wide):
        raise CounterbounceError(
            asked.fault(
                f"heights without a gap of {apart[i]:.4g} m up to line {table.lines[good[i + 1]]}; "
                f"up to {max(WIDEST_GAP, 1.5 * usual):.3g} m are bridged",
                table.lines[good[i]],
            )
            for i in wide[:20]
        )
    inner = slice(good[0], good[-1] + 1)
    said, lost = [], np.flatnonzero(~there[inner]) + good[0]
    if len(there) - len(there[inner]):
        said.append(f"{len(there) - len(there[inner])} lines without heights were cut off at the ends.")
    if len(lost):
        lines = ", ".join(str(table.lines[i]) for i in lost[:5]) + (", …" if len(lost) > 5 else "")
        said.append(f"{len(lost)} missing heights (lines {lines}) were bridged by straight lines.")
    filled = [np.interp(where[inner], where[good], track[good]) for track in heights]
    return where[inner], np.array(filled), said


def _even(where: Floats, heights: Floats, asked: _Asked) -> tuple[float, Floats, list[str]]:
    """(step, heights at even steps, what was done)."""
    step = float((where[-1] - where[0]) / (len(where) - 1))
    if not SHORTEST <= step <= LONGEST:
        raise asked.refuse(f"{SHORTEST:g} to {LONGEST:g} m from line to line, got {step:g} m")
    off = float(np.abs(where - np.linspace(where[0], where[-1], len(where))).max())
    if off <= UNEVEN * step:
        tidy = float(f"{step:.6g}")
        said = f"Distances lie up to {off:.2g} m off even steps of {tidy:g} m and were taken as even."
        return tidy, heights, [said] if off > 1e-3 * step else []
    step = float(f"{np.median(np.diff(where)):.6g}")
    count = (where[-1] - where[0]) / step * (1 + 1e-9) + 1 if step else np.inf
    if not FEWEST <= count <= 50 * len(where):
        raise asked.refuse(f"steps that are alike: half of them are {step:g} m or less, others far longer")
    new = where[0] + step * np.arange(int(count))
    said = f"Uneven steps were resampled to {step:g} m, straight between the lines of the file."
    return step, np.array([np.interp(new, where, track) for track in heights]), [said]


def _check_slope(heights: Floats, step: float, asked: _Asked) -> None:
    slope = float(np.median(np.abs(np.diff(heights, axis=1)))) / step
    if slope > STEEPEST:
        wanted = f"heights of a road: these rise or fall by {slope:.3g} m a metre; say their unit"
        raise asked.refuse(wanted, UNIT_EXAMPLE)
