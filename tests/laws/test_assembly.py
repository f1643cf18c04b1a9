"""What the matrices of every vehicle obey."""

from dataclasses import replace

import numpy as np
import pytest
import sympy

from counterbounce.model.building import build
from counterbounce.model.matrices import assemble, matrices
from counterbounce.model.points import dense
from counterbounce.model.settle import with_losses
from counterbounce.model.sheet import symbols


def test_matrices_are_symmetric_to_the_last_bit(built):
    system = matrices(built.vehicle)
    for a in (system.M, system.C, system.K):
        assert np.array_equal(a, a.T)


def test_moving_takes_energy_stretching_and_rubbing_never_give_any(built):
    system = matrices(built.vehicle)
    assert np.linalg.eigvalsh(system.M).min() > 0
    for a in (system.K, system.C):
        assert np.linalg.eigvalsh(a).min() >= -1e-12 * np.abs(a).max()  # rounding of a sum of squares


def rises(built, nose_down):
    """Where each coordinate and road stands after all of them rise by 1 m, or tilt by 1 rad about x = 0."""
    vehicle = built.vehicle
    moved = dict(vehicle.lift())
    if nose_down:
        frame = vehicle.frame
        slope = 1 / frame.slope(frame.front).get("pitch", np.inf)
        moved["pitch"] = slope
        moved["bounce"] = frame.front - slope * frame.row(frame.front).get("pitch", 0.0)
        stations = {name: point.station for name, point in vehicle.points.items()}
        for c in set(vehicle.coordinates) - set(frame.coordinates):
            moved[c] = (
                stations[c.split(".", 1)[1] if c not in stations else c] if not c.endswith(".pitch") else 1.0
            )
    roads = {axle.road: axle.station if nose_down else 1.0 for axle in vehicle.axles}
    return moved | roads


@pytest.mark.parametrize("nose_down", [False, True], ids=["lifted", "tilted"])
def test_moving_vehicle_and_road_together_stretches_nothing(built, nose_down):
    if nose_down and built.vehicle.kind == "quarter":
        pytest.skip("a quarter vehicle has no slope")
    moved = rises(built, nose_down)
    links = [p for p in built.vehicle.parts if p.kind != "mass" and p.name not in built.grounded]
    stretch = {p.name: sum(share * moved[c] for c, share in p.row.items()) for p in links}
    assert stretch
    assert max(map(abs, stretch.values())) < 1e-9, stretch


def test_each_named_point_rises_with_the_vehicle(built):
    moved = rises(built, nose_down=False)
    for point in built.vehicle.points.values():
        rise = sum(share * moved[c] for c, share in point.row.items())
        assert rise == pytest.approx(0.0 if point.direction == "fore-aft" else 1.0, abs=1e-12)


def test_a_lift_moves_all_of_the_mass(built):
    system = matrices(built.vehicle)
    up = dense([built.vehicle.lift()], system.coordinates)[0]
    assert up @ system.M @ up == pytest.approx(built.vehicle.total_mass, rel=1e-12)
    plan, numbers = built.plan, built.numbers
    listed = [f"axle.{a.name}.unsprung_mass" for a in plan.axles if not a.massless]
    listed += [f"body.{b.name}.mass" for b in plan.bodies if not b.included]
    listed += [f"mass.{link.name}.mass" for link in plan.links if link.kind == "mass"]
    listed += [f"point.{p.name}.bracket_mass" for p in plan.points if p.soft]
    weight = sum(numbers[path] for path in ["vehicle.sprung_mass", *listed])
    assert built.vehicle.total_mass == pytest.approx(weight, rel=1e-9)


def test_a_tilt_turns_the_sprung_mass_about_its_own_centre(built):
    """Mass, centre and pitch inertia of all that is included come back out of the parts."""
    if built.vehicle.kind == "quarter":
        pytest.skip("a quarter vehicle has no slope")
    frame, plan, numbers = built.vehicle.frame, built.plan, built.numbers
    included = {b.name for b in plan.bodies if b.included} | {"sprung mass", "sprung pitch inertia"}
    up, tilt = rises(built, nose_down=False), rises(built, nose_down=True)
    parts = [p for p in built.vehicle.parts if p.kind == "mass" and p.name in included]
    moved = np.array([[sum(s * m[c] for c, s in p.row.items()) for m in (up, tilt)] for p in parts])
    (mass, first), (_, second) = (moved.T * [p.value for p in parts]) @ moved
    assert frame.terms > 1
    assert mass == pytest.approx(numbers["vehicle.sprung_mass"], rel=1e-9)
    assert first / mass == pytest.approx(numbers["vehicle.centre_of_gravity"], abs=1e-9)
    known = numbers.known("vehicle.pitch_inertia")
    if known.origin != "estimated":  # an estimate may have been moved to what the listed bodies allow
        assert second - first**2 / mass == pytest.approx(numbers["vehicle.pitch_inertia"], rel=1e-9)


def test_symbols_and_numbers_are_one_assembly(built):
    """Each entry in SymPy symbols, with the numbers put in, is the entry in numbers."""
    vehicle = with_losses(build(built.plan, built.numbers, terms=4))  # symbols are slow: few shapes
    system, written = matrices(vehicle), symbols(vehicle)
    for plain, entries in ((system.M, written.M), (system.C, written.C), (system.K, written.K)):
        put_in = sympy.lambdify(list(written.values), list(entries))
        there = np.array(put_in(*written.values.values()), dtype=float).reshape(plain.shape)
        assert np.allclose(there, plain, rtol=1e-12, atol=1e-12 * np.abs(plain).max())
    assert {str(s) for s in written.K.free_symbols} >= {
        f"k_{axle.name} tyres".replace(" ", "_") for axle in built.plan.axles if not axle.massless
    }


def test_many_vehicles_at_once_are_each_of_them(built):
    """Values that are arrays assemble one matrix a vehicle."""
    parts = [replace(p, value=p.value * np.array([1.0, 2.0])) for p in built.vehicle.parts]
    for kind in ("mass", "spring"):
        one = assemble(built.vehicle.parts, kind, built.vehicle.coordinates)
        both = assemble(parts, kind, built.vehicle.coordinates)
        assert np.allclose(both, [one, 2 * one], rtol=1e-12, atol=1e-12 * np.abs(one).max())
