"""What must hold for the history of every vehicle, over the list of vehicles."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.drive import drive, followed, readings, run_in_time
from counterbounce.model.events import slabs
from counterbounce.model.exact_step import history
from counterbounce.model.matrices import matrices
from counterbounce.model.points import Point, Row, at
from counterbounce.model.profile import Profile
from counterbounce.model.response import dynamics, sweep
from counterbounce.model.road import Joints, Roads, Wave, inputs
from counterbounce.model.state_space import to_state_space
from counterbounce.model.travel import road_in_time, travel, wheels_in_time
from counterbounce.model.wheels import WheelFault
from counterbounce.sizing.absorber import tuned, with_damper

RATE = 500.0


def rough(vehicle, samples=1500, seed=3):
    """A road that wanders and a push on every hub, from rest."""
    draw = np.random.default_rng(seed)
    roads = len(vehicle.roads)
    heights = np.cumsum(draw.standard_normal((roads, samples)), axis=1) * 1e-3
    return heights, draw.standard_normal((roads, samples)) * 100.0


def close(one, other, within):
    """Channel by channel, over the largest of each."""
    largest = np.abs(other).max(axis=1, keepdims=True)
    np.testing.assert_allclose(
        one / np.where(largest > 0, largest, 1.0), other / largest.clip(1e-300), atol=within
    )


def test_twice_the_input_is_twice_the_response(built):
    heights, forces = rough(built.vehicle)
    once = drive(built.vehicle, heights, RATE, forces=forces).samples
    close(drive(built.vehicle, 2 * heights, RATE, forces=2 * forces).samples, 2 * once, 1e-12)


def test_inputs_add(built):
    heights, forces = rough(built.vehicle)
    both = drive(built.vehicle, heights, RATE, forces=forces).samples
    apart = (
        drive(built.vehicle, heights, RATE).samples
        + drive(built.vehicle, 0 * heights, RATE, forces=forces).samples
    )
    close(apart, both, 1e-11)


def test_no_input_no_motion(built):
    still = np.zeros((len(built.vehicle.roads), 200))
    assert not np.any(drive(built.vehicle, still, RATE).samples)


def test_on_a_higher_road_it_stands_still(built):
    """Rounding only: it begins in balance on the first height, 10 km up."""
    if built.grounded:
        pytest.skip("tied to the ground")
    level = np.full((len(built.vehicle.roads), 200), 1.0)
    ride = drive(built.vehicle, level, RATE, motion="displacement")
    points = len(built.vehicle.watched)
    np.testing.assert_allclose(
        ride.samples[:points][[p.direction == "vertical" for p in built.vehicle.watched]], 1.0, rtol=1e-7
    )
    travel_and_load = drive(built.vehicle, level, RATE).samples
    scale = np.array(
        [max(a.tyre_rate for a in built.vehicle.axles) if c.unit == "N" else 1.0 for c in ride.channels]
    )
    assert np.abs(travel_and_load / scale[:, None])[points:].max() < 1e-7


def test_what_comes_later_is_felt_later(built):
    heights, _ = rough(built.vehicle)
    heights -= heights[:, :1]
    late = np.hstack([np.zeros((len(heights), 137)), heights])
    once, then = (drive(built.vehicle, h, RATE).samples for h in (heights, late))
    close(then[:, 138:], once[:, 1:], 1e-11)
    assert not np.any(then[:, :136])


@pytest.mark.parametrize("frequency", [0.7, 3.1, 9.3])
def test_a_sine_is_what_it_is_along_frequency(built, frequency):
    """From the steady state on: at 80 kHz a road that is straight between samples is a sine to 5e-8."""
    vehicle, rate = built.vehicle, 80_000.0
    n, omega = len(vehicle.coordinates), 2 * np.pi * frequency
    columns = np.exp(1j * np.arange(1, len(vehicle.roads) + 1))[None] * 1e-3
    moved = dynamics(vehicle).along(np.array([frequency]), columns, [at(c) for c in vehicle.coordinates])[0]
    time = np.arange(40_000) / rate
    turning = np.exp(1j * omega * time)
    space = to_state_space(vehicle, vehicle.roads, [("displacement", p.name) for p in vehicle.watched])
    start = np.concatenate([moved, 1j * omega * moved - space.B[:n] @ columns[0]]).real
    found = history(space, (columns[0][:, None] * turning).real, rate, start)
    rows = [p.row for p in vehicle.watched]
    wanted = (dynamics(vehicle).along(np.array([frequency]), columns, rows)[0][:, None] * turning).real
    close(found, wanted, 1e-6)


def test_the_tyres_carry_what_is_accelerated(built):
    """Newton: the tyre loads together are the rate of the whole vehicle's upward momentum."""
    vehicle = built.vehicle
    if built.grounded:
        pytest.skip("tied to the ground")
    lift = np.array([vehicle.lift()[c] for c in vehicle.coordinates])
    momentum = Row(zip(vehicle.coordinates, (matrices(vehicle).M @ lift).tolist(), strict=True))
    weighed = replace(vehicle, points={**vehicle.points, "momentum": Point("momentum", 0.0, momentum)})
    heights, _ = rough(vehicle)
    ride = drive(weighed, heights, RATE, ["momentum"])
    together = sum(ride.channel(f"{axle.name} tyre load variation") for axle in vehicle.axles)
    close(together[None], ride.channel("momentum")[None], 1e-8)


def test_displacement_velocity_and_acceleration_are_of_one_motion(built):
    """Two trapezoids a step; the road is smooth, or its corners would be in the answer."""
    time = np.arange(4000) / 2000.0
    heights = (
        1e-2 * np.sin(2 * np.pi * 2 * time) ** 2 * np.linspace(0.5, 1, len(built.vehicle.roads))[:, None]
    )
    points = [p.name for p in built.vehicle.watched]
    rise, rate, pull = (
        drive(built.vehicle, heights, 2000.0, points, motion=m).samples[: len(points)]
        for m in ("displacement", "velocity", "acceleration")
    )
    for lower, upper in ((rise, rate), (rate, pull)):
        steps = np.cumsum((upper[:, 1:] + upper[:, :-1]) / 2, axis=1) / 2000.0
        close(steps, lower[:, 1:] - lower[:, :1], 2e-3)


def test_a_damper_without_mass_to_speak_of_changes_nothing(built):
    place = next(iter(built.vehicle.points))
    hung = with_damper(built.vehicle, tuned(place, 1e-9, 7.0, 0.1))
    heights, _ = rough(built.vehicle)
    without, along = drive(built.vehicle, heights, RATE), drive(hung, heights, RATE)
    assert along.channels[:-1] == without.channels
    assert [r.channel.name for r in readings(hung)][-1] == "damper stroke"
    close(along.samples[:-1], without.samples, 1e-7)


def test_the_rear_axle_meets_the_road_where_the_front_one_did(built):
    """By distance, at a varying speed: what the front axle felt at a place, the rear one feels later."""
    heights = np.cumsum(np.random.default_rng(1).standard_normal(4000)) * 1e-3
    profile = Profile(0.05, 0.0, heights, "invented")
    way = travel(([0.0, 10.0], [20.0, 8.0]), 10.0, 1000.0)
    vehicle = replace(built.vehicle, axles=tuple(replace(a, contact_length=0.2) for a in built.vehicle.axles))
    first, *others = road_in_time(vehicle, profile, way)
    for axle, heights in zip(vehicle.axles[1:], others, strict=True):
        behind = axle.station - vehicle.axles[0].station
        there = way.distance[way.distance > behind + 0.2] - behind
        felt = np.interp(there, way.distance, first)
        np.testing.assert_allclose(heights[-len(there) :], felt, atol=2e-5)


# --- along time as along speed ----------------------------------------------------------------------------

SPEED = 18.0


def damped(built):
    """The vehicle with its last axle's wheels of a known size and no other's, its watched points unweighted.

    Vehicles without damping never come to a steady state.
    """
    if not run_in_time(built.vehicle) < 60.0:
        pytest.skip("swings on for more than a minute")
    axles = [replace(a, circumference=None) for a in built.vehicle.axles]
    axles[-1] = replace(axles[-1], circumference=2.4, contact_length=0.2)
    points = {n: replace(p, weighting="none") for n, p in built.vehicle.points.items()}
    return replace(built.vehicle, axles=tuple(axles), points=points)


def steady(vehicle, roads, seconds, seed, profile=None):
    """R.m.s. acceleration of the watched points once the start has died away, over some seconds."""
    way = travel(SPEED, seconds + 0.5, 1000.0, run_in=run_in_time(vehicle, 1e-4))
    turning = wheels_in_time(vehicle, roads, way, seed)
    heights = turning.heights if profile is None else road_in_time(vehicle, profile(way), way)
    ride = drive(
        vehicle, heights, 1000.0, forces=turning.forces if np.any(turning.forces) else None, start=way.start
    )
    heard = replace(ride, samples=followed(ride.samples, 1000.0))
    return np.sqrt(
        (heard.since(0.0).samples[: len(vehicle.watched), : round(1000 * seconds)] ** 2).mean(axis=1)
    )


UNTRUE = {
    "run-out": {"run_out": (2e-3, 1e-3)},
    "force variation": {"force_variation": (400.0, 100.0)},
    "imbalance": {"imbalance": (0.3, 0.2)},
}


@pytest.mark.parametrize("fault", UNTRUE)
def test_wheels_in_phase_shake_as_the_worst_along_speed(built, fault):
    """No difference of size, so no beat: the level is the worst one."""
    vehicle = damped(built)
    values = {name: each[: vehicle.axles[-1].wheels] for name, each in UNTRUE[fault].items()}
    roads = Roads((1,), (WheelFault(vehicle.axles[-1].name, 1, **values),), rolling_difference=0.0)
    along = sweep(dynamics(vehicle), inputs(roads, vehicle, SPEED), np.array([SPEED]), vehicle.watched)
    found = steady(vehicle, roads, 2.4 * 30 / SPEED, None)  # 30 turns
    np.testing.assert_allclose(found, along.total_worst()[0], rtol=2e-3)


def test_over_a_beat_wheels_shake_as_typical_along_speed(built):
    """R.m.s. over one beat; the wheels turn by a thousandth apart, which moves a resonance by as much."""
    vehicle = damped(built)
    values = (2e-3, 1e-3)[: vehicle.axles[-1].wheels]
    roads = Roads((1,), (WheelFault(vehicle.axles[-1].name, 1, values),), rolling_difference=0.002)
    causes = inputs(roads, vehicle, SPEED)
    along = sweep(dynamics(vehicle), causes, np.array([SPEED]), vehicle.watched)
    (cause,) = [c for c in causes if c.height is not None]
    found = steady(vehicle, roads, cause.beat_length / SPEED, 3)
    np.testing.assert_allclose(found, along.total()[0], rtol=0.02)


@pytest.mark.parametrize("kind", ["wave", "joints"])
def test_waves_and_joints_shake_as_along_speed(built, kind):
    """All that is followed, of joints the harmonics that fade away above 25 Hz as well."""
    vehicle = damped(built)
    joints, wave = Joints(4.5, step=3e-3, curl=2e-3, gap_width=0.06, gap_depth=4e-3), Wave(4.5, 6e-3)
    roads = Roads((), joints=joints) if kind == "joints" else Roads((), wave=wave)
    along = sweep(dynamics(vehicle), inputs(roads, vehicle, SPEED), np.array([SPEED]), vehicle.watched)

    def profile(way):
        first = 10 + round(-way.distance[0] / 4.5)
        if kind == "joints":
            row = slabs(joints, first + 40)
            return replace(row, start=row.start - 4.5 * first)
        places = np.arange(-4.5 * first, way.distance[-1] + 1, 0.01)
        return Profile(0.01, places[0], wave.height / 2 * np.sin(2 * np.pi * places / 4.5), "invented")

    found = steady(vehicle, Roads(()), 4.5 * 20 / SPEED, 1, profile)  # 20 slabs
    np.testing.assert_allclose(found, along.total()[0], rtol=5e-3)
