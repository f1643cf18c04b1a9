"""Single events and rows of slabs as a profile.

Their shapes are drawn with straight lines and cosines: common practice, no source.  A jump becomes a ramp
over one step of the profile, centred on where it stands.  The road before and behind an event is level.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from .profile import Profile
from .road import Joints

Floats = NDArray[np.float64]

BEFORE, BEHIND = 20.0, 60.0  # [m] of level road
STEP = 0.01  # [m]
MOST_SAMPLES = 20_000_000
COMMON = "Its shape is common practice, no source."


def step(height: float, spacing: float = STEP) -> Profile:
    """A change of level at 0, such as a patch that stands up or the edge of a plate.

    height   [m] up, or down where it is negative; up to 0.3
    spacing  [m]

    >>> step(0.02).at([-1.0, 1.0]).round(3).tolist()
    [0.0, 0.02]
    """
    _within("height", height, -0.3, 0.3)
    return _event(f"step of {_mm(height)}", [(0.0, 0.0), (0.0, height)], spacing)


def dip(length: float, depth: float, spacing: float = STEP) -> Profile:
    """A smooth hollow from 0 on: one wave of a cosine; a bump where the depth is negative.

    length   [m] 0.1 to 100
    depth    [m] up to 0.5
    spacing  [m]

    >>> dip(4.0, 0.03).at([1.0, 2.0]).round(4).tolist()
    [-0.015, -0.03]
    """
    _within("length", length, 0.1, 100.0)
    _within("depth", depth, -0.5, 0.5)

    def shape(x: Floats) -> Floats:
        inside = (x > 0) & (x < length)
        return np.asarray(np.where(inside, -depth / 2 * (1 - np.cos(2 * np.pi * x / length)), 0.0))

    name = f"dip of {_mm(depth)} over {length:g} m"
    return _sampled(name, shape, (0.0, length), spacing)


def bridge_joint(
    settlement: float,
    approach: float = 10.0,
    deck: float = 30.0,
    gap: float = 0.05,
    gap_depth: float = 0.0,
    spacing: float = STEP,
) -> Profile:
    """A bridge whose approaches have settled: a slope down to its deck at 0, a step up, and the same off it.

    settlement  [m] of the ground beside the deck, 0 to 0.15
    approach    [m] over which the settlement runs out, 1 to 50
    deck        [m] length of the bridge, 1 to 1000
    gap         [m] width of the joint at each end, 0 to 0.3
    gap_depth   [m] that a tyre dips into it, 0 to 0.05
    spacing     [m]

    >>> bridge_joint(0.03).at([-5.0, -0.1, 15.0, 30.1]).round(4).tolist()
    [-0.015, -0.0297, 0.0, -0.0297]
    """
    _within("settlement", settlement, 0.0, 0.15)
    _within("approach", approach, 1.0, 50.0)
    _within("deck", deck, 1.0, 1000.0)
    _within("gap", gap, 0.0, 0.3)
    _within("gap_depth", gap_depth, 0.0, 0.05)
    end = deck - gap
    corners = [
        (-approach, 0.0), (0.0, -settlement), (0.0, -gap_depth), (gap, -gap_depth), (gap, 0.0),
        (end, 0.0), (end, -gap_depth), (deck, -gap_depth), (deck, -settlement), (deck + approach, 0.0),
    ]  # fmt: skip
    name = f"bridge of {deck:g} m whose approaches settled by {_mm(settlement)} over {approach:g} m"
    return _event(name, corners, spacing)


def railway_crossing(
    hump: float = 0.05,
    ramp: float = 6.0,
    flangeway: float = 0.065,
    flangeway_depth: float = 0.01,
    gauge: float = 1.5,
    spacing: float = STEP,
) -> Profile:
    """A single track on a hump, crossed at a right angle: a ramp up, two flangeways, a ramp down.

    hump             [m] of the rails over the road, -0.1 to 0.3
    ramp             [m] on either side, 1 to 50
    flangeway        [m] width beside each rail, 0.02 to 0.15
    flangeway_depth  [m] that a tyre dips into it, 0 to 0.05
    gauge            [m] from rail to rail, 0.5 to 2
    spacing          [m]

    >>> railway_crossing().at([-3.0, 0.03, 0.75, 4.5]).round(3).tolist()
    [0.025, 0.04, 0.05, 0.025]
    """
    _within("hump", hump, -0.1, 0.3)
    _within("ramp", ramp, 1.0, 50.0)
    _within("flangeway", flangeway, 0.02, 0.15)
    _within("flangeway_depth", flangeway_depth, 0.0, 0.05)
    _within("gauge", gauge, 0.5, 2.0)
    low, far = hump - flangeway_depth, gauge - flangeway
    corners = [
        (-ramp, 0.0), (0.0, hump), (0.0, low), (flangeway, low), (flangeway, hump),
        (far, hump), (far, low), (gauge, low), (gauge, hump), (gauge + ramp, 0.0),
    ]  # fmt: skip
    return _event(f"railway crossing on a hump of {_mm(hump)} with ramps of {ramp:g} m", corners, spacing)


def slabs(joints: Joints, count: int, spacing: float = STEP) -> Profile:
    """A row of equal slabs, its first joint at 0: faulting, curl and gap, as in the spectrum of joints.

    joints   spacing, step, curl, gap width and depth [m]
    count    slabs, 1 or more
    spacing  [m]; made a little smaller where a slab is no whole number of steps

    The samples lie half a step off the joints.

    >>> row = slabs(Joints(4.5, step=0.003), 10, 0.05)
    >>> len(row.heights), round(float(np.ptp(row.heights)), 5)
    (900, 0.00297)
    """
    _within("spacing of the joints", joints.spacing, 0.5, 100.0)
    _check_grid(count * joints.spacing, spacing)
    each = int(np.ceil(joints.spacing / spacing * (1 - 1e-9)))
    if count < 1 or each < 2:
        raise ValueError(f"{count} slabs of {each} steps: wanted 1 slab or more, of 2 steps or more")
    x = (np.arange(each) + 0.5) / each
    heights = joints.step * (0.5 - x) + 4 * joints.curl * (x - 0.5) ** 2
    heights -= joints.gap_depth * (np.minimum(x, 1 - x) * joints.spacing < joints.gap_width / 2)
    finest = joints.spacing / each
    shown = ("step", joints.step), ("curl", joints.curl), ("gap", joints.gap_depth)
    parts = [f"{name} {_mm(value)}" for name, value in shown if value]
    name = f"row of {count} slabs of {joints.spacing:g} m, {', '.join(parts) or 'level'}"
    return Profile(finest, finest / 2, np.tile(heights, count), name, (COMMON,))


def joined(first: Profile, second: Profile) -> Profile:
    """The two roads summed where both lie, the second kept level beyond its ends: an event on a random road.

    The result lies on the steps of the first.

    >>> from .profile_spectrum import realised
    >>> from .roughness import of_class
    >>> road = joined(realised(of_class("A"), 100.0, 0.05, seed=1), step(0.02))
    >>> road.source.endswith("with step of 20 mm")
    True
    """
    heights = first.heights + second.at(first.distance)
    done = (*first.done, *second.done)
    return Profile(first.spacing, first.start, heights, f"{first.source}, with {second.source}", done)


def _within(name: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise ValueError(f"{name} must lie in [{low:g}, {high:g}] m, got {value}")


def _check_grid(length: float, spacing: float) -> None:
    if not (0 < spacing < length and length / spacing <= MOST_SAMPLES):
        raise ValueError(f"spacing {spacing} m does not suit a road of {length:g} m")


def _mm(height: float) -> str:
    return f"{1e3 * height:g} mm"


def _event(name: str, corners: Sequence[tuple[float, float]], spacing: float) -> Profile:
    """Straight lines between corners (place, height) [m]; two corners at one place are a jump."""
    places, heights = np.array(corners).T
    ends = float(places[0]), float(places[-1])
    return _sampled(name, lambda x: np.interp(x, places, heights), ends, spacing)


def _sampled(
    name: str, shape: Callable[[Floats], Floats], ends: tuple[float, float], spacing: float
) -> Profile:
    """Level road before the event, the event, and level road behind it, sampled half a step off 0."""
    start, end = ends[0] - BEFORE, ends[1] + BEHIND
    _check_grid(end - start, spacing)
    before, behind = int(np.ceil(-start / spacing)), int(np.ceil(end / spacing))
    x = np.asarray(spacing * (np.arange(-before, behind) + 0.5), dtype=float)
    return Profile(spacing, float(x[0]), shape(x), name, (COMMON,))
