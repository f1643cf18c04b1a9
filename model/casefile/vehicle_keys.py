"""Keys of the vehicle in a case file: its axles, frame, bodies, points and links."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from ..comfort import Weighting
from ..plan import BodyKind, LawKind, ModelKind, Mounting, Springing
from ..points import Direction
from ..units import Reading
from .kinds import (
    Bending,
    Damping,
    Force,
    Height,
    Inertia,
    Length,
    Loss,
    Mass,
    Name,
    NeedsLength,
    NeedsMass,
    NeedsRate,
    Overhang,
    Pressure,
    Quantity,
    Rate,
    Ratio,
    SomeDamping,
    Station,
    Table,
    Travel,
    Wheelbase,
    Word,
    as_bending,
    as_damping,
    as_pressure,
    key,
    needed,
    tyre_size,
)


class VehicleTable(Table):
    """The vehicle as a whole."""

    model: ModelKind | None = key(
        "quarter (one axle), half (rigid) or bending (a frame that bends)", None, "half"
    )
    wheelbase: Wheelbase = key("first axle to last, in place of the axles' stations")
    sprung_mass: Mass = key("all that the springs carry, as far as the axle loads include it", None, "6.2 t")
    centre_of_gravity: Station = key("station of the sprung mass", None, "2.1 m")
    centre_of_gravity_height: Height = key("of the whole vehicle as weighed, above the ground", None, "1.2 m")
    pitch_inertia: Inertia = key("of the sprung mass about its own centre of gravity")
    radius_of_gyration: Length = key("in pitch, in place of pitch_inertia", None, "1.5 m")
    dynamic_index: Ratio = key(
        "radius of gyration squared over the product of the axles' distances", None, 0.95
    )
    separate_frame: bool | None = key("a frame with a body on it, rather than one shell", None, True)
    load_sharing: list[list[Word]] = key(
        "pairs of axles with an equaliser between their springs", [], [["rear 1", "rear 2"]], max_length=6
    )
    laws: list[LawKind] = key(
        "what is not proportional: leaf friction, stops, lift-off, shocks; linear where not given",
        [],
        ["leaf friction", "stops"],
        max_length=4,
    )


class RailTable(Table):
    """One of two steel channel rails."""

    height: NeedsLength = needed("of the section", "203 mm")
    flange: NeedsLength = needed("width of the flange, over all", "76 mm")
    thickness: NeedsLength = needed("of the section", "6.5 mm")


class FreeFreeTable(Table):
    """The bare frame hung free."""

    frequency: Annotated[Reading, Quantity("Hz", "39 Hz", above=0.1, below=1000)] = needed(
        "of its first bending"
    )
    mass: NeedsMass = needed("of the bare frame", "420 kg")


class SegmentTable(Table):
    """A length of frame."""

    to: Annotated[Reading | str, Quantity("m", "1.5 m", "end", above=-50, below=50, law="shift")] = needed(
        'station of its rear end, or "end"'
    )
    bending_stiffness: Annotated[Reading, as_bending] = needed("of both rails together")


class FrameTable(Table):
    """The frame, if it is to bend: stiffness by one of four ways, or assumed where none is given."""

    front_overhang: Overhang = key("beyond the first axle")
    rear_overhang: Overhang = key("beyond the last axle")
    bending_stiffness: Bending = key("of both rails together")
    rail: RailTable | None = key("two channel rails of steel, by their section")
    free_free: FreeFreeTable | None = key("the bare frame hung free, by its first bending")
    along: list[SegmentTable] = key("stepped stiffness, front to rear", [], max_length=20)
    loss_factor: Loss = key("of the frame's bending")
    above_ground: Height = key("its rails, for what hangs on them")


class AirTable(Table):
    """The air springs of an axle, all together."""

    pressure: Annotated[Reading, as_pressure] = needed("gauge, at the load given")
    volume: Annotated[Reading, Quantity("m^3", "20 L", above=1e-5, below=10)] = needed("at that load")


class AxleTable(Table):
    """One axle; both of its sides together."""

    station: Station = key("behind the first axle")
    load: Mass = key("as weighed under its tyres", None, "2.6 t")
    unsprung_mass: Mass = key("axle, hubs, brakes, wheels and tyres")
    spring: Springing | None = key("leaf, coil, air or other", None, "leaf")
    spring_rate: Rate = key("both sides, at the axle, for small shakes")
    static_spring_rate: Rate = key("both sides, at the axle, as load-tested")
    friction: Force = key("between its leaves: half width of the hysteresis loop, both sides", None, "4 kN")
    bump_travel: Travel = key("from the laden vehicle at rest up to the bump stops", None, "70 mm")
    rebound_travel: Travel = key("from the laden vehicle at rest down to the rebound stops", None, "90 mm")
    stop_rate: Rate = key("of its bump or rebound stops, both sides", None, "1.5 MN/m")
    air: AirTable | None = key("its air springs", None, {"pressure": "5 bar", "volume": "50 L"})
    damping: Damping = key("of both shocks, at the axle")
    compression_damping: SomeDamping = key("of both shocks while they close", None, "5 kN*s/m")
    rebound_damping: SomeDamping = key("of both shocks while they open", None, "13 kN*s/m")
    bush_rate: Rate = key("of the bushes of both shocks, in series with them", None, "2 MN/m")
    massless: bool = key("its springs stand on the road: neither mass nor tyres", False, True)
    tyre: Annotated[str, Field(max_length=60), AfterValidator(tyre_size)] | None = key(
        "size on the sidewall", None, "225/70R19.5"
    )
    tyres: Literal[2, 4] = key("4 for dual wheels", 2, 4)
    pressure: Pressure = key("in its tyres, gauge")
    tyre_rate: Rate = key("of all tyres of the axle together", None, "1.9 MN/m")
    tyre_damping: Damping = key("of all tyres of the axle together")
    tyre_loss_factor: Loss = key("of its tyres, in place of tyre_damping")
    circumference: Length = key("rolled in one turn of the wheel", None, "2.47 m")
    contact_length: Annotated[Reading | None, Quantity("m", "0.2 m", at_least=0, below=2)] = key(
        "of a tyre's footprint"
    )
    rating: Mass = key("what the axle may carry")
    tyre_rating: Mass = key("what one tyre may carry: sidewall")
    dual_rating: Mass = key("what one tyre of a dual pair may carry: sidewall, in place of tyre_rating")
    rated_pressure: Pressure = key("cold, at which a tyre may carry its rating: sidewall", None, "8.3 bar")
    driven: bool = key("whether it is driven", False, True)
    type: Literal["solid", "independent"] | None = key("solid or independent", None, "solid")


class MountTable(Table):
    """A spring between a body and what it stands on."""

    station: Station = key("where it stands")
    rate: Rate = key("vertical; may be left out where the body has a mounting", None, "400 kN/m")
    damping: Damping = key("vertical")
    loss_factor: Loss = key("in place of damping")


class BodyTable(Table):
    """A lump on the frame, or a body on mounts."""

    name: Name = needed("cab, box, powertrain, payload, seat and driver, as you like", "cab")
    mass: NeedsMass = needed("of the body")
    station: Station = key("of its centre of gravity")
    on: Word = key('"frame" or the name of another body', "frame", "frame")
    included: bool = key("already in the weighed axle loads, or in the sprung mass", True, False)
    pitch_inertia: Inertia = key("about its own centre of gravity; with it the body pitches on its mounts")
    kind: BodyKind | None = key(
        "what it is: cab, powertrain, body, payload or seat; as it is called where that is one, else body",
        None,
        "cab",
    )
    mounting: Mounting | None = key(
        "how it is mounted; what its mounts leave open is estimated by it", None, "filler and U-bolts"
    )
    length: Length = key("of the body, its centre of gravity in the middle", None, "3.2 m")
    bending_stiffness: Bending = key(
        "of its sills, both together: they bend with the frame", None, "0.8 MN*m^2"
    )
    above_ground: Height = key("its centre of gravity")
    mounts: list[MountTable] = key(
        "none: by its mounting, or else it rides rigidly on what it stands on", [], max_length=20
    )


class PointTable(Table):
    """A named place."""

    name: Name = needed("of the place", "driver's floor")
    on: Word = key('"frame", a body, or "axle.<name>"', "frame", "cab")
    station: Station = key("of the place")
    watch: bool = key("whether the shake is judged here", False, True)
    direction: Direction = key("vertical, or fore-aft: height times pitch", "vertical", "fore-aft")
    height: Annotated[Reading | None, Quantity("m", "1.4 m", above=-10, below=10, law="shift")] = key(
        "above the pitching body's axis, for fore-aft"
    )
    weighting: Weighting = key(
        "what is felt (ISO 2631-1): none, Wk (seat), Wd (fore-aft), Wc (its back); where given, it decides",
        "none",
        "Wk",
    )
    bracket_rate: Rate = key("of a soft attachment", None, "0.25 MN/m")
    bracket_mass: Mass = key("that rides on a soft attachment", None, "4 kg")
    above_ground: Height = key("what hangs there; as what it is on where not given")


class SpringTable(Table):
    """A further spring between named points."""

    name: Name = needed("of the spring", "helper")
    upper: Word = needed("a point", "rear end")
    lower: Word = needed('a point, or "ground"', "axle.rear")
    rate: NeedsRate = needed("of the spring")


class DamperTable(Table):
    """A further viscous damper between named points."""

    name: Name = needed("of the damper", "extra shock")
    upper: Word = needed("a point", "rear end")
    lower: Word = needed('a point, or "ground"', "axle.rear")
    damping: Annotated[Reading, as_damping] = needed("of the damper")


class MassTable(Table):
    """A further mass on a named point, on top of the axle loads."""

    name: Name = needed("of the mass", "ballast")
    at: Word = needed("a point", "rear end")
    mass: NeedsMass = needed("of it")
    above_ground: Height = key("its centre of gravity; as its point where not given")
