"""The command `try`: a damper in hand."""

import json
from pathlib import Path

import numpy as np
import pytest

from counterbounce.app import hand
from counterbounce.app.cli import run
from counterbounce.app.damper_options import damper_of
from counterbounce.model.case import load
from counterbounce.model.faults import CounterbounceError
from counterbounce.sizing.absorber import Damper, tuned
from counterbounce.sizing.before_after import compare
from counterbounce.sizing.in_hand import try_damper
from counterbounce.sizing.limits import left_anywhere
from counterbounce.sizing.verdict import Outcome

EXAMPLES = Path(__file__).parents[2] / "examples"
TRUCK = EXAMPLES / "engineer" / "box_truck.toml"


@pytest.fixture(scope="module")
def truck():
    return load(TRUCK)


def tried(case, *damper):
    return try_damper(case, tuned(*damper))


def test_the_best_damper_in_hand_is_the_best(truck):
    best = tried(truck, "rear end", 40.0, 9.0, 0.06).best
    again = try_damper(truck, best.damper)
    assert again.verdict.outcome is Outcome.HELPS
    assert again.assessment.sized.comparison.reduction == pytest.approx(best.reduction, abs=1e-6)


def test_it_is_judged_as_it_is(truck):
    """The level with it on, by assembling it and sweeping."""
    one = tried(truck, "rear crossmember", 20.0, 7.1, 0.08)
    host = one.assessment.host
    speeds = np.linspace(*host.target.band, 33)
    c = compare(host.vehicle, one.hung, host.causes, speeds, host.target.band)
    # the answer looks between these speeds too
    assert one.assessment.sized.comparison.reduction == pytest.approx(c.reduction, abs=1e-3)


@pytest.mark.parametrize(
    ("damper", "outcome"),
    [
        (("rear crossmember", 20.0, 7.1, 0.08), Outcome.WRONG_FREQUENCY),
        (("rear end", 40.0, 9.03, 0.055), Outcome.HELPS),
        (("powertrain", 5.0, 9.5, 0.05), Outcome.TOO_LITTLE_MASS),
        (("axle.rear", 25.0, 9.5, 0.1), Outcome.WRONG_FREQUENCY),
        (("rear end", 4600.0, 9.0, 0.1), Outcome.RATINGS),
    ],
    ids=["detuned", "well tuned", "too light", "on the axle", "over the rating"],
)
def test_each_has_its_answer(truck, damper, outcome):
    one = tried(truck, *damper)
    if damper[0] == "powertrain":  # nothing of that weight helps there, and elsewhere it would
        assert one.verdict.outcome in (outcome, Outcome.WRONG_PLACE)
    elif damper[0] == "axle.rear":  # the verdict follows from the two numbers that it quotes
        worth, reduction = truck.limits.worth, one.assessment.sized.comparison.reduction
        assert (one.verdict.outcome is Outcome.HELPS) == (reduction >= worth)
    else:
        assert one.verdict.outcome is outcome


def test_what_is_in_hand_is_never_better_than_retuned_at_its_place(truck):
    """A level that it raises elsewhere counts as one that it leaves in the band."""
    for ratio in (0.02, 0.1, 0.3):
        one = tried(truck, "rear end", 20.0, 9.5, ratio)
        found = one.assessment.sized.comparison
        outside = ~found.inside
        left = left_anywhere(found.largest(found.after), found.after[outside], found.before[outside])
        assert 1 - left / found.largest(found.before) <= one.retuned.reduction + 2e-3


def test_a_damper_that_hits_its_stops(truck):
    soft = try_damper(truck, Damper("rear end", 40.0, 40.0 * (2 * np.pi * 9.0) ** 2, 2.0))
    assert soft.assessment.sized.found.stroke > 0.002
    tight = load(TRUCK)
    text = TRUCK.read_text().replace('stroke = "12 mm"', 'stroke = "2 mm"')
    from counterbounce.model.case import parse

    one = try_damper(parse(text), soft.hung)
    assert tight.limits.stroke == 0.012
    assert one.verdict.outcome is Outcome.STROKE


def test_an_unknown_place_is_refused(truck):
    with pytest.raises(KeyError, match="rear crossmember"):
        tried(truck, "rear crosmember", 20.0, 9.0, 0.1)


# --- the options -----------------------------------------------------------------------------------------


def test_three_ways_to_say_one_damper(truck):
    by_frequency = {"mass": "20 kg", "tuned": "7.1 Hz", "damping": "8 %"}
    one = damper_of(truck, "rear end", by_frequency)
    k, c = one.stiffness, one.damping
    assert one.tuned_hz == pytest.approx(7.1)
    assert one.damping_ratio == pytest.approx(0.08)
    by_rate = {"mass": "20 kg", "stiffness": f"{k:.6f} N/m", "dashpot": f"{c:.6f} N*s/m"}
    by_sag = {"mass": "20 kg", "sag": f"{20 * 9.80665 / k * 1e3:.9f} mm", "damping": "8 %"}
    for way in (by_rate, by_sag):
        other = damper_of(truck, "rear end", way)
        assert (other.stiffness, other.damping) == pytest.approx((k, c), rel=1e-6)


def test_every_fault_of_the_options_at_once(truck):
    written = {"mass": "20", "tuned": "7.1 N", "sag": "3 mm", "damping": None, "dashpot": None}
    with pytest.raises(CounterbounceError) as found:
        damper_of(truck, "rear crosmember", written)
    keys = [fault.key for fault in found.value.faults]
    assert keys == ["--tuned --sag", "", "--mass", "--tuned", "--at"]
    assert "--damping, --dashpot" in str(found.value.faults[1])
    assert found.value.faults[-1].near == "rear crossmember"


def test_the_command(capsys, tmp_path):
    words = [
        "try",
        str(TRUCK),
        "--mass",
        "20 kg",
        "--tuned",
        "7.1 Hz",
        "--damping",
        "8 %",
        "--at",
        "rear end",
    ]
    assert run([*words, "--json", "--out", str(tmp_path / "r")]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["verdict"]["outcome"] == "wrong_frequency"
    assert told["damper"]["tuned_hz"] == pytest.approx(7.1)
    assert told["in_hand"]["best"]["reduction"] > told["in_hand"]["retuned"]["reduction"] > 0.5
    assert "The damper in hand" in (tmp_path / "r" / "report.html").read_text()
    assert run(words) == 0
    shown = capsys.readouterr().out
    assert "the same, retuned" in shown
    assert "as ballast" in shown
    assert run([*words[:-1], "nowhere"]) == 2
    assert "--at" in capsys.readouterr().err


def test_the_papers_come_as_a_pdf_too(capsys, tmp_path, monkeypatch):
    words = [
        "try",
        str(TRUCK),
        "--mass",
        "40 kg",
        "--tuned",
        "9 Hz",
        "--damping",
        "5.5 %",
        "--at",
        "rear end",
    ]
    folder = tmp_path / "r"
    assert run([*words, "--pdf", "--out", str(folder)]) == 0
    assert "papers.pdf" in capsys.readouterr().out
    assert (folder / "papers.pdf").read_bytes().startswith(b"%PDF")
    assert 'href="papers.pdf"' in (folder / "report.html").read_text(encoding="utf-8")
    monkeypatch.setattr("counterbounce.sizing.in_hand.try_damper", lambda *_: 1 / 0)  # said before the work
    assert run([*words, "--pdf"]) == 2
    assert "--out FOLDER" in capsys.readouterr().err
    monkeypatch.setattr("counterbounce.app.pdf.find_spec", lambda name: None)
    assert run([*words, "--pdf", "--out", str(tmp_path / "none")]) == 2
    assert "Typst" in capsys.readouterr().err
    assert not (tmp_path / "none").exists()


def test_an_unsafe_vehicle_gets_no_judgement(truck):
    from counterbounce.model.case import parse

    text = TRUCK.read_text().replace('direction = "vertical"', 'direction = "steering"')
    one = try_damper(parse(text), tuned("rear end", 40.0, 9.0, 0.06))
    assert one.verdict.outcome is Outcome.INSPECT_FIRST
    assert one.assessment.sized is None
    assert hand.hands_table(one).rows == ()
