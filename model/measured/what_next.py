"""The one thing to record next: what, where, how to drive, and what it will tell."""

from __future__ import annotations

from .findings import Finding, NextStep

SAFE = "One person drives, another watches the recorder; nobody reads a screen at the wheel."
SWEEP = (
    "On an empty, even road, in one gear, rise slowly from {low:.0f} to {high:.0f} km/h, no faster than the "
    "limit, and let it roll down again, a minute or longer each way; keep off the brakes."
)
KMH = 3.6
LIKELY = 0.5  # [-] confidence below which `nothing` is no answer


def next_step(found: Finding, speed_known: bool, fastest: float) -> NextStep:
    """What would tell most after the principal finding.

    fastest  [m/s] speed that was reached

    >>> print(next_step(Finding("nothing", "nothing", 0.9), False, 0.0).record)
    Record the road speed along with the shake, from a satellite receiver or the vehicle's own bus.
    """
    if not speed_known:
        return NextStep(
            "Record the road speed along with the shake, from a satellite receiver or the vehicle's own bus.",
            "The sensors can stay where they are.",
            _sweep(fastest or 22.0) + " " + SAFE,
            "Without a speed, what turns cannot be told from what rings.",
        )
    return {
        "not_separable": _after_one_speed, "resonance": _after_resonance, "rotating_part": _after_rotating,
        "outside_the_model": _after_outside, "nothing": _after_nothing,
    }[found.kind](found, fastest)  # fmt: skip


def _sweep(speed: float) -> str:
    return SWEEP.format(low=0.7 * speed * KMH, high=min(1.25 * speed, 33.0) * KMH)


def _after_one_speed(found: Finding, fastest: float) -> NextStep:
    return NextStep(
        "Record the same points again while the speed changes.",
        "The sensors can stay where they are; one on each axle tells which wheels.",
        _sweep(fastest) + " " + SAFE,
        "At one speed a part that turns and a natural frequency look the same.",
    )


def _after_resonance(found: Finding, fastest: float) -> NextStep:
    if found.met_by == "wheel_order" and found.input_over_healthy is None:
        return NextStep(
            "Record the same sweep again with a sensor on each axle.",
            "Near a wheel end, on the axle itself, clear of hoses.",
            f"{_sweep(fastest)} {SAFE}",
            "It tells whether the wheels bring more than healthy ones.",
        )
    return NextStep(
        "Record the same sweep twice: as it is, and with a known weight lashed down where it shakes.",
        f"At {found.where}, within axle and vehicle ratings.",
        f"{_sweep(fastest)} {SAFE}",
        "How far the natural frequency falls tells the mass that moves: what a remedy is sized for.",
    )


def _after_rotating(found: Finding, fastest: float) -> NextStep:
    if found.cause.startswith("wheel order"):
        return NextStep(
            "Put known-good wheels on that axle, or swap front and rear wheels, and record the same sweep.",
            "The sensors stay where they are.",
            f"{_sweep(fastest)} {SAFE}",
            "If the shake moves with the wheels, or goes, look for run-out, balance and damage.",
        )
    return NextStep(
        "Record a coast-down in neutral through the same speeds, and one pass in another gear.",
        "The sensors stay where they are; pulses of the shaft, if there are any, along with them.",
        f"On an empty, even road; back in gear before braking hard or steering. {SAFE}",
        "What stays in neutral turns with the wheels; what moves with the gear turns with the engine.",
    )


def _after_outside(found: Finding, fastest: float) -> NextStep:
    return NextStep(
        "Do not go on testing at speed: first have wheel bearings, steering joints, lateral links, shocks "
        "and tyres of that axle inspected.",
        f"At {found.where}.",
        "Stop at once if it starts after a bump and feeds itself.",
        "This is no shake of the vehicle's plane, and nothing here is made for it.",
    )


def _after_nothing(found: Finding, fastest: float) -> NextStep:
    if found.met_by == "joints":
        return NextStep(
            "Record the same sweep once more on an even road without joints.",
            "The sensors can stay where they are.",
            f"{_sweep(fastest or 22.0)} {SAFE}",
            "What goes with the joints is the road's; what stays is the vehicle's.",
        )
    if found.confidence < LIKELY:
        return NextStep(
            "Record the same points again over two kilometres of road or more.",
            "The sensors can stay where they are; one on each axle tells which wheels.",
            f"{_sweep(fastest or 22.0)} {SAFE}",
            "There are hints of a shake, and too little road to tell them from chance.",
        )
    return NextStep(
        "Record where and when it is felt: the driver's floor, the rear end and both axles.",
        "Screwed or clamped to bare metal, one axis upright.",
        f"{_sweep(fastest or 22.0)} Let the passenger say when it shakes. {SAFE}",
        "Here nothing stands out: either it did not shake, or not where the sensors were.",
    )
