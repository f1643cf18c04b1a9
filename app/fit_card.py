"""The fit-and-retune card: bracket, room, bench, washers, and what to do when the shake has moved."""

from __future__ import annotations

from collections.abc import Iterator

from ..model.units import significant
from ..sizing.absorber import Damper
from ..sizing.assess import Assessment
from ..sizing.reasons import place_text
from ..sizing.retune import each, on_vehicle, ring_down, stepped
from ..sizing.study import Sized
from .blocks import Beside, Block, Fill, Paper, Points, Sheet, Text, Ticks, cut, paper
from .ledger import readable
from .tables import fine_percent, percent

MASS_STEPS = (-0.05, -0.02, -0.01, 0.0, 0.01, 0.02, 0.05)
SPRING_STEPS = (-0.10, -0.05, -0.02, 0.0, 0.02, 0.05, 0.10)
CYCLES = (0, 1, 2, 3, 5)
RETORQUE = {"metric": ("50 km", "500 km"), "US": ("30 mi", "300 mi")}


def fit_card(a: Assessment) -> Paper:
    """How the damper goes on and is tuned; only for one that helps."""
    assert a.sized is not None
    blocks = _blocks(a, a.sized)
    return paper(
        a, "fit-and-retune", "Fit and retune", "For whoever fits and tunes the damper", *blocks, scale=0.92
    )


def _blocks(a: Assessment, sized: Sized) -> Iterator[Block]:
    yield Beside((_data(a, sized),), (_bracket(a),))
    yield _retorque(a)
    yield _bench(a, sized)
    washers, springs = _washers(a, sized), _springs(a, sized)
    yield Beside((washers,), (springs,))
    star = "*: breaks a limit (stroke, room, another speed). " if _starred(washers, springs) else ""
    yield Text(f"{star}Added mass counts in every rating; a softer spring sags more: look at the room again.")
    yield _moved(a, sized)


def _data(a: Assessment, sized: Sized) -> Sheet:
    """What goes on, and the room it needs, with a place for what was found."""
    show, hung = a.case.display, sized.found.damper
    sag, stroke = hung.static_sag, sized.found.stroke
    rows = (
        ("moving mass", show.show(hung.mass, "mass"), ""),
        ("spring rate, all together", readable(show.show(hung.stiffness, "stiffness")), ""),
        ("dashpot rate", readable(show.show(hung.damping, "damping")), ""),
        ("sag under its weight", show.show(sag, "small_length"), ""),
        ("stroke each way, at worst", show.show(stroke, "small_length"), ""),
        ("room above: sag + stroke", show.show(sag + stroke, "small_length"), ""),
        ("room below: sag + stroke", show.show(sag + stroke, "small_length"), ""),
    )
    note = "Re-torque distances: common practice, no source."
    return Sheet(
        f"The damper, at {cut(place_text(hung.place))}",
        ("", "wanted", "found"),
        rows,
        (1,),
        (2,),
        (34, 17, 13),
        note,
    )


def _bracket(a: Assessment) -> Ticks:
    towing = {
        "needed": "hitch, plug and chains tried with the damper on",
        "remove first": "a tag says: off before towing",
        "none": "a tag says: no towing with this on",
    }
    return Ticks(
        "Bracket and place",
        (
            ("Frame", "no hole or weld in a flange but as the vehicle maker allows"),
            ("Bracket", "its designer has signed for weight and bumps; no play, no crack"),
            ("Second retainer", "cable or chain that holds the mass if all else breaks"),
            ("Free travel", "full stroke by hand both ways, nothing touches, nothing sticks"),
            ("Lights, plate, angle", "to be seen and kept; brake lines and wires clear"),
            ("Towing", towing[a.case.limits.towing]),
        ),
        ("done",),
    )


def _retorque(a: Assessment) -> Fill:
    first, second = RETORQUE[a.case.display.system]
    return Fill(
        (
            "torque, given by the bracket's designer",
            f"re-torqued at {first}, by",
            f"re-torqued at {second}, by",
        )
    )


def _bench(a: Assessment, sized: Sized) -> Block:
    """The damper alone on a stiff bench, and on the vehicle."""
    hung, rings = sized.found.damper, ring_down(sized.found.damper)
    title = "Ring-down: pull to the stroke, let go, count"
    if rings is None:
        return Points(title, ("It is damped so much that it creeps back with no swing to count.",))
    start = sized.found.stroke
    on = "; ".join(
        f"{significant(hz)} Hz with {fine_percent(ratio)}" for hz, ratio in on_vehicle(a.host, hung)[:3]
    )
    swings = [_length(a, start * rings.left**n) for n in CYCLES]
    rows = (
        ("after so many cycles", *(str(n) for n in CYCLES)),
        ("amplitude left", *(f"{rings.left**n:.3f}" for n in CYCLES)),
        ("from the stroke in service", *swings),
        ("found", *[""] * len(CYCLES)),
    )
    note = (
        f"Alone on a stiff bench: {significant(rings.frequency)} Hz seen ({significant(hung.tuned_hz)} Hz "
        f"undamped), damping ζ {fine_percent(hung.damping_ratio)} of its own critical, logarithmic decrement "
        f"2πζ/√(1−ζ²) = {rings.decrement:.3f}: each swing is {1 / rings.left:.3f} times the next. Start at "
        f"the stroke in service. On the vehicle it rings otherwise ({on}): bench first, then the road."
    )
    blanks = tuple(range(1, len(CYCLES) + 1))
    return Sheet(title, rows[0], rows[1:], blanks, blanks, (30, *[14] * len(CYCLES)), note)


def _length(a: Assessment, value: float) -> str:
    unit, one = a.case.display.unit("small_length")
    return f"{value / one:.2f} {unit}" if unit == "mm" else f"{value / one:.3f} {unit}"


def _washers(a: Assessment, sized: Sized) -> Sheet:
    """What more or less mass does."""
    hung = sized.found.damper
    changed = [stepped(hung, mass=step) for step in MASS_STEPS]
    rows = _steps(a, changed, MASS_STEPS, [_signed_mass(a, d.mass - hung.mass) for d in changed])
    columns = ("mass", "that is", "tuned to", "shake falls by")
    return Sheet("Washers: more mass tunes it lower, f ∝ 1/√m", columns, rows, (0, 1, 2, 3))


def _springs(a: Assessment, sized: Sized) -> Sheet:
    """What a stiffer or softer spring does."""
    hung = sized.found.damper
    changed = [stepped(hung, stiffness=step) for step in SPRING_STEPS]
    rates = [readable(a.case.display.show(d.stiffness, "stiffness")) for d in changed]
    rows = _steps(a, changed, SPRING_STEPS, rates)
    columns = ("rate", "that is", "tuned to", "shake falls by")
    return Sheet("Spring: stiffer tunes it higher, f ∝ √k", columns, rows, (0, 1, 2, 3))


def _steps(
    a: Assessment, changed: list[Damper], steps: tuple[float, ...], texts: list[str]
) -> tuple[tuple[str, ...], ...]:
    found = each(a.host, a.bounds, changed)
    return tuple(
        (_signed(step), text, f"{f.damper.tuned_hz:.2f} Hz", percent(f.reduction) + "*" * bool(f.broken))
        for step, text, f in zip(steps, texts, found, strict=True)
    )


def _starred(*sheets: Sheet) -> bool:
    return any(row[-1].endswith("*") for one in sheets for row in one.rows)


def _signed(step: float) -> str:
    return "as built" if step == 0 else f"{step:+.0%}".replace("%", " %").replace("-", "−")


def _signed_mass(a: Assessment, value: float) -> str:
    unit, one = a.case.display.unit("mass")
    return f"{value / one:+.2f} {unit}".replace("-", "−") if value else f"0 {unit}"


def _moved(a: Assessment, sized: Sized) -> Points:
    """What to do when the shake is not where it was."""
    hung, aim = sized.found.damper, a.host.target
    assert aim is not None
    show, slower = a.case.display, 0.97 * aim.critical.speed
    lower, rate = 0.97 * hung.tuned_hz, 0.97**2 * hung.stiffness
    tyres = "After other tyres: the speed moves with their circumference, the mode hardly: no retuning. "
    return Points(
        "When the shake has moved",
        (
            "To another speed, same load and tyres: tune by the same share, spring rate by its square: at "
            f"{show.show(slower, 'speed')} instead of {show.show(aim.critical.speed, 'speed')}, tune to "
            f"{significant(lower)} Hz, rate {readable(show.show(rate, 'stiffness'))}.",
            "Two shakes, one on either side: slower one stronger, tune lower; faster one stronger, tune "
            "higher; both strong and narrow, more damping.",
            "Same speed, as strong as before: something sticks (a few newtons of friction lock it), hits "
            "its stop, or the bracket has play.",
            f"{tyres if aim.critical.cause.kind == 'wheel' else ''}After another load: run the case again.",
        ),
    )
