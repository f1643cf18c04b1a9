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
from .matched_speeds import Matched, matched
from .passes import LONG, PIECE, SHORT, Shake, along_road, beat_length, line_piece, wheel_order, whole
from .reduction import FEWEST, Change, passes_needed

Floats = NDArray[np.float64]
PASSES = 5  # on each side, from which a pass is drawn whole
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
    length, passes = beat or beat_length(circumference), (len(before), len(after))
    old, new = ([along_road(one) for one in rides] for rides in (before, after))
    by_pass, piece = min(passes) >= PASSES, line_piece([*old, *new])
    follow = [Shake("lines of the road and the wheels", lines=lines)] if lines else []
    follow += [wheel_order(order, circumference) for order in ORDERS if circumference]
    of_lines = matched(old, new, follow, length, piece, by_pass, within) if follow else None
    decides = of_lines if lines else None
    decides = decides or matched(old, new, [whole()], length, PIECE, by_pass, within)
    overall = decides.changes()[0]
    place = _place(at, decides.names, [change.before for change in overall])
    orders = of_lines.changes()[len(lines) > 0 :] if of_lines else []
    each = [decides.changes(slice(i, i + 1))[0][place] for i in range(len(decides.speeds))]
    return Gain(
        overall[place],
        tuple(overall),
        tuple(order[place] for order in orders),
        tuple(each),
        decides.speeds,
        decides.weights,
        "passes" if by_pass else "beats",
        length,
        decides.beats,
        passes,
        passes_needed(overall[place], passes),
        (*notes, *_left_out(decides), *_too_short(piece, follow), *_not_shown(overall[place])),
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


def _place(at: str | None, names: Sequence[str], before: Sequence[float]) -> int:
    if at is None:
        return int(np.argmax(before))
    if at not in names:
        wanted = "wanted a channel that all rides have:"
        raise CounterbounceError(
            [Fault("", None, "--at", at, wanted, nearest(at, names), choices=tuple(names))]
        )
    return list(names).index(at)


def _left_out(found: Matched) -> list[str]:
    """Channels, beats and passes that count for nothing."""
    said = []
    if found.left_out:
        said.append(f"Not in all rides, and left out: {', '.join(found.left_out)}.")
    if found.alone:
        said.append(
            f"{found.alone} beats or passes count for nothing: driven at speeds that the other side has not."
        )
    return said


def _too_short(piece: float, follow: Sequence[Shake]) -> list[str]:
    if piece >= SHORT or not follow:
        return []
    return [
        f"In pieces of {piece:.0f} m a wheel order is hardly told from a resonance that a rough road stirs "
        f"up: wanted passes of {2 * SHORT:.0f} m or more, better {2 * LONG:.0f} m."
    ]


def _not_shown(change: Change) -> list[str]:
    """Why there is no interval, or only one end of it."""
    if min(change.drawn) < FEWEST:
        least = min(change.drawn)
        wanted = f"Wanted {FEWEST} beats or passes before and after, to see how much they differ"
        return [f"{wanted}; here are {least}."]
    if change.interval is None:
        return [
            "Before the change nothing rises above what the road stirs up beside it, so nobody can say what "
            "became of it: drive a smoother road, or more and longer passes."
        ]
    if change.least:
        return [
            "After the change nothing rises above what the road stirs up beside it: the level stated is the "
            "most that it may be, and the fall the least."
        ]
    return []
