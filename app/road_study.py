"""A measured road: how rough it is, and what of it meets the modes of a vehicle; also as JSON."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from ..model.case import Case, load
from ..model.faults import CounterbounceError, Fault
from ..model.golden_car import RoughnessIndex, roughness_index
from ..model.modes import Modes, modes
from ..model.profile import Profile, long_enough
from ..model.profile_files import parse_profile, read_bytes
from ..model.profile_spectrum import ProfileSpectrum, Wavelength, dominant_wavelengths, spectrum
from ..model.road import HIGHEST
from ..model.roughness import N0
from ..model.settle import settled
from .told import plain, run

Found = TypeVar("Found")


@dataclass(frozen=True)
class Studied:
    """A profile and what was found of it; None where the profile is too short or too straight for that."""

    file: Path
    sha256: str
    profile: Profile
    index: RoughnessIndex | None
    spectrum: ProfileSpectrum | None
    waves: tuple[Wavelength, ...]
    case: Case | None
    modes: Modes | None
    done: tuple[str, ...]


def study(
    file: str, segment: float, spacing: float | None, elevation_unit: str | None, case: str | None
) -> Studied:
    """Everything about a profile in a file.  Raises CounterbounceError.

    segment         [m] length of each stretch of the index
    spacing         [m] between lines of heights alone; None: the file gives distances
    elevation_unit  of the heights; None: as the file says, or else metres
    """
    loaded, own, least = _vehicle(case)
    data = read_bytes(file)
    profile = parse_profile(data, file, spacing, elevation_unit)
    long_enough(profile, least, "the vehicle, from first axle to last")
    if segment < profile.spacing:
        wanted = f"a spacing of the profile, {profile.spacing:g} m, or more"
        raise CounterbounceError([Fault("", None, "--segment", f"{segment:g} m", wanted)])
    why: list[str] = []
    index = _tried(lambda: roughness_index(profile, segment), "No roughness index", why)
    lines = _tried(lambda: spectrum(profile), "No spectrum", why)
    if index is None and lines is None:
        raise CounterbounceError(Fault(file, None, "", "", sentence) for sentence in why)
    if lines and lines.bands[0][0] > N0:
        why.append(f"The profile is too short to show {N0:g} cycle/m: the line was extended to there.")
    waves = dominant_wavelengths(lines) if lines else ()
    done = (*profile.done, *(index.done if index else ()), *why)
    sha256 = hashlib.sha256(data).hexdigest()
    return Studied(Path(file), sha256, profile, index, lines, waves, loaded, own, done)


def _tried(reckon: Callable[[], Found], what: str, why: list[str]) -> Found | None:
    """What was reckoned, or None and the reason."""
    try:
        return reckon()
    except ValueError as reason:
        why.append(f"{what}: {reason}.")
        return None


def _vehicle(case: str | None) -> tuple[Case | None, Modes | None, float]:
    """A case, its modes, and the length from its first axle to its last [m]."""
    if case is None:
        return None, None, 0.0
    loaded = load(case)
    vehicle = settled(loaded.plan, loaded.numbers)
    return loaded, modes(vehicle), vehicle.axles[-1].station - vehicle.axles[0].station


@dataclass(frozen=True)
class Meeting:
    """A wavelength meeting a mode: frequency [Hz], speed [m/s], and whether the case looks at that speed."""

    mode: str
    frequency: float
    speed: float
    looked_at: bool


def meetings(found: Studied, wave: Wavelength) -> list[Meeting]:
    """Where a wavelength meets each mode of the case; none without a case."""
    if found.case is None or found.modes is None:
        return []
    low, high = found.case.speeds
    heard = [(n, float(f)) for n, f in zip(found.modes.names, found.modes.frequency_hz, strict=True)]
    return [
        Meeting(name, f, wave.speed(f), low <= wave.speed(f) <= high)
        for name, f in heard
        if 0.1 < f <= HIGHEST
    ]


# --- for programs -----------------------------------------------------------------------------------------


def answer(found: Studied) -> dict[str, Any]:
    """All that was found, ready for JSON; numbers in the unit that ends their key."""
    profile, index, lines = found.profile, found.index, found.spectrum
    segments = index.segments if index else ()
    told: dict[str, Any] = {
        "run": run(found.case, None, file=found.file.name, sha256=found.sha256),
        "profile": {
            "start_m": profile.start,
            "length_m": profile.length,
            "spacing_m": profile.spacing,
            "samples": profile.heights.shape[-1],
            "tracks": len(profile.tracks),
        },
        "iri_whole_m_km": index.whole if index else None,
        "iri_tracks_m_km": index.tracks if index else None,
        "iri_m_km": [one.index for one in segments],
        "segments": [{"from_m": s.start, "to_m": s.end, "iri_m_km": s.index} for s in segments],
        "class": lines.road_class if lines else None,
        "gd_n0_m3": lines.density_n0 if lines else None,
        "waviness": lines.waviness if lines else None,
        "wavelengths": [_wave(found, wave) for wave in found.waves],
        "done": found.done,
    }
    return dict(plain(told))


def _wave(found: Studied, wave: Wavelength) -> dict[str, Any]:
    return {
        "length_m": wave.length,
        "over_line": wave.over_line,
        "prominence": wave.prominence,
        "amplitude_m": wave.amplitude,
        "meets": [
            {
                "mode": one.mode,
                "frequency_hz": one.frequency,
                "speed_m_s": one.speed,
                "looked_at": one.looked_at,
            }
            for one in meetings(found, wave)
        ],
    }
