"""Poles that coalesce, weightings, and how levels of several causes add."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.comfort import weighting_factor
from counterbounce.model.matrices import matrices
from counterbounce.model.modes import modes
from counterbounce.model.plan import AxlePlan, Plan
from counterbounce.model.points import Point, Row
from counterbounce.model.response import dynamics, felt_per_metre, plain_receptance, sweep
from counterbounce.model.road import Input, Level
from counterbounce.sizing.absorber import tuned, with_damper

HOST, OMEGA, RATIO = 1000.0, 2 * np.pi * 2.0, 0.05


def bifurcating(shop, off=1.0):
    """An undamped host of 2 Hz with the damper at which both pole pairs meet; `off` times as damped.

    f = 1 / (1 + u), z = sqrt(u / (1 + u)): F. Sadek et al., Earthquake Eng. Struct. Dyn. 26 (1997), undamped.
    """
    values = shop.table("axle.wheel", station=0.0, spring_rate=HOST * OMEGA**2, damping=0.0)
    plan = Plan("quarter", (AxlePlan("wheel", massless=True),))
    host = shop.built(plan, values | {"vehicle.sprung_mass": HOST}).vehicle
    hung = tuned("body", RATIO * HOST, 2.0 / (1 + RATIO), off * np.sqrt(RATIO / (1 + RATIO)))
    return with_damper(host, hung)


def by_solving(vehicle, frequencies):
    """Receptances and road responses of body and damper, one dense solve a frequency."""
    system, omega = matrices(vehicle), 2 * np.pi * frequencies
    own = np.eye(2)
    push = system.push_0 + 1j * omega[:, None, None] * system.push_1
    stiffness = system.K + 1j * omega[:, None, None] * system.C - omega[:, None, None] ** 2 * system.M
    return plain_receptance(system, omega, own, own), np.linalg.solve(stiffness, push)


@pytest.mark.parametrize(("off", "by_poles"), [(1.0, False), (1 + 1e-9, None), (1.03, True), (0.7, True)])
def test_where_poles_coalesce_each_frequency_is_solved(shop, off, by_poles):
    """Both ways give one answer, on the point, beside it and well off it."""
    vehicle = bifurcating(shop, off)
    ready, frequencies = dynamics(vehicle), np.linspace(0.1, 6.0, 120)
    if by_poles is not None:
        assert (ready._poles is not None) == by_poles
    unit = [{c: 1.0} for c in ready.system.coordinates]
    receptance, road = by_solving(vehicle, frequencies)
    assert np.allclose(ready.receptance(frequencies, unit, unit), receptance, rtol=1e-9)
    assert np.allclose(ready.road_response(frequencies, unit), road, rtol=1e-9)
    columns = np.exp(1j * frequencies)[:, None]
    assert np.allclose(ready.along(frequencies, columns, unit), road[..., 0] * columns, rtol=1e-9)


def test_modes_on_that_point(shop):
    """Both damping ratios sqrt(u) / 2, both frequencies w / sqrt(1 + u), a double root: half the digits."""
    found = modes(bifurcating(shop))
    assert found.damping_ratio == pytest.approx([0.111803] * 2, rel=1e-4)
    assert found.natural / OMEGA == pytest.approx([0.975900] * 2, rel=1e-4)


def test_what_is_felt_fades_from_25_hz_and_is_nothing_above_30_hz():
    point = Point("seat", 0.0, Row(), weighting="Wk")
    plain = Point("floor", 0.0, Row())
    frequency = np.array([[2.0, 24.9], [30.1, 80.0]])
    felt = felt_per_metre(frequency, [plain, point])
    assert felt.shape == (2, 2, 2)
    assert (felt[1] == 0).all()
    assert felt[0, :, 0] == pytest.approx((2 * np.pi * frequency[0]) ** 2 / np.sqrt(2))
    assert felt[0, :, 1] / felt[0, :, 0] == pytest.approx(weighting_factor("Wk", frequency[0]))
    fading = np.linspace(25, 30, 21)
    share = felt_per_metre(fading, [plain])[:, 0] / fading**2
    assert (np.diff(share) < 0).all()
    assert share[10] / share[0] == pytest.approx(0.5)


def test_causes_add_as_powers_and_parts_of_one_order_at_worst_as_they_are(fleet):
    vehicle, speeds = fleet("half").vehicle, np.linspace(8, 30, 12)
    levels = Level(1e-3, 2e-3)
    orders = [("wheel", 1, [1, 0]), ("wheel", 1, [0, 1]), ("wheel", 2, [1, 0]), ("joints", 1, [1, 1])]
    causes = [
        Input(f"{k} {o} {s}", k, o, None, 0.4 * o, np.array(s, dtype=complex), levels) for k, o, s in orders
    ]
    unknown = Input("shaft", "propshaft", 4.1, None, 1.6, np.zeros(2, dtype=complex), None)
    found = sweep(dynamics(vehicle), [*causes, unknown], speeds, vehicle.watched)
    assert found.inputs == tuple(causes)
    assert found.total() ** 2 == pytest.approx((found.typical**2).sum(axis=0))
    a, b, c, d = found.worst
    assert found.total_worst() == pytest.approx(np.sqrt((a + b) ** 2 + c**2 + d**2))
    assert a == pytest.approx(2 * found.typical[0])


def test_nothing_heard_is_nothing_felt(fleet):
    vehicle, speeds = fleet("half").vehicle, np.linspace(8, 30, 5)
    silent = replace(fleet("half").causes[0], height=None)
    found = sweep(dynamics(vehicle), [silent], speeds, vehicle.watched)
    assert found.typical.shape == (0, 5, 2)
    assert (found.total() == 0).all()
    assert (found.total_worst() == 0).all()
