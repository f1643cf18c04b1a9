"""Whether a person would notice a shake over the road's background."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.background import background
from counterbounce.model.case import parse
from counterbounce.model.example import TEXT
from counterbounce.model.points import Point, Row
from counterbounce.model.roughness import ASSUMED, of_class
from counterbounce.sizing.absorber import Damper, tuned
from counterbounce.sizing.noticed import FAINTEST, Felt, Noticed, bands_above_one, noticed
from counterbounce.sizing.study import host

SEAT = '\n[[point]]\nname = "seat"\nstation = "1 m"\nwatch = true\nweighting = "Wk"\n'
FLOOR = '\n[[point]]\nname = "floor"\nstation = "2.5 m"\nwatch = true\n'
HEAD = '\n[[point]]\nname = "head"\nstation = "1 m"\nwatch = true\ndirection = "fore-aft"\nheight = "1.5 m"\n'
COMPLAINT = '\n[complaint]\nspeed = { from = "7 m/s", to = "7.5 m/s" }\n'


def host_of(*more, road=""):
    return host(parse(TEXT.replace("[inputs]\n", f"[inputs]\n{road}") + "".join(more)))


@pytest.fixture(scope="module")
def smooth():
    """The small truck on a road so smooth that its wheels are felt."""
    return host_of(SEAT, COMPLAINT, road='roughness = { density = "2e-6 m^3" }\n')


def made(shake, back, **changes):
    shake, back = (np.asarray(level, dtype=float)[:, None] for level in (shake, back))
    speeds = np.arange(10.0, 10.0 + len(shake))
    point = Point("seat", 0.0, Row(), weighting="Wk")
    whole = Noticed(speeds, (point,), True, ASSUMED, False, Felt(shake, back), None, (10.0, speeds[-1]))
    return replace(whole, **changes)


def test_shake_and_road_add_as_powers():
    assert Felt(np.array([[3.0]]), np.array([[4.0]])).total.item() == 5.0


@pytest.mark.parametrize(("total", "seen"), [(1.09, False), (1.11, True)])
def test_a_tenth_more_than_the_road_is_noticed(total, seen):
    one = made([np.sqrt(total**2 - 1)] * 2, [1.0, 1.0])
    assert one.before.total == pytest.approx(total)
    assert (one.bands_before == ((10.0, 11.0),)) is seen


def test_what_nobody_feels_is_not_noticed_on_the_smoothest_road():
    """A steady shake of a peak below 0.015 m/s^2."""
    assert pytest.approx(0.015 / np.sqrt(2)) == FAINTEST
    assert made([0.99 * FAINTEST] * 2, [0.0, 0.0]).bands_before == ()
    assert made([1.01 * FAINTEST] * 2, [0.0, 0.0]).bands_before == ((10.0, 11.0),)
    assert made([0.99 * FAINTEST] * 2, [1e-5, 1e-5]).roughest == 0.0


def test_any_point_will_do():
    two = Felt(np.array([[0.0, 1.0], [1.0, 0.0]]), np.array([[1.0, 1.0], [1.0, 9.0]]))
    assert (two.over_noticeable > 1).tolist() == [True, True]


def test_bands_end_where_the_curve_crosses_and_at_the_ends_of_the_road():
    speeds = np.array([10.0, 20.0, 30.0, 40.0])
    assert bands_above_one(speeds, np.array([2.0, 0.0, 0.0, 3.0])) == pytest.approx(
        np.array([(10.0, 15.0), (30.0 + 10 / 3, 40.0)])
    )
    assert bands_above_one(speeds, np.full(4, 1.0)) == ((10.0, 40.0),)
    assert bands_above_one(speeds, np.zeros(4)) == ()


def test_the_roughest_road_is_the_one_where_it_just_stands_out(smooth):
    """On its own smoother or rougher by a thousandth the band's shake is noticed, or is not."""
    one = noticed(smooth, None)
    assert one.roughest > one.roughness.density

    def meets(density):
        bands = one.on(density).bands_before
        return any(low <= one.band[1] and one.band[0] <= high for low, high in bands)

    assert meets(0.999 * one.roughest)
    assert not meets(1.001 * one.roughest)


def test_another_road_by_its_root_and_by_asking_again(smooth):
    again = noticed(host_of(SEAT, COMPLAINT, road='roughness = { class = "C" }\n'), None)
    scaled = noticed(smooth, None).on(of_class("C").density)
    assert scaled.before.background == pytest.approx(again.before.background, rel=1e-9)
    assert scaled.before.shake == pytest.approx(again.before.shake, rel=1e-12)
    assert not again.assumed


def test_the_coarse_background_is_that_of_the_fine_one(smooth):
    """Sixty-one speeds and a fifth of the frequencies, against every speed and all of them."""
    one = noticed(smooth, None)
    fine = background(smooth.ready, smooth.vehicle, one.roughness, one.speeds, one.points)
    assert one.before.background == pytest.approx(fine, rel=0.005)


def test_a_road_that_is_not_stated_is_assumed_and_says_so():
    one = noticed(host_of(SEAT), None)
    assert one.assumed
    assert one.roughness == ASSUMED


def test_a_good_damper_is_felt_and_a_gram_is_not(smooth):
    good = noticed(smooth, tuned("rear end", 30.0, 2.94, 0.14))
    assert good.change_noticeable
    assert sum(b - a for a, b in good.bands_after) < 0.9 * sum(b - a for a, b in good.bands_before)
    gram = noticed(smooth, Damper("rear end", 1e-3, 1.6, 1e-3))
    assert gram.change_noticeable is False
    assert np.array(gram.bands_after) == pytest.approx(np.array(gram.bands_before), rel=1e-3)


def test_a_point_without_a_weighting_is_felt_as_a_hard_seat():
    """Wk upward, Wd along; where somebody's seat is known, that alone counts."""
    bare = noticed(host_of(FLOOR, HEAD), None)
    assert [(p.name, p.weighting) for p in bare.points] == [("floor", "Wk"), ("head", "Wd")]
    assert not bare.weighted
    seated = noticed(host_of(FLOOR, SEAT), None)
    assert [p.name for p in seated.points] == ["seat"]
    assert seated.weighted


def test_without_any_damping_the_road_drowns_everything():
    one = made([5.0, 5.0], [np.inf, np.inf])
    assert (one.bands_before, one.roughest, one.words(one.before)) == ((), 0.0, ())
    assert replace(one, after=one.before).change_noticeable is None


def test_words_come_from_road_and_shake_together_with_the_standards_factor():
    one = made([0.3, 0.3], [0.4, 0.4])
    assert one.words(one.before) == ("a little uncomfortable", "fairly uncomfortable")
    back = Point("seat back", 0.0, Row(), "fore-aft", "Wc")
    assert replace(one, points=(back,)).words(one.before) == ("a little uncomfortable",)  # 0.8 of it
