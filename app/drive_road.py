"""The road that a drive goes over: random, out of a file, with joints or waves, or all that the case says."""

from __future__ import annotations

from dataclasses import replace
from math import ceil, floor
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from ..model.faults import CounterbounceError, Fault

if TYPE_CHECKING:
    from ..model.case import Case
    from ..model.profile import Profile
    from ..model.road import Joints, Wave
    from ..model.roughness import Roughness

SPACING = 0.02  # [m] between samples of a road that is not a file's
FINEST = 0.002  # [m]
SHORTEST_RANDOM = 200.0  # [m] twice the longest wave of a class
Thing = TypeVar("Thing")


def road_asked(text: str, case: Case, reach: tuple[float, float], seed: int) -> Profile | None:
    """The road that an option's text means, long enough for a drive; None: smooth.

    text   "class A" to "class H", "joints" or "wave" as the case has them, "smooth", "case" for all that
           the case says, or a file
    reach  [m] from where to where it must go; a file begins at 0
    seed   of a random road

    Raises CounterbounceError for a class that is not there, for joints or waves that the case does not have,
    and for a file that cannot be read or that ends too early.
    """
    word = " ".join(text.casefold().split())
    if word == "smooth":
        return None
    if word == "case":
        return _as_the_case_says(case, reach, seed)
    if word == "joints":
        return _slabs(_there(case.roads.joints, word), reach)
    if word == "wave":
        return _waves(_there(case.roads.wave, word), reach)
    if word.startswith("class "):
        return _random(_class(word), reach, seed)
    return _file(Path(text), reach)


def _there(thing: Thing | None, word: str) -> Thing:
    if thing is None:
        raise _fault(word, f"the case has no [inputs] {word}", '"class B"')
    return thing


def _class(word: str) -> Roughness:
    from ..model.roughness import CLASSES, of_class

    found = next((one for one in CLASSES if word == f"class {one}".casefold()), None)
    if found is None:
        raise _fault(word, f"wanted a class of {', '.join(CLASSES)}", '"class B"')
    return of_class(found)


def _as_the_case_says(case: Case, reach: tuple[float, float], seed: int) -> Profile:
    """Its profile or its roughness (class A where it states neither), with its joints and its waves."""
    from ..model.events import joined
    from ..model.roughness import ASSUMED

    roads = case.roads
    if roads.profile is not None:
        road = _file(roads.profile, reach)
    else:
        road = _random(roads.roughness or ASSUMED, reach, seed)
    if roads.joints is not None:
        road = joined(road, _slabs(roads.joints, reach))
    return road if roads.wave is None else joined(road, _waves(roads.wave, reach))


def _random(roughness: Roughness, reach: tuple[float, float], seed: int) -> Profile:
    from ..model.profile_spectrum import realised

    length = max(reach[1] - reach[0], SHORTEST_RANDOM)
    road = replace(realised(roughness, length, SPACING, seed), start=reach[0])
    return replace(road, source=roughness.source) if roughness.source else road


def _slabs(joints: Joints, reach: tuple[float, float]) -> Profile:
    """A row with a joint at 0; a gap is two samples wide or wider."""
    from ..model.events import slabs

    before, behind = ceil(-reach[0] / joints.spacing), ceil(reach[1] / joints.spacing)
    spacing = min(SPACING, joints.gap_width / 2 or SPACING)
    row = slabs(joints, before + behind + 1, max(spacing, FINEST))
    return replace(row, start=row.start - before * joints.spacing)


def _waves(wave: Wave, reach: tuple[float, float]) -> Profile:
    """Crests where a wave of the frequency domain has them: at 0, and from there on."""
    import numpy as np

    from ..model.profile import Profile

    step = min(SPACING, wave.length / 100)
    places = step * np.arange(floor(reach[0] / step), ceil(reach[1] / step) + 2)
    heights = wave.height / 2 * np.cos(2 * np.pi * places / wave.length)
    return Profile(
        step, float(places[0]), heights, f"waves of {wave.length:g} m, {1e3 * wave.height:g} mm high"
    )


def _file(path: Path, reach: tuple[float, float]) -> Profile:
    from ..model.profile_files import read_profile

    road = read_profile(path)
    if road.length < reach[1]:
        wanted = f"the road is {road.length:.4g} m long, and the drive needs {reach[1]:.4g} m"
        raise _fault(str(path), wanted, "--seconds 10, or a slower --speed")
    return replace(road, start=0.0)


def _fault(given: str, wanted: str, example: str) -> CounterbounceError:
    return CounterbounceError([Fault("", None, "--road", given, wanted, example=example)])
