"""A car on a sine road: amplitude, and where it is largest.

Source: S. S. Rao, Mechanical Vibrations, the rough-road example; from memory, numbers recomputed
independently.  The book looks for resonance at r = 1; the motion is largest below it.
"""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from counterbounce.model.modes import modes
from counterbounce.model.response import dynamics, sweep
from counterbounce.model.road import inputs
from counterbounce.model.speeds import critical_speeds

HEIGHT = 0.05  # m, amplitude


@pytest.fixture
def car(textbook):
    return textbook("b5_rao_rough_road")


@pytest.fixture
def wave(car):
    (cause,) = inputs(car.case.roads, car.vehicle, car.case.speeds[0])
    return cause


@pytest.fixture
def rise(car, wave):
    """Amplitude of the body [m] at a speed [m/s]."""
    ready = dynamics(car.vehicle)
    row = car.vehicle.point("body").row

    def at(speed):
        speed = np.array([speed])
        moved = ready.along(wave.frequency(speed), wave.shape[None], [row])
        return float(np.abs(moved[0, 0]) * wave.amplitude(speed)[0][0])

    return at


def test_amplitude_at_20_km_h(car, wave, rise):
    found = modes(car.vehicle)
    assert 2 * np.pi * wave.frequency(20 / 3.6) / found.undamped == pytest.approx(0.318652, rel=1e-5)
    assert found.damping_ratio == pytest.approx(0.5, rel=1e-9)
    assert rise(20 / 3.6) / HEIGHT == pytest.approx(1.100963, rel=1e-6)
    assert rise(20 / 3.6) == pytest.approx(0.055048, rel=1e-5)  # printed digits


def test_the_wave_meets_the_car_at_62_km_h(car, wave):
    found, ready = modes(car.vehicle), dynamics(car.vehicle)
    (met,) = critical_speeds(ready, found, [wave], car.vehicle.watched, car.case.speeds)
    assert met.coincidence * 3.6 == pytest.approx(62.76, rel=1e-4)


def test_the_body_moves_most_before_that(rise):
    top = minimize_scalar(lambda v: -rise(v), bounds=(10, 25), method="bounded", options={"xatol": 1e-9})
    assert top.x * 3.6 == pytest.approx(53.70, rel=1e-4)  # printed digits
    assert -top.fun / HEIGHT == pytest.approx(1.46789, rel=1e-5)


def test_its_level_is_the_acceleration_of_that_motion(car, wave, rise):
    speed = 20 / 3.6
    level = sweep(dynamics(car.vehicle), [wave], np.array([speed]), car.vehicle.watched).typical[0, 0, 0]
    omega = 2 * np.pi * speed / 6.0
    assert level == pytest.approx(omega**2 * rise(speed) / np.sqrt(2), rel=1e-9)
