"""What a recording says as sentences and tables of text, in the units that its user writes."""

from __future__ import annotations

from math import degrees, isfinite

from ..model.measured.findings import Driveline, Estimate, Finding, Kind, PointMotion
from ..model.measured.notes import MENDED, HealthNote
from ..model.units import Display, significant
from ..sizing.shakes_heard import in_percent, in_units
from .ledger import readable
from .read_study import Heard
from .tables import Table, fine_percent, percent

KINDS: dict[Kind, str] = {
    "rotating_part": "a part that turns",
    "resonance": "a resonance",
    "not_separable": "cannot be told apart",
    "nothing": "nothing stands out",
    "outside_the_model": "outside the model",
}
DRIVELINES: dict[Driveline, str] = {
    "quiet": "quiet",
    "moves_with_it": "moves with it",
    "unknown": "not known",
}
FOLLOWING = (
    "Following is not driving: a shaft whose speed swings along may be shaken itself. Neutral, or another "
    "gear at the same speed, decides."
)
MOST_NOTES = 40
UNTOLD = 0.7  # [rad] a phase that is known no better is not told
WHAT: dict[str, str] = {
    "circumference": "rolling circumference",
    "shaft ratio": "shaft turns per turn of a wheel",
    "joint spacing": "distance between joints of the road",
}


def headline(h: Heard) -> str:
    """What was read: how much of it, and over which speeds."""
    ride, slow = h.recording.ride, h.slow
    count = len(h.recording.sensors)
    channels = f"{count} acceleration channel{'s' if count > 1 else ''}"
    said = f"{ride.duration:.0f} s at {ride.rate:.6g} Hz, {channels}"
    if not slow.moving.any():
        return f"{said}, no road speed" if h.recording.speed is None else f"{said}, standing"
    speeds = slow.speed[slow.moving]
    show = h.display
    low, high = show.show(float(speeds.min()), "speed"), show.show(float(speeds.max()), "speed")
    return f"{said}, {low} to {high}"


def sentence(one: Finding, show: Display) -> str:
    """A finding as one sentence or a few.

    >>> print(sentence(Finding("nothing", "no shake of a narrow band stands out", 0.8), Display()))
    No shake of a narrow band stands out. 80 % sure.
    """
    parts = [_what(one), _size(one, show), _input(one), f"{_capital(in_percent(one.confidence))} sure."]
    return " ".join(part for part in parts if part)


def _what(one: Finding) -> str:
    cause = _capital(one.cause)
    at = "" if one.frequency_hz is None else f" at {one.frequency_hz:.3g} Hz"
    if one.kind == "resonance":
        damped = "" if one.damping_ratio is None else f", {fine_percent(one.damping_ratio)} damped"
        mode, met, by = cause.partition(", met by ")
        return f"{mode}{at}{damped}{met}{by}."
    if one.kind == "rotating_part":
        return f"{cause}: a part that turns is larger than it should be{at and ', felt most' + at}."
    if one.kind == "outside_the_model":
        return f"{cause}{at}. Nothing here is made for that."
    return f"{cause}{at}."


def _size(one: Finding, show: Display) -> str:
    if one.level_m_s2 is None:
        return ""
    band = "" if one.speed_band_m_s is None else f", at {_band(one.speed_band_m_s, show)}"
    return f"It reaches {significant(one.level_m_s2)} m/s² r.m.s.{_largest(one)}{band}."


def _largest(one: Finding) -> str:
    """Where the level was taken: of a part that turns, `where` is the part itself."""
    place = max(one.points, key=lambda name: one.points[name].level, default=None)
    if one.kind in ("resonance", "outside_the_model"):
        place = one.where
    return f" at {place}" if place else ""


def _input(one: Finding) -> str:
    said = []
    if one.input_over_healthy is not None:
        size = significant(one.input_over_healthy, 2)
        said.append(f"The input is {size} times a healthy one, to a factor of two")
    if one.amplified_by is not None:
        said.append(f"the resonance makes {significant(one.amplified_by, 2)} times as much of what comes in")
    text = "; ".join(said)
    return f"{_capital(text)}." if text else ""


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _band(band: tuple[float, float], show: Display) -> str:
    unit, one = show.unit("speed")
    low, high = (significant(v / one, 3) for v in band)
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"


def findings_table(h: Heard) -> Table:
    """Every finding on a line, the principal one first."""
    rows = [
        (
            str(i),
            KINDS[one.kind],
            one.cause,
            "" if one.frequency_hz is None else _with_interval(one.frequency_hz, one.interval),
            "" if one.speed_band_m_s is None else _band(one.speed_band_m_s, h.display),
            "" if one.level_m_s2 is None else significant(one.level_m_s2),
            in_percent(one.confidence),
        )
        for i, one in enumerate(h.evidence.findings, 1)
    ]
    columns = ("", "kind", "what", "frequency, Hz", "speed", "m/s² r.m.s.", "sure")
    return Table("Findings", columns, tuple(rows), (5, 6), marked=frozenset({0}))


def _with_interval(value: float, interval: tuple[float, float] | None) -> str:
    found = significant(value)
    if interval is None:
        return found
    return f"{found} ({significant(interval[0])} to {significant(interval[1])})"


def behind_table(h: Heard) -> Table:
    """What is behind each finding: damping, share, input, driveline."""
    rows = []
    for i, one in enumerate(h.evidence.findings, 1):
        rows.append(
            (
                str(i),
                "" if one.damping_ratio is None else _damping(one),
                "" if one.share is None else percent(one.share),
                "" if one.input_over_healthy is None else significant(one.input_over_healthy, 2),
                "" if one.amplified_by is None else significant(one.amplified_by, 2),
                DRIVELINES[one.driveline],
                _coherence(one),
            )
        )
    columns = (
        "", "damping", "share of 3–25 Hz", "input over a healthy one", "amplified, times", "driveline",
        "coherence (significant above)",
    )  # fmt: skip
    moved = any(one.driveline == "moves_with_it" for one in h.evidence.findings)
    return Table("Behind the findings", columns, tuple(rows), (2, 3, 4), FOLLOWING if moved else "")


def _damping(one: Finding) -> str:
    found = fine_percent(one.damping_ratio or 0.0)
    if one.damping_interval is None:
        return found
    low, high = (fine_percent(v) for v in one.damping_interval)
    return f"{found} ({low} to {high})"


def _coherence(one: Finding) -> str:
    numbers = one.numbers
    if "coherence" not in numbers:
        return ""
    return f"{numbers['coherence']:.2f} ({numbers['significance']:.2f})"


def points_table(h: Heard) -> Table:
    """Level and phase of each point in the principal finding."""
    one = h.evidence.findings[0]
    show, stations = h.display, h.stations
    rows = [
        (
            name,
            show.show(stations[name], "length") if name in stations else "",
            significant(point.level),
            phase_words(point),
            f"{point.followed:.2f}",
        )
        for name, point in one.points.items()
    ]
    columns = ("point", "behind the front axle", "m/s² r.m.s.", "phase", "coherence")
    columns = columns if stations else (columns[0], "", *columns[2:])
    note = (
        "Levels in the mean over the pieces that show it. Phase against the point that shows it most, "
        "positive where it leads."
    )
    return Table("Points in the first finding", columns, tuple(rows), (1, 2, 4), note if rows else "")


def has_phase(point: PointMotion) -> bool:
    """Whether the phase of a point is known well enough to be told."""
    return isfinite(point.error) and 2 * point.error <= UNTOLD


def phase_words(point: PointMotion) -> str:
    """A phase in degrees, or that there is none to tell.

    >>> phase_words(PointMotion(0.1, 3.1, 0.05, 0.9)), phase_words(PointMotion(0.1, 3.1, 2.0, 0.01))
    ('178° ± 6°', 'none to tell')
    """
    if not has_phase(point):
        return "none to tell"
    turned = f"{degrees(point.phase):.0f}".replace("-0", "0").replace("-", "−")
    return f"{turned}° ± {degrees(2 * point.error):.0f}°" if point.error else f"{turned}°"


def health_line(h: Heard) -> str:
    """What is wrong with the recording, in one sentence for beside the answer; nothing where nothing is."""
    found: dict[str, list[str]] = {}
    unsound = [note for note in h.health if note.done not in MENDED]
    for note in sorted(unsound, key=lambda note: note.channel):
        found.setdefault(note.channel, []).append(note.kind)
    told = "; ".join(f"{channel}: {', '.join(dict.fromkeys(kinds))}" for channel, kinds in found.items())
    return f"Not all of this recording is sound ({told}): look at that before you act on it." if told else ""


def _said(note: HealthNote) -> tuple[str, str]:
    return readable(note.found), readable(note.done)


def health_table(h: Heard) -> Table:
    """What is wrong with the recording, channel by channel, and what was done about it."""
    notes = sorted(h.health, key=lambda note: (note.channel, note.start))
    rows = [
        (note.channel, note.kind, f"{note.start:.6g} to {note.end:.6g} s", *_said(note))
        for note in notes[:MOST_NOTES]
    ]
    more = len(notes) - len(rows)
    said = f"And {more} more, in the JSON." if more > 0 else "" if rows else "Nothing wrong was found."
    columns = ("channel", "what", "when", "found", "done")
    return Table("Health of the recording", columns, tuple(rows), (), said)


def estimates_table(h: Heard) -> Table:
    """What the recording tells of the vehicle and the road."""
    told = h.evidence.estimates.items()
    rows = [(WHAT.get(name, name), _estimate(one, h.display), one.how) for name, one in told]
    note = "On the scale of the recorded speed; in brackets: 95 %." if rows else ""
    return Table("Read off the recording", ("what", "is", "from"), tuple(rows), (), note)


def _estimate(one: Estimate, show: Display) -> str:
    if one.unit != "m":
        return f"{significant(one.value)} ({significant(one.low)} to {significant(one.high)})"
    value, low, high = (show.show(v, "length", 4) for v in (one.value, one.low, one.high))
    return f"{value} ({low.split()[0]} to {high})"


def step_rows(h: Heard) -> tuple[tuple[str, str], ...]:
    """The one next step in four parts: what to record, where, how to drive, and why."""
    step = h.evidence.next_step
    parts = (("record", step.record), ("where", step.where), ("drive", step.drive), ("why", step.why))
    return tuple((name, in_units(text, h.display)) for name, text in parts if text)
