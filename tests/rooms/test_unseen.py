"""What a recording is said not to tell."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.measured.evidence import evidence
from counterbounce.model.measured.recording import Recording
from counterbounce.model.measured.sensors import Sensor
from counterbounce.model.ride import Channel, Ride


def of_noise(rate=200.0, fastest=30.0, seconds=120, **known):
    """The evidence of a seat that does not shake, on a sweep from 12 m/s."""
    speed = np.linspace(12, fastest, round(seconds * rate))
    seat = 0.02 * np.random.default_rng(2).standard_normal(len(speed))
    channels = Channel("seat", "m/s^2"), Channel("speed", "m/s")
    ride = Ride("invented", rate, 0.0, channels, np.stack([seat, speed]))
    return evidence(Recording(ride, (Sensor("seat", "seat"),), "speed"), **known)


def of_driveline(found):
    return [one for one in found.limits if "a shaft" in one]


@pytest.mark.parametrize(
    ("rate", "ratio", "said"),
    [
        (200.0, 4.0, "40 Hz is looked at: a shaft that turns 4 times"),  # 40 * 2.4 / 4 = 24 m/s
        (200.0, None, "a shaft that turns about four times"),
        (60.0, 4.0, "25 Hz is looked at"),
    ],
)
def test_where_a_driveline_would_not_be_seen_it_is_not_cleared(rate, ratio, said):
    found = of_noise(rate, circumference=2.4, axle_ratio=ratio)
    assert found.findings[0].kind == "nothing"
    assert "not cleared" in found.findings[0].cause
    (text,) = of_driveline(found)
    assert said in text
    if rate == 200.0:
        assert "86 to 106 km/h" in text


def test_where_it_would_be_seen_nothing_is_said():
    found = of_noise(fastest=20.0, circumference=2.4, axle_ratio=4.0)
    assert of_driveline(found) == []
    assert "cleared" not in found.findings[0].cause


def test_a_short_road_is_said():
    assert any("m of road" in one for one in of_noise(seconds=30).limits)
    assert not any("m of road" in one for one in of_noise().limits)
