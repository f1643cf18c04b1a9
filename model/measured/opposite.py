"""Left against right, and sideways: shakes that a planar vehicle does not have."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .shakes import Turning
from .steady import HIGH, LOW, PIECE
from .travelled import Floats, Slow

ROLLS = 1.8  # [-] times as much power in the difference of both sides as in their mean
WEIGHTY = 0.2  # [-] share of the power between 3 and 25 Hz that lies near the difference's top
SIDEWAYS = 2.0  # [-] times the level of the strongest vertical point
FACTOR = 1.12  # [-] beside a top


@dataclass(frozen=True)
class Opposite:
    """A shake of one point's two sides against each other, or of one point sideways.

    point      without its side
    frequency  [Hz] where it is strongest
    level      [m/s^2] r.m.s. of half the difference, or sideways
    ratio      [-] power against what the planar vehicle does: the mean of both sides, or upward
    share      [-] of the power between 3 and 25 Hz
    sideways   whether it is a lateral one
    """

    point: str
    frequency: float
    level: float
    ratio: float
    share: float
    sideways: bool


def opposites(slow: Slow, turned: Sequence[Turning]) -> tuple[Opposite, ...]:
    """Every point with two sides that work against each other, and every one that shakes sideways most."""
    pairs = [
        (name.removesuffix(", left"), i, slow.names.index(f"{name.removesuffix(', left')}, right"))
        for i, name in enumerate(slow.names)
        if name.endswith(", left") and f"{name.removesuffix(', left')}, right" in slow.names
    ]
    found = [_against(slow, *pair) for pair in pairs]
    found += [_sideways(slow, i) for i in range(len(slow.sideways))]
    return tuple(one for one in found if one is not None)


def _density(slow: Slow, x: Floats) -> tuple[Floats, Floats]:
    from scipy.signal import welch

    samples = min(round(PIECE * slow.rate), x.shape[-1])
    f, power = welch(x[..., slow.moving] if slow.moving.any() else x, slow.rate, nperseg=samples)
    return f, np.where((f >= LOW) & (f <= HIGH), power, 0.0)


def _against(slow: Slow, point: str, left: int, right: int) -> Opposite | None:
    both = np.stack([slow.shake[left] - slow.shake[right], slow.shake[left] + slow.shake[right]]) / 2
    if (slow.moving.sum() if slow.moving.any() else both.shape[1]) < 64:
        return None
    f, (apart, together) = _density(slow, both)
    top = int(np.argmax(apart))
    near = (f > f[top] / FACTOR) & (f < f[top] * FACTOR)
    ratio = float(apart[near].sum() / max(together[near].sum(), 1e-30))
    share = float(apart[near].sum() / max(apart.sum() + together.sum(), 1e-30))
    if ratio < ROLLS or share < WEIGHTY:
        return None
    level = float(np.sqrt(apart[near].sum() * f[1]))
    return Opposite(point, float(f[top]), level, ratio, share, False)


def _sideways(slow: Slow, i: int) -> Opposite | None:
    if slow.sideways.shape[1] < 64:
        return None
    f, power = _density(slow, slow.sideways[i])
    top = int(np.argmax(power))
    near = (f > f[top] / FACTOR) & (f < f[top] * FACTOR)
    upward = _density(slow, slow.shake[list(slow.sprung)])[1][:, near].sum(axis=1).max()
    ratio, share = (
        float(power[near].sum() / max(upward, 1e-30)),
        float(power[near].sum() / max(power.sum(), 1e-30)),
    )
    if ratio < SIDEWAYS**2 or share < WEIGHTY:
        return None
    name = slow.sideways_names[i].replace(", lateral", "")
    return Opposite(name, float(f[top]), float(np.sqrt(power[near].sum() * f[1])), ratio, share, True)
