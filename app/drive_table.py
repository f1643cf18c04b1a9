"""What a drive amounts to, as a table and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from ..model.road import GONE, HIGHEST
from ..model.units import Display, Kind
from .driven import Driven, Level, off_the_ground
from .ledger import readable
from .tables import Table, change
from .told import damper, plain, run

KINDS: dict[str, Kind] = {"m/s^2": "acceleration", "m": "small_length", "N": "force"}


def drive_table(found: Driven) -> Table:
    """R.m.s. and peak of every channel, without and with the damper."""
    show = found.case.display
    rows = [_row(level, show, found.damper is not None) for level in found.levels]
    note = (
        f"Levels up to {HIGHEST:.0f} Hz, fading until {GONE:.0f} Hz: there the model ends. Travel and tyre "
        f"load are counted from where the vehicle stands at rest.{_beats(found)}{_lifted(found)}"
    )
    if found.damper is None:
        return Table("The drive", ("", "r.m.s.", "peak"), tuple(rows), (1, 2), note)
    columns = ("", "r.m.s.", "with the damper", "change", "peak", "with the damper")
    return Table("The drive", columns, tuple(rows), (1, 2, 3, 4, 5), note)


def _beats(found: Driven) -> str:
    """That the wheels beat more slowly than the drive lasts, where they do."""
    wheels = [one.circumference for one in found.vehicle.axles if one.circumference]
    spread = found.case.roads.rolling_difference
    if found.asked.wheels == "true" or not wheels or not spread:
        return ""
    period = max(wheels) / spread / max(found.asked.speed, found.asked.to)
    if period <= found.asked.seconds:
        return ""
    return f" Left and right wheels beat once in {period:.0f} s: with other seeds the levels are others."


def _lifted(found: Driven) -> str:
    axles = " and ".join(off_the_ground(found))
    if not axles:
        return ""
    return (
        f" The {axles} tyres would leave the ground, which a linear drive does not know: "
        'put laws = ["lift-off"] into the case\'s [vehicle].'
    )


def title(level: Level) -> str:
    """The name of a channel, and how it is felt.

    >>> from ..model.ride import Channel
    >>> title(Level(Channel("seat", "m/s^2"), "Wk", 1.0, 3.0, None, None))
    'seat, weighted Wk'
    """
    felt = f", weighted {level.weighting}" if level.weighting != "none" else ""
    return f"{level.channel.name}{felt}"


def _row(level: Level, show: Display, hung: bool) -> tuple[str, ...]:
    kind = KINDS[level.channel.unit]
    rms, peak, rms_with, peak_with = (
        "–" if value is None else readable(show.show(value, kind))
        for value in (level.rms, level.peak, level.rms_with, level.peak_with)
    )
    name = title(level)
    return (name, rms, rms_with, _changed(level), peak, peak_with) if hung else (name, rms, peak)


def _changed(level: Level) -> str:
    if not level.rms or level.rms_with is None:
        return "–"
    return change(level.rms_with / level.rms - 1)


def headline(found: Driven) -> str:
    """What was driven, in one or two sentences."""
    asked, show = found.asked, found.case.display
    speed = show.show(asked.speed, "speed", 4)
    if asked.to != asked.speed:
        speed += f", evenly to {show.show(asked.to, 'speed', 4)}"
    said = f"{asked.seconds:g} s at {speed}. Road: {found.road}. Wheels: {found.ride.labels['wheels']}."
    if found.damper is not None:
        hung = found.damper
        size, tuned = show.show(hung.mass, "mass"), show.show(hung.tuned_hz, "frequency")
        said += (
            f" Damper: {size} at {hung.place}, tuned to {tuned}, {100 * hung.damping_ratio:.3g} % damping."
        )
    labels = found.ride.labels
    more = f" Laws: {labels['laws']}." if "laws" in labels else ""
    return readable(said + more)


def answer(found: Driven, files: Sequence[Path]) -> dict[str, Any]:
    """All that was found, ready for JSON: SI in the key names, null where a thing is absent."""
    asked, hung = found.asked, found.damper
    told: dict[str, Any] = plain(
        {
            "run": run(found.case, asked.seed),
            "speed_m_s": asked.speed,
            "to_m_s": asked.to,
            "seconds": asked.seconds,
            "rate_hz": asked.rate,
            "road": found.road,
            "wheels": asked.wheels,
            "damper": None if hung is None else {"place": hung.place, **damper(hung)},
            "channels": [_channel(level) for level in found.levels],
            "labels": dict(found.ride.labels),
            "files": [str(path) for path in files],
        }
    )
    return told


def _channel(level: Level) -> dict[str, Any]:
    return {
        "name": level.channel.name,
        "unit": level.channel.unit,
        "weighting": level.weighting,
        "rms": level.rms,
        "peak": level.peak,
        "rms_with_damper": level.rms_with,
        "peak_with_damper": level.peak_with,
    }
