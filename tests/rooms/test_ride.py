"""Channels on one clock."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.ride import Channel, Ride

SEAT, FLOOR = Channel("seat", "m/s^2"), Channel("floor", "m/s^2")


def ride(samples=10, rate=4.0, start=2.0, channels=(SEAT, FLOOR)):
    values = np.arange(len(channels) * samples, dtype=float).reshape(len(channels), samples)
    return Ride("invented", rate, start, channels, values, {"gear": "4"})


def test_clock():
    one = ride()
    np.testing.assert_allclose(one.time, 2.0 + np.arange(10) * 0.25)
    assert (len(one), one.duration) == (10, 2.5)


@pytest.mark.parametrize(
    ("seconds", "lengths"), [(1.0, [4, 4, 2]), (2.5, [10]), (99.0, [10]), (0.25, [1] * 10)]
)
def test_blocks_are_the_whole_ride(seconds, lengths):
    one = ride()
    times, parts = zip(*one.blocks(seconds), strict=True)
    assert [part.shape for part in parts] == [(2, n) for n in lengths]
    assert np.array_equal(np.hstack(parts), one.samples)
    first = np.cumsum([0, *lengths[:-1]])
    np.testing.assert_allclose(times, one.time[first])


@pytest.mark.parametrize("seconds", [0.0, -1.0, 0.1, np.nan, np.inf])
def test_a_block_lasts_a_sample_or_longer(seconds):
    with pytest.raises(ValueError, match="one sample or longer"):
        next(ride().blocks(seconds))


def test_a_file_on_disc_is_read_block_by_block(tmp_path):
    """Whatever slices like an array; only what is asked for is touched."""
    mapped = np.memmap(tmp_path / "samples", np.float32, "w+", shape=(2, 1000))
    mapped[:] = np.arange(2000, dtype=np.float32).reshape(2, 1000)
    asked = []

    class Watched:
        shape = mapped.shape

        def __getitem__(self, key):
            asked.append(key)
            return mapped[key]

    one = Ride("on disc", 100.0, 0.0, (SEAT, FLOOR), Watched())
    total = sum(part.sum() for _, part in one.blocks(1.0))
    assert total == pytest.approx(1999 * 1000)
    assert [key[1] for key in asked] == [slice(i, i + 100) for i in range(0, 1000, 100)]
    assert all(part.dtype == float for _, part in one.blocks(5.0))


def test_channels_by_name():
    one = ride()
    assert np.array_equal(one.channel("floor"), one.samples[1])
    with pytest.raises(KeyError, match="no channel 'sat'; seat"):
        one.channel("sat")


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"rate": 0.0}, "above 0 Hz"),
        ({"rate": -5.0}, "above 0 Hz"),
        ({"rate": np.nan}, "above 0 Hz"),
        ({"start": np.inf}, "finite time"),
        ({"channels": (SEAT, SEAT)}, "two channels have one name: seat"),
    ],
)
def test_what_is_refused(changed, said):
    with pytest.raises(ValueError, match=said):
        ride(**changed)


@pytest.mark.parametrize("shape", [(3, 10), (10,), (2, 5, 1)])
def test_shapes_are_refused(shape):
    with pytest.raises(ValueError, match="samples of shape"):
        Ride("", 1.0, 0.0, (SEAT, FLOOR), np.zeros(shape))


@pytest.mark.parametrize(
    ("time", "left"), [(-9.0, 10), (2.0, 10), (2.01, 9), (2.25, 9), (4.25, 1), (99.0, 0)]
)
def test_what_is_left_from_a_time_on(time, left):
    one = ride()
    rest = one.since(time)
    assert np.array_equal(rest.samples, one.samples[:, 10 - left :])
    np.testing.assert_allclose(rest.time, one.time[10 - left :])
    assert (rest.labels, rest.channels) == (one.labels, one.channels)


def test_a_notebook_shows_it_escaped():
    one = ride(channels=(Channel("<seat>", "m/s^2"),))
    assert "&lt;seat&gt;" in one._repr_html_()
    assert "gear: 4" in one._repr_html_()
