"""`to_state_space` as python-control sees it: poles and frequency responses, against our own sums over poles.

The vehicles are rigid ones with moderate mounts: state-space forms lose digits on stiff frames.
"""

import control
import numpy as np
import pytest

from counterbounce.model.modes import modes
from counterbounce.model.response import dynamics
from counterbounce.model.state_space import to_state_space

MOTIONS = ("displacement", "velocity", "acceleration")


@pytest.fixture(params=["quarter", "half", "cab and seat", "rotating body", "tandem"])
def vehicle(request, fleet):
    return fleet(request.param).vehicle


def response(one, frequencies):
    """(frequencies, outputs, inputs), by python-control."""
    peer = control.ss(*one.matrices)
    answer = control.frequency_response(peer, 2 * np.pi * frequencies, squeeze=False)
    return np.moveaxis(answer.complex, -1, 0)


def differentiated(rise, frequencies, motion):
    """Displacements (frequencies, ...) as another motion."""
    power = MOTIONS.index(motion)
    return rise * (2j * np.pi * frequencies[:, None, None]) ** power


def close(ours, peer):
    return np.allclose(ours, peer, rtol=1e-7, atol=1e-9 * np.abs(peer).max())


@pytest.mark.parametrize("road", ["height", "rate"])
def test_its_poles_are_the_vehicles(vehicle, road):
    """And one at rest for each road whose height has become a state."""
    one = to_state_space(vehicle, vehicle.roads, [], road)
    known = modes(vehicle).poles.ravel()
    at_rest = np.zeros(len(vehicle.roads) if road == "rate" else 0)
    # a pole at rest is found to within the rounding of the largest
    ours = np.sort_complex(np.concatenate([known, at_rest]))
    assert np.allclose(np.sort_complex(control.poles(control.ss(*one.matrices))), ours, rtol=1e-8, atol=1e-7)


@pytest.mark.parametrize("road", ["height", "rate"])
@pytest.mark.parametrize("motion", MOTIONS)
def test_forces(vehicle, frequencies, motion, road):
    names = list(vehicle.points)
    rows = [vehicle.points[name].row for name in names]
    one = to_state_space(vehicle, names, [(motion, name) for name in names], road)
    known = differentiated(dynamics(vehicle).receptance(frequencies, rows, rows), frequencies, motion)
    assert close(response(one, frequencies), known)


@pytest.mark.parametrize("motion", ["displacement", "velocity"])
def test_heights_of_the_road(vehicle, frequencies, motion):
    points = vehicle.points
    one = to_state_space(vehicle, vehicle.roads, [(motion, name) for name in points])
    rise = dynamics(vehicle).road_response(frequencies, [p.row for p in points.values()])
    assert close(response(one, frequencies), differentiated(rise, frequencies, motion))


@pytest.mark.parametrize("motion", MOTIONS)
def test_rates_of_the_road(vehicle, frequencies, motion):
    """The road's height is its rate over i omega."""
    points = vehicle.points
    one = to_state_space(vehicle, vehicle.roads, [(motion, name) for name in points], "rate")
    rise = dynamics(vehicle).road_response(frequencies, [p.row for p in points.values()])
    known = differentiated(rise, frequencies, motion) / (2j * np.pi * frequencies[:, None, None])
    assert close(response(one, frequencies), known)


def test_a_road_and_a_force_together(fleet, frequencies):
    """Which column is which, and the acceleration of a body that the road's dampers do not reach."""
    vehicle = fleet("half").vehicle
    one = to_state_space(vehicle, ["rear end", "road.rear"], [("acceleration", "front end")])
    front, rear = vehicle.points["front end"].row, vehicle.points["rear end"].row
    ready = dynamics(vehicle)
    pushed = ready.receptance(frequencies, [front], [rear])
    driven = ready.road_response(frequencies, [front])[..., [1]]
    known = differentiated(np.concatenate([pushed, driven], axis=-1), frequencies, "acceleration")
    assert close(response(one, frequencies), known)


def test_its_names_suit_python_control(fleet):
    one = to_state_space(fleet("half").vehicle, ["road.rear"], [("velocity", "rear end")], "rate")
    peer = control.ss(*one.matrices, **one.labels)
    assert peer.input_labels == ["rate of road rear [m/s]"]
    assert peer.output_labels == ["velocity of rear end [m/s]"]
    assert peer.state_labels[-1] == "height of road rear [m]"
