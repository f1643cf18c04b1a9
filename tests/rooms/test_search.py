"""The minimax search, against a published optimum and at its limits."""

from types import SimpleNamespace

import numpy as np
import pytest
from scipy import optimize

from counterbounce.model.points import Point, Row
from counterbounce.sizing.absorber import Host, RoadHost
from counterbounce.sizing.any_host import host_from_modes, place_in_band
from counterbounce.sizing.limits import Bounds, Place, allowed_elsewhere
from counterbounce.sizing.minimax import _everywhere, _Problem
from counterbounce.sizing.search import best_damper, judge


def unit_host(g, ratio=0.0):
    """A host of 1 kg and 1 N/m, pushed by a newton, as a road host; `ratio` its damping ratio."""
    rise = 1 / (1 - g**2 + 2j * ratio * g)
    host = Host(g, rise[:, None], (rise * rise)[:, None], rise, rise)
    return RoadHost(host, g, (Point("body", 0.0, Row()),), (SimpleNamespace(name="base"),))


BAND = unit_host(np.linspace(0.6, 1.4, 1600))  # an even count: g = 1 is not among them
NOTHING = unit_host(np.array([]))
PLACE = Place("body", BAND, NOTHING)
START = 0.93 / (2 * np.pi)


@pytest.mark.parametrize(
    ("mass", "tuning", "ratio", "peak"),
    [(0.05, 0.952372, 0.133938, 6.407921)],
)
def test_exact_minimax_of_the_undamped_host(mass, tuning, ratio, peak):
    """G. B. Warburton 1982, force and displacement; exact minimax recomputed independently."""
    found = best_damper([PLACE], Bounds(mass), START)
    d = found.damper
    assert found.level == pytest.approx(peak, rel=2e-5)
    assert d.mass == pytest.approx(mass, rel=1e-6)
    assert np.sqrt(d.stiffness / d.mass) == pytest.approx(tuning, rel=1e-4)
    assert d.damping_ratio == pytest.approx(ratio, rel=2e-3)  # a flat optimum
    assert found.broken == ()


def test_a_stroke_limit_is_kept_with_equality():
    """The free optimum moves further: the limit costs level, and no more of it than it must."""
    place = Place("body", unit_host(BAND.speeds, 0.05), NOTHING)
    free = best_damper([place], Bounds(0.05), START)
    held = best_damper([place], Bounds(0.05, stroke=0.8 * free.stroke), START)
    assert held.stroke == pytest.approx(0.8 * free.stroke, rel=2e-3)
    assert held.level > free.level
    assert held.broken == ()


def test_what_cannot_be_kept_is_named():
    found = best_damper([PLACE], Bounds(0.05, stroke=1e-3, clearance=1e-3), START)
    assert set(found.broken) <= {"stroke", "clearance"}
    assert "clearance" in found.broken


def test_the_better_of_two_places_is_taken():
    host = BAND.host
    weak = Host(host.omega, host.rise, 0.01 * host.push, 0.01 * host.give, 0.1 * host.lift)
    other = Place("weak", RoadHost(weak, BAND.speeds, BAND.points, BAND.causes), NOTHING)
    assert best_damper([other, PLACE], Bounds(0.05), START).damper.place == "body"
    assert best_damper([other], Bounds(0.05), START).damper.place == "weak"


def test_ratings_cap_the_mass_and_may_leave_none():
    capped = Place("body", BAND, NOTHING, heaviest=0.02)
    assert best_damper([capped], Bounds(0.05), START).damper.mass <= 0.02 * (1 + 1e-9)
    assert best_damper([Place("body", BAND, NOTHING, heaviest=0.0)], Bounds(0.05), START) is None
    assert best_damper([], Bounds(0.05), START) is None


def test_elsewhere_it_may_get_worse_by_a_twentieth_or_stay_below_the_band_or_unfelt():
    before = np.array([1.0, 0.2, 0.001])
    threshold = 0.015 / np.sqrt(2)  # perception, r.m.s. of a weighted peak of 0.015 m/s^2
    assert allowed_elsewhere(before, 0.5) == pytest.approx([1.05, 0.5, 0.5])
    assert allowed_elsewhere(before, 0.0) == pytest.approx([1.05, 0.21, threshold])


def test_a_broken_limit_costs_more_than_it_saves():
    """The price of a limit: a hundredth over it costs a tenth of the level."""
    one = judge(PLACE, Bounds(0.05, stroke=10.0))
    m, k, c = np.array([0.05]), np.array([0.0453]), np.array([0.0127])
    level, _, stroke = one.parts(m, k, c)
    free = judge(PLACE, Bounds(0.05)).cost(m, k, c)
    over = max(stroke[0] / 10.0 - 1, 0)
    assert free == pytest.approx(level)
    assert over > 0
    assert one.cost(m, k, c) == pytest.approx(level * (1 + 10 * over))


# Hosts of 1000 kg a mode, shapes of either sign: from the heaviest damper a descent ends in a worse valley.
CROWDED = {
    "an eighth of the limit is best": (
        8.8, (5.0, 8.76, 10.29), (0.05, 0.02, 0.06), (-0.89, 1.29, -0.03), (0.0, -0.86, -1.13),
        (0.57, -0.19, 0.31),
    ),
    "a third of the limit is best": (
        6.6, (6.25, 6.56, 7.36, 10.19), (0.04, 0.028, 0.026, 0.037), (-0.51, 0.01, 0.8, 2.79),
        (0.56, 0.16, 0.69, 0.07), (-0.76, -1.76, 0.52, -1.44),
    ),
}  # fmt: skip


# Hosts where the start that is best after one round of the minimax ends in a worse valley than another one.
ASTRAY = {
    "five modes, 50 kg": (
        5.82, (4.89, 5.82, 8.91, 9.45, 10.54), (0.047, 0.026, 0.047, 0.047, 0.037),
        (-2.08, -1.74, -1.19, -0.11, 2.44), (1.45, -0.76, -1.11, 0.84, -1.1), (1.02, 0.18, -1.3, 1.12, -1.54),
        Bounds(50.0),
    ),
    "four modes, little stroke": (
        9.89, (5.9, 7.16, 8.43, 9.89), (0.033, 0.062, 0.022, 0.033), (0.68, -1.25, 1.71, -0.31),
        (1.56, 0.39, 0.15, 0.35), (-0.89, 0.02, -0.69, -0.31), Bounds(300.0, stroke=0.02),
    ),
    "five modes, 300 kg": (
        10.3, (4.16, 7.05, 9.84, 10.3, 10.78), (0.023, 0.049, 0.046, 0.061, 0.032),
        (-1.01, 0.75, 0.43, 0.41, -2.01), (2.27, -0.26, 0.12, -0.99, -0.36),
        (-0.17, -1.18, -0.87, 0.15, 0.08), Bounds(300.0),
    ),
}  # fmt: skip


def crowded(centre, *modes, points=401):
    """The place of a host of 1000 kg a mode, judged from 7 % below to 7 % above a frequency."""
    host = host_from_modes(np.linspace(3, 12, points), *modes, 5000.0, modal_mass=1000.0)
    return place_in_band(host, (0.93 * centre, 1.07 * centre), "place")


def evolved(one, centre, heaviest):
    """The least cost by a search of another kind, differential evolution over mass, tuning and damping."""

    def cost(x):
        m, omega, z = np.exp(x)
        return one.cost(m, m * omega**2, 2 * z * m * omega)

    edges = (0.01 * heaviest, heaviest), (2 * np.pi * 0.5 * centre, 2 * np.pi * 1.7 * centre), (0.005, 2.0)
    return optimize.differential_evolution(
        cost, np.log(edges), vectorized=True, updating="deferred", rng=1, polish=False, popsize=20, maxiter=60
    ).fun


def cost_of(one, damper):
    return one.cost(*(np.array([x]) for x in (damper.mass, damper.stiffness, damper.damping)))[0]


@pytest.mark.parametrize("name", CROWDED)
def test_a_light_damper_is_found_where_a_heavy_one_is_worse(name):
    centre, *modes = CROWDED[name]
    where, bounds = crowded(centre, *modes), Bounds(300.0)
    one, found = judge(where, bounds), best_damper([where], bounds, centre)
    assert cost_of(one, found.damper) <= 1.01 * evolved(one, centre, 300.0)
    assert found.damper.mass < 0.5 * bounds.mass


@pytest.mark.parametrize("name", ASTRAY)
def test_every_promising_start_goes_on(name):
    centre, *modes, bounds = ASTRAY[name]
    where = crowded(centre, *modes, points=181)
    one, found = judge(where, bounds), best_damper([where], bounds, centre)
    assert cost_of(one, found.damper) <= 1.01 * evolved(one, centre, bounds.mass)


@pytest.mark.parametrize("name", CROWDED)
def test_a_level_that_rises_elsewhere_counts_as_one_in_the_band(name):
    """One by one, over dampers drawn at random: what is left, and what is refused for it."""
    centre, *modes = CROWDED[name]
    where, bounds = crowded(centre, *modes, points=181), Bounds(300.0, worth=0.3)
    one, draw = judge(where, bounds), np.random.default_rng(6)
    before, still = where.rest.before(), where.band.before().max()
    refused = []
    for _ in range(200):
        m, omega = draw.uniform(20.0, 300.0), 2 * np.pi * centre * draw.uniform(0.6, 1.6)
        hung = m, m * omega**2, 2 * draw.uniform(0.01, 0.4) * m * omega
        found, after = one.found(*hung), where.rest.after(*hung)
        risen = after[after > 1.001 * np.maximum(1.05 * before, 0.015 / np.sqrt(2))].max(initial=0.0)
        assert one.cost(*(np.array([x]) for x in hung))[0] == pytest.approx(max(found.level, risen))
        refused.append(bool(found.broken))
        assert refused[-1] == (risen > 1.001 * max(found.level, 0.7 * still))
    assert 0 < sum(refused) < 200


@pytest.mark.parametrize("name", [*CROWDED, *ASTRAY])
def test_the_minimax_lowers_what_is_judged(name):
    """The least t that a damper allows, in either file's words."""
    centre, *modes = (CROWDED | ASTRAY)[name]
    where, bounds = crowded(centre, *modes[:5], points=181), Bounds(300.0, stroke=0.05, clearance=0.06)
    draw, one = np.random.default_rng(8), judge(where, bounds)
    problem = _Problem(*_everywhere(where, bounds), bounds, where.rest.before(), 1.0)
    for _ in range(50):
        x = np.log(
            [2 * np.pi * centre * draw.uniform(0.7, 1.4), draw.uniform(0.01, 0.5), draw.uniform(10, 300)]
        )
        omega, ratio, m = np.exp(x)
        cost = one.cost(*(np.array([v]) for v in (m, m * omega**2, 2 * ratio * m * omega)))[0]
        if problem.over(x) == 0:
            assert problem.merit(x) == pytest.approx(cost, rel=1e-9)
        else:  # two limits broken: here the worse one is priced, there both
            assert problem.merit(x) <= cost * (1 + 1e-9)
