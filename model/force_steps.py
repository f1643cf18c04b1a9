"""Forces that are not proportional, step by step: plain arithmetic, the same interpreted and compiled.

Those that remember (`held`, a force [N]) take what their stretch did over a step, as if it had gone straight,
and are exact for that, however long the step.  `march` takes a whole vehicle along.  All that is compiled
stands in this one file, so that the compiler's cache notices when it changes.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import exp, inf, log

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

STOP, LIFT_OFF, LEAF, FRICTION, SHOCK = range(5)
CLOSE = 1e-8  # [-] and [N]: forces have settled when one more turn would move them no more
MOST_TURNS = 30  # in which they must settle


def stop_force(stretch: float, gap_up: float, gap_down: float, rate: float) -> float:
    """Force of springs met after a gap [N].

    stretch           [m] at the end of the step
    gap_up, gap_down  [m]
    rate              [N/m]

    >>> stop_force(0.5, 0.25, 0.25, 2e6), stop_force(0.0, 0.25, 0.25, 2e6)
    (500000.0, 0.0)
    """
    if stretch > gap_up:
        return rate * (stretch - gap_up)
    if stretch < -gap_down:
        return rate * (stretch + gap_down)
    return 0.0


def lift_off_force(stretch: float, speed: float, load: float, rate: float, damping: float) -> float:
    """Force of a tyre that cannot pull [N].

    stretch  [m] at the end of the step
    speed    of the stretch there [m/s]
    load     [N] at rest
    rate     [N/m]
    damping  [N s/m]

    >>> lift_off_force(0.01, 0.0, 20e3, 1.6e6, 0.0), lift_off_force(0.02, 0.0, 20e3, 1.6e6, 0.0)
    (16000.0, 20000.0)
    """
    return min(load, rate * stretch + damping * speed)


def leaf_after(held: float, moved: float, friction: float, travel: float) -> float:
    """What friction adds to a leaf pack's static line [N].

    held      before the step [N]
    moved     stretch gained over the step [m]
    friction  [N]
    travel    [m]

    >>> round(leaf_after(0.0, 1e-3, 4000.0, 0.02)), round(leaf_after(4000.0, -1.0, 4000.0, 0.02))
    (195, -4000)
    """
    towards = friction if moved > 0 else -friction
    return towards + (held - towards) * exp(-abs(moved) / travel)


def friction_after(held: float, moved: float, breakaway: float, stiffness: float) -> float:
    """Force of something that sticks and slips [N].

    held       before the step [N]
    moved      stretch gained over the step [m]
    breakaway  [N]
    stiffness  [N/m]

    >>> friction_after(0.0, 1e-5, 5.0, 1e5), friction_after(0.0, 1e-3, 5.0, 1e5)
    (1.0, 5.0)
    """
    return max(-breakaway, min(breakaway, held + stiffness * moved))


def shock_after(
    held: float, speed: float, step: float, compression: float, rebound: float, bush_rate: float
) -> float:
    """Force of a two-way shock behind its bush [N].

    held                  before the step [N]
    speed                 of the stretch over the step [m/s]
    step                  [s]
    compression, rebound  [N s/m]
    bush_rate             [N/m]

    With f' = bush_rate (speed - f / c) the force falls to c speed as exp(-bush_rate t / c); where it passes
    nothing on the way, the other damping takes over.

    >>> round(shock_after(0.0, 0.1, 7e-3, 6e3, 14e3, 2e6)), round(shock_after(0.0, 0.1, 1.0, 6e3, 14e3, 2e6))
    (885, 1400)
    >>> round(shock_after(1400.0, -0.1, 0.1, 6e3, 14e3, 2e6))
    -600
    """
    opening = held > 0 or (held == 0 and speed > 0)
    damping, other = (rebound, compression) if opening else (compression, rebound)
    ends = damping * speed
    if held * speed < 0:
        lasts = damping / bush_rate * log(1 - held / ends)
        if lasts < step:
            return other * speed * (1 - exp(-bush_rate * (step - lasts) / other))
    return ends + (held - ends) * exp(-bush_rate * step / damping)


def held_after(kind: int, numbers: Floats, held: float, moved: float, step: float) -> float:
    """What a force remembers after a step [N]; 0 for those that remember nothing.

    kind     which of them
    numbers  its own, in the order of the functions above [SI]
    held     before the step [N]
    moved    stretch gained over the step [m]
    step     [s]

    >>> float(held_after(FRICTION, np.array([5.0, 1e5, 0.0]), 0.0, 1e-5, 1e-3))
    1.0
    """
    if kind == LEAF:
        return leaf_after(held, moved, numbers[0], numbers[1])
    if kind == FRICTION:
        return friction_after(held, moved, numbers[0], numbers[1])
    if kind == SHOCK and numbers[2] < inf:
        return shock_after(held, moved / step, step, numbers[0], numbers[1], numbers[2])
    return 0.0


def force_now(kind: int, numbers: Floats, held: float, stretch: float, speed: float) -> float:
    """A force as it is [N].

    kind     which of them
    numbers  its own, in the order of the functions above; a leaf's third is its static rate [SI]
    held     what it remembers [N]
    stretch  [m]
    speed    of the stretch [m/s]

    >>> force_now(LEAF, np.array([4e3, 0.02, 3e5]), 1000.0, 0.01, 0.0)
    4000.0
    """
    if kind == STOP:
        return stop_force(stretch, numbers[0], numbers[1], numbers[2])
    if kind == LIFT_OFF:
        return lift_off_force(stretch, speed, numbers[0], numbers[1], numbers[2])
    if kind == LEAF:
        return float(numbers[2] * stretch + held)
    if kind == SHOCK and numbers[2] == inf:
        return float(numbers[1] * speed if speed > 0 else numbers[0] * speed)
    return held


def excess(kind: int, numbers: Floats, held: float, stretch: float, speed: float) -> float:
    """What a force adds to the linear part whose place it takes [N].

    kind     which of them
    numbers  its own three, then rate [N/m] and damping [N s/m] of that part
    held     what it remembers [N]
    stretch  [m]
    speed    of the stretch [m/s]

    >>> excess(LIFT_OFF, np.array([20e3, 1.6e6, 0.0, 1.6e6, 0.0]), 0.0, 0.02, 0.0)
    -12000.0
    """
    gone = numbers[3] * stretch + numbers[4] * speed
    return float(force_now(kind, numbers, held, stretch, speed) - gone)


def march(
    moves: Floats,
    late: Floats,
    share: Floats,
    inputs: Floats,
    step: float,
    kinds: NDArray[np.int64],
    numbers: Floats,
    states: Floats,
    pulls: Floats,
) -> int:
    """The vehicle from rest, from sample to sample; how many samples it reached before forces did not settle.

    A step is linear but for its last term:

        (x, s, v) at its end = moves (x, u at its start, u at its end, r at its start) + late (r at its end),

    x the states, s and v the stretches and their speeds, u the inputs, r = f - k s - c v what each force f
    adds to the linear part that it takes the place of.  r at the end is found in turns, each of which leaves
    about a hundredth of the error.

    moves    (states + 2 laws, states + 2 u + laws) [SI]
    late     (states + 2 laws, laws) [SI]
    share    stretch of each law per unit of u [m/m], nothing for a force, (laws, u)
    inputs   u at every step, heights [m] and perhaps forces [N], (steps + 1, u)
    step     [s]
    kinds    which force each is [-], (laws,)
    numbers  three of each force, then k [N/m] and c [N s/m] of its linear part [SI], (laws, 5)
    states   x [SI] (samples, states), written; it begins with the vehicle at rest, all zero
    pulls    r [N] (samples, laws), written likewise
    """
    laws, known, width = len(kinds), inputs.shape[1], states.shape[1]
    rate = width + laws  # where the speeds of the stretches begin
    each = (len(inputs) - 1) // (len(states) - 1)
    held, later, stretch, slope = np.zeros(laws), np.zeros(laws), np.zeros(laws), np.zeros(known)
    r, guess, bend = np.zeros(laws), np.zeros(laws), np.zeros(known)
    start, end = np.zeros(moves.shape[1]), np.zeros(len(moves))
    added, seen, jump = np.zeros(width), np.zeros(2 * laws), np.zeros(laws)
    for i in range(1, len(inputs)):
        start[:width] = end[:width]
        start[width : width + known] = inputs[i - 1]
        start[width + known : width + 2 * known] = inputs[i]
        bend[:] = (inputs[i] - inputs[i - 1]) / step - slope
        slope += bend
        product(share, bend, jump)
        for law in range(laws):
            stretch[law] = end[width + law]
            now = excess(kinds[law], numbers[law], held[law], stretch[law], end[rate + law] + jump[law])
            guess[law] = 2 * now - start[width + 2 * known + law]
            start[width + 2 * known + law] = now
        if i == 1:
            pulls[0] = start[width + 2 * known :]
        elif (i - 1) % each == 0:  # the road bends, and forces may jump: the mean of before and behind
            pulls[(i - 1) // each] = (pulls[(i - 1) // each] + start[width + 2 * known :]) / 2
        product(moves, start, end)
        turns, moved, settled = 0, 0.0, False
        while not settled:
            if turns == MOST_TURNS:
                return i // each
            turns, last, moved = turns + 1, moved, 0.0
            product(late[width:], guess, seen)
            for law in range(laws):
                s, v = end[width + law] + seen[law], end[rate + law] + seen[laws + law]
                later[law] = held_after(kinds[law], numbers[law], held[law], s - stretch[law], step)
                r[law] = excess(kinds[law], numbers[law], later[law], s, v)
                if not abs(r[law]) < inf:
                    return i // each
                moved = max(moved, abs(r[law] - guess[law]) / (1 + abs(r[law])))
            settled = moved <= CLOSE or moved * moved <= CLOSE * last  # the next turn would move that less
            guess[:] = r
        held[:] = later
        end[width:] += seen
        product(late[:width], r, added)
        end[:width] += added
        if i % each == 0:
            states[i // each], pulls[i // each] = end[:width], r
    return len(states)


def product(matrix: Floats, vector: Floats, out: Floats) -> None:
    """Matrix times vector into `out` [any unit]: NumPy's where interpreted.

    matrix  (rows, columns) [any unit]
    vector  (columns,) [any unit]
    out     (rows,) [any unit], written
    """
    np.dot(matrix, vector, out)


def _product_in_a_loop(matrix: Floats, vector: Floats, out: Floats) -> None:
    for i in range(len(out)):
        total = 0.0
        for j in range(len(vector)):
            total += matrix[i, j] * vector[j]
        out[i] = total


@cache
def compiled() -> Callable[..., int] | None:
    """`march`, compiled; None where numba is not installed (extra `fast`)."""
    try:
        from numba import njit
        from numba.extending import overload, register_jitable
    except ImportError:
        return None
    remembering = (leaf_after, friction_after, shock_after, held_after)
    for one in (stop_force, lift_off_force, force_now, excess, *remembering):
        register_jitable(one)
    sums = overload(product, jit_options={"fastmath": True}, strict=False)
    sums(lambda matrix, vector, out: _product_in_a_loop)
    try:
        kept: Callable[..., int] = njit(cache=True, error_model="numpy")(march)
    except RuntimeError:  # nowhere to keep it: it is compiled anew each time
        kept = njit(error_model="numpy")(march)
    return kept
