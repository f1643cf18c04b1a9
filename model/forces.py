"""Forces that are not proportional to a stretch, each with what it is worth at an amplitude.

A stretch is positive in tension, as everywhere; stretches and forces are counted from the laden vehicle at
rest.  What a force is worth while its stretch swings as A sin(w t) is the spring and dashpot that share its
first harmonic (harmonic linearisation: Gelb and Vander Velde 1968, Multiple-Input Describing Functions,
chapter 2, from memory).  A force that is not symmetric also has a mean, which is left out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import acos, asin, cos, exp, hypot, inf, pi, sin, sqrt, tanh

from .force_steps import shock_after

Worth = tuple[float, float]  # k [N/m], c [N s/m]

POINTS = 1440  # of one cycle
SETTLED = 1e-10  # [-] of the largest force, between the ends of one cycle
MOST_CYCLES = 60


def _clipped(ratio: float) -> float:
    """First harmonic of a sine of amplitude 1 that is cut off at +-ratio [-]: 1 where it is not reached."""
    if ratio >= 1.0:
        return 1.0
    return 2 / pi * (asin(ratio) + ratio * sqrt(1 - ratio**2))


@dataclass(frozen=True)
class Stop:
    """Springs that are met after a gap, as bump and rebound stops are.

        f = rate (s - gap_up)    where s > gap_up
        f = rate (s + gap_down)  where s < -gap_down, and none between

    gap_up    [m] that the upper end may rise before it meets the rebound stop
    gap_down  [m] that the upper end may come down before it meets the bump stop
    rate      [N/m] of either stop

    >>> bump = Stop(0.09, 0.07, 2e6)
    >>> bump.equivalent(0.05, 10.0), round(bump.equivalent(0.09, 10.0)[0] / 1e3)
    ((0.0, 0.0), 121)
    """

    gap_up: float
    gap_down: float
    rate: float

    def equivalent(self, amplitude: float, omega: float) -> Worth:
        """Spring and dashpot (k [N/m], c [N s/m]) of the same first harmonic.

        amplitude  of the stretch [m]
        omega      [rad/s]
        """
        if amplitude <= 0:
            return 0.0, 0.0
        beyond = (1 - _clipped(gap / amplitude) for gap in (self.gap_up, self.gap_down))
        return self.rate * sum(beyond) / 2, 0.0


@dataclass(frozen=True)
class LiftOff:
    """A tyre, which cannot pull: its force never exceeds the load that it carries at rest.

        f = min(static_load, rate s + damping s')

    static_load  [N] on the ground under the axle at rest
    rate         [N/m] of all its tyres
    damping      [N s/m] of all its tyres

    >>> tyres = LiftOff(20e3, 1.6e6, 2e3)
    >>> tyres.equivalent(0.005, 60.0), [round(worth) for worth in tyres.equivalent(0.025, 60.0)]
    ((1600000.0, 2000.0), [1285962, 1607])
    """

    static_load: float
    rate: float
    damping: float

    def equivalent(self, amplitude: float, omega: float) -> Worth:
        """Spring and dashpot (k [N/m], c [N s/m]) of the same first harmonic.

        amplitude  of the stretch [m]
        omega      [rad/s]
        """
        force = hypot(self.rate, omega * self.damping) * amplitude
        held = (1 + _clipped(self.static_load / force)) / 2 if force > 0 else 1.0
        return self.rate * held, self.damping * held


@dataclass(frozen=True)
class Leaf:
    """A leaf pack, whose leaves rub: its static line, and what friction adds to it on the way there and back.

        f = rate s + h,   h_i = F_i + (h_(i-1) - F_i) exp(-|s_i - s_(i-1)| / travel)

    F_i is +friction while s grows and -friction while it falls.

    friction  [N] half width of the hysteresis loop at large strokes
    travel    [m] over which friction turns round
    rate      [N/m] of the static line

    The law of Fancher, Ervin, MacAdam and Winkler 1980, Measurement and representation of the mechanical
    properties of truck leaf springs, SAE 800905 (from memory).  Theirs is of the whole force, towards an
    envelope rate s +- F: the same curve as this one with F = friction + rate travel, but only in small steps;
    written for h it holds in steps of any size.

    >>> pack = Leaf(4000.0, 0.02, 3e5)
    >>> pack.small_shake_rate, [round(worth) for worth in pack.equivalent(1e-5, 10.0)]
    (500000.0, [500000, 4])
    >>> [round(worth) for worth in pack.equivalent(0.1, 10.0)]
    [326234, 4074]
    """

    friction: float
    travel: float
    rate: float

    @property
    def small_shake_rate(self) -> float:
        """Rate while friction holds the leaves together [N/m]."""
        return self.rate + self.friction / self.travel

    def equivalent(self, amplitude: float, omega: float) -> Worth:
        """Spring and dashpot (k [N/m], c [N s/m]) of the same first harmonic.

        amplitude  A of the stretch [m]
        omega      w [rad/s]

        With u = A / travel and the modified Bessel function I1, k = rate + 2 friction I1(u) / (A cosh u);
        a cycle turns 4 friction (A - travel tanh u) into heat, which is pi c w A^2.
        """
        from scipy.special import ive

        u = amplitude / self.travel
        if u < 1e-6:
            return self.small_shake_rate, 0.0
        held = 4 * self.friction * float(ive(1, u)) / (amplitude * (1 + exp(-2 * u)))
        heat = 4 * self.friction * (amplitude - self.travel * tanh(u))
        return self.rate + held, heat / (pi * omega * amplitude**2)


@dataclass(frozen=True)
class DryFriction:
    """Something that sticks and slips: a spring that lets go at a force.

        f_i = f_(i-1) + stiffness (s_i - s_(i-1)), but never beyond +-breakaway

    breakaway  [N]
    stiffness  [N/m] until it slips

    What it is worth: Caughey 1960, Sinusoidal excitation of a system with bilinear hysteresis, J. Appl. Mech.
    27 (from memory).

    >>> guide = DryFriction(5.0, 1e5)
    >>> guide.equivalent(4e-5, 40.0), [round(worth, 1) for worth in guide.equivalent(1e-3, 40.0)]
    ((100000.0, 0.0), [1869.3, 151.2])
    """

    breakaway: float
    stiffness: float

    def equivalent(self, amplitude: float, omega: float) -> Worth:
        """Spring and dashpot (k [N/m], c [N s/m]) of the same first harmonic.

        amplitude  of the stretch [m]
        omega      [rad/s]
        """
        give = self.breakaway / self.stiffness
        if amplitude <= give:
            return self.stiffness, 0.0
        turned = acos(1 - 2 * give / amplitude)
        heat = 4 * self.breakaway * (amplitude - give)
        return self.stiffness / pi * (turned - sin(2 * turned) / 2), heat / (pi * omega * amplitude**2)


@dataclass(frozen=True)
class TwoWayShock:
    """Shocks that damp closing and opening differently, with a rubber bush in series.

        f' = bush_rate s' - f bush_rate / c,   c = rebound where f > 0, else compression

    The bush is a spring without mass, so the force itself is the one state; a rigid bush leaves f = c s'.

    compression  [N s/m] while the shock closes
    rebound      [N s/m] while it opens
    bush_rate    [N/m], of all bushes of the axle's shocks; inf: rigid

    >>> TwoWayShock(6e3, 14e3).equivalent(0.01, 60.0)
    (0.0, 10000.0)
    >>> [round(worth, -2) for worth in TwoWayShock(1e4, 1e4, 2e6).equivalent(0.01, 60.0)]    # both ways alike
    [165100.0, 9200.0]
    """

    compression: float
    rebound: float
    bush_rate: float = inf

    def __post_init__(self) -> None:
        if not all(number > 0 for number in (self.compression, self.rebound, self.bush_rate)):
            raise ValueError(f"compression, rebound and bush_rate must be above 0, got {self}")

    def equivalent(self, amplitude: float, omega: float) -> Worth:
        """Spring and dashpot (k [N/m], c [N s/m]) of the same first harmonic, at any amplitude the same.

        amplitude  of the stretch [m]
        omega      [rad/s]
        """
        if self.bush_rate == inf:
            return 0.0, (self.compression + self.rebound) / 2
        k, c_omega = _shock_cycle(
            omega * self.compression / self.bush_rate, omega * self.rebound / self.bush_rate
        )
        return self.bush_rate * k, self.bush_rate * c_omega / omega


@lru_cache(maxsize=4096)  # searches over amplitudes ask for the same frequency again and again
def _shock_cycle(compression: float, rebound: float) -> tuple[float, float]:
    """First harmonic, with the stretch and with its speed, of a shock behind a bush [-].

    compression, rebound  w c / bush_rate [-]; the bush's rate, the amplitude and w are 1 here
    """
    step = 2 * pi / POINTS
    angles = [step * i for i in range(POINTS + 1)]
    speeds = [(sin(b) - sin(a)) / step for a, b in pairwise(angles)]

    def cycle(held: float) -> list[float]:
        forces = [held]
        for speed in speeds:
            forces.append(shock_after(forces[-1], speed, step, compression, rebound, 1.0))
        return forces

    forces = _repeating(cycle)
    with_stretch = sum(f * sin(a) for f, a in zip(forces[1:], angles[1:], strict=True))
    with_speed = sum(f * cos(a) for f, a in zip(forces[1:], angles[1:], strict=True))
    return with_stretch * step / pi, with_speed * step / pi


def _repeating(cycle: Callable[[float], list[float]]) -> list[float]:
    """The cycle that ends where it begins; each pair of turns is drawn out to its limit (Aitken)."""
    held = 0.0
    for _ in range(MOST_CYCLES):
        first = cycle(held)
        second = cycle(first[-1])
        once, again = first[-1] - held, second[-1] - first[-1]
        if abs(again) <= SETTLED * max(map(abs, second)):
            return second
        held = second[-1] + again**2 / (once - again) if abs(again) < abs(once) else second[-1]
    return second
