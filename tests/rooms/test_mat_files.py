"""MAT files of version 7.3, written as that version lays them out: HDF5 behind a head of 512 bytes, arrays
turned round, texts as numbers of their letters, cell arrays and rows of structs as references."""

from __future__ import annotations

import importlib

import numpy as np
import pytest

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured import mat_files
from counterbounce.model.measured.files import read_columns

h5py = pytest.importorskip("h5py")
TIME = np.arange(1000) / 500
SEAT, FLOOR = np.sin(50 * TIME), 0.5 * np.cos(30 * TIME)


def put(group, name, value):
    """One variable or field, as version 7.3 writes it."""
    if isinstance(value, dict):
        made = group.create_group(name)
        made.attrs["MATLAB_class"] = np.bytes_("struct")
        for key, part in value.items():
            put(made, key, part)
    elif isinstance(value, list) and isinstance(value[0], dict):  # a row of structs
        made = group.create_group(name)
        made.attrs["MATLAB_class"] = np.bytes_("struct")
        for key in value[0]:
            made[key] = references(group, [one[key] for one in value])
    elif isinstance(value, list):
        group[name] = references(group, value)
        group[name].attrs["MATLAB_class"] = np.bytes_("cell")
    elif isinstance(value, str):
        group[name] = np.array([[ord(letter)] for letter in value], dtype=np.uint16)
        group[name].attrs["MATLAB_class"] = np.bytes_("char")
    else:
        array = np.atleast_2d(np.asarray(value))
        group[name] = array.T if array.ndim == 2 and np.ndim(value) == 2 else array  # vectors stand upright
        group[name].attrs["MATLAB_class"] = np.bytes_("double")


def references(group, values):
    held = group.file.require_group("#refs#")
    made = []
    for value in values:
        name = f"r{len(held)}"
        put(held, name, value)
        made.append(held[name].ref)
    return np.array(made, dtype=h5py.ref_dtype)[:, None]


def written(folder, variables):
    path = folder / "run.mat"
    with h5py.File(path, "w", userblock_size=512) as held:
        for name, value in variables.items():
            put(held, name, value)
    with path.open("r+b") as stream:
        stream.write(b"MATLAB 7.3 MAT-file, invented".ljust(512))
    return path


ROWS = [{"label": "seat", "values": SEAT, "unit": "g"}, {"label": "floor", "values": FLOOR, "unit": "m/s^2"}]
LAYOUTS = {
    "vectors": {"time": TIME, "seat": SEAT, "floor": FLOOR, "units": {"seat": "g", "floor": "m/s^2"}},
    "a matrix with names": {"fs": 500.0, "data": np.stack([SEAT, FLOOR], 1), "names": ["seat", "floor"],
                            "units": ["g", "m/s^2"]},
    "structs of one channel": {"run": {"t": TIME, "seat": {"values": SEAT, "unit": "g"},
                                       "floor": {"values": FLOOR, "unit": "m/s^2"}}},
    "series with their own times": {"seat": {"Data": SEAT, "Time": TIME, "unit": "g"},
                                    "floor": {"data": FLOOR, "time": TIME, "unit": "m/s^2"}},
    "a row of structs": {"run": {"time": TIME, "signals": ROWS}},
}  # fmt: skip


@pytest.mark.parametrize("layout", LAYOUTS)
def test_ways_to_lay_out_a_file(layout, tmp_path):
    found = read_columns(written(tmp_path, LAYOUTS[layout]))
    assert {(c.name, c.unit, c.rate) for c in found.columns} == {
        ("seat", "g", 500.0),
        ("floor", "m/s^2", 500.0),
    }
    by_name = {column.name: column.part(slice(None)) for column in found.columns}
    assert np.array_equal(by_name["seat"], SEAT)
    assert np.array_equal(by_name["floor"], FLOOR)


def test_the_same_rows_of_structs_in_an_older_file(tmp_path):
    from scipy.io import savemat

    savemat(tmp_path / "run.mat", {"run": {"time": TIME, "signals": ROWS}})
    assert [c.name for c in read_columns(tmp_path / "run.mat").columns] == ["seat", "floor"]


def test_two_structs_that_call_their_channels_alike(tmp_path):
    part = {"time": TIME, "z": SEAT}
    found = read_columns(written(tmp_path, {"front": part, "rear": part}))
    assert [column.name for column in found.columns] == ["front z", "rear z"]


def test_times_since_1970_count_from_the_first_sample(tmp_path):
    found = read_columns(written(tmp_path, {"time": 1.78e9 + TIME, "seat": SEAT}))
    assert (found.columns[0].rate, found.columns[0].start) == (500.0, 0.0)
    assert found.began.seconds == 1.78e9


def test_a_long_matrix_is_not_held_in_memory(tmp_path, monkeypatch):
    monkeypatch.setattr(mat_files, "UNFOLDED", 1000)
    monkeypatch.setattr("counterbounce.model.measured.columns.IN_MEMORY", 1000)
    found = read_columns(written(tmp_path, LAYOUTS["a matrix with names"]))
    assert isinstance(found.columns[0].values, np.memmap)
    assert np.array_equal(found.columns[1].part(slice(None)), FLOOR)


@pytest.mark.parametrize(
    "held", [{"seat": SEAT}, {"words": "none", "empty": np.zeros((0, 0))}, {"time": TIME, "seat": SEAT[:-1]}]
)
def test_what_holds_no_series_says_so(held, tmp_path):
    with pytest.raises(CounterbounceError, match="time vector"):
        read_columns(written(tmp_path, held))


def test_a_file_that_was_cut_off(tmp_path):
    path = written(tmp_path, LAYOUTS["vectors"])
    path.write_bytes(path.read_bytes()[:3000])
    with pytest.raises(CounterbounceError, match="cannot be read as MAT"):
        read_columns(path)


@pytest.mark.parametrize("seed", range(40))
def test_a_file_with_changed_bytes_is_read_or_refused(seed, tmp_path):
    draw = np.random.default_rng(seed)
    path = written(tmp_path, list(LAYOUTS.values())[seed % len(LAYOUTS)])
    data = bytearray(path.read_bytes())
    for at in draw.integers(0, min(len(data), 6000), draw.integers(1, 40)):
        data[at] = draw.integers(256)
    path.write_bytes(data)
    try:
        found, said = read_columns(path).columns, str(path)
    except CounterbounceError as error:
        found, said = (), str(error)
    assert all(len(column) > 1 for column in found)
    assert str(path) in said


def test_without_the_library_it_says_how_to_install_it(tmp_path, monkeypatch):
    def no_module(name, *rest):
        if name == "h5py":
            raise ImportError(name)
        return importlib.import_module(name, *rest)

    monkeypatch.setattr(mat_files, "import_module", no_module)
    with pytest.raises(CounterbounceError, match=r"h5py.*pip install 'counterbounce"):
        read_columns(written(tmp_path, LAYOUTS["vectors"]))
