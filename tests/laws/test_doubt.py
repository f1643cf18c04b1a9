"""How surely a frequency is known: the doubt of every number against rebuilding the vehicle with it moved."""

import numpy as np
import pytest

from counterbounce.model.building import build
from counterbounce.model.doubt import frequency_doubt, frequency_spread
from counterbounce.model.modes import modes
from counterbounce.model.numbers import NORMAL_95

HEARD = 2 * np.pi * 25.0  # rad/s
STEP = 0.02  # standard deviations

PARTS = (
    "spring_rate",
    "tyre_rate",
    "unsprung_mass",
    "rate",
    "bending_stiffness",
    "bracket_rate",
    "bracket_mass",
)


def rebuilt(built, path):
    """d ln f over half a 95 % width of one number, by rebuilding the vehicle on either side."""
    terms = built.vehicle.frame.terms
    up, down = (
        modes(build(built.plan, built.numbers.with_scores({path: score}), terms)) for score in (STEP, -STEP)
    )
    return np.log(up.undamped / down.undamped) / (2 * STEP) * NORMAL_95


@pytest.fixture(scope="module")
def doubts(built):
    """(by the model, by rebuilding) of each uncertain number, over the modes below 25 Hz."""
    found = modes(built.vehicle)
    doubt = frequency_doubt(built.plan, built.numbers, built.vehicle, found)
    low, none = found.undamped < HEARD, np.zeros(len(found.undamped))
    uncertain = built.numbers.uncertain()
    return {path: (doubt.get(path, none)[low], rebuilt(built, path)[low]) for path in uncertain}


def test_springs_and_hubs_move_frequencies_as_told(doubts):
    """Rates, hubs and bending stiffness: what is not estimated from them does not move."""
    direct = {path: pair for path, pair in doubts.items() if path.rsplit(".", 1)[-1] in PARTS}
    if not direct:
        pytest.skip("all is exact")
    wrong = {
        path: (told.round(4), true.round(4))
        for path, (told, true) in direct.items()
        # first order: the curvature of ln f over a factor of 1.6 is a tenth of it
        if np.abs(told - true).max() > 0.1 * np.abs(true).max() + 5e-4
    }
    assert not wrong


def test_all_numbers_together_spread_frequencies_as_told(doubts):
    """Half the 95 % width of each frequency: within a fifth, for what is a bound of ignorance."""
    if not doubts:
        pytest.skip("all is exact")
    told, true = (
        frequency_spread(
            {path: pair[i] for path, pair in doubts.items()}, len(next(iter(doubts.values()))[0])
        )
        for i in (0, 1)
    )
    assert np.allclose(told, true, rtol=0.2, atol=2e-4)  # a step of 1 % is not nothing
