"""A remedy changes what it names and nothing else, on every vehicle; a remedy of factor 1 changes nothing."""

import numpy as np
import pytest

from counterbounce.model.building import build
from counterbounce.sizing.changes import (
    ballasted,
    bushed_shocks,
    leaf_worth,
    moved,
    other_mounts,
    other_tyres,
    scaled,
    stiffened,
)


@pytest.fixture
def bare(built):
    """Each vehicle as it is built, its losses not yet dampers."""
    return build(built.plan, built.numbers, built.vehicle.frame.terms)


def axle_and_body(vehicle):
    bodies = [p.path.split(".")[1] for p in vehicle.parts if ".mount." in p.path]
    rigid = [p.path.split(".")[1] for p in vehicle.parts if p.path.startswith("body.") and p.kind == "mass"]
    free = [name for name in rigid if name not in bodies]
    return vehicle.axles[-1].name, (bodies or [None])[0], (free or [None])[0]


def done(vehicle, factor):
    """(names of the parts that may change, what is done) for every kind of change by a factor."""
    axle, mounted, rigid = axle_and_body(vehicle)
    yield {f"{axle} tyres"}, other_tyres(axle, factor, factor, factor)
    yield (
        {p.name for p in vehicle.parts if p.path == f"axle.{axle}.spring_rate"},
        scaled("spring", f"axle.{axle}.spring_rate", factor),
    )
    yield {f"{axle} shock"}, scaled("damper", f"axle.{axle}.damping", factor)
    yield (
        {p.name for p in vehicle.parts if p.path.startswith("frame.")} | {"plates"},
        stiffened(factor - 1, 0.2),
    )
    yield {"ballast"}, ballasted(next(iter(vehicle.points)), 20.0 * (factor - 1))
    if mounted:
        yield {f"{mounted} mounts"}, other_mounts(mounted, factor)
    if rigid:
        yield {rigid}, moved(rigid, 0.3 * (factor - 1))


def unlike(before, after):
    """Names of the parts that are not the same in both, those of weight zero left out."""
    ones, twos = (
        {n: [p for p in v.parts if p.name == n and np.any(p.value)] for n in {p.name for p in v.parts}}
        for v in (before, after)
    )
    return {name for name in ones | twos if ones.get(name, []) != twos.get(name, [])}


def test_a_factor_of_one_changes_nothing(bare):
    for _, change in done(bare, 1.0):
        changed = change(bare)
        assert unlike(bare, changed) == set()
        assert changed.axles == bare.axles


def test_untouched_parts_stay_as_they_are(bare):
    for named, change in done(bare, 1.5):
        if bare.frame.stiffness is None and "plates" in named:
            continue
        assert unlike(bare, change(bare)) <= named


def test_softer_mounts_keep_their_dashpots(bare):
    _, mounted, _ = axle_and_body(bare)
    changed = other_mounts(mounted or "", 0.5)(bare)
    both = ([p for p in v.parts if p.kind == "damper"] for v in (bare, changed))
    assert next(both) == next(both)


def test_touched_parts_do_change(bare):
    """On the same vehicles, so that the law above cannot hold for want of any change."""
    there = {p.name for p in bare.parts if np.any(p.value)}
    changed = [unlike(bare, change(bare)) for named, change in done(bare, 1.5) if named & there]
    assert changed
    assert all(changed)


def test_a_leaf_and_a_shock_as_they_are_worth_are_two_parts_of_one_name(bare):
    axle = bare.axles[0].name
    for name, change in (
        (f"{axle} spring", leaf_worth(axle, 0.5, 0.01)),
        (f"{axle} shock", bushed_shocks(axle, 2.0, 200.0, 60.0)),
    ):
        if any(p.name == name and np.any(p.value) for p in bare.parts):
            assert unlike(bare, change(bare)) == {name}
