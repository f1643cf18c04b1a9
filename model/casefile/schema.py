"""The keys that a case file may hold, each with what it means, its unit, its bounds and an example."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from ..observations import Answer, Change, Result
from ..roughness import FLATTEST, STEEPEST, RoadClass
from ..units import Reading
from .evidence_keys import CalibratedTable, EvidenceTable
from .kinds import (
    Complaining,
    Force,
    Height,
    Mass,
    Name,
    NeedsLength,
    Prose,
    Quantity,
    Ratio,
    Share,
    Small,
    Table,
    Word,
    as_ratio,
    as_small,
    as_speed,
    key,
    needed,
)
from .recording_keys import RecordingTable, SensorTable
from .vehicle_keys import (
    AxleTable,
    BodyTable,
    DamperTable,
    FrameTable,
    MassTable,
    PointTable,
    SpringTable,
    VehicleTable,
)

as_density = Quantity("m^3", "64e-6 m^3", above=0, below=0.1)


class SpeedTable(Table):
    """A band of road speed."""

    from_: Annotated[Reading, as_speed] = Field(alias="from", description="slowest", examples=["40 km/h"])
    to: Annotated[Reading, as_speed] = needed("fastest", "110 km/h")


class JointsTable(Table):
    """A pavement of equal slabs: any of step, curl and gap."""

    spacing: NeedsLength = needed("joint to joint", "15 ft")
    step: Small = key("fault in height at each joint", None, "3 mm")
    curl: Small = key("edges above the middle of a slab", None, "4 mm")
    gap_width: Small = key("along the road", None, "12 mm")
    gap_depth: Small = key("that a tyre dips into it", None, "3 mm")


class WaveTable(Table):
    """A sine road."""

    length: NeedsLength = needed("of one wave", "6 m")
    height: Annotated[Reading, Quantity("m", "0.1 m", above=0, below=2)] = needed("crest to trough")


class RoughnessTable(Table):
    """A random road by ISO 8608: a class, or a spectral density of its own."""

    class_: RoadClass | None = Field(
        None, alias="class", description="A to H, its geometric mean", examples=["B"]
    )
    density: Annotated[Reading | None, as_density] = key("of the heights at 0.1 cycle/m")
    angular_density: Annotated[Reading | None, as_density] = key(
        "of the heights at 1 rad/m, in place of density", None, "4e-6 m^3"
    )
    waviness: Annotated[Reading | None, Quantity("", "2", at_least=FLATTEST, below=STEEPEST, pure=True)] = (
        key("how fast the density falls with the wave number; 2 where not given", None, 2)
    )


class DrivelineTable(Table):
    """What turns ahead of the driven wheels."""

    axle_ratio: Annotated[Reading, as_ratio] = needed("propshaft turns per turn of the wheels", 4.1)
    gear_ratio: Ratio = key("engine turns per turn of the propshaft", None, 1.0)
    cylinders: int | None = key("of a four-stroke engine", None, 6, ge=1, le=24)


class WheelTable(Table):
    """One order of one axle's wheels, a value per wheel; a dual pair is one wheel."""

    axle: Word = needed("its name", "rear")
    order: int = key("events per turn of the wheel", 1, 1, ge=1, le=50)
    run_out: list[Annotated[Reading, as_small]] = key(
        "radial, peak to peak of this order", [], ["0.8 mm", "0.5 mm"], max_length=2
    )
    force_variation: list[Annotated[Reading, Quantity("N", "150 N", at_least=0, below=1e5)]] = key(
        "radial, peak to peak of this order, in place of run_out", [], ["150 N", "90 N"], max_length=2
    )
    imbalance: list[Annotated[Reading, Quantity("kg*m", "0.012 kg*m", at_least=0, below=10)]] = key(
        "order 1 only", [], ["0.012 kg*m", "0 kg*m"], max_length=2
    )


class InputsTable(Table):
    """What the road and the wheels ask of the vehicle."""

    speeds: SpeedTable | None = key("where to look; 8 to 33 m/s where not given")
    wheel_orders: list[Annotated[int, Field(ge=1, le=50)]] | None = key(
        "of every axle's wheels; 1 to 4 where not given", None, [1, 2, 3, 4], max_length=20
    )
    rolling_difference: Annotated[Reading | None, Quantity("", "0.3 %", at_least=0, below=0.2, pure=True)] = (
        key("between the vehicle's wheels: it sets the beat")
    )
    joints: JointsTable | None = key("expansion joints")
    wave: WaveTable | None = key("a sine road")
    roughness: RoughnessTable | None = key("the random road beneath all that")
    profile: Word | None = key("file of a measured profile, from the folder of the case", None, "profile.csv")
    driveline: DrivelineTable | None = key("what turns ahead of the driven wheels")
    wheel: list[WheelTable] = key(
        "measured wheels; healthy ones are assumed where none is given", [], max_length=50
    )


class ComplaintTable(Table):
    """What the person feels."""

    speed: SpeedTable | None = key("band in which it shakes")
    where: Word | None = key("a point", None, "driver's floor")
    direction: Complaining = key("in which it is felt", "vertical", "vertical")
    level: Annotated[Reading | None, Quantity("m/s^2", "0.8 m/s^2", above=0, below=100)] = key(
        "r.m.s., if measured"
    )
    how_bad: Prose = key("in the person's words", "", "coffee jumps out of the cup")
    starts_after_bump: bool = key("whether it starts after a bump", False, True)
    feeds_itself: bool = key("whether it then grows or goes on by itself", False, True)


class ChecksTable(Table):
    """The walk round the vehicle before anyone drives: good, bad, or left out where nobody has looked."""

    tyres: Answer | None = key("no bulge, cut or cord, and pressures as on the placard", None, "good")
    wheel_nuts: Answer | None = key("all there, tight, no rust streaks from a loose one", None, "good")
    bearings: Answer | None = key("of the wheels: no play, no roughness, no heat", None, "good")
    steering_joints: Answer | None = key("no play while somebody rocks the steering wheel", None, "good")
    lateral_link: Answer | None = key("holds a solid axle sideways: no play at its ends", None, "good")
    u_bolts: Answer | None = key("tight, with the centre bolt whole and no leaf broken", None, "good")
    mounts: Answer | None = key("of body and cab: no crack, nothing loose", None, "good")
    frame: Answer | None = key("no crack at holes, brackets and welds, no loose rivet", None, "good")
    hitch_play: Answer | None = key("no play in hitch and bracket; good where there is none", None, "good")


class ObservationTable(Table):
    """One condition changed, everything else alike, and what it did to the shake; or how fast it shakes."""

    change: Change = needed("what was changed", "neutral coast-down")
    result: Result = needed(
        "stayed as it was, moved to another speed, vanished, weaker, stronger; started: only then; how fast: "
        "countable, or blur (a mirror, a lever), or buzz (in hands, feet and seat)",
        "stayed",
    )
    speed: SpeedTable | None = key("band in which it is felt now, where it moved")
    mass: Mass = key("of the weight over the rear end; 50 kg where not given", None, "50 kg")
    at: Word | None = key("point that the weight was put on; the rear end where not given", None, "rear end")
    frequency: Annotated[Reading | None, Quantity("Hz", "9 Hz", above=0.1, below=1000)] = key(
        "how fast it shakes, read off a phone on the floor, by whoever does not drive"
    )
    note: Prose = key("anything a reader should know", "", "same road, both ways")


class LimitsTable(Table):
    """What a countermeasure may be."""

    places: list[Word] = key("points where a damper may hang", [], ["rear end"], max_length=50)
    mass: Mass = key("that may be added", None, "30 kg")
    stroke: Annotated[Reading | None, Quantity("m", "20 mm", above=0, below=1)] = key("each way")
    friction: Force = key("that the damper's own guides hold before they slip", None, "5 N")
    clearance: Annotated[Reading | None, Quantity("m", "150 mm", above=0, below=5)] = key(
        "above and below, each way"
    )
    worth: Share = key(
        "smallest fall of the shake that is worth the trouble; 25 % where not given", None, "25 %"
    )
    gross_rating: Mass = key("what the vehicle may weigh", None, "7.5 t")
    front_share: Share = key("smallest share of the weight that the first axle must keep", None, "20 %")
    centre_of_gravity_height: Height = key("highest that it may be: body-builder's data", None, "1.3 m")
    towing: Literal["needed", "remove first", "none"] = key("with the damper in place", "none", "needed")


class CaseFile(Table):
    """A vehicle that shakes, what it runs on, what is felt and what may be done: a counterbounce case."""

    name: Annotated[str, Field(min_length=1, max_length=200)] = needed("of the case", "Box truck, 7.5 t")
    note: Prose = key("anything a reader should know", "", "An invented vehicle.")
    exact: bool = key("textbook numbers: no spread where none is written", False, True)
    vehicle: VehicleTable = key("the vehicle as a whole", VehicleTable())
    frame: FrameTable | None = key("the frame, if it is to bend")
    axle: Annotated[dict[Name, AxleTable], Field(min_length=1, max_length=12)] = needed("axles, by name")
    body: list[BodyTable] = key("bodies on the frame", [], max_length=60)
    point: list[PointTable] = key("named places", [], max_length=100)
    spring: list[SpringTable] = key("further springs", [], max_length=50)
    damper: list[DamperTable] = key("further dampers", [], max_length=50)
    mass: list[MassTable] = key("further masses", [], max_length=50)
    inputs: InputsTable = key("what the road and the wheels ask", InputsTable())
    complaint: ComplaintTable | None = key("what is felt")
    checks: ChecksTable = key("the walk round the vehicle", ChecksTable())
    observation: list[ObservationTable] = key("what was tried, and what the shake did", [], max_length=50)
    limits: LimitsTable = key("what may be done", LimitsTable())
    sensor: list[SensorTable] = key("acceleration columns of the recordings", [], max_length=100)
    recording: RecordingTable = key("how the vehicle was recorded", RecordingTable())
    evidence: list[EvidenceTable] = key("what was measured on the whole vehicle", [], max_length=100)
    calibrated: CalibratedTable | None = key("what a calibration left behind; written by the program")


def json_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a case file, for editors and checkers."""
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **CaseFile.model_json_schema()}
