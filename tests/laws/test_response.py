"""What receptances and road responses of every vehicle obey."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model import response
from counterbounce.model.matrices import matrices
from counterbounce.model.points import dense
from counterbounce.model.response import dynamics, plain_receptance, sweep


@pytest.fixture(scope="module")
def ready(built):
    return dynamics(built.vehicle)


def rows_of(built):
    return [point.row for point in built.vehicle.points.values()]


def near(one, other, share=1e-9):
    """Whether receptances agree, a difference being judged by what both points give themselves."""
    own = np.abs(np.einsum("fii->fi", other))
    return (np.abs(one - other) <= share * np.sqrt(own[:, :, None] * own[:, None, :])).all()


def test_push_here_and_look_there_is_push_there_and_look_here(built, ready, frequencies):
    h = ready.receptance(frequencies, rows_of(built), rows_of(built))
    assert near(h, h.swapaxes(1, 2))
    assert np.abs(h).min(axis=0).max() > 0


def test_sum_over_poles_is_a_solve_a_frequency(built, ready, frequencies):
    rows = dense(rows_of(built), ready.system.coordinates)
    plain = plain_receptance(ready.system, 2 * np.pi * frequencies, rows, rows)
    assert ready._poles is not None
    assert near(ready.receptance(frequencies, rows_of(built), rows_of(built)), plain)


def test_pushing_takes_power(built, ready, frequencies):
    """The motion of a pushed point never runs ahead of its push."""
    h = np.einsum("fii->fi", ready.receptance(frequencies, rows_of(built), rows_of(built)))
    assert (h.imag <= 1e-9 * np.abs(h)).all()


def test_road_response_solves_the_equations_of_motion(built, ready, frequencies):
    system, omega = ready.system, 2 * np.pi * frequencies[:, None, None]
    dynamic = system.K + 1j * omega * system.C - omega**2 * system.M
    rows = dense(rows_of(built), system.coordinates)
    plain = rows @ np.linalg.solve(dynamic, system.push_0 + 1j * omega * system.push_1)
    ours = ready.road_response(frequencies, rows_of(built))
    assert np.allclose(ours, plain, rtol=1e-9, atol=1e-9 * np.abs(plain).max(axis=(0, 1)).min())


def test_each_frequency_may_have_road_heights_of_its_own(built, ready, frequencies):
    count = len(built.vehicle.axles)
    columns = np.exp(1j * np.outer(frequencies, np.arange(1, count + 1)))
    one_by_one = np.einsum("fpa,fa->fp", ready.road_response(frequencies, rows_of(built)), columns)
    assert np.allclose(ready.along(frequencies, columns, rows_of(built)), one_by_one, rtol=1e-9, atol=1e-12)


def test_a_slow_rise_of_the_road_lifts_every_point(built, ready):
    if built.grounded:
        pytest.skip("held to the ground")
    slow = ready.along(np.array([1e-4]), np.ones((1, len(built.vehicle.axles))), rows_of(built))[0]
    direct = [0.0 if p.direction == "fore-aft" else 1.0 for p in built.vehicle.points.values()]
    assert np.allclose(slow, direct, atol=1e-5)  # (f / f_bounce)^2 and c w / k, both below 1e-5 at 0.1 mHz


def test_static_give_is_the_receptance_at_rest(built, ready):
    rows = dense(rows_of(built), ready.system.coordinates)
    static = rows @ np.linalg.solve(matrices(built.vehicle).K, rows.T)
    assert np.allclose(
        ready.receptance(np.array([0.0]), rows_of(built), rows_of(built))[0], static, rtol=1e-8
    )


def test_twice_the_height_is_twice_the_level(built, ready):

    speeds = np.linspace(10.0, 30.0, 21)
    doubled = [
        replace(c, height=replace(c.height, typical=2 * c.height.typical, worst=2 * c.height.worst))
        for c in built.causes
    ]
    one, two = (sweep(ready, causes, speeds, built.vehicle.watched) for causes in (built.causes, doubled))
    assert one.total().min() > 0
    assert np.allclose(two.typical, 2 * one.typical, rtol=1e-12)
    assert np.allclose(two.total_worst(), 2 * one.total_worst(), rtol=1e-12)


def test_both_ways_give_one_answer(built, ready, frequencies, monkeypatch):
    """A solve a frequency, which stands in where poles coalesce, against the sum over poles."""
    monkeypatch.setattr(response, "WELL_CONDITIONED", 0.0)
    plain, rows = dynamics(built.vehicle), rows_of(built)
    assert plain._poles is None
    assert near(ready.receptance(frequencies, rows, rows), plain.receptance(frequencies, rows, rows))
    columns = np.exp(1j * np.outer(frequencies, np.arange(1, len(built.vehicle.axles) + 1)))
    for ours, other in (
        (ready.road_response(frequencies, rows), plain.road_response(frequencies, rows)),
        (ready.along(frequencies, columns, rows), plain.along(frequencies, columns, rows)),
    ):
        assert np.allclose(ours, other, rtol=1e-9, atol=1e-10 * np.abs(other).max())
