"""Levels of orders, and a map of the shake against speed: what follows a wheel, what keeps its place."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from ..notebook import shown_as_html
from ..ride import Ride
from .columns import refused
from .resampling import FLAT, along_angle
from .rotation import Angle
from .segments import Cut, cut, transforms
from .spectra import spectra

Floats = NDArray[np.float64]

LOBE = 2  # bins on either side that a line under the window spreads over
AROUND = 6  # further bins on either side that tell what is there without the line


@dataclass(frozen=True)
class OrderLevels:
    """Levels of some orders.

    orders      [-] (O,) asked for
    level       (C, O) r.m.s. level [unit] in the order's band, what else lies in it included
    background  (C, O) r.m.s. level [unit] that the neighbours would put into this band
    names       of the channels
    resolution  [-] how far two orders must lie apart to be seen as two
    averages    [-] independent ones
    """

    orders: Floats
    level: Floats
    background: Floats
    names: tuple[str, ...]
    resolution: float
    averages: float

    @property
    def alone(self) -> Floats:
        """R.m.s. level of each order without the background (C, O) [unit]; 0 where it does not stand out."""
        return np.sqrt(np.clip(self.level**2 - self.background**2, 0, None))

    def _repr_html_(self) -> str:
        rows = [
            (name, *(f"{level:.3g}" for level in levels))
            for name, levels in zip(self.names, self.level, strict=True)
        ]
        return shown_as_html("Levels of orders, r.m.s.", ("channel", *(f"{o:g}" for o in self.orders)), rows)


def order_levels(
    along: Ride, orders: ArrayLike, turns: float, channels: Sequence[str] | None = None
) -> OrderLevels:
    """The level of some orders of a ride along an angle, averaged over pieces of so many turns.

    along     from `along_angle`
    orders    [-], of the shaft; where samples are per metre, per metre [1/m]
    turns     [rev] of a piece: two orders are seen as two where they lie 1.5 / turns apart
    channels  names; None: all but the road speed and the time

    Raises CounterbounceError for an order too near zero or beyond what the samples hold, and what `spectra`
    raises.

    >>> from ..ride import Channel
    >>> t = np.arange(20_000) / 500
    >>> turns = 5 * t + t**2 / 10
    >>> shake = 2 * np.cos(2 * np.pi * turns) + np.cos(2 * np.pi * 3.2 * turns)
    >>> ride = Ride("", 500.0, 0.0, (Channel("floor", "m/s^2"),), shake[None])
    >>> found = order_levels(along_angle(ride, Angle(t[::50], turns[::50]), 16), [1, 2, 3.2], 20)
    >>> found.level.round(3).tolist()
    [[1.414, 0.0, 0.707]]
    """
    wanted = np.atleast_1d(np.asarray(orders, dtype=float))
    found = spectra(along, turns, channels)
    step = float(found.frequency[1])
    centre = np.rint(wanted / step).astype(int)
    beyond = (wanted < (LOBE + 1) * step) | (wanted > FLAT * along.rate)
    if beyond.any():
        span = f"{(LOBE + 1) * step:.3g} to {FLAT * along.rate:.4g}"
        raise refused(along.name, f"orders: wanted {span} from pieces of {turns:g}", f"{wanted[beyond][0]:g}")
    psd, bins = found.psd, len(found.frequency)
    level, background = np.empty((2, len(psd), len(wanted)))
    for o, at in enumerate(centre):
        level[:, o] = psd[:, at - LOBE : at + LOBE + 1].sum(axis=1) * step
        near = [*range(at - LOBE - AROUND, at - LOBE), *range(at + LOBE + 1, at + LOBE + 1 + AROUND)]
        near = [one for one in near if LOBE < one < bins]
        background[:, o] = np.median(psd[:, near], axis=1) * (2 * LOBE + 1) * step if near else 0.0
    return OrderLevels(
        wanted, np.sqrt(level), np.sqrt(background), found.names, found.resolution, found.averages
    )


# --- against speed ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class OrderMap:
    """Spectra by road speed, per metre travelled and per second, of the same ride.

    A ridge that stands still along `per_metre` while the speed changes turns with a wheel, or comes from the
    road; one that stands still along `frequency` belongs to the vehicle.

    edges        [m/s] (S + 1,) of the speed bins
    per_metre    [1/m] (O,)
    along_metre  (C, S, O) one-sided densities [unit^2 m]
    frequency    [Hz] (F,)
    along_time   (C, S, F) one-sided densities [unit^2/Hz]
    names        of the channels
    dwell        [s] (S,) in pieces of each bin
    pieces       (2, S) how many pieces, per metre and per second; with none, the densities are NaN
    change       [m/s] (S,) by which the speed changed within a piece of time, in the mean: a line of the
                 wheel is smeared by this share of the speed
    """

    edges: Floats
    per_metre: Floats
    along_metre: Floats
    frequency: Floats
    along_time: Floats
    names: tuple[str, ...]
    dwell: Floats
    pieces: NDArray[np.intp]
    change: Floats

    @property
    def speed(self) -> Floats:
        """The middle of each speed bin [m/s] (S,)."""
        return np.asarray((self.edges[:-1] + self.edges[1:]) / 2)

    def levels(self, low: float, high: float) -> Floats:
        """R.m.s. level by speed between two frequencies (C, S) [unit]; NaN where nobody drove.

        low, high  [Hz], both bins in
        """
        inside = (self.frequency >= low) & (self.frequency <= high)
        return np.asarray(np.sqrt(self.along_time[..., inside].sum(axis=-1) * self.frequency[1]))

    def order(self, per_metre: float) -> Floats:
        """R.m.s. level by speed of what comes so often a metre (C, S) [unit]; NaN where nobody drove.

        per_metre  [1/m]: a wheel order over the rolling circumference

        Raises ValueError where the map does not reach so far.
        """
        step = float(self.per_metre[1])
        at = round(per_metre / step)
        if not LOBE < at < len(self.per_metre) - LOBE:
            raise ValueError(
                f"per_metre must lie within {(LOBE + 1) * step:.3g} to {self.per_metre[-1]:.3g} 1/m"
            )
        return np.asarray(np.sqrt(self.along_metre[..., at - LOBE : at + LOBE + 1].sum(axis=-1) * step))


def order_map(
    ride: Ride,
    way: Angle,
    speeds: ArrayLike,
    seconds: float = 4.0,
    metres: float = 60.0,
    per_metre: int = 16,
    channels: Sequence[str] | None = None,
) -> OrderMap:
    """The map of a ride against speed.

    way        how far it had gone [m], from `angle_from_speed`
    speeds     [m/s] edges of the speed bins, rising
    seconds    [s] of a piece of time: frequencies are told apart by 1.5 / seconds
    metres     [m] of a piece of road: orders of a wheel of circumference C by 1.5 C / metres
    per_metre  samples a metre; up to 0.44 times as many cycles a metre are held
    channels   names; None: all but the road speed and the time

    Raises ValueError for edges that do not rise or a way that is no way along the road, and what `cut` and
    `along_angle` raise.

    >>> from ..ride import Channel
    >>> from .resampling import angle_from_speed
    >>> t = np.arange(24_000) / 200
    >>> v = 10 + t / 10
    >>> shake = np.sin(2 * np.pi * (10 * t + t**2 / 20) / 2.4)
    >>> channels = Channel("floor", "m/s^2"), Channel("speed", "m/s")
    >>> ride = Ride("", 200.0, 0.0, channels, np.stack([shake, v]))
    >>> found = order_map(ride, angle_from_speed(ride), [10, 14, 18, 22])
    >>> found.per_metre[found.along_metre[0].argmax(axis=1)].round(2).tolist()
    [0.42, 0.42, 0.42]
    >>> found.frequency[found.along_time[0].argmax(axis=1)].tolist()
    [5.0, 6.75, 8.25]
    """
    edges = np.asarray(speeds, dtype=float)
    if edges.ndim != 1 or len(edges) < 2 or not (np.diff(edges) > 0).all():
        raise ValueError("speeds must be two or more rising edges of bins in m/s")
    if way.unit != "m":
        raise ValueError("an order map needs the way along the road in metres, not turns")
    along = along_angle(ride, way, per_metre)
    by_time, by_way = cut(ride, seconds, channels), cut(along, metres, channels)

    def speed_in_time(starts: NDArray[np.intp]) -> Floats:
        begin = ride.start + starts / ride.rate
        return (way.turns_at(begin + seconds) - way.turns_at(begin)) / seconds

    def speed_on_the_way(starts: NDArray[np.intp]) -> Floats:
        clock = along.samples[-1]
        length = len(by_way.weights) - 1
        return np.asarray(length / per_metre / (clock[starts + length] - clock[starts]))

    time_part, time_pieces, change = _binned(ride, by_time, edges, speed_in_time, _change(ride, way, seconds))
    way_part, way_pieces, _ = _binned(along, by_way, edges, speed_on_the_way, None)
    dwell = time_pieces * by_time.hop / ride.rate
    both = np.stack([way_pieces, time_pieces])
    return OrderMap(
        edges, by_way.frequency, way_part, by_time.frequency, time_part, by_way.names, dwell, both, change
    )


Speeds = Callable[[NDArray[np.intp]], Floats]


def _change(ride: Ride, way: Angle, seconds: float) -> Speeds:
    """How much the speed changes within pieces."""

    def change(starts: NDArray[np.intp]) -> Floats:
        begin = ride.start + starts / ride.rate
        return np.abs(way.rate_at(begin + seconds) - way.rate_at(begin))

    return change


def _binned(
    ride: Ride, how: Cut, edges: Floats, speed: Speeds, change: Speeds | None
) -> tuple[Floats, NDArray[np.intp], Floats]:
    """Densities by speed (C, S, F), pieces in each bin (S,), mean change of speed within them (S,)."""
    count = len(edges) - 1
    power = np.zeros((len(how.rows), count, len(how.frequency)))
    pieces, changed = np.zeros(count, dtype=np.intp), np.zeros(count)
    with threadpool_limits(1):
        for starts, found in transforms(ride, how):
            into = np.searchsorted(edges, speed(starts), side="right") - 1
            chosen = (into[:, None] == np.arange(count)).astype(float)
            power += np.einsum("cbf,bs->csf", np.abs(found) ** 2, chosen, optimize=True)
            pieces += chosen.sum(axis=0).astype(np.intp)
            changed += change(starts) @ chosen if change else 0.0
    with np.errstate(invalid="ignore"):
        return power * how.density / pieces[:, None], pieces, changed / pieces
