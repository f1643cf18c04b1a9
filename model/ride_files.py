"""A ride as CSV, WAV, NPZ or Parquet, and back.

What the samples do not say themselves (names, units, rate, start, labels) goes along as one object of JSON:

    .csv      its first line, after "# about: "; then a header with names and units, then a line a sample, of
              nine digits
    .wav      beside it, in a second file NAME.wav.json; the samples are float32, each channel over its
              largest value, which the object gives as `scale`: sample x scale is the value in its unit
    .npz      a text `about` beside the array `samples` (channels, samples)
    .parquet  the metadata of the table, under "counterbounce"; a column a channel, the time before them

Only NPZ and Parquet give back every bit.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .faults import CounterbounceError, Fault
from .ride import Channel, Ride

Floats = NDArray[np.float64]

SUFFIXES = (".csv", ".wav", ".npz", ".parquet")
INSTALL = "python -m pip install 'counterbounce[recordings]'"
TIME = "time [s]"
ABOUT = "# about: "
EVEN = 1e-3  # of a step, within which the times of a file must follow each other evenly


def ride_bytes(ride: Ride, path: str | Path) -> dict[Path, bytes]:
    """The files that hold a ride, of the kind that the name ends in, ready to be written.

    Raises CounterbounceError for another ending, for a WAV file whose rate is no whole number, and where the
    library for Parquet is not there.

    >>> ride = Ride("a hum", 2.0, 0.0, (Channel("seat", "m/s^2"),), np.array([[0.0, 0.5]]), {"gear": "4"})
    >>> files = ride_bytes(ride, "hum.csv")
    >>> print(files[Path("hum.csv")].decode().split("\\n", 1)[1], end="")
    time [s],seat [m/s^2]
    0,0
    0.5,0.5
    """
    to = Path(path)
    encode = {".csv": _csv, ".wav": _wav, ".npz": _npz, ".parquet": _parquet}.get(to.suffix.lower())
    if encode is None:
        raise _fault(to, f"wanted a name that ends in {', '.join(SUFFIXES)}")
    return encode(ride, to)


def read_ride(path: str | Path) -> Ride:
    """The ride in a file that was written from `ride_bytes`; a CSV may also be another's.

    A CSV without its first line of JSON needs the header: "time [s]", then name and unit of each channel.
    Raises CounterbounceError where the file is not there or holds something else.

    >>> import tempfile
    >>> ride = Ride("a hum", 2.0, 0.0, (Channel("seat", "m/s^2"),), np.array([[0.0, 0.5]]), {"gear": "4"})
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     for file, content in ride_bytes(ride, Path(folder) / "hum.npz").items():
    ...         _ = file.write_bytes(content)
    ...     back = read_ride(file)
    >>> back.name, back.rate, back.labels["gear"], back.channel("seat").tolist()
    ('a hum', 2.0, '4', [0.0, 0.5])
    """
    file = Path(path)
    decode = {".csv": _from_csv, ".wav": _from_wav, ".npz": _from_npz, ".parquet": _from_parquet}
    one = decode.get(file.suffix.lower())
    if one is None:
        raise _fault(file, f"wanted a name that ends in {', '.join(SUFFIXES)}")
    if not file.is_file():
        raise _fault(file, "is no file")
    try:
        return one(file)
    except CounterbounceError:
        raise
    except Exception as error:  # the libraries raise many kinds for what they cannot read
        reason = " ".join(str(error).split())[:200] or type(error).__name__
        raise _fault(file, f"cannot be read as a ride: {reason}") from None


# --- what goes along ------------------------------------------------------------------------------------


def _about(ride: Ride, **more: Any) -> dict[str, Any]:
    channels = [{"name": channel.name, "unit": channel.unit} for channel in ride.channels]
    told = {"name": ride.name, "rate_hz": float(ride.rate), "start_s": float(ride.start)}
    return {**told, "channels": channels, "labels": dict(ride.labels), **more}


def _ride(about: Mapping[str, Any], samples: Floats) -> Ride:
    channels = tuple(Channel(one["name"], one["unit"]) for one in about["channels"])
    return Ride(about["name"], about["rate_hz"], about["start_s"], channels, samples, about["labels"])


def _samples(ride: Ride) -> Floats:
    return np.asarray(ride.samples[:], dtype=float)


def _fault(path: Path, wanted: str, line: int | None = None) -> CounterbounceError:
    return CounterbounceError([Fault(str(path), line, "", "", wanted)])


# --- CSV ------------------------------------------------------------------------------------------------


def _csv(ride: Ride, to: Path) -> dict[Path, bytes]:
    text = io.StringIO()
    text.write(ABOUT + json.dumps(_about(ride), ensure_ascii=False) + "\n")
    csv.writer(text, lineterminator="\n").writerow([TIME, *map(str, ride.channels)])
    columns = np.vstack([ride.time, _samples(ride)]).T
    np.savetxt(text, columns, fmt=["%.12g", *["%.9g"] * len(ride.channels)], delimiter=",")
    return {to: text.getvalue().encode()}


def _from_csv(file: Path) -> Ride:
    first, _, rest = file.read_text(encoding="utf-8-sig").partition("\n")
    told = json.loads(first.removeprefix(ABOUT)) if first.startswith(ABOUT) else None
    header, _, numbers = (rest if told else f"{first}\n{rest}").partition("\n")
    names = next(csv.reader([header]), [])
    if not names or names[0].strip() != TIME:
        raise _fault(file, f'the first column must be "{TIME}"', 2 if told else 1)
    columns = np.loadtxt(io.StringIO(numbers), delimiter=",", ndmin=2) if numbers.strip() else None
    found = np.zeros((len(names), 0)) if columns is None else columns.T
    if not np.isfinite(found).all():
        raise _fault(file, "holds something that is no finite number")
    return _ride(told or _from_columns(file, names, found[0]), found[1:])


def _from_columns(file: Path, names: list[str], time: Floats) -> dict[str, Any]:
    """What a CSV of other hands says in its header and its times."""
    steps = np.diff(time)
    step = (time[-1] - time[0]) / len(steps) if len(steps) else 0.0
    if not (step > 0 and np.abs(steps - step).max() <= EVEN * step):
        raise _fault(file, "the times must rise in even steps: resample the recording first")
    parts = [name.strip().removesuffix("]").partition(" [") for name in names[1:]]
    channels = [{"name": name, "unit": unit} for name, _, unit in parts]
    told = {"name": file.stem, "rate_hz": 1 / step, "start_s": time[0]}
    return {**told, "channels": channels, "labels": {}}


# --- WAV ------------------------------------------------------------------------------------------------


def beside(wav: Path) -> Path:
    """The file that says what the channels of a WAV file are.

    >>> beside(Path("hum.wav")).name
    'hum.wav.json'
    """
    return wav.with_name(wav.name + ".json")


def _wav(ride: Ride, to: Path) -> dict[Path, bytes]:
    from scipy.io import wavfile

    if ride.rate != round(ride.rate):
        raise _fault(to, f"a WAV file needs a whole number of samples a second, not {ride.rate:g}")
    samples, stream = _samples(ride), io.BytesIO()
    largest = np.abs(samples).max(axis=1, initial=0.0)
    scale = np.where(largest > 0, largest, 1.0)
    wavfile.write(stream, round(ride.rate), (samples / scale[:, None]).T.astype(np.float32))
    about = json.dumps(_about(ride, scale=scale.tolist()), ensure_ascii=False, indent=2) + "\n"
    return {to: stream.getvalue(), beside(to): about.encode()}


def _from_wav(file: Path) -> Ride:
    from scipy.io import wavfile

    if not beside(file).is_file():
        raise _fault(file, f"{beside(file).name}, which says what its channels are, is not beside it")
    about = json.loads(beside(file).read_text(encoding="utf-8"))
    rate, read = wavfile.read(file)
    if rate != about["rate_hz"]:
        raise _fault(file, f"holds {rate} samples a second, and {beside(file).name} speaks of another ride")
    samples = read.reshape(len(read), -1).T.astype(float)
    return _ride(about, samples * np.array(about["scale"])[:, None])


# --- NPZ ------------------------------------------------------------------------------------------------


def _npz(ride: Ride, to: Path) -> dict[Path, bytes]:
    stream = io.BytesIO()
    about = np.array(json.dumps(_about(ride), ensure_ascii=False))
    np.savez(stream, allow_pickle=False, about=about, samples=_samples(ride))
    return {to: stream.getvalue()}


def _from_npz(file: Path) -> Ride:
    with np.load(file, allow_pickle=False) as held:
        return _ride(json.loads(str(held["about"])), held["samples"])


# --- Parquet --------------------------------------------------------------------------------------------


def _library(path: Path) -> tuple[Any, Any]:
    try:
        return import_module("pyarrow"), import_module("pyarrow.parquet")
    except ImportError:
        raise _fault(path, f"Parquet needs the library pyarrow: {INSTALL}") from None


def _parquet(ride: Ride, to: Path) -> dict[Path, bytes]:
    arrow, parquet = _library(to)
    columns = {TIME: ride.time, **dict(zip(map(str, ride.channels), _samples(ride), strict=True))}
    about = json.dumps(_about(ride), ensure_ascii=False)
    table = arrow.table(columns).replace_schema_metadata({"counterbounce": about})
    stream = io.BytesIO()
    parquet.write_table(table, stream)
    return {to: stream.getvalue()}


def _from_parquet(file: Path) -> Ride:
    _, parquet = _library(file)
    table = parquet.read_table(file)
    about = (table.schema.metadata or {}).get(b"counterbounce")
    if about is None:
        raise _fault(file, "is a table without what makes it a ride: its metadata have no counterbounce")
    told = json.loads(about)
    columns = [table.column(f"{one['name']} [{one['unit']}]").to_numpy() for one in told["channels"]]
    return _ride(told, np.array(columns).reshape(len(columns), table.num_rows))
