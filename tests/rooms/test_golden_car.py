"""The index of a profile: second ways to it, its starting rule, its segments."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import linalg

from counterbounce.model.golden_car import SPEED, golden_car, roughness_index, transition
from counterbounce.model.matrices import matrices
from counterbounce.model.profile import Profile, resampled
from counterbounce.model.profile_spectrum import realised
from counterbounce.model.roughness import of_class


def rough(length=400.0, spacing=0.25, seed=3):
    return realised(of_class("C"), length, spacing, seed)


def stepped(profile):
    """|body less hub| step by step in a plain loop, with the matrices of the vehicle itself."""
    system = matrices(golden_car())
    below = np.linalg.solve(system.M, np.hstack([-system.K, -system.C, system.push_0]))
    both = np.zeros((5, 5))
    both[:2, 2:4], both[2:4] = np.eye(2), below
    moved = linalg.expm(both * profile.spacing / SPEED)
    ahead = np.interp(profile.start + 11.0, profile.distance, profile.felt)
    state = np.array([1.0, 1.0, 0.0, 0.0]) * (ahead - profile.felt[0]) / 11.0
    strokes = []
    for slope in np.diff(profile.felt) / profile.spacing:
        state = moved[:4, :4] @ state + moved[:4, 4] * slope
        strokes.append(abs(state[0] - state[1]))
    return np.array(strokes)


def test_two_recursions_agree_with_a_loop_over_the_vehicle():
    """Poles apart against one matrix of the vehicle: rounding only."""
    road = rough()
    assert np.allclose(roughness_index(road).stroke[0], stepped(road), rtol=0, atol=1e-13)


def test_no_digit_is_lost_at_a_millimetre():
    """Four poles close to 1: a transfer function would lose half of the digits.  The same loop, 20 m."""
    road = Profile(0.3, 0.0, rough(20.0, 0.3).heights, "")
    fine = Profile(1e-3, 0.0, road.at(1e-3 * np.arange(19_000)), "")
    base = 250
    slopes = (fine.heights[base:] - fine.heights[:-base]) / 0.25
    moved, push = transition(1e-3)
    first = float(fine.at(11.0) - fine.heights[0]) / 11.0
    state, strokes = np.array([first, 0, first, 0]), []
    for slope in slopes:
        state = moved @ state + push * slope
        strokes.append(abs(state[0] - state[2]))
    assert np.allclose(roughness_index(fine).stroke[0], strokes, rtol=0, atol=1e-12)


@pytest.mark.parametrize("grade", [0.0, 0.06, -0.03])
def test_a_straight_road_has_no_roughness_whatever_its_grade(grade):
    road = Profile(0.25, 100.0, grade * 0.25 * np.arange(400), "")
    assert roughness_index(road).whole == pytest.approx(0.0, abs=1e-9)


def test_it_is_proportional_and_forgets_grade_and_level():
    road = rough()
    more = Profile(road.spacing, 7.0, 2 * road.heights + 0.02 * road.distance + 583.0, "")
    assert roughness_index(more).whole == pytest.approx(2 * roughness_index(road).whole, rel=1e-9)


def test_a_finer_profile_is_smoothed_over_a_quarter_of_a_metre():
    """A wave of 250 mm vanishes at 50 mm between samples; at a whole number of steps exactly."""
    x = 0.05 * np.arange(4000)
    waves = Profile(0.05, 0.0, 1e-3 * np.sin(2 * np.pi * x / 0.25), "")
    found = roughness_index(waves)
    settled = found.stroke[0][-1000:]
    assert settled.max() < 1e-9
    assert any("Smoothed over 0.25 m" in said for said in found.done)


def test_a_base_that_is_no_whole_number_of_steps_is_a_quarter_of_a_metre_all_the_same():
    """100 mm against 50 mm between samples of the same straight pieces: 0.2 %; over 200 mm it is 1.2 %."""
    road = rough(400.0, 0.1)
    one, other = roughness_index(road), roughness_index(resampled(road, 0.05))
    assert one.whole == pytest.approx(other.whole, rel=3e-3)
    assert one.done == other.done
    assert any("Smoothed over 0.25 m" in said for said in one.done)


def test_spacings_agree_on_the_same_road():
    """Waves of 1.5 m and more: 250 mm against 50 mm, each smoothed as it is, within 3 %."""
    fine = Profile(0.05, 0.0, rough(300.0, 0.75).at(0.05 * np.arange(5900)), "")
    coarse = Profile(0.25, 0.0, fine.heights[::5], "")
    assert roughness_index(coarse).whole == pytest.approx(roughness_index(fine).whole, rel=0.03)


def test_segments_cover_the_road_and_average_to_the_whole():
    road = rough(430.0)
    found = roughness_index(road, 100.0)
    assert [(s.start, round(s.end, 6)) for s in found.segments] == [
        (0, 100), (100, 200), (200, 300), (300, 400), (400, 429.75)
    ]  # fmt: skip
    steps = [400, 400, 400, 400, 119]
    mean = np.average([s.index for s in found.segments], weights=steps)
    assert mean == pytest.approx(found.whole, rel=1e-12)
    second = 1e3 * found.stroke[0][(found.distance > 100) & (found.distance <= 200)].mean()
    assert found.segments[1].index == pytest.approx(second, rel=1e-12)


def test_two_tracks_are_averaged():
    left, right = rough(seed=1), rough(seed=2)
    both = Profile(0.25, 0.0, np.array([left.heights, right.heights]), "")
    each = [roughness_index(one).whole for one in (left, right)]
    found = roughness_index(both)
    assert found.tracks == pytest.approx(each, rel=1e-12)
    assert found.whole == pytest.approx(np.mean(each), rel=1e-12)
    assert any("mean of the tracks" in said for said in found.done)


@pytest.mark.parametrize(
    ("spacing", "count", "segment", "words"),
    [(0.25, 44, 100.0, "11 m"), (2.5, 100, 100.0, "2 m or less"), (0.25, 400, 0.1, "segment")],
)
def test_what_it_cannot_tell_is_refused(spacing, count, segment, words):
    with pytest.raises(ValueError, match=words):
        roughness_index(Profile(spacing, 0.0, np.zeros(count), ""), segment)


def test_a_coarse_profile_says_so():
    assert any("coarse" in said for said in roughness_index(rough(400.0, 0.5)).done)
