"""Files of several devices on one clock: by their stamps, by their shake, or not at all, which is said.

Over 69 simulated rides of the study, cut into two files of one point each and begun up to 40 s apart, the
shake told 19 times when the second began, all of them to 0.11 s; of the others it said that it does not know.
Of 216 pairs of files that are not of one ride, it told one.
"""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.columns import Column
from counterbounce.model.measured.evidence import evidence
from counterbounce.model.measured.recording import read
from counterbounce.model.measured.roles import Taken
from counterbounce.model.measured.sensors import Sensor
from counterbounce.model.measured.together import by_shake

RATE, SECONDS = 200.0, 120.0


def shaken(seed, seconds=SECONDS):
    """Floor and axle of an invented vehicle on a road that is now smooth, now rough (2, n)."""
    draw = np.random.default_rng(seed)
    count = int(seconds * RATE)
    rough = np.exp(np.convolve(draw.normal(0, 1.0, count), np.ones(300) / 17, "same"))
    noise = draw.normal(0, 1, (2, count))
    return rough * (noise + np.roll(noise, 1, axis=1)) + draw.normal(0, 0.05, (2, count))


def written(folder, name, shake, point, first=None, zone="", since="2026-05-13T12:03:00"):
    """A file of one point, with stamps from `first` [s] on, or with times from 0 on where that is None."""
    count = len(shake)
    if first is None:
        stamps = [f"{i / RATE:.3f}" for i in range(count)]
    else:
        zero = np.datetime64(since) + np.timedelta64(round(first * 1000), "ms")
        stamps = [f"{zero + np.timedelta64(round(1000 * i / RATE), 'ms')}{zone}" for i in range(count)]
    lines = (f"{stamp},{value:.5f}" for stamp, value in zip(stamps, shake, strict=True))
    path = folder / name
    path.write_text("\n".join([f"time{' [s]' if first is None else ''},{point} [m/s^2]", *lines]))
    return path


@pytest.fixture(scope="module")
def ride():
    return shaken(1)


def clocks(found):
    """What is said of clocks."""
    return [note for note in found.notes if note.kind == "clock"]


def overlap(found):
    """How well the second point follows the first, sample by sample."""
    return np.corrcoef(*found.ride.samples)[0, 1]


def both(shake):
    """The same shake at two points: they fit together only where both files lie right."""
    return shake[0], shake[0] + 0.1 * shake[1]


@pytest.mark.parametrize(
    ("zones", "hours"), [(("", ""), 0), (("Z", "Z"), 0), (("Z", "+02:00"), 2), (("Z", ""), 2), (("", ""), -5)]
)
def test_stamps_put_two_files_beside_each_other(zones, hours, ride, tmp_path):
    floor, axle = both(ride)
    one = written(tmp_path, "phone.csv", floor[:20000], "floor", 0.0, zones[0])
    two = written(tmp_path, "logger.csv", axle[3000:], "axle", 15.0 + 3600 * hours, zones[1])
    found = read([one, two])
    assert found.ride.start == pytest.approx(15.0, abs=1e-6)
    assert overlap(found) > 0.9
    assert found.clocks == (0, 1)
    said = [sentence for sentence in found.done if "beside" in sentence]
    assert len(said) == 1
    assert ("does not tell its time zone" in said[0]) == (hours != 0 and zones != ("Z", "+02:00"))


def test_times_of_day_meet_over_midnight(ride, tmp_path):
    floor, axle = both(ride)
    one = written(tmp_path, "a.csv", floor, "floor", 0.0, since="2026-05-13T23:59:50")
    two = tmp_path / "b.csv"
    written(tmp_path, "b.csv", axle[4000:], "axle", 20.0, since="2026-05-13T23:59:50")
    two.write_text(two.read_text().replace("2026-05-14T", ""))
    found = read([one, two])
    assert overlap(found) > 0.9
    assert any("does not tell the day" in sentence for sentence in found.done)


def test_rides_of_different_days_are_refused(ride, tmp_path):
    one = written(tmp_path, "a.csv", ride[0], "floor", 0.0, "Z")
    two = written(tmp_path, "b.csv", ride[1], "axle", 5 * 86400.0, "Z")
    with pytest.raises(CounterbounceError, match="nothing in common") as caught:
        read([one, two])
    assert (
        "b.csv 2026-05-18 12:03:00 in universal time to 2026-05-18 12:04:59" in caught.value.faults[0].given
    )


@pytest.mark.parametrize("later", [-12.0, 25.0])
def test_the_shake_tells_when_a_file_without_stamps_began(later, ride, tmp_path):
    floor, axle = both(ride)
    cut = round(abs(later) * RATE)
    one = written(tmp_path, "a.csv", floor[cut if later < 0 else 0 :], "floor")
    two = written(tmp_path, "b.csv", axle[cut if later > 0 else 0 :], "axle")
    found = read([one, two])
    (note,) = clocks(found)
    assert (note.channel, note.kind) == ("b.csv", "clock")
    assert f"began {abs(later):.1f} s {'after' if later > 0 else 'before'}" in note.found
    assert found.ride.start == pytest.approx(max(later, 0.0), abs=0.1)
    assert found.clocks == (0, 1)


def test_two_exports_of_one_device_are_left_as_they_are(ride, tmp_path):
    found = read([written(tmp_path, "a.csv", ride[0], "floor"), written(tmp_path, "b.csv", ride[1], "axle")])
    assert (clocks(found), found.clocks) == ([], ())


def test_where_nothing_tells_it_says_so(ride, tmp_path):
    other = shaken(2)
    one, two = (
        written(tmp_path, "a.csv", ride[0], "floor"),
        written(tmp_path, "b.csv", other[0][2000:], "axle"),
    )
    (note,) = clocks(read([one, two]))
    assert note.found == "nothing tells when it began beside a.csv"


def test_rides_that_have_nothing_in_common_are_not_told():
    def taken(shake):
        return [Taken(Sensor("seat", "seat"), Column("seat", "m/s^2", shake, RATE), 1.0)]

    assert not any(by_shake(taken(shaken(2 * i)[0]), taken(shaken(2 * i + 1)[0])).told for i in range(1, 20))


def test_no_phase_between_two_devices(ride, tmp_path):
    floor, axle = both(ride)
    ring = 3 * np.cos(2 * np.pi * 8 * np.arange(len(floor)) / RATE)
    one = written(tmp_path, "a.csv", floor + ring, "floor", 0.0, "Z")
    two = written(tmp_path, "b.csv", (axle + ring)[3000:], "axle", 15.0, "Z")
    found = evidence(read([one, two]))
    assert found.findings[0].points
    assert [np.isfinite(point.error) for point in found.findings[0].points.values()].count(False) == 1
    assert any("different devices" in said for said in found.limits)
