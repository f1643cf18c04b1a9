"""The linear vehicle over a road: what is read off it, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.drive import drive, followed, readings, run_in_time
from counterbounce.model.modes import modes
from counterbounce.sizing.absorber import tuned, with_damper


@pytest.fixture(name="vehicle")
def a_bending_vehicle(fleet):
    return fleet("bending").vehicle


def test_channels(vehicle):
    hung = with_damper(vehicle, tuned("rear end", 20.0, 7.0, 0.1))
    named = [str(one.channel) for one in readings(hung, ["rear end", "front end", "rear end"], "velocity")]
    assert named == [
        "rear end [m/s]",
        "front end [m/s]",
        "front suspension travel [m]",
        "rear suspension travel [m]",
        "front tyre load variation [N]",
        "rear tyre load variation [N]",
        "damper stroke [m]",
    ]
    watched = [p.name for p in vehicle.watched]
    assert [one.channel.name for one in readings(vehicle)][: len(watched)] == watched


def test_the_stroke_is_of_the_mass_against_its_place(vehicle):
    hung = with_damper(vehicle, tuned("rear end", 20.0, 7.0, 0.1))
    heights = np.cumsum(np.random.default_rng(1).standard_normal((2, 3000)), axis=1) * 1e-3
    ride = drive(hung, heights, 500.0, ["damper", "rear end"], motion="displacement")
    apart = ride.channel("damper") - ride.channel("rear end")
    np.testing.assert_allclose(ride.channel("damper stroke"), apart, atol=1e-12)


def test_a_rate_that_is_too_low_is_refused_and_what_another_costs_is_said(vehicle):
    with pytest.raises(ValueError, match="at least 200 Hz, 8 samples a period of 25 Hz; got 199 Hz"):
        drive(vehicle, np.zeros((2, 10)), 199.0)
    assert "leaves 95 % of 25 Hz" in drive(vehicle, np.zeros((2, 10)), 200.0).labels["samples"]
    assert "leaves 99.8 % of 25 Hz" in drive(vehicle, np.zeros((2, 10)), 1000.0).labels["samples"]


def test_what_a_straight_road_costs_is_what_is_said(vehicle):
    """A sine of 25 Hz at 200 Hz, against the same at 20 kHz, in the steady state."""

    def level(rate):
        time = np.arange(round(10 * rate)) / rate
        heights = 1e-3 * np.sin(2 * np.pi * 25 * time) * np.ones((2, 1))
        late = drive(vehicle, heights, rate, ["rear end"], motion="displacement").samples[
            0, round(8 * rate) :
        ]
        return np.sqrt(np.mean((late - late.mean()) ** 2))

    assert level(200.0) / level(20_000.0) == pytest.approx(0.9496, abs=0.005)


@pytest.mark.parametrize(
    ("change", "error", "said"),
    [
        ({"heights": np.zeros((3, 5))}, ValueError, "heights of shape"),
        ({"heights": np.zeros(5)}, ValueError, "heights of shape"),
        ({"heights": np.full((2, 5), np.nan)}, ValueError, "finite"),
        ({"forces": np.zeros((2, 6))}, ValueError, "forces of shape"),
        ({"points": ["rear en"]}, KeyError, "rear end"),
        ({"motion": "jerk"}, ValueError, "no motion"),
    ],
)
def test_what_is_refused(vehicle, change, error, said):
    with pytest.raises(error, match=said):
        drive(**({"vehicle": vehicle, "heights": np.zeros((2, 5)), "rate": 500.0} | change))


def test_a_force_on_an_axle_without_mass_pushes_the_frame_above(fleet):
    """Each end is pushed as hard as its springs hold over a centimetre."""
    vehicle = fleet("textbook half").vehicle
    front, rear = vehicle.axles
    forces = np.array([[front.tyre_rate], [rear.tyre_rate]]) * 1e-2 * np.ones(4000)
    travel = drive(vehicle, np.zeros((2, 4000)), 1000.0, forces=forces).channel("front suspension travel")
    assert travel.mean() == pytest.approx(1e-2, rel=0.1)  # it swings about there, without damping


@pytest.mark.parametrize("samples", [0, 1, 2])
def test_short_histories(vehicle, samples):
    assert drive(vehicle, np.full((2, samples), 0.1), 500.0).samples.shape == (
        5 + len(vehicle.watched) - 1,
        samples,
    )


def test_labels_and_clock(vehicle):
    ride = drive(vehicle, np.zeros((2, 500)), 250.0, start=-1.0, labels={"road": "none"})
    assert (ride.start, ride.duration, ride.labels["road"]) == (-1.0, 2.0, "none")


def test_how_long_a_start_lasts(vehicle):
    found = modes(vehicle)
    slowest = -found.poles.real.max()
    assert run_in_time(vehicle, 0.05) == pytest.approx(np.log(20) / slowest)


def test_a_vehicle_without_damping_swings_on(fleet):
    assert run_in_time(fleet("textbook half").vehicle) == np.inf


def test_what_lies_above_is_left_out_as_along_speed():
    """The fade of `felt_per_metre`: whole to 25 Hz, half at 27.5, nothing from 30 on."""
    time = np.arange(4000) / 400.0
    for frequency, kept in ((0.0, 1.0), (10.0, 1.0), (24.9, 1.0), (27.5, 0.5), (30.1, 0.0), (90.0, 0.0)):
        wave = np.cos(2 * np.pi * frequency * time)
        left = followed(np.array([wave, 2 * wave]), 400.0)[:, 1000:3000]
        np.testing.assert_allclose(left, kept * np.array([wave, 2 * wave])[:, 1000:3000], atol=2e-3)
