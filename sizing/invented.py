"""Invented vehicles of several sizes, drawn at random, as the text of a case file.

What is given is what a person has who looked at door, tyres and tape measure; of some the rails were measured
or the frame's bending stiffness is known as well.  Every range is common practice, no source; no vehicle is a
real one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from numpy.random import Generator

Range = tuple[float, float]


@dataclass(frozen=True)
class Size:
    """Ranges of one size of vehicle.

    front, rear  load on the axle [kg]
    wheelbase    [m]
    pressure     [Pa]
    rail         height, flange and thickness of a side rail [m]
    stiffness    of both rails with what stands on them [N m^2]
    solid_front  share of them with a solid front axle [-]
    """

    name: str
    front: Range
    rear: Range
    wheelbase: Range
    tyre: str
    tyres: int
    pressure: Range
    front_spring: Sequence[str]
    rear_spring: Sequence[str]
    rail: tuple[float, float, float]
    stiffness: Range
    solid_front: float


SIZES = (
    Size(
        "pickup", (1150, 1700), (1000, 2000), (3.1, 3.8), "LT245/75R17", 2, (3.4e5, 4.8e5),
        ("coil",), ("leaf", "coil"), (0.150, 0.060, 0.0045), (1.5e6, 3.5e6), 0.3,
    ),
    Size(
        "flatbed", (1400, 1900), (1700, 2900), (3.4, 4.4), "LT245/75R17", 4, (4.0e5, 5.0e5),
        ("coil", "leaf"), ("leaf",), (0.165, 0.065, 0.005), (2e6, 5e6), 0.6,
    ),
    Size(
        "box truck", (2200, 2900), (3400, 5200), (3.6, 4.8), "225/70R19.5", 4, (5.0e5, 6.5e5),
        ("leaf",), ("leaf", "air"), (0.200, 0.070, 0.006), (4e6, 9e6), 1.0,
    ),
    Size(
        "medium truck", (3300, 4600), (5200, 8200), (4.2, 5.8), "275/70R22.5", 4, (6.5e5, 8.0e5),
        ("leaf",), ("leaf", "air"), (0.245, 0.080, 0.007), (10e6, 18e6), 1.0,
    ),
)  # fmt: skip
FRONT_OVERHANG, REAR_OVERHANG = (0.22, 0.30), (0.35, 0.55)  # of the wheelbase [-]
FLOOR = (0.15, 0.35)  # of the wheelbase: station of the driver's floor [-]
ROOM = (1.15, 1.6)  # rating of an axle over its load [-]
KNOWN, MEASURED_RAIL = 0.5, 0.75  # shares: stiffness known; that, or else the rails measured [-]

TEXT = """
name = "Invented {size}"
note = "An invented vehicle, drawn at random."
[vehicle]
wheelbase = "{wheelbase:.3f} m (measured: tape)"
[frame]
front_overhang = "{front_overhang:.2f} m (measured: tape)"
rear_overhang = "{rear_overhang:.2f} m (measured: tape)"
{frame}
[axle.front]
load = "{front:.0f} kg ± 1 % (measured: scale)"
spring = "{front_spring}"
type = "{front_type}"
tyre = "{tyre}"
pressure = "{pressure:.0f} Pa (published: door placard)"
rating = "{front_rating:.0f} kg"
[axle.rear]
load = "{rear:.0f} kg ± 1 % (measured: scale)"
spring = "{rear_spring}"
type = "solid"
tyre = "{tyre}"
tyres = {tyres}
pressure = "{pressure:.0f} Pa (published: door placard)"
rating = "{rear_rating:.0f} kg"
driven = true
[[point]]
name = "driver's floor"
station = "{floor:.2f} m (measured: tape)"
watch = true
"""
STIFFNESS = 'bending_stiffness = "{:.4g} N*m^2 ± 10 % (published: body-builder guide)"'
RAIL = (
    'rail = {{ height = "{:.4f} m (measured: calliper)", flange = "{:.4f} m (measured: calliper)", '
    'thickness = "{:.5f} m (measured: calliper)" }}'
)


def invented(rng: Generator) -> str:
    """A vehicle as the text of a case file, without a complaint.

    >>> from numpy.random import default_rng
    >>> invented(default_rng(1)) == invented(default_rng(1)) != invented(default_rng(2))
    True
    """
    size = SIZES[int(rng.integers(len(SIZES)))]
    front, rear, wheelbase = (float(rng.uniform(*r)) for r in (size.front, size.rear, size.wheelbase))
    return TEXT.format(
        size=size.name,
        wheelbase=wheelbase,
        front_overhang=wheelbase * rng.uniform(*FRONT_OVERHANG),
        rear_overhang=wheelbase * rng.uniform(*REAR_OVERHANG),
        frame=_frame(size, rng),
        front=front,
        rear=rear,
        front_spring=str(rng.choice(list(size.front_spring))),
        rear_spring=str(rng.choice(list(size.rear_spring))),
        front_type="solid" if rng.uniform() < size.solid_front else "independent",
        tyre=size.tyre,
        tyres=size.tyres,
        pressure=rng.uniform(*size.pressure),
        front_rating=front * rng.uniform(*ROOM),
        rear_rating=rear * rng.uniform(*ROOM),
        floor=wheelbase * rng.uniform(*FLOOR),
    )


def _frame(size: Size, rng: Generator) -> str:
    """What is known of the frame, in a line: its stiffness, its rails or nothing."""
    stiffness, scale, drawn = rng.uniform(*size.stiffness), rng.uniform(0.9, 1.1, 3), rng.uniform()
    if drawn < KNOWN:
        return STIFFNESS.format(stiffness)
    return RAIL.format(*(size.rail * scale)) if drawn < MEASURED_RAIL else ""
