"""Vehicles that the tests share, all invented.  A new one joins VEHICLES and inherits every law.

`built` is each vehicle in turn with the plan and the numbers behind it; `fleet` gives one by name; `textbook`
reads a case of tests/cases; `shop` has what a test needs to put a vehicle of its own together.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from counterbounce.model import case as case_files
from counterbounce.model.matrices import matrices
from counterbounce.model.modes import modes
from counterbounce.model.numbers import Known, Numbers
from counterbounce.model.plan import AxlePlan, BodyPlan, LinkPlan, MountPlan, Plan, PointPlan
from counterbounce.model.road import Input, Joints, Roads, Wave, inputs
from counterbounce.model.settle import settled
from counterbounce.model.vehicle import Vehicle

CASES = Path(__file__).parent / "cases"
SHIFTED = (
    "station",
    "centre_of_gravity",
    "front_end",
    "rear_end",
    "to",
)  # lengths that may be zero or negative


@dataclass(frozen=True)
class Built:
    """A vehicle with what it was built from; `grounded` names its links to the ground."""

    plan: Plan
    numbers: Numbers
    vehicle: Vehicle

    @property
    def grounded(self) -> set[str]:
        return {link.name for link in self.plan.links if link.lower == "ground"}

    @property
    def causes(self) -> tuple[Input, ...]:
        """A sine road and joints with three harmonics, each worse at its worst than it is as a rule."""
        roads = Roads(wheel_orders=(), joints=Joints(4.5, step=3e-3, curl=2e-3), wave=Wave(6.0, 0.02))
        found = [c for c in inputs(roads, self.vehicle, 35.0) if c.kind == "wave" or c.order < 4]
        return tuple(replace(c, height=replace(c.height, worst=1.7 * c.height.worst)) for c in found)


def numbers_of(values: dict[str, float], share: float = 0.05) -> Numbers:
    """Numbers without rules: each uncertain by a share of itself, stations by 20 mm."""
    return Numbers({path: _known(path, value, share) for path, value in values.items()}, {})


def _known(path: str, value: float, share: float) -> Known:
    if path.rsplit(".", 1)[-1] in SHIFTED:
        return Known(value, 0.02, "assumed", "invented", "shift")
    return Known(value, share * abs(value), "assumed", "invented")


def built(plan: Plan, values: dict[str, float]) -> Built:
    numbers = numbers_of(values)
    return Built(plan, numbers, settled(plan, numbers))


def table(prefix: str, **values: float) -> dict[str, float]:
    return {f"{prefix}.{name}": value for name, value in values.items()}


def axle(name: str, station: float, heavy: float = 1.0, hub: float = 320.0) -> dict[str, float]:
    """Numbers of a truck's axle of a hub mass [kg]; `heavy` scales its springs and dampers."""
    values = {"spring_rate": 280e3, "damping": 9e3, "tyre_rate": 1.7e6, "tyre_damping": 1.5e3}
    scaled = {key: heavy * value for key, value in values.items()} | {"unsprung_mass": hub}
    return table(f"axle.{name}", station=station, circumference=2.47, contact_length=0.2, **scaled)


FRONT, REAR = AxlePlan("front"), AxlePlan("rear", driven=True)
AXLES = axle("front", 0.0) | axle("rear", 4.2, 1.8, 640.0)
BODY = table("vehicle", sprung_mass=5200.0, centre_of_gravity=2.2, pitch_inertia=19.5e3)
ENDS = table("frame", front_end=-1.15, rear_end=6.25)
BENDS = table("frame", bending_stiffness=6e6, loss_factor=0.04)
CAB = BodyPlan("cab", mounts=(MountPlan(0), MountPlan(1)), rotates=True)
CAB_NUMBERS = (
    table("body.cab", mass=600.0, station=0.1, pitch_inertia=380.0)
    | table("body.cab.mount.0", station=-0.6, rate=500e3, damping=3e3)
    | table("body.cab.mount.1", station=0.9, rate=350e3, loss_factor=0.1)
)


def _quarter() -> Built:
    values = table("vehicle", sprung_mass=2600.0) | axle("rear", 0.0)
    return built(Plan("quarter", (REAR,)), values)


def _half() -> Built:
    return built(Plan("half", (FRONT, REAR)), AXLES | BODY | ENDS)


def _half_with_cab_and_seat() -> Built:
    seat = BodyPlan("seat", on="cab", mounts=(MountPlan(0),), included=False)
    points = (
        PointPlan("head", on="cab", direction="fore-aft", weighting="Wd", watched=True),
        PointPlan("cushion", on="seat", weighting="Wk", watched=True),
    )
    values = table("body.seat", mass=95.0, station=0.5) | table("body.seat.mount.0", rate=25e3, damping=900.0)
    values |= table("point.head", station=0.5, height=1.4) | table("point.cushion", station=0.5)
    return built(Plan("half", (FRONT, REAR), (CAB, seat), points), AXLES | BODY | ENDS | CAB_NUMBERS | values)


def _rising_cab() -> Built:
    """On two mounts without a pitch inertia: it pitches with the frame, and its mounts do not feel that."""
    values = table("body.cab", mass=600.0, station=0.1) | table("body.cab.mount.0", station=-0.6, rate=900e3)
    values |= table("body.cab.mount.1", station=0.9, rate=700e3, loss_factor=0.1)
    cab = BodyPlan("cab", mounts=(MountPlan(0), MountPlan(1)))
    return built(Plan("bending", (FRONT, REAR), (cab,)), AXLES | BODY | ENDS | BENDS | values)


def _rotating_body() -> Built:
    box = BodyPlan("box", mounts=(MountPlan(0), MountPlan(1)), rotates=True)
    values = table("body.box", mass=1400.0, station=3.9, pitch_inertia=2900.0)
    values |= table("body.box.mount.0", station=1.6, rate=3e6, damping=8e3)
    values |= table("body.box.mount.1", station=5.8, rate=2e6, damping=5e3)
    return built(Plan("half", (FRONT, REAR), (box,)), AXLES | BODY | ENDS | values)


def _bending() -> Built:
    return built(Plan("bending", (FRONT, REAR)), AXLES | BODY | ENDS | BENDS)


def _stepped() -> Built:
    engine = BodyPlan("engine", rotates=True)
    values = table("body.engine", mass=500.0, station=0.3, pitch_inertia=60.0) | table(
        "frame", loss_factor=0.04
    )
    values |= table("frame.segment.1", bending_stiffness=4e6, to=1.6)
    values |= table("frame.segment.2", bending_stiffness=9e6, to=4.8)
    values |= table("frame.segment.3", bending_stiffness=2.5e6, to=6.25)
    plan = Plan("bending", (FRONT, REAR), (engine, CAB), segments=3, frame_source="along")
    return built(plan, AXLES | BODY | ENDS | CAB_NUMBERS | values)


def _tandem() -> Built:
    axles = (FRONT, AxlePlan("rear 1", driven=True), AxlePlan("rear 2"))
    values = (
        axle("front", 0.0, 1.5, 450.0) | axle("rear 1", 3.9, 2.0, 800.0) | axle("rear 2", 5.2, 1.7, 600.0)
    )
    values |= table("vehicle", sprung_mass=13e3, centre_of_gravity=2.9, pitch_inertia=60e3)
    return built(Plan("half", axles, load_sharing=(("rear 1", "rear 2"),)), values | ENDS)


def _arm_beyond_the_end() -> Built:
    points = (PointPlan("hitch", watched=True), PointPlan("front spring seat"))
    links = (
        LinkPlan("mass", "tongue", "hitch"),
        LinkPlan("spring", "helper", "front spring seat", "axle.front"),
    )
    values = table("point.hitch", station=6.95) | table("point.front spring seat", station=0.0)
    values |= {"mass.tongue.mass": 60.0, "spring.helper.rate": 30e3}
    return built(Plan("bending", (FRONT, REAR), (), points, links), AXLES | BODY | ENDS | BENDS | values)


def _soft_bracket() -> Built:
    points = (PointPlan("bracket", soft=True), PointPlan("floor", watched=True))
    values = table("point.bracket", station=6.1, bracket_rate=250e3, bracket_mass=4.0) | table(
        "point.floor", station=0.4
    )
    links = (LinkPlan("damper", "dashpot", "rear end", "ground"),)
    values |= {"damper.dashpot.damping": 500.0}
    return built(Plan("bending", (FRONT, REAR), (), points, links), AXLES | BODY | ENDS | BENDS | values)


def from_case(name: str) -> Built:
    one = case_files.load(CASES / f"{name}.toml")
    return Built(one.plan, one.numbers, settled(one.plan, one.numbers))


VEHICLES: dict[str, Callable[[], Built]] = {
    "quarter": _quarter,
    "textbook half": lambda: from_case("b2_rao_bounce_pitch"),
    "textbook quarter": lambda: from_case("b9_quarter_250"),
    "half": _half,
    "cab and seat": _half_with_cab_and_seat,
    "rising cab": _rising_cab,
    "rotating body": _rotating_body,
    "bending": _bending,
    "stepped": _stepped,
    "tandem": _tandem,
    "arm beyond the end": _arm_beyond_the_end,
    "soft bracket": _soft_bracket,
    "bending tandem": lambda: from_case("bending_explicit"),
    "placard": lambda: from_case("box_truck_placard"),
    "mounted": lambda: from_case("mounted_body"),
}


@cache
def vehicle_named(name: str) -> Built:
    return VEHICLES[name]()


@pytest.fixture(params=VEHICLES, name="built", scope="session")
def each_vehicle(request: pytest.FixtureRequest) -> Built:
    return vehicle_named(request.param)


@pytest.fixture(scope="session")
def fleet() -> Callable[[str], Built]:
    return vehicle_named


@pytest.fixture(scope="session")
def textbook() -> Callable[[str], SimpleNamespace]:
    """A case of tests/cases by name: the case, its vehicle, settled, and the matrices."""

    @cache
    def read(name: str) -> SimpleNamespace:
        one = case_files.load(CASES / f"{name}.toml")
        vehicle = settled(one.plan, one.numbers)
        return SimpleNamespace(case=one, vehicle=vehicle, matrices=matrices(vehicle))

    return read


def free_beam(
    line_mass: float, length: float, stiffness: float, lumps: dict[float, float], terms: int
) -> Built:
    """A bare frame hung on two threads that hardly hold it, with lumps [kg] along it."""
    bodies = tuple(BodyPlan(f"lump {x:g}", included=False) for x in lumps)
    threads = tuple(AxlePlan(name, massless=True) for name in ("front", "rear"))
    mass = line_mass * length
    values = table(
        "vehicle", sprung_mass=mass, centre_of_gravity=length / 2, pitch_inertia=mass * length**2 / 12
    )
    values |= table("frame", front_end=0.0, rear_end=length, bending_stiffness=stiffness)
    for name, x in (("front", 0.0), ("rear", length)):
        values |= table(f"axle.{name}", station=x, spring_rate=1e-3, damping=0.0)
    for x, kilograms in lumps.items():
        values |= table(f"body.lump {x:g}", mass=kilograms, station=x)
    return built(Plan("bending", threads, bodies, terms=terms), values)


@pytest.fixture(scope="session")
def shop() -> SimpleNamespace:
    """What puts a vehicle of a test's own together."""
    return SimpleNamespace(
        built=built,
        table=table,
        axle=axle,
        numbers=numbers_of,
        free_beam=free_beam,
        half=AXLES | BODY | ENDS,
        bending=AXLES | BODY | ENDS | BENDS,
        cab=(CAB, CAB_NUMBERS),
        axles=(FRONT, REAR),
    )


def scaled_parts(
    vehicle: Vehicle, mass: float = 1.0, damper: float = 1.0, spring: float = 1.0, name: str = ""
) -> Vehicle:
    """The vehicle with the values of its parts (those of one name, where one is given) multiplied."""
    by = {"mass": mass, "damper": damper, "spring": spring}
    parts = (replace(p, value=p.value * by[p.kind]) if name in ("", p.name) else p for p in vehicle.parts)
    return replace(vehicle, parts=tuple(parts))


@pytest.fixture(scope="session")
def rescaled() -> Callable[..., Vehicle]:
    return scaled_parts


@pytest.fixture(scope="session")
def frequencies() -> np.ndarray:
    """[Hz] where responses are compared: on no natural frequency of an undamped vehicle."""
    return np.geomspace(0.313, 24.7, 60)


@pytest.fixture(scope="session")
def bounce_over_pitch() -> Callable[[Vehicle, float], np.ndarray]:
    """Rise at a station over the pitch there [m/rad], nose-down positive, in each undamped mode."""

    def ratio(vehicle: Vehicle, station: float) -> np.ndarray:
        found = modes(vehicle)
        return found.shape_at(vehicle.frame.row(station)) / found.shape_at(vehicle.frame.slope(station))

    return ratio
