"""Single events and rows of slabs: their corners, their ranges, and slabs against their spectrum."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.events import bridge_joint, dip, joined, railway_crossing, slabs, step
from counterbounce.model.profile import Profile
from counterbounce.model.road import Joints, slab_harmonic

EVENTS = {
    "step": step(0.02),
    "dip": dip(5.0, 0.04),
    "bridge": bridge_joint(0.03, gap_depth=0.01),
    "long approach": bridge_joint(0.03, approach=45.0),
    "crossing": railway_crossing(),
}


@pytest.mark.parametrize("event", EVENTS.values(), ids=EVENTS)
def test_every_event_lies_on_level_road_and_names_its_numbers(event):
    assert event.heights[0] == 0.0
    assert np.ptp(event.heights[:1500]) == 0.0, "15 m of level road before it"
    assert np.ptp(event.heights[-5000:]) == 0.0, "50 m behind it"
    assert " mm" in event.source
    assert "no source" in event.done[0]


def test_a_step_is_centred_on_zero():
    """A ramp over one step of the grid: half of it at 0."""
    one = step(0.03, 0.02)
    assert one.at([-0.01, 0.0, 0.01]) == pytest.approx([0.0, 0.015, 0.03], abs=1e-12)


def test_a_dip_is_smooth_and_as_deep_as_said():
    one = dip(5.0, 0.04, 0.005)
    assert one.at(2.5) == pytest.approx(-0.04, rel=1e-5)
    assert one.at(1.25) == pytest.approx(-0.02, rel=1e-5)
    assert np.abs(np.diff(one.heights)).max() / 0.005 == pytest.approx(np.pi * 0.04 / 5, rel=1e-3)
    assert dip(5.0, -0.04).at(2.5) > 0.0399


def test_a_bridge_has_two_slopes_and_two_joints():
    one = bridge_joint(0.03, approach=10.0, deck=30.0, gap=0.1, gap_depth=0.02)
    places = [-10.1, -5, -0.05, 0.05, 0.2, 15, 29.85, 29.95, 30.05, 35, 41]
    wanted = [0, -0.015, -0.02985, -0.02, 0, 0, 0, -0.02, -0.02985, -0.015, 0]
    assert one.at(places) == pytest.approx(wanted, abs=1e-9)


def test_a_crossing_has_two_flangeways():
    one = railway_crossing(hump=0.05, ramp=6.0, flangeway=0.06, flangeway_depth=0.01, gauge=1.5)
    places = [-6.1, -3, 0.03, 0.3, 1.47, 4.5, 8]
    assert one.at(places) == pytest.approx([0, 0.025, 0.04, 0.05, 0.04, 0.025, 0], abs=1e-9)


@pytest.mark.parametrize(
    "joints",
    [
        Joints(4.5, step=3e-3),
        Joints(4.5, step=-3e-3, curl=4e-3),
        Joints(4.5, curl=-2e-3, gap_width=0.054, gap_depth=5e-3),
    ],
    ids=["faulting", "faulting and curl", "curl and gap"],
)
def test_a_row_of_slabs_has_the_harmonics_of_its_spectrum(joints):
    """An FFT of 32 slabs of 1000 samples.

    Jumps fold higher harmonics back by (pi n / count)^2: 4e-3 at harmonic 20.
    """
    count, each = 32, 1000
    row = slabs(joints, count, 4.5 / each)
    assert len(row.heights) == count * each
    lines = 2 * np.fft.rfft(row.heights) / len(row.heights)
    n = np.arange(1, 21)
    moved = np.exp(-2j * np.pi * n * row.start / joints.spacing)  # the first sample lies behind the joint
    ours = np.array([slab_harmonic(joints, int(k)) for k in n])
    assert np.allclose(lines[count * n] * moved, ours, rtol=4e-3, atol=1e-8)
    between = np.delete(np.abs(lines[1 : count * 20]), count * n[:-1] - 1)
    assert between.max() < 1e-15


def test_a_slab_is_a_whole_number_of_steps():
    row = slabs(Joints(4.57, step=3e-3), 3, 0.01)
    assert row.spacing == pytest.approx(4.57 / 457)
    assert slabs(Joints(4.57, step=3e-3), 3, 0.0101).spacing <= 0.0101
    assert len(slabs(Joints(4.57, step=3e-3), 3, 0.3).heights) % 3 == 0


def test_an_event_joins_a_road():
    road = Profile(0.05, -30.0, 1e-3 * np.sin(np.arange(2000)), "a wavy road")
    both = joined(road, step(0.02))
    assert np.allclose(both.heights - road.heights, step(0.02).at(road.distance))
    assert both.source == "a wavy road, with step of 20 mm"


@pytest.mark.parametrize(
    ("event", "numbers", "name"),
    [
        (step, {"height": 0.31}, "height"),
        (dip, {"length": 0.05, "depth": 0.01}, "length"),
        (dip, {"length": 5.0, "depth": 0.6}, "depth"),
        (bridge_joint, {"settlement": -0.01}, "settlement"),
        (bridge_joint, {"settlement": 0.01, "approach": 60.0}, "approach"),
        (bridge_joint, {"settlement": 0.01, "deck": 0.5}, "deck"),
        (bridge_joint, {"settlement": 0.01, "gap": 0.4}, "gap"),
        (bridge_joint, {"settlement": 0.01, "gap_depth": np.nan}, "gap_depth"),
        (railway_crossing, {"hump": 0.4}, "hump"),
        (railway_crossing, {"ramp": 0.0}, "ramp"),
        (railway_crossing, {"flangeway": 0.01}, "flangeway"),
        (railway_crossing, {"flangeway_depth": 0.06}, "flangeway_depth"),
        (railway_crossing, {"gauge": 3.0}, "gauge"),
        (step, {"height": 0.1, "spacing": 0.0}, "spacing"),
        (step, {"height": 0.1, "spacing": 1e-9}, "spacing"),
        (slabs, {"joints": Joints(0.2, step=1e-3), "count": 3}, "spacing of the joints"),
        (slabs, {"joints": Joints(4.5, step=1e-3), "count": 0}, "spacing|slab"),
        (slabs, {"joints": Joints(4.5, step=1e-3), "count": 3, "spacing": 5.0}, "slab|spacing"),
    ],
)
def test_numbers_out_of_range_are_refused_by_name(event, numbers, name):
    with pytest.raises(ValueError, match=name):
        event(**numbers)
