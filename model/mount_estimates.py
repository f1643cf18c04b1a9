"""What a body stands on, from the words of the trade: mounts along its length, their rates and losses.

A kind of mounting says at which frequency a body moves on its mounts while what they stand on is held; the
rates follow from what they carry.  Most of it is common practice without a source, and its spreads are wide.

What stiffens the frame?  A body on filler or plates is held to the frame over its whole length.  With the
bending stiffness of its sills given, they bend with the frame (`bending`), and the body above stands on two
stations, as stiff as the whole strip in rise and pitch.  Without it, the body is taken as straight: it stands
on four stations that stand for the strip, and stiffens the frame as far as the strip gives.  A body on spring
mounts or rubber mounts stands on two stations and leaves the frame free to bend.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np

from .axle_estimates import PRACTICE
from .numbers import Missing, Numbers, Rule
from .plan import BodyKind, BodyPlan, Mounting

_OUTER, _INNER = np.sqrt(3 / 7 + np.sqrt(4.8) / 7) / 2, np.sqrt(3 / 7 - np.sqrt(4.8) / 7) / 2
_HEAVY, _LIGHT = 0.25 + np.sqrt(30) / 72, 0.25 - np.sqrt(30) / 72
STRIP = ((-_OUTER, _LIGHT), (-_INNER, _HEAVY), (_INNER, _HEAVY), (_OUTER, _LIGHT))
"""A strip over the whole length as four mounts, by the quadrature of Gauss: rise, pitch and bending alike."""
TWO = ((-1 / np.sqrt(12), 0.5), (1 / np.sqrt(12), 0.5))
"""The same strip as two mounts: rise and pitch alike, and bending is free."""
ENDS = ((-0.4, 0.5), (0.4, 0.5))
SPRUNG_FRONT = ((-0.4, 0.1), (0.4, 0.9))
ONE = ((0.0, 1.0),)
SHORTEST = 0.1  # [m] of a body whose length nobody gave


@dataclass(frozen=True)
class Preset:
    """How a kind of body commonly stands on a kind of mounting, seen from the side.

    mounts     (station in body lengths behind its middle [-], share of the whole rate [-]) of each
    frequency  of all that they carry, on mounts that stand on something held [Hz]; scatter [-]
    loss       loss factor [-], or damping ratio [-] where the mounting has shocks
    composite  share of the composite gain that its sills give the frame [-], scatter [-]; None: none
    """

    mounts: tuple[tuple[float, float], ...] = ()
    frequency: tuple[float, float] = (0.0, 0.0)
    loss: float = 0.0
    shocks: bool = False
    composite: tuple[float, float] | None = None


PRESETS: Mapping[tuple[BodyKind, Mounting], Preset] = MappingProxyType(
    {
        ("body", "filler and U-bolts"): Preset(STRIP, (20.0, 0.5), 0.08, composite=(0.3, 1.0)),
        ("body", "plates"): Preset(STRIP, (25.0, 0.4), 0.04, composite=(0.8, 0.25)),
        ("body", "spring mounts"): Preset(SPRUNG_FRONT, (14.0, 0.5), 0.08),
        ("body", "rubber mounts"): Preset(ENDS, (11.0, 0.5), 0.12),
        ("body", "rigid"): Preset(composite=(1.0, 0.0)),
        ("cab", "rubber mounts"): Preset(ENDS, (10.0, 0.5), 0.12),
        ("cab", "air"): Preset(ENDS, (1.5, 0.4), 0.3, shocks=True),
        ("cab", "rigid"): Preset(),
        ("powertrain", "rubber mounts"): Preset(ENDS, (10.0, 0.4), 0.10),
        ("powertrain", "rigid"): Preset(),
        ("seat", "cushion"): Preset(ONE, (4.0, 0.3), 0.3, shocks=True),
        ("seat", "air"): Preset(ONE, (1.5, 0.4), 0.3, shocks=True),
        ("seat", "rigid"): Preset(),
        ("payload", "rigid"): Preset(),
    }
)
"""By kind of body and mounting.  Common practice, no source, but for the seat (below, `_SOURCES`).

filler and U-bolts  sills on a strip of hard wood, rubber or plastic, clamped to the rails (how: US Army, TM
    5-3805-254-14P-1, truck body mounts, 1977).  The strip itself hardly gives below 25 Hz; the rails' flanges
    and the body's cross sills do.  Clamps and strip pass on little shear, more while they stick.
plates         bolted to the web, side by side along the sills: little gives, little slips
spring mounts  the front on springs, the rear held: nine tenths of the rate are at the rear.  Where the body
    rests on the rails and springs only hold it down, small shakes find it stiffer
rubber mounts  three or four points are two stations, seen from the side
air            with shocks beside the springs
"""

_SOURCES: Mapping[Mounting, str] = MappingProxyType(
    {"cushion": "a person on foam resonates near 4 Hz: Griffin 1990, Human Vibration (from memory)"}
)
_LENGTHS: Mapping[BodyKind, float] = MappingProxyType({"cab": 1.6, "powertrain": 1.5})  # [m]
_HEIGHTS: Mapping[BodyKind, float] = MappingProxyType({"cab": 0.9, "powertrain": 0.6})  # [-] over the length


def preset_of(kind: BodyKind, mounting: Mounting) -> Preset | None:
    """How such a body commonly stands on such a mounting; None where that is not built.

    >>> preset_of("cab", "air").frequency, preset_of("seat", "plates")
    ((1.5, 0.4), None)
    """
    return PRESETS.get((kind, mounting))


def mountings_of(kind: BodyKind) -> tuple[Mounting, ...]:
    """The mountings that such a body can have.

    >>> mountings_of("seat")
    ('cushion', 'air', 'rigid')
    """
    return tuple(mounting for of, mounting in PRESETS if of == kind)


def preset_mounts(body: BodyPlan) -> tuple[tuple[float, float], ...]:
    """(station in body lengths behind the middle [-], share of the rate [-]) of each mount of a preset.

    >>> len(preset_mounts(BodyPlan("box", mounting="plates")))
    4
    >>> len(preset_mounts(BodyPlan("box", mounting="plates", bends=True)))     # its sills bend with the frame
    2
    """
    preset = PRESETS[body.kind, body.mounting] if body.mounting else Preset()
    return TWO if body.bends and preset.mounts else preset.mounts


# --- rules ------------------------------------------------------------------------------------------------


def mount_rules(body: BodyPlan, bodies: Sequence[BodyPlan] = ()) -> dict[str, Rule]:
    """The estimating rules of one body, by path; none for a body without a mounting.

    bodies  all of the vehicle: what stands on this one is carried by its mounts too

    >>> from .plan import MountPlan
    >>> rules = mount_rules(BodyPlan("seat", mounts=(MountPlan(0),), kind="seat", mounting="cushion"))
    >>> sorted(path.removeprefix("body.seat.") for path in rules)[-3:]
    ['mount.0.station', 'mount_damping_ratio', 'mount_frequency']
    """
    if body.mounting is None:
        return {}
    preset, path = PRESETS[body.kind, body.mounting], f"body.{body.name}"
    rules = {f"{path}.length": _length_rule(body)}
    if body.rotates and body.mounts:
        rules[f"{path}.pitch_inertia"] = _inertia_rule(body)
    if preset.composite and body.bends:
        share, scatter = preset.composite
        source = f"shear that {body.mounting} pass on; {PRACTICE}"
        rules[f"{path}.composite_action"] = _constant(share, scatter, source)
    return rules | (_rates(body, preset, bodies) if body.mounts and preset.mounts else {})


def _constant(value: float, scatter: float, source: str) -> Rule:
    return Rule(lambda numbers, _: value, scatter, source, "assumed")


def _length_rule(body: BodyPlan) -> Rule:
    if body.kind in _LENGTHS:
        return _constant(_LENGTHS[body.kind], 0.35, f"a usual {body.kind}; {PRACTICE}")
    source = f"its middle to the nearer end of the frame, twice; {PRACTICE}"
    return Rule(lambda numbers, _: _room(numbers, body.name), 0.25, source, "assumed")


def _room(numbers: Numbers, name: str) -> Any:
    """The longest body about its middle that does not stand over [m]."""
    middle = numbers[f"body.{name}.station"]
    room = np.minimum(middle - numbers["frame.front_end"], numbers["frame.rear_end"] - middle)
    if np.median(room) <= 0:
        raise Missing(f"body.{name}.length", "its middle lies beyond the frame")
    return np.maximum(2 * room, SHORTEST)


def _inertia_rule(body: BodyPlan) -> Rule:
    """About its own middle, as of a uniform block: m (L^2 + H^2) / 12."""
    height, path = _HEIGHTS.get(body.kind, 0.4), f"body.{body.name}"

    def inertia(numbers: Numbers, _: str) -> Any:
        return numbers[f"{path}.mass"] * numbers[f"{path}.length"] ** 2 * (1 + height**2) / 12

    return Rule(inertia, 0.3, f"a uniform block {height:g} times as high as long; {PRACTICE}")


def _rates(body: BodyPlan, preset: Preset, bodies: Sequence[BodyPlan]) -> dict[str, Rule]:
    """Rate, and loss factor or damping, of each mount; and its station where the case lists none."""
    path, carried = f"body.{body.name}", [f"body.{name}.mass" for name in _standing_on(body, bodies)]
    frequency, scatter = preset.frequency
    source = _SOURCES.get(body.mounting or "rigid", f"{body.kind} on {body.mounting}; {PRACTICE}")
    loss = f"{path}.mount_damping_ratio" if preset.shocks else f"{path}.mount_loss_factor"
    rules = {
        f"{path}.mount_frequency": _constant(frequency, scatter, source),
        loss: _constant(preset.loss, 0.6 if preset.shocks else 1.0, source),
    }

    def turning(numbers: Numbers) -> Any:
        return 2 * np.pi * numbers[f"{path}.mount_frequency"]

    def rate(numbers: Numbers) -> Any:
        return sum(numbers[mass] for mass in carried) * turning(numbers) ** 2

    def damping(numbers: Numbers) -> Any:
        """c = 2 z k / w."""
        return 2 * numbers[loss] * rate(numbers) / turning(numbers)

    def lost(numbers: Numbers) -> Any:
        return numbers[loss]

    for mount, (place, share) in zip(body.mounts, _places(body), strict=True):
        own = f"{path}.mount.{mount.index}"
        rules[f"{own}.rate"] = _share_of(rate, share, "its share of what the frequency on all mounts asks")
        if preset.shocks:
            rules[f"{own}.damping"] = _share_of(damping, share, "its share of what the damping ratio asks")
        else:
            rules[f"{own}.loss_factor"] = _share_of(lost, 1.0, "as all mounts of the body")
        if place is not None:
            rules[f"{own}.station"] = _station_rule(path, place)
    return rules


def _share_of(formula: Callable[[Numbers], Any], share: float, source: str) -> Rule:
    return Rule(lambda numbers, _: share * formula(numbers), 0.0, source)


def _station_rule(path: str, place: float) -> Rule:
    def station(numbers: Numbers, _: str) -> Any:
        middle = numbers[f"{path}.station"]
        return middle + place * numbers[f"{path}.length"] if place else middle

    return Rule(station, 0.0, "its place along the body's length")


def _places(body: BodyPlan) -> Sequence[tuple[float | None, float]]:
    """Where each mount stands [lengths behind the middle] and its share of the rate; one alone has it all."""
    usual, count = preset_mounts(body), len(body.mounts)
    return usual if len(usual) == count else [(None if count > 1 else 0.0, 1 / count)] * count


def _standing_on(body: BodyPlan, bodies: Sequence[BodyPlan]) -> list[str]:
    """The body, and all that stand on it, one on another; a circle of bodies is a fault found elsewhere."""
    found = [body.name]
    for name in found:
        found += [other.name for other in bodies if other.on == name and other.name not in found]
    return found
