"""Assessments, placards and cases that the tests of the rooms share; all invented."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from counterbounce.model.case import parse
from counterbounce.model.estimates import RULES
from counterbounce.model.numbers import Known, Numbers
from counterbounce.model.observations import CHECKS
from counterbounce.model.tyres import parse_size
from counterbounce.sizing.assess import Assessment, assess
from counterbounce.sizing.study import Host, host

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
weighting = "Wk"
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
TRUCK = f"""
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
"""
CLEARED = """
[checks]
{}
[[observation]]
change = "how fast it shakes"
result = "blur"
[[observation]]
change = "known-good wheels"
result = "stayed"
""".format("\n".join(f'{name} = "good"' for name in CHECKS))
CASES = {
    "truck": TRUCK + CLEARED,
    "uncleared": TRUCK,
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


# --- what door placards and a look under the vehicle give -------------------------------------------------

PSI = 6894.757
Given = dict[str, Known]


def known_number(value: float, share: float = 0.0) -> Known:
    return Known(float(value), abs(value) * share, "published")


def placard(name: str, load: float, size: str, tyres: int, psi: float, *facts: str) -> Given:
    tyre = parse_size(size)
    sizes = {"tyre_width": tyre.width, "tyre_aspect": tyre.aspect, "rim_diameter": tyre.rim}
    exact = {**sizes, "tyre_diameter": tyre.diameter, "tyres": tyres, **dict.fromkeys(facts, 1.0)}
    given = {"load": known_number(load, 0.05), "pressure": known_number(psi * PSI, 0.05)}
    given |= {fact: known_number(value) for fact, value in exact.items()}
    return {f"axle.{name}.{fact}": value for fact, value in given.items()}


PLACARDS: dict[str, Given] = {
    "flatbed, 4.5 t": {
        **placard("front", 1750, "LT245/75R16", 2, 65, "is_front", "is_leaf"),
        **placard("rear", 2300, "LT245/75R16", 4, 65, "driven", "is_leaf"),
        "vehicle.wheelbase": known_number(4.1, 0.01),
    },
    "box, 7.5 t": {
        **placard("front", 2600, "225/70R19.5", 2, 80, "is_front", "is_leaf"),
        **placard("rear", 4900, "225/70R19.5", 4, 80, "driven", "is_leaf"),
        "vehicle.wheelbase": known_number(3.8, 0.01),
    },
}


@pytest.fixture(params=PLACARDS)
def given(request: pytest.FixtureRequest) -> Given:
    """Each placard in turn."""
    return PLACARDS[request.param]


@pytest.fixture
def flatbed() -> Given:
    return PLACARDS["flatbed, 4.5 t"]


@pytest.fixture
def box() -> Given:
    return PLACARDS["box, 7.5 t"]


@pytest.fixture(scope="session")
def known() -> Callable[..., Known]:
    """A number that is exact, or uncertain by a share of itself."""
    return known_number


@pytest.fixture(scope="session")
def resolve() -> Callable[..., Numbers]:
    """Numbers of a placard with more beside it, a__b for a.b, and all the rules."""

    def numbers(given: Given, **more: float) -> Numbers:
        told = {key.replace("__", "."): known_number(value) for key, value in more.items()}
        return Numbers({**given, **told}, RULES)

    return numbers


@pytest.fixture(scope="session")
def without() -> Callable[..., Given]:
    """A placard less what ends in one of these words."""
    return lambda given, *ends: {path: n for path, n in given.items() if not path.endswith(ends)}


@pytest.fixture(scope="session")
def flat() -> str:
    """A case whose two axles stand at one station: what is divided by their distance has no value."""
    return """
name = "Flat"
[vehicle]
sprung_mass = "1 t"
centre_of_gravity = "0 m"
[axle.a]
station = "0 m"
tyre = "225/70R19.5"
[axle.b]
station = "0 m"
tyre = "225/70R19.5"
"""


HALF_TRUCK = """
name = "Half a truck"
{exact}
[vehicle]
model = "half"
wheelbase = "3.9 m"
pitch_inertia = "14000 kg*m^2"
[axle.front]
load = "2.6 t"
unsprung_mass = "320 kg"
spring_rate = "250 kN/m ± {doubt} %"
damping = "5 kN*s/m"
tyre_rate = "1.5 MN/m"
tyre_damping = "1 kN*s/m"
circumference = "2.4 m"
rating = "3 t"
[axle.rear]
load = "{rear}"
unsprung_mass = "560 kg"
spring_rate = "400 kN/m ± {doubt} %"
damping = "5 kN*s/m"
tyre_rate = "{tyre}"
tyre_damping = "{tyre_damping} kN*s/m"
circumference = "{circumference} m"
rating = "4 t"
[frame]
front_overhang = "1 m"
rear_overhang = "2 m"
[inputs]
speeds = {{ from = "10 km/h", to = "60 km/h" }}
wheel_orders = [1]
{more}
"""
USUAL_HALF = {
    "exact": "exact = true",
    "doubt": 20,
    "rear": "3.9 t",
    "tyre": "3 MN/m",
    "tyre_damping": 2,
    "circumference": 2.4,
    "more": "",
}


@pytest.fixture(scope="session")
def half_truck() -> Callable[..., Host]:
    """A rigid half vehicle, invented, ready to be judged; what differs from the usual one is named."""
    return lambda **other: host(parse(HALF_TRUCK.format(**(USUAL_HALF | other)), "half.toml"))
