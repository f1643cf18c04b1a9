"""Whether a person would notice the shake over what the road does anyway, as a table and as one line."""

from __future__ import annotations

from collections.abc import Sequence

from ..model.roughness import CLASSES
from ..model.units import significant
from ..sizing.assess import Assessment
from ..sizing.noticed import Noticed
from ..sizing.reasons import place_text, speed_text
from .tables import Table, level

SHOWN = CLASSES["A"], CLASSES["B"], CLASSES["C"]  # [m^3]
MOST_BANDS = 4


def noticed_table(a: Assessment) -> Table:
    """On roads of several classes: the road alone, the shake over it, and the speeds where it is noticed."""
    title = "Would a person notice it?"
    columns: tuple[str, ...] = ("road", "alone", "with the shake", "noticed at")
    if a.noticed.after:
        columns = ("road", "alone", "with the shake", "with the damper", "noticed at", "with the damper")
    if not a.host.sweep.inputs:
        return Table(title, columns, ())
    own = a.noticed.roughness.density
    densities = sorted({own, *SHOWN})
    rows = tuple(_row(a, a.noticed.on(density)) for density in densities)
    numbers = (1, 2, 3) if a.noticed.after else (1, 2)
    return Table(title, columns, rows, numbers, _note(a), frozenset([densities.index(own)]))


def _row(a: Assessment, n: Noticed) -> tuple[str, ...]:
    own = a.noticed.roughness.density == n.roughness.density
    which = (", assumed" if n.assumed else ", as stated") if own else ""
    alone, before = (level(a, n.largest(felt)) for felt in (n.before.background, n.before.total))
    first, at = f"class {n.roughness.road_class}{which}", _bands(a, n.bands_before)
    if n.after is None or n.bands_after is None:
        return first, alone, before, at
    return first, alone, before, level(a, n.largest(n.after.total)), at, _bands(a, n.bands_after)


def _bands(a: Assessment, bands: Sequence[tuple[float, float]]) -> str:
    """Bands of speed [m/s], as few as can be taken in."""
    listed = [speed_text(band, a.case.display) for band in bands[:MOST_BANDS]]
    left = len(bands) - len(listed)
    return ", ".join([*listed, *([f"{left} more"] if left else [])]) or "no speed"


def _note(a: Assessment) -> str:
    n = a.noticed
    where = " or ".join(f"{place_text(p.name)} ({p.weighting})" for p in n.points)
    worn = "" if n.weighted else ", as if somebody sat on it, for the case names no seat"
    told = (
        f"Largest typical levels from {speed_text(n.band, a.case.display)} at {where}, weighted by ISO "
        f"2631-1{worn}. A shake counts as noticed where it is above the threshold of perception and makes "
        "road and shake together a tenth stronger than the road alone: less than that, people do not "
        "tell apart (Morioka and Griffin, 2000)."
    )
    return " ".join(part for part in (told, _roughest(a), _called(n)) if part)


def _roughest(a: Assessment) -> str:
    """The roughest road on which the band's shake stands out."""
    band, roughest = speed_text(a.noticed.band, a.case.display), a.noticed.roughest
    if not roughest:
        return f"At {band} the shake is too faint to be felt on any road."
    return f"At {band} it stands out on roads with a Gd(n0) below {significant(1e6 * roughest, 2)}e-6 m³."


def _called(n: Noticed) -> str:
    """The words of ISO 2631-1 for the band; nothing where it has none."""
    before, after = (" to ".join(n.words(felt)) if felt else "" for felt in (n.before, n.after))
    if not before:
        return ""
    if after:
        before += f", with the damper {after}" if after != before else ", with the damper as before"
    road = f"class {n.roughness.road_class} road"
    return f"On a {road} people would call it {before} (ISO 2631-1, Annex C)."


def noticed_words(a: Assessment) -> str:
    """The same in a line; nothing where no input has a level."""
    if not a.host.sweep.inputs:
        return ""
    n = a.noticed
    road = f"class {n.roughness.road_class} road{' (assumed)' if n.assumed else ''}"
    said = f"A {road} drowns the shake at every speed. {_roughest(a)}"
    if n.bands_before or n.bands_after:
        said = f"On a {road} a person would notice the shake at {_bands(a, n.bands_before)}"
        said += "." if n.bands_after is None else f"; with the damper at {_bands(a, n.bands_after)}."
    return f"{said} {_change(a)}".rstrip()


def _change(a: Assessment) -> str:
    if a.noticed.change_noticeable is None:
        return ""
    band = speed_text(a.noticed.band, a.case.display)
    word = "would" if a.noticed.change_noticeable else "would NOT"
    return f"What the damper changes at {band}, road included, {word} be felt."
