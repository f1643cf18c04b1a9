"""The rows of responses along frequency and along speed."""

from __future__ import annotations

import numpy as np
from bench import Bench, Row, medians

from counterbounce.model.points import dense
from counterbounce.model.response import Dynamics, sweep
from counterbounce.model.road import Joints, Roads, inputs


def frequency_response(bench: Bench) -> Row:
    import control

    frequency = np.linspace(0.5, 25.0, 2000)
    peer = bench.state_space(dense(bench.rows, bench.system.coordinates).T)

    def ours() -> np.ndarray:
        return Dynamics(bench.system).receptance(frequency, bench.rows, bench.rows)

    def theirs() -> np.ndarray:
        return control.frequency_response(peer, 2 * np.pi * frequency).complex.transpose(2, 0, 1)

    one, other = ours(), theirs()
    apart = float(np.abs(one - other).max() / np.abs(one).max())
    work = "frequency response, 2,000 frequencies, 2 inputs, 2 outputs, preparation included"
    return Row(1, work, "control.frequency_response", *medians(ours, theirs), apart, 10, 1e-9)


def along_speed(bench: Bench) -> Row:
    speeds, s = np.linspace(11.0, 30.0, 200), bench.system
    causes = inputs(
        Roads(wheel_orders=(), joints=Joints(4.6, step=0.003)), bench.one.vehicle, 25 * 4.6 / 16.2
    )
    points = [bench.one.vehicle.points["driver's floor"], bench.one.vehicle.points["rear end"]]
    frequency = np.array([c.frequency(speeds) for c in causes]).ravel()
    shape = np.repeat(np.array([c.shape for c in causes]), len(speeds), axis=0)
    peer, omega = bench.state_space(np.hstack([s.push_0, s.push_1])), 2 * np.pi * frequency
    order = np.argsort(omega)

    def ours() -> np.ndarray:
        return Dynamics(s).along(frequency, shape, [p.row for p in points])

    def theirs() -> np.ndarray:
        columns = np.hstack([shape, 1j * omega[:, None] * shape])[order]
        both = peer(1j * omega[order]).transpose(2, 0, 1) @ columns[..., None]  # type: ignore[operator]
        answer = np.empty((len(omega), 2), dtype=complex)
        answer[order] = both[..., 0]
        return answer

    causes = causes[:16]
    assert sweep(bench.one.ready, causes, speeds, points).typical.shape == (16, 200, 2)
    one, other = ours(), theirs()
    apart = float(np.abs(one - other).max() / np.abs(one).max())
    work = "response on 200 speeds x 16 harmonics, 2 outputs"
    return Row(2, work, "one vectorised control call", *medians(ours, theirs), apart, 10, 1e-9)
