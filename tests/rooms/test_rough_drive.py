"""A rough drive: how it begins, what it says of its error, what it refuses, and its compiled path."""

import numpy as np
import pytest

from counterbounce.model.drive import drive
from counterbounce.model.example import small_truck
from counterbounce.model.force_steps import compiled
from counterbounce.model.forces import DryFriction, Leaf, LiftOff, Stop, TwoWayShock
from counterbounce.model.laws import Law, damper_laws
from counterbounce.model.points import at
from counterbounce.model.rough_drive import marched, rough, rough_drive
from counterbounce.sizing.absorber import tuned, with_damper

RATE = 250.0


def row(name):
    return next(p.row for p in small_truck().parts if p.name == name)


def every_law():
    losses = small_truck().axles[1].tyre_damping
    return [
        Law("front leaf", row("front spring"), Leaf(2e3, 0.01, 2e5), "front spring"),
        Law("rear leaf", row("rear spring"), Leaf(2e3, 0.01, 4e5), "rear spring"),
        Law("rear stops", row("rear shock"), Stop(0.01, 0.008, 1e6)),
        Law("rear shock", row("rear shock"), TwoWayShock(2e3, 4e3, 4e5), "rear shock"),
        Law("front shock", row("front shock"), TwoWayShock(1e3, 3e3), "front shock"),
        Law("rear tyres", row("rear tyres"), LiftOff(15e3, 3.2e6, losses), "rear tyres"),
        Law("guide", row("front shock"), DryFriction(300.0, 2e5)),
    ]


def bump(seconds=2.0, height=0.05):
    t = np.arange(round(seconds * RATE)) / RATE
    return np.array([height * np.exp(-(((t - late) / 0.05) ** 2)) for late in (0.3, 0.5)])


def test_nothing_moves_on_a_flat_road():
    for height in (0.0, 0.3):
        ride = rough_drive(small_truck(), every_law(), np.full((2, 500), height), RATE, ["rear end"])
        assert np.abs(ride.samples).max() < 1e-9


def test_on_a_slope_it_begins_in_balance():
    """The rear axle stands 20 mm higher: nothing moves, and displacements are counted from flat ground."""
    heights = np.array([[0.0], [0.02]]) * np.ones(500)
    at_rest = drive(small_truck(), heights, RATE, motion="displacement").samples[:, :1]
    ride = rough_drive(small_truck(), every_law(), heights, RATE, motion="displacement")
    assert np.abs(ride.samples - at_rest).max() < 1e-9 * np.abs(at_rest).max()


def test_channels_are_those_of_the_linear_drive():
    linear = drive(small_truck(), bump(), RATE, ["rear end"], start=3.0, labels={"road": "a bump"})
    ride = rough_drive(
        small_truck(), every_law(), bump(), RATE, ["rear end"], start=3.0, labels={"road": "a bump"}
    )
    assert (ride.channels, ride.rate, ride.start, len(ride)) == (linear.channels, RATE, 3.0, len(linear))
    assert ride.labels["road"] == "a bump"
    assert "a sample; the last halving moved no channel by more than" in ride.labels["steps"]
    assert np.abs(ride.samples - linear.samples).max() > 0.1 * np.abs(linear.samples).max()


def test_compiled_and_plain_are_the_same():
    """0.5 s of every law: a stop that is met, a tyre that lifts and leaves that turn round among them."""
    assert compiled() is not None, "the extra `fast` is part of the test extra"
    ready, heights = rough(small_truck(), every_law()), bump(0.8)
    plain, fast = (marched(ready, heights, RATE, 4, fast=fast) for fast in (False, True))
    assert np.abs(plain.pulls).max(axis=0).min() > 10.0  # [N] every law is at work
    for one, other in ((plain.states, fast.states), (plain.pulls, fast.pulls)):
        assert np.abs(one - other).max() <= 1e-9 * np.abs(one).max()


def test_a_tighter_tolerance_takes_more_steps_and_moves_less():
    steps, moved = [], []
    for within in (3e-2, 1e-3):
        label = rough_drive(small_truck(), every_law(), bump(), RATE, within=within).labels["steps"]
        steps.append(int(label.split()[0]))
        moved.append(float(label.split()[-5]))
        assert moved[-1] <= within
    assert steps[1] > steps[0]
    assert moved[1] < moved[0]


def test_steps_that_never_suffice_are_refused():
    with pytest.raises(ValueError, match="in 64 steps a sample, halving them still moves a channel"):
        rough_drive(small_truck(), every_law(), bump(), RATE, within=1e-12)


def test_forces_that_do_not_settle_are_refused():
    """Stops far stiffer than a step can follow; the stiffest overflow before they run out of turns."""
    for rate in (1e10, 1e14, 1e300):
        stop = [Law("wall", row("rear shock"), Stop(1e-4, 1e-4, rate))]
        for fast in (False, True):
            with pytest.raises(ValueError, match=r"forces do not settle at 0\.\d+ s in steps of 0.004 s"):
                marched(rough(small_truck(), stop), bump(), RATE, fast=fast)


def test_what_the_linear_drive_refuses_is_refused():
    with pytest.raises(ValueError, match="wanted"):
        rough_drive(small_truck(), every_law(), np.zeros((3, 100)), RATE)
    with pytest.raises(ValueError, match="rate"):
        rough_drive(small_truck(), every_law(), bump(), 50.0)
    holed = bump()
    holed[1, 77] = np.nan
    with pytest.raises(ValueError, match="finite"):
        rough_drive(small_truck(), every_law(), holed, RATE)
    with pytest.raises(KeyError, match="rear end"):
        rough_drive(small_truck(), every_law(), bump(), RATE, ["raer end"])


def test_forces_on_the_hubs_push_as_in_the_linear_drive():
    """An imbalance of 5 Hz on the rear wheels; the one law is a stop that is never met."""
    t = np.arange(500) / RATE
    forces = np.array([0 * t, 800 * np.sin(2 * np.pi * 5 * t)])
    idle = [Law("rear stops", row("rear shock"), Stop(1.0, 1.0, 1e6))]
    linear = drive(small_truck(), bump(), RATE, ["rear end"], forces)
    ride = rough_drive(small_truck(), idle, bump(), RATE, ["rear end"], forces)
    unpushed = rough_drive(small_truck(), idle, bump(), RATE, ["rear end"])
    assert np.abs(ride.samples - linear.samples).max() < 1e-10 * np.abs(linear.samples).max()
    assert np.abs(ride.channel("rear end") - unpushed.channel("rear end")).max() > 0.1  # [m/s^2]
    with pytest.raises(ValueError, match="forces of shape"):
        rough_drive(small_truck(), idle, bump(), RATE, ["rear end"], forces[:1])


def test_guides_that_stick_lock_a_damper_at_small_strokes():
    """Below its breakaway force a damper is ballast: its mass goes along with the place that it hangs on."""
    t = np.arange(2000) / RATE
    ripple = 2e-4 * np.sin(2 * np.pi * 3.0 * t) * np.minimum(t, 1) * np.ones((2, 1))
    hung = with_damper(small_truck(), tuned("rear end", "20 kg", "3 Hz", "5 %"))
    free, stuck = (
        rough_drive(hung, damper_laws(hung, breakaway), ripple, RATE) for breakaway in (1e-3, 100.0)
    )
    strokes = [np.abs(ride.channel("damper stroke")[1000:]).max() for ride in (free, stuck)]
    assert strokes[1] < 0.01 * strokes[0]


def test_end_stops_hold_a_dampers_stroke():
    hung = with_damper(small_truck(), tuned("rear end", "20 kg", "3 Hz", "2 %"))
    free = rough_drive(hung, damper_laws(hung, 1e-6), bump(4.0), RATE).channel("damper stroke")
    limit = 0.3 * np.abs(free).max()
    held = rough_drive(hung, damper_laws(hung, stroke=limit), bump(4.0), RATE).channel("damper stroke")
    assert np.abs(held).max() < 1.5 * limit


def test_a_law_may_ride_on_the_road_itself():
    """A stop between the frame and the ground under it, ever harder, keeps them ever better apart."""
    above, lowest = small_truck().points["rear end"].row - at("road.rear"), []
    for rate in (1e3, 1e6, 1e8):
        skid = [Law("skid", above, Stop(1.0, 0.01, rate))]
        ride = rough_drive(small_truck(), skid, bump(), RATE, ["rear end"], motion="displacement")
        lowest.append((ride.channel("rear end") - bump()[1]).min())
    free = (
        drive(small_truck(), bump(), RATE, ["rear end"], motion="displacement").channel("rear end")
        - bump()[1]
    )
    assert lowest[0] == pytest.approx(free.min(), rel=0.01)
    assert free.min() < -0.1 < -0.05 < lowest[1] < -0.02 < lowest[2] < -0.01
