"""A calibration as tables of text and as JSON: what was measured, what moved, what is known now."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.metadata import version
from typing import Any

from ..model.calibrated import Calibrated, Told
from ..model.case import Case
from ..model.datum import Datum
from ..model.held_out import HeldOut
from ..model.predicted import LOCKED_PATH
from ..model.units import Display, significant
from .ledger import Entry, in_words, readable, shown, unit_of
from .tables import Table, fine_percent, percent

UNITS = {
    "natural frequency": "Hz",
    "effective mass": "kg",
    "critical speed": "m/s",
    "axle load": "kg",
    "rolling circumference": "m",
}
MOST_ROWS = 16
NONE = "none by itself"
IN_TWO_WAYS = 0.1  # odds of a runner-up that is not to be overlooked [-]


def verdict(found: Calibrated) -> tuple[str, str]:
    """One word and a sentence or two: whether a plausible vehicle agrees, and what was taken for what."""
    if not found.data:
        return "NOTHING TO AGREE WITH", "No evidence was given, and nothing moved."
    told = f"Taken for: {found.words}." if found.words else ""
    if found.other:
        odds = significant(found.other[1], 2)
        told += f" The other way to read it, {odds} to 1 as plausible: {found.other[0]}."
    if found.agrees:
        word = "AGREES" if not found.other or found.other[1] < IN_TWO_WAYS else "AGREES, IN TWO WAYS"
        return word, f"A plausible vehicle agrees with the evidence. {told}"
    strangers = " or ".join(stranger(found.case, found.data, one) for one in found.strangers) or NONE
    return "NO PLAUSIBLE VEHICLE AGREES", (
        f"By chance that happens to {found.probability:.1g} of vehicles. The stranger among numbers and "
        f"evidence: {strangers}. Measure it again before anything is built on this. {told}"
    )


def stranger(case: Case, data: Sequence[Datum], name: str) -> str:
    """A stranger as a person would call it: a number of the vehicle, or what was measured, with its value."""
    if name in case.numbers.ledger:
        return in_words(name)
    of = [one for one in data if name in (str(one), one.group) and one.what == "natural frequency"]
    return f"{of[0]}, {case.display.show(of[0].value, 'frequency')}" if of else name


def data_table(found: Calibrated) -> Table:
    """Each datum beside the vehicle, before and after."""
    columns = ("evidence", "found", "before", "after", "off all else")
    rows = tuple(_datum_row(one, found.case.display) for one in found.told)
    note = "Off all else: how far from what all other evidence and the numbers say, in standard deviations. "
    shapes = any(one.datum.what == "shape" for one in found.told)
    agreement = "Of a shape before and after: modal assurance criterion, 1 for the same shape."
    return Table("Evidence", columns, rows, (1, 2, 3, 4), (note + agreement * shapes).strip())


def _datum_row(one: Told, show: Display) -> tuple[str, ...]:
    values = (one.datum.value, one.before, one.after)
    found, before, after = (_value(one, value, show) for value in values)
    if one.datum.what == "shape":
        return str(one.datum), f"{len(one.datum.shape)} points", before, after, _signed(one.strange)
    half = one.datum.half / one.datum.value
    return str(one.datum), f"{found} ± {fine_percent(half)}", before, after, _signed(one.strange)


def _signed(off: float) -> str:
    return f"{off:+.1f}".replace("-", "−")


def _value(one: Told, value: float, show: Display) -> str:
    unit = UNITS.get(one.datum.what, "")
    return shown(Entry("", "", value, unit, 0.0, "", "", "factor"), show)


def modes_table(found: Calibrated) -> Table:
    """Natural frequencies with 95 % intervals, before and after."""
    columns = ("mode", "before, Hz", "after, Hz", "damping, before", "after")
    rows = tuple(
        (one.name, _interval(one.before), _interval(one.after), *(percent(z) for z in one.damping))
        for one in found.modes
    )
    return Table("Natural frequencies", columns, rows, (1, 2, 3, 4), "In brackets: 95 %.")


def _interval(known: tuple[float, float, float]) -> str:
    best, low, high = (significant(one, 3) for one in known)
    return f"{best} ({low} to {high})"


def moved_table(found: Calibrated) -> Table:
    """Numbers that moved or narrowed, those that narrowed most first."""
    columns = ("number", "before", "after", "moved by", "spread left")
    moved = sorted(found.moved.items(), key=lambda one: one[1][1])
    rows = tuple(_moved_row(found, path, *told) for path, told in moved[:MOST_ROWS])
    more = f"And {len(moved) - MOST_ROWS} more, by less. " if len(moved) > MOST_ROWS else ""
    note = f"Moved by: in standard deviations of what was known before. {more}{_untold(found)}"
    return Table("What moved", columns, rows, (1, 2, 3, 4), note.strip())


def _moved_row(found: Calibrated, path: str, score: float, left: float) -> tuple[str, ...]:
    if path == LOCKED_PATH:
        return "leaves at standstill: stiffer than on the road", "–", "–", f"{score:+.2f}", percent(left)
    show = found.case.display
    before, after = (_number(path, numbers[path], show) for numbers in (found.case.numbers, found.numbers))
    return in_words(path), before, after, f"{score:+.2f}".replace("-", "−"), percent(left)


def _number(path: str, value: float, show: Display) -> str:
    return readable(shown(Entry(path, "", float(value), unit_of(path), 0.0, "", "", "factor"), show))


def _untold(found: Calibrated) -> str:
    """What the data cannot tell apart, and how little they tell."""
    told = f"Independent things that the evidence tells about {len(found.paths)} numbers: {found.directions}."
    pairs = [f"{in_words(one)} and {in_words(other)}" for one, other, _ in found.alike[:4]]
    return told + (f" It cannot tell apart: {'; '.join(pairs)}." if pairs else "")


def held_table(kept: Sequence[HeldOut]) -> Table:
    """Frequencies that were kept back beside what the calibrated vehicle says."""
    columns = ("kept back", "mode", "found, Hz", "before, Hz", "after, Hz", "error", "inside")
    rows = tuple(
        (
            str(one.datum),
            one.mode,
            *(significant(value, 3) for value in (one.measured, one.before, one.after)),
            f"{100 * one.error:+.1f} %".replace("-", "−"),
            "yes" if one.inside else "no",
        )
        for one in kept
    )
    return Table("Not calibrated with", columns, rows, (2, 3, 4, 5))


def as_json(found: Calibrated, kept: Sequence[HeldOut], written: str | None) -> dict[str, Any]:
    """The same for programs: SI in the key names, null where a thing is absent."""
    return {
        "version": version("counterbounce"),
        "case": found.case.name,
        "case_sha256": found.case.sha256,
        "agrees": found.agrees if found.data else None,
        "probability": found.probability,
        "chi_square": found.misfit,
        "degrees_of_freedom": found.freedom,
        "strangers": list(found.strangers),
        "taken_for": found.words or None,
        "runner_up": {"taken_for": found.other[0], "odds": found.other[1]} if found.other else None,
        "independent_things_told": found.directions,
        "evidence": [_datum_json(one) for one in found.told],
        "modes": [
            {
                "name": one.name,
                "frequency_hz": {"before": one.before[0], "after": one.after[0]},
                "frequency_interval_hz": {"before": list(one.before[1:]), "after": list(one.after[1:])},
                "damping_ratio": {"before": one.damping[0], "after": one.damping[1]},
            }
            for one in found.modes
        ],
        "moved": [
            {"path": path, "standard_deviations": score, "spread_left": left}
            for path, (score, left) in found.moved.items()
        ],
        "not_told_apart": [
            {"paths": [one, other], "correlation": share} for one, other, share in found.alike
        ],
        "held_out": [
            {
                "evidence": str(one.datum),
                "mode": one.mode,
                "measured_hz": one.measured,
                "before_hz": one.before,
                "after_hz": one.after,
                "error": one.error,
                "inside": one.inside,
            }
            for one in kept
        ],
        "written": written,
    }


def _datum_json(one: Told) -> dict[str, Any]:
    datum = one.datum
    shape = datum.what == "shape"
    return {
        "what": datum.what,
        "said": str(datum),
        "condition": datum.condition,
        "felt": datum.felt,
        "value_si": None if shape else datum.value,
        "half_interval_si": None if shape else datum.half,
        "before_si": None if shape else one.before,
        "after_si": None if shape else one.after,
        "shape_agreement": {"before": one.before, "after": one.after} if shape else None,
        "standard_deviations_off": one.strange,
    }
