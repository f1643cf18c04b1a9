"""What the road and the wheels ask at a speed."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.road import Driveline, Joints, Roads, Wave, inputs
from counterbounce.model.wheels import WheelFault

C, TYRE, RUB = 2.47, 1.7e6 * 1.8, 1.5e3 * 1.8  # rear axle of the truck: circumference, tyre rate and damping
MILE_PER_HOUR = 0.44704


@pytest.fixture
def truck(fleet):
    return fleet("half").vehicle


def only(roads, vehicle, axle="rear"):
    (cause,) = [c for c in inputs(roads, vehicle, 10.0) if c.axle == axle]
    return cause


def at_rear(**values):
    return Roads(wheel_orders=(1,), wheel_faults=(WheelFault("rear", 1, **values),))


def test_every_order_of_every_axle_is_asked(truck):
    found = inputs(Roads(wheel_orders=(1, 3)), truck, 10.0)
    assert [c.name for c in found] == [
        f"wheel order {n}, {a} axle" for n in (1, 3) for a in ("front", "rear")
    ]
    for cause in found:
        assert cause.frequency(np.array([20.0])) == pytest.approx(cause.order * 20.0 / C)
        assert cause.shape.tolist() == [float(cause.axle == "front"), float(cause.axle == "rear")]


@pytest.mark.parametrize(
    ("diameter", "hertz", "mph"),
    [
        (0.8422, 7.0, 40.22),  # LT275/70R18
        (0.8422, 11.0, 63.21),
        (0.8103, 7.0, 38.70),  # 225/70R19.5
        (1.0140, 7.0, 48.43),  # 295/75R22.5
    ],
)
def test_speed_at_which_order_one_has_a_frequency(truck, diameter, hertz, mph):
    """v = f C / n, C 3.05 times the nominal diameter; recomputed from size arithmetic, factor from memory."""
    axles = tuple(replace(a, circumference=3.05 * diameter) for a in truck.axles)
    cause = only(Roads(wheel_orders=(1,)), replace(truck, axles=axles))
    assert cause.frequency(np.array([mph * MILE_PER_HOUR])) == pytest.approx(hertz, rel=2e-4)


def test_run_out_is_peak_to_peak_and_an_axle_rises_by_the_mean_of_its_wheels(truck):
    cause = only(at_rear(run_out=(0.8e-3, 0.6e-3)), truck)
    assert (cause.height.typical, cause.height.worst) == pytest.approx((0.25e-3, 0.35e-3))
    typical, worst = cause.amplitude(np.array([10.0, 30.0]))
    assert typical == pytest.approx([0.25e-3] * 2)
    assert worst == pytest.approx([0.35e-3] * 2)
    assert not cause.assumed


def test_force_variation_is_a_height_over_the_rate_of_one_wheel(truck):
    """153 N peak to peak on one of two wheels: 76.5 N over half of the axle's rate, halved by the other."""
    cause = only(at_rear(force_variation=(153.0, 0.0)), truck)
    assert cause.height.typical == pytest.approx(76.5 / TYRE)


def test_imbalance_is_a_hub_force(truck):
    """U W^2 at the hub is a contact height U W^2 / |k + i W c|."""
    cause, speed = only(at_rear(imbalance=(0.03, 0.04)), truck), 25.0
    turning = 2 * np.pi * speed / C
    typical, worst = cause.amplitude(np.array([speed]))
    assert typical == pytest.approx(0.05 * turning**2 / abs(TYRE + 1j * turning * RUB))
    assert worst == pytest.approx(0.07 / 0.05 * typical)
    assert cause.height.worst == 0


def test_a_wheel_nobody_measured_is_a_healthy_one(truck):
    cause = only(Roads(wheel_orders=(1,)), truck)
    assert cause.assumed
    assert cause.height.worst == pytest.approx(0.3e-3)
    assert cause.height.typical == pytest.approx(0.3e-3 / np.sqrt(2))


def test_wheels_beat_over_a_length_of_road(truck):
    """Wheels 0.3 % apart come back together after 1 / 0.003 turns."""
    assert only(Roads(wheel_orders=(1,)), truck).beat_length == pytest.approx(C / 0.003)
    assert only(Roads(wheel_orders=(2,)), truck).beat_length == pytest.approx(C / 0.006)
    assert only(Roads(wheel_orders=(1,), rolling_difference=0.0), truck).beat_length is None


def test_a_wave_reaches_the_rear_axle_later(truck):
    (cause,) = inputs(Roads(wheel_orders=(), wave=Wave(8.4, 0.02)), truck, 10.0)
    front, rear = cause.shape
    assert rear / front == pytest.approx(np.exp(-1j * np.pi))  # half a wave of 8.4 m over 4.2 m of wheelbase
    quarter = inputs(Roads(wheel_orders=(), wave=Wave(16.8, 0.02)), truck, 10.0)[0].shape
    assert quarter[1] / quarter[0] == pytest.approx(-1j)
    assert (cause.height.typical, cause.height.worst) == (0.01, 0.01)


def test_a_footprint_smooths(truck):
    """A wave as long as the footprint (0.2 m) vanishes; one of twice its length keeps 2 / pi."""
    for length, left in ((0.2, 0.0), (0.4, 2 / np.pi), (1e4, 1.0)):
        (cause,) = inputs(Roads(wheel_orders=(), wave=Wave(length, 0.02)), truck, 10.0)
        assert abs(cause.shape[0]) == pytest.approx(left, abs=1e-9)


def test_joints_have_harmonics_up_to_30_hz(truck):
    found = inputs(Roads(wheel_orders=(), joints=Joints(5.0, step=3e-3)), truck, 10.0)
    assert [c.order for c in found] == list(range(1, 16))  # 2 Hz apart
    assert len(inputs(Roads(wheel_orders=(), joints=Joints(5.0, step=3e-3)), truck, 25.0)) == 6
    assert found[2].per_metre == pytest.approx(3 / 5.0)


def test_a_joints_axle_delay_does_not_depend_on_speed(truck):
    found = inputs(Roads(wheel_orders=(), joints=Joints(4.2, curl=3e-3)), truck, 10.0)
    for cause in found[:6]:  # slabs as long as the wheelbase: both axles together, whatever the harmonic
        assert cause.shape[1] == pytest.approx(cause.shape[0], abs=1e-15)


def test_driveline_frequencies_without_levels(truck):
    """A four-stroke fires half its cylinders a turn of the crank; a propshaft turns by the axle ratio."""
    roads = Roads(wheel_orders=(), driveline=Driveline(4.1, 0.8, 6))
    orders = {c.name: c.order for c in inputs(roads, truck, 10.0)}
    assert orders == pytest.approx(
        {
            "propshaft, once per turn": 4.1,
            "propshaft joints, twice per turn": 8.2,
            "engine, once per turn": 3.28,
            "engine firing": 9.84,
        }
    )
    for cause in inputs(roads, truck, 10.0):
        assert cause.height is None
        assert cause.per_metre == pytest.approx(cause.order / C)
        assert [a.tolist() for a in cause.amplitude(np.array([20.0]))] == [[0.0], [0.0]]
    assert inputs(Roads(wheel_orders=(), driveline=Driveline(4.1)), truck, 10.0)[-1].kind == "propshaft"
