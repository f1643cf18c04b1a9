"""The command `export`: what is written comes back, and nothing is ever written over."""

import sys

import click
import numpy as np
import pytest
from click.testing import CliRunner
from scipy.io import loadmat

from counterbounce.app.cli import FAULT_OF_THE_INPUT, _failed
from counterbounce.app.exports import export
from counterbounce.model.curve_files import INSTALL, read_curves
from counterbounce.model.example import TEXT, small_case, small_truck
from counterbounce.model.matrices import matrices
from counterbounce.model.points import dense
from counterbounce.model.response import dynamics, plain_receptance


@pytest.fixture
def ask(tmp_path, monkeypatch, case_texts):
    """The command as the program runs it: (exit code, what it said)."""
    (tmp_path / "truck.toml").write_text(TEXT, encoding="utf-8")
    (tmp_path / "bending.toml").write_text(case_texts["truck"], encoding="utf-8")
    monkeypatch.chdir(tmp_path)

    def run(*arguments, case="truck.toml"):
        done = CliRunner().invoke(export, [case, *arguments])
        if done.exception is not None and not isinstance(done.exception, SystemExit):
            return _failed(done.exception), str(done.exception)
        return done.exit_code, done.output

    return run


def made(tmp_path):
    return sorted(p.name for p in tmp_path.iterdir() if p.suffix != ".toml")


def arrays(file):
    with np.load(file) as held:
        return dict(held)


@pytest.mark.parametrize("name", ["m.npz", "m.mat"])
def test_matrices_come_back(ask, tmp_path, name):
    assert ask("--matrices", name)[0] == 0
    assert made(tmp_path) == [name]
    back = arrays(tmp_path / name) if name.endswith("npz") else loadmat(tmp_path / name)
    known, truck = matrices(small_truck()), small_truck()
    for key in ("M", "C", "K", "push_0", "push_1"):
        assert np.array_equal(back[key], getattr(known, key))

    def words(key):
        return [str(w[0] if isinstance(w, np.ndarray) else w) for w in back[key].ravel()]

    assert words("coordinates") == list(known.coordinates)
    assert words("roads") == list(known.roads)
    assert words("points") == list(truck.points)
    assert words("directions") == ["vertical"] * len(truck.points)
    assert {"M [kg]", "C [N s/m]", "K [N/m]", "push_0 [N/m]", "push_1 [N s/m]"} <= set(words("units"))
    assert words("origin")[:2] == ["case Small truck", f"sha256 {small_case().sha256}"]
    assert np.array_equal(back["stations"].ravel(), [p.station for p in truck.points.values()])
    rows = dense([p.row for p in truck.points.values()], known.coordinates)
    assert np.array_equal(back["point_rows"], rows)


def test_whoever_reads_the_matrices_can_compute_with_them(ask, tmp_path):
    """The receptance at the rear end from the file alone, on a bending frame."""
    assert (
        ask("--matrices", "m.npz", "--receptances", "r.unv", "--points", "rear end", case="bending.toml")[0]
        == 0
    )
    held, (curve,) = arrays(tmp_path / "m.npz"), read_curves(tmp_path / "r.unv")
    row = held["point_rows"][[list(held["points"]).index("rear end")]]
    w = 2 * np.pi * curve.frequency[:, None, None]
    peer = row @ np.linalg.solve(held["K"] + 1j * w * held["C"] - w**2 * held["M"], row.T)
    assert np.allclose(curve.values, peer[:, 0, 0], rtol=1e-7)


def test_receptances_come_back(ask, tmp_path):
    """The same numbers: to the twelve digits that the file writes, on the very frequencies."""
    points = ("rear end", "axle.front", "front end")
    chosen = [word for name in points for word in ("--points", name)]
    code, said = ask(
        "--receptances", "r.unv", "--from", "0.7 Hz", "--to", "900 rpm", "--lines", "301", *chosen
    )
    assert (code, said.startswith("r.unv: ")) == (0, True)
    curves = read_curves(tmp_path / "r.unv")
    assert [(c.reference, c.response) for c in curves] == [(a, b) for a in points for b in points]
    truck = small_truck()
    rows = dense([truck.points[n].row for n in points], truck.coordinates)
    for c in curves:
        assert c.kind == "receptance"
        assert (len(c.frequency), c.frequency[0], c.frequency[-1]) == (
            301,
            0.7,
            pytest.approx(15.0, rel=1e-5),
        )
        i, j = points.index(c.response), points.index(c.reference)
        peer = plain_receptance(matrices(truck), 2 * np.pi * c.frequency, rows[[i]], rows[[j]])[:, 0, 0]
        assert np.allclose(c.values, peer, rtol=1e-9)
        ours = dynamics(truck).receptance(
            c.frequency, [truck.points[c.response].row], [truck.points[c.reference].row]
        )
        assert np.abs(c.values - ours[:, 0, 0]).max() <= 1e-11 * np.abs(ours).max()


def test_another_reader_finds_nodes_units_and_directions(ask, tmp_path):
    pyuff = pytest.importorskip("pyuff")
    assert (
        ask("--receptances", "r.unv", "--points", "roof", "--points", "crane & <winch>", case="bending.toml")[
            0
        ]
        == 0
    )
    nodes, units, *sets = pyuff.UFF(str(tmp_path / "r.unv")).read_sets()
    assert (nodes["type"], list(nodes["node_nums"])) == (15, [1, 2])
    assert nodes["x"] == pytest.approx([0.3, 5.0])
    assert (units["type"], units["units_code"], units["length"], units["force"]) == (164, 1, 1.0, 1.0)
    assert [(s["rsp_node"], s["rsp_dir"], s["ref_node"], s["ref_dir"]) for s in sets] == [
        (1, -1, 1, -1), (2, 3, 1, -1), (1, -1, 2, 3), (2, 3, 2, 3)
    ]  # fmt: skip
    assert {s["func_type"] for s in sets} == {4}
    assert {(s["ordinate_spec_data_type"], s["orddenom_spec_data_type"]) for s in sets} == {(8, 13)}
    assert sets[1]["id1"].strip() == "crane & <winch>"
    assert sets[1]["id4"].strip().startswith("sha256 ")


def test_points_are_those_that_matter_unless_asked(ask, tmp_path):
    assert ask("--receptances", "r.unv", "--lines", "5")[0] == 0
    assert {c.response for c in read_curves(tmp_path / "r.unv")} == {"front end", "rear end"}


@pytest.mark.parametrize(
    ("option", "name"), [("--matrices", "m.npz"), ("--matrices", "m.mat"), ("--receptances", "r.unv")]
)
def test_nothing_is_written_over(ask, tmp_path, option, name):
    (tmp_path / name).write_bytes(b"mine")
    other = ("--receptances", "other.unv") if option == "--matrices" else ("--matrices", "other.npz")
    code, said = ask(option, name, *other)
    assert code == FAULT_OF_THE_INPUT
    assert name in said
    assert "not written over" in said
    assert (tmp_path / name).read_bytes() == b"mine"
    assert made(tmp_path) == [name]  # and the other file is not there either


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "--matrices"),
        (("--matrices", "m.csv"), ".npz or .mat"),
        (("--receptances", "r.npz"), ".unv"),
        (("--receptances", "r.unv", "--from", "1"), "unit is missing"),
        (("--receptances", "r.unv", "--from", "-1 Hz"), "more than 0"),
        (("--receptances", "r.unv", "--from", "9 Hz", "--to", "8 Hz"), "more than --from"),
        (("--receptances", "r.unv", "--lines", "1"), "--lines"),
        (("--receptances", "r.unv", "--points", "rear ent"), 'did you mean "rear end"'),
        (("--matrices", "nowhere.toml/m.npz"), "written"),
    ],
)
def test_faults_are_told_and_nothing_is_written(ask, tmp_path, arguments, said):
    (tmp_path / "nowhere.toml").write_text("a file, no folder")
    code, words = ask(*arguments)
    assert code == FAULT_OF_THE_INPUT
    assert said in words
    assert made(tmp_path) == []


def test_without_the_library_one_line_installs_it(ask, tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "pyuff", None)
    code, said = ask("--receptances", "r.unv", "--matrices", "m.npz")
    assert code == FAULT_OF_THE_INPUT
    assert INSTALL in said
    assert made(tmp_path) == []
    assert ask("--matrices", "m.npz")[0] == 0  # which needs no library


def test_it_is_a_command(ask):
    assert isinstance(export, click.Command)
    assert export.name == "export"
