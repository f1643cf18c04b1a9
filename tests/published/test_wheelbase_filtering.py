"""Which wavelengths of the road make a car bounce, and which make it pitch.

Source: T. D. Gillespie, Fundamentals of Vehicle Dynamics (1992), chapter 5, wheelbase filtering; from memory,
exact for a car that is the same in front and behind: with wheelbase L, bounce alone at L / n, pitch alone at
L / (n - 1/2).
"""

import numpy as np
import pytest

from counterbounce.model.case import parse
from counterbounce.model.response import dynamics
from counterbounce.model.road import inputs
from counterbounce.model.settle import settled

WHEELBASE = 2.9
CAR = """
name = "A car the same in front and behind"
exact = true

[vehicle]
model = "half"
wheelbase = "2.9 m"
sprung_mass = "1200 kg"
centre_of_gravity = "1.45 m"
pitch_inertia = "1800 kg*m^2"

[frame]
front_overhang = "0.8 m"
rear_overhang = "0.8 m"

[axle.front]
unsprung_mass = "70 kg"
spring_rate = "40 kN/m"
damping = "2.5 kN*s/m"
tyre_rate = "380 kN/m"
tyre_damping = "0.2 kN*s/m"
contact_length = "0.15 m"

[axle.rear]
unsprung_mass = "70 kg"
spring_rate = "40 kN/m"
damping = "2.5 kN*s/m"
tyre_rate = "380 kN/m"
tyre_damping = "0.2 kN*s/m"
contact_length = "0.15 m"

[inputs]
wheel_orders = []
speeds = {{ from = "10 m/s", to = "40 m/s" }}
{road}
"""


def bounce_and_pitch(road, harmonic=1, speeds=(9.0, 17.0, 31.0)):
    """Bounce at the centre and pitch times half the wheelbase [m], over speed; one harmonic of the road."""
    case = parse(CAR.format(road=road))
    vehicle = settled(case.plan, case.numbers)
    (cause,) = [c for c in inputs(case.roads, vehicle, case.speeds[0]) if c.order == harmonic]
    rows = [vehicle.frame.row(WHEELBASE / 2), WHEELBASE / 2 * vehicle.frame.slope(WHEELBASE / 2)]
    columns = np.repeat(cause.shape[None], len(speeds), axis=0)
    moved = dynamics(vehicle).along(cause.frequency(np.array(speeds)), columns, rows)
    return np.abs(moved * cause.amplitude(np.array(speeds))[0][:, None]).T


@pytest.mark.parametrize("length", [2.9, 1.45])
def test_waves_that_make_it_bounce_alone(length):
    bounce, pitch = bounce_and_pitch(f'wave = {{ length = "{length} m", height = "20 mm" }}')
    assert bounce.min() > 1e-5
    assert (pitch < 1e-12 * bounce).all()


@pytest.mark.parametrize("length", ["5.8 m", f"{2.9 / 1.5!r} m"])
def test_waves_that_make_it_pitch_alone(length):
    bounce, pitch = bounce_and_pitch(f'wave = {{ length = "{length}", height = "20 mm" }}')
    assert pitch.min() > 1e-5
    assert (bounce < 1e-12 * pitch).all()


def test_any_other_wave_does_both():
    bounce, pitch = bounce_and_pitch('wave = { length = "8.7 m", height = "20 mm" }')
    assert (bounce > 0.05 * pitch).all()
    assert (pitch > 0.05 * bounce).all()


@pytest.mark.parametrize("harmonic", [1, 2, 3, 4])
def test_slabs_of_twice_the_wheelbase_make_it_pitch_and_bounce_in_turn(harmonic):
    """Odd harmonics are waves of 5.8, 1.933 m, even ones of 2.9, 1.45 m."""
    bounce, pitch = bounce_and_pitch('joints = { spacing = "5.8 m", step = "4 mm", curl = "3 mm" }', harmonic)
    small, large = (bounce, pitch) if harmonic % 2 else (pitch, bounce)
    assert large.min() > 1e-6
    assert (small < 1e-12 * large).all()
