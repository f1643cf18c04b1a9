"""Kinds of shake, and what each observation excludes and speaks for: one table, each row with its reason.

A row speaks of the shake that was complained of, as a whole. Kinds may be there together: a wheel at fault
may meet a mode, so that what shows a mode does not clear the wheels.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import get_args

from ..model.observations import Change, Result

PRACTICE = "common practice, no source"
RAYLEIGH = (
    "Rayleigh, The Theory of Sound, 1877, section 88: added mass lowers natural frequencies; from memory"
)


class Kind(StrEnum):
    """What may be behind a shake."""

    WHEEL = "a wheel or tyre at fault"
    DRIVELINE = "the driveline"
    ENGINE = "the engine and its mounts"
    BRAKES = "brakes"
    STEERING = "steering that feeds itself"
    MODE = "a mode met by wheels or road"


W, D, E, B, S, M = Kind.WHEEL, Kind.DRIVELINE, Kind.ENGINE, Kind.BRAKES, Kind.STEERING, Kind.MODE

TO_DO: Mapping[Kind, str] = MappingProxyType(
    {
        W: "have the wheels' run-out and force variation measured, then true, match and balance them",
        D: "have the propshaft looked at: balance, joint angles and phasing, worn joints, bearing, play",
        E: "have engine mounts, firing, clutch and the parts that hang on the engine looked at",
        B: "have discs, drums, calipers and wheel bearings inspected",
        S: "have steering joints, lateral link, steering damper, wheel bearings and front tyres inspected",
        M: "measure the mode: hang a weight on the rear end, snap it off and record the ring-down there",
    }
)
"""What to do where a kind remains; common practice, no source."""


@dataclass(frozen=True)
class Row:
    """What changes with results say: kinds that are excluded, kinds that are spoken for, and why.

    changes, results  one or several, with commas between them: any of these with any of those
    """

    changes: str
    results: str
    excludes: tuple[Kind, ...]
    supports: tuple[Kind, ...]
    why: str
    source: str = PRACTICE


ROWS = (
    Row("neutral coast-down", "vanished", (W, B, S, M), (D, E),
        "Wheels and road go on as before; only the engine's speed and the torque in the driveline are gone."),
    Row("neutral coast-down", "weaker", (), (D, E), "A part of it hangs on the engine or on torque."),
    Row("neutral coast-down", "stayed", (E,), (W, M),
        "The engine idles, and it shakes as before. The propshaft still turns: it is not cleared."),
    Row("another gear at the same speed", "vanished, moved", (W, B, S, M), (E,),
        "All that turns with the wheels turns as before; only the engine's speed is another."),
    Row("another gear at the same speed", "weaker, stronger", (), (E,),
        "A part of it hangs on the engine's speed or torque."),
    Row("another gear at the same speed", "stayed", (E,), (W, D, M),
        "The engine turns at another speed, and it shakes as before."),
    Row("on the throttle", "started", (W, B, S, M), (D, E),
        "It is there under power only; wheels and road do not know about power."),
    Row("on the throttle", "stronger", (), (D, E), "A part of it hangs on torque."),
    Row("on the throttle", "vanished", (W, B, S, M), (D,),
        "Torque holds together what is loose without it: wheels and road do not know about torque."),
    Row("on the throttle", "weaker", (), (D,), "Torque takes up play in the driveline."),
    Row("on the throttle, off the throttle", "stayed", (), (W, M),
        "Torque makes no difference; a propshaft out of balance would not care either."),
    Row("off the throttle", "started", (W, B, S, M), (D,),
        "It is there on the overrun only, when the driveline's play is taken up the other way."),
    Row("off the throttle", "stronger", (), (D,), "A part of it comes with torque the other way round."),
    Row("off the throttle", "vanished", (W, B, S, M), (D, E),
        "It goes with the power; wheels and road go on as before."),
    Row("off the throttle", "weaker", (), (D, E), "A part of it hangs on torque."),
    Row("known-good wheels", "stayed", (W,), (D, M),
        "Other wheels, the same shake: the wheels are not what is at fault."),
    Row("known-good wheels", "vanished", (D, E, B), (W,),
        "It left with the wheels. A mode may have made a small fault loud."),
    Row("known-good wheels", "moved, weaker, stronger", (D, E, B), (W, M),
        "What changes with the wheels is fed or carried by them."),
    Row("weight over the rear end", "moved", (D, E, B, S), (M,),
        "A natural frequency falls with added mass; engine, shafts, brakes and steering know nothing of it.",
        RAYLEIGH),
    Row("weight over the rear end", "vanished, weaker, stronger", (), (M,),
        "A weight changes how much a mode moves, but also the load on tyres and joints."),
    Row("weight over the rear end", "stayed", (), (),
        "A mode that hardly moves the rear end, or is heavy there, stays too: nothing is excluded."),
    Row("pressure changed", "moved, vanished, weaker, stronger", (D, E, B), (W, M),
        "Neither engine nor shafts nor brakes know about tyre pressure."),
    Row("pressure changed", "stayed", (), (),
        "Frame bending and engine hardly know about tyre stiffness: nothing is excluded."),
    Row("laden, empty", "moved", (E, B), (M,),
        "Natural frequencies move with the load; the engine's and the brakes' speeds do not.", RAYLEIGH),
    Row("laden, empty", "vanished, weaker, stronger, started", (), (D, M),
        "Load changes natural frequencies, and joint angles as well."),
    Row("laden, empty", "stayed", (), (), "Axle hop hardly knows about the load: nothing is excluded."),
    Row("after a bump", "started", (W, D, E, B), (S,),
        "What turns needs no bump to begin; a wheel fight of the steering does."),
    Row("after a bump", "stronger", (), (S, M), "A bump rings a mode, and kicks the steering."),
    Row("after a bump", "stayed", (S,), (),
        "A shake that feeds itself is set off by a bump; this one does not care."),
    Row("braking", "started", (W, D, E, M), (B,), "It is there with the brakes on only."),
    Row("braking", "vanished, stronger", (), (B,), "It changes with the brakes, or with what they clamp."),
    Row("braking", "stayed", (B,), (), "The brakes make no difference."),
    Row("warm", "vanished, weaker", (), (W,),
        "Tyres that stood take a flat spot, which rolls out in about a quarter of an hour."),
    Row("warm", "started, stronger", (), (B, W),
        "Heat brings out brakes that bind and bearings that tighten."),
    Row("cold", "started, stronger", (), (W,),
        "Tyres that stood take a flat spot, which rolls out in about a quarter of an hour."),
    Row("cold", "vanished, weaker", (), (B, W), "It takes heat: brakes that bind, bearings that tighten."),
    Row("warm, cold", "stayed", (), (), "Temperature makes no difference: nothing is excluded."),
    Row("how fast it shakes", "countable", (D, E), (M,),
        "Neither a propshaft nor an engine turns so slowly on the road."),
    Row("how fast it shakes", "blur", (), (W, S, M),
        "So fast do wheels turn, and axles and frames swing; a slow propshaft may as well."),
    Row("how fast it shakes", "buzz", (S,), (D, E),
        "So fast do propshafts and engines turn; steering that feeds itself is slower."),
)  # fmt: skip


def pairs(row: Row) -> list[tuple[Change, Result]]:
    """The changes with their results that a row speaks of."""
    changes, results = row.changes.split(", "), row.results.split(", ")
    return [(c, r) for c in get_args(Change) for r in get_args(Result) if c in changes and r in results]


TABLE: Mapping[tuple[Change, Result], Row] = MappingProxyType(
    {pair: row for row in ROWS for pair in pairs(row)}
)
