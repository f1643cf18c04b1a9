"""Names, light and heavy damping, real poles, coalescing poles."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.modes import modes, part_shares
from counterbounce.model.parts import Part


def rubbing(vehicle, time):
    """Every spring with a damper c = time * k beside it: undamped modes stay modes, damped by time w / 2."""
    springs = [p for p in vehicle.parts if p.kind != "damper"]
    dampers = [Part("damper", p.name, time * p.value, p.row) for p in springs if p.kind == "spring"]
    return replace(vehicle, parts=(*springs, *dampers))


@pytest.mark.parametrize("name", ["half", "cab and seat", "tandem", "bending"])
@pytest.mark.parametrize("heaviest", [0.1, 0.9, 1.5, 30.0])
def test_proportional_damping_light_and_heavy(fleet, name, heaviest):
    """Damping ratio time w / 2 in every mode, poles of overdamped ones real, two by two with product w^2."""
    undamped = modes(fleet(name).vehicle).undamped
    time = 2 * heaviest / undamped[len(undamped) // 2]
    found = modes(rubbing(fleet(name).vehicle, time))
    assert found.natural == pytest.approx(undamped, rel=1e-6)
    assert found.damping_ratio == pytest.approx(time * undamped / 2, rel=1e-6)
    over = found.damping_ratio > 1
    assert (found.poles[over].imag == 0).all()
    assert (found.poles[~over, 0].imag > 0).all()
    assert over.any() or heaviest < 1


def test_a_pole_pair_that_has_just_become_real(fleet):
    """Critical damping: a double root is known to half the digits only."""
    vehicle = fleet("half").vehicle
    undamped = modes(vehicle).undamped
    found = modes(rubbing(vehicle, 2 / undamped[2]))
    assert found.natural == pytest.approx(undamped, rel=1e-6)
    assert found.damping_ratio[2] == pytest.approx(1.0, rel=1e-6)


def test_overdamped_seat_keeps_its_name_and_its_product(fleet, rescaled):
    """One heavily damped part: real poles belong to it, and the product of all stays det K / det M."""
    vehicle = rescaled(fleet("cab and seat").vehicle, damper=8.0, name="seat mounts")
    found, before = modes(vehicle), modes(fleet("cab and seat").vehicle)
    over = np.flatnonzero(found.damping_ratio > 1)
    assert [found.names[i] for i in over] == ["seat on its mounts"]
    assert np.log(found.natural).sum() == pytest.approx(np.log(before.undamped).sum(), rel=1e-9)


def test_names_are_joint_where_a_mode_is_shared(fleet):
    names = modes(fleet("half").vehicle).names
    assert set(names[:2]) == {"body bounce with body pitch", "body pitch with body bounce"}
    assert set(names[2:]) == {"front axle hop", "rear axle hop"}
    assert modes(fleet("quarter").vehicle).names == ("body bounce", "rear axle hop")


def test_names_that_are_alike_are_numbered_from_the_lowest(fleet):
    names = modes(fleet("bending").vehicle).names
    bending = [n for n in names if n.startswith("frame bending")]
    assert bending == [f"frame bending {i}" for i in range(1, len(bending) + 1)]
    assert len(bending) > 3


def test_a_name_needs_a_quarter_of_the_energy(fleet):
    for name in ("placard", "stepped", "cab and seat"):
        found = modes(fleet(name).vehicle)
        for i, named in enumerate(found.names):
            joint = {n.rstrip(" 0123456789") for n in named.split(" with ")}
            held = {label.rstrip(" 0123456789") for label, share in found.shares.items() if share[i] >= 0.25}
            assert joint == held or (not held and len(joint) == 1)


def test_a_node_has_infinite_effective_mass(textbook):
    """Bounce and pitch of a car whose springs balance about its centre of gravity: pitch leaves it still."""
    one = textbook("b2_rao_bounce_pitch")
    springs = {"front spring": 30e3, "rear spring": 20e3}  # 30 * 1.0 = 20 * 1.5
    parts = tuple(replace(p, value=springs.get(p.name, p.value)) for p in one.vehicle.parts)
    found = modes(replace(one.vehicle, parts=parts))
    centre = one.vehicle.frame.row(1.0)
    mass = found.effective_mass(centre)
    assert sorted(mass)[0] == pytest.approx(1000.0, rel=1e-9)
    assert sorted(mass)[1] > 1e12


def test_shares_of_nothing_are_nothing(textbook):
    vehicle = textbook("b1_thomson_car").vehicle
    assert all((share == 0).all() for share in part_shares(vehicle, "damper", np.eye(2)).values())
