"""The row of linear histories; by itself: .venv/bin/python tests/benchmarks/rows_time.py"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
from bench import Bench, Row, medians

from counterbounce.model.exact_step import history
from counterbounce.model.state_space import to_state_space

SECONDS, RATE = 600, 1000.0


def linear_history(bench: Bench) -> Row:
    """Preparation included, for both; the roads wander by a few centimetres."""
    from scipy.signal import lsim

    vehicle = bench.one.vehicle
    outputs = [("acceleration", "driver's floor"), ("displacement", "rear end")]
    space = to_state_space(vehicle, vehicle.roads, outputs)
    samples = round(SECONDS * RATE)
    heights = np.cumsum(np.random.default_rng(1).standard_normal((2, samples)), axis=1) * 1e-4
    time = np.arange(samples) / RATE

    def ours() -> np.ndarray:
        return history(space, heights, RATE)

    def theirs() -> np.ndarray:
        return lsim(space.matrices, heights.T, time)[1].T

    one, other = ours(), theirs()
    apart = np.sqrt(((one - other) ** 2).mean(axis=1) / (other**2).mean(axis=1)).max()
    work = f"linear history, {SECONDS} s at 1 kHz, 2 inputs, 2 outputs (r.m.s. of the difference)"
    return Row(7, work, "scipy.signal.lsim", *medians(ours, theirs, 5), float(apart), 50, 1e-11)


if __name__ == "__main__":
    row = linear_history(Bench())
    print(f"{row.work}: {row.ours * 1e3:.1f} ms, {row.peer} {row.theirs * 1e3:.0f} ms")
    print(f"ratio {row.ratio:.0f}, apart {row.apart:.1e}, holds: {row.holds}")
