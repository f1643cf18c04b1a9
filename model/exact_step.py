"""The linear vehicle from step to step, exact for inputs that are straight between samples.

    x(t + h) = now x(t) + before u(t) + after u(t + h)

holds without error for x' = A x + B u and a straight u: one matrix exponential gives the three matrices, for
any step h, stiff vehicles included.  What is left is that a road is not straight between samples: a sine of
frequency f comes out as if it were (sin a / a)^2 as high, a = pi f h.

A long history is not stepped through.  With z = x - after u the recurrence has one input,

    z' = now z + (before + now after) u,    y = C z + (D + C after) u,

so the outputs of a block of samples are one matrix product of the block's inputs and its first state, for all
blocks at once, and the first states follow each other by the same kind of recurrence, block by block.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import linalg

from .state_space import StateSpace

Floats = NDArray[np.float64]

BLOCK = 64  # samples, and blocks of samples: the fastest of those tried between 16 and 96


@dataclass(frozen=True)
class Step:
    """One step of x' = A x + B u, u straight: x(t + h) = now x(t) + before u(t) + after u(t + h) [SI].

    seconds        h [s]
    now            (states, states)
    before, after  (states, inputs)
    """

    seconds: float
    now: Floats
    before: Floats
    after: Floats

    @property
    def push(self) -> Floats:
        """What an input does to z = x - after u one step later [SI], (states, inputs)."""
        return self.before + self.now @ self.after


def exact_step(a: Floats, b: Floats, seconds: float) -> Step:
    """The step of x' = a x + b u for an input that is straight between samples.

    a        (states, states) [SI]
    b        (states, inputs) [SI]
    seconds  length of the step [s], above 0

    Source: C. F. Van Loan, Computing integrals involving the matrix exponential, IEEE Transactions on
    Automatic Control 23 (1978), 395-404 (from memory): the integrals are blocks of one exponential.

    >>> one = exact_step(np.array([[-1.0]]), np.array([[1.0]]), 0.5)     # x' = u - x, u rises by 1 in 0.5 s
    >>> bool(np.isclose(one.after.item(), 1 - 2 * (1 - np.exp(-0.5)), rtol=1e-14))
    True
    """
    if not (np.isfinite(seconds) and seconds > 0):
        raise ValueError(f"a step must be above 0 s and finite, got {seconds}")
    n, m = b.shape
    block = np.zeros((n + 2 * m, n + 2 * m))
    block[:n, :n], block[:n, n : n + m] = a * seconds, b * seconds
    block[n : n + m, n + m :] = np.eye(m)
    whole = linalg.expm(block)
    held, ramp = whole[:n, n : n + m], whole[:n, n + m :]
    return Step(seconds, whole[:n, :n], held - ramp, ramp)


def history(space: StateSpace, inputs: Floats, rate: float, start: Floats | None = None) -> Floats:
    """Outputs of a system over its whole history (outputs, samples), each in the unit of its axis.

    inputs  (inputs, samples), straight between samples, each in the unit of its axis
    rate    [Hz] samples a second
    start   states at the first sample (states,) in the units of the states; None: all zero

    Raises ValueError for inputs of another shape, or that are not finite.

    >>> from .example import small_truck
    >>> from .state_space import to_state_space
    >>> one = to_state_space(small_truck(), ["road.front", "road.rear"], [("displacement", "rear end")])
    >>> raised = history(one, np.full((2, 30_000), 0.01), 1000.0)     # a kerb of 10 mm under both axles
    >>> round(float(raised[0].max()), 3), round(float(raised[0, -1]), 4)
    (0.018, 0.01)
    """
    _refuse(space, inputs)
    step = exact_step(space.A, space.B, 1 / rate)
    first = np.zeros(len(space.A)) if start is None else np.asarray(start, dtype=float)
    outputs, samples = len(space.C), inputs.shape[1]
    blocks = -(-samples // BLOCK)
    known = _known(inputs, blocks, len(space.A))
    if samples:
        pushed = known[:, : -len(space.A)] @ _reach(step)
        z = first - step.after @ inputs[:, 0]
        known[:, -len(space.A) :] = _block_states(np.linalg.matrix_power(step.now, BLOCK), pushed, z)
    answer = np.empty((outputs, blocks * BLOCK))
    for one, gains in zip(answer, _gains(space, step), strict=True):
        np.matmul(known, gains, out=one.reshape(blocks, BLOCK))
    return answer[:, :samples]


def _refuse(space: StateSpace, inputs: Floats) -> None:
    wanted = space.B.shape[1]
    if inputs.ndim != 2 or len(inputs) != wanted:
        raise ValueError(f"inputs of shape {inputs.shape}, wanted ({wanted}, samples)")
    if not np.isfinite(inputs).all():
        raise ValueError("inputs must be finite numbers")


def _known(inputs: Floats, blocks: int, states: int) -> Floats:
    """A row a block: the samples of each input, then room for the block's first state."""
    known = np.zeros((blocks, BLOCK * len(inputs) + states))
    whole, rest = divmod(inputs.shape[1], BLOCK)
    for i, one in enumerate(inputs):
        known[:whole, i * BLOCK : (i + 1) * BLOCK] = one[: whole * BLOCK].reshape(whole, BLOCK)
        known[whole:, i * BLOCK : i * BLOCK + rest] = one[whole * BLOCK :]
    return known


def _powers(matrix: Floats) -> Floats:
    """Powers 0 to BLOCK - 1, (BLOCK, states, states)."""
    found = [np.eye(len(matrix))]
    for _ in range(BLOCK - 1):
        found.append(matrix @ found[-1])
    return np.array(found)


def _reach(step: Step) -> Floats:
    """What each sample of a block does to the state after the block, (inputs x BLOCK, states)."""
    later = _powers(step.now)[::-1] @ step.push
    return later.transpose(2, 0, 1).reshape(-1, len(step.now))


def _gains(space: StateSpace, step: Step) -> Floats:
    """What the inputs and the first state of a block do to each output in it, (outputs, known, BLOCK)."""
    powers = _powers(step.now)
    seen = space.C @ powers  # (BLOCK, outputs, states)
    echo = np.concatenate([(space.D + space.C @ step.after)[None], (seen @ step.push)[:-1]])
    late = np.arange(BLOCK) - np.arange(BLOCK)[:, None]  # of an output behind an input
    inputs = np.where(late[..., None, None] >= 0, echo[np.maximum(late, 0)], 0.0)
    by_output = inputs.transpose(2, 3, 0, 1).reshape(len(space.C), -1, BLOCK)
    return np.concatenate([by_output, seen.transpose(1, 2, 0)], axis=1)


def _block_states(block: Floats, pushed: Floats, first: Floats) -> Floats:
    """The first state of every block, where state' = block state + pushed, (blocks, states).

    The same trick once more: blocks in groups, all groups at once from zero, then what their firsts add.
    """
    blocks, states = pushed.shape
    groups = -(-blocks // BLOCK)
    grouped = np.zeros((groups, BLOCK, states))
    grouped.reshape(-1, states)[:blocks] = pushed
    alone = np.zeros((BLOCK + 1, groups, states))
    for i in range(BLOCK):
        alone[i + 1] = alone[i] @ block.T + grouped[:, i]
    group, firsts = np.linalg.matrix_power(block, BLOCK), np.empty((groups, states))
    for g in range(groups):
        firsts[g] = first
        first = group @ first + alone[-1, g]
    added = firsts @ _powers(block).transpose(2, 0, 1).reshape(states, -1)
    together = alone[:-1].transpose(1, 0, 2) + added.reshape(groups, BLOCK, states)
    return together.reshape(-1, states)[:blocks]
