"""The same question put to every plausible vehicle: against vehicles taken one by one, and in its sums."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.case import parse
from counterbounce.model.plausible import draw
from counterbounce.model.road import inputs
from counterbounce.sizing.absorber import tuned
from counterbounce.sizing.before_after import compare
from counterbounce.sizing.study import host
from counterbounce.sizing.survey import ENOUGH, FIRST, MOST, Survey, survey

QUARTER = """
name = "A corner of a truck"
exact = true
[vehicle]
sprung_mass = "1800 kg"
[axle.rear]
unsprung_mass = "250 kg"
spring_rate = "200 kN/m ± 20 %"
damping = "2 kN*s/m"
tyre_rate = "1.5 MN/m"
tyre_damping = "0.5 kN*s/m"
circumference = "2.4 m"
[inputs]
speeds = {{ from = "10 km/h", to = "40 km/h" }}
wheel_orders = [1]
{more}
"""
RATES = ["axle.front.spring_rate", "axle.rear.spring_rate"]
HUNG = tuned("rear end", "30 kg", "2.3 Hz", "12 %")


@pytest.fixture(scope="module")
def free(half_truck):
    one = half_truck()
    return one, survey(one, HUNG)


def corner(more=""):
    return host(parse(QUARTER.format(more=more), "quarter.toml"))


def complained(one, low, high):
    """The speeds of a complaint as shares of where the best estimate shakes."""
    here = one.target.critical.speed * 3.6
    return f'[complaint]\nspeed = {{ from = "{low * here} km/h", to = "{high * here} km/h" }}'


def test_without_a_complaint_every_vehicle_counts_alike(free):
    _, found = free
    assert found.agreement.tolist() == [1.0] * FIRST
    assert found.effective == pytest.approx(FIRST)
    assert found.paths == tuple(RATES) or set(RATES) <= set(found.paths)


def test_levels_are_those_of_the_vehicles_put_together(free):
    """By coupling along a coarse grid, against the damper assembled and swept finely: the band's edges and
    the peak of a coarse grid may differ by a hundredth."""
    one, found = free
    many = draw(one.case.plan, one.case.numbers, one.vehicle.frame.terms, FIRST)
    assert (many.scores == found.scores).all()
    for i in (0, 17, 40):
        vehicle = many.one(i)
        causes = inputs(one.case.roads, vehicle, one.case.speeds[0])
        cause = next(c for c in causes if c.name == one.target.critical.cause.name)
        mode = one.target.critical.mode
        moved = found.frequency[i, mode] / cause.per_metre / one.target.critical.coincidence
        band = tuple(moved * edge for edge in one.target.band)
        whole = compare(vehicle, HUNG, causes, np.linspace(*band, 201), band)
        assert found.before[i] == pytest.approx(whole.largest(whole.before), rel=0.01)
        assert found.after[i] == pytest.approx(whole.largest(whole.after), rel=0.01)
        assert found.ballast[i] == pytest.approx(whole.largest(whole.ballast), rel=0.01)
        assert found.curves[i, 0].max() == pytest.approx(whole.largest(whole.before), rel=0.03)
        stiffer = [
            compare(vehicle, replace(HUNG, stiffness=HUNG.stiffness * f**2, damping=HUNG.damping * f), causes,
                    np.linspace(*band, 201), band)
            for f in np.linspace(0.85, 1.15, 13)
        ]  # fmt: skip
        assert found.retuned[i] == pytest.approx(min(w.largest(w.after) for w in stiffer), rel=0.01)


def test_the_draw_does_not_hang_on_what_else_was_asked_of_the_numbers(half_truck):
    one = half_truck()
    first = survey(one, HUNG)
    one.case.numbers.optional("axle.rear.tyre_loss_factor")
    one.case.numbers["axle.rear.damping_ratio"]
    again = survey(one, HUNG)
    assert again.paths == first.paths
    assert (again.after == first.after).all()


def test_tuning_anew_never_hurts(free):
    assert (free[1].retuned <= free[1].after).all()


def test_an_exact_vehicle_is_its_own_only_neighbour(half_truck):
    one = half_truck(doubt=0)
    found = survey(one, HUNG)
    assert np.ptp(found.before) == np.ptp(found.after) == 0
    assert found.interval(found.speed) == pytest.approx([one.target.critical.speed] * 2)


def test_a_complaint_at_other_speeds_shifts_the_spring():
    """The body's frequency goes with the root of the rate: 5 % lower asks for 10 % less, which is one
    standard deviation (20 % is two)."""
    one = corner()
    low, high = (survey(corner(complained(one, *share)), None) for share in ((0.93, 0.97), (1.03, 1.07)))
    for found, sign in ((low, -1.0), (high, 1.0)):
        mean, left = found.shifts()["axle.rear.spring_rate"]
        assert 0.5 < sign * mean < 1.3
        assert left < 0.75
        assert (found.agreement <= 1).all()
        assert found.interval(found.speed)[0] < found.interval(found.speed)[1]
    middle = one.target.critical.speed
    assert low.interval(low.speed)[1] < middle * 1.03
    assert high.interval(high.speed)[0] > middle * 0.97


def test_more_vehicles_are_drawn_where_few_agree():
    few = survey(corner(complained(corner(), 1.1, 1.14)), None)
    assert FIRST < len(few.speed) <= MOST
    assert few.effective >= ENOUGH or len(few.speed) == MOST
    assert np.unique(few.scores, axis=0).shape == few.scores.shape  # none twice


def test_a_weight_test_shifts_spreads(half_truck):
    """A weight lowers a light mode more: felt far lower, it speaks for a light rear; hardly lower, for a
    heavy one.  The effective mass is exact here, so the loads are put in doubt."""
    doubted = {"rear": "3.9 t ± 40 %", "doubt": 2}

    def shifted(result, speed=""):
        observation = (
            f'[[observation]]\nchange = "weight over the rear end"\nresult = "{result}"\nmass = "300 kg"\n'
        )
        more = complained(free_one, 0.97, 1.03) + "\n" + observation + speed
        return survey(half_truck(more=more, **doubted), None)

    free_one = half_truck(**doubted)
    here = free_one.target.critical.speed * 3.6
    far = shifted("moved", f'speed = {{ from = "{0.92 * here} km/h", to = "{0.94 * here} km/h" }}')
    near = shifted("stayed")
    assert far.shifts()["axle.rear.load"][0] < near.shifts()["axle.rear.load"][0] - 0.1


def made(weight, values):
    """A survey by hand: one number, its score the value."""
    values = np.asarray(values, dtype=float)
    still = np.ones_like(values)
    return Survey(("a", "b"), np.stack([values, still], axis=1), np.asarray(weight, float), still[:, None],
                  values, still, 1 - values / 10, 1 - values / 10, still,
                  np.zeros((len(values), 2, 1)), np.ones(1), 0)  # fmt: skip


def test_sums_over_vehicles():
    one = made([1, 1, 2, 0], [1.0, 2.0, 3.0, 100.0])
    assert one.weight.tolist() == [0.25, 0.25, 0.5, 0.0]
    assert one.effective == pytest.approx(1 / (2 * 0.25**2 + 0.5**2))
    assert one.share(one.speed > 1.5) == pytest.approx(0.75)
    assert one.shifts()["a"] == pytest.approx(
        (2.25, np.sqrt(0.25 * 1.25**2 + 0.25 * 0.25**2 + 0.5 * 0.75**2))
    )
    assert one.reduction.tolist() == pytest.approx([0.1, 0.2, 0.3, 10.0])


def test_the_interval_of_many_equal_vehicles_is_their_quantiles():
    values = np.random.default_rng(2).permutation(np.arange(1000.0))
    low, high = made(np.ones(1000), values).interval(values)
    assert (low, high) == pytest.approx((49.5, 949.5))
    assert made(np.ones(1000), values).error(0.5) == pytest.approx(np.sqrt(0.25 / 1000))


def test_what_decides_is_the_number_that_moves_with_it():
    rng = np.random.default_rng(4)
    a, b = rng.standard_normal((2, 4000))
    one = replace(made(np.ones(4000), a), scores=np.stack([a, b], axis=1))
    found = one.decides(2 * a + b)
    assert list(found) == ["a", "b"]
    assert found == pytest.approx({"a": 0.8, "b": 0.2}, abs=0.03)  # of 4,000 random pairs
