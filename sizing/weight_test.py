"""A weight over the rear end: where it moves the shake by the model, and whether that is what was seen.

A check of the model, not a calibration: nothing is fitted to it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..model.matrices import matrices
from ..model.modes import Modes, modes
from ..model.observations import WEIGHT, Observation
from ..model.response import dynamics
from ..model.speeds import critical_speeds
from ..model.vehicle import Vehicle
from .absorber import with_ballast
from .study import Host

Floats = NDArray[np.float64]

NOTICED = 0.03  # of the speed: a smaller move is not felt from the seat; common practice, no source
LEAST = 0.005  # of the speed: a move that nobody could have felt
UNNOTICED = 0.05  # how far a vehicle whose shake hardly moves agrees with a move that was felt
WIDER = 1.3  # beyond the speeds of the case: the shake may have moved out of them


@dataclass(frozen=True)
class WeightTest:
    """A weight bolted down, computed, beside what was seen.

    seen                the observation
    mode_name           of the mode that the verdict is about
    frequencies         [Hz] of that mode, before and after
    speeds              [m/s] at which it is met, before and after
    predicted           [m/s] (from, to): the complaint's speeds moved by the same share; None without them
    agrees              whether what was seen is what the model says; None where it cannot say
    """

    seen: Observation
    mode_name: str
    frequencies: tuple[float, float]
    speeds: tuple[float, float]
    predicted: tuple[float, float] | None
    agrees: bool | None

    @property
    def share(self) -> float:
        """How far the speed moves, as a share of itself [-]; negative: to a lower speed."""
        return self.speeds[1] / self.speeds[0] - 1


def weight_test(one: Host) -> WeightTest | None:
    """The heaviest weight of which it is told where the shake went; None where none can be judged."""
    told = [s for s in one.case.observations if s.change == WEIGHT and s.result in ("moved", "stayed")]
    other = [s for s in one.case.observations if s.change == WEIGHT]
    fit = [s for s in told or other if s.at in one.vehicle.points]
    if one.target is None or not fit:
        return None
    return _judged(one, max(fit, key=lambda s: s.mass or 0.0))


def _judged(one: Host, seen: Observation) -> WeightTest:
    assert one.target is not None
    assert seen.at is not None
    critical = one.target.critical
    heavier = with_ballast(one.vehicle, seen.at, seen.mass or 0.0)
    found = modes(heavier)
    mode = same_mode(one.vehicle, one.modes, found, critical.mode)
    slow, fast = one.case.speeds
    met = critical_speeds(
        dynamics(heavier), found, [critical.cause], heavier.judged, (slow / WIDER, fast * WIDER)
    )
    after = next((c for c in met if c.mode == mode), None)
    frequencies = critical.frequency, float(found.frequency_hz[mode])
    speeds = critical.coincidence, frequencies[1] / critical.cause.per_metre
    if after is not None and (after.peak is None) == (critical.peak is None):
        speeds = critical.speed, after.speed
    felt = one.case.complaint.speed if one.case.complaint else None
    share = speeds[1] / speeds[0]
    predicted = (felt[0] * share, felt[1] * share) if felt else None
    return WeightTest(
        seen, critical.mode_name, frequencies, speeds, predicted, agrees(seen, share - 1, felt, predicted)
    )


def same_mode(vehicle: Vehicle, before: Modes, after: Modes, mode: int) -> int:
    """The mode of a changed vehicle, of the same coordinates, whose shape is most like one of before's."""
    alike = after.shapes.T @ matrices(vehicle).M @ before.shapes[:, mode]
    return int(np.argmax(np.abs(alike)))


def agrees(
    seen: Observation,
    share: float,
    felt: tuple[float, float] | None,
    predicted: tuple[float, float] | None,
) -> bool | None:
    """Whether a result is what the model says; None where the result says nothing about the speed.

    share      by which the model moves the speed [-]
    felt       the complaint's speeds [m/s]
    predicted  the same, moved [m/s]

    >>> lower = Observation("weight over the rear end", "moved", (24.0, 26.0))
    >>> agrees(lower, -0.05, (25.0, 27.0), (23.75, 25.65)), agrees(lower, 0.05, (25.0, 27.0), (26.25, 28.35))
    (True, False)
    """
    half = (felt[1] - felt[0]) / (felt[1] + felt[0]) if felt else 0.0
    if seen.result == "stayed":
        return abs(share) <= max(half, NOTICED)
    if seen.result != "moved":
        return None
    if seen.speed is None or felt is None or predicted is None:
        return share <= -LEAST
    now, said = sum(seen.speed) / 2, sum(predicted) / 2
    width = _mean_half([seen.speed, predicted])
    same_way = (now - sum(felt) / 2) * share > 0
    return same_way and abs(now - said) <= max(width, NOTICED * said)


def agreement(seen: Observation, share: Floats, felt: tuple[float, float] | None) -> Floats:
    """How well vehicles agree with what a weight did, from 0 to 1 [-], (V,).

    share  by which each of them moves the speed [-], (V,)
    felt   the complaint's speeds [m/s]

    >>> seen = Observation("weight over the rear end", "moved", (24.0, 26.0))
    >>> agreement(seen, np.array([-0.04, 0.0, -0.2]), (25.0, 27.0)).round(2).tolist()
    [1.0, 0.61, 0.0]
    """
    half = (felt[1] - felt[0]) / (felt[1] + felt[0]) if felt else 0.0
    if seen.result == "stayed":
        return np.exp(-((share / max(half, NOTICED)) ** 2) / 2)
    if seen.result != "moved":
        return np.ones_like(share)
    if seen.speed is None or felt is None:
        return np.where(share <= -LEAST, 1.0, UNNOTICED)
    said = (1 + share) * sum(felt) / 2
    width = np.maximum(_mean_half([seen.speed, felt]), NOTICED * said)
    return np.exp(-(((sum(seen.speed) / 2 - said) / width) ** 2) / 2)


def _mean_half(bands: Sequence[tuple[float, float]]) -> float:
    return sum((high - low) / 2 for low, high in bands) / len(bands)
