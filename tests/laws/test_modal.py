"""What modes, poles and shares of every vehicle obey."""

import numpy as np
import pytest

from counterbounce.model.matrices import matrices
from counterbounce.model.modes import modes, pole_sensitivity


@pytest.fixture(scope="module")
def found(built):
    return modes(built.vehicle)


@pytest.fixture(scope="module")
def system(built):
    return matrices(built.vehicle)


def test_shapes_are_orthonormal_in_mass_and_diagonal_in_stiffness(system, found):
    n = len(found.undamped)
    assert np.allclose(found.shapes.T @ system.M @ found.shapes, np.eye(n), atol=1e-9)
    stiffness = found.shapes.T @ system.K @ found.shapes
    assert np.allclose(stiffness, np.diag(found.undamped**2), atol=1e-9 * found.undamped.max() ** 2)
    assert (np.diff(found.undamped) >= 0).all()


def test_each_pole_and_its_shape_solve_the_equations_of_motion(system, found):
    for pole, psi in zip(found.poles[:, 0], found.damped_shapes.T, strict=True):
        terms = [system.K @ psi, pole * system.C @ psi, pole**2 * system.M @ psi]
        largest = max(np.linalg.norm(t) for t in terms)
        assert np.linalg.norm(sum(terms)) < 1e-8 * largest


def test_the_second_pole_of_each_pair_solves_them_too(system, found):
    for pole in found.poles[:, 1]:
        scale = np.sqrt(np.diag(system.K + abs(pole) ** 2 * system.M))
        dynamic = (system.K + pole * system.C + pole**2 * system.M) / np.outer(scale, scale)
        values = np.linalg.svd(dynamic, compute_uv=False)
        assert values[-1] < 1e-9 * values[0]


def test_all_poles_together_sum_and_multiply_as_the_matrices_say(system, found):
    """Sum of the poles: -trace(M^-1 C); product: det K / det M."""
    trace = np.trace(np.linalg.solve(system.M, system.C))
    assert -found.poles.sum().real == pytest.approx(trace, rel=1e-9, abs=1e-9 * found.natural.max())
    product = np.linalg.slogdet(system.K)[1] - np.linalg.slogdet(system.M)[1]
    assert 2 * np.log(found.natural).sum() == pytest.approx(product, rel=1e-9)


def test_damping_takes_energy(found):
    assert (found.poles.real <= 1e-9 * np.abs(found.poles)).all()


@pytest.mark.parametrize("shares", ["shares", "energy", "dissipation"])
def test_shares_sum_to_one(built, system, found, shares):
    if shares == "dissipation" and not system.C.any():
        pytest.skip("nothing is lost")
    table = np.array(list(getattr(found, shares).values()))
    assert (table >= 0).all()
    assert np.allclose(table.sum(axis=0), 1.0, atol=1e-9)


def test_every_mode_has_a_name_of_its_own(found):
    assert len(set(found.names)) == len(found.names)


def test_half_a_parts_share_is_how_far_it_moves_the_frequency(built, found, rescaled):
    """d ln f / d ln k is half the share of the strain energy, by finite difference."""
    step = 1e-4
    for name, share in found.energy.items():
        up, down = (modes(rescaled(built.vehicle, spring=np.exp(s), name=name)) for s in (step, -step))
        slope = np.log(up.undamped / down.undamped) / (2 * step)
        assert np.allclose(slope, share / 2, atol=2e-6), name  # rounding of ln f over the step


def test_poles_move_as_predicted_when_a_part_grows(built, found, rescaled):
    """Against a central finite difference, every part of every vehicle."""
    step = 1e-4
    for name, slope in pole_sensitivity(built.vehicle, found).items():
        up, down = (
            modes(rescaled(built.vehicle, np.exp(s), np.exp(s), np.exp(s), name)) for s in (step, -step)
        )
        difference = (up.poles[:, 0] - down.poles[:, 0]) / (2 * step)
        assert np.allclose(difference, slope, rtol=1e-4, atol=1e-5 * found.natural.max()), name


def test_a_modes_effective_mass_turns_a_spring_there_into_its_stiffness(built, found):
    """1 / (m_eff w^2), summed over all modes, is the static give of the place."""
    system = matrices(built.vehicle)
    for point in built.vehicle.points.values():
        row = np.array([point.row.get(c, 0.0) for c in system.coordinates])
        give = row @ np.linalg.solve(system.K, row)
        assert (1 / (found.effective_mass(point.row) * found.undamped**2)).sum() == pytest.approx(
            give, rel=1e-8
        )
