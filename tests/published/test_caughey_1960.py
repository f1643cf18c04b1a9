"""Caughey, Sinusoidal excitation of a system with bilinear hysteresis, J. Appl. Mech. 27 (1960) 640-643.

From memory: a mass on a spring that is elastic and then perfectly plastic has a bounded resonance only while
the force amplitude stays below 4/pi of the yield force.
"""

from __future__ import annotations

import numpy as np

from counterbounce.model.amplitude import settled_amplitude
from counterbounce.model.example import small_truck
from counterbounce.model.forces import DryFriction
from counterbounce.model.laws import Law
from counterbounce.model.parts import mass
from counterbounce.model.points import Row, at
from counterbounce.model.road import Input, Level
from counterbounce.model.vehicle import Vehicle

MASS, STIFFNESS, YIELD = 2000.0, 8e5, 3000.0
NATURAL = np.sqrt(STIFFNESS / MASS)
GIVE = YIELD / STIFFNESS
OMEGAS = NATURAL * np.geomspace(0.02, 1.2, 14)


def mass_on_a_plastic_spring() -> tuple[Vehicle, Law]:
    """Nothing but a mass on the ground: what a road of height U does to the stretch is a force m w^2 U."""
    shell = small_truck()
    vehicle = Vehicle(
        "quarter", ("body",), ("road",), (mass("body", MASS, at("body")),), {}, (), (), shell.frame
    )
    return vehicle, Law("spring", Row(body=1.0, road=-1.0), DryFriction(YIELD, STIFFNESS))


def largest(share: float) -> float:
    """The largest stretch over all frequencies, in units of the yield stretch, at a force in yield forces."""
    vehicle, law = mass_on_a_plastic_spring()
    found = []
    for omega in OMEGAS:
        height = share * YIELD / (MASS * omega**2)
        cause = Input(
            "force", "wave", 1, None, omega / (2 * np.pi), np.array([1.0 + 0j]), Level(height, height)
        )
        found += [one.stretch[0, 0] for one in settled_amplitude(vehicle, [law], [cause], 1.0)]
    return max(found) / GIVE


def test_resonance_is_bounded_below_four_over_pi_of_the_yield_force():
    assert largest(0.9) < 10
    assert largest(0.98 * 4 / np.pi) < 100
    assert largest(1.02 * 4 / np.pi) > 500


def test_beyond_it_the_stretch_grows_as_the_frequency_falls():
    """F^2 = (4 yield / pi)^2 + (m w^2 a)^2 once a is many yield stretches: the mass alone holds the rest."""
    vehicle, law = mass_on_a_plastic_spring()
    share, omega = 2.0, NATURAL / 2000
    height = share * YIELD / (MASS * omega**2)
    cause = Input("force", "wave", 1, None, omega / (2 * np.pi), np.array([1.0 + 0j]), Level(height, height))
    rest = YIELD * np.sqrt(share**2 - (4 / np.pi) ** 2)
    found = settled_amplitude(vehicle, [law], [cause], 1.0)[0].stretch[0, 0]
    np.testing.assert_allclose(found, rest / (MASS * omega**2), rtol=1e-3)
