"""Pulses to shaft angle and speed, on an invented drive with a stop and with faults put in."""

import numpy as np
import pytest

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.rotation import Angle, shaft_from_times, shaft_from_waveform

WHEELS = [(36, 1), (60, 2), (12, 3), (8, 1), (58, 0), (5, 0), (1, 0)]


class Drive:
    """Turns against time: up to 20 a second, and where `stops`, to rest for five seconds and on again."""

    def __init__(self, stops=False):
        self.t = np.arange(0, 80 if stops else 30, 1e-3)
        shape = [0, 20, 20, 0, 0, 15, 15] if stops else [8, 20, 20]
        v = np.interp(self.t, [0, 10, 30, 40, 45, 55, 80][: len(shape)], shape)
        self.turns = np.concatenate([[0], np.cumsum((v[1:] + v[:-1]) / 2e3)])
        self.v = v

    def pulses(self, teeth, missing):
        place = np.arange(1, int(self.turns[-1] * teeth))
        place = place[place % teeth < teeth - missing]
        moving = np.concatenate([[True], np.diff(self.turns) > 0])
        return np.interp(place / teeth, self.turns[moving], self.t[moving])

    def off(self, shaft):
        """By how many pitches the count has gone wrong since the first pulse (n + 1,)."""
        off = (shaft.counted - np.interp(shaft.pulses, self.t, self.turns)) * shaft.teeth
        return off - off[0]


def spoilt(pulses, lost, false, seed):
    """Pulses taken out, and false ones put between two; when each was."""
    draw = np.random.default_rng(seed)
    places = draw.choice(np.arange(10, len(pulses) - 10, 7), lost + false, replace=False)
    out, after = places[:lost], places[lost:]
    share = draw.uniform(0.05, 0.95, false)
    wrong = pulses[after] + share * (pulses[after + 1] - pulses[after])
    return np.sort(np.concatenate([np.delete(pulses, out), wrong])), np.sort(pulses[out]), np.sort(wrong)


@pytest.mark.parametrize(("teeth", "missing"), WHEELS)
@pytest.mark.parametrize("told", [True, False])
def test_speed_angle_and_missing_teeth(teeth, missing, told):
    drive = Drive()
    shaft = shaft_from_times(drive.pulses(teeth, missing), teeth, missing if told else None)
    assert shaft.missing == missing
    assert shaft.notes == ()
    assert np.abs(drive.off(shaft)).max() < 1e-3
    # Times come from a table of 1 ms: a line through it is off by 1e-3^2 / 8 of the acceleration.
    assert shaft.speed == pytest.approx(np.interp(shaft.time, drive.t, drive.v), rel=1e-3)
    off = shaft.turns - np.interp(shaft.time, drive.t, drive.turns)
    assert np.ptp(off) < 1e-3 / teeth + 1e-3 * (teeth == 1)


@pytest.mark.parametrize(("teeth", "missing"), WHEELS)
@pytest.mark.parametrize("seed", range(4))
def test_swallowed_and_doubled_pulses(teeth, missing, seed):
    drive = Drive()
    pulses, lost, false = spoilt(drive.pulses(teeth, missing), 4, 4, seed)
    shaft = shaft_from_times(pulses, teeth)
    assert shaft.missing == missing
    assert np.abs(drive.off(shaft)).max() < 0.5  # no pitch too many, none too few
    found = {note.kind: note for note in shaft.notes}
    assert found["dropout"].start <= lost[0] <= lost[-1] <= found["dropout"].end + 1
    assert found["clock"].start == pytest.approx(false[0], abs=0.2)
    assert "4 times" in found["clock"].found
    assert "4 times" in found["dropout"].found
    assert shaft.speed == pytest.approx(np.interp(shaft.time, drive.t, drive.v), rel=0.5)


@pytest.mark.parametrize(("teeth", "missing"), WHEELS)
def test_a_stop_costs_no_more_than_two_pitches(teeth, missing):
    drive = Drive(stops=True)
    shaft = shaft_from_times(drive.pulses(teeth, missing), teeth)
    assert shaft.missing == missing
    assert np.abs(drive.off(shaft)).max() < 2.5
    assert any("it stood" in note.found and note.start == pytest.approx(40, abs=1.5) for note in shaft.notes)


def test_a_signal_that_is_gone_for_a_while_is_counted_on():
    drive = Drive()
    pulses = drive.pulses(36, 1)
    shaft = shaft_from_times(pulses[(pulses < 20) | (pulses > 20.5)], 36)
    assert np.abs(drive.off(shaft)).max() < 0.5
    assert ["turned on" in note.found for note in shaft.notes] == [True]


def test_a_count_that_slipped_is_said():
    pulses = Drive().pulses(36, 1)
    place = np.searchsorted(pulses, 25.0)
    bent = np.concatenate([pulses[:place], pulses[place + 20 :] - (pulses[place + 20] - pulses[place])])
    notes = shaft_from_times(bent, 36).notes
    assert ["not where they should be" in note.found for note in notes] == [True]
    assert notes[0].start == pytest.approx(25, abs=0.1)


def test_missing_teeth_that_are_not_there_are_not_found():
    assert shaft_from_times(Drive().pulses(36, 0), 36).missing == 0
    assert shaft_from_times(Drive().pulses(36, 0), 36, 1).missing == 0


def test_from_a_waveform_with_noise():
    drive, rate = Drive(), 20e3
    t = np.arange(round(30 * rate)) / rate
    place = np.interp(t, drive.t, drive.turns) * 36
    wave = np.where((place % 1 < 0.5) & (place % 36 < 35), 900, 100)
    wave = (wave + np.random.default_rng(2).normal(0, 40, len(t))).astype(np.int16)
    blocks = (wave[i : i + 5000] for i in range(0, len(wave), 5000))
    shaft = shaft_from_waveform(blocks, rate, 36)
    assert shaft.missing == 1
    assert shaft.notes == ()
    assert np.abs(drive.off(shaft)).max() < 0.05
    assert shaft.resolution == pytest.approx(36 * 20 / rate, rel=0.05)


def test_the_clock_of_a_list_is_its_last_decimal():
    pulses = np.round(np.arange(500) / 97.3, 4)
    assert shaft_from_times(pulses, 1).resolution == pytest.approx(97.3 / 1e4, rel=0.02)


def test_angle_never_falls_and_meets_its_marks():
    draw = np.random.default_rng(3)
    time = np.cumsum(draw.uniform(0.1, 2.0, 200))
    turns = np.cumsum(draw.exponential(1.0, 200) * (draw.random(200) > 0.3))
    angle = Angle(time, turns)
    fine = np.linspace(time[0], time[-1], 20_001)
    assert (np.diff(angle.turns_at(fine)) >= -1e-9).all()
    assert angle.turns_at(time) == pytest.approx(turns)


def test_angle_is_the_same_in_parts():
    time = np.linspace(0, 10, 300)
    angle = Angle(time, 3 * time + np.sin(time))
    fine = np.linspace(0, 10, 1777)
    parts = np.concatenate([angle.turns_at(part) for part in np.array_split(fine, 23)])
    assert parts == pytest.approx(angle.turns_at(fine), abs=1e-12)
    assert parts == pytest.approx(3 * fine + np.sin(fine), abs=1e-5)
    assert angle.rate_at(fine) == pytest.approx(3 + np.cos(fine), abs=2e-3)


@pytest.mark.parametrize(
    ("times", "teeth", "missing", "words"),
    [
        ([0.0, 1.0], 4, None, "at least three pulses"),
        ([], 4, None, "at least three pulses"),
        ([[0.0, 1.0, 2.0]], 4, None, "in one row"),
        ([0.0, np.nan, 2.0], 4, None, "finite"),
        ([0.0, 2.0, 1.0], 4, None, "1 s: each time must be later"),
        ([0.0, 1.0, 1.0], 4, None, "each time must be later"),
        ([0.0, 1.0, 2.0], 0, None, "teeth: wanted a whole number from 1"),
        ([0.0, 1.0, 2.0], 36, 34, "0 to 33 can be"),
        ([0.0, 1.0, 2.0], 1, 1, "0 to 0 can be"),
        ([0.0, 1.0, 2.0], 36, -1, "0 to 33 can be"),
    ],
)
def test_what_cannot_be(times, teeth, missing, words):
    with pytest.raises(CounterbounceError) as caught:
        shaft_from_times(times, teeth, missing)
    assert words in str(caught.value)
