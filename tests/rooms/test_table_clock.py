"""Dates, times of day and clocks as people's devices write them: all of them tell the same ride."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.files import read_columns

RATE = 200.0
TIME = np.arange(600) / RATE
SEAT = np.sin(30 * TIME)
ZERO = np.datetime64("2026-05-13T12:03:01.250")  # a Wednesday
EPOCH = float(ZERO.astype("M8[ms]").astype(np.int64)) / 1e3
OF_DAY = 12 * 3600 + 3 * 60 + 1.25


def instants():
    return [ZERO + np.timedelta64(round(t * 1000), "ms") for t in TIME]


def american(when):
    date, time = str(when).split("T")
    year, month, day = date.split("-")
    hour = int(time[:2])
    return f"{month}/{day}/{year} {hour % 12 or 12}{time[2:]} {'PM' if hour > 11 else 'AM'}"


WAYS = {  # how an instant is written, what separates the cells, when the file began, after what it comes back
    "ISO with T": (lambda w: f"{w}", ",", EPOCH, 0),
    "ISO with a blank": (lambda w: str(w).replace("T", " "), ",", EPOCH, 0),
    "ISO in UTC": (lambda w: f"{w}Z", ",", EPOCH, 0),
    "ISO two hours ahead": (lambda w: f"{w}+02:00", ",", EPOCH - 7200, 0),
    "ISO five hours behind": (lambda w: f"{w}-0500", ";", EPOCH + 18000, 0),
    "ISO, decimal commas": (lambda w: str(w).replace(".", ","), ";", EPOCH, 0),
    "ISO between quotes": (lambda w: f'"{w}"', ",", EPOCH, 0),
    "a date and a time between blanks": (lambda w: str(w).replace("T", " "), " ", EPOCH, 0),
    "a date and a time between tabs": (lambda w: str(w).replace("T", "\t"), "\t", EPOCH, 0),
    "day first by its dots": (lambda w: f"13.5.2026 {str(w)[11:]}", ";", EPOCH, 0),
    "day first, as no month is the 13th": (lambda w: f"13/05/2026 {str(w)[11:]}", ",", EPOCH, 0),
    "month first, with a.m. and p.m.": (american, ",", EPOCH, 0),
    "time of day": (lambda w: str(w)[11:], ",", OF_DAY, 86400),
    "time of day, decimal commas": (lambda w: str(w)[11:].replace(".", ","), ";", OF_DAY, 86400),
    "minutes and seconds": (lambda w: str(w)[14:], ",", 181.25, 3600),
    "a date that may be either": (lambda w: f"03/05/2026 {str(w)[11:]}", ",", OF_DAY, 86400),
}  # fmt: skip


def table(folder, written, separator=",", name="date;time", seat=SEAT):
    """A file whose first cells are the written instants."""
    names = name.replace(";", separator) if separator in " \t" else name.partition(";")[0]
    values = (f"{value:.6f}".replace(".", "," if separator == ";" else ".") for value in seat)
    lines = (f"{when}{separator}{value}" for when, value in zip(written, values, strict=True))
    path = folder / "run.csv"
    path.write_text("\n".join([f"{names}{separator}seat [g]", *lines]), encoding="utf-8")
    return path


@pytest.mark.parametrize("way", WAYS)
def test_ways_to_write_an_instant(way, tmp_path):
    write, separator, began, period = WAYS[way]
    found = read_columns(table(tmp_path, [write(when) for when in instants()], separator))
    (seat,) = found.columns
    assert (seat.name, seat.rate, seat.start) == ("seat", RATE, 0.0)
    assert np.allclose(seat.part(slice(None)), SEAT, atol=1e-6)
    assert found.began.seconds == pytest.approx(began, abs=1e-3)
    assert found.began.period == period
    assert found.notes == ()
    assert any("may begin with its day" in said for said in found.done) == ("either" in way)


@pytest.mark.parametrize(
    ("one", "unit"), [(1.0, ""), (1e3, ""), (1e6, ""), (1e9, ""), (1e3, " [ms]"), (1e9, " [ns]")]
)
def test_seconds_since_1970(one, unit, tmp_path):
    written = [f"{(EPOCH + t) * one:.0f}" if one > 1 else f"{EPOCH + t:.3f}" for t in TIME]
    found = read_columns(table(tmp_path, written, name=f"timestamp{unit}"))
    assert found.columns[0].rate == RATE
    assert found.began.seconds == pytest.approx(EPOCH, abs=1e-3)
    assert found.began.zone == "Z"


def test_a_unit_that_cannot_be(tmp_path):
    with pytest.raises(CounterbounceError, match="more than a century"):
        read_columns(table(tmp_path, [f"{(EPOCH + t) * 1e3:.0f}" for t in TIME], name="timestamp [s]"))


def test_midnight_passes(tmp_path):
    night = [np.datetime64("2026-05-13T23:59:59") + np.timedelta64(round(t * 1000), "ms") for t in TIME]
    found = read_columns(table(tmp_path, [str(when)[11:] for when in night]))
    assert found.columns[0].rate == RATE
    assert (found.began.seconds, found.notes) == (86399.0, ())


def test_elapsed_seconds_are_taken_before_coarse_stamps(tmp_path):
    both = [f"{str(when)[:19]}Z,{t:.3f}" for when, t in zip(instants(), TIME, strict=True)]
    found = read_columns(table(tmp_path, both, name="date,time [s]"))
    assert [(c.name, c.rate, c.start) for c in found.columns] == [("seat", RATE, 0.0)]
    assert found.began.seconds == pytest.approx(EPOCH - 0.25)


def test_of_two_columns_of_stamps_the_first_is_the_clock(tmp_path):
    both = [f"{when},{when + np.timedelta64(7, 'h')}" for when in instants()]
    found = read_columns(table(tmp_path, both, name="device [hh:mm],server [hh:mm]"))
    assert [c.name for c in found.columns] == ["seat"]
    assert found.began.seconds == pytest.approx(EPOCH, abs=1e-3)


def test_stamps_of_whole_seconds_are_spread(tmp_path):
    time = np.arange(4000) / RATE
    late = [str(ZERO + np.timedelta64(round(t * 1000), "ms"))[11:19] for t in time]
    found = read_columns(table(tmp_path, late, seat=np.sin(time)))
    assert found.columns[0].rate == pytest.approx(RATE, rel=1e-4)
    assert abs(found.columns[0].start) <= 1.0
    assert any("coarser" in said for said in found.done)


def test_a_clock_that_is_set_back_goes_on(tmp_path):
    back = [when - np.timedelta64(3600 * (i >= 300), "s") for i, when in enumerate(instants())]
    found = read_columns(table(tmp_path, back))
    assert found.columns[0].rate == RATE
    (note,) = found.notes
    assert (note.kind, note.found) == ("clock", "it was set back by 3600 s")
    assert note.start == pytest.approx(TIME[299])


def test_a_clock_that_is_set_back_often_is_told_once(tmp_path):
    back = [when - np.timedelta64(60 * (i // 100), "s") for i, when in enumerate(instants())]
    (note,) = read_columns(table(tmp_path, back)).notes
    assert note.found == "it was set back by 60 s, and 4 times more"


def test_a_table_that_begins_with_its_end_is_refused(tmp_path):
    with pytest.raises(CounterbounceError, match="first line first"):
        read_columns(table(tmp_path, instants()[::-1]))


def test_one_wrong_stamp_spoils_nothing_behind_it(tmp_path):
    written = [str(when) for when in instants()]
    written[300] = "2026-05-14T09:00:00.000"
    (seat,) = read_columns(table(tmp_path, written)).columns
    assert np.isnan(seat.times[300])
    assert np.allclose(np.delete(seat.times, 300), np.delete(TIME, 300), atol=1e-5)


def test_a_stamp_that_cannot_be_is_refused_on_its_line(tmp_path):
    written = [str(when) for when in instants()]
    written[7] = "2026-02-30T12:00:00"
    with pytest.raises(CounterbounceError) as caught:
        read_columns(table(tmp_path, written))
    assert [(fault.line, fault.wanted) for fault in caught.value.faults] == [(9, "wanted a time")]


def test_a_parquet_table_with_instants(tmp_path):
    arrow, parquet = pytest.importorskip("pyarrow"), pytest.importorskip("pyarrow.parquet")
    for unit in ("ms", "us", "ns"):
        when = arrow.array(np.array(instants()).astype(f"M8[{unit}]"), arrow.timestamp(unit))
        parquet.write_table(arrow.table({"when": when, "seat [g]": SEAT}), tmp_path / "run.parquet")
        found = read_columns(tmp_path / "run.parquet")
        assert [(c.name, c.rate, c.start) for c in found.columns] == [("seat", RATE, 0.0)]
        assert found.began.seconds == pytest.approx(EPOCH, abs=1e-3)
