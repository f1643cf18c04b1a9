"""From a plan and its numbers to parts between points."""

from dataclasses import replace

import pytest

from counterbounce.model.building import build
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.matrices import matrices
from counterbounce.model.numbers import Known
from counterbounce.model.plan import BodyPlan, LinkPlan, MountPlan, Plan, PointPlan
from counterbounce.sizing.ratings import load_change


@pytest.fixture
def half(shop):
    def with_more(values=(), **plan):
        return build(Plan("half", shop.axles, **plan), shop.numbers(shop.half | dict(values)))

    return with_more


def rise_at(vehicle, station):
    return pytest.approx(vehicle.frame.row(station))


def test_points_that_are_always_there(half):
    vehicle = half()
    assert set(vehicle.points) == {"front end", "rear end", "axle.front", "axle.rear"}
    assert [p.name for p in vehicle.watched] == ["front end", "rear end"]
    assert vehicle.points["rear end"].row == rise_at(vehicle, 6.25)


def test_a_quarter_vehicle_has_one_station(shop):
    values = shop.table("vehicle", sprung_mass=2000.0) | shop.axle("rear", 4.2)
    vehicle = build(Plan("quarter", shop.axles[1:]), shop.numbers(values))
    assert vehicle.coordinates == ("bounce", "axle.rear")
    assert (vehicle.axles[0].station, vehicle.axles[0].wheels) == (0.0, 1)
    assert vehicle.points["body"].row == {"bounce": 1.0}


def test_a_body_without_mounts_rides_on_the_frame(half):
    values = {"body.box.mass": 800.0, "body.box.station": 3.0, "body.box.pitch_inertia": 500.0}
    vehicle = half(values, bodies=(BodyPlan("box", rotates=True),))
    assert vehicle.points["box"].row == rise_at(vehicle, 3.0)
    rise, turn = (p for p in vehicle.parts if p.name == "box")
    assert (rise.value, turn.value) == (800.0, 500.0)
    assert turn.row == pytest.approx(vehicle.frame.slope(3.0))


def test_a_seat_stands_on_the_cab_and_not_on_the_frame(fleet):
    vehicle = fleet("cab and seat").vehicle
    spring = next(p for p in vehicle.parts if p.name == "seat mounts" and p.kind == "spring")
    assert {c: s for c, s in spring.row.items() if s} == {
        "body.seat": 1.0,
        "body.cab": -1.0,
        "body.cab.pitch": pytest.approx(-0.4),  # the seat stands 0.4 m behind the cab's centre
    }


def test_fore_aft_motion_is_height_times_slope(fleet):
    assert fleet("cab and seat").vehicle.points["head"].row == {"body.cab.pitch": 1.4}


def test_mounts_stand_where_they_are(fleet):
    vehicle = fleet("rotating body").vehicle
    front, rear = (p.row for p in vehicle.parts if p.name == "box mounts" and p.kind == "spring")
    for row, station in ((front, 1.6), (rear, 5.8)):
        assert row["body.box.pitch"] == pytest.approx(station - 3.9)
        assert {c: -row[c] for c in ("bounce", "pitch")} == rise_at(vehicle, station)


def test_a_body_left_out_of_the_weighing_adds_to_it(half):
    values = {"body.driver.mass": 90.0, "body.driver.station": 0.4}
    inside, beside = (half(values, bodies=(BodyPlan("driver", included=so),)) for so in (True, False))
    assert inside.total_mass == pytest.approx(half().total_mass, rel=1e-12)
    assert beside.total_mass == pytest.approx(half().total_mass + 90.0, rel=1e-12)


def test_a_load_sharing_pair_shares(fleet):
    """What stands on the sprung body loads both axles of the pair alike, wherever it stands."""
    for name in ("tandem", "bending tandem"):
        vehicle = fleet(name).vehicle
        for end in ("front end", "rear end"):
            change = load_change(matrices(vehicle), vehicle.points[end].row, 100.0)
            assert change[1] == pytest.approx(change[2], rel=1e-9)


def test_a_soft_bracket_moves_by_itself(fleet):
    vehicle = fleet("soft bracket").vehicle
    assert vehicle.points["bracket"].row == {"point.bracket": 1.0}
    assert "bracket on its bracket" in dict(vehicle.components)


def test_watched_points_are_those_marked(half):
    vehicle = half({"point.floor.station": 0.4}, points=(PointPlan("floor", watched=True),))
    assert [p.name for p in vehicle.watched] == ["floor"]


def fault_of(call):
    with pytest.raises(CounterbounceError) as caught:
        call()
    return caught.value.faults[0]


def test_a_misspelt_place_is_refused_with_the_nearest_name(half):
    values = {"body.seat.mass": 90.0, "body.seat.station": 0.4, "spring.strut.rate": 1e4}
    fault = fault_of(lambda: half(values, bodies=(BodyPlan("seat", on="fram"),)))
    assert (fault.given, fault.near) == ("fram", "frame")
    fault = fault_of(lambda: half(values, links=(LinkPlan("spring", "strut", "rear end", "axle.raer"),)))
    assert (fault.given, fault.near) == ("axle.raer", "axle.rear")


def test_a_coordinate_without_mass_is_refused(half):
    values = {"body.seat.mass": 0.0, "body.seat.station": 0.4, "body.seat.mount.0.rate": 1e4}
    fault = fault_of(lambda: half(values, bodies=(BodyPlan("seat", mounts=(MountPlan(0),), included=False),)))
    assert (fault.key, fault.given) == ("body.seat", "no mass")


def test_bodies_heavier_than_the_whole_are_refused(half):
    values = {"body.box.mass": 5300.0, "body.box.station": 2.0}
    fault = fault_of(lambda: half(values, bodies=(BodyPlan("box"),)))
    assert fault.key == "vehicle.sprung_mass"


def test_a_pitch_inertia_that_would_need_less_than_no_mass_is_refused(shop):
    plan = Plan("bending", shop.axles)
    for inertia in (4e3, 60e3):
        numbers = shop.numbers(shop.bending | {"vehicle.pitch_inertia": inertia})
        assert fault_of(lambda n=numbers: build(plan, n)).key == "vehicle.pitch_inertia"


def test_an_estimated_pitch_inertia_gives_way(shop):
    """Moved to the nearest that the mass allows; a given one is a fault of the file, above."""
    numbers = shop.numbers(shop.bending)
    numbers = numbers.with_given({"vehicle.pitch_inertia": Known(60e3, 6e3, "estimated")})
    vehicle = build(Plan("bending", shop.axles), numbers)
    assert min(p.value for p in vehicle.parts if p.kind == "mass") >= 0
    known = build(replace(Plan("bending", shop.axles), terms=None), shop.numbers(shop.bending))
    assert vehicle.total_mass == pytest.approx(known.total_mass, rel=1e-9)
