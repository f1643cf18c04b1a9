"""Remedies of what stands on the frame, and of the frame: loads, mountings, mounts, plates.

Each function gives contests: of the proposals in one, the best is shown.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ..model.mount_estimates import mount_rules, mountings_of, preset_mounts, preset_of
from ..model.numbers import Numbers
from ..model.plan import BodyPlan, Mounting, MountPlan, Plan
from ..model.tyres import GRAVITY
from ..model.vehicle import Vehicle
from .absorber import Damper
from .changes import (
    Change,
    ballasted,
    moved,
    other_mounts,
    plates_per_stiffness,
    stiffened,
)
from .proposal import FRAME_CAUTION, LOAD_CAUTION, MOUNTS_CAUTION, CaseChange, Proposal
from .reasons import percent
from .study import Host

Contest = list[Proposal]

SHIFTS = (-1.0, -0.5, -0.25, 0.25, 0.5, 1.0)  # [m] that a load is moved by
BALLASTS = (0.25, 0.5, 1.0)  # of the weight that may be hung on
RATES = (0.5, 0.63, 0.8, 1.25, 1.6, 2.0)  # of mounts
MOST_SAG = 0.012  # [m] of rubber mounts under their body: common practice, no source
FLUID_LOSS = 0.5  # [-] loss factor of fluid-filled mounts where they are tuned to: common practice, no source
FLUID = f"loss factor {FLUID_LOSS:g} at the frequency that they are made for"
OF_EQUAL_WEIGHT = ", the damper's weight"
GAINS = (0.25, 0.5)  # of the rails' bending stiffness, by plates
RAIL_HEIGHT = 0.2  # [m] where no rail is given: common practice, no source


# --- loads ------------------------------------------------------------------------------------------------


def moved_loads(one: Host) -> Iterator[Contest]:
    """Each load that rides rigidly on the frame, moved along it."""
    plan, show = one.case.plan, one.case.display
    carries = {body.on for body in plan.bodies}
    for body in plan.bodies:
        rigid = not body.mounts and body.on == "frame" and body.kind in ("payload", "body")
        if plan.kind == "quarter" or not rigid or body.bends or body.name in carries:
            continue
        here, frame = one.vehicle.points[body.name].station, one.vehicle.frame
        yield [
            Proposal(
                "load",
                f"{body.name} {show.show(abs(by), 'length', 2)} {'rearward' if by > 0 else 'forward'}",
                moved(body.name, by),
                effort="an hour or a morning, as it is fixed",
                minutes=120,
                caution=LOAD_CAUTION,
            )
            for by in SHIFTS
            if frame.front <= here + by <= frame.rear
        ]


def ballasts(one: Host, most: float) -> Iterator[Contest]:
    """Plain weight at the best place.

    most  [kg]
    """
    ends = [name for name in ("front end", "rear end", "body") if name in one.vehicle.points]
    yield [
        ballast(one, name, share * most) for name in dict.fromkeys((*one.places, *ends)) for share in BALLASTS
    ]


def ballast(one: Host, place: str, kilograms: float, words: str = "") -> Proposal:
    """Plain weight at one place.

    kilograms  [kg]

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> ballast(host(small_case()), "rear end", 20.0).name
    '20.0 kg of plain ballast at rear end'
    """
    return Proposal(
        "ballast",
        f"{one.case.display.show(kilograms, 'mass')} of plain ballast at {place}{words}",
        hung=ballasted(place, kilograms),
        place=place,
        effort="an hour, sandbags lashed down for a first try",
        minutes=60,
        caution=LOAD_CAUTION,
    )


# --- mountings and mounts ---------------------------------------------------------------------------------


def other_mountings(one: Host) -> Iterator[Contest]:
    """Each body that stands as the trade does it, on each other mounting that such a body can have."""
    for body in one.case.plan.bodies:
        if body.mounting is None or one.case.plan.kind == "quarter":
            continue
        others = [m for m in mountings_of(body.kind) if m not in (body.mounting, "rigid")]
        yield [
            Proposal(
                "mounting",
                f"{body.name} on {mounting}",
                case=remounted(body.name, mounting),
                detail=f"instead of {body.mounting}",
                effort="days in a body shop, and parts",
                minutes=960,
                caution=MOUNTS_CAUTION,
            )
            for mounting in others
        ]


def remounted(name: str, mounting: Mounting) -> CaseChange:
    """A body on another mounting, its rates and losses by the usual rules."""

    def change(plan: Plan, numbers: Numbers) -> tuple[Plan, Numbers]:
        old = next(body for body in plan.bodies if body.name == name)
        new = _mounted(old, mounting, f"body.{name}.bending_stiffness" in numbers.given)
        bodies = tuple(new if body.name == name else body for body in plan.bodies)
        own = (f"body.{name}.mount", f"body.{name}.composite_action")
        given = {path: known for path, known in numbers.given.items() if not path.startswith(own)}
        kept = {path: rule for path, rule in numbers.rules.items() if not path.startswith(own)}
        rules = {**kept, **mount_rules(new, bodies)}
        return replace(plan, bodies=bodies), Numbers(given, rules, numbers.scores, tied=numbers.tied)

    return change


def _mounted(body: BodyPlan, mounting: Mounting, sills: bool) -> BodyPlan:
    preset = preset_of(body.kind, mounting)
    plain = replace(body, mounting=mounting, bends=bool(preset and preset.composite and sills))
    mounts = tuple(MountPlan(index) for index in range(len(preset_mounts(plain))))
    return replace(plain, mounts=mounts, rotates=body.rotates or len(mounts) > 1)


def other_mount_rates(one: Host) -> Iterator[Contest]:
    """Each body on softer or stiffer mounts, and on mounts that lose more.

    A published precedent: hydraulic body mounts that cured a light truck's shake on concrete joints, worst
    where first bending and rear hop lie close together (SAE 2009-01-2126; its abstract was seen).
    """
    for body in (body for body in one.case.plan.bodies if body.mounts):
        sag = static_sag(one.vehicle, body.name)
        room = [rate for rate in RATES if rate > 1 or sag / rate <= MOST_SAG]
        yield [
            _on_mounts(body.name, f"mounts {rate:g} times as stiff", other_mounts(body.name, rate))
            for rate in room
        ]
        yield [_on_mounts(body.name, "fluid-filled mounts", other_mounts(body.name, loss=FLUID_LOSS), FLUID)]


def _on_mounts(body: str, words: str, change: Change, detail: str = "") -> Proposal:
    return Proposal(
        "mounts",
        f"{body}: {words}",
        change,
        detail=detail,
        effort="a morning to a day, and parts",
        minutes=240,
        caution=MOUNTS_CAUTION,
    )


def static_sag(vehicle: Vehicle, body: str) -> float:
    """How far a body's mounts give under it alone [m]; 0 where it has none.

    >>> from ..model.example import small_truck
    >>> static_sag(small_truck(), "cab")
    0.0
    """
    rates = sum(
        p.value for p in vehicle.parts if p.kind == "spring" and p.path.startswith(f"body.{body}.mount.")
    )
    weight = GRAVITY * sum(p.value for p in vehicle.parts if p.path == f"body.{body}.mass")
    return float(weight / rates) if rates else 0.0


# --- the frame --------------------------------------------------------------------------------------------


def stiffer_frames(one: Host) -> Iterator[Contest]:
    """Plates on the webs from end to end: the frame a quarter and half as stiff again."""
    if plates_weight(one):
        yield from ([_plates(one, gain)] for gain in GAINS)


def of_equal_weight(one: Host, hung: Damper) -> Iterator[Contest]:
    """A damper's weight as plain ballast in its place, and as plates on the frame."""
    yield [ballast(one, hung.place, hung.mass, OF_EQUAL_WEIGHT)]
    if whole := plates_weight(one):
        yield [_plates(one, hung.mass / whole, OF_EQUAL_WEIGHT)]


def plates_weight(one: Host) -> float:
    """Weight of plates that make the frame twice as stiff [kg]; 0 where it cannot bend.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> plates_weight(host(small_case()))
    0.0
    """
    own = [p.value for p in one.vehicle.parts if p.kind == "spring" and p.path.startswith("frame.")]
    return float(sum(own)) * plates_per_stiffness(_rail(one))


def _rail(one: Host) -> float:
    known = one.case.numbers.given.get("frame.rail.height")
    return known.value if known else RAIL_HEIGHT


def _plates(one: Host, gain: float, words: str = "") -> Proposal:
    height = one.case.display.show(_rail(one), "small_length")
    return Proposal(
        "frame",
        f"frame {percent(gain)} stiffer{words}",
        stiffened(gain, _rail(one)),
        detail=f"plates upright on the webs, end to end, rails {height} high",
        effort="days in a frame shop",
        minutes=1440,
        caution=FRAME_CAUTION,
    )
