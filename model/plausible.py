"""Many vehicles that the numbers of a case allow, drawn evenly and built at once."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .building import build
from .frame import Frame
from .matrices import Matrices, matrices
from .numbers import Numbers
from .plan import Plan
from .points import Row
from .response import Dynamics
from .settle import with_losses
from .vehicle import Vehicle

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Plausible:
    """Vehicles that the numbers of a case allow, V of them.

    paths    (D,) the numbers that are not exact
    scores   (V, D) standard deviations off their best estimates [-]
    vehicle  all of them at once: what differs is an array (V,)
    system   their matrices, (V, n, n) and (V, n, roads)
    refused  how many more were drawn whose numbers contradict each other [-]
    """

    paths: tuple[str, ...]
    scores: Floats
    vehicle: Vehicle
    system: Matrices
    refused: int

    def __len__(self) -> int:
        return len(self.scores)

    def one(self, i: int) -> Vehicle:
        """The i-th vehicle by itself."""
        return replace(
            self.outline(i),
            parts=tuple(_one_of(part, i) for part in self.vehicle.parts),
            components=tuple((label, _entry(row, i)) for label, row in self.vehicle.components),
        )

    def outline(self, i: int) -> Vehicle:
        """The i-th vehicle's points and axles, without its parts: they are in `system`."""
        many = self.vehicle
        points = {name: _one_of(point, i) for name, point in many.points.items()}
        axles = tuple(_one_of(axle, i) for axle in many.axles)
        frame = _frame(many.frame, len(self), i)
        return replace(many, parts=(), components=(), points=points, axles=axles, frame=frame)

    def ready(self, i: int) -> Dynamics:
        """The i-th vehicle, ready to be asked."""
        s = self.system
        return Dynamics(Matrices(s.coordinates, s.roads, s.M[i], s.C[i], s.K[i], s.push_0[i], s.push_1[i]))


def draw(plan: Plan, numbers: Numbers, terms: int, count: int, seed: int = 0, after: int = 0) -> Plausible:
    """Plausible vehicles: their uncertain numbers vary together, independently of one another.

    terms    shapes of the frame, as many as the best estimate needed [-]
    count    [-] best a power of two
    seed     of the first one [-]: the same vehicles for the same seed
    after    how many of the sequence to leave out [-]: a larger sample is the smaller one and its sequel

    >>> from .example import small_case
    >>> from .settle import settled
    >>> one = small_case()
    >>> truck = settled(one.plan, one.numbers)
    >>> many = draw(one.plan, one.numbers, truck.frame.terms, 64)
    >>> len(many), many.system.K.shape, bool(abs(many.scores.mean(axis=0)).max() < 0.1)
    (64, (64, 4, 4), True)
    """
    asked = numbers.with_scores(numbers.scores)  # what else was asked of these numbers moves no vehicle
    build(plan, asked, terms)
    paths = asked.uncertain()
    drawn = np.asarray(scores(len(paths), count, seed, after) @ numbers.root(paths).T)
    return scored(plan, numbers, paths, drawn, terms)


def scored(plan: Plan, numbers: Numbers, paths: tuple[str, ...], drawn: Floats, terms: int) -> Plausible:
    """The vehicles of given scores; those whose numbers contradict each other are left out.

    drawn  (V, D) standard deviations off the best estimates [-]
    terms  shapes of the frame [-]

    >>> from .example import small_case
    >>> one = small_case()
    >>> len(scored(one.plan, one.numbers, ("vehicle.sprung_mass",), np.array([[-1.0], [1.0]]), 9))
    2
    """
    count = len(drawn)
    vehicle = build(plan, _scored(numbers, paths, drawn), terms)
    sound = np.broadcast_to(np.isfinite(matrices(vehicle).M).all(axis=(-1, -2)), (count,))
    if not sound.all():
        drawn = drawn[sound]
        vehicle = build(plan, _scored(numbers, paths, drawn), terms)
    vehicle = with_losses(vehicle)
    return gathered(paths, drawn, vehicle, count - len(drawn))


def gathered(paths: tuple[str, ...], drawn: Floats, vehicle: Vehicle, refused: int = 0) -> Plausible:
    """Many vehicles with their matrices, which get a first axis of vehicles even where nothing differs.

    drawn    (V, D) standard deviations off the best estimates [-]
    vehicle  all of them at once
    refused  how many more were drawn [-]

    >>> from .example import small_truck
    >>> gathered((), np.zeros((3, 0)), small_truck()).system.K.shape
    (3, 4, 4)
    """
    s = matrices(vehicle)
    each = (np.broadcast_to(a, (len(drawn), *a.shape[-2:])) for a in (s.M, s.C, s.K, s.push_0, s.push_1))
    return Plausible(paths, drawn, vehicle, Matrices(s.coordinates, s.roads, *each), refused)


def scores(dimensions: int, count: int, seed: int = 0, after: int = 0) -> Floats:
    """Standard-normal scores that fill their space evenly, (count, dimensions) [-].

        u_n = (u_0 + n alpha) mod 1,   alpha_j = g^-j,   g the positive root of g^(d + 1) = g + 1

    dimensions, count, seed, after  as in `draw` [-]

    An additive recurrence on powers of the generalised golden ratio (Roberts 2018, from memory).  Then each
    column gets the mean 0 and the variance 1, and no two stay correlated, so that what a number does is not
    laid at another's door; a draw of no more vehicles than numbers cannot have that.  Over twenty seeds
    Sobol's points, scrambled, were no evener after that, and cost a tenth of an assessment to import.

    >>> drawn = scores(3, 8)
    >>> bool(np.allclose(drawn.T @ drawn / 8, np.eye(3)))
    True
    """
    from scipy.special import ndtri

    if not dimensions:
        return np.zeros((count, 0))
    golden = 2.0
    for _ in range(64):
        golden = (1 + golden) ** (1 / (dimensions + 1))
    step = golden ** -np.arange(1.0, dimensions + 1)
    first = np.random.default_rng(seed).random(dimensions)
    share = (first + np.outer(np.arange(after, after + count), step)) % 1
    drawn: Floats = np.asarray(ndtri(np.clip(share, 1e-12, 1 - 1e-12)))
    drawn = drawn - drawn.mean(axis=0)
    if count <= dimensions + 1:
        return drawn
    return np.asarray(np.linalg.solve(np.linalg.cholesky(drawn.T @ drawn / count), drawn.T).T)


def _scored(numbers: Numbers, paths: tuple[str, ...], scores: Floats) -> Numbers:
    return numbers.with_scores(dict(zip(paths, scores.T, strict=True)))


# --- one of many --------------------------------------------------------------------------------------------


def _one_of(thing: Any, i: int) -> Any:
    """The same with the i-th entry of everything in it that is an array."""
    held = {f.name: getattr(thing, f.name) for f in fields(thing)}
    return replace(thing, **{name: _entry(value, i) for name, value in held.items()})


def _entry(value: Any, i: int) -> Any:
    if isinstance(value, Row):
        return Row({c: _entry(share, i) for c, share in value.items()})
    return float(value[i]) if isinstance(value, np.ndarray) else value


def _frame(many: Frame, count: int, i: int) -> Frame:
    stiffness = many.stiffness
    one = None if stiffness is None else lambda x: np.broadcast_to(stiffness(x), (count, *np.shape(x)))[i]
    ends = {"front": _entry(many.front, i), "rear": _entry(many.rear, i)}
    return replace(many, **ends, breaks=tuple(_entry(b, i) for b in many.breaks), stiffness=one)
