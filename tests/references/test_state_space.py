"""Poles and frequency responses against python-control.

State-space forms lose digits on stiff frames, so the vehicles here are rigid ones with moderate mounts;
bending frames are held against second-order solvers instead.
"""

import control
import numpy as np
import pytest

from counterbounce.model.modes import modes
from counterbounce.model.points import dense
from counterbounce.model.response import dynamics


@pytest.fixture(params=["quarter", "half", "cab and seat", "rotating body", "tandem"])
def vehicle(request, fleet):
    return fleet(request.param).vehicle


@pytest.fixture
def ready(vehicle):
    return dynamics(vehicle)


def state_space(system, outputs, push):
    """Heights of the points over forces along the columns of `push`."""
    n = len(system.coordinates)
    below = np.linalg.solve(system.M, np.hstack([-system.K, -system.C, push]))
    state = np.vstack([np.hstack([np.zeros((n, n)), np.eye(n)]), below[:, : 2 * n]])
    drive = np.vstack([np.zeros((n, push.shape[1])), below[:, 2 * n :]])
    return control.ss(state, drive, np.hstack([outputs, 0 * outputs]), 0)


def response(peer, frequencies):
    """(frequencies, outputs, inputs)"""
    answer = control.frequency_response(peer, 2 * np.pi * frequencies, squeeze=False)
    return np.moveaxis(answer.complex, -1, 0)


def test_poles(vehicle, ready):
    n = len(vehicle.coordinates)
    peer = state_space(ready.system, np.eye(n), np.eye(n))
    ours = np.sort_complex(modes(vehicle).poles.ravel())
    assert np.allclose(ours, np.sort_complex(control.poles(peer)), rtol=1e-8, atol=1e-8)


def test_natural_frequencies_and_damping_ratios(vehicle, ready):
    n = len(vehicle.coordinates)
    natural, ratio, _ = control.damp(state_space(ready.system, np.eye(n), np.eye(n)), doprint=False)
    found = modes(vehicle)
    assert np.allclose(np.sort(np.repeat(found.natural, 2)), np.sort(natural), rtol=1e-8)
    assert np.allclose(np.sort(np.repeat(found.damping_ratio, 2)), np.sort(ratio), rtol=1e-8)


def test_receptances(vehicle, ready, frequencies):
    points = [p.row for p in vehicle.points.values()]
    rows = dense(points, ready.system.coordinates)
    peer = response(state_space(ready.system, rows, rows.T), frequencies)
    ours = ready.receptance(frequencies, points, points)
    own = np.sqrt(np.abs(np.einsum("fii->fi", peer)))
    assert (np.abs(ours - peer) <= 1e-8 * own[:, :, None] * own[:, None, :]).all()


def test_road_responses(vehicle, ready, frequencies):
    """The road pushes with k u + c u': two inputs a wheel, the second turned by i omega."""
    points = [p.row for p in vehicle.points.values()]
    rows, system = dense(points, ready.system.coordinates), ready.system
    height, rate = (
        response(state_space(system, rows, push), frequencies) for push in (system.push_0, system.push_1)
    )
    peer = height + 2j * np.pi * frequencies[:, None, None] * rate
    assert np.allclose(ready.road_response(frequencies, points), peer, rtol=1e-7, atol=1e-9)
