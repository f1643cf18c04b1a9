"""Closed forms refuse what lies outside their range, and behave as dampers do inside it."""

from dataclasses import FrozenInstanceError
from itertools import pairwise
from math import inf, nan, nextafter

import pytest

from counterbounce.sizing import closed_form as cf
from counterbounce.sizing import closed_form_modes as modes

REFUSALS = [  # function, good arguments, which argument, values outside, the range as it is told
    (cf.fixed_points, (0.1,), 0, (0.0, -0.1, 0.51), "mass_ratio must lie in (0, 0.5]"),
    (cf.fixed_point_height, (0.1,), 0, (0.0, -0.1, 0.51), "mass_ratio must lie in (0, 0.5]"),
    (cf.den_hartog, (0.1,), 0, (0.0, -0.1, 0.51), "mass_ratio must lie in (0, 0.5]"),
    (cf.damping_over_host, (0.1, 0.9), 0, (-0.1,), "damping_ratio must lie in [0, inf)"),
    (cf.damping_over_host, (0.1, 0.9), 1, (0.0, -1.0), "tuning must lie in (0, inf)"),
    (cf.constant_tuning, (0.1,), 0, (0.0, -0.1, 1.01), "mass_ratio must lie in (0, 1]"),
    (cf.nishihara_asami, (0.1,), 0, (0.0, -0.1, 1.01), "mass_ratio must lie in (0, 1]"),
    (cf.white_noise_force, (0.1,), 0, (0.0, -0.1, 1.01), "mass_ratio must lie in (0, 1]"),
    (cf.white_noise_base, (0.1,), 0, (0.0, -0.1, 1.01), "mass_ratio must lie in (0, 1]"),
    (modes.krenk, (0.1,), 0, (0.0, -0.1, 1.01), "mass_ratio must lie in (0, 1]"),
    (modes.bifurcation, (0.1,), 0, (0.0, -0.1, 1.01), "mass_ratio must lie in (0, 1]"),
    (modes.equal_modes, (0.1, 0.1), 0, (0.0, -0.1, 1.01), "mass_ratio must lie in (0, 1]"),
    (modes.equal_modes, (0.1, 0.1), 1, (-0.1, 0.302), "damping_ratio must lie in [0, 0.301511]"),
    (modes.sadek, (0.1, 0.02), 0, (0.0049, 0.151), "mass_ratio must lie in [0.005, 0.15]"),
    (modes.sadek, (0.1, 0.02), 1, (-0.01, 0.051), "host_damping_ratio must lie in [0, 0.05]"),
    (modes.ioi_ikeda, (0.1, 0.02), 0, (0.029, 0.41), "mass_ratio must lie in [0.03, 0.4]"),
    (modes.ioi_ikeda, (0.1, 0.02), 1, (-0.01, 0.15, 0.2), "host_damping_ratio must lie in [0, 0.15)"),
    (modes.split_frequencies, (0.1, 0.9), 0, (0.0, -0.1), "mass_ratio must lie in (0, inf)"),
    (modes.split_frequencies, (0.1, 0.9), 1, (0.0, -0.1), "tuning must lie in (0, inf)"),
    (modes.mass_ratio_for_split, (0.9,), 0, (0.0, -0.9), "frequency_ratio must lie in (0, inf)"),
    (modes.absorber_for_stroke, (250.0, 2e-3, 600.0), 0, (0.0, -1.0), "force must lie in (0, inf)"),
    (modes.absorber_for_stroke, (250.0, 2e-3, 600.0), 1, (0.0, -1.0), "stroke must lie in (0, inf)"),
    (modes.absorber_for_stroke, (250.0, 2e-3, 600.0), 2, (0.0, -1.0), "omega must lie in (0, inf)"),
    *[
        (cf.warburton_harmonic, (0.1, criterion), 0, (0.0, -0.1, 0.51), "mass_ratio must lie in (0, 0.5]")
        for criterion in cf.get_args(cf.Criterion)
    ],
]
BY_MASS = [cf.den_hartog, cf.constant_tuning, cf.nishihara_asami, cf.white_noise_force, cf.white_noise_base]
BY_MASS += [modes.krenk, modes.bifurcation]
MASSES = [0.001, 0.01, 0.03, 0.05, 0.1, 0.2, 0.35, 0.5]


@pytest.mark.parametrize(("function", "good", "place", "outside", "told"), REFUSALS)
def test_a_value_outside_the_range_is_refused_by_name(function, good, place, outside, told):
    function(*good)
    for value in (*outside, nan, inf):
        arguments = [*good[:place], value, *good[place + 1 :]]
        with pytest.raises(ValueError) as refusal:  # noqa: PT011  the whole message is compared below
            function(*arguments)
        assert str(refusal.value) == f"{told}, got {value!r}"


def test_every_public_formula_is_among_the_refusals():
    public = {
        function
        for module in (cf, modes)
        for name, function in vars(module).items()
        if callable(function)
        and getattr(function, "__module__", "") == module.__name__
        and not isinstance(function, type)
        and function is not cf.require
    }
    assert public == {row[0] for row in REFUSALS}


@pytest.mark.parametrize(
    ("closed", "low_is_in", "high_is_in"),
    [("both", True, True), ("left", True, False), ("right", False, True), ("neither", False, False)],
)
def test_ends_of_a_range(closed, low_is_in, high_is_in):
    def accepted(value):
        try:
            cf.require("x", value, 1.0, 2.0, closed)
        except ValueError:
            return False
        return True

    assert (accepted(1.0), accepted(2.0)) == (low_is_in, high_is_in)
    assert accepted(nextafter(1.0, 2.0))
    assert accepted(nextafter(2.0, 1.0))
    assert not accepted(nextafter(1.0, 0.0))
    assert not accepted(nextafter(2.0, 3.0))


def test_the_ends_that_belong_to_a_range_are_served():
    served = [
        cf.den_hartog(0.5),
        cf.nishihara_asami(1.0),
        modes.ioi_ikeda(0.03, 0.0),
        modes.ioi_ikeda(0.4, 0.1499),
    ]
    served += [modes.sadek(0.005, 0.0), modes.sadek(0.15, 0.05)]
    assert all(0 < best.tuning <= 1 and best.damping_ratio > 0 for best in served)


def test_an_unknown_criterion_is_refused_with_those_known():
    with pytest.raises(ValueError, match=r"force_displacement, force_acceleration.*got 'force_velocity'"):
        cf.warburton_harmonic(0.1, "force_velocity")


def test_no_absorber_leaves_the_resonance_where_it_was():
    with pytest.raises(ValueError, match=r"frequency_ratio must lie in .*got 1"):
        modes.mass_ratio_for_split(1.0)


def test_an_optimum_cannot_be_edited():
    with pytest.raises(FrozenInstanceError):
        cf.den_hartog(0.1).tuning = 1.0


@pytest.mark.parametrize("design", BY_MASS)
def test_a_heavier_damper_is_tuned_lower_and_damped_more(design):
    best = [design(u) for u in MASSES]
    tunings, dampings = [b.tuning for b in best], [b.damping_ratio for b in best]
    if design is cf.constant_tuning:
        assert tunings == [1.0] * len(MASSES)
    else:
        assert all(later < earlier for earlier, later in pairwise(tunings))
    assert all(later > earlier for earlier, later in pairwise(dampings))


@pytest.mark.parametrize(
    "design",
    [
        cf.den_hartog,
        cf.nishihara_asami,
        lambda u: cf.warburton_harmonic(u, "force_acceleration"),
        lambda u: cf.warburton_harmonic(u, "base_relative_displacement"),
    ],
)
def test_a_heavier_damper_leaves_a_lower_peak(design):
    """Also for a base's relative displacement, (1 + u) sqrt(2 / u), which turns at u = 1 only."""
    heights = [design(u).peak for u in MASSES]
    assert all(later < earlier for earlier, later in pairwise(heights))


@pytest.mark.parametrize("u", MASSES)
def test_order_of_the_designs(u):
    """Noise asks for less damping than a tone, equal modes for more, the meeting of the modes for most."""
    asked = [cf.white_noise_force(u), cf.den_hartog(u), modes.krenk(u), modes.bifurcation(u)]
    dampings = [best.damping_ratio for best in asked]
    assert dampings == sorted(dampings)
    assert len(set(dampings)) == len(dampings)
    assert cf.constant_tuning(u).peak > cf.nishihara_asami(u).peak  # a tuning that is not free costs height


@pytest.mark.parametrize("u", MASSES)
def test_fixed_points_lie_on_either_side_of_the_host_with_the_damper_locked(u):
    lower, upper = cf.fixed_points(u)
    assert lower < (1 + u) ** -0.5 < upper


@pytest.mark.parametrize("u", [0.03, 0.1, 0.2])
def test_a_damped_host_wants_its_damper_lower_and_more_damped(u):
    best = [modes.ioi_ikeda(u, b) for b in (0.0, 0.02, 0.05, 0.1)]
    assert all(later.tuning < earlier.tuning for earlier, later in pairwise(best))
    assert all(later.damping_ratio > earlier.damping_ratio for earlier, later in pairwise(best))


def test_a_heavier_absorber_splits_further():
    pairs = [modes.split_frequencies(u) for u in MASSES]
    gaps = [upper - lower for lower, upper in pairs]
    assert all(later > earlier for earlier, later in pairwise(gaps))
    assert all(lower < 1 < upper for lower, upper in pairs)


def test_absorber_scales_with_force_and_stroke():
    one, other = modes.absorber_for_stroke(100.0, 1e-3, 50.0), modes.absorber_for_stroke(200.0, 4e-3, 50.0)
    assert (other.mass, other.rate) == pytest.approx((one.mass / 2, one.rate / 2), rel=1e-12)
    assert (one.rate / one.mass) ** 0.5 == pytest.approx(50.0, rel=1e-12)
