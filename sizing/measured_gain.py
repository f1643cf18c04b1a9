"""Two sets of rides, before a change and after it: what it took off the shake, and whether that is chance.

Both are weighted to the same speeds.  What counts as one is a whole beat of the wheels, or a whole pass where
there are enough of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ..model.faults import CounterbounceError, Fault, nearest
from ..model.notebook import shown_as_html
from ..model.ride import Ride
from .passes import Pass, Shake, beat_length, in_pieces, wheel_order, whole
from .reduction import FEWEST, Change, change_of, passes_needed

Floats = NDArray[np.float64]
PASSES = 5  # on each side, from which a pass is drawn whole
STEP = 2 / 3.6  # [m/s] of road speed that counts as one speed
POWER, WORTH = 0.90, 0.20  # to be shown with this probability [-], where the shake falls by this share [-]
ORDERS = (1, 2, 3)
MUST_AGREE = ("road", "direction", "load", "pressure", "gear")


@dataclass(frozen=True)
class Gain:
    """What a change did, as far as rides show it.

    change      at the place that shook most before, or that was asked for, over all speeds that both had
    by_channel  the same at every place
    by_order    there, each wheel order; empty where the rolling circumference is not known
    by_speed    there, speed by speed
    speeds      [m/s] (S,) that both had
    weights     [-] (S,) how much each counts on both sides
    unit        what was drawn: beats or passes
    beat        [m] that a beat is long
    beats       [-] that the passes hold, before and after
    passes      how many there are, before and after
    needed      passes such as these on each side that would show a fall of 20 % in nine of ten tries; None:
                unknown, or more than 999
    notes       what the rides do not say, or what was left out
    """

    change: Change
    by_channel: tuple[Change, ...]
    by_order: tuple[Change, ...]
    by_speed: tuple[Change, ...]
    speeds: Floats
    weights: Floats
    unit: Literal["beats", "passes"]
    beat: float
    beats: tuple[float, float]
    passes: tuple[int, int]
    needed: int | None
    notes: tuple[str, ...]

    def _repr_html_(self) -> str:
        rows = [
            (one.channel, f"{one.before:.3g}", f"{one.after:.3g}", f"{one.reduction:.0%}", one.said)
            for one in self.by_channel
        ]
        return shown_as_html("Before and after", ("at", "before", "after", "falls by", ""), rows)


def measured_gain(
    before: Sequence[Ride],
    after: Sequence[Ride],
    at: str | None = None,
    circumference: float | None = None,
    beat: float | None = None,
    different: Sequence[str] = (),
    within: tuple[float, float] | None = None,
    lines: tuple[float, ...] = (),
) -> Gain:
    """What a change did to a shake, from rides before it and after it; each ride is a pass.

    at             the channel that decides; None: the one that shook most before
    circumference  [m] rolling, of the wheels; None: nothing is said of orders
    beat           [m] that a beat of the wheels is long; None: as `beat_length` has it
    different      what may differ between the rides though it should not: load, road, ...
    within         [m/s] speeds that count; None: all
    lines          [1/m] that follow the road and decide, without what lies beside them; none: everything does

    Raises CounterbounceError for rides that cannot be compared: driven differently, without a speed, without
    a channel or a speed in common, or too short.
    """
    notes = agreeing([*before, *after], different)
    length = beat or beat_length(circumference)
    decides = Shake("lines of the road and the wheels", lines=lines) if lines else whole()
    shakes = [decides, *(wheel_order(order, circumference) for order in ORDERS if circumference)]
    sides = [[in_pieces(one, shakes, length) for one in rides] for rides in (before, after)]
    names, left_out = _common(sides)
    by_pass = min(len(before), len(after)) >= PASSES
    one, other = (_side(passes, names, by_pass) for passes in sides)
    speeds = _matched(one, other, within)
    overall = _changes(one, other, speeds, shakes, names)
    place = _place(at, names, [change.before for change in overall[0]])
    each = [_changes(one, other, speeds[[i]], shakes[:1], names)[0][place] for i in range(len(speeds))]
    beats = [sum(one.beats for one in passes) for passes in sides]
    return Gain(
        overall[0][place],
        tuple(overall[0]),
        tuple(changes[place] for changes in overall[1:]),
        tuple(each),
        np.asarray(speeds * STEP, dtype=float),
        _weight(one, other, speeds),
        "passes" if by_pass else "beats",
        length,
        (beats[0], beats[1]),
        (len(before), len(after)),
        passes_needed(overall[0][place], (len(before), len(after))),
        (*notes, *left_out, *_alone(one, other, speeds), *_too_few(overall[0][place])),
    )


# --- what belongs together -------------------------------------------------------------------------------


def agreeing(rides: Sequence[Ride], different: Sequence[str] = ()) -> list[str]:
    """What the rides leave unsaid of how they were driven.

    Raises CounterbounceError where they say that they were driven differently, or `different` names
    something else.

    >>> from ..model.ride import Channel
    >>> seat = (Channel("seat", "m/s^2"),)
    >>> one = Ride("", 1.0, 0.0, seat, np.zeros((1, 9)), {"road": "A", "load": "empty"})
    >>> agreeing([one, one])
    ['Nobody says whether the rides share direction, pressure, gear.']
    """
    odd = [name for name in different if name not in MUST_AGREE]
    faults = [
        Fault("", None, "--different", name, "wanted one of", nearest(name, MUST_AGREE), choices=MUST_AGREE)
        for name in odd
    ]
    unsaid = []
    for key in (key for key in MUST_AGREE if key not in different):
        told = {" ".join(r.labels[key].casefold().split()): r for r in rides if r.labels.get(key)}
        if len(told) > 1:
            heard = " and ".join(f"{ride.labels[key]} ({ride.name})" for ride in list(told.values())[:2])
            wanted = f"wanted the same {key} before and after: only the change itself may differ"
            faults.append(Fault("", None, key, heard, wanted, example=f"--different {key}, where it must be"))
        if not all(ride.labels.get(key) for ride in rides):
            unsaid.append(key)
    if faults:
        raise CounterbounceError(faults)
    return [f"Nobody says whether the rides share {', '.join(unsaid)}."] if unsaid else []


def _common(sides: Sequence[Sequence[Pass]]) -> tuple[list[str], list[str]]:
    """The channels that all passes have, and a sentence for those that some have not."""
    every = [one.names for passes in sides for one in passes]
    names = [name for name in every[0] if all(name in others for others in every)]
    if not names:
        given = " | ".join(", ".join(one) for one in dict.fromkeys(every))
        raise CounterbounceError([Fault("", None, "channels", given, "wanted one that all rides have")])
    rest = [name for name in dict.fromkeys(n for one in every for n in one) if name not in names]
    return names, [f"Not in all rides, and left out: {', '.join(rest)}."] if rest else []


def _place(at: str | None, names: Sequence[str], before: Sequence[float]) -> int:
    if at is None:
        return int(np.argmax(before))
    if at not in names:
        wanted = "wanted a channel that all rides have:"
        raise CounterbounceError(
            [Fault("", None, "--at", at, wanted, nearest(at, names), choices=tuple(names))]
        )
    return list(names).index(at)


def _alone(one: _Side, other: _Side, speeds: NDArray[np.intp]) -> list[str]:
    """Beats or passes that share no speed with the other side."""
    left = sum(
        len(set(side.unit.tolist()) - set(side.unit[np.isin(side.bin, speeds)].tolist()))
        for side in (one, other)
    )
    said = f"{left} beats or passes count for nothing: driven at speeds that the other side has not."
    return [said] if left else []


def _too_few(change: Change) -> list[str]:
    if change.interval is not None:
        return []
    least = min(change.drawn)
    return [
        f"Wanted {FEWEST} beats or passes before and after, to see how much they differ; here are {least}."
    ]


@dataclass(frozen=True)
class _Side:
    """All pieces of one side: which is drawn together with which, which speed it has, what shook [unit^2]."""

    unit: NDArray[np.intp]
    bin: NDArray[np.intp]
    power: Floats


def _side(passes: Sequence[Pass], names: Sequence[str], by_pass: bool) -> _Side:
    units, total = [], 0
    for one in passes:
        own = np.zeros_like(one.beat) if by_pass else one.beat
        units.append(own + total)
        total += int(own.max()) + 1
    speed = np.concatenate([one.speed for one in passes])
    power = np.concatenate([one.power[:, [one.names.index(name) for name in names]] for one in passes])
    return _Side(np.concatenate(units), np.rint(speed / STEP).astype(int), power)


def _matched(one: _Side, other: _Side, within: tuple[float, float] | None) -> NDArray[np.intp]:
    """The speeds that both sides drove, as numbers of steps."""
    both = np.intersect1d(one.bin, other.bin)
    if within:
        low, high = within[0] / STEP - 0.5, within[1] / STEP + 0.5
        both = both[(both >= low) & (both <= high)]
    if not len(both):
        spans = " and ".join(
            f"{side.bin.min() * STEP:.1f} to {side.bin.max() * STEP:.1f} m/s" for side in (one, other)
        )
        asked = f", within {within[0]:.1f} to {within[1]:.1f} m/s" if within else ""
        raise CounterbounceError(
            [Fault("", None, "speed", spans, f"wanted a speed that was driven before and after{asked}")]
        )
    return both


# --- how much, and how surely ----------------------------------------------------------------------------


def _changes(
    one: _Side, other: _Side, speeds: NDArray[np.intp], shakes: Sequence[Shake], names: Sequence[str]
) -> list[list[Change]]:
    """A change for each shake and channel, all speeds together, each counted alike on both sides."""
    weight = _weight(one, other, speeds)
    sums = [_sums(side, speeds, weight / _count(side, speeds)) for side in (one, other)]
    low, high = (speeds[0] - 0.5) * STEP, (speeds[-1] + 0.5) * STEP
    return [
        [
            change_of(sums[0][0][:, c, q], sums[0][1], sums[1][0][:, c, q], sums[1][1], shake.name, name,
                      (low, high))
            for c, name in enumerate(names)
        ]
        for q, shake in enumerate(shakes)
    ]  # fmt: skip


def _count(side: _Side, speeds: NDArray[np.intp]) -> Floats:
    return np.array([float((side.bin == speed).sum()) for speed in speeds])


def _weight(one: _Side, other: _Side, speeds: NDArray[np.intp]) -> Floats:
    """How much each speed counts: as often as the side drove it that drove it less [-]."""
    return np.asarray(np.minimum(_count(one, speeds), _count(other, speeds)))


def _sums(side: _Side, speeds: NDArray[np.intp], weight: Floats) -> tuple[Floats, Floats]:
    """Of each beat or pass that has one of the speeds: weighted power (U, C, Q) and weight (U,)."""
    place = np.minimum(np.searchsorted(speeds, side.bin), len(speeds) - 1)
    counted = np.where(speeds[place] == side.bin, weight[place], 0.0)
    units = int(side.unit.max()) + 1
    total = np.bincount(side.unit, counted, units)
    power = np.zeros((units, *side.power.shape[1:]))
    np.add.at(power, side.unit, counted[:, None, None] * side.power)
    there = total > 0
    return power[there], np.asarray(total[there], dtype=float)
