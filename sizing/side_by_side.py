"""Two vehicles: modes paired by shape, critical speeds, loads, and whether the old damper still suits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..model.case import Case
from ..model.points import Row
from ..model.speeds import CriticalSpeed
from .assess import Assessment, assess
from .in_hand import Tried, try_damper
from .study import Host, Progress, quiet

Floats = NDArray[np.float64]

ALIKE = 0.35  # modal assurance below which two shapes are not one mode
SAMPLES = 9  # stations of the frame that shapes are compared at


@dataclass(frozen=True)
class Pair:
    """One mode in both vehicles, or a mode that only one of them has (the other index is None).

    likeness  modal assurance criterion of the two shapes at their common points [-]
    """

    first: int | None
    second: int | None
    likeness: float


@dataclass(frozen=True)
class CriticalPair:
    """One input meeting one mode, in either vehicle; None where one of them has no such thing."""

    cause: str
    first: CriticalSpeed | None
    second: CriticalSpeed | None


@dataclass(frozen=True)
class SideBySide:
    """Two cases, assessed, and what belongs together in them.

    kept  the damper of the first, hung on the second; None where the first has none, or the second no such
        place
    """

    first: Assessment
    second: Assessment
    pairs: tuple[Pair, ...]
    critical: tuple[CriticalPair, ...]
    kept: Tried | None


def side_by_side(one: Case, other: Case, progress: Progress = quiet) -> SideBySide:
    """Assess two cases and pair their modes by shape and their critical speeds by input and mode.

    >>> from ..model.example import small_case
    >>> found = side_by_side(small_case(), small_case())
    >>> [(pair.first, pair.second, round(pair.likeness, 3)) for pair in found.pairs]
    [(0, 0, 1.0), (1, 1, 1.0), (2, 2, 1.0), (3, 3, 1.0)]
    >>> found.kept.verdict.outcome.value
    'helps'
    """
    first, second = assess(one, progress), assess(other, progress)
    pairs = pair_modes(first.host, second.host)
    kept = None
    if first.sized and first.sized.found.damper.place in second.host.vehicle.points:
        progress("hanging the first damper on the second vehicle")
        kept = try_damper(other, first.sized.found.damper, progress)
    return SideBySide(first, second, pairs, _pair_speeds(first.host, second.host, pairs), kept)


def pair_modes(one: Host, other: Host) -> tuple[Pair, ...]:
    """Modes below 30 Hz paired so that the sum of their likeness is largest; the rest stand alone, by
    frequency.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> one = host(small_case())
    >>> [(pair.first, pair.second) for pair in pair_modes(one, one)]
    [(0, 0), (1, 1), (2, 2), (3, 3)]
    """
    from scipy.optimize import linear_sum_assignment

    shapes = [_shapes(h, rows) for h, rows in zip((one, other), _common_rows(one, other), strict=True)]
    heard = [np.flatnonzero(h.modes.frequency_hz < 30.0) for h in (one, other)]
    likeness = modal_assurance(shapes[0][:, heard[0]], shapes[1][:, heard[1]])
    rows, columns = linear_sum_assignment(-likeness)
    kept = [(int(r), int(c)) for r, c in zip(rows, columns, strict=True) if likeness[r, c] >= ALIKE]
    pairs = [Pair(int(heard[0][r]), int(heard[1][c]), float(likeness[r, c])) for r, c in kept]
    alone = [Pair(int(m), None, 0.0) for i, m in enumerate(heard[0]) if i not in {r for r, _ in kept}]
    alone += [Pair(None, int(m), 0.0) for i, m in enumerate(heard[1]) if i not in {c for _, c in kept}]
    return tuple(sorted([*pairs, *alone], key=lambda p: _frequency(p, one, other)))


def _frequency(pair: Pair, one: Host, other: Host) -> float:
    if pair.first is not None:
        return float(one.modes.frequency_hz[pair.first])
    return float(other.modes.frequency_hz[pair.second or 0])


def modal_assurance(one: Floats, other: Floats) -> Floats:
    """|a . b|^2 / (a . a)(b . b) [-] of shapes at common points, (modes of one, modes of other).

    one, other  rise of each point [m per unit amplitude], (points, modes)

    Source: the modal assurance criterion, Allemang and Brown 1982; from memory.

    >>> modal_assurance(np.array([[1.0], [2.0]]), np.array([[2.0, 2.0], [4.0, -1.0]])).round(6).tolist()
    [[1.0, 0.0]]
    """
    cross = (one.T @ other) ** 2
    sizes = np.outer((one**2).sum(axis=0), (other**2).sum(axis=0))
    return np.asarray(cross / np.maximum(sizes, 1e-300))


def _common_rows(one: Host, other: Host) -> tuple[list[Row], list[Row]]:
    """Rows of the points that both vehicles have: along the frame, and axles, bodies and points by name."""
    a, b = one.vehicle, other.vehicle
    names = [n for n, p in a.points.items() if p.direction == "vertical" and n in b.points]
    lists = [a.points[n].row for n in names], [b.points[n].row for n in names]
    if "quarter" not in (a.kind, b.kind):
        stations = np.linspace(max(a.frame.front, b.frame.front), min(a.frame.rear, b.frame.rear), SAMPLES)
        for rows, vehicle in zip(lists, (a, b), strict=True):
            rows += [vehicle.frame.row(float(x)) for x in stations]
    return lists


def _shapes(one: Host, rows: Sequence[Row]) -> Floats:
    return np.array([one.modes.shape_at(row) for row in rows]).reshape(len(rows), len(one.modes.undamped))


def _pair_speeds(one: Host, other: Host, pairs: Sequence[Pair]) -> tuple[CriticalPair, ...]:
    partner = {p.first: p.second for p in pairs}
    theirs: dict[tuple[str, int | None], CriticalSpeed] = {(c.cause.name, c.mode): c for c in other.critical}
    found = []
    for mine in one.critical:
        same = theirs.pop((mine.cause.name, partner.get(mine.mode)), None)
        found.append(CriticalPair(mine.cause.name, mine, same))
    found += [CriticalPair(c.cause.name, None, c) for c in theirs.values()]
    return tuple(sorted(found, key=_worst, reverse=True))


def _worst(pair: CriticalPair) -> float:
    return max((c.typical or 0.0) for c in (pair.first, pair.second) if c is not None)
