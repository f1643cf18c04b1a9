"""A damper from what is known of it."""

import numpy as np
import pint
import pytest

from counterbounce.model.example import small_truck
from counterbounce.model.faults import CounterbounceError
from counterbounce.sizing.absorber import tuned, with_ballast
from counterbounce.sizing.written import written

UREG = pint.UnitRegistry()


@pytest.mark.parametrize(
    "known",
    [
        {"tuned": "5 Hz", "damping": "10 %"},
        {"tuned": UREG.Quantity(5, "Hz"), "damping": 0.1},
        {"stiffness": 20 * (10 * np.pi) ** 2, "damping": 0.1},
        {"sag": 9.80665 / (10 * np.pi) ** 2, "damping": "10 %"},
        {"sag": f"{1e3 * 9.80665 / (10 * np.pi) ** 2:.9f} mm", "dashpot": 0.2 * 20 * 10 * np.pi},
        {"tuned": "300 rpm", "dashpot": UREG.Quantity(0.2 * 20 * 10 * np.pi, "N*s/m")},
    ],
)
def test_every_way_to_know_it_is_one_damper(known):
    for mass in (20.0, "20 kg", UREG.Quantity(20_000, "g")):
        one = written("rear end", mass, **known)
        assert one.place == "rear end"
        assert (one.mass, one.tuned_hz, one.damping_ratio) == pytest.approx((20.0, 5.0, 0.1), rel=1e-8)


def test_it_is_the_damper_that_tuned_makes():
    one, other = written("body", 20.0, tuned=5.0, damping=0.1), tuned("body", "20 kg", "5 Hz", "10 %")
    assert vars(one) == pytest.approx(vars(other))


def test_every_fault_is_told_at_once():
    with pytest.raises(CounterbounceError) as refused:
        written("rear end", "20", tuned="5 kg", sag="-3 mm", damping="8 %", dashpot=None)
    keys = [fault.key for fault in refused.value.faults]
    assert keys == ["tuned and sag", "damping and dashpot", "mass", "tuned", "sag", "dashpot"]
    with pytest.raises(CounterbounceError, match=r"wanted one of tuned, stiffness, sag"):
        written("rear end", 20.0, damping=0.1)


def test_a_word_that_is_not_known_is_refused():
    with pytest.raises(TypeError, match="frequency"):
        written("rear end", 20.0, frequency="5 Hz", damping=0.1)


def test_a_damper_without_a_dashpot_may_be_written():
    assert written("rear end", 20.0, tuned=5.0, dashpot=0.0).damping == 0.0


@pytest.mark.parametrize("mass", [20.0, "20 kg", UREG.Quantity(0.02, "t")])
def test_text_and_quantities_do_for_the_older_doors_too(mass):
    one = tuned("body", mass, "5 Hz", UREG.Quantity(10, "percent"))
    assert (one.mass, one.stiffness, one.damping) == pytest.approx(
        (20.0, 20 * (10 * np.pi) ** 2, 0.2 * 20 * 10 * np.pi)
    )
    gained = with_ballast(small_truck(), "rear end", mass).total_mass - small_truck().total_mass
    assert gained == pytest.approx(20.0, rel=1e-9)
