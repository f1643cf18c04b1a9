"""What a notebook shows: escaped, short, and with the numbers in it."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from counterbounce.model.example import small_case, small_truck
from counterbounce.model.modes import modes
from counterbounce.model.notebook import MOST_ROWS, shown_as_html
from counterbounce.sizing.absorber import Damper
from counterbounce.sizing.assess import assess

NASTY = '<b>"Truck" & co</b>'


@pytest.fixture(scope="module")
def found():
    one = small_case()
    return assess(replace(one, name=NASTY, note=f"{NASTY} again"))


def cells(html):
    """What stands in each row; fails where the page is no well-formed XML."""
    tree = ElementTree.fromstring(f"<div>{html}</div>")
    return [["".join(cell.itertext()) for cell in row] for row in tree.iter("tr")]


def test_it_escapes():
    html = shown_as_html(NASTY, [NASTY], [[NASTY, NASTY]], NASTY)
    assert "<b>" not in html
    assert cells(html) == [[NASTY], [NASTY, NASTY]]
    assert html.count("&lt;b&gt;") == 5


def test_it_stays_short():
    html = shown_as_html("long", ("i",), [[i] for i in range(MOST_ROWS + 7)])
    assert len(cells(html)) == 1 + MOST_ROWS
    assert "7 more rows" in html
    assert "more rows" not in shown_as_html("short", (), [[1]])


def test_every_result_has_a_table_that_is_escaped(found):
    results = [found, found.case, found.host.modes, found.host.sweep, found.sized.found.damper]
    for one in results:
        assert cells(one._repr_html_())
    for one in (found, found.case):
        html = one._repr_html_()
        assert "<b>" not in html
        assert "&lt;b&gt;" in html
    hung = Damper(NASTY, 20.0, 4e4, 100.0)
    assert ["hangs at", NASTY] in cells(hung._repr_html_())


def test_modes_show_their_numbers(found):
    m = found.host.modes
    head, *rows = cells(m._repr_html_())
    assert head[:2] == ["mode", "frequency [Hz]"]
    assert [row[0] for row in rows] == list(m.names)
    assert [float(row[1]) for row in rows] == pytest.approx(m.frequency_hz, abs=6e-4)
    assert [float(row[2]) for row in rows] == pytest.approx(m.damping_ratio, abs=6e-5)
    for i, row in enumerate(rows):
        assert m.energy[row[3]][i] == max(share[i] for share in m.energy.values())


def test_modes_of_a_free_vehicle_have_no_part_to_name():
    """Without a spring there is nobody to name."""
    m = replace(modes(small_truck()), energy={})
    assert [row[3] for row in cells(m._repr_html_())[1:]] == [""] * 4


def test_a_damper_shows_its_numbers(found):
    hung = found.sized.found.damper
    shown = dict(cells(hung._repr_html_()))
    assert float(shown["mass [kg]"]) == pytest.approx(hung.mass, abs=0.006)
    assert float(shown["tuned to [Hz]"]) == pytest.approx(hung.tuned_hz, abs=6e-4)
    assert float(shown["damping ratio [-]"]) == pytest.approx(hung.damping_ratio, abs=6e-5)
    assert float(shown["stiffness [N/m]"]) == pytest.approx(hung.stiffness, rel=1e-4)
    assert float(shown["damping [N s/m]"]) == pytest.approx(hung.damping, rel=1e-3)
    assert float(shown["static sag [mm]"]) == pytest.approx(1e3 * hung.static_sag, abs=0.006)


def test_a_sweep_shows_each_points_worst(found):
    sweep = found.host.sweep
    for p, row in zip(sweep.points, cells(sweep._repr_html_())[1:], strict=True):
        n = sweep.points.index(p)
        assert row[0] == p.name
        assert float(row[2]) == pytest.approx(sweep.total()[:, n].max(), rel=6e-3)
        most = sweep.total()[:, n].argmax()
        assert float(row[1]) == pytest.approx(sweep.speeds[most], rel=6e-3)
        assert float(row[3]) == pytest.approx(sweep.total_worst()[most, n], rel=6e-3)


def test_an_assessment_answers(found):
    shown = dict(cells(found._repr_html_()))
    assert shown["answer"] == "helps"
    assert shown["because"] == found.verdict.sentence
    assert shown["next"] == found.verdict.next_step
    assert shown["before driving"] == found.cautions[0]
    effect = found.sized.comparison
    for key, value in {
        "shake falls by": effect.reduction,
        "as plain ballast by": effect.ballast_reduction,
    }.items():
        assert float(shown[key].rstrip("%").replace("−", "-")) == pytest.approx(100 * value, abs=0.51)
    assert re.match(rf"{found.sized.found.damper.mass:.1f} kg at rear end", shown["damper"])


def test_ballast_that_makes_it_worse_says_so(found):
    effect = found.sized.comparison
    worse = replace(found.sized, comparison=replace(effect, ballast=1.5 * effect.before))
    assert dict(cells(replace(found, sized=worse)._repr_html_()))["as plain ballast by"] == "−50%"


def test_an_assessment_without_a_damper_shows_none(assessed):
    assert "damper" not in dict(cells(assessed("silent")._repr_html_()))


def test_a_case_shows_its_units(assessed):
    shown = dict(cells(assessed("quarter").case._repr_html_()))
    assert shown["looked at"] == "20.0 mph to 75.0 mph"
    assert dict(cells(assessed("truck").case._repr_html_()))["complained of"] == "60.0 km/h to 75.0 km/h"
