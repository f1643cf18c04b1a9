"""Receptances in files of the universal format, data set 58, written and read.

Each curve carries the whole names of its points in its first two lines, since the format's own names end
after ten letters.  Nodes are numbered by point; direction 3 is up, and -1 is forward, against the stations.
"""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from .faults import CounterbounceError, Fault
from .points import Point
from .unit_names import factor

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Kind = Literal["receptance", "mobility", "accelerance"]

INSTALL = "python -m pip install 'counterbounce[recordings]'"
RESPONSE_FUNCTION, OVER_FREQUENCY, FORCE, COMPLEX_DOUBLE = 4, 18, 13, 6  # numbers of data set 58
KINDS: dict[int, Kind] = {8: "receptance", 11: "mobility", 12: "accelerance"}
PER_NEWTON: dict[Kind, str] = {"receptance": "m/N", "mobility": "m/s/N", "accelerance": "m/s^2/N"}
LINE = 80  # letters of an identification line
UP, FORWARD = 3, -1


@dataclass(frozen=True)
class Curve:
    """One frequency response: motion at `response` per newton at `reference`.

    frequency   [Hz] (Q,)
    values      complex [m/N, or its first or second rate], (Q,)
    kind        receptance, mobility or accelerance
    unit_known  whether the unit was found; where it was not, `values` are the numbers of the file
    """

    response: str
    reference: str
    frequency: Floats
    values: Complexes
    kind: Kind = "receptance"
    unit_known: bool = True


def lines_between(low: float, high: float, lines: int) -> Floats:
    """Evenly spaced frequencies [Hz] that a file holds exactly: six digits of the first and of the step.

    low, high  [Hz]; the last line is `high` to within that rounding
    lines      how many, 2 or more

    >>> lines_between(1.0, 25.0, 1000)[[0, 1, -1]].tolist()
    [1.0, 1.024024, 24.999976]
    """
    if not (0 < low < high < np.inf and lines >= 2):
        raise ValueError("frequencies run upward from above zero, over two lines or more")
    step = float(f"{(high - low) / (lines - 1):.5e}")
    return np.asarray(float(f"{low:.5e}") + step * np.arange(lines))


def curve_bytes(
    frequency: Floats, values: Complexes, points: Sequence[Point], origin: Sequence[str] = ()
) -> bytes:
    """All receptances among some points as the bytes of a file: nodes, units, then a curve a pair.

    frequency  [Hz] (Q,) as from `lines_between`: others would come back changed, and are refused
    values     [m/N] (Q, points, points): motion of each point per newton at each
    points     as they are on the vehicle
    origin     up to three lines about where the curves come from

    Raises CounterbounceError, with the line that installs it, where the library is not there.

    >>> from .example import small_truck
    >>> f, end = lines_between(1.0, 2.0, 3), small_truck().points["rear end"]
    >>> curve_bytes(f, np.full((3, 1, 1), 1e-5 - 1e-6j), [end]).split()[:2]     # begins with the nodes
    [b'-1', b'15']
    """
    library = _library()
    kept = lines_between(frequency[0], frequency[-1], len(frequency))
    if not np.allclose(frequency, kept, rtol=1e-12, atol=0):
        raise ValueError(
            "the file keeps six digits of the first frequency and of the step: use lines_between"
        )
    sets = [_nodes(library, points), _units(library)]
    for j, reference in enumerate(points):
        for i, response in enumerate(points):
            ends = (i + 1, response), (j + 1, reference)
            sets.append(_set(library, frequency, values[:, i, j], ends, origin))
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "curves.unv"
        library.UFF(str(file)).write_sets(sets, "overwrite")
        return file.read_bytes()


def read_curves(path: str | Path, unit: str = "") -> tuple[Curve, ...]:
    """Every frequency response per newton in a file, in its order; other data sets are left alone.

    unit  what the numbers are, such as "mm/N", where neither the file's units nor a curve's axes say so

    The names are the first two lines of each data set, or "node.direction" where those do not tell the
    curves of the file apart.  Raises CounterbounceError where the file holds none, or cannot be read, or
    where the library is not there; ValueError where `unit` is not of a curve's kind.

    >>> from .example import small_truck
    >>> f, end = lines_between(1.0, 2.0, 3), small_truck().points["rear end"]
    >>> with tempfile.NamedTemporaryFile(suffix=".unv") as file:
    ...     _ = Path(file.name).write_bytes(curve_bytes(f, np.full((3, 1, 1), 1e-5 - 1e-6j), [end]))
    ...     (curve,) = read_curves(file.name)
    >>> curve.response, curve.kind, curve.frequency.tolist(), complex(curve.values[0])
    ('rear end', 'receptance', [1.0, 1.5, 2.0], (1e-05-1e-06j))
    """
    library, file = _library(), Path(path)
    if not file.is_file():
        raise CounterbounceError([Fault(str(file), None, "", "", "is no file")])
    try:
        listed = _listed(library.UFF(str(file)).read_sets())
    except Exception as error:  # the library raises its own kinds, bare Exception among them
        wanted = f"cannot be read as universal file: {str(error)[:200]}"
        raise CounterbounceError([Fault(str(file), None, "", "", wanted)]) from None
    sets, units = [s for s in listed if _is_response(s)], [s for s in listed if s.get("type") == 164]
    if not sets:
        raise CounterbounceError([Fault(str(file), None, "", "", "holds no frequency response per newton")])
    by_line = [(s["id1"].strip(), s["id2"].strip()) for s in sets]
    unique = len(set(by_line)) == len(sets) and all(all(names) for names in by_line)
    names = by_line if unique else [_by_node(s) for s in sets]
    return tuple(_curve(s, *ends, _scale(s, units, unit)) for s, ends in zip(sets, names, strict=True))


def _library() -> ModuleType:
    try:
        return import_module("pyuff")
    except ImportError:
        wanted = f"needs the library pyuff: {INSTALL}"
        raise CounterbounceError([Fault("universal files", None, "", "", wanted)]) from None


def _set(
    library: ModuleType,
    frequency: Floats,
    values: Complexes,
    ends: tuple[tuple[int, Point], tuple[int, Point]],
    origin: Sequence[str],
) -> dict[str, Any]:
    (i, response), (j, reference) = ends
    lines = [response.name, reference.name, *origin, "", "", ""]
    return dict(
        library.prepare_58(
            binary=0,
            **{f"id{n}": line[:LINE] or "NONE" for n, line in enumerate(lines[:5], 1)},
            func_type=RESPONSE_FUNCTION,
            rsp_ent_name=_short(response.name),
            rsp_node=i,
            rsp_dir=_direction(response),
            ref_ent_name=_short(reference.name),
            ref_node=j,
            ref_dir=_direction(reference),
            ord_data_type=COMPLEX_DOUBLE,
            abscissa_spacing=1,
            abscissa_spec_data_type=OVER_FREQUENCY,
            abscissa_axis_units_lab="Hz",
            ordinate_spec_data_type=8,
            ordinate_axis_units_lab="m",
            orddenom_spec_data_type=FORCE,
            orddenom_axis_units_lab="N",
            x=frequency,
            data=values,
        )
    )


def _nodes(library: ModuleType, points: Sequence[Point]) -> dict[str, Any]:
    """Stations along x, rearward; heights are not known."""
    still = [0.0] * len(points)
    numbers = list(range(1, len(points) + 1))
    ones = [1] * len(points)
    return dict(
        library.prepare_15(
            node_nums=numbers,
            def_cs=ones,
            disp_cs=ones,
            color=ones,
            x=[p.station for p in points],
            y=still,
            z=still,
        )
    )


def _units(library: ModuleType) -> dict[str, Any]:
    """SI: the factors are how many units of the file one SI unit is."""
    return dict(
        library.prepare_164(
            units_code=1,
            units_description="SI",
            temp_mode=1,
            length=1.0,
            force=1.0,
            temp=1.0,
            temp_offset=273.15,
        )
    )


def _short(name: str) -> str:
    return "".join(c if c.isalnum() and c.isascii() else "_" for c in name)[:10] or "NONE"


def _direction(point: Point) -> int:
    return UP if point.direction == "vertical" else FORWARD


def _listed(sets: Any) -> list[dict[str, Any]]:
    """The library gives one data set bare and several in a list."""
    return [sets] if isinstance(sets, dict) else list(sets)


def _is_response(one: dict[str, Any]) -> bool:
    return (
        one.get("type") == 58
        and one.get("func_type") == RESPONSE_FUNCTION
        and one.get("ordinate_spec_data_type") in KINDS
        and one.get("orddenom_spec_data_type") == FORCE
    )


def _by_node(one: dict[str, Any]) -> tuple[str, str]:
    return f"{one['rsp_node']}.{one['rsp_dir']}", f"{one['ref_node']}.{one['ref_dir']}"


def _scale(one: dict[str, Any], units: Sequence[dict[str, Any]], unit: str) -> float | None:
    """How many SI units one of a curve's numbers is; None where nobody says."""
    wanted = PER_NEWTON[KINDS[one["ordinate_spec_data_type"]]]
    if units:
        return float(units[0]["force"] / units[0]["length"])
    moved, pushed = (str(one.get(f"{axis}_axis_units_lab", "")).strip() for axis in ("ordinate", "orddenom"))
    try:
        return factor(f"{moved}/{pushed}", wanted)
    except ValueError:
        return factor(unit, wanted) if unit else None


def _curve(one: dict[str, Any], response: str, reference: str, scale: float | None) -> Curve:
    frequency = np.asarray(one["x"], dtype=float)
    values = np.asarray((scale or 1.0) * one["data"], dtype=complex)
    kind = KINDS[one["ordinate_spec_data_type"]]
    return Curve(response, reference, frequency, values, kind, scale is not None)
