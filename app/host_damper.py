"""The best damper on a host known from curves or modes: what is asked, and what comes out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..model.curve_files import Curve
from ..model.faults import CounterbounceError, Fault, nearest
from ..sizing.absorber import RoadHost
from ..sizing.any_host import POWER, host_from_modes, host_from_receptances, place_in_band
from ..sizing.limits import Bounds
from ..sizing.search import Found, best_damper
from .host_files import ROAD, ModeTable

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

FEW = 10  # lines in the band, below which a peak may hide between them
FLANKS = np.linspace(-4, 4, 33)  # where modes are looked at, in half-widths of their peaks
COMMON = 600  # lines from end to end besides those


@dataclass(frozen=True)
class Question:
    """What is asked of a host.

    place      where the damper hangs
    watched    the points that are judged
    push       where a force comes in, or "road"
    amplitude  of that force [N] or of the road [m], the same at every frequency; None: not known
    band       [Hz] where the damper is judged
    mass       [kg] the most that may hang there
    stroke     [m] each way; None: no limit
    clearance  [m] room each way for stroke and static sag; None: no limit
    """

    place: str
    watched: tuple[str, ...]
    push: str
    amplitude: float | None
    band: tuple[float, float]
    mass: float
    stroke: float | None = None
    clearance: float | None = None

    @property
    def input(self) -> str:
        """The input in words."""
        return "the road" if self.push == ROAD else f"a force at {self.push}"


@dataclass(frozen=True)
class Answer:
    """The best damper of a host and what it does.

    found    the damper; its stroke and levels mean nothing where the amplitude of the input is not known
    before, after, ballast  [m/s^2] r.m.s. in the band, largest of each watched point, (P,)
    notes    what was taken for granted, in sentences
    """

    question: Question
    found: Found
    before: Floats
    after: Floats
    ballast: Floats
    notes: tuple[str, ...]

    @property
    def reduction(self) -> float:
        """Share by which the damper lowers the largest level in the band [-]."""
        return 1 - float(self.after.max() / self.before.max())

    @property
    def ballast_reduction(self) -> float:
        """The same for plain ballast [-]."""
        return 1 - float(self.ballast.max() / self.before.max())


def host_damper(known: Sequence[Curve] | ModeTable, question: Question, file: str) -> Answer:
    """The best damper for a question, from curves or modes.

    Raises CounterbounceError where the host cannot answer it: with every curve or point that is missing.
    """
    notes: list[str] = []
    try:
        if isinstance(known, ModeTable):
            host = _of_modes(known, question, file, notes)
        else:
            host = _of_curves(known, question, file, notes)
        if question.amplitude is None:
            host = _of_size_one(host, question.band)
        place = place_in_band(host, question.band, question.place)
    except ValueError as fault:
        said = str(fault).replace("h_ll", f"the curve {question.place} per {question.place}")
        raise CounterbounceError([Fault(file, None, "", "", said)]) from None
    if len(place.band.speeds) < FEW:
        notes.append(f"Only {len(place.band.speeds)} lines lie in the band: a peak may hide between them.")
    before = place.band.before().max(axis=0)
    if not before.all():
        still = question.watched[int(np.argmin(before))]
        raise CounterbounceError([Fault(file, None, "", "", f"{still} does not move in the band at all")])
    peak = float(place.band.speeds[int(np.argmax(place.band.before().max(axis=1)))])
    bounds = Bounds(question.mass, question.stroke, question.clearance)
    found = best_damper([place], bounds, peak)
    assert found is not None  # a mass above zero always finds one
    hung = found.damper
    after = place.band.after([hung.mass], [hung.stiffness], [hung.damping])[0].max(axis=0)
    ballast = place.band.ballast([hung.mass])[0].max(axis=0)
    return Answer(question, found, before, after, ballast, tuple(notes))


def _of_size_one(host: RoadHost, band: tuple[float, float]) -> RoadHost:
    """The host shaken by 1 m/s^2 r.m.s. in the band: well felt, so that what nobody feels is no excuse."""
    inside = (host.speeds >= band[0]) & (host.speeds <= band[1])
    one, scale = host.host, 1 / max(float(host.before()[inside].max(initial=0.0)), 1e-300)
    scaled = type(one)(one.omega, one.rise * scale, one.push * scale, one.give, one.lift * scale)
    return RoadHost(scaled, host.speeds, host.points, host.causes)


# --- curves -----------------------------------------------------------------------------------------------


def _of_curves(curves: Sequence[Curve], asked: Question, file: str, notes: list[str]) -> RoadHost:
    table = {(c.response, c.reference): c for c in curves}
    _refuse_strangers(asked, sorted({end for pair in table for end in pair}), file)
    wanted = [(asked.place, asked.place), (asked.place, asked.push)]
    wanted += [(w, end) for w in asked.watched for end in (asked.place, asked.push)]
    missing = [pair for pair in dict.fromkeys(wanted) if _pair(table, pair) is None]
    if missing:
        has = ", ".join(" per ".join(pair) for pair in table)
        raise CounterbounceError(
            Fault(file, None, " per ".join(pair), "", f"no such curve; it has {has[:300]}")
            for pair in missing
        )
    found = {pair: _pair(table, pair) or curves[0] for pair in wanted}
    turned = [f"{pair[0]} per {pair[1]}" for pair in found if pair not in table]
    if turned:
        notes.append(f"Taken by reciprocity, pushed and felt changed over: {', '.join(turned)}.")
    frequency = _common_lines(found, asked, file)
    kept = frequency > 0

    def motion(*pair: str) -> Complexes:
        one = found[pair[0], pair[1]]
        return np.asarray(one.values[kept] * (2j * np.pi * frequency[kept]) ** -POWER[one.kind])

    return host_from_receptances(
        frequency[kept],
        motion(asked.place, asked.place),
        np.stack([motion(w, asked.place) for w in asked.watched], axis=-1),
        motion(asked.place, asked.push),
        np.stack([motion(w, asked.push) for w in asked.watched], axis=-1),
        1.0 if asked.amplitude is None else asked.amplitude,
        points=asked.watched,
    )


def _pair(table: dict[tuple[str, str], Curve], pair: tuple[str, str]) -> Curve | None:
    """A curve, or its counterpart by reciprocity, which holds between two forces."""
    turned = None if ROAD in pair else table.get((pair[1], pair[0]))
    return table.get(pair, turned)


def _refuse_strangers(asked: Question, names: Sequence[str], file: str) -> None:
    given = [("--place", asked.place), *(("--watched", one) for one in asked.watched)]
    given += [("--push", asked.push)] if asked.push != asked.place else []
    strange = [(option, name) for option, name in given if name not in names]
    if strange:
        wanted = f"is not in {file}, which knows {', '.join(names)}"
        raise CounterbounceError(
            Fault("", None, option, name, wanted, nearest(name, names)) for option, name in strange
        )


def _common_lines(found: dict[tuple[str, str], Curve], asked: Question, file: str) -> Floats:
    """The frequencies [Hz] of all curves, which reach over the band."""
    first = next(iter(found.values())).frequency
    odd = [pair for pair, c in found.items() if not np.array_equal(c.frequency, first)]
    if odd:
        wanted = "has other frequencies than the rest: all curves want the same lines"
        raise CounterbounceError([Fault(file, None, " per ".join(odd[0]), "", wanted)])
    low, high = asked.band
    if not (len(first) and first[0] <= low and high <= first[-1]):
        reach = f"{first[0]:g} to {first[-1]:g} Hz" if len(first) else "no line at all"
        wanted = f"wanted a band inside the frequencies of {file}, {reach}"
        raise CounterbounceError([Fault("", None, "--band", f"{low:g} to {high:g} Hz", wanted)])
    return first


# --- modes ------------------------------------------------------------------------------------------------


def _of_modes(modes: ModeTable, asked: Question, file: str, notes: list[str]) -> RoadHost:
    if asked.push == ROAD:
        wanted = "a file of modes knows forces only: give the point that is pushed"
        raise CounterbounceError([Fault("", None, "--push", ROAD, wanted)])
    _refuse_strangers(asked, sorted(modes.shapes), file)
    notes.append("What lies beyond the modes of the file is left out, which detunes a damper a little.")
    return host_from_modes(
        _lines(modes, asked.band),
        modes.natural_hz,
        modes.damping_ratio,
        modes.shapes[asked.place],
        np.stack([modes.shapes[w] for w in asked.watched]),
        modes.shapes[asked.push],
        1.0 if asked.amplitude is None else asked.amplitude,
        modal_mass=modes.modal_mass,
        points=asked.watched,
    )


def _lines(modes: ModeTable, band: tuple[float, float]) -> Floats:
    """Frequencies [Hz] from below the lowest to above the highest mode and the band, dense at each peak."""
    ends = [*band, float(modes.natural_hz.min()), float(modes.natural_hz.max())]
    peaks = modes.natural_hz * (1 + np.clip(np.outer(FLANKS, modes.damping_ratio), -0.9, None))
    even = np.geomspace(0.5 * min(ends), 1.5 * max(ends), COMMON)
    return np.unique(np.concatenate([even, peaks.ravel(), np.linspace(*band, COMMON // 4)]))
