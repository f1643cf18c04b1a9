"""A case at the amplitude found in its band: what holds there, and whether a freed leaf is the cure."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from counterbounce.model.amplitude import settled_levels
from counterbounce.model.case import parse
from counterbounce.model.laws import laws
from counterbounce.model.observations import CHECKS
from counterbounce.sizing.assess import assess
from counterbounce.sizing.at_amplitude import at_its_amplitude
from counterbounce.sizing.freed_leaf import BAND_SPEEDS
from counterbounce.sizing.in_hand import try_damper
from counterbounce.sizing.leaf_first import leaf_first, with_amplitude
from counterbounce.sizing.study import host
from counterbounce.sizing.verdict import Outcome, Verdict

CLEARED = """
[checks]
{}
[[observation]]
change = "how fast it shakes"
result = "countable"
[[observation]]
change = "known-good wheels"
result = "stayed"
""".format("\n".join(f'{name} = "good"' for name in CHECKS))
LOCKED = (Path(__file__).parents[1] / "cases" / "locked_leaves.toml").read_text(encoding="utf-8") + CLEARED

REAR_FRICTION = 'friction = "5 kN (measured: load test)"'


def case_with(*changes):
    text = LOCKED
    for old, new in changes:
        assert text.count(old), old
        text = text.replace(old, new)
    return parse(text, "locked.toml")


@pytest.fixture(scope="module")
def locked():
    return assess(case_with())


def test_locked_leaves_bounce_the_body_on_its_tyres(locked):
    """At 3 to 4 Hz, with hardly any damping; friction, where it slips a little, is most of what there is."""
    m, there = locked.host.modes, locked.amplitude.there
    assert m.names[:2] == ("body bounce", "body pitch")
    assert all(2.9 < f < 4.1 for f in m.frequency_hz[:2])
    assert max(m.damping_ratio[:2]) < 0.03
    assert (there.damping_ratio[0, :2] > 1.9 * m.damping_ratio[:2]).all()
    assert [locked.amplitude.locked(i) > 0.9 for i in range(2)] == [True, True]


def test_freeing_the_leaf_comes_before_a_weight(locked):
    freed, settled = locked.amplitude.freed, locked.amplitude
    assert freed.cures
    assert freed.leaves == ("rear leaf friction",)
    assert freed.reduction == pytest.approx(1 - freed.level / settled.level)
    assert freed.reduction >= locked.case.limits.worth
    said = leaf_first(locked.host, locked.verdict, settled)
    assert said.startswith("At the amplitude found the rear leaves are held by their own friction")
    assert locked.verdict.next_step.startswith("Free the rear leaves first, then ask again.")


def test_the_freed_level_is_that_of_a_case_with_less_friction(locked):
    """By another way: the same vehicle with a third of the rear leaves' friction in its file.

    Friction adds a third of its rate then: 220 + (1500 - 220) / 3 kN/m for small shakes.
    """
    eased = case_with(("1500 kN/m", "646.6666667 kN/m"), ('friction = "5 kN', 'friction = "1.6666667 kN'))
    one = host(eased)
    speeds = np.linspace(*locked.amplitude.band, BAND_SPEEDS)
    held = laws(eased.plan, eased.numbers, one.vehicle)
    again = settled_levels(one.vehicle, held, one.causes, speeds, one.vehicle.watched)
    assert again.levels.max() == pytest.approx(locked.amplitude.freed.level, rel=1e-5)


def test_what_the_damper_does_there_is_told(locked):
    found = locked.amplitude
    assert found.damped is not None
    assert found.reduction == pytest.approx(1 - found.damped / found.level)
    assert 0.5 < found.reduction < locked.sized.comparison.reduction  # friction has taken its share already
    assert locked.verdict.outcome is Outcome.HELPS
    share = f"{found.reduction * 100:.0f} %"
    assert locked.verdict.sentence.endswith(f"with leaf friction at work, it is {share}.")


def test_a_damper_that_friction_leaves_too_little_to_do_is_not_advised(locked):
    """What is worth the trouble lies between what it does for small shakes and what it does there."""
    wanting = replace(locked.case, limits=replace(locked.case.limits, worth=0.75))
    assert locked.sized.comparison.reduction > 0.75 > locked.amplitude.reduction
    good = Verdict(Outcome.HELPS, "It lowers the shake by 83 %.", "Fit it.")
    asked = with_amplitude(replace(locked.host, case=wanting), good, locked.amplitude)
    assert asked.outcome is Outcome.UNSURE
    share = f"{locked.amplitude.reduction * 100:.0f} %"
    assert asked.sentence.endswith(f"with leaf friction at work, it is {share} only.")
    assert "Fit it." not in asked.next_step


@pytest.mark.parametrize(
    "unknown",
    [
        [(REAR_FRICTION, "")],
        [(REAR_FRICTION, 'friction = "5 kN (assumed: as on such packs)"')],
        [('laws = ["leaf friction"]', ""), (REAR_FRICTION, "")],
    ],
    ids=["by the rule", "by the case", "no law asked"],
)
def test_an_assumption_asks_and_changes_nothing(unknown):
    asked = assess(case_with(*unknown))
    said = leaf_first(asked.host, asked.verdict, asked.amplitude)
    assert asked.amplitude.assumed
    assert said.startswith("Ask first whether the rear leaves")
    assert "Free the" not in asked.verdict.next_step
    assert "At the amplitude found" not in asked.verdict.sentence
    assert asked.verdict.outcome is Outcome.HELPS


def test_small_inputs_leave_every_leaf_locked():
    """A thousandth of the run-out of a healthy wheel: the modes are those of small shakes."""
    each = 'run_out = ["0.6 um", "0.6 um"]'
    wheels = "".join(f'\n[[inputs.wheel]]\naxle = "{axle}"\norder = 1\n{each}' for axle in ("front", "rear"))
    found = at_its_amplitude(host(case_with(("[complaint]", f"{wheels}\n[complaint]"))))
    assert found.stretch.max() < 1e-5
    assert [found.locked(i) for i in range(2)] == pytest.approx([1.0, 1.0], abs=1e-4)
    assert found.there.frequency_hz[0] == pytest.approx(host(case_with()).modes.frequency_hz, rel=1e-4)


def test_leaves_that_slip_have_nothing_to_free():
    """Friction of some newtons turns round within the stretch: no leaf is held."""
    light = [
        ("900 kN/m", "158 kN/m"),
        ("1500 kN/m", "233 kN/m"),
        ('friction = "3 kN', 'friction = "5 N'),
        ('friction = "5 kN', 'friction = "5 N'),
        ('from = "8.5 m/s", to = "9.5 m/s"', 'from = "3 m/s", to = "4.5 m/s"'),
        ('from = "5 m/s"', 'from = "2 m/s"'),
    ]
    one = host(case_with(*light))
    found = at_its_amplitude(one)
    assert one.target is not None
    assert found.freed is None
    assert max(found.locked(i) for i in range(2)) < 0.75


def test_no_leaves_and_no_laws_is_none():
    frictions = [(f'friction = "{n} kN (measured: load test)"', "") for n in (3, 5)]
    coils = [('spring = "leaf"', 'spring = "coil"'), ('laws = ["leaf friction"]', ""), *frictions]
    assert at_its_amplitude(host(case_with(*coils))) is None


def test_what_nothing_of_known_strength_shakes_is_none():
    assert at_its_amplitude(host(case_with(("wheel_orders = [1]", "wheel_orders = []")))) is None


def test_a_damper_in_hand_is_judged_there_too(locked):
    tried = try_damper(locked.case, locked.sized.found.damper)
    assert tried.assessment.amplitude.damped == pytest.approx(locked.amplitude.damped, rel=1e-6)
    assert tried.verdict.next_step.startswith("Free the rear leaves first")
