"""Each change against a case file that says the same, and against other ways to the same number."""

import numpy as np
import pytest

from counterbounce.model.building import build
from counterbounce.model.case import parse
from counterbounce.model.forces import TwoWayShock
from counterbounce.model.matrices import matrices
from counterbounce.sizing.changes import (
    bushed_shocks,
    moved,
    other_mounts,
    other_tyres,
    plates_per_stiffness,
    stiffened,
)
from counterbounce.sizing.chassis_remedies import remounted

TEXT = """
name = "A truck for an upfitter"
[vehicle]
wheelbase = "3.9 m"
pitch_inertia = "20000 kg*m^2"
[frame]
front_overhang = "1 m"
rear_overhang = "2 m"
bending_stiffness = "{EI} MN*m^2"
loss_factor = "4 %"
[axle.front]
load = "2.6 t"
unsprung_mass = "320 kg"
spring_rate = "250 kN/m"
damping = "5 kN*s/m"
tyre_rate = "1.5 MN/m"
tyre_damping = "1 kN*s/m"
circumference = "2.4 m"
[axle.rear]
load = "3.9 t"
unsprung_mass = "560 kg"
spring_rate = "400 kN/m"
damping = "5 kN*s/m"
tyre_rate = "{tyre} MN/m"
tyre_damping = "{tyre} kN*s/m"
circumference = "{circumference} m"
contact_length = "0.2 m"
[[body]]
name = "cab"
mass = "500 kg"
station = "0.3 m"
mounts = [
    {{ station = "-0.4 m", rate = "{mount} MN/m", loss_factor = "12 %" }},
    {{ station = "0.9 m", rate = "{mount} MN/m", loss_factor = "12 %" }},
]
[[body]]
name = "box"
mass = "900 kg"
station = "3.5 m"
included = false
mounting = "{mounting}"
[[body]]
name = "pallet"
mass = "700 kg"
station = "{pallet} m"
included = false
[inputs]
speeds = {{ from = "30 km/h", to = "110 km/h" }}
"""
USUAL = {
    "EI": 8, "tyre": 3, "circumference": 2.4, "mount": 2, "mounting": "filler and U-bolts", "pallet": 4.0
}  # fmt: skip
TERMS = 9


def case(**other):
    return parse(TEXT.format(**(USUAL | other)), "truck.toml")


def vehicle(**other):
    one = case(**other)
    return build(one.plan, one.numbers, TERMS)


def same(one, two, *names):
    """Matrices alike to rounding: of rates that were read and rates that were multiplied."""
    for name in names or ("M", "C", "K", "push_0", "push_1"):
        a, b = (getattr(matrices(v), name) for v in (one, two))
        assert np.allclose(a, b, rtol=1e-9, atol=1e-9 * np.abs(a).max()), name


def test_other_tyres_are_a_case_with_other_tyres():
    changed = other_tyres("rear", 0.8, 0.95)(vehicle())
    asked = vehicle(tyre=2.4, circumference=2.28)
    same(changed, asked)
    assert changed.axles[1].circumference == pytest.approx(asked.axles[1].circumference)
    assert changed.axles[1].tyre_rate == pytest.approx(asked.axles[1].tyre_rate)


def test_other_mounts_are_a_case_with_other_mounts():
    same(other_mounts("cab", 1.5)(vehicle()), vehicle(mount=3))


def test_mounts_lose_at_least_what_is_asked():
    parts = [p for p in other_mounts("cab", loss=0.5)(vehicle()).parts if ".cab.mount." in p.path]
    assert [p.loss_factor for p in parts if p.kind == "spring"] == [0.5, 0.5]
    kept = [p for p in other_mounts("cab", loss=0.05)(vehicle()).parts if ".cab.mount." in p.path]
    assert [p.loss_factor for p in kept] == [0.12, 0.12]


def test_a_moved_load_is_a_case_with_the_load_elsewhere():
    """A load that was not weighed: the axle loads of the case are then those of the vehicle without it."""
    changed = moved("pallet", -0.8)(vehicle())
    same(changed, vehicle(pallet=3.2))
    assert changed.points["pallet"].station == pytest.approx(3.2)


def test_another_mounting_is_a_case_with_another_mounting():
    one = case()
    plan, numbers = remounted("box", "rubber mounts")(one.plan, one.numbers)
    same(build(plan, numbers, TERMS), vehicle(mounting="rubber mounts"))
    plan, numbers = remounted("box", "filler and U-bolts")(one.plan, one.numbers)
    same(build(plan, numbers, TERMS), vehicle())


def test_a_cab_off_its_air_springs_loses_their_shocks_too():
    """Shocks beside air springs, a loss factor in rubber: never both."""
    listed = TEXT[TEXT.index("mounts = [") : TEXT.index('[[body]]\nname = "box"')]

    def on(mounting):
        return parse(TEXT.replace(listed, f'mounting = "{mounting}"\n').format(**USUAL), "truck.toml")

    air, rubber = on("air"), on("rubber mounts")
    plan, numbers = remounted("cab", "rubber mounts")(air.plan, air.numbers)
    same(build(plan, numbers, TERMS), build(rubber.plan, rubber.numbers, TERMS))


def test_plates_stiffen_as_a_stiffer_frame_and_weigh_what_they_weigh():
    changed, stiffer = stiffened(0.25, 0.22)(vehicle()), vehicle(EI=10)
    same(changed, stiffer, "K")
    # 2 plates of height h and thickness t add 2 E t h^3 / 12 and weigh 2 rho t h a metre
    thickness = 2e6 * 12 / (2 * 207e9 * 0.22**3)
    weight = 2 * 7850 * thickness * 0.22 * 6.9
    assert changed.total_mass - vehicle().total_mass == pytest.approx(weight, rel=1e-9)
    assert plates_per_stiffness(0.22) * 2e6 * 6.9 == pytest.approx(weight, rel=1e-9)


def test_plates_lie_evenly():
    """Their centre is the frame's middle: M times lift, about the front axle."""
    heavier, light = stiffened(0.5, 0.2)(vehicle()), vehicle()
    pitch = matrices(heavier).M - matrices(light).M
    i, j = (heavier.coordinates.index(c) for c in ("bounce", "pitch"))
    assert abs(pitch[i, j]) < 1e-6 * pitch[i, i]  # pitch is about the frame's middle
    assert pitch[j, j] == pytest.approx(pitch[i, i] / 3, rel=1e-9)  # of a bar, in units of its half length


@pytest.mark.parametrize("omega", [20.0, 60.0, 120.0])
def test_a_shock_behind_its_bush_against_the_force_followed_through_a_cycle(omega):
    found = bushed_shocks("rear", 2.0, 180.0, omega)(vehicle())
    worth = [p.value for p in found.parts if p.name == "rear shock"]
    assert worth == pytest.approx(TwoWayShock(10e3, 10e3, 5e3 * 180.0).equivalent(0.001, omega), rel=2e-3)
