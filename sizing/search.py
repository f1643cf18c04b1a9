"""Every station, mass, tuning and damping, without solving the vehicle again.

The answer is a minimax: the largest typical level over the watched points in the band complained of, as
low as it goes, while stroke, loads and clearance hold.  A level at another speed counts as one in the band
where it is more than a twentieth above before, and felt: what makes the shake move is no cure.

A damper splits one peak into two lower ones, so some speed beside a lightly damped peak always gets a
little worse: a flat twentieth at every speed would refuse every strong damper (it halved the gain of the
first vehicle tried).  So a limit is broken only by what rises above both what is left in the band and what a
fall that is just worth it would leave there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from .absorber import BLOCK, GRAVITY, Damper, RoadHost
from .limits import SLACK, Bounds, Place, allowed_elsewhere, left_anywhere
from .minimax import minimax

Floats = NDArray[np.float64]

STEEP = 10.0  # a hundredth over a limit costs a tenth of the level
MASS_SHARES = (1.0, 0.75, 0.5, 0.3, 0.15, 0.05)  # of the mass limit, tried before polishing
TUNINGS = np.geomspace(0.5, 2.2, 36)  # around the mode
LIGHT_SHARE = 0.2  # of the mass limit, up to which a damper is a light one
FIRST_LOOK, PROMISING = 25, 30  # speeds of the first look at the grid, and candidates of a second
LIGHT = np.array([0.006, 0.011])
DAMPINGS = np.array([0.02, 0.04, 0.07, 0.10, 0.14, 0.19, 0.26, 0.36, 0.55])


@dataclass(frozen=True)
class Found:
    """The best damper found, and how it was found.

    damper      mass, spring, dashpot and place
    level       [m/s^2] r.m.s., largest over points and band with it
    before      [m/s^2] the same without it
    elsewhere   [-] largest ratio outside the band of level after to what is allowed there
    stroke      [m] each way, when all causes add
    broken      names of the limits it could not keep
    """

    damper: Damper
    level: float
    before: float
    elsewhere: float
    stroke: float
    broken: tuple[str, ...] = field(default=())

    @property
    def reduction(self) -> float:
        """Share by which the largest level in the band falls [-]."""
        return 1 - self.level / self.before


@dataclass(frozen=True)
class Judge:
    """Judges candidates at one place; arrays of candidates in, arrays out."""

    place: Place
    bounds: Bounds
    _before: Floats

    def parts(self, m: Floats, k: Floats, c: Floats) -> tuple[Floats, Floats, Floats]:
        """(level in the band, level with what is worse elsewhere [m/s^2], stroke [m]) of candidates (C,)."""
        level = self.place.band.after(m, k, c).max(axis=(-2, -1))
        left = level
        if self.bounds.elsewhere:
            left = left_anywhere(level, self.place.rest.after(m, k, c), self._before)
        stroke = np.maximum(
            self.place.band.stroke(m, k, c).max(axis=-1),
            self.place.rest.stroke(m, k, c).max(axis=-1, initial=0.0),
        )
        return level, left, stroke

    def cost(self, m: Floats, k: Floats, c: Floats) -> Floats:
        """What is left, with broken limits priced in, candidates (C,): exact where none is broken."""
        _, left, stroke = self.parts(m, k, c)
        over = np.zeros_like(left)
        for share in self._room(stroke, m * GRAVITY / k).values():
            over = over + np.maximum(share - 1, 0.0)
        return np.asarray(left * (1 + STEEP * over))

    def _room(self, stroke: Floats, sag: Floats) -> dict[str, Floats]:
        """How much of stroke and clearance is used [-], by the outcome it leads to when it is broken."""
        used: dict[str, Floats] = {}
        if self.bounds.stroke is not None:
            used["stroke"] = stroke / self.bounds.stroke
        if self.bounds.clearance is not None:
            used["clearance"] = (stroke + sag) / self.bounds.clearance
        return used

    def found(self, m: float, k: float, c: float) -> Found:
        """One candidate, spelt out: m [kg], k [N/m], c [N s/m]."""
        one = np.array([m]), np.array([k]), np.array([c])
        level, _, stroke = self.parts(*one)
        before = float(self.place.band.before().max())
        elsewhere = self._elsewhere(one, max(float(level[0]), (1 - self.bounds.worth) * before))
        used = self._room(stroke, one[0] * GRAVITY / one[1])
        if self.bounds.elsewhere:
            used = {"worse_elsewhere": np.array([elsewhere]), **used}
        broken = tuple(name for name, share in used.items() if share[0] > 1 + SLACK)
        hung = Damper(self.place.name, float(m), float(k), float(c))
        return Found(hung, float(level[0]), before, elsewhere, float(stroke[0]), broken)

    def _elsewhere(self, one: tuple[Floats, Floats, Floats], left: float) -> float:
        """The largest ratio outside the band of level after to what is allowed there [-]."""
        after = self.place.rest.after(*one)
        return float((after / allowed_elsewhere(self._before, left)).max(initial=0.0))


def judge(place: Place, bounds: Bounds) -> Judge:
    """Prepare to judge dampers at one place.

    >>> from .any_host import host_from_modes, place_in_band
    >>> f = np.linspace(3.0, 8.0, 301)
    >>> host = host_from_modes(f, [5.0], [0.01], [1.0], [1.0], [1.0], 10.0, modal_mass=100.0)
    >>> one = judge(place_in_band(host, (4.0, 6.0), "mass"), Bounds(5.0, stroke=0.001))
    >>> one.found(5.0, 4.7e3, 30.0).broken
    ('stroke',)
    """
    return Judge(place, bounds, place.rest.before())


def best_damper(
    places: Sequence[Place],
    bounds: Bounds,
    frequency: float,
    progress: Callable[[str], None] = lambda _: None,
) -> Found | None:
    """The minimax over all places, masses up to the limit, tuning and damping; None where no mass may be
    hung.

    frequency  [Hz] of the mode that is complained of: where the search starts

    >>> from .any_host import host_from_modes, place_in_band
    >>> f = np.linspace(3.0, 8.0, 301)
    >>> host = host_from_modes(f, [5.0], [0.01], [1.0], [1.0], [1.0], 10.0, modal_mass=100.0)
    >>> best = best_damper([place_in_band(host, (4.0, 6.0), "mass")], Bounds(5.0), 5.0)
    >>> round(best.damper.mass, 2), round(best.damper.tuned_hz, 2), round(best.reduction, 2)
    (5.0, 4.89, 0.89)
    """
    best: tuple[float, Found] | None = None
    for place in places:
        heaviest = min(bounds.mass, place.heaviest)
        if heaviest <= 0:
            continue
        progress(f"sizing a damper at {place.name}")
        one = judge(place, bounds)
        beaten = best[0] if best else np.inf
        m, k, c = minimax(place, bounds, _starts(one, heaviest, frequency), heaviest, beaten)
        cost = float(one.cost(np.array([m]), np.array([k]), np.array([c]))[0])
        if best is None or cost < best[0]:
            best = cost, one.found(m, k, c)
    return None if best is None else best[1]


def _starts(one: Judge, heaviest: float, frequency: float) -> list[tuple[float, float, float]]:
    """The best (m [kg], k [N/m], c [N s/m]) of two grids, of several groups of masses, each once.

    Hardly damped candidates are a grid of their own: among all others they look worse than where they lead.
    """
    starts: list[tuple[float, float, float]] = []
    for dampings in (DAMPINGS, LIGHT):
        grids = np.meshgrid(np.multiply(MASS_SHARES, heaviest), TUNINGS, dampings)
        m, tuning, ratio = (g.ravel() for g in grids)
        omega = 2 * np.pi * frequency * tuning
        starts += _promising(one, m, m * omega**2, 2 * ratio * m * omega)
    return list(dict.fromkeys(starts))


def _promising(one: Judge, m: Floats, k: Floats, c: Floats) -> list[tuple[float, float, float]]:
    """The best candidates by a first look at the band, then by their whole cost."""
    look = one.place.band.thinned(FIRST_LOOK)
    level = np.concatenate([look.after(*part).max(axis=(-2, -1)) for part in _blocks(look, m, k, c)])
    starts = []
    for among in _groups(m, one.bounds):
        promising = among[np.argsort(level[among])[:PROMISING]]
        parts = _blocks(one.place.rest, m[promising], k[promising], c[promising])
        i = int(promising[int(np.argmin(np.concatenate([one.cost(*part) for part in parts])))])
        starts.append((float(m[i]), float(k[i]), float(c[i])))
    return starts


def _groups(m: Floats, bounds: Bounds) -> Iterator[NDArray[np.intp]]:
    """Which candidates of masses m (C,) each have a start among them: all, the heaviest, and, where more
    than the band is limited, the light ones, which then have valleys of their own."""
    yield np.arange(len(m))
    yield np.flatnonzero(m == m.max())
    if bounds.beyond_the_band:
        yield np.flatnonzero(m <= LIGHT_SHARE * m.max())


def _blocks(road: RoadHost, *arrays: Floats) -> list[tuple[Floats, ...]]:
    step = max(2 * BLOCK // max(road.host.omega.size, 1), 1)
    return [tuple(a[i : i + step] for a in arrays) for i in range(0, len(arrays[0]), step)]
