"""Where lines lie: a tyre rolls a little less or more than its size says, and a speed is a little off.

A line is looked for near where it ought to be, on all passes together, before and after alike, so that the
search favours neither side.  A vehicle whose axles roll differently has two lines there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from .line_power import near
from .passes import Pass, Shake, shaken

Floats = NDArray[np.float64]

OFF = 0.035  # [-] by which a line may lie off: rolling circumference and speed together
CLEAR = 4.0  # standard deviations by which a line stands out of its background
CHANCE = 0.5  # [-] variance of what a line holds by chance, over the square of its background
SECOND = 0.05  # [-] of the power, which a second line must hold at least
TURNS = 2  # of two lines finding their places beside each other


def located(shake: Shake, passes: Sequence[Pass]) -> Shake:
    """The same shake, each of its lines where the passes have it; where none stands out, as it was.

    passes  all with pieces of one length
    """
    found: list[float] = []
    for line in shake.lines:
        found += [place for place in _places(line, passes) if place not in found]
    return replace(shake, lines=tuple(found))


def _places(line: float, passes: Sequence[Pass]) -> tuple[float, ...]:
    per_metre = passes[0].per_metre
    trials = per_metre[np.abs(per_metre - line) <= OFF * line]
    first, clear, power = _clearest(trials, (), passes)
    if clear < CLEAR:
        return (line,)
    second, clearer, both = _clearest(trials, (first,), passes)
    if clearer - clear < CLEAR or both - power < SECOND * power:
        return (first,)
    for _ in range(TURNS):  # each pushed the other aside while it stood alone
        first, _, _ = _clearest(trials, (second,), passes)
        second, _, _ = _clearest(trials, (first,), passes)
    return first, second


def _clearest(trials: Floats, known: tuple[float, ...], passes: Sequence[Pass]) -> tuple[float, float, float]:
    """The place [1/m] that, with those known, stands out most; by how much [-], and its power [unit^2]."""
    free = trials[~near(trials, known, float(passes[0].per_metre[1]))]
    stands = [(*_stands((*known, float(trial)), passes), float(trial)) for trial in free]
    clear, power, place = max(stands, default=(0.0, 0.0, 0.0))
    return place, clear, power


def _stands(places: tuple[float, ...], passes: Sequence[Pass]) -> tuple[float, float]:
    """By how many standard deviations lines stand out of their background at the clearest channel [-], and
    how much power they hold there [unit^2].

    Told by the logarithm of what is there over what lies beside it: a background that by chance is low makes
    no line.
    """
    pieces = [shaken(one, Shake("", lines=places)) for one in passes]
    power = np.concatenate([one.power for one in pieces]).sum(axis=0)
    doubts = np.maximum(np.concatenate([one.chance for one in pieces]), 1e-300)
    error = np.sqrt(CHANCE * doubts.sum(axis=0)) / np.sqrt(doubts).sum(axis=0)  # of that logarithm
    over = np.maximum(error * power / np.sqrt(doubts.sum(axis=0)), -0.9)
    clear = np.log1p(over) / error
    return float(clear.max()), float(power[clear.argmax()])
