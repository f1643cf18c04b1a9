"""Pictures: what is drawn is what was found, the same bytes twice, letters stay letters."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.text import Text

from counterbounce.app.figures import HUE, INK, SECOND, inline, png, svg
from counterbounce.app.pictures import drawings, mode_shapes, response
from counterbounce.app.shapes import outline, shown_modes, side_view
from counterbounce.app.speed_map import critical_speed_map
from counterbounce.app.tables import MOST_CRITICAL

SMALLEST = 9.0  # [pt] letters


def texts(figure):
    return [t for t in figure.findobj(Text) if t.get_text().strip() and t.get_visible()]


def lines_of(axes, label):
    return [line for line in axes.lines if line.get_label() == label]


def test_the_map_draws_every_input_at_its_frequency(assessed):
    found = assessed("truck")
    (axes,) = critical_speed_map(found).axes
    low, high = (v * 3.6 for v in found.case.speeds)
    assert axes.get_xlim() == pytest.approx((low, high))
    drawn = 0
    for cause in found.host.causes:
        for line in lines_of(axes, cause.name):
            speeds, frequencies = (np.asarray(v) for v in line.get_data())
            assert frequencies == pytest.approx(cause.per_metre * speeds / 3.6)
            assert frequencies.max() <= 25 + 1e-9
            drawn += 1
    assert drawn == sum(cause.per_metre * found.case.speeds[0] < 25 for cause in found.host.causes) > 8


def test_the_map_draws_every_critical_speed_with_its_level(assessed):
    found = assessed("truck")
    (axes,) = critical_speed_map(found).axes
    known = [c for c in found.host.critical if c.typical]
    single = [d for d in axes.collections if len(d.get_offsets()) == 1]
    dots = [(*d.get_offsets()[0], d.get_sizes()[0]) for d in single]
    largest = max(c.typical for c in known)
    assert len(dots) == len(known) > 10
    for c in known:
        area = max(420.0 * c.typical / largest, 9.0)  # area goes with level, and nothing vanishes
        wanted = (c.speed * 3.6, c.cause.per_metre * c.speed, area)
        assert any(np.allclose(dot, wanted, rtol=1e-9) for dot in dots)


def test_the_map_numbers_the_worst_as_the_table_does(assessed):
    found = assessed("truck")
    (axes,) = critical_speed_map(found).axes
    places = {t.get_text(): t.xy for t in axes.texts if t.get_text().isdigit()}
    listed = [(n, c) for n, c in enumerate(found.host.critical[:MOST_CRITICAL], 1) if c.typical]
    assert set(places) == {str(n) for n, _ in listed}
    for n, c in listed:
        assert places[str(n)] == pytest.approx((c.speed * 3.6, c.cause.per_metre * c.speed))


def test_the_map_draws_each_mode_with_its_interval(assessed):
    found = assessed("truck")
    (axes,) = critical_speed_map(found).axes
    heights = [line.get_ydata()[0] for line in axes.lines if len(set(line.get_ydata())) == 1]
    bands = [p.get_extents().transformed(axes.transData.inverted()) for p in axes.patches]
    for i, frequency in enumerate(found.host.modes.frequency_hz):
        if frequency <= 25:
            assert min(abs(np.array(heights) - frequency)) < 1e-9
            factor = np.exp(found.host.spread[i])
            wanted = frequency / factor, frequency * factor
            assert any(np.allclose((b.y0, b.y1), wanted, rtol=1e-6) for b in bands)


def test_the_complaint_is_shaded_in_the_users_unit(assessed):
    found = assessed("truck")
    for figure in (critical_speed_map(found), response(found)):
        shaded = [p for axes in figure.axes for p in axes.patches if p.get_hatch()]
        assert len(shaded) == len(figure.axes)
        for patch in shaded:
            assert (patch.get_x(), patch.get_x() + patch.get_width()) == pytest.approx((60.0, 75.0))


def test_the_response_is_the_comparison(assessed):
    found = assessed("truck")
    c, panels = found.sized.comparison, response(found).axes
    assert len(panels) == len(c.points) == 2
    for p, axes in enumerate(panels):
        for label, levels in (
            ("before", c.before),
            ("with the damper", c.after),
            ("with the same weight as ballast", c.ballast),
        ):
            (line,) = lines_of(axes, label)
            assert line.get_xdata() == pytest.approx(c.speeds * 3.6)
            assert line.get_ydata() == pytest.approx(levels[:, p])
        assert axes.get_ylim()[0] == 0
        assert axes.get_ylim()[1] > max(c.before[:, p].max(), c.after[:, p].max())


def test_without_a_damper_the_response_is_the_vehicle_as_it_is(assessed):
    found = assessed("shimmy")
    axes = response(found).axes[0]
    (line,) = lines_of(axes, "as it is")
    assert line.get_ydata() == pytest.approx(found.host.sweep.total()[:, 0])


def test_the_users_unit_is_on_the_axes(assessed):
    assert "speed, mph" in [axes.get_xlabel() for axes in response(assessed("quarter")).axes]
    assert critical_speed_map(assessed("quarter")).axes[0].get_xlabel() == "speed, mph"


@pytest.mark.parametrize("name", ["truck", "silent", "quarter"])
def test_shapes_are_the_modes(assessed, name):
    """The largest motion points up and fills the drawing; all others stand to it as in the mode."""
    found = assessed(name)
    for mode in shown_modes(found):
        view = side_view(found, mode)
        moves = [*view.rise, *(w.rise for w in view.wheels), *(b.rise for b in view.boxes)]
        assert max(moves, key=abs) == pytest.approx(0.34)
        rows = [found.host.vehicle.frame.row(x) for x in view.stations]
        shape = np.array([found.host.modes.shape_at(row)[mode] for row in rows])
        hubs = [found.host.modes.shape_at({f"axle.{w.name}": 1.0})[mode] for w in view.wheels]
        scale = view.rise[-1] / shape[-1]
        assert view.rise == pytest.approx(shape * scale, abs=1e-9)
        assert [w.rise for w in view.wheels] == pytest.approx([h * scale for h in hubs], abs=1e-9)


def test_shapes_are_drawn_where_they_are(assessed):
    found = assessed("truck")
    figure = mode_shapes(found)
    for axes, mode in zip(figure.axes, shown_modes(found), strict=False):
        moved = outline(side_view(found, mode), 1.0)
        frames = [line.get_ydata() for line in axes.lines if line.get_label() == "frame"]
        assert any(len(f) == len(moved.frame[1]) and np.allclose(f, moved.frame[1]) for f in frames)
        assert found.host.modes.names[mode].lower() in axes.get_title(loc="left").lower()
        assert f"{found.host.modes.frequency_hz[mode]:.2f} Hz" in axes.get_title(loc="left")


def test_a_rotating_body_leans_as_its_carrier_does(assessed):
    """Rigid on the frame: its foot follows the frame's slope, and its corners stay as far apart."""
    found = assessed("truck")
    view = side_view(found, shown_modes(found)[1])
    box = next(b for b in view.boxes if b.name == "crane & <winch>")
    slope = (np.interp(5.01, view.stations, view.rise) - np.interp(4.99, view.stations, view.rise)) / 0.02
    assert box.slope == pytest.approx(slope, rel=2e-3, abs=1e-6)  # straight lines between 61 stations
    assert box.rise == pytest.approx(np.interp(5.0, view.stations, view.rise), rel=1e-3)


@pytest.mark.parametrize("name", ["truck", "shimmy", "silent", "unheard", "quarter"])
def test_every_picture_can_be_drawn_and_is_the_same_bytes_twice(assessed, name):
    for draw in drawings(assessed(name)).values():
        one, two = draw(), draw()
        assert svg(one) == svg(two)
        assert png(one) == png(two)
        assert png(one).startswith(b"\x89PNG")


def test_letters_stay_letters_and_are_large_enough(assessed):
    for name, draw in drawings(assessed("truck")).items():
        figure = draw()
        assert min(t.get_fontsize() for t in texts(figure)) >= SMALLEST, name
        words = " ".join(ET.fromstring(svg(figure)).itertext())
        titles = [axes.get_title(loc="left") for axes in figure.axes] + [
            axes.get_xlabel() for axes in figure.axes
        ]
        notes = [t.get_text() for axes in figure.axes for t in axes.texts]
        lines = [line for text in titles + notes for line in text.splitlines()]
        assert len(lines) > 3
        assert [line for line in lines if line not in words] == []


def test_no_date_no_program_and_nothing_to_fetch(assessed):
    text = svg(response(assessed("truck")))
    assert "Matplotlib" not in text
    assert not re.search(r"\b20\d\d-\d\d-\d\d", text)
    assert not re.search(r'(?:href|src)="(?!#)', text)


def test_lines_differ_by_dash_and_by_grey(assessed):
    lines = response(assessed("truck")).axes[0].lines[:3]
    assert len({str(line._unscaled_dash_pattern) for line in lines}) == 3
    grey = sorted(np.dot((0.2126, 0.7152, 0.0722), to_rgb(c)) for c in (INK, HUE, SECOND))
    assert min(np.diff(grey)) > 0.02


def test_ids_of_two_pictures_on_one_page_do_not_meet(assessed):
    pages = [inline(svg(draw()), name, "x") for name, draw in drawings(assessed("truck")).items()]
    ids = [found for page in pages for found in re.findall(r'\bid="([^"]+)"', page)]
    assert len(ids) == len(set(ids)) > 100
    for page in pages:
        own = set(re.findall(r'\bid="([^"]+)"', page))
        assert set(re.findall(r'(?:href="#|url\(#)([^")]+)', page)) <= own
