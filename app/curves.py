"""The curves and lists of an assessment as CSV, in SI, one header line: for a spreadsheet or a script."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from ..sizing.assess import Assessment
from .answer import answer
from .told import plain


def curves(a: Assessment) -> dict[str, str]:
    """Every list of an assessment by its file's name."""
    told = answer(a)
    return {
        "response.csv": _response(a),
        "critical_speeds.csv": _records(told["critical_speeds"]),
        "modes.csv": _records([_mode(m) for m in told["modes"]]),
        **({"amplitude.csv": _along(told["amplitude"])} if told["amplitude"] else {}),
    }


def _response(a: Assessment) -> str:
    """Typical levels of all causes together along speed, a column per watched point."""
    if a.sized is None:
        swept = a.host.sweep
        names = [f"{p.name} as_it_is_m_s2" for p in swept.points]
        return _csv(["speed_m_s", *names], np.column_stack([swept.speeds, swept.total()]))
    c = a.sized.comparison
    names = [f"{p.name} {state}_m_s2" for state in ("before", "after", "ballast") for p in c.points]
    return _csv(["speed_m_s", *names], np.column_stack([c.speeds, c.before, c.after, c.ballast]))


def _along(amplitude: dict[str, Any]) -> str:
    """Natural frequencies and damping along the stretch of every law."""
    modes, kinds = amplitude["modes"], ("frequency_hz", "damping_ratio")
    header = ["stretch_m", *(f"{mode['name']} {kind}" for mode in modes for kind in kinds)]
    columns = [amplitude["stretch_m"], *(mode[kind] for mode in modes for kind in kinds)]
    return _csv(header, zip(*columns, strict=True))


def _mode(mode: dict[str, Any]) -> dict[str, Any]:
    """A mode on one line: its energy and its losses part by part."""
    low, high = mode["frequency_interval_hz"]
    flat = {key: mode[key] for key in ("name", "frequency_hz", "undamped_hz", "damping_ratio")}
    flat |= {"frequency_low_hz": low, "frequency_high_hz": high}
    flat |= {f"energy in {part}": share for part, share in mode["energy"].items()}
    return flat | {f"lost in {part}": share for part, share in mode["dissipation"].items()}


def _records(records: Sequence[dict[str, Any]]) -> str:
    if not records:
        return ""
    split = [_ends_apart(record) for record in records]
    return _csv(list(split[0]), (record.values() for record in split))


def _ends_apart(record: dict[str, Any]) -> dict[str, Any]:
    """A band becomes two columns."""
    band = record.pop("speed_band_m_s", None) if "speed_band_m_s" in record else ()
    if band == ():
        return record
    low, high = band or (None, None)
    return record | {"band_from_m_s": low, "band_to_m_s": high}


def _csv(header: Sequence[str], rows: Iterable[Iterable[Any]]) -> str:
    to = io.StringIO()
    writer = csv.writer(to, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(plain(list(row)) for row in rows)  # null is written as nothing
    return to.getvalue()
