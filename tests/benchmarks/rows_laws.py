"""The rows of histories with friction, stops and lift-off.

By themselves: .venv/bin/python tests/benchmarks/rows_laws.py
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from bench import CASE, Bench, Row, medians

from counterbounce.model.case import load, parse
from counterbounce.model.example import TEXT
from counterbounce.model.force_steps import LEAF, LIFT_OFF, STOP
from counterbounce.model.laws import Law, laws
from counterbounce.model.matrices import assemble, matrices
from counterbounce.model.points import dense
from counterbounce.model.rough_drive import marched, rough, rough_drive
from counterbounce.model.settle import settled
from counterbounce.model.vehicle import Vehicle

SECONDS, RATE = 60, 500.0
ASKED = ("leaf friction", "stops", "lift-off")
HUMP = 0.07  # [m]
REFERENCE = 64  # steps a sample: errors fall with their square


def road(seconds: float) -> np.ndarray:
    """Rough, and every 4 s a hump that throws the wheels up, (axles, samples) [m]."""
    t = np.arange(round(seconds * RATE) + 1) / RATE
    draw = np.random.default_rng(3)
    frequency, phase = np.geomspace(0.5, 20.0, 60)[:, None], draw.uniform(0, 2 * np.pi, (60, 1))

    def under(t: np.ndarray) -> np.ndarray:
        rough = (3e-3 / frequency * np.sin(2 * np.pi * frequency * t + phase)).sum(axis=0) * np.clip(t, 0, 1)
        far = np.minimum(np.abs(t % 4.0 - 0.13) / 0.12, 1.0)
        return rough + HUMP / 2 * (1 + np.cos(np.pi * far)) * (t > 0)

    return np.array([under(t), under(t - 0.2)])


def derivative(vehicle: Vehicle, found: tuple[Law, ...], heights: np.ndarray) -> Callable[..., np.ndarray]:
    """What the peer integrates: q, q' and what the leaves remember, compiled."""
    from numba import njit

    system, prepared = matrices(vehicle), rough(vehicle, found)
    names, roads, n = system.coordinates, system.roads, len(system.coordinates)
    gone = {law.part for law in found}
    kept = [p for p in vehicle.parts if p.name not in gone]
    springs, dampers = (assemble(kept, kind, names).astype(float) for kind in ("spring", "damper"))
    push_0, push_1 = (-assemble(kept, kind, names, roads).astype(float) for kind in ("spring", "damper"))
    rows, below = (dense((law.row for law in found), of).astype(float) for of in (names, roads))
    inverse, points = np.linalg.inv(system.M), np.ascontiguousarray(heights.T)
    kinds, numbers = prepared.kinds, prepared.numbers

    @njit
    def rate_of(t, y):  # type: ignore[no-untyped-def]
        i = min(int(t * RATE), len(points) - 2)
        slope = (points[i + 1] - points[i]) * RATE
        u, q, v = points[i] + (t - i / RATE) * slope, y[:n], y[n : 2 * n]
        stretch, speed = rows @ q + below @ u, rows @ v + below @ slope
        force, answer = np.zeros(len(kinds)), np.zeros(len(y))
        for law in range(len(kinds)):
            a, b, c, s = numbers[law, 0], numbers[law, 1], numbers[law, 2], stretch[law]
            if kinds[law] == STOP:
                force[law] = c * (max(s - a, 0.0) + min(s + b, 0.0))
            elif kinds[law] == LIFT_OFF:
                force[law] = min(a, b * s + c * speed[law])
            elif kinds[law] == LEAF:
                held = y[2 * n + law]
                force[law] = c * s + held
                answer[2 * n + law] = (a * np.sign(speed[law]) - held) * abs(speed[law]) / b
        answer[:n] = v
        answer[n : 2 * n] = inverse @ (
            push_0 @ u + push_1 @ slope - springs @ q - dampers @ v - rows.T @ force
        )
        return answer

    rate_of(0.0, np.zeros(2 * n + len(kinds)))
    return rate_of


def history_with_laws(
    work: str, vehicle: Vehicle, found: tuple[Law, ...], measured: float, within: float, floor: float
) -> Row:
    """Ours whole, its error estimate included; the peer over its first seconds, scaled up to all of them."""
    from scipy.integrate import solve_ivp

    heights, few = road(SECONDS), round(measured * RATE) + 1
    n, instants = len(vehicle.coordinates), np.arange(few) / RATE
    end = dense([vehicle.points["rear end"].row], vehicle.coordinates)[0]
    rate_of = derivative(vehicle, found, heights)

    def ours() -> np.ndarray:
        ride = rough_drive(vehicle, found, heights, RATE, ["rear end"], motion="displacement", within=within)
        return ride.channel("rear end")

    def theirs() -> np.ndarray:
        start = np.zeros(2 * n + len(found))
        return end @ solve_ivp(rate_of, (0, instants[-1]), start, "RK45", instants, rtol=1e-6).y[:n]

    exact = marched(rough(vehicle, found), heights[:, :few], RATE, REFERENCE, fast=True).states[:, :n] @ end
    error, others = (float(np.sqrt(((one[:few] - exact) ** 2).mean())) for one in (ours(), theirs()))
    one, other = medians(ours, theirs, 5 if measured == SECONDS else 1)
    peer = "solve_ivp RK45, rtol 1e-6, compiled derivative"
    return Row(8, work, peer, one, other * SECONDS / measured, error / others, floor, 1.0)


def rigid(_: Bench) -> Row:
    """The small truck of the docstrings on leaves, with the shocks of a truck."""
    text = TEXT.replace("[vehicle]", f"[vehicle]\nlaws = {list(ASKED)}").replace("2 kN*s/m", "8 kN*s/m")
    text = text.replace("3 kN*s/m", "12 kN*s/m").replace("spring_rate", 'spring = "leaf"\nspring_rate')
    one = parse(text.replace("spring_rate", 'bump_travel = "40 mm"\nrebound_travel = "40 mm"\nspring_rate'))
    vehicle = settled(one.plan, one.numbers)
    work = f"history with leaf friction, stops, lift-off: rigid truck, {SECONDS} s (error over the peer's)"
    return history_with_laws(work, vehicle, laws(one.plan, one.numbers, vehicle), SECONDS, 3e-3, 20)


def bending(_: Bench) -> Row:
    """The engineer's box truck; the peer's steps are held short by the frame's stiffest shapes."""
    one = load(CASE)
    vehicle = settled(one.plan, one.numbers)
    found = laws(replace(one.plan, laws=ASKED), one.numbers, vehicle)
    work = f"the same on a bending frame, {SECONDS} s (the peer's first 0.4 s measured)"
    return history_with_laws(work, vehicle, found, 0.4, 1e-5, 50)


if __name__ == "__main__":
    bench = Bench()
    for row in (rigid(bench), bending(bench)):
        print(f"{row.work}: {row.ours * 1e3:.1f} ms, {row.peer} {row.theirs * 1e3:.0f} ms")
        print(f"ratio {row.ratio:.0f}, error over the peer's {row.apart:.2f}, holds: {row.holds}")
