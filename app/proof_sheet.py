"""For the engineer: what would prove the assessment wrong, with a place for what was measured."""

from __future__ import annotations

from collections.abc import Iterator

from ..model.units import significant
from ..sizing.assess import Assessment
from ..sizing.proof import REPEATABLE, harmonics, motions, remeasured, speed_interval, weight_moves
from ..sizing.reasons import place_text
from ..sizing.target import Target
from ..sizing.weight_test import LEAST, NOTICED
from .answer import interval
from .blocks import Beside, Block, Fill, Paper, Plain, Sheet, Text, cut, paper
from .tables import change, fine_percent, level, percent

NODE = 0.15  # of the largest motion: a point that moves less has no sign that a person could rely on
MOST_HARMONICS = 5


def proof_sheet(a: Assessment) -> Paper:
    """What to measure, and what would refute the assessment; only where it names a critical speed."""
    assert a.host.target is not None
    blocks = _blocks(a, a.host.target)
    return paper(
        a, "proof", "What would prove this wrong", "For the engineer who tests it", *blocks, scale=0.94
    )


def _blocks(a: Assessment, aim: Target) -> Iterator[Block]:
    name = aim.critical.cause.name
    yield Text(
        f"{name[:1].upper()}{name[1:]} meets {aim.critical.mode_name}. Each line says what is predicted and "
        "what would refute it. Measure without looking at the numbers, then compare.",
        "The claim.",
    )
    rows = (*_speed(a, aim), *_levels(a), *_weight(a), *_coasting(aim))
    columns = ("predicted", "value", "it is wrong if", "measured")
    yield Sheet("Predictions", columns, rows, (), (3,), (30, 36, 40, 15))
    right: tuple[Plain, ...] = (_harmonics(a, aim),) if len(harmonics(a.host)) > 1 else ()
    shape = _shape(a)
    yield Beside((shape,), right) if right else shape
    yield Text(
        "Intervals are 95 %, from the spread of the case's own numbers. Two rides alike in road, direction, "
        f"load, pressure and warmth are taken to repeat within ± {percent(REPEATABLE)} (assumed, no source: "
        "measure your own by driving each twice). Level ratios allow for that alone, not for a model that is "
        "off: the first two lines come first.",
        "What stands behind them.",
    )
    yield Fill(("measured by, date", "instrument, place", "road, load, pressures"))


def _speed(a: Assessment, aim: Target) -> Iterator[tuple[str, ...]]:
    """Critical speed, frequency and damping."""
    show, mode = a.case.display, aim.critical.mode
    low, high = (show.show(v, "speed") for v in speed_interval(a.host))
    speed = show.show(aim.critical.speed, "speed")
    yield "critical speed", f"{speed} ({low} to {high})", "strongest outside that interval", ""
    hertz = [significant(f) for f in (float(a.host.modes.frequency_hz[mode]), *interval(a, mode))]
    value = f"{hertz[0]} Hz ({hertz[1]} to {hertz[2]} Hz)"
    yield "its frequency", value, "a ring-down or a spectrum there says otherwise", ""
    damping = fine_percent(float(a.host.modes.damping_ratio[mode]))
    refuted = f"more than twice or less than half of it (a band {_width(a, aim)} wide at 0.7 of the peak)"
    yield "its damping", damping, refuted, ""


def _width(a: Assessment, aim: Target) -> str:
    band = aim.critical.band
    ratio = float(a.host.modes.damping_ratio[aim.critical.mode])
    width = band[1] - band[0] if band else 2 * ratio * aim.critical.speed
    return a.case.display.show(width, "speed", 2)


def _levels(a: Assessment) -> Iterator[tuple[str, ...]]:
    """Levels in the band before and after, and where it rises."""
    if a.sized is None:
        return
    c = a.sized.comparison
    before, after = c.largest(c.before), c.largest(c.after)
    low, high = remeasured(after / before)
    value = f"{after / before:.2f}: {level(a, before)} to {level(a, after)}"
    yield "level after over before, in the band", value, f"outside {low:.2f} to {high:.2f}", ""
    low, high = remeasured(1 - c.ballast_reduction)
    value = f"{1 - c.ballast_reduction:.2f}"
    yield "the same with plain ballast of its weight", value, f"outside {low:.2f} to {high:.2f}", ""
    if c.elsewhere is not None and c.elsewhere.before > 0:
        low, high = remeasured(c.elsewhere.ratio)
        speed = a.case.display.show(c.elsewhere.speed, "speed")
        value = f"{c.elsewhere.ratio:.2f} at {speed}, {cut(c.elsewhere.point)}"
        yield "after over before, worst elsewhere", value, f"outside {low:.2f} to {high:.2f}", ""
    stroke = a.case.display.show(a.sized.found.stroke, "small_length")
    yield "stroke of the damper each way", f"{stroke} at worst", "it moves more, or hits a stop", ""


def _weight(a: Assessment) -> Iterator[tuple[str, ...]]:
    """Where a weight over the rear end moves it."""
    moved, show = weight_moves(a.host), a.case.display
    if moved is None:
        return
    mass = show.show(moved.seen.mass or 0.0, "mass")
    before, after = (show.show(v, "speed") for v in moved.speeds)
    felt = "" if abs(moved.share) >= NOTICED else "; too little to feel, measure it"
    refuted = "it stays, goes the other way, or twice as far" if abs(moved.share) >= LEAST else "it moves"
    value = f"{before} to {after} ({change(moved.share)}){felt}"
    yield f"{mass} at {cut(place_text(moved.seen.at or ''))} moves it", value, refuted, ""


def _coasting(aim: Target) -> Iterator[tuple[str, ...]]:
    """What a neutral coast-down does to a shake that comes from wheels or road."""
    if aim.critical.cause.kind in ("wheel", "joints", "wave"):
        source = "wheels" if aim.critical.cause.kind == "wheel" else "road"
        value = f"stays: same speed, as strong within {percent(2**0.5 * REPEATABLE)}"
        yield "neutral coast-down", value, f"it goes or moves: then not from the {source}", ""
    if aim.critical.cause.kind == "wheel":
        yield "speed over rolling circumference", "constant", "other tyres move it by another share", ""
    if aim.critical.cause.kind == "joints":
        yield "on a road without such joints", "gone", "it is still there", ""


def _shape(a: Assessment) -> Sheet:
    """Signs of the motion at points."""
    place = a.sized.found.damper.place if a.sized else None
    found = motions(a.host, place)
    names = [cut(place_text(m.point.name).removeprefix("the ")) for m in found]
    shares = [f"{m.share:+.2f}".replace("-", "−") for m in found]
    rows = tuple(
        (name, _sign(m.share), share, "") for name, m, share in zip(names, found, shares, strict=True)
    )
    note = (
        "+ together, − opposed, over the point that moves most. Wrong if a sign is the other, or if a point "
        "near a node moves with the rest."
    )
    columns = ("point, front to rear", "moves", "share", "measured")
    return Sheet("Shape of the mode", columns, rows, (2,), (3,), (30, 20, 12, 20), note)


def _sign(share: float) -> str:
    if abs(share) < NODE:
        return "near a node"
    return "+" if share > 0 else "−"


def _harmonics(a: Assessment, aim: Target) -> Sheet:
    """Where the other harmonics or orders meet the same mode, over the target's own."""
    show, found = a.case.display, harmonics(a.host)[:MOST_HARMONICS]
    own = aim.critical
    rows = tuple(
        (
            f"{c.cause.order:.0f}",
            show.show(c.coincidence, "speed"),
            f"{c.coincidence / own.coincidence:.3f}",
            f"{c.typical / own.typical:.2f}" if c.typical and own.typical else "–",
            "",
        )
        for c in found
    )
    what = "harmonic" if own.cause.kind == "joints" else "order"
    note = (
        "Meeting speeds stand as 1 over the number: wrong if the shake is not there, or stronger where it "
        "should be weaker."
    )
    columns = (what, "meets at", "speeds over this", "levels over this", "found")
    title = f"The same mode, other {what}s"
    return Sheet(title, columns, rows, (0, 1, 2, 3), (4,), (18, 20, 14, 14, 14), note)
