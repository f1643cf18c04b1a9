"""Two dampers beside one of the same weight: what must hold, on invented trucks."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.case import parse
from counterbounce.model.example import small_case
from counterbounce.model.response import dynamics, sweep
from counterbounce.sizing.absorber import Damper
from counterbounce.sizing.assess import bounds_of
from counterbounce.sizing.limits import Bounds, allowed_elsewhere
from counterbounce.sizing.pair import Pair, with_pair
from counterbounce.sizing.pair_judged import judged_pair, masses, single_left, single_off
from counterbounce.sizing.pair_minimax import best_pair
from counterbounce.sizing.pair_problem import found_pair, problem
from counterbounce.sizing.pair_starts import from_single
from counterbounce.sizing.pair_survey import fared, pair_fared
from counterbounce.sizing.panel import panel
from counterbounce.sizing.several import equal_single, footing_of, on_footing, several
from counterbounce.sizing.study import host, loud, size
from counterbounce.sizing.survey import survey

WAYS = [("front end", "rear end", False), ("rear end", "rear end", False), ("rear end", "rear end", True)]
NAMES = ["at two places", "side by side", "one on the other"]


@pytest.fixture(scope="module")
def one(case_texts):
    return host(parse(case_texts["truck"], "truck.toml"))


@pytest.fixture(scope="module")
def bounds(one):
    return bounds_of(one)


@pytest.fixture(scope="module")
def single(one, bounds):
    return size(one, bounds, ["rear end"])


@pytest.fixture(scope="module")
def found(one, bounds, single):
    """The best pair each way, once."""
    footings = [footing_of(one, bounds, way[:2], single.damper.mass, way[2]) for way in WAYS]
    return dict(zip(NAMES, (on_footing(one, bounds, f, single) for f in footings), strict=True))


@pytest.fixture(scope="module")
def answered():
    return several(small_case())


@pytest.mark.parametrize("way", NAMES)
def test_never_worse_than_one_of_the_same_weight(one, bounds, single, found, way):
    best = found[way]
    assert best.pair.kind == way
    assert best.left <= single_left(one, bounds, single) * (1 + 1e-6)
    assert best.pair.mass <= single.damper.mass * (1 + 1e-9)
    assert best.broken == ()


@pytest.mark.parametrize("way", WAYS, ids=NAMES)
def test_the_single_one_taken_apart_does_as_it_did(one, bounds, single, way):
    asked = problem(footing_of(one, bounds, way[:2], single.damper.mass, way[2]), bounds)
    _, alike = from_single(asked, single.damper)
    assert best_pair(asked, [], alike).left == pytest.approx(single_left(one, bounds, single), rel=1e-6)
    elsewhere = replace(single.damper, place="roof")
    assert from_single(asked, elsewhere) == ([], [])


@pytest.mark.parametrize("way", WAYS, ids=NAMES)
def test_more_mass_never_hurts(one, bounds, single, way):
    left = []
    for share in (0.4, 0.7, 1.0):
        lighter = size(one, replace(bounds, mass=share * single.damper.mass), ["rear end"])
        footing = footing_of(one, bounds, way[:2], lighter.damper.mass, way[2])
        left.append(on_footing(one, bounds, footing, lighter).left)
    assert left[1] <= left[0] * (1 + 1e-3)  # what the search leaves on the table, at most
    assert left[2] <= left[1] * (1 + 1e-3)


@pytest.mark.parametrize("way", NAMES)
def test_no_pair_of_a_fine_grid_beats_it_by_half_a_per_cent(found, way):
    best = found[way]
    road, inside, random = best.footing.road, best.footing.inside, np.random.default_rng(7)
    m, k, c = np.array([(d.mass, d.stiffness, d.damping) for d in best.pair.both]).T
    share = np.concatenate(
        [random.uniform(0.01, 0.99, 3000), random.uniform(0.9, 1.1, 3000) * m[1] / m.sum()]
    )
    masses_ = m.sum() * np.stack([1 - np.minimum(share, 0.999), np.minimum(share, 0.999)], axis=-1)
    wide = np.stack([np.full(2, 0.35)] * 3000 + [np.full(2, 0.02)] * 3000)
    own = np.sqrt(k / m) * np.exp(wide * random.uniform(-1, 1, (6000, 2)))
    ratio = np.clip(
        c / (2 * np.sqrt(k * m)) * np.exp(5 * wide * random.uniform(-1, 1, (6000, 2))), 0.005, 2.0
    )
    after = np.concatenate(
        [
            road.after(
                masses_[i : i + 200],
                (masses_ * own**2)[i : i + 200],
                (2 * ratio * masses_ * own)[i : i + 200],
            )
            for i in range(0, 6000, 200)
        ]
    )
    band = after[:, :inside].max(axis=(-2, -1))
    allowed = allowed_elsewhere(road.before()[inside:], band[:, None, None])
    keeps = (after[:, inside:] <= allowed).all(axis=(-2, -1))
    assert band[keeps].min() > best.left * (1 - 5e-3)
    assert band[keeps].min() < best.left * 1.1  # the grid comes near enough to have had a chance


@pytest.mark.parametrize("way", NAMES)
def test_as_assembled(one, found, way):
    best = found[way]
    speeds = np.linspace(*one.target.band, best.footing.inside)
    assembled = dynamics(with_pair(one.vehicle, best.pair))
    level = sweep(assembled, loud(one), speeds, one.vehicle.judged).total().max()
    assert best.level == pytest.approx(level, rel=1e-9)


@pytest.mark.parametrize("way", WAYS, ids=NAMES)
@pytest.mark.parametrize("limit", ["stroke", "clearance"])
def test_a_limit_is_kept_and_costs(one, bounds, single, found, way, limit):
    free = found[NAMES[WAYS.index(way)]]
    wanted = max(free.strokes) if limit == "stroke" else max(np.add(free.strokes, free.pair.sags))
    tight = Bounds(bounds.mass, **{limit: 0.8 * float(wanted)})
    footing = footing_of(one, tight, way[:2], single.damper.mass, way[2])
    asked = problem(footing, tight)
    held = on_footing(one, tight, footing, replace(single, damper=single.damper))
    used = held.strokes if limit == "stroke" else np.add(held.strokes, held.pair.sags)
    assert max(used) <= 0.8 * float(wanted) * (1 + 1e-3)
    assert held.broken == ()
    assert held.left >= free.left * (1 - 1e-3)
    assert asked.over(np.log([40.0, 0.01, 9.0, 40.0, 0.01, 9.0])) > 0  # and it can be broken


def test_what_is_not_kept_is_named(one):
    """Strokes of centimetres, sags of millimetres, and half as heavy again as is allowed."""
    x = np.log([45.0, 0.006, 30.0, 40.0, 0.006, 30.0])

    def broken(**limits):
        tight = Bounds(40.0, **limits)
        return found_pair(problem(footing_of(one, tight, ("rear end", "rear end"), 60.0), tight), x).broken

    assert broken(elsewhere=False) == ()
    assert broken(elsewhere=False, stroke=1e-3) == ("stroke",)
    assert broken(elsewhere=False, clearance=5e-3) == ("clearance",)
    asked = problem(footing_of(one, Bounds(40.0), ("rear end", "rear end"), 40.0), Bounds(40.0))
    assert "ratings" in found_pair(asked, x).broken
    assert np.exp(asked.lighter(x))[2::3].tolist() == pytest.approx([20.0, 20.0])


def test_ratings_with_both_weights_on(answered):
    """The small truck's rear axle has 50 kg left, and a kilogram at the end weighs 1.5 on it."""
    for pair in answered.pairs:
        assert all(check.met for check in pair.checks)
        assert pair.checks[0].after == pytest.approx(2700.0 + 1.5 * pair.found.pair.mass, rel=1e-9)


def test_the_same_vehicles_as_for_one():
    """A single damper cut in halves fares on each vehicle as it did whole."""
    one = host(small_case())
    whole = size(one, bounds_of(one)).damper
    half = Damper(whole.place, whole.mass / 2, whole.stiffness / 2, whole.damping / 2)
    many = panel(one, survey(one, whole))
    halves = pair_fared(many, Pair(half, half))
    assert halves.reduction == pytest.approx(many.asked.reduction, abs=1e-9)
    assert (halves.retuned >= halves.reduction - 1e-12).all()
    assert halves.interval[0] < halves.interval[1]


def test_it_earns_its_bracket_by_what_is_noticed(answered):
    best = answered.earning
    assert best is answered.pairs[0]
    assert best.left <= 0.9
    assert best.calmer >= 0.5
    assert best.found.reduction > answered.single.found.reduction
    for pair in answered.pairs:
        assert pair.agreement < 1e-6
        assert pair.off < pair.found.reduction
        assert pair.comparison.reduction == pytest.approx(pair.found.reduction, abs=5e-3)
    assert single_off(answered.host, answered.bounds, answered.single.found) == answered.off


def test_a_pair_that_nobody_notices_does_not():
    """The single best, cut in halves, is no better; and what breaks a limit earns nothing."""
    one = host(small_case())
    bounds = bounds_of(one)
    single = size(one, bounds)
    many = panel(one, survey(one, single.damper))
    alone = fared(many, many.asked.reduction, many.asked.retuned_reduction)
    asked = problem(footing_of(one, bounds, ("rear end", "rear end"), single.damper.mass), bounds)
    halves = found_pair(asked, from_single(asked, single.damper)[1][0])
    judged = judged_pair(one, bounds, halves, single, many, alone)
    assert judged.left == pytest.approx(1.0, rel=1e-9)
    assert judged.calmer < 0.05
    assert not judged.earns
    calm, loud_one = replace(halves, left=0.8 * halves.left), replace(alone, retuned=alone.retuned - 0.3)
    assert judged_pair(one, bounds, calm, single, many, loud_one).earns
    assert not judged_pair(one, bounds, calm, single, many, alone).earns  # on the best estimate alone
    assert not judged_pair(one, bounds, halves, single, many, loud_one).earns  # on the vehicles alone
    hardly, rarely = replace(halves, left=0.99 * halves.left), replace(alone, share=alone.share - 0.2)
    assert judged_pair(
        one, bounds, hardly, single, many, rarely
    ).earns  # a fifth more of the vehicles are helped
    assert not judged_pair(one, bounds, hardly, single, many, alone).earns
    broken = replace(calm, broken=("stroke",))
    assert not judged_pair(one, bounds, broken, single, many, loud_one).earns


def test_one_that_does_as_well_weighs_more(answered):
    heavy, mass = equal_single(answered), answered.single.found.damper.mass
    assert heavy > mass * 1.05
    bounds = replace(answered.bounds, mass=heavy, ratings=False)
    assert single_left(answered.host, bounds, size(answered.host, bounds)) <= answered.earning.found.left
    lighter = replace(bounds, mass=heavy - 0.05 * mass)
    assert single_left(answered.host, lighter, size(answered.host, lighter)) > answered.earning.found.left
    assert equal_single(answered, most=1.05) is None


def test_both_weights_are_told_by_place(found):
    assert masses(found["side by side"].pair) == {"rear end": pytest.approx(found["side by side"].pair.mass)}
    assert set(masses(found["at two places"].pair)) == {"front end", "rear end"}


def test_nothing_is_sized_before_the_vehicle_is_safe(case_texts):
    answer = several(parse(case_texts["shimmy"], "shimmy.toml"))
    assert answer.verdict.outcome.value == "inspect_first"
    assert (answer.single, answer.pairs, answer.earning) == (None, (), None)
