"""Whatever stands in a file, a reader answers with columns or one clear error, in bounded memory."""

from __future__ import annotations

import tracemalloc
import warnings
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.files import READERS, read_columns
from counterbounce.model.measured.recording import read
from counterbounce.model.ride import Channel, Ride
from counterbounce.model.ride_files import ride_bytes

MOST_MEMORY = 100_000_000  # [byte] of what NumPy and Python hold: the files here are smaller than 100 kB
RIDE = Ride(
    "a hum", 200.0, 0.0, (Channel("seat", "m/s^2"), Channel("speed", "m/s")),
    np.stack([np.sin(np.arange(600) / 7.0), np.full(600, 20.0)]), {"gear": "4"},
)  # fmt: skip


def sound(suffix: str, folder: Path) -> bytes:
    """A small file of a kind that is read without a fault."""
    file, seat, time = folder / f"sound{suffix}", RIDE.samples[0], RIDE.time
    if suffix in (".npz", ".parquet", ".csv"):
        return ride_bytes(RIDE, file)[file]
    if suffix == ".tsv":
        return "\n".join(
            ["time [s]\tseat [g]", *(f"{t}\t{v}" for t, v in zip(time, seat, strict=True))]
        ).encode()
    if suffix == ".wav":
        from scipy.io import wavfile

        wavfile.write(file, 200, (seat * 30000).astype(np.int16))
    elif suffix == ".mat":
        from scipy.io import savemat

        savemat(file, {"time": time, "seat": seat, "units": {"seat": "m/s^2"}}, do_compression=True)
    elif suffix == ".tdms":
        nptdms = pytest.importorskip("nptdms")
        step = {"wf_increment": 1 / 200, "unit_string": "g"}
        with nptdms.TdmsWriter(file) as writer:
            writer.write_segment([nptdms.ChannelObject("run", "seat", seat, properties=step)])
    elif suffix == ".mf4":
        warnings.simplefilter("ignore")
        asammdf = pytest.importorskip("asammdf")
        with asammdf.MDF(version="4.10") as held:
            held.append([asammdf.Signal(samples=seat, timestamps=time, name="seat", unit="m/s^2")])
            held.save(file, overwrite=True)
    elif suffix == ".unv":
        pyuff = pytest.importorskip("pyuff")
        one = pyuff.prepare_58(
            binary=0, id1="seat", func_type=1, rsp_node=1, rsp_dir=3, ref_node=1, ref_dir=3, ord_data_type=4,
            abscissa_spacing=1, abscissa_min=0.0, abscissa_inc=1 / 200, abscissa_spec_data_type=17,
            ordinate_spec_data_type=12, orddenom_spec_data_type=0, x=time, data=seat, z_axis_value=0.0,
        )  # fmt: skip
        pyuff.UFF(str(file)).write_sets([one], "overwrite")
    return file.read_bytes()


KINDS = (".csv", ".tsv", ".wav", ".npz", ".mat", ".parquet", ".unv", ".tdms", ".mf4")


@pytest.fixture(scope="module", params=KINDS)
def kind(request, tmp_path_factory):
    """An ending, and the bytes of a sound file of that kind."""
    return request.param, sound(request.param, tmp_path_factory.mktemp("sound"))


def outcome(folder: Path, suffix: str, data: bytes) -> str:
    """How a file is answered: "read" or the error; anything else than a clear error is raised."""
    file = folder / f"file{suffix}"
    file.write_bytes(data)
    tracemalloc.start()
    try:
        found, said = read_columns(file, 200.0), "read"
    except CounterbounceError as error:
        found, said = None, str(error)
    finally:
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    assert peak < MOST_MEMORY, f"{peak / 1e6:.0f} MB"
    assert all(len(column) > 1 for column in found.columns) if found else str(file) in said
    assert len(said) < 5000
    return said


def test_every_kind_is_tried():
    other_names = {".txt", ".asc", ".dat", ".uff", ".mdf"}
    assert set(KINDS) | other_names == set(READERS)


def test_a_sound_file_is_read(kind, tmp_path):
    suffix, data = kind
    assert outcome(tmp_path, suffix, data) == "read"


@pytest.mark.parametrize("share", [0.0, 0.01, 0.1, 0.3, 0.5, 0.7, 0.9, 0.97, 0.999])
def test_a_file_that_was_cut_off(kind, share, tmp_path):
    suffix, data = kind
    outcome(tmp_path, suffix, data[: int(share * len(data))])


@pytest.mark.parametrize("seed", range(16))
def test_a_file_with_flipped_bytes(kind, seed, tmp_path):
    suffix, data = kind
    draw = np.random.default_rng(seed)
    broken = bytearray(data)
    near = len(data) if seed % 2 else min(len(data), 400)  # headers are where lengths stand
    for place in draw.integers(0, near, 1 + seed // 3):
        broken[place] = draw.integers(256)
    outcome(tmp_path, suffix, bytes(broken))


@pytest.mark.parametrize("at", [*range(0, 64, 4), *range(64, 200, 24)])
def test_a_header_that_speaks_of_more_than_there_is(kind, at, tmp_path):
    suffix, data = kind
    outcome(tmp_path, suffix, data[:at] + b"\xff\xff\xff\x7f" + data[at + 4 :])


@pytest.mark.parametrize("seed", range(4))
def test_a_file_of_rubbish(kind, seed, tmp_path):
    suffix, data = kind
    rubbish = np.random.default_rng(seed).bytes([0, 3, 500, 50_000][seed])
    assert outcome(tmp_path, suffix, rubbish) != "read"
    outcome(tmp_path, suffix, data[:64] + rubbish)


def test_a_file_of_another_kind(kind, tmp_path):
    suffix, data = kind
    for other in KINDS:
        if {suffix, other} <= {".csv", ".tsv"} or suffix == other:
            continue
        assert outcome(tmp_path, other, data) != "read", (suffix, other)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.lists(
            st.sampled_from(
                ["0", "1.5", "-2,5", "nan", "inf", "1e999", "", "a", '"', "#", "time [s]", "é", "\x00"]
            ),
            max_size=4,
        ),
        max_size=6,
    ),
    st.sampled_from([",", ";", "\t", " ", ", "]),
    st.sampled_from(["utf-8", "latin-1", "utf-16"]),
)
def test_any_cells_between_any_separators(tmp_path, rows, separator, encoding):
    text = "\n".join(separator.join(row) for row in rows)
    outcome(tmp_path, ".csv", text.encode(encoding, "replace"))


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=300))
def test_any_bytes_as_text(tmp_path, data):
    outcome(tmp_path, ".csv", data)


@pytest.mark.parametrize(
    "text",
    [
        "a" * 3_000_000,
        "1," * 1_000_000,
        "time [s],seat [g]\n" + "0,1\n" * 100_000 + "9" * 6_000_000,
        "time [s],seat [g]\n" * 50_000,
        "\n" * 1_000_000,
        "# " + "x" * 2_000_000 + "\n0,1\n1,2\n",
    ],
    ids=["one word", "many columns", "a huge number", "names only", "nothing", "a huge remark"],
)
def test_huge_text_is_refused_and_not_held(text, tmp_path):
    assert outcome(tmp_path, ".csv", text.encode()) != "read"


@pytest.mark.parametrize("rate", [1e-9, 1e12, np.inf, np.nan, -5.0, 0.0])
def test_absurd_rates_are_refused(rate, tmp_path):
    file = tmp_path / "file.csv"
    file.write_text("seat [g]\n0\n1\n2\n")
    with pytest.raises(CounterbounceError, match="rate between"):
        read_columns(file, rate)


@pytest.mark.parametrize("cell", ["nan", "inf", "1e308", "-1e308"])
def test_numbers_that_are_none_do_not_spread(cell, tmp_path):
    file = tmp_path / "file.csv"
    lines = [f"{i / 200},{np.sin(i / 7)},{np.cos(i / 9)}" for i in range(2000)]
    lines[700] = f"{700 / 200},{cell},1"
    file.write_text("\n".join(["time [s],seat [g],floor [g]", *lines]))
    found = outcome_of_ride(file)
    assert found is None or (np.isfinite(found).all() and np.abs(found).max() < 100)


def outcome_of_ride(file):
    """All samples of a ride, or None where there is a clear error."""
    try:
        return read(file).ride.samples[:]
    except CounterbounceError:
        return None
