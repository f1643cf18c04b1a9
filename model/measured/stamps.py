"""Dates and times of day in a text file, as devices write them, turned into seconds."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

DAY, HOUR = 86400.0, 3600.0  # [s]
FIRST_DAY = date(1970, 1, 1)

_DATE = r"\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[-/.]\d{1,2}[-/.]\d{4}"
_STAMP = (
    r"(?<![\w.:/-])(?=\d+[-/.:])(?P<date>%s)?"
    r"(?:(?(date)%s)(?P<time>\d{1,2}:\d{2}(?::\d{2})?(?:%s\d+)?)"
    r"(?: ?(?P<half>[AaPp])\.?[Mm]\.?)?(?P<zone> ?(?:Z|UTC|[+-]\d{2}:?\d{2}))?)?(?![\w:/-])"
)


@dataclass(frozen=True)
class Stamps:
    """How a file writes its dates and times.

    pattern    finds one of them in a line
    cells      numbers of the columns that are the clock: one with times, before it one with dates if need be
    spare      numbers of the columns that hold more of them, and are left aside
    period     [s] after which they begin again: of the day, of the hour, 0 where they tell the day
    day_first  whether 3/5/2026 is the third of May
    zone       as the first of them says it: Z, UTC, +02:00; empty where it does not
    unsure     the first date, where nothing tells its day from its month: then only times of day count
    """

    pattern: re.Pattern[str]
    cells: tuple[int, ...]
    period: float
    day_first: bool
    zone: str
    unsure: str = ""
    spare: tuple[int, ...] = ()

    def in_seconds(self, text: str) -> str:
        """A piece of text, each stamp in it as a number [s]: since 1970, or of its day or hour.

        >>> found = stamps_of([["2026-05-03T12:00:01.5+02:00", "0.1"]], ",")
        >>> found.in_seconds("2026-05-03T12:00:01.5+02:00,0.1"), found.zone
        ('1777802401.500000000,0.1', '+02:00')
        """
        return self.pattern.sub(self._number, text)

    def _number(self, found: re.Match[str]) -> str:
        """What cannot be is left as it stands, and refused with its line by whoever reads numbers."""
        days = _days(found["date"], self.day_first) if found["date"] else 0.0
        passed = _passed(found)
        if days is None or passed is None:
            return found[0]
        return f"{(0.0 if self.period else DAY * days) + passed:.9f}"


def with_noughts(line: str) -> str:
    """A line with a nought for each date and time in it: what is left tells how its cells are separated.

    >>> with_noughts("2026-05-03 12:03:01.5;0,25"), with_noughts("3.5.2026\\t12:03:01,250\\t1")
    ('0;0,25', '0\\t0,250\\t1')
    """
    return _pattern(",").sub("0", line)


def stamps_of(rows: Sequence[Sequence[str]], separator: str | None) -> Stamps | None:
    """How some lines write their dates and times, cell by cell; None where they hold none."""
    pattern = _pattern(separator)
    first = {i: pattern.fullmatch(cell) for i, cell in enumerate(rows[0] if rows else ())}
    held = {i: found for i, found in first.items() if found and _passed(found) is not None}
    timed = next((i for i, found in held.items() if found["time"]), None)
    if timed is None:
        return None
    dated = [i for i, found in held.items() if not found["time"] and not held[timed]["date"]]
    cells = (*dated[:1], timed)
    there = [found for row in rows for i in cells if i < len(row) and (found := pattern.fullmatch(row[i]))]
    zone = next((found["zone"].strip() for found in there if found["zone"]), "")
    dates = [found["date"] for found in there if found["date"]]
    order = _day_first(dates)
    hours = any(found["time"].count(":") == 2 for found in there if found["time"])
    period = 0.0 if dates and order is not None else DAY if hours or dates else HOUR
    unsure = dates[0] if dates and order is None else ""
    return Stamps(pattern, cells, period, bool(order), zone, unsure, tuple(held.keys() - cells))


@lru_cache(8)
def _pattern(separator: str | None) -> re.Pattern[str]:
    """Between blanks a date and its time are two cells; between commas a comma begins the next one."""
    return re.compile(
        _STAMP % (_DATE, "T" if separator is None else "(?:T| +)", r"\." if separator == "," else "[.,]")
    )


def _day_first(dates: Sequence[str]) -> bool | None:
    """Whether the day comes before the month; None where nothing tells.

    Dots go with the day first, wherever they are written (common practice, no source).
    """
    split = [[int(part) for part in re.split("[-/.]", one)] for one in dates]
    if any(len(one.split(mark)[0]) == 4 or mark == "." for one in dates for mark in "-/." if mark in one):
        return True
    if any(day > 12 for day, *_ in split):
        return True
    return False if any(month > 12 for _, month, _ in split) else None


@lru_cache(64)
def _days(text: str, day_first: bool) -> float | None:
    """Days from 1970 to a date; None where there is no such day."""
    one, two, three = (int(part) for part in re.split("[-/.]", text))
    year, month, day = (
        (one, two, three) if one > 31 else (three, two, one) if day_first else (three, one, two)
    )
    try:
        return float((date(year, month, day) - FIRST_DAY).days)
    except ValueError:
        return None


def _passed(found: re.Match[str]) -> float | None:
    """Seconds of the day, or of the hour, less the time zone; 0 for a date alone, None for what cannot be."""
    if not found["time"]:
        return 0.0 if found["date"] else None
    parts = found["time"].replace(",", ".").split(":")
    if len(parts) == 2:  # minutes and seconds, or after a date hours and minutes
        if ("." in parts[1]) == bool(found["date"]):
            return None
        parts = [*parts, "0"] if found["date"] else ["0", *parts]
    hour, minute, second = int(parts[0]), int(parts[1]), float(parts[2])
    if hour > 24 or minute > 59 or second >= 61:
        return None
    if found["half"]:
        hour = hour % 12 + (12 if found["half"] in "Pp" else 0)
    return HOUR * hour + 60.0 * minute + second - (zone_seconds(found["zone"] or "") or 0.0)


def zone_seconds(zone: str) -> float | None:
    """How far a time zone is ahead of universal time [s]; None where it is not said.

    >>> zone_seconds("+02:00"), zone_seconds("Z"), zone_seconds("")
    (7200.0, 0.0, None)
    """
    digits = zone.strip().replace(":", "")
    if not digits:
        return None
    if digits[0] not in "+-":
        return 0.0
    ahead = HOUR * int(digits[1:3]) + 60.0 * int(digits[3:5])
    return -ahead if digits[0] == "-" else ahead
