"""Every fault of a case file at once: where, what came, what was wanted, the nearest name."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from counterbounce.model import case
from counterbounce.model.case import load, parse
from counterbounce.model.faults import CounterbounceError, Fault

CASES = Path(__file__).parents[1] / "cases"
PLACARD = (CASES / "box_truck_placard.toml").read_text(encoding="utf-8")
VAN = (CASES / "van.toml").read_text(encoding="utf-8")
EACH = tomllib.loads((CASES / "faults" / "one_fault_each.toml").read_text(encoding="utf-8"))["fault"]


def faults_of(text: str) -> tuple[Fault, ...]:
    with pytest.raises(CounterbounceError) as caught:
        parse(text)
    return caught.value.faults


def changed(text: str, *changes: tuple[str, str]) -> str:
    for old, new in changes:
        assert text.count(old) >= 1, old
        text = text.replace(old, new, 1)
    return text


def line_with(text: str, words: str) -> int:
    return text[: text.index(words)].count("\n") + 1


@pytest.mark.parametrize("each", EACH, ids=lambda each: each["what"])
def test_each_fault_is_found_on_its_line_and_alone(each):
    good = (CASES / f"{each['file']}.toml").read_text(encoding="utf-8")
    parse(good)
    text = changed(good, (each["old"], each["new"]))
    found = faults_of(text)
    blamed = [fault for fault in found if fault.key == each["key"]]
    assert blamed, found
    assert any(each["words"] in fault.wanted for fault in blamed), found
    assert any(fault.near == each.get("near", "") for fault in blamed), found
    if "line" in each:
        assert line_with(text, each["line"]) in [fault.line for fault in blamed], found
    assert {fault.key for fault in found} == {each["key"], *each.get("also", [])}
    assert {fault.file for fault in found} == {"case.toml"}


MANY = """\
name = "Bad truck"
colour = "red"

[vehicle]
wheelbase = 3.8
radius_of_gyration = "1.5 m"
dynamic_index = 0.95
load_sharing = [["rear", "raer"]]

[axle.front]
lod = "2.6 t"
tyre = "225/70R19.5"
spring = "leef"

[axle.rear]
load = "4.2 ton"
spring_rate = "100 lb/in"
tyre = "banana"

[[body]]
name = "cab"
station = "0.1 m"
on = "frmae"

[inputs]
speeds = { from = "110 km/h", to = "40 km/h" }
joints = { spacing = "15 ft" }

[complaint]
where = "drivers floor"
"""


def test_all_faults_come_at_once_in_order_of_their_lines():
    found = faults_of(MANY)
    assert [(fault.line, fault.key) for fault in found] == [
        (2, "colour"),
        (5, "vehicle.wheelbase"),
        (7, "vehicle.dynamic_index"),
        (8, "vehicle.load_sharing.1"),
        (11, "axle.front.lod"),
        (13, "axle.front.spring"),
        (16, "axle.rear.load"),
        (17, "axle.rear.spring_rate"),
        (18, "axle.rear.tyre"),
        (20, "body.cab.mass"),
        (23, "body.cab.on"),
        (26, "inputs.speeds"),
        (27, "inputs.joints"),
        (30, "complaint.where"),
    ]
    shown = str(CounterbounceError(found))
    assert shown.startswith("14 faults:\n  case.toml:2: colour = 'red': no such key here")
    assert 'did you mean "load"?' in shown
    assert '"3.8 m"' in shown or "kept in m" in shown


def test_what_hangs_on_a_broken_key_is_not_reported_twice():
    found = faults_of(changed(PLACARD, ('load = "2.61 t', 'load = "2.61 q')))
    assert [fault.key for fault in found] == ["axle.front.load"]
    (fault,) = faults_of(PLACARD.replace('"cab"', '"c.ab"'))  # points are on it
    assert (fault.key, fault.line) == ("body.c.ab.name", line_with(PLACARD, 'name = "cab"'))


def test_a_number_that_is_missing_is_missing_once():
    found = faults_of(changed(VAN, ('load = "1.5 t"\n', "")))  # much hangs on it
    assert [fault.key for fault in found] == ["axle.rear.load"]


def test_numbers_that_divide_by_nothing_are_faults(flat):
    assert [(fault.key, fault.line) for fault in faults_of(flat)] == [("axle.b.station", 10)]


def test_a_vehicle_that_cannot_be_put_together_is_a_fault(monkeypatch):
    def no_vehicle(*_):
        raise ZeroDivisionError("float division by zero")

    monkeypatch.setattr(case, "build", no_vehicle)
    (fault,) = faults_of(VAN)
    assert "these numbers make no vehicle" in fault.wanted


def test_no_more_faults_than_anyone_reads():
    found = faults_of(VAN + "[frame]\n" + "\n".join(f"key{i} = 1" for i in range(2000)))
    assert len(found) == 101
    assert "more faults" in found[-1].wanted


# --- no case file at all ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "words", "line"),
    [
        ("", "empty", None),
        ("  \n\n", "empty", None),
        ("name = ", "not TOML", 1),
        ("a = 1\nb = 2\nc = = 3", "not TOML", 3),
        ("a = 1\na = 2\n", "not TOML", 2),
        ("\x00", "not TOML", 1),
        ("a = " + "[" * 100_000, "deep", None),
        ("a = " + "[" * 50 + "]" * 50, "deep", None),
        ("a." * 3000 + "b = 1", "deep", None),
        ("a = " + "9" * 5000, "not TOML", None),
        ("# " + "x" * 600_000, "no case file", None),
    ],
)
def test_what_is_no_case_file_says_so(text, words, line):
    (fault,) = faults_of(text)
    assert words in fault.wanted
    assert fault.line == line


def test_huge_numbers_are_shown_in_few_words():
    found = faults_of("name = 0x" + "f" * 5000 + "\n[axle.a]\nload = 0x" + "f" * 5000)
    assert all(len(str(fault)) < 300 for fault in found)


def test_control_characters_do_not_reach_the_terminal():
    found = faults_of('name = "x"\n"\\u001b[31m" = 1\n[axle.a]\n"b\\u0007" = "\\u001b"')
    assert "\x1b" not in str(CounterbounceError(found))
    assert "\x07" not in str(CounterbounceError(found))


def test_files_that_cannot_be_read(tmp_path):
    (tmp_path / "truck.toml").write_text(VAN)
    (tmp_path / "utf16.toml").write_text(VAN, encoding="utf-16")
    (tmp_path / "latin.toml").write_bytes("\n\nname = 'Käfer'".encode("latin-1"))
    (tmp_path / "big.toml").write_bytes(b"#" * 2_000_000)

    def fault(path: object) -> Fault:
        with pytest.raises(CounterbounceError) as caught:
            load(path)
        (only,) = caught.value.faults
        return only

    assert "directory" in fault(tmp_path).wanted
    missing = fault(tmp_path / "trukc.toml")
    assert (missing.wanted, missing.near) == ("no such file", "truck.toml")
    assert "UTF-8" in fault(tmp_path / "utf16.toml").wanted
    assert fault(tmp_path / "latin.toml").line == 3
    assert "no case file" in fault(tmp_path / "big.toml").wanted
    assert "not a file" in fault("/dev/null").wanted
    assert fault(str(tmp_path / "a\0b")).wanted
    assert fault(tmp_path / "truck.toml" / "x").wanted


def test_a_file_that_no_person_wrote_is_refused_before_it_is_read_key_by_key():
    (fault,) = faults_of(VAN + "".join(f"k{i} = 1\n" for i in range(5000)))
    assert "no case file" in fault.wanted
    (fault,) = faults_of(VAN + "k" * 100_000 + " = 1")
    assert len(str(fault)) < 300
