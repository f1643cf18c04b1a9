"""The command `compare`: two vehicles side by side."""

import json
from pathlib import Path

import numpy as np
import pytest

from counterbounce.app import beside
from counterbounce.app.cli import run
from counterbounce.model.case import load, parse
from counterbounce.sizing.side_by_side import modal_assurance, side_by_side

EXAMPLES = Path(__file__).parents[2] / "examples"
BEFORE, AFTER = (EXAMPLES / "upfitter" / f"{name}.toml" for name in ("chassis_cab", "service_body"))


@pytest.fixture(scope="module")
def bodied():
    return side_by_side(load(BEFORE), load(AFTER))


def test_a_vehicle_beside_itself_is_itself():
    found = side_by_side(load(AFTER), load(AFTER))
    assert all(p.first == p.second for p in found.pairs)
    assert [p.likeness for p in found.pairs] == pytest.approx([1.0] * len(found.pairs))
    assert all(c.first.speed == c.second.speed for c in found.critical)
    reductions = (found.kept.assessment.sized.comparison.reduction, found.first.sized.comparison.reduction)
    assert reductions[0] == pytest.approx(reductions[1], abs=1e-9)


def test_modes_keep_their_partner_when_frequencies_cross():
    """A stiffer cab mount moves the cab past the axles: it is still the cab."""
    text = BEFORE.read_text()
    found = side_by_side(parse(text), parse(text.replace("1.2 MN/m", "2.2 MN/m")))
    names = [h.modes.names for h in (found.first.host, found.second.host)]
    for pair in found.pairs:
        if pair.first is not None and pair.second is not None and "hop" in names[0][pair.first]:
            assert names[1][pair.second].endswith(names[0][pair.first])  # it may take bending along


def test_the_body_lowers_bending_and_its_critical_speeds(bodied):
    one, other = bodied.first.host.modes, bodied.second.host.modes
    bending = next(p for p in bodied.pairs if p.first is not None and one.names[p.first] == "frame bending 1")
    assert other.frequency_hz[bending.second] < one.frequency_hz[bending.first]
    met = [c for c in bodied.critical if c.first and c.second and c.first.mode == bending.first]
    assert met
    assert all(c.second.speed < c.first.speed for c in met)


def test_modes_without_a_partner_stand_alone(bodied):
    """The body's own mounts bring modes that the bare chassis has not."""
    assert any(p.first is None for p in bodied.pairs)
    seconds = [p.second for p in bodied.pairs if p.second is not None]
    assert len(seconds) == len(set(seconds))


def test_every_critical_speed_appears_once(bodied):
    firsts = [c.first for c in bodied.critical if c.first]
    seconds = [c.second for c in bodied.critical if c.second]
    assert len(firsts) == len(bodied.first.host.critical)
    assert len(seconds) == len(bodied.second.host.critical)


def test_modal_assurance_against_its_definition():
    draw = np.random.default_rng(3)
    a, b = draw.normal(size=(5, 3)), draw.normal(size=(5, 2))
    found = modal_assurance(a, b)
    for i in range(3):
        for j in range(2):
            assert found[i, j] == pytest.approx(
                (a[:, i] @ b[:, j]) ** 2 / (a[:, i] @ a[:, i]) / (b[:, j] @ b[:, j])
            )


def test_a_quarter_vehicle_beside_a_half(capsys):
    cases = Path(__file__).parents[1] / "cases"
    assert run(["compare", str(cases / "b7_large_saloon.toml"), str(AFTER), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["first"]["model"]["kind"] == "quarter"


def test_the_command(capsys):
    assert run(["compare", str(BEFORE), str(AFTER)]) == 0
    shown = capsys.readouterr().out
    for words in (
        "frame bending 1, 10.4",
        "frame bending 1, 9.00",
        "after, with the old damper",
        "1625 kg",
    ):
        assert words in shown
    assert run(["compare", str(BEFORE), str(AFTER), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert {"first", "second", "mode_pairs", "critical_pairs", "old_damper"} <= set(told)
    assert run(["compare", str(BEFORE), "nowhere.toml"]) == 2


def test_an_exceeded_rating_is_said(bodied):
    text = AFTER.read_text().replace('rating = "3600 kg', 'rating = "2000 kg')
    found = side_by_side(load(BEFORE), parse(text))
    assert "rear axle rating" in beside.loads_table(found).note
    assert "No rating" in beside.loads_table(bodied).note
