"""Bending frames against Hermite beam elements of scikit-fem: steps, lumps, springs, a turning body.

The element values of a free rail (2, 4, 8, 16 elements: 39.3589, 39.3139, 39.2744, 39.2714 Hz) were
recomputed independently; they show that the peer is set up right.
"""

from itertools import pairwise

import numpy as np
import pytest
import skfem
from scipy.linalg import eigh
from skfem.helpers import dd, ddot

from counterbounce.model.building import build
from counterbounce.model.modes import modes
from counterbounce.model.plan import AxlePlan, BodyPlan, Plan

FRONT, REAR = 0.0, 7.4
LINE_MASS = 420.0
STEPS = {1.5: 2.4e6, 4.9: 5.4e6, REAR: 1.5e6}  # bending stiffness up to a station
LUMPS = {0.3: 480.0, 4.1: 900.0, 7.1: 150.0}
SPRINGS = {1.2: 260e3, 5.4: 480e3}
INERTIA = {4.1: 60.0}


def beam(nodes, stiffness, line_mass, lumps=(), springs=(), inertia=()):
    """Undamped natural frequencies [rad/s] of a free beam on `nodes` with what stands and hangs on it."""
    mesh = skfem.MeshLine(np.asarray(nodes, dtype=float))
    basis = skfem.Basis(mesh, skfem.ElementLineHermite(), intorder=8)
    bending = skfem.BilinearForm(lambda u, v, w: stiffness(w.x[0]) * ddot(dd(u), dd(v)))
    moving = skfem.BilinearForm(lambda u, v, w: line_mass * u * v)
    K, M = bending.assemble(basis).toarray(), moving.assemble(basis).toarray()
    rise, slope = (basis.nodal_dofs[i][np.argsort(mesh.p[0])] for i in (0, 1))

    def at(station):
        found = np.flatnonzero(np.isclose(np.sort(mesh.p[0]), station))
        assert len(found) == 1, f"no node at {station}"
        return found[0]

    for onto, matrix, of in ((lumps, M, rise), (springs, K, rise), (inertia, M, slope)):
        for station, value in dict(onto).items():
            matrix[of[at(station)], of[at(station)]] += value
    return np.sqrt(np.maximum(eigh(K, M, eigvals_only=True), 0.0))


def stepped(x):
    ends = list(STEPS)
    return np.array(list(STEPS.values()))[np.searchsorted(ends[:-1], x, side="right")]


def elements(inertia):
    """Nodes at every step, lump and spring, and eight elements between: shorter ones lose digits in K."""
    marks = sorted({FRONT, REAR, *STEPS, *LUMPS, *SPRINGS})
    pieces = [np.linspace(a, b, 9)[:-1] for a, b in pairwise(marks)]
    nodes = [*np.concatenate(pieces), REAR]
    return beam(nodes, stepped, LINE_MASS, LUMPS, SPRINGS, inertia)


def plan_and_numbers(shop, inertia):
    """The same as a plan: threads for axles, bodies that ride rigidly, uniform line mass under them."""
    mass, middle = LINE_MASS * (REAR - FRONT), (FRONT + REAR) / 2
    values = shop.table("vehicle", sprung_mass=mass, centre_of_gravity=middle)
    values |= {"vehicle.pitch_inertia": mass * (REAR - FRONT) ** 2 / 12}
    values |= shop.table("frame", front_end=FRONT, rear_end=REAR)
    for i, (end, stiffness) in enumerate(STEPS.items(), 1):
        values |= shop.table(f"frame.segment.{i}", to=end, bending_stiffness=stiffness)
    for name, (station, rate) in zip(("front", "rear"), SPRINGS.items(), strict=True):
        values |= shop.table(f"axle.{name}", station=station, spring_rate=rate, damping=0.0)
    bodies = []
    for x, kilograms in LUMPS.items():
        bodies.append(BodyPlan(f"lump {x}", rotates=x in inertia, included=False))
        values |= shop.table(f"body.lump {x}", mass=kilograms, station=x)
        values |= {f"body.lump {x}.pitch_inertia": inertia[x]} if x in inertia else {}
    axles = tuple(AxlePlan(name, massless=True) for name in ("front", "rear"))
    plan = Plan("bending", axles, tuple(bodies), segments=len(STEPS), frame_source="along")
    return shop.built(plan, values)


@pytest.fixture(scope="module")
def peer():
    return elements(INERTIA)


@pytest.fixture(scope="module")
def frame(shop):
    return plan_and_numbers(shop, INERTIA)


def test_the_peer_is_set_up_right():
    second, area, rail = 1.331232e-5, 2.226900e-3, 6.0
    for count, hertz in ((2, 39.3589), (4, 39.3139), (8, 39.2744), (16, 39.2714)):
        omega = beam(np.linspace(0, rail, count + 1), lambda x: 207e9 * second + 0 * x, 7850 * area)
        assert omega[2] / (2 * np.pi) == pytest.approx(hertz, rel=2e-6)


def test_a_settled_vehicle_bends_as_the_elements_do(frame, peer):
    """First three bending modes, all below 25 Hz, within 0.3 %, with as many shapes as it chose."""
    ours = modes(frame.vehicle).undamped
    assert ours[:2] == pytest.approx(peer[:2], rel=1e-3)
    assert ours[2:5] == pytest.approx(peer[2:5], rel=3e-3)


def test_shapes_bring_it_closer_and_only_from_above(frame, peer):
    found = [modes(build(frame.plan, frame.numbers, terms)).undamped[:5] for terms in range(5, 20, 2)]
    over = np.array(found) / peer[:5] - 1
    assert (over > -1e-5).all()  # the elements themselves are above by a little
    assert (np.diff(over, axis=0) < 1e-9).all()
    assert (over[-1] < 5e-4).all()


def test_a_heavy_body_that_turns_with_the_frame_comes_slowly(shop):
    """The frame's moment jumps there, which smooth shapes follow like a Fourier series: 0.8 % are left."""
    heavy = {4.1: 700.0}
    ours, peer = modes(plan_and_numbers(shop, heavy).vehicle).undamped, elements(heavy)
    assert ours[:3] == pytest.approx(peer[:3], rel=1e-4)
    assert ours[3:5] == pytest.approx(peer[3:5], rel=8e-3)
    assert (ours[3:5] > peer[3:5]).all()


def test_plain_stiffness_and_no_lumps(shop):
    """A uniform beam, where both must agree to more digits."""
    omega = beam(np.linspace(0, 6, 61), lambda x: 5.5e6 + 0 * x, 35.0)
    ours = modes(shop.free_beam(35.0, 6.0, 5.5e6, {}, 16).vehicle).undamped
    assert ours[2:5] == pytest.approx(omega[2:5], rel=1e-5)


def test_lumps_alone(shop):
    lumps = {0.0: 20.0, 3.0: 60.0, 4.5: 35.0}
    omega = beam(np.linspace(0, 6, 121), lambda x: 5.5e6 + 0 * x, 35.0, lumps)
    ours = modes(shop.free_beam(35.0, 6.0, 5.5e6, lumps, 25).vehicle).undamped
    assert ours[2:5] == pytest.approx(omega[2:5], rel=1e-3)
