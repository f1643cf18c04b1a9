"""Frequency responses against pyyeti's solvers for M, C, K: every vehicle, bending frames included."""

import numpy as np
import pytest
from pyyeti import ode

from counterbounce.model.matrices import matrices
from counterbounce.model.response import dynamics


@pytest.fixture(scope="module")
def system(built):
    return matrices(built.vehicle)


def solved(system, frequencies, force, solver):
    """Motion of every coordinate, (coordinates, frequencies), under forces (coordinates, frequencies)."""
    return solver(system.M, system.C, system.K).fsolve(force, frequencies).d


@pytest.mark.parametrize("solver", [ode.FreqDirect, ode.SolveUnc])
def test_receptances(built, system, frequencies, solver):
    """A newton on each coordinate in turn."""
    unit = [{c: 1.0} for c in system.coordinates]
    ours = dynamics(built.vehicle).receptance(frequencies, unit, unit)
    own = np.sqrt(np.abs(np.einsum("fii->fi", ours)))
    for i in range(len(unit)):
        force = np.zeros((len(unit), len(frequencies)))
        force[i] = 1.0
        peer = solved(system, frequencies, force, solver).T
        assert (np.abs(ours[:, :, i] - peer) <= 1e-8 * own * own[:, [i]]).all()


def test_road_along_a_slab(built, system, frequencies):
    """Columns of a slab's third harmonic, as a speed sweep asks them."""
    cause = next(c for c in built.causes if c.order == 3)
    columns = np.repeat(cause.shape[None], len(frequencies), axis=0)
    force = system.push_0 @ columns.T + 2j * np.pi * frequencies * (system.push_1 @ columns.T)
    peer = solved(system, frequencies, force, ode.FreqDirect).T
    unit = [{c: 1.0} for c in system.coordinates]
    ours = dynamics(built.vehicle).along(frequencies, columns, unit)
    assert np.allclose(ours, peer, rtol=1e-7, atol=1e-9 * np.abs(peer).max())
