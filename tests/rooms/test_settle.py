"""As many shapes as a frame needs, and losses as dampers."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.building import build
from counterbounce.model.modes import modes
from counterbounce.model.settle import MOST_TERMS, settled, with_losses


def test_a_rigid_vehicle_takes_no_shapes(fleet):
    assert fleet("half").vehicle.frame.terms == 2
    assert fleet("quarter").vehicle.frame.terms == 1


def test_shapes_asked_for_are_taken(shop, fleet):
    plan = replace(fleet("bending").plan, terms=6)
    assert settled(plan, fleet("bending").numbers).frame.terms == 6


@pytest.mark.parametrize("name", ["bending", "stepped", "arm beyond the end", "soft bracket", "placard"])
def test_two_more_shapes_move_nothing_that_is_felt(fleet, name):
    """Every mode below 25 Hz by less than 0.1 % each, and many more by less than 0.3 % in all."""
    built = fleet(name)
    terms, found = built.vehicle.frame.terms, modes(built.vehicle).undamped
    low = found < 2 * np.pi * 25
    assert 7 <= terms < MOST_TERMS
    for more, change in ((1, 1e-3), (MOST_TERMS - terms, 3e-3)):
        after = modes(build(built.plan, built.numbers, terms + more)).undamped
        assert np.allclose(after[: low.sum()], found[low], rtol=change)


def lossy_beam(shop, stiffness):
    """Modes of a free beam with a loss factor of 4 %, and which of them is its first bending."""
    one = shop.free_beam(35.0, 6.0, stiffness, {}, 12)
    parts = (replace(p, loss_factor=0.04) if p.name == "frame bending" else p for p in one.vehicle.parts)
    found = modes(with_losses(replace(one.vehicle, parts=tuple(parts))))
    return found, np.flatnonzero(found.undamped > 1.0)[0]


def test_loss_factor_is_twice_the_damping_ratio_of_what_only_bends(shop):
    """The first bending (17 Hz) holds all of its energy in the frame; the c found there serves all modes."""
    found, first = lossy_beam(shop, 1e6)
    assert found.damping_ratio[first] == pytest.approx(0.02, rel=1e-6)
    ratio = found.undamped[first + 1] / found.undamped[first]
    assert found.damping_ratio[first + 1] == pytest.approx(0.02 * ratio, rel=1e-6)


def test_a_stiff_frame_is_damped_at_its_own_frequency(shop):
    """First bending at 39 Hz."""
    found, first = lossy_beam(shop, 5.5e6)
    assert found.damping_ratio[first] == pytest.approx(0.02, rel=1e-6)


def test_a_loss_becomes_a_damper_once(fleet):
    built = fleet("stepped")
    before = build(built.plan, built.numbers, built.vehicle.frame.terms)
    lossy = [p for p in before.parts if p.loss_factor]
    assert {p.name for p in lossy} == {"frame bending", "cab mounts"}
    after = built.vehicle
    assert len(after.parts) == len(before.parts) + len(lossy)
    assert not [p for p in after.parts if p.loss_factor]
    found = modes(before).undamped
    for spring, dashpot in zip(lossy, after.parts[len(before.parts) :], strict=True):
        assert (dashpot.kind, dashpot.name, dashpot.row) == ("damper", spring.name, spring.row)
        omega = spring.loss_factor * spring.value / dashpot.value
        assert np.abs(found / omega - 1).min() < 1e-9  # of one of the modes


def test_the_mode_that_a_part_rules_is_one_that_is_felt(fleet):
    """The frame's loss belongs to its first bending, not to a high one where it holds more of the energy."""
    built = fleet("bending")
    before = build(built.plan, built.numbers, built.vehicle.frame.terms)
    spring = next(p for p in before.parts if p.name == "frame bending")
    dashpot = built.vehicle.parts[len(before.parts)]
    omega = spring.loss_factor * spring.value / dashpot.value
    found = modes(built.vehicle)
    assert omega == pytest.approx(found.undamped[found.names.index("frame bending 1")], rel=1e-9)
