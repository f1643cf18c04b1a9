"""The customer's sheet, in plain words: what gets better, what stays, when it comes back, what it costs."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..model.speeds import CriticalSpeed
from ..sizing.assess import Assessment
from ..sizing.proof import weight_moves
from ..sizing.reasons import place_text, speed_text
from ..sizing.study import Sized
from .blocks import Beside, Block, Fill, Paper, Points, Sheet, Text, cut, paper
from .tables import change, level, percent

MOST_OTHERS = 4
APART = 0.06  # of a speed: what lies closer is felt as one

FROM = {
    "wheel": "turning wheels",
    "joints": "joints of the road",
    "wave": "waves of the road",
    "propshaft": "propshaft",
    "engine": "engine",
}
TOWING = {
    "needed": "Towing stays in use: try the hitch, plug and safety chains with the damper on first.",
    "remove first": "The damper comes off before anything is towed, and the shake is back while it is off.",
    "none": "No towing with the damper on: it was not asked for, so it was not looked at.",
}


def customer_sheet(a: Assessment) -> Paper:
    """What the owner of the vehicle gets, and does not get; only for a damper that helps."""
    assert a.sized is not None
    return paper(
        a, "customer", "What you get", "For the owner and the driver", *_blocks(a, a.sized), scale=1.02
    )


def _blocks(a: Assessment, sized: Sized) -> Iterator[Block]:
    show, c = a.case.display, sized.comparison
    place, mass = cut(place_text(sized.found.damper.place)), show.show(sized.found.damper.mass, "mass")
    band, before, after = speed_text(c.band, show), c.largest(c.before), c.largest(c.after)
    yield Text(
        f"A weight of {mass} on springs goes on at {place}. From {band} the shake at "
        f"{cut(c.point.name)} should fall by about {percent(c.reduction)}: from {level(a, before)} to "
        f"{level(a, after)}. This is a forecast, not a promise: it is driven before and after, on one road.",
        "What gets better.",
        big=True,
    )
    yield _remains(a, sized)
    yield Beside((_comes_back(a, sized),), (_costs(a, sized),))
    yield Text(
        "It calms a sound vehicle and mends nothing. It does not replace worn tyres, loose joints, tired "
        "shock absorbers or a cracked frame; if anything feels new or louder, have the vehicle looked at. "
        "Whether it may be fitted and driven is up to the local codes, the vehicle maker and, where asked "
        "for, a licensed engineer.",
        "It is no repair.",
    )
    yield Fill(("fitted by, date", "odometer", "felt before, 0–10", "felt after, 0–10", "next check"))


def _remains(a: Assessment, sized: Sized) -> Sheet:
    """What is left at other speeds: where it rises most, and the other critical speeds."""
    rows = [_row(a, sized, speed, what) for speed, what in others(a, sized)]
    note = (
        "Levels are r.m.s. of everything together, as felt at the place named; about 0.01 m/s² is the least "
        "that anybody feels. The roughness of the road itself stays what it is."
    )
    columns = ("speed", "from", "felt at", "now", "afterwards", "change")
    return Sheet("What stays, at other speeds", columns, tuple(rows), (3, 4, 5), note=note)


def others(a: Assessment, sized: Sized) -> list[tuple[float, str]]:
    """Speeds [m/s] outside the band that deserve a word, each with what it comes from; slowest first."""
    c, found = sized.comparison, []
    if c.elsewhere is not None:
        found.append((c.elsewhere.speed, "where it rises most" if _rises(sized) else "where it gains least"))
    for critical in a.host.critical:
        if critical.typical is not None and _is_new(critical, c.band, [speed for speed, _ in found]):
            found.append((critical.speed, FROM[critical.cause.kind]))
    return sorted(found[: MOST_OTHERS + 1])


def _rises(sized: Sized) -> bool:
    worst = sized.comparison.elsewhere
    return worst is not None and worst.after > worst.before


def _is_new(critical: CriticalSpeed, band: tuple[float, float], said: list[float]) -> bool:
    """Whether a critical speed lies outside the band and apart from those that are listed."""
    beside = not band[0] <= critical.speed <= band[1]
    return beside and all(abs(critical.speed / speed - 1) > APART for speed in said)


def _row(a: Assessment, sized: Sized, speed: float, what: str) -> tuple[str, ...]:
    """Before and after at one speed [m/s], at the point that shakes most there afterwards."""
    c = sized.comparison
    before, after = (
        np.array([np.interp(speed, c.speeds, levels[:, p]) for p in range(len(c.points))])
        for levels in (c.before, c.after)
    )
    worst = c.elsewhere
    names = [p.name for p in c.points]
    p = names.index(worst.point) if worst and speed == worst.speed else int(np.argmax(after))
    told = change(after[p] / before[p] - 1) if before[p] else "–"
    texts = (level(a, before[p]), level(a, after[p]), told)
    return speed_text((speed, speed), a.case.display), what, cut(names[p]), *texts


def _comes_back(a: Assessment, sized: Sized) -> Points:
    """What brings the shake back."""
    show, moved = a.case.display, weight_moves(a.host)
    load = "Another load: the speed of the shake moves, and the damper is tuned for one speed."
    if moved is not None:
        mass, speeds = show.show(moved.seen.mass or 0.0, "mass"), moved.speeds
        before, after = (show.show(v, "speed") for v in speeds)
        load = f"Another load: {mass} at the rear end alone moves the shake from {before} to {after}."
    return Points(
        "When it comes back",
        (
            "Worn, flat-spotted or unbalanced tyres, or run-out: more comes in, so more is left.",
            "Other wheels or tyres: another size meets the shake at another speed.",
            load,
            "Springs, body or mounts changed: have it tuned again.",
            "The damper's own bolts, rubber or springs: it is looked at with every service.",
            "Hard frost: rubber stiffens (common practice, no source).",
        ),
    )


def _costs(a: Assessment, sized: Sized) -> Points:
    """Payload, axle loads, room and towing."""
    show, hung = a.case.display, sized.found.damper
    room = show.show(sized.found.stroke + hung.static_sag, "small_length")
    loads = [
        f"{cut(name)} axle {show.show(before, 'mass', 4)} → {show.show(sized.loads[name], 'mass', 4)}"
        for name, before in a.host.loads.items()
    ]
    return Points(
        "What it costs",
        (
            f"Payload: {show.show(hung.mass, 'mass')} less, and the bracket's own weight.",
            f"Axle loads: {'; '.join(loads[:4])}.",
            _ratings(a),
            f"Room: {room} kept free above and below it, always; ground clearance and departure angle.",
            TOWING[a.case.limits.towing],
        ),
    )


def _ratings(a: Assessment) -> str:
    if not a.checks:
        return "Ratings: none were given, so none was checked; look at the placard first."
    tight = min((c for c in a.checks if c.unit == "kg"), key=lambda c: c.limit - c.after, default=None)
    if tight is None:
        return f"Ratings: all {len(a.checks)} given are kept."
    room = a.case.display.show(tight.limit - tight.after, "mass")
    return f"Ratings: all {len(a.checks)} given are kept; the least room left is {room}, {cut(tight.name)}."
