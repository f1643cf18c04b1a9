"""What two weights may be together: every rating of a case as a line, for each is linear in both of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .ratings import RatingCheck, load_change, rating_checks
from .study import Host

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Weights:
    """Two masses m [kg] are allowed where per_kilogram @ m <= room, for K limits.

    per_kilogram  what a kilogram of each uses up, in the unit of the limit per kilogram, (K, 2)
    room          what is left without them, in the unit of the limit, (K,)

    >>> one = Weights(np.array([[1.0, 1.0], [-0.5, 1.5]]), np.array([60.0, 50.0]))
    >>> one.used(np.array([20.0, 40.0])).tolist(), one.most(0), round(one.most(1), 2)
    ([1.0, 1.0], 60.0, 33.33)
    """

    per_kilogram: Floats
    room: Floats

    def used(self, m: Floats) -> Floats:
        """The share of each limit that two masses use up [-], candidates + (K,).

        m  [kg] of both, candidates + (2,)
        """
        return np.asarray((m @ self.per_kilogram.T) / np.maximum(self.room, 1e-9))

    def most(self, which: int) -> float:
        """The heaviest that one of them may be alone [kg].

        which  0: the first, 1: the second [-]
        """
        using = self.per_kilogram[:, which] > 0
        return float(np.min(self.room[using] / self.per_kilogram[using, which], initial=np.inf))


def weights(one: Host, places: Sequence[str], together: float, ratings: bool = True) -> Weights:
    """The limits of a case for weights at two of its places.

    together  [kg] that both may weigh
    ratings   whether axle, tyre and weight ratings hold, too

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> found = weights(host(small_case()), ("front end", "rear end"), 60.0)
    >>> found.room.round(3).tolist(), found.per_kilogram.round(3).tolist()     # the axle: 50 kg are left
    ([60.0, 50.0], [[1.0, 1.0], [-0.25, 1.5]])
    """
    if not ratings:
        return Weights(np.ones((1, 2)), np.array([together]))
    room = _left(one, "", one.loads)
    each = [room - _left(one, place, _loaded(one, {place: 1.0})) for place in places]
    return Weights(
        np.vstack([np.ones((1, 2)), np.array(each).T.reshape(-1, 2)]), np.concatenate([[together], room])
    )


def both_checks(one: Host, masses: Mapping[str, float]) -> tuple[RatingCheck, ...]:
    """Every rating of the case, before and with weights at several places.

    masses  [kg] by place

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> [(c.name, round(c.after, 2), c.met) for c in both_checks(host(small_case()), {"rear end": 20.0})]
    [('rear axle rating', 2730.0, True)]
    """
    after = _loaded(one, masses)
    total, room = sum(after.values()), _left(one, "", one.loads)
    for place, kilograms in masses.items():
        room = room - kilograms * (_left(one, "", one.loads) - _left(one, place, _loaded(one, {place: 1.0})))
    checks = rating_checks(one.case, one.loads, after)
    return tuple(
        replace(
            check, after=float(check.limit - _sign(check) * left / (total if check.unit != "kg" else 1.0))
        )
        for check, left in zip(checks, room, strict=True)
    )


def _loaded(one: Host, masses: Mapping[str, float]) -> dict[str, float]:
    """Load on the ground under each axle [kg] with weights at places."""
    system, points = one.ready.system, one.vehicle.points
    added = sum(load_change(system, points[place].row, kilograms) for place, kilograms in masses.items())
    return dict(zip(one.loads, np.array([*one.loads.values()]) + added, strict=True))


def _left(one: Host, place: str, after: Mapping[str, float]) -> Floats:
    """What is left of each limit; a share or a height times what the vehicle weighs, for that is linear."""
    checks, total = rating_checks(one.case, one.loads, after, place), sum(after.values())
    return np.array(
        [_sign(c) * (c.limit - c.after) * (total if c.unit != "kg" else 1.0) for c in checks], dtype=float
    )


def _sign(check: RatingCheck) -> int:
    return -1 if check.floor else 1
