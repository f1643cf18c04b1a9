"""Recordings: columns to sensors, units at the door, several files on one clock, gaps, labels."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.recording import Recording, read, read_stretches
from counterbounce.model.measured.sensors import GRAVITY, Sensor, Speedometer
from counterbounce.model.measured.travelled import slowed
from counterbounce.model.ride import Channel, Ride
from counterbounce.model.ride_files import ride_bytes

TIME = np.arange(4000) / 200
SEAT, AXLE = np.sin(50 * TIME), 3 * np.cos(40 * TIME) + 0.1 * np.sin(333 * TIME)


def table(path, header, columns, separator=",", form="%.9g"):
    rows = [separator.join(form % value for value in row) for row in zip(*columns, strict=True)]
    path.write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
    return path


def fault_of(*arguments, **more):
    with pytest.raises(CounterbounceError) as caught:
        read(*arguments, **more)
    return caught.value.faults


@pytest.fixture
def csv(tmp_path):
    return table(tmp_path / "run.csv", 'time [s],seat [m/s^2],"rear axle, left [m/s^2]"', [TIME, SEAT, AXLE])


@pytest.mark.parametrize("suffix", [".csv", ".wav", ".npz", ".parquet"])
def test_what_was_written_comes_back(suffix, tmp_path):
    channels = (Channel("seat", "m/s^2"), Channel("rear axle, left", "m/s^2"), Channel("travel", "m"))
    ride = Ride("a drive", 200.0, 5.0, channels, np.stack([SEAT, AXLE, SEAT]), {"gear": "4"})
    for file, content in ride_bytes(ride, tmp_path / f"run{suffix}").items():
        file.write_bytes(content)
    found = read(tmp_path / f"run{suffix}")
    assert [(s.point, s.side) for s in found.sensors] == [("seat", ""), ("rear axle", "left")]
    assert (found.ride.rate, found.ride.start, found.ride.labels["gear"]) == (200.0, 5.0, "4")
    assert found.ride.name == "a drive"
    digits = {".csv": 1e-8, ".wav": 3e-7, ".npz": 0, ".parquet": 0}[suffix]  # nine digits; float32 of 3 m/s^2
    assert np.abs(found.ride.channel("seat") - SEAT).max() <= digits
    assert np.abs(found.ride.channel("rear axle, left") - AXLE).max() <= digits
    assert found.speed is None
    assert any("travel [m]" in sentence for sentence in found.done)


def test_names_in_the_header_tell_the_sensors(csv):
    found = read(csv, labels={"road": "bypass"})
    assert [str(c) for c in found.ride.channels] == ["seat [m/s^2]", "rear axle, left [m/s^2]"]
    assert found.ride.labels == {"road": "bypass"}
    assert found.notes == ()


@pytest.mark.parametrize(
    ("unit", "one"),
    [
        ("m/s^2", 1.0), ("m/s²", 1.0), ("m/s2", 1.0), ("g", GRAVITY), ("G", GRAVITY),
        ("milli-g", GRAVITY / 1000), ("ft/s^2", 0.3048), ("mm/s^2", 1e-3),
    ],
)  # fmt: skip
def test_units_of_acceleration(unit, one, tmp_path):
    """Standard gravity 9.80665 m/s^2: 3rd CGPM 1901, in BIPM, The International System of Units, 2019."""
    found = read(table(tmp_path / "run.csv", f"time [s];seat [{unit}]", [TIME, SEAT], ";"))
    assert np.allclose(found.ride.channel("seat"), one * SEAT, atol=1e-6 * one)


@pytest.mark.parametrize(
    ("unit", "one"),
    [("m/s", 1.0), ("km/h", 1 / 3.6), ("kmh", 1 / 3.6), ("mph", 0.44704), ("kn", 1852 / 3600)],
)
def test_units_of_speed(unit, one, tmp_path):
    speed = 40 + TIME + 0.123
    found = read(table(tmp_path / "run.csv", f"time [s];seat [g];v [{unit}]", [TIME, SEAT, speed], ";"))
    assert found.speed == "speed"
    inside = slice(20, -20)
    assert np.allclose(found.ride.channel("speed")[inside], one * speed[inside], rtol=1e-6)


@pytest.mark.parametrize(
    ("column", "speed", "one"),
    [
        ("wheel [rev/min]", Speedometer("wheel", circumference=2.5), 2.5 / 60),
        ("wheel [Hz]", Speedometer("wheel", circumference=2.5), 2.5),
        ("wheel [Hz]", Speedometer("wheel", per_metre=4.0), 1 / 4),
        ("wheel [pulses/s]", Speedometer("wheel", per_metre=4.0), 1 / 4),
    ],
)
def test_a_speed_that_is_counted(column, speed, one, tmp_path):
    turning = (20 + 0.5 * TIME) / one + 0.001
    file = table(tmp_path / "run.csv", f"time [s];seat [g];{column}", [TIME, SEAT, turning], ";")
    found = read(file, speed=speed).ride.channel("speed")
    assert np.allclose(found[20:-20], one * turning[20:-20], rtol=1e-6)


def test_pulses_that_are_counted_up(tmp_path):
    pulses = np.floor(4.0 * (20 * TIME + 0.25 * TIME**2))
    file = table(tmp_path / "run.csv", "time [s];seat [g];way [pulses]", [TIME, SEAT, pulses], ";")
    found = read(file, speed=Speedometer("way", per_metre=4.0)).ride.channel("speed")
    assert np.abs(found - (20 + 0.5 * TIME))[200:-200].max() < 0.6  # one pulse of 0.25 m in half a second


def test_volts_sign_and_tilt(tmp_path):
    file = table(
        tmp_path / "run.csv", "time [ms];ch 1 [mV];ch 2 [V];ch 3", [1000 * TIME, SEAT, SEAT, SEAT], ";"
    )
    sensors = [
        Sensor("ch 1", "seat", sensitivity=GRAVITY / 0.1),  # 100 mV of a volt for one g
        Sensor("ch 2", "rear axle", side="left", sign=-1.0, sensitivity=10.0),
        Sensor("CH 3", "rear axle", side="right", tilt=np.pi / 3, sensitivity=20.0),
    ]
    ride = read(file, sensors).ride
    assert np.allclose(ride.channel("seat"), SEAT * 1e-3 * GRAVITY / 0.1, atol=1e-8)
    assert np.allclose(ride.channel("rear axle, left"), -10 * SEAT, atol=1e-6)
    assert np.allclose(ride.channel("rear axle, right"), 20 * SEAT / 0.5, atol=1e-6)


def test_a_rate_stands_in_for_times(tmp_path):
    file = table(tmp_path / "run.txt", "seat [g]", [SEAT])
    assert read(file, rate=200.0).ride.rate == 200.0
    (fault,) = fault_of(file)
    assert "times, or the rate" in fault.wanted


def test_two_files_of_one_drive(csv, tmp_path):
    other = table(tmp_path / "gps.csv", "time [s],speed [km/h]", [np.arange(3, 16), 80 + np.arange(13.0) / 7])
    found = read([csv, other])
    assert [c.name for c in found.ride.channels] == ["seat", "rear axle, left", "speed"]
    assert (found.ride.start, round(found.ride.time[-1], 6)) == (3.0, 15.0)
    assert np.allclose(found.ride.channel("seat"), SEAT[600:3001], atol=1e-8)


def test_a_long_gap_cuts_and_a_short_one_is_bridged(tmp_path):
    kept = np.ones(len(TIME), dtype=bool)
    kept[1500:1800] = False  # 1.5 s
    kept[2500:2503] = False  # 20 ms between neighbours
    file = table(tmp_path / "run.csv", "time [s],seat [g]", [TIME[kept], SEAT[kept]], form="%.4f")
    first, second = read_stretches(file)
    assert (first.ride.start, round(first.ride.time[-1], 4)) == (0.0, 7.495)
    assert (round(second.ride.start, 4), round(second.ride.time[-1], 4)) == (9.0, 19.995)
    assert read(file).ride.start == second.ride.start  # the longer one
    bridged = second.ride.channel("seat")[650:750]
    assert np.abs(bridged - np.sin(50 * second.ride.time[650:750]) * GRAVITY).max() < 0.02 * GRAVITY
    assert {note.found for note in second.notes} == {"1 short gap", "nothing for 1.5 s"}
    assert any("stretches" in sentence for sentence in second.done)


def test_a_dead_channel_is_left_out(tmp_path):
    dead = 0.0001 * SEAT
    file = table(
        tmp_path / "run.csv", "time [s],a [g],b [g],c [g],speed [m/s]", [TIME, SEAT, dead, AXLE, 20 + TIME]
    )
    found = read(file)
    assert [s.name for s in found.sensors] == ["a", "c"]
    assert [c.name for c in found.ride.channels] == ["a", "c", "speed"]
    assert [(n.channel, n.kind, n.done) for n in found.notes] == [("b", "dead", "left out")]


def test_a_recording_of_nothing_but_zeros_says_so(tmp_path):
    found = read(table(tmp_path / "run.csv", "time [s],a [g]", [TIME, 0 * SEAT]))
    assert [(n.kind, n.done) for n in found.notes] == [("dead", "left in: there is nothing else")]


# --- faults -------------------------------------------------------------------------------------------------


def test_an_unknown_unit_names_file_and_column(tmp_path):
    file = table(tmp_path / "run.csv", "time [s],seat [blips],floor [g]", [TIME, SEAT, AXLE])
    (fault,) = fault_of(file)
    assert (fault.file, fault.key, fault.given) == (str(file), "seat", "blips")
    assert "m/s^2" in fault.wanted


def test_columns_without_a_unit(tmp_path):
    file = table(tmp_path / "run.csv", "time [s],seat,floor", [TIME, SEAT, AXLE])
    assert [fault.key for fault in fault_of(file)] == ["seat", "floor"]


def test_all_faults_of_the_sensors_at_once(csv):
    sensors = [
        Sensor("saet", "seat"),
        Sensor("seat", "floor", sensitivity=10.0),
        Sensor("rear axle, left", "axle"),
    ]
    faults = fault_of(csv, sensors, speed=Speedometer("speeed"))
    assert [fault.given for fault in faults] == ["speeed", "saet", "seat [m/s^2]"]
    assert faults[1].near == "seat"
    assert "already" in faults[2].wanted


def test_two_sensors_at_one_place(csv):
    (fault,) = fault_of(csv, [Sensor("seat", "floor"), Sensor("rear axle, left", "floor")])
    assert "two columns" in fault.wanted


def test_a_speed_that_cannot_be_read(tmp_path):
    file = table(
        tmp_path / "run.csv", "time [s],seat [g],wheel [rev/min],way [pulses]", [TIME, SEAT, AXLE, AXLE]
    )
    assert "circumference" in fault_of(file, speed=Speedometer("wheel"))[0].wanted
    assert "pulses" in fault_of(file, speed=Speedometer("way"))[0].wanted
    assert "unit of speed" in fault_of(file, speed=Speedometer("seat"))[0].wanted


def test_columns_that_share_no_time(csv, tmp_path):
    other = table(tmp_path / "gps.csv", "time [s],speed [km/h]", [np.arange(100, 116), 80 + np.arange(16.0)])
    (fault,) = fault_of([csv, other])
    assert "share no stretch" in fault.wanted


def test_no_file_and_no_kind(tmp_path):
    (tmp_path / "run.csv").write_text("")
    assert "did you mean" in fault_of(tmp_path / "rum.csv")[0].wanted
    assert "wanted a name that ends in" in fault_of(tmp_path / "run.xyz")[0].wanted
    assert "at least one file" in fault_of([])[0].wanted


def test_an_hour_is_not_held_in_memory(tmp_path):
    """Six channels for an hour at 2 kHz are 346 MB; a tenth of that is read here."""
    import tracemalloc

    count = 720_000
    names = [f"point {i}" for i in range(6)]
    draw = np.random.default_rng(1)
    samples = draw.standard_normal((6, count))
    ride = Ride("an hour", 2000.0, 0.0, tuple(Channel(n, "m/s^2") for n in names), samples)
    file = tmp_path / "run.npz"
    file.write_bytes(ride_bytes(ride, file)[file])
    tracemalloc.start()
    found = read(file)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert isinstance(found.ride.samples, np.memmap)
    assert len(found.ride) == count
    assert peak < 36_000_000  # a few pieces of 2^18 samples and their spectra; all samples are 34.6 MB
    assert np.array_equal(found.ride.samples[3, ::1000], samples[3, ::1000])


def test_what_is_slowed_down_leaves_nothing_else_behind(tmp_path):
    """Of three minutes at 2 kHz, 17 MB, a twentieth is left; while it is made, no more than a few blocks."""
    import tracemalloc

    draw = np.random.default_rng(1)
    ride = Ride("", 2000.0, 0.0, tuple(Channel(f"p{i}", "m/s^2") for i in range(6)),
                draw.standard_normal((6, 360_000)))  # fmt: skip
    recording = Recording(ride, tuple(Sensor(f"p{i}", f"p{i}") for i in range(6)), None)
    slowed(recording)  # what is loaded for it is not counted
    tracemalloc.start()
    slow = slowed(recording)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert (slow.rate, slow.shake.shape) == (100.0, (6, 18_000))
    assert peak < 10_000_000
