"""How far numbers move frequencies."""

import numpy as np
import pytest

from counterbounce.model.doubt import frequency_doubt, frequency_spread
from counterbounce.model.modes import modes
from counterbounce.model.numbers import Known


def test_doubt_of_one_spring_is_half_its_share(fleet):
    """10 % of a spring that holds all of the energy is 5 % of the frequency."""
    built = fleet("quarter")
    numbers = built.numbers.with_given({"axle.rear.spring_rate": Known(280e3, 28e3, "measured")})
    numbers["axle.rear.spring_rate"]
    found = modes(built.vehicle)
    doubt = frequency_doubt(built.plan, numbers, built.vehicle, found)
    assert list(doubt) == ["axle.rear.spring_rate"]
    share = found.energy["rear spring"]
    assert doubt["axle.rear.spring_rate"] == pytest.approx(share / 2 * np.log(1.1), rel=1e-3)  # a step of 1 %


def test_doubts_add_as_squares():
    doubt = {"a": np.array([0.03, 0.0]), "b": np.array([-0.04, 0.02])}
    assert frequency_spread(doubt, 2) == pytest.approx([0.05, 0.02])
    assert frequency_spread({}, 2).tolist() == [0.0, 0.0]
