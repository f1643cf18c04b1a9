"""Wheel orders, joints and waves: what the road and the wheels ask of the vehicle at a speed.

Every input has a frequency per metre travelled, so its frequency is always per_metre * speed.  The time
factor is e^{+i omega t}: what reaches a station x behind the front axle comes later by the phase
exp(-2 pi i n x / L).
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .roughness import Roughness
from .vehicle import Axle, Vehicle
from .wheels import WheelFault, uneven

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

HIGHEST = 25.0  # [Hz] modes and harmonics are followed up to here
GONE = 30.0  # [Hz] and fade away until here, so that a curve along speed has no steps
MOST_HARMONICS = 40

InputKind = Literal["wheel", "joints", "wave", "propshaft", "engine"]


@dataclass(frozen=True)
class Joints:
    """A pavement of equal slabs: spacing [m], and what stands at each joint [m]; at least one of step,
    curl and gap."""

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
    """What turns with the driven wheels: ratios [-] and cylinders of a four-stroke engine (None: not
    given)."""

    axle_ratio: float | None = None
    gear_ratio: float | None = None
    cylinders: int | None = None


@dataclass(frozen=True)
class Roads:
    """All that asks something of the vehicle.

    rolling_difference  [-] spread of the wheels' rolling circumferences: it sets the beat between them
    roughness           of the road between all that; None: not stated
    profile             file of a measured profile; None: there is none
    """

    wheel_orders: tuple[int, ...] = (1, 2, 3, 4)
    wheel_faults: tuple[WheelFault, ...] = ()
    rolling_difference: float = 0.003
    joints: Joints | None = None
    wave: Wave | None = None
    driveline: Driveline | None = None
    roughness: Roughness | None = None
    profile: Path | None = None


@dataclass(frozen=True)
class Level:
    """How large an input is [m, or kg m]: `typical` for usual phases, `worst` when all parts add."""

    typical: float
    worst: float


NOTHING = Level(0.0, 0.0)


@dataclass(frozen=True)
class Input:
    """One cause: what it asks of every axle, at any speed.

    name         for people, e.g. "wheel order 1, rear axle"
    kind         wheel, joints, wave, propshaft or engine
    order        wheel order, harmonic, or turns per turn of the driven wheels [-]
    axle         the axle it comes from; None: all of them
    per_metre    cycles per metre travelled [1/m]
    shape        complex road height under each axle per metre of `height`, (axles,)
    height       [m] amplitude of the height; None: the frequency is known, the level is not
    imbalance    [kg m] amplitude, summed over the axle's wheels
    tyre         (k_t [N/m], c_t [N s/m]) of its axle: a hub force F is a height F / (k_t + i omega c_t)
    beat_length  [m] travelled per beat between wheels of one order; None: nothing beats
    assumed      whether the level is that of an assumed healthy part
    """

    name: str
    kind: InputKind
    order: float
    axle: str | None
    per_metre: float
    shape: Complexes
    height: Level | None
    imbalance: Level = NOTHING
    tyre: tuple[float, float] = (1.0, 0.0)
    beat_length: float | None = None
    assumed: bool = False

    def frequency(self, speed: Floats) -> Floats:
        """Hertz at speeds [m/s]: per_metre * speed."""
        return np.asarray(self.per_metre * np.asarray(speed, dtype=float))

    def amplitude(self, speed: Floats) -> tuple[Floats, Floats]:
        """(typical, worst) amplitude [m] of the road height at speeds [m/s]; zero where it is not known."""
        if self.height is None:
            return np.zeros_like(speed), np.zeros_like(speed)
        omega = 2 * np.pi * self.frequency(speed)
        lift = omega**2 / np.abs(self.tyre[0] + 1j * omega * self.tyre[1])
        typical = np.hypot(self.height.typical, self.imbalance.typical * lift)
        return typical, self.height.worst + self.imbalance.worst * lift


def inputs(roads: Roads, vehicle: Vehicle, slowest: float) -> tuple[Input, ...]:
    """All inputs of a vehicle on its roads.

    slowest  [m/s] the slowest speed asked about: joints get as many harmonics as lie below 30 Hz there

    >>> from .example import small_truck
    >>> found = inputs(Roads((1, 2), joints=Joints(4.5, step=0.003)), small_truck(), 25.0)
    >>> [one.name for one in found[:2]], len(found)
    (['wheel order 1, front axle', 'wheel order 1, rear axle'], 9)
    >>> round(float(found[1].frequency(np.array(24.0))), 6)     # the rear axle's wheels, 2.4 m a turn
    10.0
    """
    return (
        *_wheel_inputs(roads, vehicle),
        *_joint_inputs(roads.joints, vehicle, slowest),
        *_wave_inputs(roads.wave, vehicle),
        *_driveline_inputs(roads.driveline, vehicle),
    )


# --- wheels -----------------------------------------------------------------------------------------------


def _wheel_inputs(roads: Roads, vehicle: Vehicle) -> list[Input]:
    rolling = [a for a in vehicle.axles if a.circumference]
    return [_wheel_input(roads, vehicle, axle, order) for order in roads.wheel_orders for axle in rolling]


def _wheel_input(roads: Roads, vehicle: Vehicle, axle: Axle, order: int) -> Input:
    assert axle.circumference is not None
    heights, moments, assumed = uneven(roads.wheel_faults, axle, order)
    per_metre = order / axle.circumference
    return Input(
        f"wheel order {order}, {axle.name} axle",
        "wheel",
        order,
        axle.name,
        per_metre,
        np.array([1.0 + 0j if a.name == axle.name else 0j for a in vehicle.axles]),
        _mean(heights, axle.wheels),
        Level(float(np.linalg.norm(moments)), float(np.sum(moments))),
        (axle.tyre_rate, axle.tyre_damping),
        1 / (per_metre * roads.rolling_difference) if roads.rolling_difference else None,
        assumed,
    )


def _mean(heights: list[float], wheels: int) -> Level:
    """An axle rises by the mean of its wheels: in phase at worst, root of the sum of squares as a rule."""
    return Level(float(np.linalg.norm(heights)) / wheels, float(np.sum(heights)) / wheels)


# --- roads ------------------------------------------------------------------------------------------------


def _joint_inputs(joints: Joints | None, vehicle: Vehicle, slowest: float) -> list[Input]:
    if joints is None:
        return []
    count = min(max(int(GONE * joints.spacing / slowest), 1), MOST_HARMONICS)
    return [
        Input(
            f"expansion joints, harmonic {n}",
            "joints",
            n,
            None,
            n / joints.spacing,
            slab_harmonic(joints, n) * delays(vehicle, n / joints.spacing),
            Level(1.0, 1.0),
        )
        for n in range(1, count + 1)
    ]


def slab_harmonic(joints: Joints, n: int) -> complex:
    """Complex amplitude [m] of harmonic n of equal slabs, joint at x = 0, for e^{+i 2 pi n x / L}.

        step   h (1/2 - x/L)              ->  -i h / (pi n)
        curl   4 h (x/L - 1/2)^2          ->  4 h / (pi n)^2      (edges h above the middle)
        gap    -d over a width w at x = 0 ->  -2 d sin(pi n w / L) / (pi n)

    joints  spacing L, step and curl h, gap width w and depth d [m]
    n       harmonic [-]

    The Fourier coefficients of a sawtooth, a parabola and a pulse: common mathematics.

    >>> abs(round(slab_harmonic(Joints(5.0, step=0.003), 1).imag * 1e3, 6))
    0.95493
    """
    step = -1j * joints.step / (np.pi * n)
    curl = 4 * joints.curl / (np.pi * n) ** 2
    gap = -2 * joints.gap_depth * np.sin(np.pi * n * joints.gap_width / joints.spacing) / (np.pi * n)
    return complex(step + curl + gap)


def delays(vehicle: Vehicle, per_metre: ArrayLike) -> Complexes:
    """What each axle feels of a wave of the road [m/m]: later by its station, smoothed over its footprint.

    per_metre  [cycle/m], any shape; the axles are one more axis behind it

    >>> from .example import small_truck
    >>> delays(small_truck(), 1 / 8.0).round(2).tolist()     # half a wave from axle to axle
    [(1+0j), (-1-0j)]
    """
    n = np.asarray(per_metre, dtype=float)[..., None]
    stations = np.array([a.station - vehicle.axles[0].station for a in vehicle.axles])
    lengths = np.array([a.contact_length or 0.0 for a in vehicle.axles])
    return np.asarray(np.sinc(n * lengths) * np.exp(-2j * np.pi * n * stations))


def _wave_inputs(wave: Wave | None, vehicle: Vehicle) -> list[Input]:
    if wave is None:
        return []
    height = Level(wave.height / 2, wave.height / 2)
    return [Input("sine road", "wave", 1, None, 1 / wave.length, delays(vehicle, 1 / wave.length), height)]


# --- driveline --------------------------------------------------------------------------------------------


def _driveline_inputs(driveline: Driveline | None, vehicle: Vehicle) -> list[Input]:
    """Frequencies of what turns ahead of the driven wheels; with their forces unknown, so are the levels."""
    driven = ([a for a in vehicle.axles if a.driven] or list(vehicle.axles[-1:]))[0]
    if driveline is None or driveline.axle_ratio is None or not driven.circumference:
        return []
    shaft = driveline.axle_ratio
    turning: list[tuple[str, InputKind, float]] = [
        ("propshaft, once per turn", "propshaft", shaft),
        ("propshaft joints, twice per turn", "propshaft", 2 * shaft),
    ]
    if driveline.gear_ratio:
        crank = shaft * driveline.gear_ratio
        turning.append(("engine, once per turn", "engine", crank))
        if driveline.cylinders:
            turning.append(("engine firing", "engine", crank * driveline.cylinders / 2))
    still = np.zeros(len(vehicle.axles), dtype=complex)
    return [
        Input(name, kind, order, driven.name, order / driven.circumference, still, None)
        for name, kind, order in turning
    ]
