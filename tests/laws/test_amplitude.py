"""What must hold for every vehicle whose suspension springs are leaves with friction."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.amplitude import DOWNWARDS, UPWARDS, settled_levels
from counterbounce.model.amplitude_modes import modes_along
from counterbounce.model.forces import Leaf
from counterbounce.model.laws import Law
from counterbounce.model.modes import modes
from counterbounce.model.response import dynamics, sweep
from counterbounce.model.road import HIGHEST, Level, Roads, Wave, inputs

SPEEDS = np.array([6.0, 11.0, 19.0])
TRAVEL = 2e-3


def leaves(vehicle, size=1.0):
    """A leaf pack for each spring of an axle, three times as stiff for small shakes as under load."""
    springs = [p for p in vehicle.parts if p.kind == "spring" and p.path.endswith(".spring_rate")]
    return tuple(
        Law(p.path, p.row, Leaf(size * TRAVEL * p.value * 2 / 3, size * TRAVEL, p.value / 3), p.name)
        for p in springs
    )


def waves(vehicle, height):
    return inputs(Roads((), wave=Wave(3.0, height)), vehicle, 5.0)


def settled(vehicle, laws, height, shares=UPWARDS):
    return settled_levels(vehicle, laws, waves(vehicle, height), SPEEDS, vehicle.watched, shares=shares)


def test_small_inputs_get_the_linear_answer(built):
    vehicle = built.vehicle
    found = settled(vehicle, leaves(vehicle), 1e-8)
    linear = sweep(dynamics(vehicle), waves(vehicle, 1e-8), SPEEDS, vehicle.watched).total()
    np.testing.assert_allclose(found.levels, linear, rtol=1e-4)


@pytest.mark.parametrize("height", [2e-3, 2e-2])
def test_friction_and_input_grown_alike_grow_the_answer_alike(built, height):
    """Three times the input, three times friction and its travel: three times the stretch and the level."""
    vehicle = built.vehicle
    one, three = settled(vehicle, leaves(vehicle), height), settled(vehicle, leaves(vehicle, 3.0), 3 * height)
    np.testing.assert_allclose(three.stretch, 3 * one.stretch, rtol=1e-4)
    np.testing.assert_allclose(three.levels, 3 * one.levels, rtol=1e-4)


def test_what_is_assumed_is_found_and_the_equivalent_vehicle_agrees(built):
    vehicle = built.vehicle
    found = settled(vehicle, leaves(vehicle), 1e-2)
    assert found.error.max() < 1e-6
    for i in range(len(SPEEDS)):
        there = sweep(dynamics(found.vehicle_at(i)), waves(vehicle, 1e-2), SPEEDS[i : i + 1], vehicle.watched)
        np.testing.assert_allclose(found.levels[i], there.total()[0], rtol=1e-4)


def test_friction_that_only_softens_has_one_answer(built):
    """Caughey 1960 (from memory): hysteresis that softens bounds the response and gives it one value."""
    vehicle = built.vehicle
    up, down = (settled(vehicle, leaves(vehicle), 1e-2, shares) for shares in (UPWARDS, DOWNWARDS))
    np.testing.assert_allclose(down.stretch, up.stretch, rtol=1e-3)


def test_modes_begin_as_for_small_shakes_and_never_stiffen(built):
    """Less stiffness lowers every undamped frequency (Rayleigh), in order; neighbours may change places."""
    vehicle = built.vehicle
    small = modes(vehicle)
    found = modes_along(vehicle, leaves(vehicle), np.geomspace(1e-6, 2e-2, 9))
    listed = [i for i, f in enumerate(small.frequency_hz) if f <= HIGHEST and small.poles[i, 0].imag > 0]
    assert found.modes == tuple(listed)
    np.testing.assert_allclose(found.frequency_hz[0], small.frequency_hz[listed], rtol=1e-4)
    assert np.isfinite(found.frequency_hz).all()
    small_ones, large_ones = (np.sort(found.frequency_hz[i]) for i in (0, -1))
    assert (large_ones < small_ones * 1.005).all()  # damping moves |pole| a little, too
    assert np.diff(large_ones).min(initial=1.0) > 1e-3  # no two of them became one
    assert found.frequency_hz[-1].min() < 0.95 * found.frequency_hz[0].min()


def test_twice_the_road_under_free_leaves_is_twice_the_stretch(built):
    """Metres of road: friction counts for nothing, and the static rate is left."""
    vehicle = built.vehicle
    laws = leaves(vehicle)
    static = replace(
        vehicle,
        parts=tuple(
            replace(p, value=p.value / 3) if p.path.endswith(".spring_rate") and p.kind == "spring" else p
            for p in vehicle.parts
        ),
    )
    big = [replace(c, height=Level(1e3, 1e3)) for c in waves(vehicle, 1e-2)]
    found = settled_levels(vehicle, laws, big, SPEEDS, vehicle.watched)
    linear = sweep(dynamics(static), big, SPEEDS, vehicle.watched).total()
    np.testing.assert_allclose(found.levels, linear, rtol=1e-3)
