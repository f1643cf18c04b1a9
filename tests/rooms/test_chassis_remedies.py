"""Loads, ballast, mountings, mounts and plates: what is proposed, and what never is."""

from pathlib import Path

import pytest

from counterbounce.model.case import load
from counterbounce.sizing.absorber import tuned
from counterbounce.sizing.before_after import compare
from counterbounce.sizing.chassis_remedies import (
    MOST_SAG,
    ballast,
    ballasts,
    moved_loads,
    of_equal_weight,
    other_mount_rates,
    other_mountings,
    plates_weight,
    static_sag,
    stiffer_frames,
)
from counterbounce.sizing.panel import still, trial
from counterbounce.sizing.study import host

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def upfitted():
    return host(load(EXAMPLES / "upfitter" / "service_body.toml"))


def all_of(contests):
    return [proposed for contest in contests for proposed in contest]


def test_only_what_rides_rigidly_is_moved_and_never_off_the_frame(upfitted):
    found, frame = all_of(moved_loads(upfitted)), upfitted.vehicle.frame
    assert {p.name.split()[0] for p in found} == {"tools"}
    assert len(found) == 5  # a metre rearward the tools would stand beyond the end
    assert upfitted.vehicle.points["tools"].station + 1.0 > frame.rear


def test_ballast_is_the_ballast_beside_a_damper(upfitted):
    """Assembled and swept as for a damper of the same weight."""
    hung = tuned("rear end", "25 kg", "9 Hz", "8 %")
    known = still(upfitted)
    whole = compare(upfitted.vehicle, hung, upfitted.causes, known.speeds, upfitted.target.band)
    found = trial(upfitted, ballast(upfitted, "rear end", 25.0), known)
    assert found.reduction == pytest.approx(whole.ballast_reduction, abs=1e-9)
    equal = next(of_equal_weight(upfitted, hung))[0]
    assert trial(upfitted, equal, known).reduction == pytest.approx(whole.ballast_reduction, abs=1e-9)


def test_ballast_stays_within_what_may_be_hung_on(upfitted):
    known, first = still(upfitted), all_of(ballasts(upfitted, 20.0))[:3]
    weights = [trial(upfitted, proposed, known).weight for proposed in first]
    assert weights == pytest.approx([5.0, 10.0, 20.0])


def test_mounts_are_never_made_so_soft_that_they_sag(upfitted):
    names = [p.name for p in all_of(other_mount_rates(upfitted)) if p.name.startswith("cab: mounts")]
    sag = static_sag(upfitted.vehicle, "cab")
    assert sag == pytest.approx(480 * 9.80665 / 2.4e6, rel=1e-9)
    soft = [float(name.split()[2]) for name in names]
    assert all(sag / rate <= MOST_SAG or rate > 1 for rate in soft)
    assert 0.5 in soft


def test_soft_mounts_may_not_sag_further(upfitted, monkeypatch):
    monkeypatch.setattr("counterbounce.sizing.chassis_remedies.MOST_SAG", 0.003)
    names = [p.name for p in all_of(other_mount_rates(upfitted))]
    assert "cab: mounts 0.5 times as stiff" not in names
    assert "cab: mounts 0.8 times as stiff" in names


def test_a_body_is_put_on_every_other_mounting_but_rigidly(upfitted):
    (contest,) = other_mountings(upfitted)
    assert [p.name for p in contest] == [
        "service body on plates",
        "service body on spring mounts",
        "service body on rubber mounts",
    ]


def test_plates_of_a_dampers_weight_weigh_that(upfitted):
    hung = tuned("rear end", "25 kg", "9 Hz", "8 %")
    known = still(upfitted)
    *_, plates = of_equal_weight(upfitted, hung)
    assert trial(upfitted, plates[0], known).weight == pytest.approx(25.0, rel=1e-6)
    quarter, half = (trial(upfitted, c[0], known).weight for c in stiffer_frames(upfitted))
    assert (quarter, half) == pytest.approx((plates_weight(upfitted) / 4, plates_weight(upfitted) / 2))


def test_whoever_touches_frame_or_mounts_is_told_who_decides(upfitted):
    touched = [*stiffer_frames(upfitted), *other_mountings(upfitted), *other_mount_rates(upfitted)]
    assert touched
    assert all("licensed" in proposed.caution for proposed in all_of(touched))
