"""From shakes to findings: which of them are meant, what kind they are, and how surely."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np

from ..comfort import PERCEPTION_THRESHOLD
from ..numbers import NORMAL_95
from .findings import Finding, MetBy, PointMotion
from .opposite import Opposite
from .rolling import Rolled
from .shakes import Mode, Turning, family_level, felt_peak, meets
from .spectra import Spectra
from .sureness import sure_of_fault, sure_of_kind, sure_of_mode, sure_of_nothing
from .travelled import Slow

NAMED = 0.4  # [-] probability from which a mode or a part is named rather than nothing
LEAST_SHARE = 0.08  # [-] of the power between 3 and 25 Hz that a shake worth a finding has
LEAST_TONAL = 0.4  # [-] or of the power near its frequency
SPAN = 0.07  # [-] natural logarithm of highest over lowest speed at which nothing can be told apart
STEEP = 7.0  # [-] how sharply that turns
BESIDE = 0.012, 0.2
"""Standard deviations [-] of natural frequency and damping ratio, as natural logarithms, that come of other
modes beside the one that is fitted: found on simulated recordings (tests/study/confusion.py)."""
SHAFT_TURNS = 4.0  # [-] per turn of a wheel, where the axle ratio is not known; common practice, no source
ROLLS = 2.5  # [m] in a turn, where no wheel is heard; common practice, no source
NOT_CLEARED = "; a driveline that turns faster than {:.0f} Hz is not cleared"
SPEEDS = (0.03, 0.97)  # quantiles of the speed that count as lowest and highest


@dataclass(frozen=True)
class Scene:
    """What a ride was found to hold.

    span       [-] natural logarithm of highest over lowest speed; 0 where the speed is not known
    propshaft  [-] axle ratio as given; None: not known
    """

    slow: Slow
    rolled: Rolled
    turned: tuple[Turning, ...]
    modes: tuple[Mode, ...]
    opposites: tuple[Opposite, ...]
    spectra: Spectra | None
    span: float
    propshaft: float | None

    @property
    def separable(self) -> float:
        """Probability [-] that what follows the speed can be told from what does not."""
        return 1 / (1 + exp(-STEEP * log(max(self.span, 1e-6) / SPAN)))

    @property
    def shaft_seen_to(self) -> float:
        """Speed [m/s] above which a propshaft turns faster than what is looked at."""
        around = self.rolled.circumference or ROLLS
        return self.slow.highest * around / (self.propshaft or SHAFT_TURNS)


def span_of(slow: Slow) -> float:
    """Natural logarithm of highest over lowest road speed while it moves [-].

    >>> span_of(Slow(10.0, np.zeros((1, 3)), ("seat",), np.full(3, 20.0), np.zeros(3), np.zeros((0, 3)), ()))
    0.0
    """
    moving = slow.speed[slow.moving]
    if len(moving) < 2:
        return 0.0
    low, high = np.quantile(moving, SPEEDS)
    return float(np.log(high / low))


def judged(scene: Scene) -> tuple[Finding, ...]:
    """The findings of a ride, the most telling first; at least one, if only `nothing`."""
    outside = [_outside(one) for one in scene.opposites]
    if scene.separable < 0.5:
        return tuple(outside) or (_not_separable(scene),)
    taken = [one.frequency for one in scene.opposites if not one.sideways]
    modes = [m for m in scene.modes if sure_of_mode(m) > NAMED and not _near(m.fit.frequency, taken)]
    found = [(sure_of_mode(mode), _resonance(scene, mode)) for mode in modes]
    found = [(sure, one) for sure, one in found if _worth(one)]
    if not outside:
        faults = [(sure_of_fault(one), one) for one in scene.turned if one.line.family != "joints"]
        found += [(p, _rotating(scene, one, modes)) for p, one in faults if p > NAMED and _felt(one)]
    # What is felt four times as much comes first, unless it is a fifth less sure.
    found.sort(key=lambda both: -(both[0] ** 3) * both[1].numbers["felt_peak_m_s2"] ** 0.5)
    return (*outside, *(one for _, one in found)) or (_nothing(scene),)


def _near(frequency: float, others: Sequence[float]) -> bool:
    return any(abs(log(frequency / other)) < 0.12 for other in others)


def _felt(one: Turning) -> bool:
    return one.felt > PERCEPTION_THRESHOLD and (one.share > LEAST_SHARE or one.tonal > LEAST_TONAL)


def _worth(one: Finding) -> bool:
    felt = one.numbers["felt_peak_m_s2"] > PERCEPTION_THRESHOLD
    return felt and (one.share or 0.0) > LEAST_SHARE


# --- kinds ------------------------------------------------------------------------------------------------


def _outside(one: Opposite) -> Finding:
    tramp = f"tramp: left and right of {one.point} move against each other"
    said = f"{one.point} shakes sideways" if one.sideways else tramp
    return Finding(
        "outside_the_model", said, confidence=1 - 1 / (1 + one.ratio**1.5), where=one.point,
        frequency_hz=one.frequency, level_m_s2=one.level, share=one.share, numbers={"power_ratio": one.ratio},
    )  # fmt: skip


def _resonance(scene: Scene, mode: Mode) -> Finding:
    """A mode, and who meets it."""
    by: dict[MetBy, float] = {
        "wheel_order": family_level(scene.turned, mode, ("wheel",)),
        "joints": family_level(scene.turned, mode, ("joints",)),
        "roughness": mode.rough,
    }
    met_by = max(by, key=lambda name: by[name])
    families = {"wheel_order": ("wheel",), "joints": ("joints",), "roughness": ()}[met_by]
    lines = [one for one in scene.turned if one.line.family in families]
    one = max(lines, key=lambda line: meets(line, mode), default=None)
    fit, level = mode.fit, by[met_by]
    cause = {
        "wheel_order": f"met by {_name(scene, one)}",
        "joints": "met by the joints of the road",
        "roughness": "met by the roughness of the road",
    }
    return Finding(
        "resonance", f"a natural frequency, {cause[met_by]}",
        confidence=sure_of_kind("resonance", sure_of_mode(mode)) * scene.separable, met_by=met_by,
        where=scene.slow.names[mode.row],
        order=one.line.order if one else None, frequency_hz=fit.frequency, damping_ratio=fit.damping,
        interval=_widened(fit.frequency, fit.frequency_high, BESIDE[0]),
        damping_interval=_widened(fit.damping, fit.damping_high, BESIDE[1]),
        speed_band_m_s=_passing(one, mode) if one else None, level_m_s2=level,
        share=max(mode.share, one.share if one else 0.0), points=_by_spectra(scene, fit.frequency, mode.row),
        input_over_healthy=one.size if one else None, amplified_by=1 / (2 * fit.damping),
        numbers={
            "felt_peak_m_s2": felt_peak(level, fit.frequency), "wheel_order_m_s2": by["wheel_order"],
            "joints_m_s2": by["joints"], "roughness_m_s2": by["roughness"], "clear_in_spectra": mode.steady,
            "clear_in_orders": mode.turning, "speed_span": scene.span,
        },
    )  # fmt: skip


def _widened(value: float, high: float, further: float) -> tuple[float, float]:
    """An interval of scatter made wider by what a single mode leaves out, which counts like scatter."""
    times = exp(float(np.hypot(log(high / value), NORMAL_95 * further)))
    return value / times, value * times


def _passing(one: Turning, mode: Mode) -> tuple[float, float]:
    """Speeds [m/s] between which a line passes the half-power band of a mode."""
    middle, half = mode.fit.frequency / one.line.line.per_metre, mode.fit.damping
    return middle * (1 - half), middle * (1 + half)


def _rotating(scene: Scene, one: Turning, modes: Sequence[Mode]) -> Finding:
    """Something that turns and is larger than it should be, and the mode that makes it larger still."""
    met = max(modes, key=lambda mode: meets(one, mode), default=None)
    amplified = met is not None and meets(one, met) > 0.5 * one.level
    numbers = {
        "felt_peak_m_s2": one.felt, "per_metre": one.line.line.per_metre, "tonal_share": one.tonal,
        "clear": one.line.line.clear, "speed_span": scene.span,
    }  # fmt: skip
    return Finding(
        "rotating_part", _name(scene, one),
        confidence=sure_of_kind("rotating_part", sure_of_fault(one)) * scene.separable,
        where=one.axle or scene.slow.names[one.row], order=one.line.order or None, frequency_hz=one.frequency,
        speed_band_m_s=one.band, level_m_s2=one.level, share=one.share, points=_by_track(scene, one),
        input_over_healthy=one.size, amplified_by=1 / (2 * met.fit.damping) if met and amplified else None,
        numbers=numbers,
    )  # fmt: skip


def _not_separable(scene: Scene) -> Finding:
    """One speed only, or a speed that nobody knows: the strongest shake, whatever it is."""
    sure = 1 - scene.separable
    driven = ", at one speed only" if scene.slow.speed.any() else ""
    if scene.turned and _felt(scene.turned[0]):
        one = scene.turned[0]
        numbers = {"felt_peak_m_s2": one.felt, "speed_span": scene.span, "clear": one.line.line.clear}
        return Finding(
            "not_separable", f"{_name(scene, one)}{driven}", confidence=sure, where=one.axle,
            order=one.line.order or None, frequency_hz=one.frequency, speed_band_m_s=one.band,
            level_m_s2=one.level, share=one.share, points=_by_track(scene, one), input_over_healthy=one.size,
            numbers=numbers,
        )  # fmt: skip
    mode = max(scene.modes, key=lambda mode: mode.felt, default=None)
    if mode is None or mode.felt < PERCEPTION_THRESHOLD or mode.share < LEAST_SHARE:
        return Finding(
            "nothing", f"nothing stands out{driven}", confidence=0.5 * sure,
            numbers={"speed_span": scene.span},
        )  # fmt: skip
    return Finding(
        "not_separable", f"a shake in a narrow band of frequency{driven}", confidence=sure,
        where=scene.slow.names[mode.row], frequency_hz=mode.fit.frequency, level_m_s2=mode.rough,
        share=mode.share, points=_by_spectra(scene, mode.fit.frequency, mode.row),
        numbers={"felt_peak_m_s2": mode.felt, "speed_span": scene.span},
    )  # fmt: skip


def _nothing(scene: Scene) -> Finding:
    """No part and no natural frequency stands out; the joints of the road may."""
    others = [sure_of_mode(mode) for mode in scene.modes]
    others += [sure_of_fault(one) for one in scene.turned if one.line.family != "joints"]
    sure = sure_of_nothing(others, float(scene.slow.travelled[-1]))
    numbers = {"threshold_m_s2": PERCEPTION_THRESHOLD, "speed_span": scene.span}
    unseen = "" if scene.slow.fastest <= scene.shaft_seen_to else NOT_CLEARED.format(scene.slow.highest)
    joints = [one for one in scene.turned if one.line.family == "joints" and _felt(one)]
    if not joints:
        strongest = max((one.felt for one in scene.turned), default=0.0)
        said = f"no shake of a narrow band stands out{unseen}"
        return Finding("nothing", said, sure, numbers={"felt_peak_m_s2": strongest, **numbers})
    one, apart = joints[0], scene.rolled.estimates["joint spacing"].value
    felt = f"joints of the road every {apart:.3g} m are felt"
    return Finding(
        "nothing", f"no part and no natural frequency stands out{unseen}; {felt}", confidence=sure,
        met_by="joints", where=scene.slow.names[one.row], order=one.line.order,
        frequency_hz=one.frequency, speed_band_m_s=one.band, level_m_s2=one.level, share=one.share,
        points=_by_track(scene, one),
        numbers={"felt_peak_m_s2": one.felt, "per_metre": one.line.line.per_metre, **numbers},
    )  # fmt: skip


def _name(scene: Scene, one: Turning | None) -> str:
    """What turns, in words."""
    if one is None:
        return "nothing that was heard"
    if one.line.family == "wheel":
        return f"wheel order {one.line.order:.0f}, {one.axle or 'axle not known'}"
    if one.line.family == "joints":
        return f"joints of the road, harmonic {one.line.order:.0f}"
    for multiple in (1, 2):
        if scene.propshaft and abs(one.line.order / scene.propshaft / multiple - 1) < 0.03:
            return f"propshaft order {multiple}"
    if one.line.order:
        return f"something that turns {one.line.order:.3g} times per turn of a wheel"
    return f"something that turns once every {1 / one.line.line.per_metre:.3g} m"


# --- points ---------------------------------------------------------------------------------------------


def _by_track(scene: Scene, one: Turning) -> Mapping[str, PointMotion]:
    """Levels and phases of the points while a line is strongest."""
    track = one.track
    near = np.abs(track.speed / track.speed[one.best] - 1) < 0.06
    count = max(near.sum() / 2, 1.0)
    reference = track.amplitude[one.row, near]
    told = {}
    for i, name in enumerate(scene.slow.names):
        moved = track.amplitude[i, near]
        cross = np.vdot(reference, moved)
        power = np.vdot(reference, reference).real * np.vdot(moved, moved).real
        shared = float(abs(cross) ** 2 / power) if power > 0 else 0.0
        level = float(np.sqrt(np.clip(track.power[i, near], 0, None).mean()))
        told[name] = PointMotion(level, float(np.angle(cross)), _phase_error(shared, count), shared)
    return told


def _phase_error(shared: float, averages: float) -> float:
    """Standard error of a phase [rad]; Source: Bendat, Piersol, Random Data (from memory)."""
    return float(np.sqrt((1 - min(shared, 1.0)) / (2 * averages * shared))) if shared > 0 else float("inf")


def _by_spectra(scene: Scene, frequency: float, row: int) -> Mapping[str, PointMotion]:
    """Levels and phases of the points near a natural frequency."""
    if scene.spectra is None:
        return {}
    ratio, error = scene.spectra.relative(row)
    at = int(np.argmin(np.abs(scene.spectra.frequency - frequency)))
    levels = scene.spectra.level(frequency * 0.94, frequency * 1.06)
    return {
        name: PointMotion(
            float(levels[i]), float(np.angle(ratio[at, i])), float(error[at, i]),
            float(scene.spectra.coherence(row, i)[at]),
        )
        for i, name in enumerate(scene.slow.names)
    }  # fmt: skip
