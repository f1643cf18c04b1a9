"""What people get back: the units that they wrote."""

from __future__ import annotations

import math

import pytest

from counterbounce.model.units import Display, display_of, significant

POUND = 0.45359237  # kg, exactly: international yard and pound agreement of 1959
INCH = 0.0254  # m, exactly: the same
POUND_FORCE = POUND * 9.80665  # N: standard gravity, 3rd CGPM, 1901


@pytest.mark.parametrize(
    ("written", "display"),
    [
        ([], Display("km/h", "metric")),
        (["km/h", "kg", "m"], Display("km/h", "metric")),
        (["mph", "lb", "in", "psi"], Display("mph", "US")),
        (["lb", "lbf/in", "kN/m"], Display("mph", "US")),
        (["mph", "kg", "kN/m"], Display("mph", "metric")),
        (["km/h", "lb", "psi"], Display("km/h", "US")),
        (["kg", "psi", "m", "%", ""], Display("km/h", "metric")),
    ],
)
def test_the_display_speaks_the_persons_units(written, display):
    assert display_of(written) == display


@pytest.mark.parametrize(
    ("value", "kind", "metric", "us"),
    [
        (1609.344 / 60, "speed", "96.6 km/h", "60.0 mph"),
        (100 * POUND, "mass", "45.4 kg", "100 lb"),
        (0.3048, "length", "0.305 m", "1.00 ft"),
        (INCH, "small_length", "25.4 mm", "1.00 in"),
        (10 * POUND_FORCE / INCH, "stiffness", "1.75 kN/m", "10.0 lbf/in"),
        (10 * POUND_FORCE / INCH, "damping", "1750 N*s/m", "10.0 lbf*s/in"),
        (POUND_FORCE, "force", "4.45 N", "1.00 lbf"),
        (0.5, "acceleration", "0.500 m/s^2", "0.500 m/s^2"),
        (7.25, "frequency", "7.25 Hz", "7.25 Hz"),
    ],
)
def test_numbers_are_shown_in_those_units(value, kind, metric, us):
    assert Display("km/h", "metric").show(value, kind) == metric
    assert Display("mph", "US").show(value, kind) == us


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (6214.2, "6210"),
        (0.0123456, "0.0123"),
        (0.0, "0"),
        (-9.996, "-10.0"),
        (1e9, "1000000000"),
        (math.nan, "nan"),
    ],
)
def test_three_digits_and_no_powers_of_ten(value, text):
    assert significant(value) == text
