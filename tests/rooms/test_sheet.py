"""The equation sheet says what the matrices hold: its energies, its symbols, its words."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.matrices import matrices
from counterbounce.model.sheet import named, sheet, symbols


def substituted(symbolic, matrix):
    return np.array(matrix.subs(symbolic.values).evalf(), dtype=float)


@pytest.mark.parametrize("name", ["quarter", "cab and seat", "tandem", "soft bracket"])
def test_symbols_with_their_numbers_are_the_matrices(fleet, name):
    vehicle = fleet(name).vehicle
    symbolic, plain = symbols(vehicle), matrices(vehicle)
    assert symbolic.coordinates == plain.coordinates
    for letter in ("M", "C", "K"):
        numbers = getattr(plain, letter)
        close = 1e-9 * np.abs(numbers).max()  # rounding of sums in another order
        assert substituted(symbolic, getattr(symbolic, letter)) == pytest.approx(numbers, abs=close)


def test_a_quarter_vehicle_in_symbols_is_what_a_textbook_writes(fleet):
    """Two masses, two springs: K = [[k1, -k1], [-k1, k1 + k2]]; any text on vibration, from memory."""
    symbolic = symbols(fleet("quarter").vehicle)
    k = {str(s): s for s in symbolic.values}
    stiffness = symbolic.K.applyfunc(lambda entry: entry.nsimplify())
    spring, tyres = k["k_rear_spring"], k["k_rear_tyres"]
    assert stiffness.tolist() == [[spring, -spring], [-spring, spring + tyres]]


def test_every_part_has_a_line_and_the_frame_has_one_each(built):
    vehicle, found = built.vehicle, sheet(built.vehicle)
    for kind, group in (("mass", "kinetic"), ("spring", "strain"), ("damper", "dissipated")):
        parts = [p for p in vehicle.parts if p.kind == kind]
        along = {
            p.name for p in parts if vehicle.kind == "bending" and p.name in ("sprung mass", "frame bending")
        }
        single = [p for p in parts if p.name not in along]
        assert [t.name for t in found.group(group) if t.name not in along] == [p.name for p in single]
        assert [t.value for t in found.group(group) if t.name not in along] == [p.value for p in single]
        assert sorted(t.name for t in found.group(group) if t.name in along) == sorted(along)


def test_the_frame_is_two_integrals(fleet):
    vehicle = fleet("bending").vehicle
    terms = {t.name: t for g in ("kinetic", "strain") for t in sheet(vehicle).group(g)}
    assert terms["sprung mass"].text == "∫ 1/2 m(x) w'(x)² dx"
    assert terms["sprung mass"].value == pytest.approx(5200.0, rel=1e-9)  # the vehicle's sprung mass
    assert terms["frame bending"].text == "∫ 1/2 EI(x) w_xx(x)² dx"
    assert terms["frame bending"].value == pytest.approx(6e6, rel=1e-9)  # its bending stiffness


def test_no_row_is_left_in_generalised_coordinates(built):
    """A reader knows stations, bodies and axles; q_bend 3 means nothing to anyone."""
    assert "q_" not in "".join(term.text for term in sheet(built.vehicle).terms)


@pytest.mark.parametrize(
    "name",
    ["cab and seat", "rotating body", "tandem", "bending tandem", "arm beyond the end", "soft bracket"],
)
def test_each_line_squares_the_motion_of_its_part(fleet, name):
    """The motion that a line squares, worked out by its own words, against row . motion."""
    vehicle = fleet(name).vehicle
    chance = np.random.default_rng(7)
    motion = dict(zip((*vehicle.coordinates, *vehicle.roads), chance.normal(size=99), strict=False))
    lines = [t for g in ("kinetic", "strain", "dissipated") for t in sheet(vehicle).group(g)]
    along = ("sprung mass", "frame bending") if vehicle.kind == "bending" else ()
    parts = [
        p for k in ("mass", "spring", "damper") for p in vehicle.parts if p.kind == k and p.name not in along
    ]
    lines = [line for line in lines if line.name not in along]
    assert len(lines) == len(parts) > 4
    for line, part in zip(lines, parts, strict=True):
        moved = sum(share * motion[c] for c, share in part.row.items())
        # a motion of about 1, written with 4 digits
        assert worked_out(line, vehicle, motion) == pytest.approx(moved, abs=2e-3)
        assert line.value == part.value
        rates = re.findall(r"[wyu]'(?=[_(]|$)", line.text)
        assert bool(rates) == (part.kind != "spring"), line.text


def worked_out(line, vehicle, motion):
    words = re.fullmatch(r"1/2 \S+ (?:\((?P<sum>.*)\)|(?P<one>.*))²", line.text)
    moved = (words["sum"] or words["one"]).replace(" - ", " + -")
    total = 0.0
    for piece in moved.split(" + "):
        sign, size, name, x = re.fullmatch(r"(-?)(?:([\d.e-]+) )?([^(]+)(?:\((.*) m\))?", piece).groups()
        value = worth(name.replace("'", ""), x, vehicle, motion)
        total += (-1 if sign else 1) * float(size or 1) * value
    return total


def worth(name, x, vehicle, motion):
    """The motion that a word of the sheet stands for."""
    if name in ("w", "w_x"):
        row = vehicle.frame.row(float(x)) if name == "w" else vehicle.frame.slope(float(x))
        return sum(share * motion[c] for c, share in row.items())
    kinds = {"u": ["road."], "y": ["axle.", "body.", "point."]}[name[0]]
    word = name[2:].replace("_", " ")
    spelt = [word, word.removesuffix(" axle"), word.removesuffix(" pitch") + ".pitch"]
    known = [kind + s for s in spelt for kind in kinds if kind + s in motion]
    return motion[known[0]]


def test_html_says_the_same_and_escapes(fleet):
    term = next(t for t in sheet(fleet("half").vehicle).group("strain") if t.name == "rear spring")
    assert term.html == (
        "½&thinsp;<i>k</i><sub>rear spring</sub>&thinsp;"
        "(<i>w</i>(4.2 m) − <i>y</i><sub>rear axle</sub>)<sup>2</sup>"
    )


def test_a_name_from_a_case_file_is_escaped(fleet):
    vehicle = fleet("half").vehicle
    named_so = replace(vehicle, parts=(replace(vehicle.parts[0], name="a <b>"), *vehicle.parts[1:]))
    html = "".join(term.html for term in sheet(named_so).terms)
    assert "a &lt;b&gt;" in html
    assert "<b>" not in html


def test_every_symbol_is_explained(built):
    found = sheet(built.vehicle)
    used = set(re.findall(r"(?<![\w])[yu]'?_[a-z0-9_]+", " ".join(t.text for t in found.terms)))
    assert used
    assert {name.replace("'", "") for name in used} <= {symbol for symbol, _ in found.meanings}


def test_symbols_are_unique_but_for_the_frame(built):
    vehicle = built.vehicle
    along = ("sprung mass", "frame bending") if vehicle.kind == "bending" else ()
    names = [name for part, name in named(vehicle) if part.name not in along]
    assert len(names) == len(set(names))


def test_the_text_holds_every_line(fleet):
    found = sheet(fleet("stepped").vehicle)
    text = found.text()
    assert all(term.text in text for term in found.terms)
    assert all(meaning in text for _, meaning in found.meanings)
