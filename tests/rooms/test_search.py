"""The minimax search, against a published optimum and at its limits."""

from types import SimpleNamespace

import numpy as np
import pytest
from scipy import optimize

from counterbounce.model.points import Point, Row
from counterbounce.sizing.absorber import Host, RoadHost
from counterbounce.sizing.any_host import host_from_modes, place_in_band
from counterbounce.sizing.limits import Bounds, Place, allowed_elsewhere
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


@pytest.mark.parametrize("name", CROWDED)
def test_a_light_damper_is_found_where_a_heavy_one_is_worse(name):
    """As good as a search of another kind, by differential evolution over mass, tuning and damping."""
    centre, natural, ratio, place, watched, driven = CROWDED[name]
    host = host_from_modes(
        np.linspace(3, 12, 401), natural, ratio, place, watched, driven, 5000.0, modal_mass=1000.0
    )
    where, bounds = place_in_band(host, (0.93 * centre, 1.07 * centre), "place"), Bounds(300.0)
    one = judge(where, bounds)

    def cost(x):
        m, omega, z = np.exp(x)
        return one.cost(m, m * omega**2, 2 * z * m * omega)

    box = np.log([(1.0, 300.0), (2 * np.pi * 0.5 * centre, 2 * np.pi * 1.7 * centre), (0.005, 2.0)])
    other = optimize.differential_evolution(
        cost, box, vectorized=True, updating="deferred", rng=1, polish=False, popsize=20, maxiter=60
    )
    found = best_damper([where], bounds, centre)
    own = cost(
        np.log([[found.damper.mass], [2 * np.pi * found.damper.tuned_hz], [found.damper.damping_ratio]])
    )
    assert own[0] <= 1.01 * other.fun
    assert found.damper.mass < 0.5 * bounds.mass
