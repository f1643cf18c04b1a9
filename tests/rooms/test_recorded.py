"""What a case file says of its recordings: sensors, how the vehicle was driven, and every contradiction."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from counterbounce.model.case import parse
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.recording import read
from counterbounce.model.measured.sensors import Sensor, Speedometer, from_header, sensitivity_of, tilt_of

VAN = (Path(__file__).parents[1] / "cases" / "van.toml").read_text(encoding="utf-8")
GOOD = (
    VAN
    + """
[[sensor]]
column = "channel 1"
point = "rear end"
sensitivity = "100 mV/g"
tilt = "12 deg"

[[sensor]]
column = "channel 2"
point = "axle.rear"
side = "left"
sign = -1

[recording]
gear = "5"
neutral = false
cold_pressure = "all 3 bar"
heading = "northbound"
speed = "gps"
speed_lag = "1.2 s"
"""
)


def test_sensors_and_labels_of_a_case():
    case = parse(GOOD)
    first, second = case.sensors
    assert (first.column, first.point, first.direction, first.sign) == (
        "channel 1",
        "rear end",
        "vertical",
        1.0,
    )
    assert first.sensitivity == pytest.approx(98.0665)
    assert first.tilt == pytest.approx(np.radians(12))
    assert second == Sensor("channel 2", "axle.rear", "vertical", "left", -1.0)
    assert dict(case.labels) == {
        "gear": "5", "cold pressure": "all 3 bar", "heading": "northbound", "neutral": "no",
    }  # fmt: skip
    assert case.speedometer == Speedometer("gps", lag=1.2)


def test_a_case_without_them():
    case = parse(VAN)
    assert (case.sensors, dict(case.labels), case.speedometer) == ((), {}, None)


def test_a_case_reads_its_recording(tmp_path):
    time = np.arange(2000) / 200
    rows = [f"{t};{np.sin(50 * t):.6f};{np.cos(40 * t):.6f};{60 + t:.3f}" for t in time]
    file = tmp_path / "run.csv"
    file.write_text("\n".join(["time [s];channel 1 [V];channel 2 [g];gps [mph]", *rows]))
    case = parse(GOOD)
    found = read(file, case.sensors, case.labels, case.speedometer)
    assert [c.name for c in found.ride.channels] == ["rear end", "axle.rear, left", "speed"]
    assert found.ride.channel("rear end")[100] == pytest.approx(
        98.0665 * np.sin(25.0) / np.cos(np.radians(12)), abs=1e-3
    )
    assert found.ride.channel("axle.rear, left")[100] == pytest.approx(-9.80665 * np.cos(20.0), abs=1e-4)
    assert found.ride.labels["heading"] == "northbound"


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ('point = "rear end"\nsens', 'point = "raer end"\nsens', "sensor.1.point", "no such point"),
        ("100 mV/g", "100 mV", "sensor.1.sensitivity", "volts per acceleration"),
        ("12 deg", "80 deg", "sensor.1.tilt", "up to 60 deg"),
        ("12 deg", "12", "sensor.1.tilt", "angle"),
        ("sign = -1", "sign = 2", "sensor.2.sign", "1 or -1"),
        ("channel 2", "channel 1", "sensor.2.column", "already"),
        ('"axle.rear"\nside = "left"', '"rear end"', "sensor.2.point", "has a sensor already"),
        ('side = "left"', 'direction = "unknown"', "sensor.2.direction", "three sensors"),
        ('gear = "5"', 'gaer = "5"', "recording.gaer", "no such key"),
        ('speed = "gps"\n', "", "recording.speed_lag", "recording.speed beside it"),
        (
            'speed_lag = "1.2 s"',
            'circumference = "2.4 m"\npulses_per_metre = 4',
            "recording.pulses_per_metre",
            "both",
        ),
        ('speed_lag = "1.2 s"', 'speed_lag = "1.2"', "recording.speed_lag", "unit"),
    ],
)
def test_each_fault_on_its_line_and_alone(old, new, key, words):
    assert old in GOOD
    text = GOOD.replace(old, new)
    with pytest.raises(CounterbounceError) as caught:
        parse(text)
    (fault,) = caught.value.faults
    assert fault.key == key
    assert words in fault.wanted
    assert fault.line >= text[: text.index("[[sensor]]")].count("\n") + 1


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("100 mV/g", 98.0665),
        ("10.19716 mV/(m/s^2)", 98.0665),
        ("0.05 V/g", 196.133),
        ("2 g", 19.6133),
        ("5 m/s^2", 5),
    ],
)
def test_ways_to_write_a_sensitivity(text, value):
    assert sensitivity_of(text) == pytest.approx(value, rel=1e-6)


@pytest.mark.parametrize(
    "text", ["", "100", "mV/g", "-100 mV/g", "0 mV/g", "1e400 mV/g", "100 mV", "100 pC/g", "1 s"]
)
def test_what_is_no_sensitivity(text):
    with pytest.raises(ValueError, match="wanted volts"):
        sensitivity_of(text)


@pytest.mark.parametrize("text", ["", "12", "12 gon", "nan deg", "61 deg", "deg"])
def test_what_is_no_tilt(text):
    with pytest.raises(ValueError, match="wanted an angle"):
        tilt_of(text)


@pytest.mark.parametrize(
    ("name", "point", "direction", "side"),
    [
        ("seat", "seat", "vertical", ""),
        ("rear axle, left", "rear axle", "vertical", "left"),
        ("rear axle, lateral, right", "rear axle", "lateral", "right"),
        ("rear axle, right, fore-aft", "rear axle", "fore-aft", "right"),
        ("bed, over the axle", "bed, over the axle", "vertical", ""),
        ("left", "left", "vertical", ""),
    ],
)
def test_names_of_columns(name, point, direction, side):
    sensor = from_header(name)
    assert (sensor.column, sensor.point, sensor.direction, sensor.side) == (name, point, direction, side)


@pytest.mark.parametrize(
    "wrong", [{"sign": 0.5}, {"sensitivity": -1.0}, {"sensitivity": float("nan")}, {"tilt": 1.6}]
)
def test_a_sensor_that_cannot_be(wrong):
    with pytest.raises(ValueError, match="must"):
        Sensor("a", "seat", **wrong)
