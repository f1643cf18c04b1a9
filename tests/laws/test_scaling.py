"""Changes of scale whose effect is known without solving anything."""

import numpy as np
import pytest

from counterbounce.model.building import build
from counterbounce.model.modes import modes
from counterbounce.model.numbers import Known, Numbers
from counterbounce.model.response import dynamics
from counterbounce.model.settle import with_losses

LENGTHS = {"station": 1, "centre_of_gravity": 1, "front_end": 1, "rear_end": 1, "to": 1, "height": 1}
POWERS = LENGTHS | {"pitch_inertia": 2, "bending_stiffness": 3}


def rises(vehicle, frequencies):
    rows = [p.row for p in vehicle.points.values() if p.direction == "vertical"]
    return dynamics(vehicle).receptance(frequencies, rows, rows)


def test_heavier_and_stiffer_alike_keeps_frequencies_and_divides_receptances(built, rescaled, frequencies):
    scaled = rescaled(built.vehicle, 3.0, 3.0, 3.0)
    before, after = modes(built.vehicle), modes(scaled)
    assert np.allclose(after.undamped, before.undamped, rtol=1e-9)
    assert np.allclose(after.poles, before.poles, rtol=1e-9, atol=1e-9 * before.natural.max())
    h = rises(built.vehicle, frequencies)
    assert np.allclose(3 * rises(scaled, frequencies), h, rtol=1e-9, atol=1e-10 * np.abs(h).max())


def test_a_faster_clock(built, rescaled, frequencies):
    """Springs times 4, dampers times 2: all poles times 2, receptances a quarter at twice the frequency."""
    scaled = rescaled(built.vehicle, 1.0, 2.0, 4.0)
    before, after = modes(built.vehicle), modes(scaled)
    assert np.allclose(after.poles, 2 * before.poles, rtol=1e-9, atol=1e-9 * before.natural.max())
    h = rises(built.vehicle, frequencies)
    assert np.allclose(4 * rises(scaled, 2 * frequencies), h, rtol=1e-9, atol=1e-10 * np.abs(h).max())


def test_longer_at_the_same_masses_and_springs(built, frequencies):
    """Inertias by the square of a length, bending stiffness by its cube: nothing vertical changes."""
    if built.numbers.rules:
        pytest.skip("estimates know the length of real vehicles")
    given = {}
    for path, known in built.numbers.given.items():
        by = 1.7 ** POWERS.get(path.rsplit(".", 1)[-1], 0)
        given[path] = Known(known.value * by, known.half, known.origin, law=known.law)
    terms = built.vehicle.frame.terms
    longer = with_losses(build(built.plan, Numbers(given, {}), terms))
    assert longer.frame.length == pytest.approx(built.vehicle.frame.length * (1.7 if terms > 1 else 1.0))
    before, after = modes(built.vehicle), modes(longer)
    assert np.allclose(after.undamped, before.undamped, rtol=1e-7)
    h = rises(built.vehicle, frequencies)
    assert np.allclose(rises(longer, frequencies), h, rtol=1e-7, atol=1e-8 * np.abs(h).max())


def test_stiffening_never_lowers_and_loading_never_raises_a_frequency(built, rescaled):
    """Rayleigh: every undamped frequency, part by part."""
    before = modes(built.vehicle).undamped
    for name in {p.name for p in built.vehicle.parts}:
        stiffer = modes(rescaled(built.vehicle, spring=1.3, name=name)).undamped
        heavier = modes(rescaled(built.vehicle, mass=1.3, name=name)).undamped
        assert (stiffer >= before * (1 - 1e-9)).all()
        assert (heavier <= before * (1 + 1e-9)).all()
