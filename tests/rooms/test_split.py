"""How much of the complaint is input, how much is vehicle."""

from dataclasses import replace
from pathlib import Path

import pytest

from counterbounce.model.case import load
from counterbounce.sizing.absorber import tuned
from counterbounce.sizing.split import split
from counterbounce.sizing.study import host

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def truck():
    return host(load(EXAMPLES / "engineer/box_truck.toml"))


@pytest.fixture(scope="module")
def chassis():
    return host(load(EXAMPLES / "upfitter/service_body.toml"))


def test_perfect_wheels_on_a_smooth_road_shake_nothing(truck):
    shares = {s.wheels: s for s in split(truck, tuned("rear end", 40.0, 9.0, 0.06))}
    assert list(shares) == ["as they are", "healthy", "perfect"]
    assert (shares["perfect"].before, shares["perfect"].after) == (0.0, 0.0)
    assert shares["as they are"].before > shares["healthy"].before > shares["healthy"].after > 0


def test_joints_remain_with_perfect_wheels(chassis):
    whole, perfect = split(chassis, None)
    assert (whole.wheels, perfect.wheels) == ("as they are", "perfect")
    assert 0 < perfect.before < whole.before
    assert whole.after is None


def test_powers_add_up(chassis):
    """What wheels and joints do apart is, as powers, at least what they do together at the worst speed."""
    whole, perfect = split(chassis, None)
    wheels_only = replace(chassis, causes=tuple(c for c in chassis.causes if c.kind == "wheel"))
    apart = split(wheels_only, None)[0].before
    assert whole.before**2 <= (apart**2 + perfect.before**2) * (1 + 1e-9)


def test_twice_the_run_out_is_twice_that_input(truck):
    faults = tuple(replace(f, run_out=tuple(2 * r for r in f.run_out)) for f in truck.case.roads.wheel_faults)
    case = replace(truck.case, roads=replace(truck.case.roads, wheel_faults=faults))
    assert split(host(case), None)[0].before > 1.3 * split(truck, None)[0].before


def test_the_answer_shows_it(truck):
    """The table and the JSON say what the split says."""
    from counterbounce.app.answer import answer
    from counterbounce.app.damper_tables import split_table
    from counterbounce.sizing.assess import assess

    found = assess(truck.case)
    told, rows = answer(found)["split"], split_table(found).rows
    assert [s["wheels"] for s in told] == ["as they are", "healthy", "perfect"]
    assert told[0]["before_m_s2"] == pytest.approx(
        found.sized.comparison.largest(found.sized.comparison.before), rel=1e-3
    )
    assert told[0]["after_m_s2"] == pytest.approx(found.sized.found.level, rel=5e-3)
    assert rows[0][1].startswith(f"{told[0]['before_m_s2']:.3f}")
