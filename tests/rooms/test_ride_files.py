"""A ride into a file and back."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import numpy as np
import pytest

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.ride import Channel, Ride
from counterbounce.model.ride_files import INSTALL, SUFFIXES, beside, read_ride, ride_bytes

CHANNELS = (
    Channel('driver\'s floor, "left"', "m/s^2"),
    Channel("Lenkrad ä [oben]", "m/s"),
    Channel("still", "N"),
)
LABELS = {"gear": "4", "road": 'class B, "dry"\nwet later', "seed": "1"}
# how much of a channel's largest value each kind of file may lose: every bit, nine digits, or float32
LOSES = {".csv": 5e-9, ".wav": 2.0**-24, ".npz": 0.0, ".parquet": 0.0}


def ride(samples=500, rate=1000.0, start=-0.25):
    draw = np.random.default_rng(1)
    values = np.vstack(
        [3e-7 * draw.standard_normal(samples), 4e5 * draw.standard_normal(samples), np.zeros(samples)]
    )
    return Ride("Rüttelstrecke, 3", rate, start, CHANNELS, values, LABELS)


def written(one, path):
    for file, content in ride_bytes(one, path).items():
        file.write_bytes(content)
    return path


@pytest.mark.parametrize("suffix", SUFFIXES)
@pytest.mark.parametrize("samples", [1, 2, 500])
def test_what_was_written_comes_back(tmp_path, suffix, samples):
    one = ride(samples)
    back = read_ride(written(one, tmp_path / f"ride{suffix}"))
    assert (back.name, back.rate, back.start, back.channels) == (one.name, one.rate, one.start, one.channels)
    assert dict(back.labels) == LABELS
    assert back.samples.shape == one.samples.shape
    largest = np.abs(one.samples).max(axis=1, keepdims=True)
    assert np.all(np.abs(back.samples - one.samples) <= LOSES[suffix] * largest)


@pytest.mark.parametrize("suffix", [".csv", ".npz", ".parquet"])
def test_a_rate_that_is_no_whole_number_comes_back(tmp_path, suffix):
    rate = 1000 / 3
    assert read_ride(written(ride(rate=rate), tmp_path / f"ride{suffix}")).rate == rate


def test_a_wav_is_one_that_others_read(tmp_path):
    from scipy.io import wavfile

    one = ride()
    rate, samples = wavfile.read(written(one, tmp_path / "ride.wav"))
    assert (rate, samples.dtype, samples.shape) == (1000, np.float32, (500, 3))
    assert np.abs(samples[:, :2]).max(axis=0).tolist() == [1.0, 1.0]
    about = json.loads(beside(tmp_path / "ride.wav").read_text())
    np.testing.assert_allclose(samples.T * np.array(about["scale"])[:, None], one.samples, atol=1e-1)


def test_a_csv_is_one_that_others_read(tmp_path):
    import pandas

    table = pandas.read_csv(written(ride(), tmp_path / "ride.csv"), comment="#")
    assert list(table) == ["time [s]", *map(str, CHANNELS)]
    np.testing.assert_allclose(table["time [s]"], ride().time, rtol=1e-11)


def test_a_parquet_is_one_that_others_read(tmp_path):
    import pyarrow.parquet as parquet

    table = parquet.read_table(written(ride(), tmp_path / "ride.parquet"))
    assert table.column_names == ["time [s]", *map(str, CHANNELS)]
    np.testing.assert_array_equal(table.column(str(CHANNELS[1])), ride().samples[1])


def test_a_csv_of_other_hands(tmp_path):
    file = tmp_path / "phone.csv"
    file.write_text("time [s],floor [m/s^2]\n5,1\n5.01,2\n5.02,4\n")
    one = read_ride(file)
    assert (one.name, one.start, one.channels) == ("phone", 5.0, (Channel("floor", "m/s^2"),))
    assert one.rate == pytest.approx(100.0)
    assert one.channel("floor").tolist() == [1.0, 2.0, 4.0]


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("a.csv", "time,floor\n0,1\n", 'the first column must be "time [s]"'),
        ("a.csv", "", 'the first column must be "time [s]"'),
        ("a.csv", "time [s],floor [m]\n0,1\n0.1,1\n0.3,1\n", "even steps"),
        ("a.csv", "time [s],floor [m]\n0,1\n0,1\n", "even steps"),
        ("a.csv", "time [s],floor [m]\n0,1\n", "even steps"),
        ("a.csv", "time [s],floor [m]\n0,1\n0.1,nan\n", "no finite number"),
        ("a.csv", "time [s],floor [m]\n0,1\n0.1,x\n", "cannot be read as a ride"),
        ("a.csv", "time [s],floor [m],floor [m]\n0,1,1\n0.1,1,1\n", "one name"),
        ("a.csv", '# about: {"name": 3}\ntime [s]\n', "cannot be read as a ride"),
        ("a.wav", "RIFF", "a.wav.json, which says what its channels are, is not beside it"),
        ("a.npz", "PK", "cannot be read as a ride"),
        ("a.parquet", "PAR1", "cannot be read as a ride"),
        ("a.txt", "", "ends in .csv, .wav, .npz, .parquet"),
    ],
)
def test_what_is_no_ride_is_refused(tmp_path, name, content, said):
    file = tmp_path / name
    file.write_text(content)
    with pytest.raises(CounterbounceError) as caught:
        read_ride(file)
    assert said in str(caught.value)
    assert str(file) in str(caught.value)


def test_what_is_not_there_is_refused(tmp_path):
    with pytest.raises(CounterbounceError, match="is no file"):
        read_ride(tmp_path / "absent.csv")


def test_a_sidecar_of_another_wav_is_refused(tmp_path):
    file = written(ride(), tmp_path / "ride.wav")
    about = json.loads(beside(file).read_text())
    beside(file).write_text(json.dumps({**about, "rate_hz": 500.0}))
    with pytest.raises(CounterbounceError, match="speaks of another ride"):
        read_ride(file)


def test_a_table_of_other_hands_is_refused(tmp_path):
    import pyarrow
    import pyarrow.parquet as parquet

    file = tmp_path / "other.parquet"
    parquet.write_table(pyarrow.table({"a": [1.0]}), file)
    with pytest.raises(CounterbounceError, match="metadata have no counterbounce"):
        read_ride(file)


def test_without_the_library_it_is_said_how_to_install_it(monkeypatch):
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    with pytest.raises(CounterbounceError) as caught:
        ride_bytes(ride(), "ride.parquet")
    assert INSTALL in str(caught.value)


def test_a_wav_wants_a_whole_number_of_samples_a_second():
    with pytest.raises(CounterbounceError, match="not 333"):
        ride_bytes(ride(rate=1000 / 3), "ride.wav")


def test_other_endings_are_refused():
    with pytest.raises(CounterbounceError, match="ends in"):
        ride_bytes(ride(), Path("ride.xls"))
