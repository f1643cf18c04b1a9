"""What bends: the frame, and the sills that bend with it."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.bending import Stretch, borders, composite_gain, stretches, together
from counterbounce.model.building import build
from counterbounce.model.distribution import sprung_frame
from counterbounce.model.estimates import STEEL_MODULUS, channel_second_moment
from counterbounce.model.matrices import matrices
from counterbounce.model.modes import modes
from counterbounce.model.plan import BodyPlan, Plan

SILLS = BodyPlan("box", bends=True)


def box(shop, **more):
    values = {
        "mass": 800.0,
        "station": 3.5,
        "length": 4.0,
        "bending_stiffness": 1.5e6,
        "composite_action": 0.0,
    }
    return shop.table("body.box", **(values | more))


@pytest.fixture
def joined(shop):
    """A frame of 6 MN m^2 from -1.15 to 6.25 m, with a box of 4 m about 3.5 m."""

    def made(**more):
        numbers = shop.numbers(shop.bending | box(shop, **more))
        return Plan("bending", shop.axles, (SILLS,)), numbers

    return made


def stiffness(plan, numbers, *stations):
    return sprung_frame(plan, numbers, 7).stiffness(np.array(stations))


# --- composite action -------------------------------------------------------------------------------------


def area(height, flange, thickness):
    return 2 * flange * thickness + (height - 2 * thickness) * thickness


@pytest.mark.parametrize("rail", [(0.2032, 0.0762, 0.0065), (0.178, 0.060, 0.005), (0.26, 0.075, 0.008)])
@pytest.mark.parametrize("scale", [0.5, 0.7, 1.0])
def test_rails_and_sills_as_one_section(rail, scale):
    """Parallel axes on two channels of one thickness, one on the other; sizes are invented.

    12 %: the radius of gyration over the height is taken as one number, and it is not quite.
    """
    sill = (scale * rail[0], scale * rail[1], rail[2])
    areas, moments = [area(*s) for s in (rail, sill)], [channel_second_moment(*s) for s in (rail, sill)]
    apart = (rail[0] + sill[0]) / 2
    exact = areas[0] * areas[1] / sum(areas) * apart**2
    assert composite_gain(moments[0], moments[1]) == pytest.approx(exact, rel=0.12)
    assert composite_gain(STEEL_MODULUS * moments[0], STEEL_MODULUS * moments[1]) == pytest.approx(
        STEEL_MODULUS * composite_gain(*moments)
    )


def test_sills_that_slide_add_their_own_stiffness(joined):
    assert stiffness(*joined(), 1.0, 1.6, 5.4, 6.0) == pytest.approx([6e6, 7.5e6, 7.5e6, 6e6])


def test_sills_that_do_not_slip_add_the_composite_gain_too(joined):
    whole = 7.5e6 + composite_gain(6e6, 1.5e6)
    for share, wanted in ((1.0, whole), (0.5, (7.5e6 + whole) / 2), (1.7, whole)):  # more than all is all
        assert stiffness(*joined(composite_action=share), 3.0) == pytest.approx(wanted)


def test_sills_end_where_the_frame_steps_and_go_on_stiffer(shop):
    values = shop.table("frame.segment.1", bending_stiffness=4e6, to=3.0)
    values |= shop.table("frame.segment.2", bending_stiffness=9e6)
    plan = Plan("bending", shop.axles, (SILLS,), segments=2)
    numbers = shop.numbers(shop.bending | values | box(shop, composite_action=1.0))
    front, rear = (own + 1.5e6 + composite_gain(own, 1.5e6) for own in (4e6, 9e6))
    assert stiffness(plan, numbers, 1.0, 2.0, 4.0, 6.0) == pytest.approx([4e6, front, rear, 9e6])
    assert sprung_frame(plan, numbers, 7).breaks == pytest.approx((1.5, 3.0, 5.5))


def test_sills_are_a_stretch_of_stiffer_frame(shop, joined):
    """The same vehicle with the frame's own stiffness stepped where the sills begin and end."""
    values = shop.table("frame.segment.1", bending_stiffness=6e6, to=1.5)
    values |= shop.table("frame.segment.2", bending_stiffness=7.5e6, to=5.5)
    values |= shop.table("frame.segment.3", bending_stiffness=6e6, to=6.25)
    plan = Plan("bending", shop.axles, (BodyPlan("box"),), segments=3)
    stepped = modes(build(plan, shop.numbers(shop.bending | values | box(shop))))
    with_sills = build(*joined())
    assert modes(with_sills).undamped == pytest.approx(stepped.undamped, rel=1e-9)
    paths = {part.path for part in with_sills.parts if part.name == "frame bending"}
    assert paths == {"frame.bending_stiffness", "body.box.bending_stiffness"}


def test_a_rigid_frame_has_no_sills(joined):
    plan, numbers = joined()
    names = {part.name for part in build(replace(plan, kind="half"), numbers).parts}
    assert "frame bending" not in names


def test_many_vehicles_at_once_are_each_alone(joined):
    plan, numbers = joined(composite_action=0.4)
    build(plan, numbers, 6)
    scores = {path: np.array([-1.5, 0.0, 1.2]) for path in numbers.uncertain()}
    many = matrices(build(plan, numbers.with_scores(scores), 6))
    for i in range(3):
        one = matrices(build(plan, numbers.with_scores({path: s[i] for path, s in scores.items()}), 6))
        assert many.K[i] == pytest.approx(one.K, rel=1e-9, abs=1e-6 * abs(one.K).max())


# --- stretches --------------------------------------------------------------------------------------------


def test_borders_are_in_order_for_each_vehicle():
    pieces = [
        Stretch(-np.inf, np.array([2.0, 4.0]), 1.0, "first"),
        Stretch(np.array([2.0, 4.0]), np.inf, 1.0, "second"),
        Stretch(3.0, 5.0, 1.0, "sills"),
    ]
    assert [b.tolist() for b in borders(pieces)] == [[2.0, 3.0], [2.0, 4.0], [3.0, 4.0], [5.0, 5.0]]
    assert borders([Stretch(-np.inf, np.inf, 1.0, "all")]) == ()


def test_a_frame_without_sills_is_itself_everywhere(fleet):
    for name in ("bending", "stepped"):
        one = fleet(name)
        stations = np.linspace(-1.1, 6.2, 50)
        pieces = stretches(one.plan, one.numbers)
        assert all(piece.path.startswith("frame.") for piece in pieces)
        assert together(pieces, stations) == pytest.approx(one.vehicle.frame.stiffness(stations))
        assert together(pieces, stations).min() > 0
