"""Where labels go so that they do not cover each other."""

from __future__ import annotations

from collections.abc import Sequence
from math import dist


def spread_out(wanted: Sequence[float], gap: float) -> list[float]:
    """Positions as near as can be to those wanted, in order, at least a gap apart; groups move together.

    wanted  [any unit], ascending
    gap     [the same]

    >>> spread_out([1.0, 1.2, 5.0], 1.0)
    [0.6, 1.6, 5.0]
    """
    groups: list[tuple[float, int]] = []  # middle, members
    for position in wanted:
        groups.append((position, 1))
        while len(groups) > 1 and _touch(groups[-2], groups[-1], gap):
            (one, n), (two, m) = groups[-2:]
            groups[-2:] = [((one * n + two * m) / (n + m), n + m)]
    return [
        round(middle + (i - (members - 1) / 2) * gap, 9) for middle, members in groups for i in range(members)
    ]


def _touch(lower: tuple[float, int], upper: tuple[float, int], gap: float) -> bool:
    return upper[0] - lower[0] < gap * (lower[1] + upper[1]) / 2


def joined(names: Sequence[str]) -> str:
    """Names as a person lists them.

    >>> joined(["front", "rear 1", "rear 2"]), joined(["rear"])
    ('front, rear 1 and rear 2', 'rear')
    """
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


Point = tuple[float, float]


def free_place(
    places: Sequence[tuple[Point, Point]], taken: Sequence[tuple[Point, Point]], gap: float
) -> int | None:
    """The first of some line segments that keeps a gap to all that are taken; None where none does.

    gap  [same unit as the points]

    >>> free_place([((0, 0), (1, 0)), ((0, 1), (1, 1))], [((0.5, 0.1), (0.5, 0.1))], 0.5)
    1
    """
    for i, place in enumerate(places):
        if all(_distance(place, other) >= gap for other in taken):
            return i
    return None


def _distance(one: tuple[Point, Point], other: tuple[Point, Point], steps: int = 12) -> float:
    """Between two segments, near enough for labels: by points along both."""
    along = [i / steps for i in range(steps + 1)]
    return min(dist(_between(one, s), _between(other, t)) for s in along for t in along)


def _between(segment: tuple[Point, Point], share: float) -> Point:
    (x0, y0), (x1, y1) = segment
    return x0 + share * (x1 - x0), y0 + share * (y1 - y0)
