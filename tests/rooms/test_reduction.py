"""How much less, and how surely: in numbers drawn so that the truth is known."""

import numpy as np
import pytest

from counterbounce.sizing.reduction import Drawn, change_of, passes_needed, power_of


def test_as_many_passes_as_are_needed_do_show_it():
    """A second way to the number: pairs drawn with a fall of 20 % show it in about nine of ten tries."""
    draw = np.random.default_rng(5)
    trial = change_of(*(Drawn(draw.gamma(4.0, size=400), np.ones(400)) for _ in range(2)))
    needed = passes_needed(trial, (400, 400))
    ones = np.ones(needed)
    shown = 0
    for _ in range(300):
        one, other = draw.gamma(4.0, size=(2, needed))
        shown += change_of(Drawn(one, ones), Drawn(0.64 * other, ones)).said == "less"
    assert shown / 300 == pytest.approx(0.9, abs=0.04)
    assert power_of(0.0, 1.0, 10) == pytest.approx(0.025, abs=1e-6)  # one side of 5 %
