"""What a case says is there: axles, bodies, points and links, by name, without their numbers.

The numbers stand beside it in a resolver, under paths such as "axle.rear.tyre_rate"; each class names its
own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from .comfort import Weighting
from .points import Direction

ModelKind = Literal["quarter", "half", "bending"]
Springing = Literal["leaf", "coil", "air", "other"]
FrameSource = Literal["stiffness", "along", "rail", "free_free", "assumed"]
LawKind = Literal["leaf friction", "stops", "lift-off", "shocks"]
BodyKind = Literal["cab", "powertrain", "body", "payload", "seat"]
Mounting = Literal[
    "rigid", "plates", "filler and U-bolts", "spring mounts", "rubber mounts", "air", "cushion"
]
LAW_NUMBERS: Mapping[LawKind, tuple[str, ...]] = MappingProxyType(
    {
        "leaf friction": ("static_spring_rate", "friction"),
        "stops": ("rebound_travel", "bump_travel", "stop_rate"),
        "lift-off": (),
        "shocks": ("compression_damping", "rebound_damping", "bush_rate"),
    }
)
"""The numbers of an axle that a law asks for."""


@dataclass(frozen=True)
class AxlePlan:
    """One axle; both of its sides together.

    Numbers, under "axle.<name>.": station [m], load [kg, as weighed], unsprung_mass [kg], spring_rate
    [N/m at the axle], damping [N s/m], tyre_rate [N/m], tyre_damping [N s/m], circumference [m,
    rolling], contact_length [m]; and where given rating [kg], tyre_rating [kg per tyre].  A massless
    axle has no unsprung mass and no tyre: its spring stands on the road.

    And where a law of the plan asks: static_spring_rate [N/m] and friction [N, half width of a leaf's
    loop]; bump_travel and rebound_travel [m, from the laden vehicle at rest] and stop_rate [N/m];
    compression_damping and rebound_damping [N s/m] and bush_rate [N/m]; all of both sides.
    """

    name: str
    springing: Springing = "other"
    massless: bool = False
    tyre: str | None = None  # the size on the sidewall
    tyres: int = 2  # 4: dual wheels
    driven: bool = False
    axle_type: Literal["solid", "independent", "unknown"] = "unknown"


@dataclass(frozen=True)
class MountPlan:
    """A spring between a body and what it stands on.

    Numbers, under "body.<name>.mount.<index>.": station [m], rate [N/m], and damping [N s/m] or
    loss_factor [-].
    """

    index: int


@dataclass(frozen=True)
class BodyPlan:
    """A lump on the frame, or a body on mounts (cab, powertrain, box, payload, seat).

    Numbers, under "body.<name>.": mass [kg], station [m], and pitch_inertia [kg m^2] where it rotates.
    Without mounts it rides rigidly on what it stands on; with mounts it has a rise of its own and pitches
    with what it stands on, or with `rotates` by itself.  With `bends` the frame gets the bending stiffness of
    its sills: length [m], bending_stiffness [N m^2], composite_action [-].
    """

    name: str
    on: str = "frame"  # or the name of another body
    mounts: tuple[MountPlan, ...] = ()
    rotates: bool = False
    included: bool = True  # already in the weighed axle loads, or in the sprung mass
    kind: BodyKind = "body"  # what its mounts are estimated by
    mounting: Mounting | None = None  # how it is mounted, in the words of the trade
    bends: bool = False  # its sills bend with the frame


@dataclass(frozen=True)
class PointPlan:
    """A named place.

    Numbers, under "point.<name>.": station [m] (frame or rotating body), height [m] (fore-aft only), and
    bracket_rate [N/m] where its attachment is soft; a point with a soft bracket needs bracket_mass [kg].
    """

    name: str
    on: str = "frame"  # "frame", the name of a body, or "axle.<name>"
    direction: Direction = "vertical"
    weighting: Weighting = "none"
    watched: bool = False
    soft: bool = False  # has a bracket_rate


@dataclass(frozen=True)
class LinkPlan:
    """A further spring, damper or mass of the user's own, between named points ("ground" is allowed as
    `lower`).

    Number, under "spring.<name>.rate" [N/m], "damper.<name>.damping" [N s/m] or "mass.<name>.mass" [kg].
    """

    kind: Literal["spring", "damper", "mass"]
    name: str
    upper: str
    lower: str = ""


@dataclass(frozen=True)
class Plan:
    """The whole vehicle without its numbers.

    Numbers of its own: vehicle.sprung_mass [kg], vehicle.centre_of_gravity [m], vehicle.pitch_inertia
    [kg m^2] (sprung, all that the axle loads include), frame.front_end [m], frame.rear_end [m],
    frame.bending_stiffness [N m^2] (or frame.segment.<i>.bending_stiffness with frame.segment.<i>.to
    [m]), frame.loss_factor [-].
    """

    kind: ModelKind
    axles: tuple[AxlePlan, ...]  # in order of station
    bodies: tuple[BodyPlan, ...] = ()
    points: tuple[PointPlan, ...] = ()
    links: tuple[LinkPlan, ...] = ()
    frame_source: FrameSource = "assumed"
    segments: int = 0  # pieces of stepped bending stiffness, front to rear; 0: uniform
    load_sharing: tuple[tuple[str, str], ...] = ()  # pairs of axles coupled by an equaliser
    stiffness_known: bool = False  # bending stiffness measured or published, not estimated
    terms: int | None = None  # shapes of the frame; None: until they converge
    laws: tuple[LawKind, ...] = ()  # what is not proportional; none: a linear vehicle
