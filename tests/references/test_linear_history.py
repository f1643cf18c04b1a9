"""One history by five solvers: scipy.signal.lsim, python-control, pyyeti (two) and scipy's solve_ivp.

The first four take inputs that are straight between samples, as we do, so that only rounding is between us.
solve_ivp knows nothing of matrix exponentials: it steps through the second-order equations at rtol 1e-11.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.signal import lsim

from counterbounce.model.drive import drive
from counterbounce.model.exact_step import history
from counterbounce.model.matrices import matrices
from counterbounce.model.points import dense
from counterbounce.model.state_space import to_state_space

RATE, SAMPLES = 1000.0, 3000
VEHICLES = ("half", "bending", "tandem", "placard")


@pytest.fixture(params=VEHICLES, name="vehicle")
def one_of_them(request, fleet):
    return fleet(request.param).vehicle


def road(vehicle, samples=SAMPLES):
    """Wanders by about 2 cm a second, beginning at zero."""
    steps = np.random.default_rng(7).standard_normal((len(vehicle.roads), samples)) * 1e-3
    return np.cumsum(steps, axis=1) - steps[:, :1]


def asked(vehicle):
    """The system of a drive's watched points, from heights to displacements and accelerations."""
    points = [p.name for p in vehicle.watched]
    outputs = [("displacement", p) for p in points] + [("acceleration", p) for p in points]
    return to_state_space(vehicle, vehicle.roads, outputs)


def driven(vehicle, heights, forces=None):
    points = [p.name for p in vehicle.watched]
    rise = drive(vehicle, heights, RATE, points, forces, "displacement").samples[: len(points)]
    return np.vstack([rise, drive(vehicle, heights, RATE, points, forces).samples[: len(points)]])


def assert_close(found, wanted, within):
    """Root of the mean square of the difference, over that of the answer."""
    apart = np.sqrt(((found - wanted) ** 2).mean(axis=1) / (wanted**2).mean(axis=1))
    assert apart.max() < within


def test_scipy_signal(vehicle):
    heights, space = road(vehicle), asked(vehicle)
    _, wanted, _ = lsim(space.matrices, heights.T, np.arange(SAMPLES) / RATE)
    assert_close(driven(vehicle, heights), wanted.T, 1e-10)


def test_python_control(vehicle):
    import control

    heights, space = road(vehicle), asked(vehicle)
    wanted = control.forced_response(control.ss(*space.matrices), np.arange(SAMPLES) / RATE, heights)
    assert_close(driven(vehicle, heights), wanted.outputs, 1e-10)


def test_pyyeti_of_first_order(vehicle):
    """SolveExp1, order 1: y' = A y + w, w straight between samples."""
    from pyyeti.ode import SolveExp1

    heights, space = road(vehicle), asked(vehicle)
    states = SolveExp1(space.A, 1 / RATE, order=1).tsolve(space.B @ heights).d
    assert_close(driven(vehicle, heights), space.C @ states + space.D @ heights, 1e-10)


def test_pyyeti_of_second_order(vehicle):
    """SolveExp2, order 1: M q'' + C q' + K q = F, here of forces on the hubs."""
    from pyyeti.ode import SolveExp2

    system, rows = matrices(vehicle), [p.row for p in vehicle.watched]
    forces = 1e5 * road(vehicle)
    push = dense([vehicle.points[f"axle.{a.name}"].row for a in vehicle.axles], system.coordinates).T @ forces
    solved = SolveExp2(system.M, system.C, system.K, 1 / RATE, order=1).tsolve(push)
    wanted = dense(rows, system.coordinates) @ np.hstack([solved.d, solved.a])
    wanted = np.vstack(np.split(wanted, 2, axis=1))
    assert_close(driven(vehicle, 0 * forces, forces), wanted, 1e-8)


def test_general_integrator(vehicle):
    """Step by step between samples, where the rate of the road is constant; every channel of the ride."""
    system, samples = matrices(vehicle), 60
    heights, time = road(vehicle, samples), np.arange(samples) / RATE
    n, state, found = len(system.coordinates), np.zeros(2 * len(system.coordinates)), []
    for k in range(samples - 1):
        slope = (heights[:, k + 1] - heights[:, k]) * RATE

        def rates(t, y, k=k, slope=slope):
            push = system.push_0 @ (heights[:, k] + slope * (t - time[k])) + system.push_1 @ slope
            return np.concatenate(
                [y[n:], np.linalg.solve(system.M, push - system.K @ y[:n] - system.C @ y[n:])]
            )

        step = solve_ivp(rates, (time[k], time[k + 1]), state, method="DOP853", rtol=1e-11, atol=1e-14)
        state = step.y[:, -1]
        found.append(state)
    found = np.array(found).T
    points = [p.name for p in vehicle.watched]
    wanted = dense([p.row for p in vehicle.watched], system.coordinates) @ found[:n]
    ride = drive(vehicle, heights, RATE, points, motion="displacement")
    assert_close(ride.samples[: len(points), 1:], wanted, 1e-8)
    slope = np.gradient(heights, 1 / RATE, axis=1)[:, 1:]
    for i, axle in enumerate(vehicle.axles):
        hub = system.coordinates.index(f"axle.{axle.name}")
        spring = axle.tyre_rate * (heights[i, 1:] - found[hub])
        load = spring + axle.tyre_damping * (slope[i] - found[n + hub])
        assert_close(ride.channel(f"{axle.name} tyre load variation")[None, 1:], load[None], 1e-8)
        above = dense([vehicle.frame.row(axle.station)], system.coordinates) @ found[:n]
        travel = ride.channel(f"{axle.name} suspension travel")[None, 1:]
        assert_close(travel, above - found[hub], 1e-8)


def test_blocks_are_the_plain_loop(fleet):
    """Over lengths that fill blocks and groups of blocks, and that do not, from a start that is not zero."""
    space = asked(fleet("bending").vehicle)
    draw = np.random.default_rng(2)
    inputs, start = draw.standard_normal((2, 8300)), draw.standard_normal(len(space.A)) * 1e-2
    wanted = np.array(list(plain_loop(space, inputs, start))).T
    for samples in (0, 1, 2, 63, 64, 65, 4095, 4096, 4097, 8300):
        found = history(space, inputs[:, :samples], RATE, start)
        np.testing.assert_allclose(found, wanted[:, :samples], atol=1e-11 * np.abs(wanted).max())


def plain_loop(space, inputs, start):
    """x_k+1 by the solution over one step, its integrals by quadrature of the exponential (no Van Loan)."""
    from scipy.linalg import expm

    h = 1 / RATE
    nodes, weights = np.polynomial.legendre.leggauss(24)
    at = (nodes + 1) / 2
    kernels = [w / 2 * h * expm(space.A * h * (1 - s)) @ space.B for s, w in zip(at, weights, strict=True)]
    before = sum((1 - s) * kernel for s, kernel in zip(at, kernels, strict=True))
    after = sum(s * kernel for s, kernel in zip(at, kernels, strict=True))
    now, x = expm(space.A * h), start
    for u, following in zip(inputs.T, [*inputs.T[1:], inputs.T[-1]], strict=True):
        yield space.C @ x + space.D @ u
        x = now @ x + before @ u + after @ following
