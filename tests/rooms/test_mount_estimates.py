"""From the words of the trade to mounts: what holds whatever the numbers, and what is known of the numbers.

The natural frequencies of bodies and cabs on their mounts are common practice without a source: there are no
published sets here to hold them to, so their spreads are wide and the ledger says so.
"""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.building import build
from counterbounce.model.case import parse
from counterbounce.model.faults import CounterbounceError
from counterbounce.model.matrices import matrices
from counterbounce.model.modes import modes
from counterbounce.model.mount_estimates import ONE, PRESETS, STRIP, TWO, mount_rules, mountings_of
from counterbounce.model.plan import BodyPlan
from counterbounce.model.settle import settled

TRUCK = """
name = "A truck with a body"
note = "Invented."
[vehicle]
wheelbase = "3.8 m"
{vehicle}
[frame]
front_overhang = "1 m"
rear_overhang = "1.6 m"
bending_stiffness = "4.4 MN*m^2"
[axle.front]
load = "1.9 t"
tyre = "225/70R19.5"
[axle.rear]
load = "2.6 t"
tyre = "225/70R19.5"
tyres = 4
[[body]]
name = "box"
mass = "1.2 t"
station = "3.4 m"
{box}
{more}
"""
CAB = '[[body]]\nname = "cab"\nmass = "500 kg"\nstation = "0.3 m"\n'
FREE_TO_CHOOSE = [(kind, mounting) for (kind, mounting), preset in PRESETS.items() if preset.mounts]


def case(box="", more="", vehicle=""):
    return parse(TRUCK.format(box=box, more=more, vehicle=vehicle))


def mounted(mounting, *more):
    return "\n".join([f'mounting = "{mounting}"', 'length = "3.6 m"', *more])


def rates(one, name, count):
    return [one.numbers[f"body.{name}.mount.{i}.rate"] for i in range(count)]


def first_bending(one):
    found = modes(settled(one.plan, one.numbers))
    return next(f for f, n in zip(found.frequency_hz, found.names, strict=True) if "frame bending" in n)


# --- where the mounts are ---------------------------------------------------------------------------------


def moment(mounts, power):
    return sum(share * place**power for place, share in mounts)


@pytest.mark.parametrize("mounts", [preset.mounts for preset in PRESETS.values() if preset.mounts] + [TWO])
def test_shares_of_the_rate_are_one_in_all(mounts):
    assert moment(mounts, 0) == pytest.approx(1)
    assert all(abs(place) <= 0.5 for place, _ in mounts)


def test_four_mounts_resist_rise_pitch_and_bending_as_the_strip_does():
    """The strip's integrals over its length 1: 1, 1/12, and of (x^2 - 1/12)^2, 1/180."""
    assert [moment(STRIP, power) for power in (1, 2, 3)] == pytest.approx([0, 1 / 12, 0], abs=1e-12)
    assert sum(share * (place**2 - 1 / 12) ** 2 for place, share in STRIP) == pytest.approx(1 / 180)


def test_two_mounts_resist_rise_and_pitch_as_the_strip_does_and_leave_bending_free():
    assert moment(TWO, 2) == pytest.approx(1 / 12)
    assert sum(share * (place**2 - 1 / 12) ** 2 for place, share in TWO) == pytest.approx(0, abs=1e-12)


def test_four_mounts_hold_a_frame_as_twenty_along_the_strip_do():
    four = case(mounted("filler and U-bolts", 'pitch_inertia = "1500 kg*m^2"'))
    each = sum(rates(four, "box", 4)) / 20
    along = [3.4 + 3.6 * (i + 0.5 - 10) / 20 for i in range(20)]
    listed = ", ".join(f'{{ station = "{x:.3f} m", rate = "{each:.6g} N/m" }}' for x in along)
    twenty = case(f'pitch_inertia = "1500 kg*m^2"\nmounts = [{listed}]')
    few, many = (modes(settled(one.plan, one.numbers)).undamped[:8] for one in (four, twenty))
    assert few == pytest.approx(many, rel=0.01)
    assert first_bending(four) > 1.03 * first_bending(case(mounted("spring mounts")))


def test_a_body_is_as_long_as_the_frame_leaves_room_for():
    """Its middle 1.6 + 0.4 m ahead of the frame's rear end; 4.4 m behind its front end."""
    assert case('mounting = "plates"').numbers["body.box.length"] == pytest.approx(2 * 2.0)


def test_a_body_beyond_the_frame_has_to_say_how_long_it_is():

    with pytest.raises(CounterbounceError) as caught:
        parse(TRUCK.format(box='mounting = "plates"', more="", vehicle="").replace('"3.4 m"', '"5.5 m"'))
    assert [fault.key for fault in caught.value.faults] == ["body.box.length"]


# --- how stiff they are, and what they lose -----------------------------------------------------------------


@pytest.mark.parametrize(("kind", "mounting"), FREE_TO_CHOOSE)
def test_a_body_rises_on_its_mounts_at_the_frequency_of_its_mounting(kind, mounting):
    one = case(mounted(mounting, f'kind = "{kind}"'))
    count = len(PRESETS[kind, mounting].mounts)
    stiff = sum(rates(one, "box", count))
    assert np.sqrt(stiff / 1200) / (2 * np.pi) == pytest.approx(PRESETS[kind, mounting].frequency[0])


def test_mounts_carry_all_that_stands_on_the_body():
    seat = '[[body]]\nname = "seat"\nmass = "80 kg"\nstation = "0.4 m"\non = "cab"\nmounting = "cushion"\n'
    one = case("", CAB + 'mounting = "rubber mounts"\n' + seat)
    assert sum(rates(one, "cab", 2)) == pytest.approx(580 * (2 * np.pi * 10) ** 2)
    assert rates(one, "seat", 1) == pytest.approx([80 * (2 * np.pi * 4) ** 2])


def test_mounts_with_shocks_damp_and_mounts_without_lose_by_hysteresis():
    soft, hard = case("", CAB + 'mounting = "air"\n'), case("", CAB + 'mounting = "rubber mounts"\n')
    damping = sum(soft.numbers[f"body.cab.mount.{i}.damping"] for i in range(2))
    assert damping / (2 * np.sqrt(500 * sum(rates(soft, "cab", 2)))) == pytest.approx(0.3)
    assert hard.numbers["body.cab.mount.1.loss_factor"] == pytest.approx(0.12)
    assert not hard.numbers.has("body.cab.mount.0.damping")
    assert not soft.numbers.has("body.cab.mount.0.loss_factor")


def test_a_person_on_a_cushion():
    """Foam seats amplify most near 4 Hz, about twofold: Griffin 1990, Human Vibration (from memory)."""
    one = case("", '[[body]]\nname = "seat"\nmass = "80 kg"\nstation = "0.4 m"\nmounting = "cushion"\n')
    k, c = rates(one, "seat", 1)[0], one.numbers["body.seat.mount.0.damping"]
    hertz = np.linspace(1, 12, 1101)
    force = k + 2j * np.pi * hertz * c
    passed = abs(force / (force - 80 * (2 * np.pi * hertz) ** 2))
    assert 3.3 < hertz[passed.argmax()] < 5
    assert 1.5 < passed.max() < 2.5


def test_a_body_pitches_as_a_block_unless_it_says_how():
    one = case(mounted("plates"))
    assert one.numbers["body.box.pitch_inertia"] == pytest.approx(1200 * 3.6**2 * 1.16 / 12)
    assert "body.box.pitch" in build(one.plan, one.numbers).coordinates
    told = case(mounted("plates", 'pitch_inertia = "900 kg*m^2"'))
    assert told.numbers["body.box.pitch_inertia"] == 900


# --- what is given wins -------------------------------------------------------------------------------------


def test_listed_mounts_win_and_the_mounting_fills_in_what_they_leave_open():
    listed = 'mounts = [{ station = "2 m", rate = "5 MN/m" }, { station = "4.9 m", damping = "8 kN*s/m" }]'
    one = case(mounted("filler and U-bolts", listed))
    whole = 1200 * (2 * np.pi * 20) ** 2
    assert rates(one, "box", 2) == pytest.approx([5e6, whole / 2])
    assert one.numbers["body.box.mount.0.loss_factor"] == pytest.approx(0.08)
    assert not one.numbers.has("body.box.mount.1.loss_factor")
    assert [one.numbers[f"body.box.mount.{i}.station"] for i in range(2)] == [2.0, 4.9]
    assert (
        one.numbers.known("body.box.mount.0.rate").source != one.numbers.known("body.box.mount.1.rate").source
    )


def test_a_body_is_what_it_is_called_unless_it_says_otherwise():
    by_name, told = case("", CAB + 'mounting = "air"'), case("", CAB + 'kind = "body"\nmounting = "plates"')
    assert [one.plan.bodies[1].kind for one in (by_name, told)] == ["cab", "body"]


def test_without_a_mounting_nothing_changes():
    one = case()
    assert (one.plan.bodies[0].mounts, one.plan.bodies[0].rotates) == ((), False)
    assert not [path for path in one.numbers.rules if path.startswith("body.")]


# --- what it does to the vehicle ----------------------------------------------------------------------------


def test_the_firmer_the_sills_are_held_the_stiffer_the_frame():
    sills = 'bending_stiffness = "1 MN*m^2"'
    held = [first_bending(case(mounted(word, sills))) for word in ("filler and U-bolts", "plates", "rigid")]
    assert np.diff(held).min() > 0.3
    free = first_bending(case(mounted("spring mounts")))
    assert free < min(first_bending(case(mounted(word))) for word in ("filler and U-bolts", "plates"))


def test_a_body_on_spring_mounts_leaves_the_frame_free_to_bend():
    """However stiff, two mounts resist no curvature: with a body of no weight the frame is as without it."""
    light = TRUCK.replace('mass = "1.2 t"', 'mass = "1 kg"')
    loose = parse(light.format(box=mounted("spring mounts"), more="", vehicle=""))
    bare = parse(light.format(box="", more="", vehicle=""))
    assert first_bending(loose) == pytest.approx(first_bending(bare), rel=1e-3)


def test_a_quarter_vehicle_has_one_mount_and_no_pitch():
    text = 'name = "q"\n[vehicle]\nsprung_mass = "2 t"\n[axle.a]\nload = "2.3 t"\ntyre = "225/70R19.5"\n'
    one = parse(text + CAB + 'mounting = "rubber mounts"')
    (cab,) = one.plan.bodies
    assert (len(cab.mounts), cab.rotates) == (1, False)
    assert rates(one, "cab", 1) == pytest.approx([500 * (2 * np.pi * 10) ** 2])
    assert "body.cab" in build(one.plan, one.numbers).coordinates
    listed = 'mounts = [{ rate = "9 kN/m" }, { rate = "1 kN/m" }]'
    assert not parse(text + CAB + f'mounting = "rubber mounts"\n{listed}').plan.bodies[0].rotates


# --- doubt --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "mounting"), FREE_TO_CHOOSE)
def test_every_rule_says_where_it_comes_from_and_is_wide(kind, mounting):
    mounts = case(mounted(mounting, f'kind = "{kind}"')).plan.bodies[0].mounts
    body = BodyPlan("it", mounts=mounts, rotates=len(mounts) > 1, kind=kind, mounting=mounting)
    rules = mount_rules(body, [body])
    assert all(len(rule.source) > 10 for rule in rules.values())
    assumed = {path: rule for path, rule in rules.items() if rule.scatter}
    assert {"body.it.length", "body.it.mount_frequency"} <= set(assumed)
    for path, rule in assumed.items():
        assert "no source" in rule.source or "from memory" in rule.source, path
        assert rule.scatter >= 0.25, path


def test_one_vehicle_and_many_are_the_same_arithmetic():
    one = case(mounted("filler and U-bolts"), CAB + 'mounting = "air"')
    build(one.plan, one.numbers, 6)
    rng = np.random.default_rng(2)
    scores = {path: 0.5 * rng.standard_normal(3) for path in one.numbers.uncertain()}
    assert {"body.box.mount_frequency", "body.box.length", "body.cab.mount_damping_ratio"} <= set(scores)
    many = matrices(build(one.plan, one.numbers.with_scores(scores), 6))
    for i in range(3):
        alone = one.numbers.with_scores({path: float(s[i]) for path, s in scores.items()})
        single = matrices(build(one.plan, alone, 6))
        assert many.K[i] == pytest.approx(single.K, rel=1e-9, abs=1e-6 * abs(single.K).max())


def test_a_seat_is_held_at_one_station():
    assert PRESETS["seat", "cushion"].mounts == ONE
    assert mountings_of("payload") == ("rigid",)
