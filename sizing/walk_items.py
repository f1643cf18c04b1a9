"""What is looked at on a walk round the vehicle, and what to do then; common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class Item:
    """One thing to look at: its name, what to look for, and what to do where it is bad."""

    name: str
    look: str
    do: str


ITEMS: Mapping[str, Item] = MappingProxyType(
    {
        "tyres": Item(
            "tyres",
            "bulges, cuts, cord, uneven wear; pressures cold, against the placard",
            "Replace a tyre with a bulge, cut or cord before the vehicle moves, and set the pressures cold.",
        ),
        "wheel_nuts": Item(
            "wheel nuts",
            "all there and tight; rust streaks or cracks around the holes",
            "Do not drive: renew studs and wheels that ran loose, find out why, torque as prescribed.",
        ),
        "bearings": Item(
            "wheel bearings",
            "play when the wheel is rocked off the ground; roughness; a hub hotter than the others",
            "Have the bearing renewed before the vehicle is driven.",
        ),
        "steering_joints": Item(
            "steering joints",
            "play anywhere between steering wheel and hubs while somebody rocks it",
            "Do not drive: have worn joints renewed and the wheels aligned.",
        ),
        "lateral_link": Item(
            "lateral link",
            "the rod that holds a solid axle sideways: play at its ends, cracks in its brackets",
            "Have its ends and brackets renewed before the vehicle is driven: its play lets the axle shimmy.",
        ),
        "u_bolts": Item(
            "U-bolts and centre bolt",
            "tight, axle in its place on the spring, no leaf broken or shifted",
            "Do not drive: have bolts and spring pack renewed, and torqued with the weight on the wheels.",
        ),
        "mounts": Item(
            "body and cab mounts",
            "cracked rubber, loose bolts, bright metal where parts have rubbed",
            "Have the mounts renewed and torqued, then drive again: a loose body shakes by itself.",
        ),
        "frame": Item(
            "frame",
            "cracks at holes, brackets and welds; loose rivets; a bend",
            "Do not drive: a cracked frame is for a specialist, and no weight may be hung on it.",
        ),
        "hitch_play": Item(
            "hitch",
            "play in coupling, receiver and pins; a loose bracket",
            "Take the play out, or take the hitch off, before anything is measured or hung on it.",
        ),
    }
)
