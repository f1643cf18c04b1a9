"""ISO 2631-1 in time: a history as a person feels it, and what is read off it.

A whole record is weighted exactly, at any rate, by way of its spectrum.  A stream that comes in blocks goes
through a recursive filter, the bilinear transform of the standard's transfer function; that falls short of it
near half the sampling rate, so it is refused where that is felt.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .comfort import Weighting, sections, weighting_factor, weighting_response

Floats = NDArray[np.float64]

RINGS_FOR = 10.0  # [s] the 0.4 Hz band limit has died away to exp(-17) by then
INTEGRATION = 1.0  # [s] of the running r.m.s. (ISO 2631-1:1997, 6.3.1)
FELT = np.geomspace(0.5, 30.0, 73)  # [Hz] where a filter has to be true
WORST = 0.02  # relative error of a filter there
SLOWEST = 60.0  # [Hz] half of it is the highest frequency that a person is asked about here
SLOWEST_FILTER = 250.0  # [Hz] below it the band limit at 100 Hz lies too near half of the rate to be met

MOST_CREST = 9.0  # peak over r.m.s. up to which the r.m.s. alone will do (ISO 2631-1:1997, 6.2; from memory)
MOST_TRANSIENT, MOST_DOSE = 1.5, 1.75  # ratios to the r.m.s. from which the others count (6.3.3; from memory)


def weighted(acceleration: ArrayLike, rate: float, kind: Weighting) -> Floats:
    """A whole record as it is felt [m/s^2], exact by frequency; the record's shape, time last.

    acceleration  [m/s^2] (..., samples), zero before and after: gravity must have been taken off
    rate          [Hz], 60 or above: what lies above half of it must have been filtered out before

    Raises ValueError for another rate, for an empty record and for values that are not finite.

    >>> t = np.arange(4000) / 200.0
    >>> felt = weighted(np.sqrt(2) * np.sin(2 * np.pi * 6.3 * t), 200.0, "Wk")
    >>> round(float(np.sqrt(np.mean(felt[1000:3000] ** 2))), 2)     # ISO 2631-1, Table 3: 1.054
    1.05
    """
    x = _record(acceleration)
    _fast_enough(rate, SLOWEST)
    from scipy.fft import irfft, next_fast_len, rfft

    count = next_fast_len(x.shape[-1] + round(RINGS_FOR * rate), real=True)
    response = weighting_response(kind, np.fft.rfftfreq(count, 1 / rate))
    return np.asarray(irfft(rfft(x, count) * response, count)[..., : x.shape[-1]])


def _fast_enough(rate: float, slowest: float) -> None:
    if not slowest <= rate < np.inf:
        raise ValueError(f"rate must be {slowest:g} Hz or above, got {rate} Hz")


def _record(acceleration: ArrayLike) -> Floats:
    x = np.asarray(acceleration, dtype=float)
    if x.ndim == 0 or x.shape[-1] == 0:
        raise ValueError("a record needs at least one sample")
    if not np.isfinite(x).all():
        raise ValueError(f"{int((~np.isfinite(x)).sum())} samples are not finite: mend the record first")
    return x


# --- block by block -----------------------------------------------------------------------------------------


def filter_sections(kind: Weighting, rate: float) -> Floats:
    """A weighting as second-order sections (n, 6), as scipy.signal.sosfilt takes them [-].

    rate  [Hz]

    Bilinear transform, each section prewarped to its own corner.
    Raises ValueError for a rate at which the filter would be off by more than 2 % between 0.5 and 30 Hz:
    below 332 Hz for Wk, 362 Hz for Wd, 354 Hz for Wc.  At 1000 Hz it is off by 0.3 % there at most.

    >>> filter_sections("Wk", 1000.0).shape, filter_sections("Wd", 1000.0).shape
    ((4, 6), (3, 6))
    """
    _fast_enough(rate, SLOWEST_FILTER)
    found = _sections(kind, rate)
    worst = float(np.abs(filter_error(found, kind, rate, FELT)).max())
    if worst > WORST:
        raise ValueError(
            f"a {kind} filter at {rate:g} Hz would be off by {worst:.1%} below 30 Hz: sample at 400 Hz or "
            "faster, or weight the whole record with `weighted`"
        )
    return found


def filter_error(found: Floats, kind: Weighting, rate: float, frequency: ArrayLike) -> Floats:
    """How far a digital filter is off the standard's weighting, over that weighting [-], at frequencies.

    found      second-order sections [-] (n, 6)
    rate       [Hz]
    frequency  [Hz], above 0 and below half the rate

    >>> off = filter_error(filter_sections("Wk", 500.0), "Wk", 500.0, [20.0, 25.0, 31.5, 63.0])
    >>> [f"{share:.1%}" for share in off]
    ['-0.3%', '-0.5%', '-0.9%', '-3.1%']
    """
    f = np.atleast_1d(np.asarray(frequency, dtype=float))
    from scipy.signal import sosfreqz

    _, response = sosfreqz(found, worN=f, fs=rate)
    return np.asarray(np.abs(response) / weighting_factor(kind, f) - 1)


def _sections(kind: Weighting, rate: float) -> Floats:
    from scipy.signal import bilinear

    rows = []
    for top, bottom, corner in sections(kind):
        # the sections are in units of their corner: a rate at which 1 rad/s becomes that corner
        b, a = bilinear(top, bottom, 1 / (2 * np.tan(np.pi * corner / rate)))
        rows.append([*b, *a])
    unchanged = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0]
    return np.array(rows or [unchanged])


def weighted_blocks(blocks: Iterable[ArrayLike], rate: float, kind: Weighting) -> Iterator[Floats]:
    """A stream as it is felt [m/s^2], block by block, each of the shape it came in; at rest before the first.

    blocks  [m/s^2] (..., n) each, time last, one after the other without a gap
    rate    [Hz], 400 or above will do for every weighting

    Raises ValueError as `filter_sections` does.

    >>> blocks = np.sin(np.arange(1000.0)).reshape(4, 250)
    >>> whole = [*weighted_blocks([blocks.ravel()], 1000.0, "Wd")]
    >>> bool(np.allclose(np.hstack([*weighted_blocks(blocks, 1000.0, "Wd")]), whole, rtol=1e-9))
    True
    """
    from scipy.signal import sosfilt

    found, state = filter_sections(kind, rate), None
    for block in blocks:
        x = _record(block)
        state = np.zeros((len(found), *x.shape[:-1], 2)) if state is None else state
        felt, state = sosfilt(found, x, zi=state)
        yield np.asarray(felt)


# --- read off a history -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Magnitudes:
    """What is read off a weighted history.

    duration   [s]
    rms        [m/s^2]
    peak       [m/s^2] the largest value either way
    transient  [m/s^2] the largest running r.m.s. over 1 s, the standard's MTVV
    dose       [m/s^1.75] vibration dose value: (integral of a^4 dt)^(1/4)
    """

    duration: float
    rms: float
    peak: float
    transient: float
    dose: float

    @property
    def crest_factor(self) -> float:
        """Peak over r.m.s. [-]; 0 where nothing moves."""
        return self.peak / self.rms if self.rms else 0.0

    @property
    def beyond_rms(self) -> tuple[str, ...]:
        """Why the r.m.s. alone would say too little; nothing where it will do.

        Where anything stands here the standard wants the largest running r.m.s. or the vibration dose value
        told beside the r.m.s.
        """
        if not self.rms:
            return ()
        ratios = (
            ("its crest factor", self.crest_factor, MOST_CREST),
            ("its largest running r.m.s. over its r.m.s.", self.transient / self.rms, MOST_TRANSIENT),
            ("its dose over that of an even shake", self.dose / self.rms / self.duration**0.25, MOST_DOSE),
        )
        return tuple(f"{what} is {ratio:.1f}, above {most:g}" for what, ratio, most in ratios if ratio > most)


def magnitudes(felt: ArrayLike, rate: float) -> Magnitudes:
    """R.m.s., peak, largest running r.m.s. and vibration dose value of a weighted history.

    felt  [m/s^2] (samples,), weighted, one second or longer
    rate  [Hz]

    Raises ValueError for another shape, a shorter history and values that are not finite.
    Source: ISO 2631-1:1997, 6.1 (r.m.s.), 6.3.1 (running r.m.s.), 6.3.2 (vibration dose value).

    >>> one = magnitudes(np.sqrt(2) * np.sin(2 * np.pi * 5 * np.arange(3200) / 200), 200.0)
    >>> round(one.rms, 6), round(one.crest_factor, 3), round(one.dose, 4), one.beyond_rms
    (1.0, 1.414, 2.2134, ())
    """
    a = _record(felt)
    running = running_rms(a, rate)
    return Magnitudes(
        duration=a.size / rate,
        rms=float(np.sqrt(np.mean(a**2))),
        peak=float(np.abs(a).max()),
        transient=float(running.max()),
        dose=float((np.sum(a**4) / rate) ** 0.25),
    )


def running_rms(felt: ArrayLike, rate: float) -> Floats:
    """R.m.s. of the last second [m/s^2], at each sample that has one before it, (samples - one second + 1,).

    felt  [m/s^2] (samples,), weighted, one second or longer
    rate  [Hz]

    Source: ISO 2631-1:1997, 6.3.1, the form of even weight.

    >>> running_rms([0.0, 0.0, 3.0, 3.0, 0.0], 2.0).round(2).tolist()
    [0.0, 2.12, 3.0, 2.12]
    """
    a, window = _record(felt), round(INTEGRATION * rate)
    if a.ndim != 1 or a.size < max(window, 1):
        raise ValueError(f"wanted one history of {INTEGRATION:g} s or longer, got {a.shape} at {rate} Hz")
    energy = np.concatenate([[0.0], np.cumsum(a**2)])
    return np.asarray(np.sqrt(np.maximum(energy[window:] - energy[:-window], 0.0) / window))


def weighted_level(frequency: ArrayLike, density: ArrayLike, kind: Weighting) -> Floats:
    """Weighted r.m.s. [m/s^2] of a spectrum: sqrt(integral of W^2 S df), over the last axis of `density`.

    frequency  [Hz] (F,), ascending
    density    [m^2/s^3] (..., F), one-sided (m/s^2)^2 per Hz, of the acceleration before it is weighted

    >>> round(float(weighted_level([1.0, 2.0, 3.0], [0.5, 0.5, 0.5], "none")), 3)
    1.0
    """
    f = np.asarray(frequency, dtype=float)
    power = np.asarray(density, dtype=float) * weighting_factor(kind, f) ** 2
    return np.asarray(np.sqrt(np.trapezoid(power, f)))
