"""Two sets of rides weighted to the same speeds, so that what differs is the change and not the driving.

What counts as one is a whole beat of the wheels, or a whole pass where there are enough of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..model.faults import CounterbounceError, Fault
from ..model.ride import Ride
from .line_places import located
from .passes import Pass, Shake, in_pieces, shaken
from .reduction import Change, Drawn, change_of

Floats = NDArray[np.float64]

STEP = 2 / 3.6  # [m/s] of road speed that counts as one speed, where it changes no faster than that


@dataclass(frozen=True)
class Side:
    """All pieces of one side, N of them: which is drawn together with which, and what shook.

    unit    (N,) beat or pass
    speed   [m/s] (N,)
    power   (N, C, Q) mean square of each channel in each shake [unit^2]
    chance  (N, C, Q) variance of it that a rough road explains [unit^4]
    bend    (N, C, Q) as `Shaken` has it [unit^2]
    """

    unit: NDArray[np.intp]
    speed: Floats
    power: Floats
    chance: Floats
    bend: Floats


@dataclass(frozen=True)
class Matched:
    """Two sides at the speeds that both drove.

    names     of the channels that all rides have, C of them
    shakes    Q of them, their lines where the rides have them
    step      [m/s] that counts as one speed
    speeds    [m/s] (S,) that both drove
    weights   [-] (S,) how much each counts: as often as the side drove it that drove it less
    beats     [-] that the passes hold, before and after
    left_out  channels that some rides have not
    """

    names: tuple[str, ...]
    shakes: tuple[Shake, ...]
    before: Side
    after: Side
    step: float
    speeds: Floats
    weights: Floats
    beats: tuple[float, float]
    left_out: tuple[str, ...]

    def changes(self, which: slice = slice(None)) -> list[list[Change]]:
        """A change for each shake and channel, over all speeds or some of them, each counted alike on both
        sides."""
        speeds, weights = self.speeds[which], self.weights[which]
        old, new = (_sums(side, speeds, self.step, weights) for side in (self.before, self.after))
        around = float(speeds[0] - self.step / 2), float(speeds[-1] + self.step / 2)
        return [
            [change_of(old.drawn(c, q), new.drawn(c, q), shake.name, name, around)
             for c, name in enumerate(self.names)]
            for q, shake in enumerate(self.shakes)
        ]  # fmt: skip

    @property
    def alone(self) -> int:
        """How many beats or passes share no speed with the other side."""
        return sum(
            len(
                set(side.unit.tolist())
                - set(side.unit[_at(side.speed, self.speeds, self.step) >= 0].tolist())
            )
            for side in (self.before, self.after)
        )


def matched(
    before: Sequence[Ride],
    after: Sequence[Ride],
    shakes: Sequence[Shake],
    beat: float,
    piece: float,
    by_pass: bool,
    within: tuple[float, float] | None = None,
) -> Matched:
    """Rides before and after, cut into pieces, at the speeds that both drove.

    before, after  along the road, as `along_road` makes them
    beat    [m] that a beat of the wheels is long
    piece   [m] of road
    within  [m/s] speeds that count; None: all

    Raises CounterbounceError where they have no channel or no speed in common.
    """
    sides = [[in_pieces(one, beat, piece) for one in rides] for rides in (before, after)]
    every = [one for passes in sides for one in passes]
    names, left_out = _common(every)
    found = tuple(located(shake, every) for shake in shakes)
    steps = np.concatenate([[0.0], *(np.abs(np.diff(one.speed)) for one in every)])
    step = max(STEP, float(np.median(steps)))
    one, other = (_side(passes, found, names, by_pass) for passes in sides)
    speeds = _both(one, other, step, within)
    counts = [
        np.bincount(_at(side.speed, speeds, step) + 1, minlength=len(speeds) + 1)[1:] for side in (one, other)
    ]
    beats = [sum(one.beats for one in passes) for passes in sides]
    return Matched(
        names,
        found,
        one,
        other,
        step,
        speeds,
        np.minimum(*counts).astype(float),
        (beats[0], beats[1]),
        left_out,
    )


def _common(every: Sequence[Pass]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The channels that all passes have, and those that some have not."""
    names = tuple(name for name in every[0].names if all(name in one.names for one in every))
    if not names:
        given = " | ".join(", ".join(one) for one in dict.fromkeys(one.names for one in every))
        raise CounterbounceError([Fault("", None, "channels", given, "wanted one that all rides have")])
    return names, tuple(
        name for name in dict.fromkeys(n for one in every for n in one.names) if name not in names
    )


def _side(passes: Sequence[Pass], shakes: Sequence[Shake], names: Sequence[str], by_pass: bool) -> Side:
    units, found, total = [], [], 0
    for one in passes:
        own = np.zeros_like(one.beat) if by_pass else one.beat
        units.append(own + total)
        total += int(own.max()) + 1
        rows = [one.names.index(name) for name in names]
        each = [shaken(one, shake) for shake in shakes]
        found.append(
            np.stack([[s.power[:, rows], s.chance[:, rows], s.bend[:, rows]] for s in each], axis=-1)
        )
    speeds = np.concatenate([one.speed for one in passes])
    return Side(np.concatenate(units), speeds, *np.concatenate(found, axis=1))


def _both(one: Side, other: Side, step: float, within: tuple[float, float] | None) -> Floats:
    """The speeds that both sides drove [m/s], whole steps."""
    both = np.intersect1d(np.rint(one.speed / step), np.rint(other.speed / step)) * step
    if within:
        both = both[(both >= within[0] - step / 2) & (both <= within[1] + step / 2)]
    if not len(both):
        spans = " and ".join(f"{side.speed.min():.1f} to {side.speed.max():.1f} m/s" for side in (one, other))
        asked = f", within {within[0]:.1f} to {within[1]:.1f} m/s" if within else ""
        wanted = f"wanted a speed that was driven before and after{asked}"
        raise CounterbounceError([Fault("", None, "speed", spans, wanted)])
    return np.asarray(both)


def _at(speed: Floats, speeds: Floats, step: float) -> NDArray[np.intp]:
    """Which of the speeds each piece has, (N,); -1: none of them."""
    whole, wanted = np.rint(speed / step), np.rint(speeds / step)
    place = np.minimum(np.searchsorted(wanted, whole), len(wanted) - 1)
    return np.where(wanted[place] == whole, place, -1)


# --- how much, and how surely ----------------------------------------------------------------------------


@dataclass(frozen=True)
class _Sums:
    """Of each beat or pass that has one of the speeds: power [unit^2], chance [unit^4] and bend [unit^2], all
    weighted (U, C, Q), and the weight [-] (U,)."""

    power: Floats
    chance: Floats
    bend: Floats
    weight: Floats

    def drawn(self, channel: int, shake: int) -> Drawn:
        where = slice(None), channel, shake
        return Drawn(self.power[where], self.weight, self.chance[where], float(self.bend[where].sum()))


def _sums(side: Side, speeds: Floats, step: float, weights: Floats) -> _Sums:
    place = _at(side.speed, speeds, step)
    each = weights / np.maximum(np.bincount(place + 1, minlength=len(speeds) + 1)[1:], 1)
    counted = np.where(place >= 0, each[place], 0.0)
    units = int(side.unit.max()) + 1
    total = np.bincount(side.unit, counted, units)
    by_unit = np.zeros((units, len(counted)))
    by_unit[side.unit, np.arange(len(counted))] = counted
    by_unit = by_unit[total > 0]
    power, bend = (np.tensordot(by_unit, one, 1) for one in (side.power, side.bend))
    chance = np.tensordot(by_unit**2, side.chance, 1)
    return _Sums(power, chance, bend, np.asarray(total[total > 0], dtype=float))
