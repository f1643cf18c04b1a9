"""How true wheels have to be, and what it brings to turn two tyres of one hub against each other.

Levels go with the height of a wheel's run-out, and different causes add as powers, so the run-out that is
good enough has a closed form.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

STUDS = 8  # [-] of a wheel: a pair can be turned by whole holes only; common practice, no source
SECOND_TYRE = 0.7  # [-] of a pair's tyres, the smaller run-out over the larger: common practice, no source


def good_enough(rest: ArrayLike, wheels: ArrayLike, level: ArrayLike) -> float:
    """The largest share of the wheels' run-out [-] that keeps a level everywhere; 0 where none does.

        s = min sqrt((L^2 - R^2) / W^2)

    rest    R [m/s^2] r.m.s. of all other causes, any shape
    wheels  W [m/s^2] r.m.s. of the wheels in question, same shape
    level   L [m/s^2] r.m.s. that is good enough; broadcasts

    Different causes add as powers, and each goes with its height: exact for a linear vehicle.

    >>> good_enough([0.0, 3.0], [1.0, 4.0], 5.0), good_enough([6.0], [1.0], 5.0)
    (1.0, 0.0)
    """
    room = np.asarray(level, dtype=float) ** 2 - np.asarray(rest, dtype=float) ** 2
    power = np.broadcast_to(np.square(np.asarray(wheels, dtype=float)), room.shape)
    heard = power > 0
    if np.any(room[~heard] < 0):
        return 0.0
    shares = np.clip(room[heard] / power[heard], 0.0, None)
    return float(np.sqrt(shares.min(initial=np.inf)))


def usual_pair(first: ArrayLike, second: ArrayLike) -> Floats:
    """Run-out of a dual pair whose tyres were put on as they came [any]: their mean, r.m.s. over phases.

        h = sqrt(a^2 + b^2) / 2

    first, second  a, b of the tyres alone [any]

    >>> float(usual_pair(3.0, 4.0))
    2.5
    """
    return np.asarray(np.hypot(first, second) / 2)


def clocked_pair(first: ArrayLike, second: ArrayLike, order: int = 1, studs: int = STUDS) -> Floats:
    """Run-out of a dual pair with high spot against low spot, as near as the holes allow [any].

        h = sqrt(a^2 + b^2 - 2 a b sin(x) / x) / 2,   x = n pi / N

    first, second  a, b of the tyres alone [any]
    order          n [-]
    studs          N [-]

    The vector sum of two tyres on one hub, r.m.s. over an error that is even between -pi/N and pi/N: common
    mathematics.  An order as high as the number of studs cannot be clocked.

    >>> round(float(clocked_pair(1.0, 0.7, studs=1000)), 4)     # near the plain difference
    0.15
    >>> round(float(clocked_pair(1.0, 0.7, 8, 8) / usual_pair(1.0, 0.7)), 4)
    1.0
    """
    a, b = np.asarray(first, dtype=float), np.asarray(second, dtype=float)
    held = np.sinc(order / studs)
    return np.asarray(np.sqrt(a**2 + b**2 - 2 * a * b * held) / 2)


def clocking_leaves(order: int) -> float:
    """What clocking leaves of a usual pair's run-out [-], its tyres as unlike as they usually are.

    order  [-]

    >>> round(clocking_leaves(1), 2)
    0.29
    """
    left = clocked_pair(1.0, SECOND_TYRE, order) / usual_pair(1.0, SECOND_TYRE)
    return min(float(left), 1.0)
