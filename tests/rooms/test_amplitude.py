"""The vehicle at a stated amplitude, where its laws settle, and its modes and critical speeds there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from counterbounce.model.amplitude import at_amplitude, settled_amplitude, settled_levels
from counterbounce.model.amplitude_modes import modes_along, settled_critical
from counterbounce.model.example import small_truck
from counterbounce.model.forces import Leaf, Stop
from counterbounce.model.laws import Law
from counterbounce.model.matrices import matrices
from counterbounce.model.modes import modes
from counterbounce.model.points import Row, dense
from counterbounce.model.response import dynamics, sweep
from counterbounce.model.road import Level, Roads, inputs
from counterbounce.model.speeds import critical_speeds

FRICTION = 1500.0


def leaves(vehicle, *names, share=4.0):
    """Leaf packs whose rate for small shakes is that of the vehicle's linear springs."""
    springs = [next(p for p in vehicle.parts if p.name == f"{name} spring") for name in names]
    return tuple(
        Law(
            f"{p.name} leaves",
            p.row,
            Leaf(FRICTION, FRICTION / (p.value * (1 - 1 / share)), p.value / share),
            p.name,
        )
        for p in springs
    )


def rear_wheels(vehicle, times=1.0):
    cause = next(c for c in inputs(Roads((1,)), vehicle, 5.0) if c.axle == "rear")
    return replace(cause, height=Level(times * cause.height.typical, times * cause.height.worst))


# --- the vehicle at an amplitude -------------------------------------------------------------------------


def test_leaves_that_hardly_move_are_the_linear_springs():
    truck = small_truck()
    here, there = matrices(truck), matrices(at_amplitude(truck, leaves(truck, "front", "rear"), 1e-9, 20.0))
    np.testing.assert_allclose(there.K, here.K, rtol=1e-6)
    np.testing.assert_allclose(there.C, here.C, rtol=1e-4)
    np.testing.assert_allclose(there.push_0, here.push_0, rtol=1e-9)


def test_a_law_takes_the_place_of_its_part_and_of_no_other():
    truck, (law,) = small_truck(), leaves(small_truck(), "rear")
    k, c = law.force.equivalent(0.004, 20.0)
    row = dense([law.row], truck.coordinates)
    before, after = matrices(truck), matrices(at_amplitude(truck, [law], 0.004, 20.0))
    np.testing.assert_allclose(after.K - before.K, (k - 6e5) * row.T @ row, atol=1e-6)
    np.testing.assert_allclose(after.C - before.C, c * row.T @ row, atol=1e-9)
    added = matrices(at_amplitude(truck, [replace(law, part="")], 0.004, 20.0))
    np.testing.assert_allclose(added.K - before.K, k * row.T @ row, atol=1e-6)


def test_a_law_that_acts_elsewhere_than_its_part_is_refused():
    truck = small_truck()
    wrong = Law("wrong", Row(bounce=1.0), Stop(0.01, 0.01, 1e6), "rear spring")
    with pytest.raises(ValueError, match="does not act where"):
        settled_amplitude(truck, [wrong], [rear_wheels(truck)], 7.0)


# --- where it settles ------------------------------------------------------------------------------------


@pytest.mark.parametrize("times", [0.1, 3.0, 30.0])
def test_the_amplitude_found_is_the_amplitude_assumed(times):
    """By another way: the equivalent vehicle, assembled and swept as any linear one."""
    truck = small_truck()
    laws, causes = leaves(truck, "front", "rear"), [rear_wheels(truck, times)]
    speeds = np.array([5.4, 6.5, 7.2])
    found = settled_levels(truck, laws, causes, speeds, truck.watched)
    assert found.error.max() < 1e-6
    for i, speed in enumerate(speeds):
        there = found.vehicle_at(i)
        again = sweep(dynamics(there), causes, speeds[i : i + 1], truck.watched).total()[0]
        np.testing.assert_allclose(found.levels[i], again, rtol=1e-5)
        road = causes[0].shape * causes[0].amplitude(np.array([speed]))[0][0]
        at = causes[0].frequency(speeds[i : i + 1])
        rows = [law.row for law in laws]
        moved = dynamics(there).along(at, road[None, :], rows)[0] + dense(rows, truck.roads) @ road
        np.testing.assert_allclose(found.stretch[i], np.abs(moved), rtol=1e-5)


def test_several_causes_shake_a_law_as_one_sine_of_their_rms_stretch():
    truck, (law,) = small_truck(), leaves(small_truck(), "rear")
    causes = inputs(Roads((1, 2)), truck, 5.0)
    both = settled_levels(truck, [law], causes, np.array([7.0]), truck.watched)
    there = both.vehicle_at(0)
    parts = [settled_linear(there, law, cause, 7.0) for cause in causes]
    assert both.stretch[0, 0] == pytest.approx(np.linalg.norm(parts), rel=1e-5)
    slow, fast = (2 * np.pi * c.frequency(np.array([7.0]))[0] for c in (causes[0], causes[-1]))
    assert slow < both.omega[0, 0] < fast


def settled_linear(vehicle, law, cause, speed):
    road = cause.shape * cause.amplitude(np.array([speed]))[0][0]
    moved = dynamics(vehicle).along(cause.frequency(np.array([speed])), road[None, :], [law.row])
    return abs(moved[0, 0] + dense([law.row], vehicle.roads)[0] @ road)


def test_without_laws_levels_are_those_of_the_sweep():
    truck, speeds = small_truck(), np.linspace(5.0, 9.0, 5)
    found = settled_levels(truck, (), [rear_wheels(truck)], speeds, truck.watched)
    swept = sweep(dynamics(truck), [rear_wheels(truck)], speeds, truck.watched)
    np.testing.assert_allclose(found.levels, swept.total(), rtol=1e-9)


def test_what_nothing_shakes_stands_still():
    truck = small_truck()
    found = settled_levels(truck, leaves(truck, "rear"), [], np.array([7.0]), truck.watched)
    assert found.stretch.max() < 1e-11
    assert not found.levels.any()


def stopped(times):
    """The small truck with rear stops one millimetre away, and its one cause."""
    truck = small_truck()
    row = next(p.row for p in truck.parts if p.name == "rear shock")
    return truck, Law("rear stops", row, Stop(1e-3, 1e-3, 4e6)), rear_wheels(truck, times)


def answers(truck, law, cause, speed):
    """Every amplitude a with a |1 + H k(a)| = what the stretch would be without the law, by root finding."""
    free = settled_linear(truck, law, cause, speed)
    felt = dynamics(truck).receptance(cause.frequency(np.array([speed])), [law.row], [law.row])[0, 0, 0]

    def excess(a):
        return a * abs(1 + felt * law.force.equivalent(a, 1.0)[0]) - free

    tries = np.geomspace(1e-5, 0.1, 2000)
    turns = np.flatnonzero(np.diff(np.sign([excess(a) for a in tries])))
    return [brentq(excess, tries[i], tries[i + 1], xtol=1e-12) for i in turns]


@pytest.mark.parametrize("speed", [9.0, 10.0, 12.0])
def test_two_motions_at_one_speed_are_both_found(speed):
    """A stop stiffens: above the free resonance a small motion and one against the stops both stay."""
    truck, law, cause = stopped(2.0)
    roots = answers(truck, law, cause, speed)
    assert len(roots) == 3  # the one between is not a motion that stays
    found = settled_amplitude(truck, [law], [cause], speed)
    assert [one.stretch[0, 0] for one in found] == pytest.approx([roots[0], roots[-1]], rel=1e-5)


@pytest.mark.parametrize("speed", [6.0, 8.0, 14.0])
def test_one_motion_is_told_once(speed):
    truck, law, cause = stopped(4.0)
    (only,) = answers(truck, law, cause, speed)
    (found,) = settled_amplitude(truck, [law], [cause], speed)
    assert found.stretch[0, 0] == pytest.approx(only, rel=1e-5)


# --- modes along amplitude -------------------------------------------------------------------------------


@pytest.mark.parametrize("amplitude", [1e-4, 2e-3, 3e-2])
def test_a_mode_along_amplitude_is_a_pole_of_the_vehicle_at_that_amplitude(amplitude):
    """By another way: the equivalent vehicle, solved whole."""
    truck = small_truck()
    laws = leaves(truck, "front", "rear")
    found = modes_along(truck, laws, [1e-5, amplitude])
    assert found.stretch[1] == pytest.approx(np.full((4, 2), amplitude))
    for m in range(4):
        omega = 2 * np.pi * found.frequency_hz[1, m]
        there = modes(at_amplitude(truck, laws, found.stretch[1, m], omega))
        nearest = int(np.argmin(np.abs(there.natural - omega)))
        assert there.frequency_hz[nearest] == pytest.approx(found.frequency_hz[1, m], rel=1e-6)
        assert there.damping_ratio[nearest] == pytest.approx(found.damping_ratio[1, m], rel=1e-5)
        assert len(set(found.frequency_hz[1].round(6))) == 4


def test_modes_go_from_the_small_shake_rate_to_the_static_one():
    truck = small_truck()
    laws = leaves(truck, "front", "rear")
    found = modes_along(truck, laws, np.geomspace(1e-6, 3.0, 25))
    np.testing.assert_allclose(found.frequency_hz[0], modes(truck).frequency_hz, rtol=1e-4)
    np.testing.assert_allclose(found.damping_ratio[0], modes(truck).damping_ratio, rtol=2e-3)
    static = tuple(
        replace(p, value=p.value / 4) if p.name in ("front spring", "rear spring") else p for p in truck.parts
    )
    softened = modes(replace(truck, parts=static))
    np.testing.assert_allclose(found.frequency_hz[-1], softened.frequency_hz, rtol=3e-3)
    bounce = found.damping_ratio[:, 0]
    assert bounce.max() > 4 * bounce[0]  # friction damps most where it slips as far as it holds
    assert found.names == modes(truck).names


def test_the_amplitude_may_be_that_of_a_named_point():
    """Each law is then stretched as far as the mode stretches it while the point moves so far."""
    truck = small_truck()
    laws, end = leaves(truck, "front", "rear"), truck.points["front end"].row
    found = modes_along(truck, laws, [1e-5, 3e-3], [end])
    for m in range(2):
        omega = 2 * np.pi * found.frequency_hz[1, m]
        there = modes(at_amplitude(truck, laws, found.stretch[1, m], omega))
        shape = there.damped_shapes[:, int(np.argmin(np.abs(there.natural - omega)))]
        moved = np.abs(dense([*(law.row for law in laws), end], truck.coordinates) @ shape)
        np.testing.assert_allclose(found.stretch[1, m], 3e-3 * moved[:-1] / moved[-1], rtol=1e-5)


def test_a_mode_that_cannot_be_followed_is_left_open():
    """A stop that all at once is a thousand times as stiff leaves no path from one mode to the next."""
    truck = small_truck()
    (law,) = leaves(truck, "rear")
    wall = replace(law, force=Stop(1e-3, 1e-3, 1e15), part="")
    found = modes_along(truck, [wall], [5e-4, 2e-3])
    assert np.isfinite(found.frequency_hz[0]).all()
    assert np.isnan(found.frequency_hz[1]).any()


# --- critical speeds -------------------------------------------------------------------------------------


def critical(truck, cause):
    speeds = (5.0, 15.0)
    found = critical_speeds(dynamics(truck), modes(truck), [cause], truck.watched, speeds)
    return found[0], speeds


def test_a_critical_speed_at_the_amplitude_found_there():
    """The speed where the equivalent vehicle of that speed peaks is that speed."""
    truck, cause = small_truck(), rear_wheels(small_truck(), 10.0)
    laws = leaves(truck, "front", "rear")
    locked, speeds = critical(truck, cause)
    freed = settled_critical(truck, laws, locked, [cause], truck.watched, speeds)
    there = settled_levels(truck, laws, [cause], np.array([freed.speed]), truck.watched).vehicle_at(0)
    again, _ = critical(there, cause)
    assert again.speed == pytest.approx(freed.speed, rel=1e-3)
    assert freed.speed < 0.97 * locked.speed
    assert freed.mode_name


def test_without_amplitude_a_critical_speed_stays():
    truck, cause = small_truck(), rear_wheels(small_truck(), 1e-4)
    locked, speeds = critical(truck, cause)
    stays = settled_critical(truck, leaves(truck, "front", "rear"), locked, [cause], truck.watched, speeds)
    assert stays.speed == pytest.approx(locked.speed, rel=1e-4)
    assert stays.mode == locked.mode
    assert stays.typical == pytest.approx(locked.typical, rel=1e-3)
