"""A weight over the rear end: the model's move by a second way, and what counts as agreement."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from counterbounce.model.case import load
from counterbounce.model.matrices import matrices
from counterbounce.model.observations import WEIGHT, Observation
from counterbounce.model.points import dense
from counterbounce.sizing.study import host
from counterbounce.sizing.weight_test import agrees, weight_test

EXAMPLES = Path(__file__).parents[2] / "examples"
FLATBED = "technician/flatbed"
TRUCK = "engineer/box_truck"


@cache
def example(name):
    return host(load(EXAMPLES / f"{name}.toml"))


def weighed(name, *seen):
    one = example(name)
    return weight_test(replace(one, case=replace(one.case, observations=seen)))


@pytest.mark.parametrize("name", [FLATBED, TRUCK, "upfitter/chassis_cab"])
@pytest.mark.parametrize("mass", [1.0, 50.0, 150.0])
def test_the_frequency_is_that_of_plain_algebra(name, mass):
    """M + m p p', eigenvalues by companion matrix, the one that follows on continuously from no weight."""
    one = example(name)
    system = matrices(one.vehicle)
    row = dense([one.vehicle.points["rear end"].row], system.coordinates)[0]
    n = len(system.K)
    value = one.modes.poles[one.target.critical.mode, 0]
    for kilograms in np.linspace(0, mass, 20):
        heavier = system.M + kilograms * np.outer(row, row)
        state = np.block(
            [
                [np.zeros((n, n)), np.eye(n)],
                [-np.linalg.solve(heavier, system.K), -np.linalg.solve(heavier, system.C)],
            ]
        )
        values = np.linalg.eigvals(state)
        value = values[np.argmin(np.abs(values - value))]
    found = weighed(name, Observation(WEIGHT, "moved", None, mass, "rear end"))
    before, after = found.frequencies
    assert before == one.target.critical.frequency
    assert after == pytest.approx(abs(value) / (2 * np.pi), rel=1e-6)
    assert after < before


@pytest.mark.parametrize("name", [FLATBED, TRUCK])
def test_a_little_weight_moves_it_by_half_its_share_of_the_effective_mass(name):
    """Rayleigh: d ln f = -m / (2 effective mass), to first order, in an undamped mode."""
    one = example(name)
    effective = one.modes.effective_mass(one.vehicle.points["rear end"].row)[one.target.critical.mode]
    found = weighed(name, Observation(WEIGHT, "moved", None, 1.0, "rear end"))
    moved = np.log(found.frequencies[1] / found.frequencies[0])
    assert moved == pytest.approx(-1.0 / (2 * effective), rel=0.02)
    assert found.share == pytest.approx(moved, rel=0.25)  # the peak follows its mode, polished between speeds


def test_the_complaint_moves_by_the_same_share():
    found = weighed(FLATBED, Observation(WEIGHT, "moved", None, 90.0, "rear end"))
    felt = example(FLATBED).case.complaint.speed
    assert found.predicted == pytest.approx([v * (1 + found.share) for v in felt])
    assert -0.08 < found.share < -0.04


def test_the_heaviest_that_says_where_it_went_is_judged():
    light = Observation(WEIGHT, "moved", None, 20.0, "rear end")
    heavy = Observation(WEIGHT, "moved", None, 60.0, "rear end")
    vague = Observation(WEIGHT, "weaker", None, 200.0, "rear end")
    assert weighed(FLATBED, light, heavy, vague).seen is heavy
    assert weighed(FLATBED, vague).seen is vague
    assert weighed(FLATBED, vague).agrees is None
    assert weighed(FLATBED) is None
    assert weighed(FLATBED, Observation(WEIGHT, "moved", None, 20.0, "nowhere")) is None
    assert weighed(FLATBED, Observation("laden", "moved")) is None
    one = example(FLATBED)
    case = replace(one.case, observations=(heavy,))
    assert weight_test(replace(one, case=case, target=None)) is None


FELT = (20.0, 22.0)


@pytest.mark.parametrize(
    ("result", "speed", "share", "expected"),
    [
        ("moved", (18.8, 20.8), -0.06, True),
        ("moved", (18.0, 20.0), -0.06, True),  # a metre a second off: within half a band
        ("moved", (16.0, 18.0), -0.06, False),  # too far
        ("moved", (21.0, 23.0), -0.06, False),  # the wrong way
        ("moved", (19.9, 21.9), 0.0, False),  # the model does not move it at all
        ("moved", None, -0.06, True),
        ("moved", None, -0.001, False),
        ("stayed", None, -0.02, True),
        ("stayed", None, -0.045, True),  # half a band of 2 m/s at 21 m/s is 4.8 %
        ("stayed", None, -0.06, False),
        ("weaker", None, -0.06, None),
        ("vanished", None, -0.06, None),
    ],
)
def test_what_counts_as_agreement(result, speed, share, expected):
    predicted = (FELT[0] * (1 + share), FELT[1] * (1 + share))
    assert agrees(Observation(WEIGHT, result, speed, 50.0, "rear end"), share, FELT, predicted) is expected


def test_without_a_complaint_only_the_way_can_be_judged():
    seen = Observation(WEIGHT, "moved", (18.0, 19.0), 50.0, "rear end")
    assert agrees(seen, -0.05, None, None) is True
    assert agrees(seen, 0.0, None, None) is False
    stayed = Observation(WEIGHT, "stayed", None, 50.0, "rear end")
    assert agrees(stayed, -0.029, None, None) is True
    assert agrees(stayed, -0.031, None, None) is False
