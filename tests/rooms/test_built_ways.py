"""What a user's case says of how a vehicle is built does to it what mechanics says: with it, and without."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.axle_estimates import ATMOSPHERE, POLYTROPIC
from counterbounce.model.case import parse
from counterbounce.model.matrices import matrices
from counterbounce.model.modes import modes
from counterbounce.model.points import dense
from counterbounce.model.settle import settled
from counterbounce.model.tyres import GRAVITY
from counterbounce.sizing.ratings import load_change


def vehicle_of(text):
    case = parse(text)
    return case, settled(case.plan, case.numbers)


# --- load-sharing tandem ------------------------------------------------------------------------------------

REAR = """
load = "7 t"
unsprung_mass = "900 kg"
spring_rate = "800 kN/m"
damping = "20 kN*s/m"
tyres = 4
tyre_rate = "3.4 MN/m"
tyre_damping = "2 kN*s/m"
"""
TANDEM = f"""
name = "Three axles, invented"
[vehicle]
model = "half"
pitch_inertia = "60 t*m^2"
{{sharing}}
[frame]
rear_overhang = "2 m"
[axle.front]
station = "0 m"
load = "5.5 t"
unsprung_mass = "500 kg"
spring_rate = "450 kN/m"
damping = "15 kN*s/m"
tyre_rate = "1.8 MN/m"
tyre_damping = "1 kN*s/m"
[axle."rear 1"]
station = "4.2 m"
{REAR}
[axle."rear 2"]
station = "5.5 m"
{REAR}
[inputs]
wheel_orders = []
"""
SHARING = 'load_sharing = [["rear 1", "rear 2"]]'


def test_an_equaliser_spreads_a_weight_at_the_rear_end_evenly_over_its_axles():
    changes = {}
    for sharing in ("", SHARING):
        _, vehicle = vehicle_of(TANDEM.format(sharing=sharing))
        changes[sharing] = load_change(matrices(vehicle), vehicle.points["rear end"].row, 100.0)
    front, first, last = changes[SHARING]
    middle = (4.2 + 5.5) / 2  # by levers, the pair as one axle between the two
    assert first == pytest.approx(last) == pytest.approx(100 * 7.5 / middle / 2)
    assert front == pytest.approx(100 * (1 - 7.5 / middle))
    assert changes[""][2] - changes[""][1] > 20  # each on its own: the last carries more


def test_axles_with_an_equaliser_hop_against_each_other_on_their_tyres_alone():
    """One up, one down: the equaliser turns and no spring gives; f = sqrt(k_t / m) / 2 pi."""
    hop = np.sqrt(3.4e6 / 900) / (2 * np.pi)
    found = {s: modes(vehicle_of(TANDEM.format(sharing=s))[1]) for s in ("", SHARING)}
    undamped = {s: np.sort(m.undamped) / (2 * np.pi) for s, m in found.items()}
    assert abs(undamped[SHARING] / hop - 1).min() < 1e-9
    assert abs(undamped[""] / hop - 1).min() > 0.02


# --- air springs and dual wheels ----------------------------------------------------------------------------

AXLE = """
name = "One axle, invented"
[axle.rear]
load = "4 t"
unsprung_mass = "600 kg"
damping = "1 kN*s/m"
{axle}
[inputs]
wheel_orders = []
"""


def test_air_springs_are_as_stiff_as_their_air():
    """k = n (p + p_atm) (W / p)^2 / V on what stands on them; twice the air, half the rate."""
    rates = []
    for litres in (30, 60):
        air = f'air = {{ pressure = "5 bar", volume = "{litres} L" }}\ntyre_rate = "3 MN/m"'
        case, vehicle = vehicle_of(AXLE.format(axle=air))
        rates.append(next(p.value for p in vehicle.parts if p.name == "rear spring"))
        assert case.plan.axles[0].springing == "air"
    area = 3400 * GRAVITY / 5e5
    assert rates[0] == pytest.approx(POLYTROPIC * (5e5 + ATMOSPHERE) * area**2 / 0.030)
    assert rates[0] / rates[1] == pytest.approx(2)


@pytest.mark.parametrize("tyres", [2, 4])
def test_dual_wheels_hop_on_twice_the_tyres(tyres):
    """w^2 = (k + n k_tyre) / m of the axle against a body that stands still; k_tyre by size and pressure."""
    spring = 'spring_rate = "400 kN/m"\ntyre = "225/70R19.5"\npressure = "5.5 bar"\n'
    case, vehicle = vehicle_of(AXLE.format(axle=f"{spring}tyres = {tyres}"))
    one = case.numbers["axle.rear.tyre_rate"] / tyres
    assert one == pytest.approx(594e3, rel=0.01)
    hop = np.sqrt((400e3 + tyres * one) / 600)
    assert modes(vehicle).undamped.max() == pytest.approx(hop, rel=0.03)


# --- the stiffness of a bracket -----------------------------------------------------------------------------

BRACKET = """
name = "Something on a bracket, invented"
[vehicle]
wheelbase = "4 m"
[frame]
bending_stiffness = "6 MN*m^2"
rear_overhang = "1.5 m"
[axle.front]
load = "2.6 t"
tyre = "225/70R19.5"
[axle.rear]
load = "3.9 t"
tyre = "225/70R19.5"
[[point]]
name = "crossmember"
station = "5.4 m"
{bracket}
[inputs]
wheel_orders = []
"""
SOFT = 'bracket_rate = "0.25 MN/m"\nbracket_mass = "4 kg"'


def give(bracket):
    """How far the crossmember gives under one newton [m], once everything is at rest."""
    _, vehicle = vehicle_of(BRACKET.format(bracket=bracket))
    system = matrices(vehicle)
    row = dense([vehicle.points["crossmember"].row], system.coordinates)[0]
    return float(row @ np.linalg.solve(system.K, row))


def test_a_bracket_gives_in_series_with_the_frame():
    assert give(SOFT) - give("") == pytest.approx(1 / 0.25e6, rel=1e-6)


def test_what_hangs_on_a_soft_bracket_has_a_frequency_of_its_own():
    """20 kg and the bracket's 4 kg on 0.25 MN/m: 16.2 Hz on something that stands still."""
    mass = '[[mass]]\nname = "box"\nat = "crossmember"\nmass = "20 kg"'
    alone = np.sqrt(0.25e6 / 24)
    _, soft = vehicle_of(BRACKET.format(bracket=f"{SOFT}\n{mass}"))
    _, hard = vehicle_of(BRACKET.format(bracket=mass))
    named = [(f, n) for f, n in zip(modes(soft).undamped, modes(soft).names, strict=True) if "bracket" in n]
    assert named[0][0] == pytest.approx(alone, rel=0.06)
    assert not any("bracket" in name for name in modes(hard).names)
