"""What a person feels at a point, from the case file to the level, and which points decide."""

import pytest

from counterbounce.model.case import parse
from counterbounce.model.comfort import weighting_factor
from counterbounce.model.example import TEXT
from counterbounce.model.points import Point, Row, judged
from counterbounce.sizing.limits import Bounds
from counterbounce.sizing.split import split
from counterbounce.sizing.study import host, place_of, size
from counterbounce.sizing.study import judged as compared

POINT = """
[[point]]
name = "{name}"
station = "{station} m"
watch = true
weighting = "{weighting}"
"""


def point(name, station=1.0, weighting="none", height=None):
    along = "" if height is None else f'direction = "fore-aft"\nheight = "{height} m"\n'
    return POINT.format(name=name, station=station, weighting=weighting) + along


def host_with(*points):
    return host(parse(TEXT + "".join(points)))


def names(points):
    return [p.name for p in points]


@pytest.mark.parametrize("kind", ["Wd", "Wc"])
def test_fore_aft_at_head_height_is_weighted_as_the_case_says(kind):
    """Wd at the seat, Wc at its back: level over plain level is the weighting at the wheel's frequency."""
    one = host_with(point("plain", height=1.5), point("felt", weighting=kind, height=1.5))
    assert one.vehicle.points["felt"].weighting == kind
    for cause, levels in zip(one.sweep.inputs, one.sweep.typical, strict=True):
        plain, felt = levels.T
        factor = weighting_factor(kind, cause.frequency(one.sweep.speeds))
        assert felt == pytest.approx(plain * factor, rel=1e-9)
        assert abs(factor[-1] - 1) > 0.01


def test_fore_aft_goes_with_height():
    low, high = host_with(point("low", height=1.0), point("high", height=3.0)).sweep.total().T
    assert high == pytest.approx(3.0 * low, rel=1e-9)


def test_without_weightings_all_watched_points_decide():
    points = Point("floor", 0.0, Row()), Point("roof", 0.0, Row(), "fore-aft")
    assert judged(points) == points


def test_a_case_with_a_seat_is_judged_there():
    """The tail shakes more than the seat; with the seat's weighting given, it only stands beside it."""
    both = point("tail", 6.0), point("seat", 4.5)
    plain, seated = host_with(*both), host_with(both[0], point("seat", 4.5, "Wk"))
    assert "tail" in {c.point.name for c in plain.critical}
    assert {c.point.name for c in seated.critical} == {"seat"}
    assert names(seated.vehicle.watched) == ["tail", "seat"]
    bounds = Bounds(20.0, stroke=0.02)
    place = place_of(seated, seated.vehicle.points["rear end"], bounds)
    assert names(place.band.points) == names(place.rest.points) == ["seat"]
    found = size(seated, bounds)
    c = compared(seated, found).comparison
    assert (names(c.points), c.point.name) == (["tail", "seat"], "seat")
    assert c.largest(c.before) == c.before[c.inside, 1].max()
    assert c.largest(c.before) < 0.9 * c.before[c.inside, 0].max()
    assert found.reduction == pytest.approx(c.reduction, abs=2e-3)
    assert split(seated, None)[0].before == pytest.approx(c.largest(c.before), rel=2e-3)
