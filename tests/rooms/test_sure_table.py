"""How surely, as tables: what stands there is what the survey found."""

from dataclasses import replace

import numpy as np

from counterbounce.app.answer import answer
from counterbounce.app.sure_table import SHOWN, decides_table, shifts_table, sure_table
from counterbounce.app.tables import percent


def test_the_table_gives_best_estimate_and_interval(assessed):
    a = assessed("truck")
    rows = {row[0]: row[1:] for row in sure_table(a).rows}
    low, high = a.survey.interval(a.survey.reduction)
    assert rows["the damper lowers it by"] == (
        percent(a.sized.comparison.reduction),
        f"{percent(low)} to {percent(high)}",
    )
    assert rows["tuned anew on the vehicle, by"][0] == "–"
    best = a.host.target.critical
    assert rows[f"{best.mode_name}, frequency"][0] == a.case.display.show(best.frequency, "frequency")


def test_without_a_damper_there_is_nothing_to_be_sure_of(assessed):
    a = assessed("shimmy")
    assert a.survey is None
    assert sure_table(a).rows == decides_table(a).rows == shifts_table(a).rows == ()
    assert answer(a)["plausible"] is None


def test_what_decides_comes_largest_first(assessed):
    a = assessed("truck")
    shares = [float(row[1].split()[0]) for row in decides_table(a).rows]
    assert 0 < len(shares) <= SHOWN
    assert shares == sorted(shares, reverse=True)
    assert all(row[2] for row in decides_table(a).rows)


def test_a_number_that_agreement_moves_is_told(assessed):
    a = assessed("truck")
    pulled = np.exp(2 * a.survey.scores[:, 0])
    found = shifts_table(replace(a, survey=replace(a.survey, agreement=pulled))).rows
    assert found[0][1].startswith("+")
    pushed = np.exp(-2 * a.survey.scores[:, 0])
    assert shifts_table(replace(a, survey=replace(a.survey, agreement=pushed))).rows[0][1].startswith("−")


def test_json_says_the_same(assessed):
    a = assessed("truck")
    told = answer(a)["plausible"]
    assert told["vehicles"] == len(a.survey.before)
    assert told["reduction_interval"] == [float(f"{x:.9g}") for x in a.survey.interval(a.survey.reduction)]
    assert 0 <= told["share_helped"] <= 1
    assert 0 < told["share_error"] < 0.1
    assert told["decides"][0]["share"] >= told["decides"][-1]["share"] > 0.02
