"""What would prove an assessment wrong: each prediction computed a second way."""

from __future__ import annotations

from dataclasses import replace
from math import exp, log, sqrt

import numpy as np
import pytest
from scipy import linalg

from counterbounce.model.matrices import matrices
from counterbounce.model.points import dense
from counterbounce.sizing.absorber import with_ballast
from counterbounce.sizing.proof import harmonics, motions, remeasured, speed_interval, weight_moves


def test_the_interval_of_the_speed_is_that_of_the_frequency(assessed):
    one = assessed("truck").host
    low, high = speed_interval(one)
    assert sqrt(low * high) == pytest.approx(one.target.critical.speed)
    assert log(high / low) / 2 == pytest.approx(float(one.spread[one.target.critical.mode]))


def test_the_signs_are_those_of_the_eigenvector(assessed):
    """The shape from the generalised eigenproblem itself, by inverse iteration at the mode's frequency."""
    one = assessed("truck").host
    system, mode = matrices(one.vehicle), one.target.critical.mode
    shift = (0.9999 * one.modes.undamped[mode]) ** 2
    shape = np.random.default_rng(1).normal(size=len(system.K))
    for _ in range(5):
        shape = linalg.solve(system.K - shift * system.M, system.M @ shape)
        shape /= np.abs(shape).max()
    found = motions(one, "rear end")
    rises = np.array([dense([m.point.row], system.coordinates)[0] @ shape for m in found])
    rises /= rises[int(np.argmax(np.abs([m.share for m in found])))]
    assert [m.share for m in found] == pytest.approx(rises.tolist(), abs=1e-6)
    assert {"rear end", "driver's floor"} <= {m.point.name for m in found}
    assert all(m.point.direction == "vertical" for m in found)
    assert [m.point.station for m in found] == sorted(m.point.station for m in found)


def test_a_ratio_repeats_as_two_rides_do():
    """Two thousand pairs of rides, each repeating within 15 % (95 %), drawn at random."""
    scores = np.random.default_rng(2).normal(size=(200_000, 2)) / 1.959964
    rides = np.exp(log(1.15) * scores)
    low, high = np.quantile(0.3 * rides[:, 0] / rides[:, 1], [0.025, 0.975])
    assert remeasured(0.3) == pytest.approx((low, high), rel=5e-3)  # of 200,000 draws


def test_a_weight_moves_the_frequency_as_the_assembled_vehicle_does(assessed):
    one = assessed("truck").host
    moved = weight_moves(one)
    assert (moved.seen.mass, moved.seen.at) == (50.0, "rear end")
    heavier = matrices(with_ballast(one.vehicle, "rear end", 50.0))
    squared = linalg.eigh(heavier.K, heavier.M, eigvals_only=True)
    undamped = np.sqrt(squared)[one.target.critical.mode] / one.modes.undamped[one.target.critical.mode]
    assert moved.frequencies[1] / moved.frequencies[0] == pytest.approx(undamped, rel=2e-3)  # damping's part
    assert undamped < 1


def test_no_weight_is_asked_for_where_the_ratings_leave_no_room(assessed):
    one = assessed("truck").host
    full = replace(one.case.limits, gross_rating=sum(one.loads.values()) + 5.0)
    assert weight_moves(replace(one, case=replace(one.case, limits=full))) is None
    some = replace(one.case.limits, gross_rating=sum(one.loads.values()) + 20.0)
    assert weight_moves(replace(one, case=replace(one.case, limits=some))).seen.mass == pytest.approx(
        20.0, rel=1e-6
    )


def test_harmonics_meet_the_mode_at_speeds_one_over_their_number(assessed):
    one = assessed("truck").host
    found = harmonics(one)
    aim = one.target.critical
    assert aim in found
    assert len({c.mode for c in found}) == 1
    assert [c.coincidence * c.cause.order for c in found] == pytest.approx(
        [aim.coincidence * aim.cause.order] * len(found)
    )
    assert len(found) >= 2


def test_the_factor_of_two_rides(assessed):
    low, high = remeasured(1.0, 0.1)
    assert high == pytest.approx(exp(sqrt(2) * log(1.1)))
    assert low * high == pytest.approx(1.0)
