"""How the mass that is not listed lies along the frame."""

import numpy as np
import pytest

from counterbounce.model.distribution import LineMass

FRONT, REAR = -1.0, 6.0


def line(centre, inertia=0.0):
    return LineMass(4000.0, centre, inertia, FRONT, REAR)


@pytest.mark.parametrize("centre", [0.6, 1.0, 2.5, 3.4, 4.3])  # at 0.6 m least inside
@pytest.mark.parametrize("end", [0, 1])
def test_the_inertias_are_those_of_a_density_that_just_touches_zero(centre, end):
    stations = np.linspace(FRONT, REAR, 2001)
    limits = line(centre).inertias
    touching = line(centre, limits[end]).density(stations)
    assert touching.min() == pytest.approx(0.0, abs=1e-3 * touching.max())  # a fine grid, not the vertex
    beyond = line(centre, limits[end] * (0.99, 1.01)[end]).density(stations)
    assert beyond.min() < -1e-3 * touching.max()
    between = line(centre, sum(limits) / 2).density(stations)
    assert between.min() > 0


def test_a_centre_near_an_end_has_no_such_density():
    """a1 / a0 = 3 t beyond sqrt 3: t = 0.577 of the half length off the middle."""
    assert np.isnan(line(2.5 + 0.58 * 3.5).inertias).all()
    assert not np.isnan(line(2.5 + 0.57 * 3.5).inertias).any()


@pytest.mark.parametrize("centre", [1.5, 2.5, 3.1])
def test_the_density_has_the_mass_the_centre_and_the_inertia_that_it_was_made_for(centre):
    one = line(centre, 12e3)
    points, weights = np.polynomial.legendre.leggauss(6)
    stations, half = FRONT + (points + 1) * (REAR - FRONT) / 2, (REAR - FRONT) / 2
    lumps = half * weights * one.density(stations)
    assert lumps.sum() == pytest.approx(4000.0)
    assert lumps @ stations == pytest.approx(4000.0 * centre)
    assert lumps @ (stations - centre) ** 2 == pytest.approx(12e3)


def test_many_lines_at_once():
    centres = np.array([1.5, 2.5, 3.1])
    together = line(centres).inertias
    for i, centre in enumerate(centres):
        assert [limit[i] for limit in together] == pytest.approx(line(centre).inertias)
