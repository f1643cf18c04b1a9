"""The door for Python: SI, text, or a quantity of a units library."""

import numpy as np
import pint
import pytest

from counterbounce.model.quantities import si
from counterbounce.model.units import UnitFault

UREG = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("value", "unit", "wanted"),
    [
        (20.0, "kg", 20.0),
        (3, "m", 3.0),
        (np.float32(2.5), "m", 2.5),
        (np.int64(4), "m", 4.0),
        ("44 lb", "kg", 44 * 0.45359237),
        ("8 %", "", 0.08),
        (0.08, "", 0.08),
        (UREG.Quantity(44, "lb"), "kg", 44 * 0.45359237),
        (UREG.Quantity(9, "kN*s/m"), "N*s/m", 9000.0),
        (UREG.Quantity(8, "percent"), "", 0.08),
        (UREG.Quantity(7.1, "Hz"), "Hz", 7.1),
        (UREG.Quantity(0.0071, "kHz"), "Hz", 7.1),
        (UREG.Quantity(420, "1/min"), "Hz", 7.0),
        ("420 rpm", "Hz", 7.0),
    ],
)
def test_three_ways_to_say_one_number(value, unit, wanted):
    assert si(value, unit, "20 kg") == pytest.approx(wanted, rel=1e-14)


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (UREG.Quantity(420, "rpm"), "Hz", "hertz"),  # a units library would say 44 Hz
        (UREG.Quantity(44, "rad/s"), "Hz", "hertz"),
        (UREG.Quantity(7, "turn/s"), "Hz", "hertz"),
        (UREG.Quantity(6, "m"), "kg", "Cannot convert"),
        (UREG.Quantity(6, ""), "kg", "Cannot convert"),
        (UREG.Quantity([1.0, 2.0], "kg"), "kg", "wanted a quantity in kg"),
        (UREG.Quantity(-3, "kg"), "kg", "more than 0 kg"),
        (np.array([1.0, 2.0]), "kg", "a float in SI, a text"),
        (True, "kg", "a float in SI, a text"),
        (None, "kg", "a float in SI, a text"),
        (float("nan"), "kg", "finite"),
        (-1.0, "kg", "more than 0 kg"),
        ("-1 kg", "kg", "more than 0 kg"),
        ("20", "kg", "the unit is missing"),
        ("20 lbf", "kg", "kept in kg"),
        (-0.1, "", "more than 0"),
    ],
)
def test_whatever_else_is_refused(value, unit, said):
    with pytest.raises(UnitFault, match=said) as refused:
        si(value, unit, "20 kg", above=0.0)
    assert isinstance(refused.value, ValueError)
    assert "20 kg" in refused.value.example


def test_each_registry_converts_its_own():
    """Quantities of two registries cannot be mixed, so a value is asked to convert itself."""
    assert si(pint.UnitRegistry().Quantity(2, "t"), "kg", "20 kg") == pytest.approx(2000.0)
