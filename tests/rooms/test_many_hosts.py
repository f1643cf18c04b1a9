"""Many hosts at once: against one host at a time, and a bracket against one put together."""

import numpy as np
import pytest

from counterbounce.model.plausible import draw
from counterbounce.model.points import dense
from counterbounce.sizing import many_hosts as module
from counterbounce.sizing.absorber import road_host
from counterbounce.sizing.many_hosts import many_hosts

COUNT, PLACE = 8, "rear end"
SPEEDS = np.linspace(12.0, 30.0, 50)  # no multiple of the lanes
M = np.array([0.0, 10.0, 25.0, 40.0])
K = np.array([1e4, 3e4, 9e4, 1.5e5])
C = np.array([50.0, 20.0, 300.0, 900.0])


@pytest.fixture(scope="module", params=["half", "bending", "soft bracket"])
def prepared(request, fleet):
    one = fleet(request.param)
    many = draw(one.plan, one.numbers, one.vehicle.frame.terms, COUNT)
    causes = [one.causes[:3] for _ in range(COUNT)]
    names = [p.name for p in one.vehicle.watched]
    speeds = np.tile(SPEEDS, (COUNT, 1))
    return one, many, causes, many_hosts(many, causes, speeds, names, PLACE), names


def test_each_host_is_the_one_that_is_made_alone(prepared):
    _, many, causes, hosts, names = prepared
    for i in (0, 5):
        vehicle = many.outline(i)
        points = [vehicle.points[name] for name in names]
        alone = road_host(many.ready(i), causes[i], SPEEDS, points, vehicle.points[PLACE])
        assert hosts.before()[i] == pytest.approx(alone.before(), rel=1e-7)
        for m, k, c in zip(M, K, C, strict=True):
            after, stroke = hosts.with_damper(m, k, c)
            assert after[i] == pytest.approx(alone.after(m, k, c), rel=1e-7)
            assert stroke[i] == pytest.approx(alone.stroke(m, k, c), rel=1e-7)


@pytest.mark.parametrize("fast", [False, True], ids=["plain", "compiled"])
def test_the_largest_level_of_many_dampers_is_that_of_each(prepared, fast):
    hosts = prepared[3]
    found = hosts.largest(M, K, C, fast)
    each = [hosts.with_damper(*one)[0].max(axis=(1, 2)) for one in zip(M, K, C, strict=True)]
    assert found == pytest.approx(np.array(each).T, rel=1e-9)
    own = np.linspace(0.9, 1.1, COUNT)[:, None]
    varied = hosts.largest(own * M, own * K, C, fast)
    assert varied[:, 2] == pytest.approx(
        hosts.with_damper(own[:, 0] * M[2], own[:, 0] * K[2], C[2])[0].max(axis=(1, 2)), rel=1e-9
    )


def test_without_numba_the_same_function_answers(prepared, monkeypatch):
    hosts = prepared[3]
    plain = hosts.largest(M, K, C, False)
    monkeypatch.setattr(module, "_compiled", lambda: None)
    assert (hosts.largest(M, K, C, True) == plain).all()


def test_a_bracket_is_a_spring_between_place_and_damper(prepared):
    """Put together in full: one more coordinate without mass, held to the place by the bracket's spring."""
    _, many, causes, _, names = prepared
    rate, (m, k, c) = 4e5, (25.0, 9e4, 300.0)
    speeds = np.tile(SPEEDS, (COUNT, 1))
    hosts = many_hosts(many, [of[:1] for of in causes], speeds, names, PLACE, 1 / rate)
    i, s, cause = 3, many.system, causes[3][0]
    place = dense([many.outline(i).points[PLACE].row], s.coordinates)[0]
    mass, damping, stiffness = (np.pad(a[i], (0, 2)) for a in (s.M, s.C, s.K))
    held, hung = np.append(-place, [1.0, 0.0]), np.append(0 * place, [-1.0, 1.0])
    mass[-1, -1] = m
    stiffness += rate * np.outer(held, held) + k * np.outer(hung, hung)
    damping += c * np.outer(hung, hung)
    w = 2 * np.pi * cause.frequency(SPEEDS)[:, None, None]
    push = np.pad((s.push_0[i] + 1j * w * s.push_1[i]) @ cause.shape, ((0, 0), (0, 2)))
    moved = np.linalg.solve(stiffness + 1j * w * damping - w**2 * mass, push[..., None])[..., 0]
    stroke = np.abs(moved[:, -1] - moved[:, :-2] @ place) * cause.amplitude(SPEEDS)[1]
    bare = (
        np.abs(moved[:, -1] - moved[:, -2]) * cause.amplitude(SPEEDS)[1]
    )  # of the spring, without the bracket
    found = hosts.with_damper(m, k, c)
    assert found[1][i] == pytest.approx(bare, rel=1e-6)
    assert np.abs(stroke / bare - 1).max() > 0.05  # the bracket's own share is no small thing here
    row = dense([many.outline(i).points[names[0]].row], s.coordinates)[0]
    stiff = many_hosts(many, [of[:1] for of in causes], speeds, names, PLACE)
    rise = np.abs(moved[:, :-2] @ row)
    alone = np.abs(_without_damper(s, i, cause) @ row)
    changed = found[0][i, :, 0] / stiff.before()[i, :, 0]
    assert changed == pytest.approx(rise / alone, rel=1e-6)


def _without_damper(s, i, cause):
    w = 2 * np.pi * cause.frequency(SPEEDS)[:, None, None]
    push = ((s.push_0[i] + 1j * w * s.push_1[i]) @ cause.shape)[..., None]
    return np.linalg.solve(s.K[i] + 1j * w * s.C[i] - w**2 * s.M[i], push)[..., 0]
