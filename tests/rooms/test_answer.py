"""What `assess --json` prints: complete, finite, in SI, the same bytes twice."""

from __future__ import annotations

import hashlib
import json
import math
import os
import subprocess
import sys

import numpy as np
import pytest

from counterbounce.app.answer import answer, mass_ratio, to_json
from counterbounce.app.told import plain
from counterbounce.model.case import parse
from counterbounce.model.matrices import matrices
from counterbounce.model.points import dense
from counterbounce.sizing.absorber import with_damper
from counterbounce.sizing.assess import assess

TOP = {
    "run", "case", "verdict", "model", "modes", "critical_speeds", "target", "narrow_most",
    "effective_mass_kg", "bounds",
    "damper", "prediction", "axle_loads_kg", "ratings", "beside", "cautions", "numbers",
    "checks", "still_open", "observations", "next_test", "measure_next", "split", "amplitude", "noticed",
    "plausible",
}  # fmt: skip


def leaves(value):
    if isinstance(value, dict):
        for item in value.values():
            yield from leaves(item)
    elif isinstance(value, list):
        for item in value:
            yield from leaves(item)
    else:
        yield value


def test_every_answer_is_json_of_plain_and_finite_values(any_assessment):
    told = answer(any_assessment)
    assert set(told) == TOP
    found = list(leaves(told))
    assert {type(v) for v in found} <= {str, int, float, bool, type(None)}
    assert all(math.isfinite(v) for v in found if isinstance(v, float))
    assert json.loads(to_json(any_assessment)) == told


def test_the_same_bytes_from_another_process(assessed, case_texts, tmp_path):
    """Another process has other hashes of text, so that an order that hangs on a set would show."""
    file = tmp_path / "truck.toml"
    file.write_text(case_texts["truck"], encoding="utf-8")
    command = [
        sys.executable,
        "-c",
        "from counterbounce.app.cli import main; main()",
        "assess",
        str(file),
        "--json",
    ]
    environment = os.environ | {"PYTHONHASHSEED": "4", "OPENBLAS_NUM_THREADS": "1"}
    one = subprocess.run(command, capture_output=True, check=True, env=environment).stdout
    two = subprocess.run(
        command, capture_output=True, check=True, env=environment | {"PYTHONHASHSEED": "5"}
    ).stdout
    assert one == two
    assert json.loads(one)["verdict"] == answer(assessed("truck"))["verdict"]


def test_what_is_not_finite_becomes_null():
    told = plain(
        {"a": [np.nan, np.float64(-np.inf), np.int64(3)], "b": np.array([[1 / 3]]), "c": (True, np.False_)}
    )
    assert told == {"a": [None, None, 3], "b": [[0.333333333]], "c": [True, False]}
    assert type(told["a"][2]) is int
    assert type(told["c"][1]) is bool


def test_modes_are_the_poles_of_the_vehicle(assessed):
    """A second way: the eigenvalues of the state matrix."""
    found = assessed("truck")
    system = matrices(found.host.vehicle)
    n = len(system.coordinates)
    state = np.block([
        [np.zeros((n, n)), np.eye(n)],
        [-np.linalg.solve(system.M, system.K), -np.linalg.solve(system.M, system.C)],
    ])  # fmt: skip
    poles = np.linalg.eigvals(state)
    upper = sorted(poles[poles.imag > 0], key=abs)
    modes = answer(found)["modes"]
    below = [m for m in modes if m["damping_ratio"] < 1 and m["frequency_hz"] < 25]
    assert len(below) >= 6
    free = np.sort(np.sqrt(np.linalg.eigvals(np.linalg.solve(system.M, system.K)).real)) / (2 * np.pi)
    assert [m["undamped_hz"] for m in modes] == pytest.approx(free, rel=1e-6)
    for mode in below:
        pole = min(upper, key=lambda p: abs(abs(p) / (2 * np.pi) - mode["frequency_hz"]))
        assert mode["frequency_hz"] == pytest.approx(abs(pole) / (2 * np.pi), rel=1e-7)
        assert mode["damping_ratio"] == pytest.approx(-pole.real / abs(pole), rel=1e-6)


def test_shares_sum_to_one_and_intervals_hold_their_mode(any_assessment):
    for mode in answer(any_assessment)["modes"]:
        for kind in ("energy", "shares"):
            assert sum(mode[kind].values()) == pytest.approx(1.0, abs=1e-6)
        low, high = mode["frequency_interval_hz"]
        assert low <= mode["frequency_hz"] <= high


def test_a_critical_speed_meets_its_mode(assessed):
    """f = cycles per metre * v, so that v = f * circumference / order, or f * spacing / harmonic."""
    told = answer(assessed("truck"))
    around = {"wheel": 2.471415, "joints": 4.572}  # 3.05 times the diameter of the tyre; 15 ft
    listed = [c for c in told["critical_speeds"] if c["kind"] in around]
    assert {c["kind"] for c in listed} == set(around)
    for c in listed:
        assert c["coincidence_speed_m_s"] == pytest.approx(
            c["frequency_hz"] * around[c["kind"]] / c["order"], rel=1e-6
        )
        assert c["mode"] == told["modes"][c["mode_index"]]["name"]
    levels = [c["typical_m_s2"] for c in told["critical_speeds"]]
    known = [v for v in levels if v is not None]
    assert levels[: len(known)] == known
    assert {c["assumed_input"] for c in listed if c["kind"] == "wheel"} == {True}
    assert all(c["beat_period_s"] is None for c in listed if c["kind"] == "joints")


def test_a_driveline_has_frequencies_and_no_levels(assessed):
    found = [c for c in answer(assessed("truck"))["critical_speeds"] if c["kind"] in ("propshaft", "engine")]
    assert found
    assert {(c["typical_m_s2"], c["worst_m_s2"], c["assumed_input"]) for c in found} == {(None, None, False)}


def test_the_damper_is_its_own_numbers(assessed):
    found = assessed("truck")
    told = answer(found)["damper"]
    omega = 2 * math.pi * told["tuned_hz"]
    assert told["stiffness_n_m"] == pytest.approx(told["mass_kg"] * omega**2, rel=1e-6)
    assert told["damping_n_s_m"] == pytest.approx(
        2 * told["damping_ratio"] * told["mass_kg"] * omega, rel=1e-6
    )
    assert told["static_sag_m"] == pytest.approx(9.80665 / omega**2, rel=1e-6)
    assert told["limits_used"]["mass"] == pytest.approx(told["mass_kg"] / 40.0)
    assert told["limits_used"]["clearance"] == pytest.approx(
        (told["stroke_m"] + told["static_sag_m"]) / 0.060
    )
    assert told["limits_used"]["stroke"] is None


def test_the_mass_ratio_is_what_lowers_the_host(assessed):
    """Rayleigh: a small mass bolted down lowers ln f by half its mass ratio; eigenvalues agree."""
    found = assessed("truck")
    hung, mode = found.sized.found.damper, found.host.target.critical.mode
    system, little = matrices(found.host.vehicle), 1e-3 * hung.mass
    row = dense([found.host.vehicle.points[hung.place].row], system.coordinates)[0]

    def undamped(m):
        return np.sqrt(np.sort(np.linalg.eigvals(np.linalg.solve(m, system.K)).real))[mode]

    lowered = -np.log(undamped(system.M + little * np.outer(row, row)) / undamped(system.M))
    assert 2 * lowered / 1e-3 == pytest.approx(mass_ratio(found, hung), rel=1e-2)  # first order in the mass


def test_effective_masses_stand_for_every_place_and_mode(assessed):
    told = answer(assessed("truck"))
    assert set(told["effective_mass_kg"]) == set(told["bounds"]["places"])
    assert {len(v) for v in told["effective_mass_kg"].values()} == {len(told["modes"])}
    assert told["damper"]["place"] in told["effective_mass_kg"]


def test_the_damper_is_weighed(assessed):
    told = answer(assessed("truck"))
    before, after = (sum(told["axle_loads_kg"][k].values()) for k in ("before", "after"))
    assert after - before == pytest.approx(told["damper"]["mass_kg"], rel=1e-6)
    heavier = with_damper(assessed("truck").host.vehicle, assessed("truck").sized.found.damper).total_mass
    assert heavier - told["model"]["mass_kg"] == pytest.approx(told["damper"]["mass_kg"], rel=1e-6)


def test_the_prediction_is_the_fall_that_it_says(assessed):
    told = answer(assessed("truck"))["prediction"]
    assert told["reduction"] == pytest.approx(1 - told["after_m_s2"] / told["before_m_s2"], rel=1e-6)
    assert told["ballast_reduction"] == pytest.approx(
        1 - told["ballast_m_s2"] / told["before_m_s2"], abs=1e-6
    )
    assert told["band_m_s"] == pytest.approx([60 / 3.6, 75 / 3.6])
    assert (told["point"], told["direction"], told["weighting"]) == ("driver's floor", "vertical", "Wk")


def test_what_was_not_sized_is_null(assessed):
    for name in ("shimmy", "silent", "unheard"):
        told = answer(assessed(name))
        assert (told["damper"], told["prediction"], told["axle_loads_kg"]["after"]) == (None, None, None)
    assert answer(assessed("shimmy"))["verdict"]["outcome"] == "inspect_first"
    assert answer(assessed("silent"))["critical_speeds"] == []
    assert answer(assessed("silent"))["target"] is None
    assert answer(assessed("unheard"))["critical_speeds"][0]["typical_m_s2"] is None


def test_the_ledger_has_units_and_origins(any_assessment):
    told = answer(any_assessment)["numbers"]
    assert len(told) > 3
    assert {n["origin"] for n in told} <= {"measured", "published", "estimated", "assumed", "calibrated"}
    units = {n["path"].rpartition(".")[2]: n["unit"] for n in told}
    assert units["spring_rate"] == "N/m"
    assert units["damping"] == "N*s/m"
    pure = {path for path, unit in units.items() if unit == ""}
    assert pure <= {
        "loss_factor",
        "tyre_loss_factor",
        "tyres",
        "dynamic_index",
        "small_shake_factor",
        "damping_ratio",
    }


def test_the_run_can_be_repeated(assessed, case_texts):
    told = answer(assessed("truck"))["run"]
    assert told["case_sha256"] == hashlib.sha256(case_texts["truck"].encode()).hexdigest()
    assert told["case_file"] == "truck.toml"
    assert told["version"][0].isdigit()
    assert type(told["seed"]) is int
    again = to_json(assess(parse(case_texts["truck"], "elsewhere/truck.toml")))
    assert again == to_json(assessed("truck"))
