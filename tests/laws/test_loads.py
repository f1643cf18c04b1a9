"""Statics: where a weight goes."""

import numpy as np
import pytest

from counterbounce.model.matrices import matrices
from counterbounce.sizing.ratings import load_change


@pytest.fixture
def changes(built):
    """(station, change of load under each axle) of 100 kg on each point that rises."""
    system = matrices(built.vehicle)
    points = [p for p in built.vehicle.points.values() if p.direction == "vertical"]
    return [(p.station, load_change(system, p.row, 100.0)) for p in points]


def test_loads_under_the_axles_sum_to_the_weight(changes):
    for _, change in changes:
        assert change.sum() == pytest.approx(100.0, rel=1e-9)


def test_moments_about_the_first_axle_balance(built, changes):
    """However many axles there are; with two this is the lever rule."""
    if built.vehicle.kind == "quarter":
        pytest.skip("a quarter vehicle has one station")
    stations = np.array([axle.station for axle in built.vehicle.axles])
    for station, change in changes:
        assert change @ stations == pytest.approx(100.0 * station, abs=1e-6)
