"""One order along the ride: its complex amplitude at every point, and whether two close orders beat.

A shake is the real part of an amplitude times e^{+i 2 pi order turns}.  The angle zero is that of the shaft:
phases of points can be compared with each other, and those of one ride with another's only where both begin
at the same mark on the wheel.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..faults import nearest
from ..ride import Ride
from .columns import refused
from .resampling import FLAT
from .segments import Complexes, Cut, cut

Floats = NDArray[np.float64]

BEATS = 1.5  # beat periods that a pass must hold for two orders to be told apart
STANDS_OUT = 3.0  # standard errors above which a second line is one
DENSE = 8  # places tried within one over the length of a pass
HANN_SPREAD = 1 / 12 - 1 / (2 * np.pi**2)  # variance of place under a Hann window, over its length squared


@dataclass(frozen=True)
class Track:
    """The complex amplitude of one order along a ride.

    turns      [rev] (T,) the middle of each window
    time       [s] (T,) there
    amplitude  (T, C) [unit] complex, half of peak to peak
    error      (T, C) [unit] by which an amplitude that bends within the window is read wrong; what other
               orders and noise add comes on top
    order      [-]
    names      of the channels
    window     [rev] of each
    """

    turns: Floats
    time: Floats
    amplitude: Complexes
    error: Floats
    order: float
    names: tuple[str, ...]
    window: float

    @property
    def speed(self) -> Floats:
        """How fast it turns at each window [rev/s] (T,)."""
        return np.asarray(np.gradient(self.turns, self.time))

    def relative(self, reference: str) -> Complexes:
        """Each channel against one of them over the whole ride (C,) [unit/unit]: ratio of size, and phase.

        Raises KeyError for a channel that was not followed.
        """
        if reference not in self.names:
            raise KeyError(
                f"no channel {reference!r}; {nearest(reference, self.names) or ', '.join(self.names)}"
            )
        against = self.amplitude[:, self.names.index(reference)]
        return np.asarray(np.conj(against) @ self.amplitude / np.sum(np.abs(against) ** 2))


def track(along: Ride, order: float, turns: float, channels: Sequence[str] | None = None) -> Track:
    """One order of a ride along an angle, seen through Hann windows of so many turns, half of each shared.

    along     from `along_angle`
    order     [-] of the shaft
    turns     [rev] of a window; another order must lie 2 / turns away not to be seen with it
    channels  names; None: all but the road speed and the time

    Exact for a constant amplitude; where another order lies a whole multiple of 1 / turns, and at least twice
    that, away, it adds nothing.  Raises CounterbounceError for an order below 2 / turns or beyond what the
    samples hold, and what `cut` raises.

    >>> from ..ride import Channel
    >>> from .resampling import along_angle
    >>> from .rotation import Angle
    >>> t = np.arange(10_000) / 500
    >>> turns = 5 * t + t**2 / 10
    >>> both = np.stack([np.cos(2 * np.pi * turns), 2 * np.sin(2 * np.pi * turns)])
    >>> ride = Ride("", 500.0, 0.0, (Channel("floor", "m/s^2"), Channel("rear end", "m/s^2")), both)
    >>> found = track(along_angle(ride, Angle(t[::50], turns[::50]), 16), 1.0, 8)
    >>> ratio = found.relative("floor")[1]
    >>> abs(ratio).round(3).item(), np.angle(ratio, deg=True).round(1).item()
    (2.0, -90.0)
    """
    if not 2 / turns <= order <= FLAT * along.rate:
        wanted = f"order: wanted {2 / turns:.3g} to {FLAT * along.rate:.4g} for windows of {turns:g}"
        raise refused(along.name, wanted, f"{order:g}")
    how = cut(along, turns, channels)
    starts, amplitude = _projected(along, how, order)
    if not len(starts):
        raise refused(along.name, f"no window of {turns:g} turns without a gap")
    middle = np.asarray(starts + len(how.weights) / 2, dtype=float)
    clock = np.asarray(along.samples[-1]) if along.channels[-1].name == "time" else along.time
    at = along.start + middle / along.rate
    time = np.interp(middle, np.arange(len(along)), clock)
    return Track(at, time, amplitude, _bent(amplitude, how), order, how.names, turns)


def _projected(along: Ride, how: Cut, order: float) -> tuple[NDArray[np.intp], Complexes]:
    """Amplitudes (T, C) by windows, and where each window starts; windows with a gap are left out.

    In each, cosine, sine and a constant are fitted at once, squares weighted by the window: so neither a mean
    nor a window of broken periods spoils the amplitude.
    """
    samples, rows = len(how.weights), list(how.rows)
    angle = 2 * np.pi * order * np.arange(samples) / along.rate
    shapes = np.stack([np.cos(angle), np.sin(angle), np.ones(samples)])
    fit = np.linalg.solve((shapes * how.weights) @ shapes.T, shapes * how.weights)
    read = fit[0] - 1j * fit[1]
    starts = np.arange(0, len(along) - samples + 1, how.hop)
    found = np.empty((len(starts), len(rows)), dtype=complex)
    for t, start in enumerate(starts):
        found[t] = np.asarray(along.samples[:, start : start + samples], dtype=float)[rows] @ read
    found *= np.exp(-2j * np.pi * order * (along.start + starts / along.rate))[:, None]
    there = np.isfinite(found).all(axis=1)
    return starts[there], found[there]


def _bent(amplitude: Complexes, how: Cut) -> Floats:
    """What the bend of an amplitude within a window adds to its mean: half the second derivative times the
    variance of place under the window, from three neighbours."""
    if len(amplitude) < 3:
        return np.full(amplitude.shape, np.inf)
    bend = np.abs(amplitude[2:] - 2 * amplitude[1:-1] + amplitude[:-2])
    hops = len(how.weights) / how.hop
    return np.pad(bend, ((1, 1), (0, 0)), mode="edge") * hops**2 * HANN_SPREAD / 2


# --- two close orders -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Beat:
    """Whether an order is one line, or two that beat: two wheels of nearly the same size, for instance.

    orders    [-] of both lines, the stronger first; the second is nan where there is one line
    levels    [unit] r.m.s. of each
    periods   [-] beat periods that the pass held
    resolved  whether two lines were told apart
    closest   [-] how near to each other two orders must not lie to be told apart in a pass of this length
    text      the same as a sentence
    """

    orders: tuple[float, float]
    levels: tuple[float, float]
    periods: float
    resolved: bool
    closest: float
    text: str


def beat(found: Track, channel: str) -> Beat:
    """Whether the tracked order of one channel is two close ones.  At a steady speed only.

    A speed that changes makes an order swell and fade as it passes a resonance, which no beat is.  Raises
    KeyError for a channel that was not followed, CounterbounceError for a pass of fewer than eight windows.

    >>> turns = np.arange(0.0, 900.0, 5.0)
    >>> swell = 1 + 0.5 * np.exp(2j * np.pi * 0.004 * turns)
    >>> found = Track(turns, turns / 8, swell[:, None], np.zeros((180, 1)), 1.0, ("floor",), 10.0)
    >>> print(beat(found, "floor").text)
    two orders, 1 and 1.004: they beat once in 250 turns, and the pass held 3.6 such periods
    """
    if channel not in found.names:
        raise KeyError(f"no channel {channel!r}; {nearest(channel, found.names) or ', '.join(found.names)}")
    swell = found.amplitude[:, found.names.index(channel)]
    length = float(found.turns[-1] - found.turns[0]) + found.window / 2
    if len(swell) < 8:
        raise refused(channel, "wanted a pass of eight windows or more", f"{len(swell)}")
    offsets, parts, error = _two_lines(found.turns, swell, length, found.window)
    apart = abs(offsets[0] - offsets[1])
    orders = (found.order + offsets[0], found.order + offsets[1])
    levels = (abs(parts[0]) / np.sqrt(2), abs(parts[1]) / np.sqrt(2))
    closest, periods = BEATS / length, apart * length
    if abs(parts[1]) <= STANDS_OUT * error:
        said = f"one order, {orders[0]:.6g}; a second one nearer than {closest:.2g} could not be seen"
        return Beat((orders[0], np.nan), (levels[0], 0.0), 0.0, False, closest, said)
    if periods < BEATS:
        wanted = f"; a pass of {BEATS / apart:.0f} turns at a steady speed would tell" if apart > 0 else ""
        said = f"it swells and fades, as two orders nearer than {closest:.2g} do, or a resonance{wanted}"
        return Beat(orders, levels, periods, False, closest, said)
    said = (
        f"two orders, {orders[0]:.6g} and {orders[1]:.6g}: they beat once in {1 / apart:.3g} turns, "
        f"and the pass held {periods:.2g} such periods"
    )
    return Beat(orders, levels, periods, True, closest, said)


def _two_lines(
    turns: Floats, swell: Complexes, length: float, window: float
) -> tuple[tuple[float, float], tuple[complex, complex], float]:
    """Offsets of the two lines that fit best, stronger first, their amplitudes, and the error of these."""
    from scipy.optimize import least_squares

    tried = np.arange(-0.9 / window, 0.9 / window, 1 / (DENSE * length))
    lines = np.exp(-2j * np.pi * tried[:, None] * turns)
    first = tried[np.abs(lines @ swell).argmax()]
    rest = swell - _fitted(turns, swell, np.array([first]))[0]
    second = tried[np.abs(lines @ rest).argmax()]

    def left(scaled: Floats) -> Floats:
        return (swell - _fitted(turns, swell, scaled / length)[0]).view(np.float64)

    offsets = np.asarray(least_squares(left, np.array([first, second]) * length).x) / length
    fitted, parts = _fitted(turns, swell, offsets)
    error = float(np.sqrt(np.sum(np.abs(swell - fitted) ** 2) / max(len(swell) - 4, 1) / len(swell)))
    parts = parts / _through_window(offsets * window)
    order = np.argsort(-np.abs(parts))
    one, two = (float(offsets[i]) for i in order)
    return (one, two), (complex(parts[order[0]]), complex(parts[order[1]])), error


def _fitted(turns: Floats, swell: Complexes, offsets: Floats) -> tuple[Complexes, Complexes]:
    """The best sum of lines at some offsets (T,), and the amplitude of each."""
    lines = np.exp(2j * np.pi * offsets * turns[:, None])
    parts = np.linalg.lstsq(lines, swell, rcond=None)[0]
    return np.asarray(lines @ parts), np.asarray(parts, dtype=complex)


def _through_window(bins: Floats) -> Floats:
    """How much of a line a Hann window so many bins off leaves [-]."""
    return np.asarray(np.sinc(bins) + 0.5 * (np.sinc(bins - 1) + np.sinc(bins + 1)))
