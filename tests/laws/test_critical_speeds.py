"""Where the road meets a mode, on every vehicle."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.modes import modes
from counterbounce.model.response import dynamics, sweep
from counterbounce.model.speeds import critical_speeds

RANGE = (5.0, 45.0)


@pytest.fixture(scope="module")
def met(built, rescaled):
    """Critical speeds of two sine roads; damping a twentieth of what it is, so that every mode shows."""
    vehicle = rescaled(built.vehicle, damper=0.05)
    causes = [replace(c, per_metre=p) for c in built.causes[:1] for p in (0.25, 0.6)]
    found, ready = modes(vehicle), dynamics(vehicle)
    return found, ready, causes, critical_speeds(ready, found, causes, vehicle.watched, RANGE)


def test_coincidence_is_where_the_input_has_the_modes_frequency(met):
    found, _, causes, critical = met
    assert critical
    for one in critical:
        assert one.coincidence * one.cause.per_metre == pytest.approx(found.frequency_hz[one.mode], rel=1e-12)
        assert one.mode_name == found.names[one.mode]
    pairs = {(c.cause.per_metre, c.mode) for c in critical}
    inside = {
        (c.per_metre, m)
        for c in causes
        for m, f in enumerate(found.frequency_hz)
        if RANGE[0] <= f / c.per_metre <= RANGE[1] and f <= 25.0
    }
    assert pairs == inside


def test_a_lightly_damped_peak_lies_at_the_coincidence(met):
    found, *_, critical = met
    peaked = [c for c in critical if c.peak is not None and found.damping_ratio[c.mode] < 0.02]
    if not peaked:
        pytest.skip("nothing to meet: all modes are undamped or hidden")
    for one in peaked:
        assert one.peak == pytest.approx(one.coincidence, rel=0.02)
        assert one.band[0] < one.peak < one.band[1]


def test_half_power_bandwidth_is_twice_the_damping_ratio(met):
    """Of the worst peak that stands alone."""
    found, *_, critical = met
    alone = [
        c
        for c in critical
        if c.peak is not None
        and 0.002 < found.damping_ratio[c.mode] < 0.02
        and np.delete(np.abs(np.log(found.natural / found.natural[c.mode])), c.mode).min() > 0.25
    ]
    if not alone:
        pytest.skip("no peak stands alone")
    width = (alone[0].band[1] - alone[0].band[0]) / alone[0].peak
    # 0.3 % steps of speed and straight lines between them: a tenth of the width at half a per cent of damping
    assert width == pytest.approx(2 * found.damping_ratio[alone[0].mode], rel=0.2)


def test_worst_first(met):
    typical = [c.typical for c in met[-1]]
    assert typical == sorted(typical, reverse=True)


def test_levels_scale_with_the_input_and_speeds_do_not(built, met):
    found, ready, causes, critical = met
    high = [replace(c, height=replace(c.height, typical=2 * c.height.typical)) for c in causes]
    doubled = critical_speeds(ready, found, high, built.vehicle.watched, RANGE)
    for one, two in zip(critical, doubled, strict=True):
        assert (two.speed, two.mode) == (one.speed, one.mode)
        assert two.typical == pytest.approx(2 * one.typical, rel=1e-9)


def test_the_peak_is_the_level_there_and_no_more_lies_beside_it(built):
    """The polished peak of a vehicle as it is, against sweeps at that very speed and close by."""
    found, ready = modes(built.vehicle), dynamics(built.vehicle)
    critical = critical_speeds(ready, found, built.causes, built.vehicle.watched, RANGE)
    peaked = [c for c in critical if c.peak is not None and found.damping_ratio[c.mode] > 0.01]
    if not peaked:
        pytest.skip("undamped, or every mode hides behind another")
    for one in peaked[:6]:
        near = one.peak * np.array([0.997, 0.999, 1.0, 1.001, 1.003])
        level = sweep(ready, [one.cause], near, [one.point]).typical[0, :, 0]
        # a parabola through three speeds 0.3 % apart, over a peak at least 2 % wide
        assert one.typical == pytest.approx(level[2], rel=2e-3)
        assert level.max() <= 1.002 * one.typical
