"""What each wheel brings to an order, and how fast it turns."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.estimates import healthy_run_out
from counterbounce.model.road import Roads, inputs
from counterbounce.model.wheels import WheelFault, turns_per_metre, uneven


@pytest.fixture(name="vehicle")
def a_tandem(fleet):
    return fleet("tandem").vehicle


def test_half_of_peak_to_peak(vehicle):
    axle = vehicle.axles[1]
    faults = [
        WheelFault(axle.name, 1, run_out=(2e-3, 1e-3)),
        WheelFault(axle.name, 2, force_variation=(300.0, 100.0)),
    ]
    assert uneven(faults, axle, 1) == ([1e-3, 5e-4], [], False)
    heights, moments, assumed = uneven(faults, axle, 2)
    assert heights == pytest.approx([150 / (axle.tyre_rate / 2), 50 / (axle.tyre_rate / 2)])
    assert (moments, assumed) == ([], False)
    assert uneven([WheelFault(axle.name, 1, imbalance=(0.3, 0.1))], axle, 1) == ([], [0.3, 0.1], False)


def test_a_healthy_wheel_is_assumed(vehicle):
    axle = vehicle.axles[0]
    of_another = [WheelFault(vehicle.axles[1].name, 1, run_out=(2e-3, 1e-3))]
    assert uneven(of_another, axle, 1) == ([healthy_run_out(1) / 2] * 2, [], True)


@pytest.mark.parametrize("spread", [0.0, 0.003, 0.02])
def test_rates_lie_about_that_of_the_axles(vehicle, spread):
    rates = [turns_per_metre(vehicle, axle, spread) for axle in vehicle.axles]
    own = [1 / axle.circumference for axle in vehicle.axles]
    for each, nominal in zip(rates, own, strict=True):
        assert each.max() - each.min() == pytest.approx(spread * nominal, abs=1e-15)
        assert np.abs(each / nominal - 1).max() <= spread
    assert np.mean(
        [each.mean() / nominal for each, nominal in zip(rates, own, strict=True)]
    ) == pytest.approx(1.0)


def test_no_two_wheels_keep_step(vehicle):
    rates = np.sort(np.concatenate([turns_per_metre(vehicle, axle, 0.003) for axle in vehicle.axles]))
    assert np.diff(rates).min() > 0.1 * 0.003 * rates.mean()


def test_the_beat_is_the_one_that_the_input_states(vehicle):
    roads = Roads((1, 3), rolling_difference=0.004)
    for cause in inputs(roads, vehicle, 10.0):
        axle = next(a for a in vehicle.axles if a.name == cause.axle)
        slow, fast = turns_per_metre(vehicle, axle, roads.rolling_difference)
        assert 1 / (cause.order * (fast - slow)) == pytest.approx(cause.beat_length)


def test_an_axle_whose_size_is_not_known_has_no_rate(vehicle):
    bare = replace(vehicle, axles=tuple(replace(a, circumference=None) for a in vehicle.axles))
    assert turns_per_metre(bare, bare.axles[0], 0.003).shape == (0,)
