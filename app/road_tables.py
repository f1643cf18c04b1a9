"""A measured road as tables of text, in the units that its case writes."""

from __future__ import annotations

from ..model.units import Display, significant
from .road_study import Studied, meetings
from .tables import Table

MOST_SEGMENTS = 20  # that fit a glance


def roughness_table(found: Studied) -> Table:
    """How long, how rough, of which class."""
    show = found.case.display if found.case else Display()
    profile, index, lines = found.profile, found.index, found.spectrum
    spaced = show.show(profile.spacing, "small_length")
    rows = [
        ("length", show.show(profile.length, "length", 4), f"{profile.heights.shape[-1]} samples, {spaced}")
    ]
    if index:
        each = ", ".join(f"{one:.2f}" for one in index.tracks)
        rows.append(
            ("roughness index", f"{index.whole:.2f} m/km", f"tracks {each}" if len(index.tracks) > 1 else "")
        )
    if lines:
        density = f"{significant(lines.density_n0 * 1e6)} · 10⁻⁶ m³"
        rows.append(("class", lines.road_class, "ISO 8608, by the line through its spectrum"))
        rows.append(("density at 0.1 cycle/m", density, f"waviness {lines.waviness:.2f}"))
    return Table("How rough it is", ("what", "is", ""), tuple(rows), (1,))


def segments_table(found: Studied) -> Table:
    """The roughness index of each stretch; of many, the roughest."""
    show = found.case.display if found.case else Display()
    segments = found.index.segments if found.index else ()
    roughest = sorted(segments, key=lambda s: -s.index)[:MOST_SEGMENTS]
    shown = [s for s in segments if s in roughest]
    rows = tuple(
        (show.show(s.start, "length", 5), show.show(s.end, "length", 5), f"{s.index:.2f}") for s in shown
    )
    left = len(segments) - len(shown)
    note = f"The {len(shown)} roughest of {len(segments)}; --json gives all." if left else ""
    columns = ("from", "to", "roughness index, m/km")
    return Table("Along the road", columns, rows if len(segments) > 1 else (), (0, 1, 2), note)


def waves_table(found: Studied) -> Table:
    """Wavelengths that stand out, and where they meet a mode of the case."""
    if found.spectrum is None:
        return Table("", (), ())
    show = found.case.display if found.case else Display()
    rows = []
    for wave in found.waves:
        met = [one for one in meetings(found, wave) if one.looked_at]
        words = ", ".join(f"{one.mode} at {show.show(one.speed, 'speed')}" for one in met)
        height = show.show(wave.amplitude, "small_length")
        rows.append((show.show(wave.length, "length"), height, f"{wave.over_line:.1f}", words or "–"))
    columns = ("length", "amplitude", "times the line", "meets")
    note = "" if rows else "No wavelength stands out from the line by more than chance allows."
    if rows and found.case is None:
        note = "With --case CASE.toml: the speeds at which they meet the modes of a vehicle."
    return Table("Wavelengths that stand out", columns, tuple(rows), (0, 1, 2), note)
