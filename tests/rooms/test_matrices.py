"""M, C, K and what the road pushes with, against matrices written out by hand."""

import numpy as np
import pytest

from counterbounce.model.matrices import assemble, matrices
from counterbounce.model.parts import damper, mass, spring
from counterbounce.model.plan import AxlePlan, Plan
from counterbounce.model.points import Row, at


@pytest.fixture
def quarter(shop):
    names = {
        "unsprung_mass": 45.0,
        "spring_rate": 16e3,
        "damping": 1e3,
        "tyre_rate": 160e3,
        "tyre_damping": 50.0,
    }
    values = shop.table("axle.wheel", station=0.0, **names) | {"vehicle.sprung_mass": 250.0}
    return matrices(shop.built(Plan("quarter", (AxlePlan("wheel"),)), values).vehicle)


def test_a_quarter_vehicle_written_out(quarter):
    assert quarter.coordinates == ("bounce", "axle.wheel")
    assert quarter.M.tolist() == [[250.0, 0.0], [0.0, 45.0]]
    assert quarter.K.tolist() == [[16e3, -16e3], [-16e3, 176e3]]
    assert quarter.C.tolist() == [[1e3, -1e3], [-1e3, 1050.0]]
    assert (quarter.push_0.tolist(), quarter.push_1.tolist()) == ([[0.0], [160e3]], [[0.0], [50.0]])


def test_a_massless_axle_lets_the_road_push_the_body(textbook):
    system = textbook("b5_rao_rough_road").matrices
    assert system.push_0.tolist() == system.K.tolist() == [[400e3]]
    assert np.array_equal(system.push_1, system.C)


def test_a_half_vehicle_written_out(textbook):
    """Over rise at the centre of gravity and pitch: sums of k, k a, k a^2."""
    one = textbook("b2_rao_bounce_pitch")
    frame = one.vehicle.frame
    change = np.array([[row[c] for c in frame.coordinates] for row in (frame.row(1.0), frame.slope(1.0))])
    back = np.linalg.inv(change)
    stiffness, inertia = back.T @ one.matrices.K @ back, back.T @ one.matrices.M @ back
    assert np.allclose(stiffness, [[40e3, 15e3], [15e3, 18e3 + 22e3 * 1.5**2]], rtol=1e-12)
    assert np.allclose(inertia, np.diag([1000.0, 810.0]), atol=1e-9)


def test_assembly_takes_one_kind_and_the_columns_asked_for():
    parts = [
        spring("a", 3.0, at("x"), at("road")),
        spring("b", 5.0, at("x"), at("y")),
        damper("c", 7.0, at("y"), Row()),
        mass("d", 2.0, Row(x=0.5, y=0.5)),
    ]
    assert assemble(parts, "spring", ("x", "y")).tolist() == [[8.0, -5.0], [-5.0, 5.0]]
    assert assemble(parts, "spring", ("x", "y"), ("road",)).tolist() == [[-3.0], [0.0]]
    assert assemble(parts, "damper", ("x", "y")).tolist() == [[0.0, 0.0], [0.0, 7.0]]
    assert assemble(parts, "mass", ("x", "y")).tolist() == [[0.5, 0.5], [0.5, 0.5]]
    assert assemble(parts[:2], "mass", ("x", "y")).tolist() == [[0.0, 0.0], [0.0, 0.0]]
