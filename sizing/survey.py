"""The same question put to every plausible vehicle: what shakes, where, and what the damper does to it.

Numbers that nobody knows exactly are drawn together.  Each vehicle that comes of it counts by how well it
agrees with the complaint and with what a weight over the rear end did; so what a person felt shifts the
spreads of the numbers, and a vehicle that would shake elsewhere has no say in whether a damper helps.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from ..model.modes import undamped
from ..model.plausible import Plausible, draw
from ..model.points import dense
from ..model.road import inputs
from ..model.speeds import local_peaks, polished
from .absorber import Damper, RoadHost, road_host
from .study import Host, Progress, loud, quiet
from .target import FLANK
from .weight_test import NOTICED, agreement, weight_test

Floats = NDArray[np.float64]

FIRST, MOST = 128, 512  # vehicles drawn at first and at most
ENOUGH = 40.0  # vehicles that agree, in effect: a share is then known to 8 in 100
RANGE_POINTS, BAND_POINTS = 61, 13
RETUNED = np.linspace(0.85, 1.15, 13)  # of the frequency that it came with: what washers and springs reach
SHARE = 0.9  # of the vehicles that an interval holds


@dataclass(frozen=True)
class Survey:
    """What plausible vehicles do, V of them; levels are the largest typical ones in the band [m/s^2] r.m.s.

    paths      (D,) the numbers that are not exact
    scores     (V, D) standard deviations off their best estimates [-]
    agreement  (V,) with the complaint and with a weight test, from 0 to 1 [-]
    frequency  (V, modes) [Hz] of the best estimate's modes, undamped, by likeness of shape
    speed      (V,) [m/s] of the peak that agrees best with the complaint; without one, of the target's
    before     (V,)
    after      (V,) with the damper as it was sized; equal to `before` where none was
    retuned    (V,) with its spring changed on this very vehicle, to within 15 % of its frequency
    ballast    (V,) with the same weight bolted down
    curves     (V, 2, S) [m/s^2] r.m.s. along `speeds` at the point that shakes most: before, with the damper
    speeds     (S,) [m/s] over the range of the case
    refused    how many more were drawn whose numbers contradict each other [-]
    """

    paths: tuple[str, ...]
    scores: Floats
    agreement: Floats
    frequency: Floats
    speed: Floats
    before: Floats
    after: Floats
    retuned: Floats
    ballast: Floats
    curves: Floats
    speeds: Floats
    refused: int

    @property
    def weight(self) -> Floats:
        """How much each vehicle counts [-], (V,); they sum to one."""
        return np.asarray(self.agreement / max(float(self.agreement.sum()), 1e-300))

    @property
    def effective(self) -> float:
        """How many vehicles of equal weight would say as much [-]."""
        return float(1 / max(float((self.weight**2).sum()), 1e-300))

    @property
    def reduction(self) -> Floats:
        """Share by which the damper lowers the largest level in the band [-], (V,)."""
        return np.asarray(1 - self.after / self.before)

    @property
    def expected(self) -> float:
        """Mean reduction of all vehicles [-]: less than on the best estimate, which it is tuned to."""
        return float(self.weight @ self.reduction)

    @property
    def retuned_reduction(self) -> Floats:
        """The same once it is tuned anew on the vehicle [-], (V,)."""
        return np.asarray(1 - self.retuned / self.before)

    @property
    def ballast_reduction(self) -> Floats:
        """The same for the weight as plain ballast [-], (V,)."""
        return np.asarray(1 - self.ballast / self.before)

    def interval(self, values: Floats) -> tuple[float, float]:
        """Where 90 of 100 vehicles lie, by weight, in the unit of the values [any].

        values  (V,) [any]
        """
        order = np.argsort(values)
        reached = np.cumsum(self.weight[order]) - self.weight[order] / 2
        low, high = np.interp([(1 - SHARE) / 2, (1 + SHARE) / 2], reached, values[order])
        return float(low), float(high)

    def band(self, which: int) -> tuple[Floats, Floats]:
        """Where the level of 90 of 100 vehicles lies along speed [m/s^2] r.m.s., (S,) each.

        which  0: before, 1: with the damper [-]
        """
        along = [self.interval(level) for level in self.curves[:, which].T]
        low, high = np.array(along).T
        return low, high

    def share(self, holds: NDArray[np.bool_]) -> float:
        """The share of the vehicles, by weight, of which something holds [-].

        holds  (V,) [-]
        """
        return float(self.weight[holds].sum())

    def error(self, share: float) -> float:
        """How far a share may be off for want of vehicles, one standard deviation [-].

        share  [-]
        """
        return float(np.sqrt(max(share * (1 - share), 0.25 / self.effective) / self.effective))

    def decides(self, values: Floats) -> dict[str, float]:
        """Which share of the doubt about something each number carries, by path: its squared correlation
        with the number's score [-], largest first.

        values  (V,) [any]
        """
        weight = self.weight[:, None]
        scores = self.scores - (weight * self.scores).sum(axis=0)
        off = (values - self.weight @ values)[:, None]
        both = (weight * scores * off).sum(axis=0) ** 2
        alone = (weight * scores**2).sum(axis=0) * (weight * off**2).sum(axis=0)
        shares = both / np.maximum(alone, 1e-300)
        order = np.argsort(-shares)
        return {self.paths[i]: float(shares[i]) for i in order}

    def shifts(self) -> dict[str, tuple[float, float]]:
        """What agreement does to each number, by path: its mean, in standard deviations off its best
        estimate, and what is left of its spread, as a share [-]."""
        weight = self.weight[:, None]
        mean = (weight * self.scores).sum(axis=0)
        left = np.sqrt((weight * (self.scores - mean) ** 2).sum(axis=0))
        return {p: (float(m), float(s)) for p, m, s in zip(self.paths, mean, left, strict=True)}


def survey(
    one: Host, hung: Damper | None, seed: int = 0, progress: Progress = quiet, first: int = FIRST
) -> Survey:
    """Ask plausible vehicles of a host until enough of them agree with what is known.

    hung   the damper that is judged; None: only what shakes, and where
    seed   of the draw [-]
    first  vehicles drawn at first [-], best a power of two

    >>> from ..model.example import small_case
    >>> from .absorber import tuned
    >>> from .study import host
    >>> found = survey(host(small_case()), tuned("rear end", "20 kg", "3 Hz", "10 %"))
    >>> len(found.speed), found.share(found.retuned_reduction > 0.25) > 0.9
    (128, True)
    """
    drawn = first
    progress("asking plausible vehicles")
    found = _asked(one, hung, first, seed, 0)
    while found.effective < ENOUGH and drawn < MOST:
        found = _joined(found, _asked(one, hung, drawn, seed, drawn))
        drawn *= 2
    return found


def _joined(first: Survey, second: Survey) -> Survey:
    both = {}
    for name in (f.name for f in fields(Survey) if f.name not in ("paths", "speeds", "refused")):
        both[name] = np.concatenate([getattr(first, name), getattr(second, name)])
    return Survey(first.paths, speeds=first.speeds, refused=first.refused + second.refused, **both)


def _asked(one: Host, hung: Damper | None, count: int, seed: int, after: int) -> Survey:
    plan, numbers = one.case.plan, one.case.numbers
    many = draw(plan, numbers, one.vehicle.frame.terms, count, seed, after)
    natural, shapes = undamped(many.system)
    alike = np.abs(np.swapaxes(shapes, -1, -2) @ many.system.M @ one.modes.shapes)
    frequency = np.take_along_axis(natural, alike.argmax(axis=-2), axis=-1) / (2 * np.pi)
    speeds = np.geomspace(*one.case.speeds, RANGE_POINTS)
    answers = [_answer(one, many, i, frequency[i], hung, speeds) for i in range(len(many))]
    agrees, speed, before, felt, retuned, ballast = np.array([numbers for numbers, _ in answers]).T
    agrees = agrees * _agreement_with_weight(one, many, frequency)
    curves = np.array([curve for _, curve in answers])
    levels = before, felt, retuned, ballast
    return Survey(many.paths, many.scores, agrees, frequency, speed, *levels, curves, speeds, many.refused)


def _answer(
    one: Host, many: Plausible, i: int, frequency: Floats, hung: Damper | None, over: Floats
) -> tuple[list[float], Floats]:
    """One vehicle's agreement with the complaint [-], speed [m/s] and levels [m/s^2], and its curves."""
    assert one.target is not None
    vehicle, best = many.outline(i), one.target.critical
    causes = inputs(one.case.roads, vehicle, one.case.speeds[0])
    cause = next(c for c in causes if c.name == best.cause.name)
    still = one.modes.undamped[best.mode] / (2 * np.pi)
    moved = float(frequency[best.mode] / still * best.cause.per_metre / cause.per_metre)
    complaint = one.case.complaint.speed if one.case.complaint else None
    band = complaint or (one.target.band[0] * moved, one.target.band[1] * moved)
    heard = {c.name for c in loud(one)}
    place = vehicle.points[hung.place if hung else one.places[0]]
    speeds = np.union1d(over, np.linspace(*band, BAND_POINTS))
    felt = road_host(many.ready(i), [c for c in causes if c.name in heard], speeds, vehicle.judged, place)
    before = felt.before().max(axis=-1)
    agrees, speed = 1.0, best.speed * moved
    if complaint:
        agrees, speed = _agreement_with_speeds(speeds, before, complaint)
    after = felt.after(hung.mass, hung.stiffness, hung.damping) if hung else felt.before()
    point = [p.name for p in vehicle.judged].index(best.point.name) if best.point else 0
    curves = np.array([np.interp(over, speeds, level[:, point]) for level in (felt.before(), after)])
    return [agrees, speed, *_levels(felt, before, band, hung)], curves


def _agreement_with_speeds(
    speeds: Floats, level: Floats, complaint: tuple[float, float]
) -> tuple[float, float]:
    """How well the peak that agrees best lies in the complaint's speeds [-], and where it is [m/s].

    Only peaks at least half as high as the highest count: a person would have complained of that one.
    """
    peaks = [polished(speeds, level, i) for i in local_peaks(level)]
    peaks = peaks or [(float(speeds[level.argmax()]), float(level.max()))]
    high = [speed for speed, height in peaks if height >= FLANK * level.max()]
    high = high or [max(peaks, key=lambda peak: peak[1])[0]]
    off = [max(complaint[0] - speed, speed - complaint[1], 0.0) / speed for speed in high]
    best = int(np.argmin(off))
    return float(np.exp(-((off[best] / NOTICED) ** 2) / 2)), high[best]


def _levels(felt: RoadHost, before: Floats, band: tuple[float, float], hung: Damper | None) -> list[float]:
    inside = (felt.speeds >= band[0] - 1e-9) & (felt.speeds <= band[1] + 1e-9)
    still = float(before[inside].max())
    if hung is None:
        return [still] * 4
    factors = np.array([1.0, *RETUNED])
    k, c = hung.stiffness * factors**2, hung.damping * factors
    after = felt.after(np.full_like(k, hung.mass), k, c).max(axis=-1)[:, inside].max(axis=-1)
    ballast = felt.ballast(hung.mass).max(axis=-1)[inside].max()
    return [still, float(after[0]), float(after.min()), float(ballast)]


def _agreement_with_weight(one: Host, many: Plausible, frequency: Floats) -> Floats:
    """How well each vehicle agrees with what a weight did to the shake [-], (V,); 1 where none was tried."""
    tested = weight_test(one)
    if tested is None or one.target is None:
        return np.ones(len(many))
    mode, system = one.target.critical.mode, many.system
    row = dense([many.vehicle.points[tested.seen.at or ""].row], system.coordinates)[..., 0, :]
    heavier = system.M + (tested.seen.mass or 0.0) * row[..., :, None] * row[..., None, :]
    natural, shapes = undamped(replace(system, M=heavier))
    alike = np.abs(np.swapaxes(shapes, -1, -2) @ heavier @ one.modes.shapes[:, mode])
    after = np.take_along_axis(natural, alike.argmax(axis=-1)[:, None], axis=-1)[:, 0] / (2 * np.pi)
    felt = one.case.complaint.speed if one.case.complaint else None
    return agreement(tested.seen, after / frequency[:, mode] - 1, felt)
