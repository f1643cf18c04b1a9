"""What a state-space form is called, and what it refuses."""

import numpy as np
import pytest

from counterbounce.model.example import small_truck
from counterbounce.model.parts import damper
from counterbounce.model.points import at
from counterbounce.model.state_space import to_state_space


def test_axes_have_names_and_units(fleet):
    one = to_state_space(fleet("rotating body").vehicle, ["rear end", "road.rear"], [("acceleration", "box")])
    assert [str(s) for s in one.inputs] == ["force at rear end [N]", "height of road.rear [m]"]
    assert [str(s) for s in one.outputs] == ["acceleration of box [m/s^2]"]
    units = {s.name: s.unit for s in one.states}
    assert units["body.box.pitch"] == "rad"
    assert units["body.box"] == "m"
    n = len(one.states)
    assert (one.A.shape, one.B.shape, one.C.shape, one.D.shape) == ((n, n), (n, 2), (1, n), (1, 2))


def test_an_axles_acceleration_over_heights_is_refused(fleet):
    """The tyre's damper passes a step of the road to the axle at once, so its acceleration is an impulse."""
    vehicle = fleet("half").vehicle
    with pytest.raises(ValueError, match="road='rate'"):
        to_state_space(vehicle, ["road.rear"], [("acceleration", "axle.rear")])
    assert to_state_space(vehicle, ["road.rear"], [("acceleration", "rear end")]).D.shape == (1, 1)


def test_without_a_damper_on_the_road_nothing_is_refused():
    """A step of the road then squeezes the tyre alone: k / m of it [1/s^2]."""
    vehicle = small_truck()
    still = type(vehicle)(**{**vars(vehicle), "parts": tuple(p for p in vehicle.parts if not on_road(p))})
    one = to_state_space(still, ["road.rear"], [("acceleration", "axle.rear")])
    assert np.isclose(one.D.item(), 3.2e6 / 500, rtol=1e-12)


def on_road(part):
    return part.kind == "damper" and any(c.startswith("road.") for c in part.row)


def test_names_that_are_not_there_are_refused():
    with pytest.raises(KeyError, match="rear end"):
        to_state_space(small_truck(), ["rear ent"], [])
    with pytest.raises(KeyError, match="front end"):
        to_state_space(small_truck(), [], [("velocity", "front ent")])
    with pytest.raises(ValueError, match="velocity"):
        to_state_space(small_truck(), [], [("speed", "front end")])


def test_a_damper_between_a_point_and_the_road_shows_at_once():
    """The velocity of the axle follows a step of the road's height by c / m of it."""
    vehicle = small_truck()
    wide = type(vehicle)(
        **{
            **vars(vehicle),
            "parts": (*vehicle.parts, damper("extra", 700.0, at("axle.rear"), at("road.rear"))),
        }
    )
    one = to_state_space(wide, ["road.rear"], [("velocity", "axle.rear")])
    before = to_state_space(vehicle, ["road.rear"], [("velocity", "axle.rear")])
    assert np.isclose((one.D - before.D).item(), 700.0 / 500.0, rtol=1e-12)
