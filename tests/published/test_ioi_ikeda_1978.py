"""Fits for a damped host, against a minimax search on the same host.

Source: T. Ioi, K. Ikeda, On the dynamic vibration damped absorber of the vibration system, Bull. JSME
21(151), 64-71 (1978); coefficients and stated range from memory, numbers recomputed independently.
"""

import numpy as np
import pytest

from counterbounce.sizing.closed_form import den_hartog
from counterbounce.sizing.closed_form_modes import ioi_ikeda


def swept(bench, u, host_damping_ratio, tuning, damping_ratio):
    def curve(g):
        return bench.displacement(g, bench.hung(g, u, tuning, damping_ratio), host_damping_ratio)

    return max(bench.peaks(curve))


def searched(bench, u, host_damping_ratio):
    """The least peak by a search, and by what share the fit's own is above it."""
    best = ioi_ikeda(u, host_damping_ratio)
    start = [best.tuning, best.damping_ratio]
    found = bench.minimax(
        lambda g, f, z: bench.displacement(g, bench.hung(g, u, f, z), host_damping_ratio),
        start,
        [(0.4, 1.2), (0.01, 0.9)],
        np.linspace(0.4, 1.4, 3001) + 1e-7,
    )
    least = swept(bench, u, host_damping_ratio, *found)
    return least, swept(bench, u, host_damping_ratio, *start) / least - 1


@pytest.mark.parametrize(
    ("host_damping_ratio", "u", "with_fit", "least"),
    [(0.02, 0.05, 5.28081, 5.26716), (0.05, 0.1, 3.33902, 3.33685)],
)
def test_peak_with_the_fit(bench, host_damping_ratio, u, with_fit, least):
    best = ioi_ikeda(u, host_damping_ratio)
    found = swept(bench, u, host_damping_ratio, best.tuning, best.damping_ratio)
    assert found == pytest.approx(with_fit, abs=6e-6)  # printed digits
    assert found > least


@pytest.mark.parametrize("u", [0.03, 0.05, 0.1, 0.2, 0.4])
@pytest.mark.parametrize("host_damping_ratio", [0.0, 0.02, 0.05, 0.1, 0.1499])
def test_never_far_above_the_least_possible_peak(bench, u, host_damping_ratio):
    _, excess = searched(bench, u, host_damping_ratio)
    # 1.5 %: fits to numerical optima, 1.3 % at worst (next test); below zero, the step of the search's grid
    assert -1e-5 < excess < 0.015


@pytest.mark.parametrize(("u", "host_damping_ratio", "excess"), [(0.03, 0.1, 0.0128), (0.4, 0.1499, 0.0115)])
def test_farthest_at_the_ends_of_the_mass_range(bench, u, host_damping_ratio, excess):
    assert searched(bench, u, host_damping_ratio)[1] == pytest.approx(excess, abs=2e-4)  # printed digits


@pytest.mark.parametrize(("host_damping_ratio", "u", "least"), [(0.02, 0.05, 5.26716), (0.05, 0.1, 3.33685)])
def test_the_search_finds_the_least_peaks(bench, host_damping_ratio, u, least):
    assert searched(bench, u, host_damping_ratio)[0] == pytest.approx(least, abs=2e-5)  # step of the grid


def test_without_host_damping_it_is_den_hartog():
    fit, classic = ioi_ikeda(0.1, 0.0), den_hartog(0.1)
    assert (fit.tuning, fit.damping_ratio) == (classic.tuning, classic.damping_ratio)
    assert fit.peak is None


@pytest.mark.parametrize(("u", "host_damping_ratio"), [(0.05, 0.02), (0.1, 0.05), (0.2, 0.1)])
def test_better_on_a_damped_host_than_the_classic_damper(bench, u, host_damping_ratio):
    fit, classic = ioi_ikeda(u, host_damping_ratio), den_hartog(u)
    one = swept(bench, u, host_damping_ratio, fit.tuning, fit.damping_ratio)
    assert one < 0.98 * swept(bench, u, host_damping_ratio, classic.tuning, classic.damping_ratio)


def test_the_light_damper_that_the_fit_does_not_serve_is_refused():
    """At u = 0.01, b = 0.02 the fit's peak is 2 % too high: outside the stated range, so not offered."""
    with pytest.raises(ValueError, match=r"mass_ratio must lie in \[0\.03, 0\.4\], got 0\.01"):
        ioi_ikeda(0.01, 0.02)
