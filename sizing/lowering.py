"""The step that every minimax here is made of: the last variable lowered under constraints with slopes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def lowered(
    constraints: Callable[[Floats], tuple[Floats, Floats]],
    z: Floats,
    box: Sequence[tuple[float, float]],
    kept: NDArray[np.intp],
    steps: int,
    within: float,
) -> Floats:
    """Lower the last of some variables as far as constraints allow, by SLSQP.

    constraints  values g(z) >= 0 and their slopes [-]
    z            where to start, each in the unit of the problem [any]
    box          least and most of each [any]
    kept         which constraints are looked at [-]
    steps        at most [-]
    within       of the last variable [any]

    >>> over = lambda z: (np.array([z[1] - (z[0] - 2) ** 2]), np.array([[-2 * (z[0] - 2), 1.0]]))
    >>> box = [(0.0, 5.0), (0.0, 9.0)]
    >>> lowered(over, np.array([0.0, 5.0]), box, np.array([0]), 50, 1e-9)[0].round(3).item()
    2.0
    """
    from scipy import optimize

    slope = np.eye(len(z))[-1]
    constraint = {
        "type": "ineq",
        "fun": lambda z: constraints(z)[0][kept],
        "jac": lambda z: constraints(z)[1][kept],
    }
    minimize: Any = optimize.minimize  # the stubs ask for more than the function does
    answer = minimize(
        lambda z: (z[-1], slope),
        z,
        jac=True,
        method="SLSQP",
        bounds=box,
        constraints=constraint,
        options={"maxiter": steps, "ftol": within},
    )
    return np.asarray(answer.x)
