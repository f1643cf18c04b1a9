"""Assessments that the tests of the app share, one for each shape an answer can have; all invented."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from counterbounce.model.case import parse
from counterbounce.sizing.assess import Assessment, assess

AXLES = """
[vehicle]
{vehicle}
wheelbase = "3.9 m"
[axle.front]
load = "2.6 t (measured: weighbridge)"
unsprung_mass = "320 kg"
spring_rate = "250 kN/m"
damping = "7 kN*s/m"
tyre = "225/70R19.5"
rating = "3.1 t"
[axle.rear]
load = "3.9 t (measured: weighbridge)"
unsprung_mass = "560 kg"
spring_rate = "500 kN/m"
damping = "9 kN*s/m"
tyre = "225/70R19.5"
tyres = 4
driven = true
"""
BENDING = (
    AXLES.format(vehicle="")
    + """
[frame]
front_overhang = "1.1 m"
rear_overhang = "2 m"
bending_stiffness = "9 MN*m^2 (published: an invented sheet)"
loss_factor = "4 %"
[[body]]
name = "cab"
mass = "650 kg"
station = "0.1 m"
mounts = [
  { station = "-0.5 m", rate = "300 kN/m", damping = "3 kN*s/m" },
  { station = "0.7 m", rate = "300 kN/m", loss_factor = "10 %" },
]
[[body]]
name = "crane & <winch>"
mass = "200 kg"
station = "5 m"
[[point]]
name = "driver's floor"
on = "cab"
station = "0.3 m"
watch = true
[[point]]
name = "roof"
on = "frame"
station = "0.3 m"
watch = true
direction = "fore-aft"
height = "1.4 m"
weighting = "Wd"
"""
)
CASES = {
    "truck": f"""
name = "Truck & <friends>"
note = "Invented, for a test."
{BENDING}
[inputs]
joints = {{ spacing = "15 ft", step = "3 mm" }}
driveline = {{ axle_ratio = 4.1, gear_ratio = 1.0, cylinders = 6 }}
[complaint]
speed = {{ from = "60 km/h", to = "75 km/h" }}
[limits]
mass = "40 kg"
clearance = "60 mm"
""",
    "shimmy": f"""
name = "Truck that feeds its own shake"
{BENDING}
[complaint]
speed = {{ from = "60 km/h", to = "75 km/h" }}
feeds_itself = true
""",
    "silent": f"""
name = "Half a truck on nothing"
{AXLES.format(vehicle='model = "half"')}
[inputs]
wheel_orders = []
""",
    "unheard": f"""
name = "Half a truck whose driveline alone turns"
{AXLES.format(vehicle='model = "half"')}
[inputs]
wheel_orders = []
driveline = {{ axle_ratio = 1.5 }}
""",
    "quarter": """
name = "A corner in pounds"
[vehicle]
sprung_mass = "900 lb"
[axle.rear]
unsprung_mass = "120 lb"
spring_rate = "120 lbf/in"
damping = "2 lbf*s/in"
tyre_rate = "1000 lbf/in"
circumference = "7 ft"
[inputs]
speeds = { from = "20 mph", to = "75 mph" }
wave = { length = "8 ft", height = "0.2 in" }
""",
}  # fmt: skip


@cache
def assessment_of(name: str) -> Assessment:
    return assess(parse(CASES[name], f"{name}.toml"))


@pytest.fixture(scope="session")
def assessed() -> Callable[[str], Assessment]:
    """The assessment of an invented case by its name."""
    return assessment_of


@pytest.fixture(params=CASES, scope="session")
def any_assessment(request: pytest.FixtureRequest) -> Assessment:
    return assessment_of(request.param)


@pytest.fixture(scope="session")
def case_texts() -> dict[str, str]:
    """The same cases as text."""
    return CASES
