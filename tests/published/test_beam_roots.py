"""Bare frames against the uniform beam.

Sources: roots of cos(x) cosh(x) = 1 (free-free beam), any handbook of vibration, recomputed independently; a
channel rail of 203.2 x 76.2 x 6.5 mm, 207 GPa, 7850 kg/m^3, 6 m long, by the same formula.  Effective masses
recomputed independently: a quarter of the beam at a free end in every bending mode, 0.676685 of it in the
middle in the first; half of it in the middle of a simply supported beam.
"""

import numpy as np
import pytest

from counterbounce.model.case import parse
from counterbounce.model.frame import Frame
from counterbounce.model.modes import modes
from counterbounce.model.plan import AxlePlan, Plan
from counterbounce.model.settle import settled

ROOTS = np.array([4.7300407449, 7.8532046241, 10.995607838, 14.137165491, 17.278759657])
LINE_MASS, LENGTH, STIFFNESS = 35.0, 6.0, 5.5e6
RAIL = """
name = "Two rails"
exact = true

[vehicle]
model = "bending"
wheelbase = "4 m"
sprung_mass = "209.773980 kg"
centre_of_gravity = "2 m"
pitch_inertia = "629.32194 kg*m^2"

[frame]
front_overhang = "1 m"
rear_overhang = "1 m"
rail = { height = "203.2 mm", flange = "76.2 mm", thickness = "6.5 mm" }
loss_factor = "0 %"

[axle.front]
massless = true
spring_rate = "2 N/m"
damping = "0 N*s/m"

[axle.rear]
massless = true
spring_rate = "2 N/m"
damping = "0 N*s/m"
"""


def bending_roots(shop, terms, count=5):
    found = modes(shop.free_beam(LINE_MASS, LENGTH, STIFFNESS, {}, terms).vehicle)
    return np.sqrt(found.undamped[2 : 2 + count] * np.sqrt(LINE_MASS * LENGTH**4 / STIFFNESS))


def test_free_free_roots(shop):
    assert bending_roots(shop, 20) == pytest.approx(ROOTS, rel=1e-9)


def test_roots_come_from_above_and_fast(shop):
    """Each further pair of shapes may only lower a root (Rayleigh, Ritz), and brings a digit or more."""
    roots = np.array([bending_roots(shop, terms, 2) for terms in (5, 7, 9, 11)])
    over = roots / ROOTS[:2] - 1
    assert (over > -1e-10).all()
    assert (over[1:] < over[:-1] / 10 + 1e-9).all()


def test_channel_rail_as_a_case():
    """First three bending frequencies of a free rail; two rails side by side have the same."""
    case = parse(RAIL)
    found = modes(settled(case.plan, case.numbers))
    assert found.frequency_hz[2] == pytest.approx(39.2712, rel=1e-3)  # settled to 0.1 % below 25 Hz only
    vehicle = settled(Plan(**{**vars(case.plan), "terms": 14}), case.numbers)
    assert modes(vehicle).frequency_hz[2:5] == pytest.approx([39.2712, 108.2526, 212.2184], rel=2e-6)


def test_effective_mass_of_a_free_beam(shop):
    one = shop.free_beam(LINE_MASS, LENGTH, STIFFNESS, {}, 20).vehicle
    found, whole = modes(one), LINE_MASS * LENGTH
    for end in (0.0, LENGTH):
        mass = found.effective_mass(one.frame.row(end))[2:7]
        assert mass == pytest.approx([whole / 4] * 5, rel=1e-7)
    middle = found.effective_mass(one.frame.row(LENGTH / 2))
    assert middle[2] == pytest.approx(0.676685 * whole, rel=1e-6)
    assert middle[3] > 1e9 * whole  # a node


def test_effective_mass_of_a_simply_supported_beam(shop):
    """Ends held by springs so stiff that they give one part in ten million."""
    threads = tuple(AxlePlan(name, massless=True) for name in ("front", "rear"))
    whole, held = LINE_MASS * LENGTH, 1e7 * STIFFNESS / LENGTH**3
    values = shop.table(
        "vehicle", sprung_mass=whole, centre_of_gravity=3.0, pitch_inertia=whole * LENGTH**2 / 12
    )
    values |= shop.table("frame", front_end=0.0, rear_end=LENGTH, bending_stiffness=STIFFNESS)
    for name, x in (("front", 0.0), ("rear", LENGTH)):
        values |= shop.table(f"axle.{name}", station=x, spring_rate=held, damping=0.0)
    one = shop.built(Plan("bending", threads, terms=16), values).vehicle
    found = modes(one)
    roots = np.sqrt(found.undamped[:3] * np.sqrt(LINE_MASS * LENGTH**4 / STIFFNESS))
    assert roots == pytest.approx(np.pi * np.arange(1, 4), rel=1e-5)
    assert found.effective_mass(one.frame.row(LENGTH / 2))[0] == pytest.approx(whole / 2, rel=1e-5)


def test_constant_stiffness_gives_legendre_polynomials():
    """Bounce 1, pitch s, then the polynomials that are orthogonal to both, each 1 at the rear end."""
    frame, x = Frame(0.0, LENGTH, lambda x: 0 * x + STIFFNESS, 7), np.linspace(0, LENGTH, 13)
    assert np.allclose(frame.rise(x), np.polynomial.legendre.legvander(2 * x / LENGTH - 1, 6), atol=1e-12)
