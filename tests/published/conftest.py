"""What several published checks share.

`bench`: a host of unit mass and spring, and what hangs on it, in NumPy and SciPy that know nothing of the
code they check.  `g` is frequency over the host's natural frequency; an attachment is the dynamic stiffness
that the host feels of it.
"""

from types import SimpleNamespace

import numpy as np
import pytest
from scipy.linalg import solve_continuous_lyapunov
from scipy.optimize import minimize, minimize_scalar

from counterbounce.model.points import Point, Row
from counterbounce.sizing.pair import PairRoad
from counterbounce.sizing.pair_problem import Footing
from counterbounce.sizing.pair_weights import Weights


def hung(g, mass, tuning, damping_ratio, carried=0.0):
    """A mass on a spring and dashpot; `carried` is what hangs on that mass in its turn."""
    link = mass * (tuning**2 + 2j * damping_ratio * tuning * g)
    inertia = carried - mass * g**2
    return link * inertia / (link + inertia)


def displacement(g, felt, host_damping_ratio=0.0):
    """Of a host pushed by a force, over its static displacement."""
    return abs(1 / (1 - g**2 + 2j * host_damping_ratio * g + felt))


def acceleration(g, felt):
    """Of a host pushed by a force, over force / mass."""
    return g**2 * displacement(g, felt)


def relative_displacement(g, felt):
    """Of a host on an accelerating base, over base acceleration / w_host^2; the base moves the damper too."""
    return abs(1 - felt / g**2) * displacement(g, felt)


def absolute_acceleration(g, felt):
    """Of a host on an accelerating base, over the base's: relative part and base together."""
    relative = -(1 - felt / g**2) / (1 - g**2 + felt)
    return abs(1 - g**2 * relative)


def peaks(curve, low=0.3, high=2.0, count=4000):
    """Every local maximum of curve(g), polished between the points of the grid, lowest frequency first."""
    g = np.linspace(low, high, count) + 1e-7  # off the round numbers: the host alone is infinite at g = 1
    height = curve(g)
    tops = 1 + np.flatnonzero((height[1:-1] >= height[:-2]) & (height[1:-1] >= height[2:]))
    around = [(g[top - 1], g[top + 1]) for top in tops]
    polish = {"method": "bounded", "options": {"xatol": 1e-11}}
    return [-minimize_scalar(lambda x: -curve(x), bounds=pair, **polish).fun for pair in around]


def minimax(curve, start, bounds, g):
    """Parameters that make the largest of curve(g, *parameters) over the grid g least."""
    lid = curve(g, *start).max()
    fit = minimize(
        lambda unknown: unknown[-1],
        [*start, lid],
        method="SLSQP",
        bounds=[*bounds, (0, 2 * lid)],
        constraints={"type": "ineq", "fun": lambda unknown: unknown[-1] - curve(g, *unknown[:-1])},
        options={"maxiter": 500, "ftol": 1e-13},
    )
    return fit.x[:-1]


def chain(masses, links):
    """M, C, K of a host (index 0, unit spring to the ground) and links (i, j, rate, damping)."""
    damping, stiffness = np.zeros((2, len(masses), len(masses)))
    stiffness[0, 0] = 1.0
    for i, j, rate, dashpot in links:
        row = np.eye(len(masses))[i] - np.eye(len(masses))[j]
        stiffness += rate * np.outer(row, row)
        damping += dashpot * np.outer(row, row)
    return np.diag(masses), damping, stiffness


def first_order(mass, damping, stiffness):
    """The system matrix of (displacements, velocities)."""
    count = len(mass)
    below = np.linalg.solve(mass, np.hstack([-stiffness, -damping]))
    return np.vstack([np.hstack([np.zeros((count, count)), np.eye(count)]), below])


def variance(mass, damping, stiffness, push):
    """Of the host's displacement under white noise of unit intensity along `push`, by Lyapunov's equation."""
    count = len(mass)
    kick = np.concatenate([np.zeros(count), np.linalg.solve(mass, push)])
    return solve_continuous_lyapunov(first_order(mass, damping, stiffness), -np.outer(kick, kick))[0, 0]


def modes(mass, damping, stiffness):
    """Natural frequencies and damping ratios, by rising frequency."""
    roots = np.linalg.eigvals(first_order(mass, damping, stiffness))
    roots = sorted(roots[roots.imag > 0], key=abs)
    return np.abs(roots), np.array([-root.real / abs(root) for root in roots])


@pytest.fixture(scope="session")
def bench():
    return SimpleNamespace(
        hung=hung,
        displacement=displacement,
        acceleration=acceleration,
        relative_displacement=relative_displacement,
        absolute_acceleration=absolute_acceleration,
        peaks=peaks,
        minimax=minimax,
        chain=chain,
        variance=variance,
        modes=modes,
    )


@pytest.fixture(scope="session")
def twin_footing():
    """The same host, of unit mass and spring and undamped, as what sizes pairs sees it: one place, twice.

    A function of the frequencies g (none of them 1), what both dampers weigh, and whether they are stacked.
    """

    def made(g, together, stacked=False):
        still = 1 / (1 - g**2) + 0j
        both = np.stack([still, still], axis=-1)
        body, push = (Point("body", 0.0, Row()),), (SimpleNamespace(name="push"),)
        give, flat = np.stack([both, both], axis=-1), np.ones_like(g)
        road = PairRoad(g, still[:, None], both[:, None], give, both, flat, g, body, push, stacked)
        return Footing(("body", "body"), road, len(g), Weights(np.ones((1, 2)), np.array([together])))

    return made
