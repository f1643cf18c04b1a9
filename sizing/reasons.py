"""Why a damper does not help, found by taking one limit away at a time; and the verdict that follows."""

from __future__ import annotations

from dataclasses import replace

from ..model.units import Display, Kind
from .before_after import Comparison
from .limits import NO_WORSE, Bounds
from .ratings import RatingCheck
from .search import Found
from .study import Host, Progress, Sized, allowed_mass, quiet, size
from .verdict import REMEDY, Outcome, Verdict, say

BEATS_BALLAST = 0.05  # share of the shake by which a damper must do better than the same weight bolted down
STRUCTURAL = 100.0  # [kg] a heavier damper changes what it hangs on: common practice, no source
HEAVILY_DAMPED = 0.20  # damping ratio above which a mode hardly amplifies: peak over static below 2.6


def check_texts(check: RatingCheck, value: float, show: Display) -> tuple[str, str]:
    """A limit and a value [kg, m, or -] that is held to it, as text."""
    if check.unit == "-":
        return percent(check.limit), percent(value)
    kind: Kind = "length" if check.unit == "m" else "mass"
    return show.show(check.limit, kind), show.show(value, kind)


def over_before(one: Host, checks: tuple[RatingCheck, ...]) -> Verdict | None:
    """A limit that is broken without any damper."""
    show = one.case.display
    for check in checks:
        if not check.met_before:
            rating, load = check_texts(check, check.before, show)
            return say(Outcome.RATINGS, "before", limit=check.name, rating=rating, load=load)
    return None


def decide(one: Host, sized: Sized | None, bounds: Bounds, progress: Progress = quiet) -> Verdict:
    """The verdict on the best damper of a host whose gate is open and whose target is known."""
    assert one.target is not None
    if sized is None:
        return _over_ratings(one, bounds, 0.0)
    worth, reduction = one.case.limits.worth, sized.comparison.reduction
    facts = facts_of(one, sized, bounds)
    if reduction < worth or sized.found.broken:
        return _why_not(one, sized, bounds, progress)
    if reduction < sized.comparison.ballast_reduction + BEATS_BALLAST:
        return say(Outcome.BALLAST_DOES_AS_WELL, **facts)
    if sized.found.damper.mass > STRUCTURAL:
        return say(Outcome.REFER_TO_ENGINEER, **facts)
    return say(Outcome.HELPS, **facts)


def facts_of(one: Host, sized: Sized, bounds: Bounds) -> dict[str, str]:
    """What a verdict's sentence may say of a damper, as text in the user's units."""
    assert one.target is not None
    show, hung, critical = one.case.display, sized.found.damper, one.target.critical
    return {
        "mass": show.show(hung.mass, "mass"),
        "limit": show.show(bounds.mass, "mass"),
        "place": place_text(hung.place),
        "tuned": show.show(hung.tuned_hz, "frequency"),
        "ratio": percent(hung.damping_ratio),
        "speed": speed_text(one.target.band, show),
        "reduction": percent(sized.comparison.reduction),
        "ballast": _signed(-sized.comparison.ballast_reduction),
        "elsewhere": _elsewhere(sized.comparison, show),
        "worth": percent(one.case.limits.worth),
        "cause": critical.cause.name,
        "mode": critical.mode_name,
        "damping": percent(float(one.modes.damping_ratio[critical.mode])),
        "remedy": REMEDY[critical.cause.kind],
    }


def speed_text(band: tuple[float, float], show: Display) -> str:
    """A band of speeds [m/s] in the user's unit: "84 to 92 km/h"."""
    unit, one = show.unit("speed")
    low, high = (f"{v / one:.0f}" for v in band)
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"


def place_text(name: str) -> str:
    """A point as it stands in a sentence: "the rear axle", "the rear end"."""
    return f"the {name.removeprefix('axle.')} axle" if name.startswith("axle.") else f"the {name}"


def percent(share: float) -> str:
    """A share [-] as people read it; a reduction that is none is 0 %."""
    return f"{max(share, 0.0) * 100:.0f} %"


def _signed(share: float) -> str:
    return "0 %" if abs(share) < 0.005 else f"{share * 100:+.0f} %".replace("-", "\N{MINUS SIGN}")


def _elsewhere(comparison: Comparison, show: Display) -> str:
    """What happens outside the band, in words."""
    worst = comparison.elsewhere
    if worst is None or worst.after <= NO_WORSE * worst.before:
        return "no other speed gets worse by more than a twentieth"
    speed = speed_text((worst.speed, worst.speed), show)
    levels = f"{worst.before:.2f} to {worst.after:.2f} m/s²"
    return f"beside the band, at {speed}, {place_text(worst.point)} goes from {levels}"


def _why_not(one: Host, sized: Sized, bounds: Bounds, progress: Progress) -> Verdict:
    """Take one limit away at a time; the first that would let it help is the reason."""
    facts, worth = facts_of(one, sized, bounds), one.case.limits.worth

    def without(**changes: object) -> Found | None:
        progress("asking which limit decides")
        found = size(one, replace(bounds, **changes))  # type: ignore[arg-type]
        return found if found and found.reduction >= worth and not found.broken else None

    room = bounds.stroke is not None or bounds.clearance is not None
    if room and (found := without(stroke=None, clearance=None)):
        stroke = one.case.display.show(found.stroke, "small_length")
        return say(Outcome.STROKE, could=percent(found.reduction), stroke=stroke, **facts)
    if found := without(elsewhere=False):
        return say(Outcome.WORSE_ELSEWHERE, could=percent(found.reduction), **facts)
    if without(ratings=False):
        return _over_ratings(one, bounds, sized.comparison.reduction)
    if other := _better_place(one, sized, bounds, progress):
        return say(
            Outcome.WRONG_PLACE,
            better=place_text(other.damper.place),
            could=percent(other.reduction),
            **facts,
        )
    assert one.target is not None
    if one.modes.damping_ratio[one.target.critical.mode] > HEAVILY_DAMPED:
        return say(Outcome.NOT_A_RESONANCE, "damped", **facts)
    for factor in (2.0, 4.0):
        if found := without(mass=factor * bounds.mass):
            needed = one.case.display.show(found.damper.mass, "mass")
            return say(Outcome.TOO_LITTLE_MASS, needed=needed, **facts)
    return say(Outcome.TOO_LITTLE_MASS, "hopeless", **facts)


def _over_ratings(one: Host, bounds: Bounds, reduction: float) -> Verdict:
    """The ratings leave too little room."""
    assert one.target is not None
    show = one.case.display
    rooms = {name: allowed_mass(one, name, bounds.mass) for name in one.places}
    place = max(rooms, key=lambda name: rooms[name])
    return say(
        Outcome.RATINGS,
        room=show.show(rooms[place], "mass"),
        place=place_text(place),
        speed=speed_text(one.target.band, show),
        reduction=percent(reduction),
        worth=percent(one.case.limits.worth),
        remedy=REMEDY[one.target.critical.cause.kind],
    )


def _better_place(one: Host, sized: Sized, bounds: Bounds, progress: Progress) -> Found | None:
    """A point of the vehicle, not among the allowed ones, where the same weight would help."""
    others = [n for n, p in one.vehicle.points.items() if n not in one.places and p.direction == "vertical"]
    progress("trying other places")
    found = size(one, bounds, others) if others else None
    enough = found and found.reduction >= max(
        one.case.limits.worth, sized.comparison.reduction + BEATS_BALLAST
    )
    return found if found and enough and not found.broken else None
