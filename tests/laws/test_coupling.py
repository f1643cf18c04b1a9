"""A damper or a ballast coupled to what a place feels is the same as one assembled with the vehicle."""

import numpy as np
import pytest

from counterbounce.model.response import dynamics, sweep
from counterbounce.sizing.absorber import Damper, road_host, tuned, with_ballast, with_damper

SPEEDS = np.linspace(9.1, 32.9, 40)
HUNG = [(25.0, 7.0, 0.1), (60.0, 2.2, 0.0), (4.0, 14.0, 0.6), (0.01, 9.0, 0.05)]  # kg, Hz, damping ratio


@pytest.fixture
def places(built):
    return [p for p in built.vehicle.points.values() if p.direction == "vertical"]


def hosts(built, places):
    ready = dynamics(built.vehicle)
    return [(place, road_host(ready, built.causes, SPEEDS, built.vehicle.watched, place)) for place in places]


def levels(built, vehicle):
    return sweep(dynamics(vehicle), built.causes, SPEEDS, built.vehicle.watched).total()


def close(one, other):
    return np.allclose(one, other, rtol=1e-9, atol=1e-9 * other.max())


@pytest.mark.parametrize("hung", HUNG)
def test_a_coupled_damper_is_an_assembled_one(built, places, hung):
    for place, host in hosts(built, places):
        one = tuned(place.name, *hung)
        assert close(
            host.after(one.mass, one.stiffness, one.damping), levels(built, with_damper(built.vehicle, one))
        )


def test_a_coupled_stroke_is_an_assembled_one(built, places):
    for place, host in hosts(built, places[-2:]):
        one = tuned(place.name, 25.0, 7.0, 0.1)
        ready = dynamics(with_damper(built.vehicle, one))
        stroke = np.zeros(len(SPEEDS))
        for cause in built.causes:
            columns = np.repeat(cause.shape[None], len(SPEEDS), axis=0)
            rows = [{"damper": 1.0, **{c: -share for c, share in place.row.items()}}]
            moved = np.abs(ready.along(cause.frequency(SPEEDS), columns, rows)[:, 0])
            stroke += moved * cause.amplitude(SPEEDS)[1]
        assert close(host.stroke(one.mass, one.stiffness, one.damping), stroke)


def test_coupled_ballast_is_assembled_ballast(built, places):
    for place, host in hosts(built, places):
        assert close(host.ballast(30.0), levels(built, with_ballast(built.vehicle, place.name, 30.0)))


def test_a_damper_without_mass_changes_nothing(built, places):
    for _, host in hosts(built, places):
        k, c = np.array([0.0, 5e4, 5e4, 0.0]) + 1e-300, np.array([0.0, 0.0, 800.0, 800.0])
        assert np.array_equal(host.after(np.zeros(4), k, c), np.repeat(host.before()[None], 4, axis=0))


def test_a_stiff_damper_is_ballast(built, places):
    for _, host in hosts(built, places):
        stiff = host.after(30.0, 30.0 * (2 * np.pi * 1e5) ** 2, 0.0)
        assert np.allclose(stiff, host.ballast(30.0), rtol=1e-5, atol=1e-6 * stiff.max())


def test_a_place_stands_still_at_the_frequency_of_an_undamped_damper(built, places):
    """At its own resonance the damper holds its place: finite there, and exactly still."""
    ready, causes = dynamics(built.vehicle), built.causes[:1]
    for place in places:
        speed = np.array([6.3 / causes[0].per_metre])
        host = road_host(ready, causes, speed, [place], place).host
        k = 12.0 * host.omega[0] ** 2
        assert np.abs(host.with_damper(12.0, k, 0.0)).max() <= 1e-9 * np.abs(host.rise).max()


def test_many_candidates_are_each_of_them(built, places):
    place, host = hosts(built, places[:1])[0]
    one = [tuned(place.name, *hung) for hung in HUNG]
    m, k, c = (np.array([getattr(d, name) for d in one]) for name in ("mass", "stiffness", "damping"))
    together = host.after(m, k, c)
    assert together.shape == (len(HUNG), len(SPEEDS), len(built.vehicle.watched))
    for i, d in enumerate(one):
        assert np.allclose(together[i], host.after(d.mass, d.stiffness, d.damping), rtol=1e-12)
    assert np.allclose(
        host.host.worst(m, k, c), np.abs(host.host.with_damper(m, k, c)).max(axis=1), rtol=1e-12
    )


def test_damping_ratio_is_over_the_dampers_own_critical_damping(places):
    one = tuned(places[0].name, 20.0, 7.0, 0.12)
    assert (one.tuned_hz, one.damping_ratio) == pytest.approx((7.0, 0.12), rel=1e-12)
    assert Damper("", 20.0, one.stiffness, 2 * 20.0 * 2 * np.pi * 7.0).damping_ratio == pytest.approx(1.0)
