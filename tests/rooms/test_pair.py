"""Two dampers: coupling against assembly, slopes, and what the two become where one of them is nothing."""

import numpy as np
import pytest

from counterbounce.model.case import parse
from counterbounce.model.response import dynamics, sweep
from counterbounce.sizing.absorber import road_host, tuned
from counterbounce.sizing.pair import Pair, pair_road, with_pair
from counterbounce.sizing.pair_slopes import felt_pair
from counterbounce.sizing.study import host

WAYS = [("roof", "rear end", False), ("rear end", "rear end", False), ("rear end", "rear end", True)]


@pytest.fixture(scope="module")
def one(case_texts):
    return host(parse(case_texts["truck"], "truck.toml"))


@pytest.fixture(params=WAYS, ids=["at two places", "side by side", "one on the other"])
def way(request):
    return request.param


def prepared(one, way, points=None):
    """Over the whole range, at every watched point, with every cause: more than a search looks at."""
    first, second, stacked = way
    places = one.vehicle.points[first], one.vehicle.points[second]
    speeds = np.linspace(*one.case.speeds, 83)
    return pair_road(one.ready, one.causes, speeds, points or one.vehicle.watched, places, stacked)


def parts_of(pair):
    return np.array([(d.mass, d.stiffness, d.damping) for d in pair.both]).T


@pytest.mark.parametrize("ratios", [(0.05, 0.1), (0.0, 0.2)])
def test_coupled_as_assembled(one, way, ratios):
    first, second, stacked = way
    pair = Pair(tuned(first, 22.0, 8.0, ratios[0]), tuned(second, 9.0, 9.5, ratios[1]), stacked)
    road = prepared(one, way)
    assembled = dynamics(with_pair(one.vehicle, pair))
    level = sweep(assembled, one.causes, road.speeds, road.points).total()
    assert road.after(*parts_of(pair)) == pytest.approx(level, rel=1e-9)
    assert abs(level / road.before() - 1).max() > 0.1  # and the pair does something


def test_stroke_as_assembled(one, way):
    """The rows of both masses against what they hang on, every cause at its worst."""
    first, second, stacked = way
    pair = Pair(tuned(first, 22.0, 8.0, 0.05), tuned(second, 9.0, 9.5, 0.1), stacked)
    road, vehicle = prepared(one, way), with_pair(one.vehicle, pair)
    on = vehicle.points[first].row, vehicle.points["first damper" if stacked else second].row
    rows = [
        vehicle.points[f"{name} damper"].row - row for name, row in zip(("first", "second"), on, strict=True)
    ]
    expected = np.zeros((len(road.speeds), 2))
    for cause in road.causes:
        columns = np.repeat(cause.shape[None], len(road.speeds), axis=0)
        moved = dynamics(vehicle).along(cause.frequency(road.speeds), columns, rows)
        expected += np.abs(moved) * cause.amplitude(road.speeds)[1][:, None]
    assert road.stroke(*parts_of(pair)) == pytest.approx(expected, rel=1e-9)


def test_without_its_second_mass_it_is_the_one(one, way):
    first, second, _ = way
    hung, nothing = tuned(first, 22.0, 8.0, 0.05), tuned(second, 1e-12, 9.5, 0.1)
    road = prepared(one, way)
    single = road_host(one.ready, one.causes, road.speeds, road.points, one.vehicle.points[first])
    after = single.after(hung.mass, hung.stiffness, hung.damping)
    assert road.after(*parts_of(Pair(hung, nothing))) == pytest.approx(after, rel=1e-9)
    m, k, c = parts_of(Pair(hung, nothing))
    assert road.after([m[0], 0.0], k, c) == pytest.approx(after, rel=1e-9)


def test_two_halves_side_by_side_are_the_whole(one):
    road, whole = prepared(one, WAYS[1]), tuned("rear end", 30.0, 8.3, 0.07)
    half = tuned("rear end", 15.0, 8.3, 0.07)
    single = road_host(one.ready, one.causes, road.speeds, road.points, one.vehicle.points["rear end"])
    after = single.after(whole.mass, whole.stiffness, whole.damping)
    assert road.after(*parts_of(Pair(half, half))) == pytest.approx(after, rel=1e-9)


def test_on_a_spring_that_hardly_gives_a_stack_is_one_mass(one):
    road, whole = prepared(one, WAYS[2]), tuned("rear end", 30.0, 8.3, 0.07)
    m, k, c = np.array([20.0, 10.0]), np.array([whole.stiffness, 1e12]), np.array([whole.damping, 0.0])
    single = road_host(one.ready, one.causes, road.speeds, road.points, one.vehicle.points["rear end"])
    assert road.after(m, k, c) == pytest.approx(single.after(30.0, whole.stiffness, whole.damping), rel=1e-6)


def test_many_candidates_as_each(one, way):
    road, random = prepared(one, way), np.random.default_rng(3)
    m, k, c = random.uniform(5, 20, (4, 2)), random.uniform(2e4, 6e4, (4, 2)), random.uniform(50, 200, (4, 2))
    after, stroke = road.after(m, k, c), road.stroke(m, k, c)
    for i in range(4):
        assert after[i] == pytest.approx(road.after(m[i], k[i], c[i]), rel=1e-12)
        assert stroke[i] == pytest.approx(road.stroke(m[i], k[i], c[i]), rel=1e-12)


def test_slopes_are_those_of_the_levels_and_strokes(one, way):
    road = prepared(one, way)
    x = np.log([2 * np.pi * 8.0, 0.05, 22.0, 2 * np.pi * 9.5, 0.1, 9.0])
    found, step = felt_pair(road, x), 1e-5
    for i in range(6):
        up, down = (felt_pair(road, x + sign * step * np.eye(6)[i]) for sign in (1, -1))
        for name in ("level", "stroke"):
            slope = getattr(found, f"{name}_slope")[i]
            differs = (getattr(up, name) - getattr(down, name)) / (2 * step) - slope
            assert abs(differs).max() < 1e-6 * abs(slope).max()  # central differences: error of step squared


def test_the_first_spring_of_a_stack_sags_under_both():
    pair = Pair(tuned("here", 20.0, 5.0, 0.1), tuned("here", 10.0, 6.0, 0.1), stacked=True)
    assert pair.sags[0] == pytest.approx(30.0 * 9.80665 / pair.first.stiffness)
    assert pair.sags[1] == pytest.approx(10.0 * 9.80665 / pair.second.stiffness)
    assert {Pair(pair.first, pair.second).kind, pair.kind} == {"side by side", "one on the other"}
