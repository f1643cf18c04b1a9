"""Wheel orders, joints and waves: what the road and the wheels ask of the vehicle at a speed."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class WheelFault:
    """One order of one axle's wheels, a value per wheel; a dual pair shares a hub and is one wheel.

    run_out          [m] radial, peak to peak of the order's harmonic
    force_variation  [N] radial, peak to peak; never together with run_out
    imbalance        [kg m] order 1 only
    """

    axle: str
    order: int
    run_out: tuple[float, ...] = ()
    force_variation: tuple[float, ...] = ()
    imbalance: tuple[float, ...] = ()


@dataclass(frozen=True)
class Joints:
    """A pavement of equal slabs: spacing [m], and what stands at each joint [m]; at least one of step, curl and gap."""

    spacing: float
    step: float = 0.0
    curl: float = 0.0
    gap_width: float = 0.0
    gap_depth: float = 0.0


@dataclass(frozen=True)
class Wave:
    """A sine road: length [m], height [m] from crest to trough."""

    length: float
    height: float


@dataclass(frozen=True)
class Driveline:
    """What turns with the driven wheels: ratios [-] and cylinders of a four-stroke engine (None: not given)."""

    axle_ratio: float | None = None
    gear_ratio: float | None = None
    cylinders: int | None = None


@dataclass(frozen=True)
class Roads:
    """All that asks something of the vehicle.

    rolling_difference  [-] spread of the wheels' rolling circumferences: it sets the beat between them
    """

    wheel_orders: tuple[int, ...] = (1, 2, 3, 4)
    wheel_faults: tuple[WheelFault, ...] = ()
    rolling_difference: float = 0.003
    joints: Joints | None = None
    wave: Wave | None = None
    driveline: Driveline | None = None
