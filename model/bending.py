"""What bends: the frame, and the sills of bodies that are clamped to it along their length."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .numbers import Numbers
from .plan import BodyPlan, Plan

Floats = NDArray[np.float64]

GYRATION = 0.38  # [-] radius of gyration of a channel over its height: 0.36 to 0.40 for rails of trucks


@dataclass(frozen=True)
class Stretch:
    """A length of the frame, or of sills that bend with it; of one vehicle, or of many (vehicles,).

    front, rear  stations [m]
    stiffness    EI [N m^2], both sides together
    path         of the number behind it

    >>> Stretch(1.0, 3.0, 5e6, "body.box.bending_stiffness").along(np.array([0.5, 1.5])).tolist()
    [0.0, 5000000.0]
    """

    front: Any
    rear: Any
    stiffness: Any
    path: str

    def along(self, stations: Floats) -> Floats:
        """EI [N m^2] at stations [m] along the last axis; none beyond its ends."""
        front, rear, stiffness = (np.asarray(v)[..., None] for v in (self.front, self.rear, self.stiffness))
        return np.where((stations >= front) & (stations < rear), stiffness, 0.0)


def composite_gain(frame: Any, sills: Any) -> Any:
    """What sills on top of the rails add when nothing slips between them [N m^2].

        EI = EI_f + EI_s + gain,   gain = EI_f s (1 + s) / (4 k^2),   s = (EI_s / EI_f)^(1/3),   k = 0.38

    Beyond EI_f + EI_s, which is what both are worth side by side, each bending about its own middle.

    frame  EI_f [N m^2] of both rails together
    sills  EI_s [N m^2] of both sills together

    Source: parallel axes, elementary.  Rails and sills are taken as thin sections of one shape and one
    thickness, so that area goes with height and second moment with its cube; k is the radius of gyration over
    the height.  A strip between them adds to their distance, and is left out.

    >>> round(float(composite_gain(4e6, 4e6)) / 4e6, 2)     # two alike: 2 side by side, 5.5 as one
    3.46
    """
    height = np.cbrt(np.asarray(sills) / frame)
    return frame * height * (1 + height) / (4 * GYRATION**2)


def stretches(plan: Plan, numbers: Numbers) -> tuple[Stretch, ...]:
    """All that bends, front to rear: the frame's own, then the sills of each body that bends with it.

    Sills over a length of frame add EI_s, and the part of the composite gain that their mounting passes on
    as shear (0: they slide, 1: nothing slips).  This straight line between the two is how incomplete
    interaction is commonly taken in composite beams; which part it is, is estimated by the mounting.
    """
    own = _own(plan, numbers)
    joined = [body for body in plan.bodies if body.bends]
    return (*own, *(piece for body in joined for piece in _sills(body, own, numbers)))


def _own(plan: Plan, numbers: Numbers) -> list[Stretch]:
    if not plan.segments:
        path = "frame.bending_stiffness"
        return [Stretch(-np.inf, np.inf, numbers[path], path)]
    inner = [numbers[f"frame.segment.{i}.to"] for i in range(1, plan.segments)]
    ends = [-np.inf, *inner, np.inf]
    paths = [f"frame.segment.{i}.bending_stiffness" for i in range(1, plan.segments + 1)]
    return [
        Stretch(front, rear, numbers[path], path)
        for (front, rear), path in zip(pairwise(ends), paths, strict=True)
    ]


def _sills(body: BodyPlan, own: Sequence[Stretch], numbers: Numbers) -> Iterator[Stretch]:
    path = f"body.{body.name}"
    middle, half = numbers[f"{path}.station"], numbers[f"{path}.length"] / 2
    sills, joined = numbers[f"{path}.bending_stiffness"], np.minimum(numbers[f"{path}.composite_action"], 1.0)
    for under in own:
        front, rear = np.maximum(middle - half, under.front), np.minimum(middle + half, under.rear)
        if np.any(front < rear):
            added = sills + joined * composite_gain(under.stiffness, sills)
            yield Stretch(front, rear, added, f"{path}.bending_stiffness")


def together(pieces: Sequence[Stretch], stations: Floats) -> Floats:
    """EI [N m^2] of all that bends at stations [m] along the last axis.

    >>> both = Stretch(-np.inf, np.inf, 5e6, "frame"), Stretch(1.5, 6.0, 1e6, "sills")
    >>> together(both, np.array([1.0, 2.0])).tolist()
    [5000000.0, 6000000.0]
    """
    return np.asarray(sum(piece.along(stations) for piece in pieces))


def borders(pieces: Sequence[Stretch]) -> tuple[Any, ...]:
    """Stations [m] where the stiffness of all together steps, in order for each vehicle.

    >>> both = Stretch(-np.inf, np.inf, 5e6, "frame"), Stretch(1.5, 6.0, 1e6, "sills")
    >>> [float(x) for x in borders(both)]
    [1.5, 6.0]
    """
    ends = [np.asarray(end) for piece in pieces for end in (piece.front, piece.rear)]
    steps = [end for end in ends if np.all(np.isfinite(end))]
    if not steps:
        return ()
    in_order = np.sort(np.stack(np.broadcast_arrays(*steps)), axis=0)
    kept = [in_order[0], *(b for a, b in pairwise(in_order) if np.any(a != b))]
    return tuple(kept)
