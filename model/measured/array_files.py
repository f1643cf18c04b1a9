"""Recordings in WAV and NPZ files."""

from __future__ import annotations

import json
import struct
import warnings
import zipfile
from pathlib import Path
from typing import Any

import numpy as np

from ..ride_files import beside
from .columns import Column, Found, refused

LARGEST_INSIDE = 8_000_000_000  # [byte] that a packed file may unfold to
LARGEST_TEXT = 10_000_000  # [byte] of names, units and labels
MOST_CHANNELS = 256


# --- WAV --------------------------------------------------------------------------------------------------


def read_wav(path: Path, rate: float | None = None) -> Found:
    """The channels of a WAV file, of which one unit is its full scale; or as the file beside it says.

    rate  [Hz] not needed here: the file has its own
    """
    from scipy.io import wavfile

    _check_chunks(path)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of chunks that are not of interest
        try:
            own, data = wavfile.read(path, mmap=True)
        except ValueError as error:
            if "container" not in str(error):  # samples of three bytes cannot be mapped
                raise
            own, data = wavfile.read(path)
    table = data.reshape(len(data), -1)
    if table.shape[1] > MOST_CHANNELS:
        raise refused(str(path), f"has {table.shape[1]} channels, wanted {MOST_CHANNELS} at most")
    if beside(path).is_file():
        return _described(path, table, float(own))
    full = 1.0 if table.dtype.kind == "f" else float(np.iinfo(table.dtype).max) + 1
    if table.dtype == np.uint8:
        table, full = table.astype(np.int16) - 128, 128.0
    columns = [
        Column(f"channel {i + 1}", "", table[:, i], float(own), 0.0, None, str(path), 1 / full)
        for i in range(table.shape[1])
    ]
    return Found(tuple(columns), {}, (f"Read {len(table)} samples of {len(columns)} channels.",))


def _check_chunks(path: Path) -> None:
    """Refuses a WAV file of which a part is longer than the file says: it would be believed."""
    size = path.stat().st_size
    with path.open("rb") as stream:
        kind = stream.read(12)[:4]
        if kind not in (b"RIFF", b"RF64", b"RIFX"):
            raise refused(str(path), "is no WAV file")
        while len(head := stream.read(8)) == 8 and (kind, head[:4]) != (b"RF64", b"data"):
            length = int.from_bytes(head[4:], "big" if kind == b"RIFX" else "little")
            if stream.tell() + length > size:
                raise refused(str(path), "is cut off, or says that it holds more than it does")
            stream.seek(length + length % 2, 1)


def _described(path: Path, table: Any, rate: float) -> Found:
    """A WAV file of our own, with the file beside it."""
    about, file = _about(beside(path).read_bytes()[: LARGEST_TEXT + 1], str(beside(path))), str(path)
    if not len(about["channels"]) == len(about.get("scale", ())) == table.shape[1]:
        raise refused(file, f"{beside(path).name} tells of other channels than are in it")
    columns = [
        Column(one["name"], one["unit"], table[:, i], rate, about["start_s"], None, file, about["scale"][i])
        for i, one in enumerate(about["channels"])
    ]
    return Found(tuple(columns), about["labels"], (f"Read {len(table)} samples.",), about["name"])


# --- NPZ --------------------------------------------------------------------------------------------------


def read_npz(path: Path, rate: float | None = None) -> Found:
    """The channels of a ride that was written as NPZ.

    rate  [Hz] not needed here: the file has its own

    >>> import tempfile
    >>> from ..ride import Channel, Ride
    >>> from ..ride_files import ride_bytes
    >>> ride = Ride("a hum", 2.0, 0.0, (Channel("seat", "m/s^2"),), np.array([[0.0, 0.5]]), {"gear": "4"})
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = Path(folder) / "hum.npz"
    ...     _ = file.write_bytes(ride_bytes(ride, file)[file])
    ...     found = read_npz(file)
    >>> found.columns[0].name, found.columns[0].values.tolist(), found.labels
    ('seat', [0.0, 0.5], {'gear': '4'})
    """
    file = str(path)
    with zipfile.ZipFile(path) as held:
        inside = {info.filename: info for info in held.infolist()}
        if not {"about.npy", "samples.npy"} <= inside.keys():
            raise refused(
                file, "holds no ride: wanted the arrays `about` and `samples`, as `drive` writes them"
            )
        if inside["about.npy"].file_size > LARGEST_TEXT:
            raise refused(file, "says more about itself than anyone would")
        with held.open("about.npy") as stream:
            about = _about(str(_array(stream)).encode(), file)
        samples = _samples(path, held, inside["samples.npy"])
    if samples.ndim != 2 or len(samples) != len(about["channels"]):
        raise refused(file, f"samples of shape {samples.shape} for {len(about['channels'])} channels")
    columns = [
        Column(one["name"], one["unit"], row, about["rate_hz"], about["start_s"], None, file)
        for one, row in zip(about["channels"], samples, strict=True)
    ]
    return Found(tuple(columns), about["labels"], (f"Read {samples.shape[1]} samples.",), about["name"])


def _about(data: bytes, file: str) -> dict[str, Any]:
    """What a ride's file says about it, once it is known to be of the right kinds."""
    try:
        told = json.loads(data)
        channels = [{"name": str(one["name"]), "unit": str(one["unit"])} for one in told["channels"]]
        labels = {str(key): str(value) for key, value in dict(told.get("labels", {})).items()}
        scale = [float(one) for one in told.get("scale", ())]
        numbers = {"rate_hz": float(told["rate_hz"]), "start_s": float(told["start_s"])}
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise refused(file, "does not say what its channels are") from None
    return {
        **numbers,
        "name": str(told.get("name", "")),
        "channels": channels,
        "labels": labels,
        "scale": scale,
    }


def _header(stream: Any) -> tuple[tuple[int, ...], bool, np.dtype[Any]]:
    from numpy.lib import format as npy

    version = npy.read_magic(stream)
    read = npy.read_array_header_1_0 if version == (1, 0) else npy.read_array_header_2_0
    shape, by_column, kind = read(stream, max_header_size=10_000)
    return shape, by_column, kind


def _array(stream: Any) -> Any:
    """An array out of a packed file; ValueError where it is shorter than it says, or holds objects."""
    shape, by_column, kind = _header(stream)
    count = int(np.prod(shape))
    found: Any = np.frombuffer(stream.read(count * kind.itemsize), dtype=kind, count=count)
    return found.reshape(shape, order="F" if by_column else "C")


def _samples(path: Path, held: zipfile.ZipFile, info: zipfile.ZipInfo) -> Any:
    """The samples, left in the file where they lie in it as they are."""
    if info.file_size > LARGEST_INSIDE:
        raise refused(str(path), f"unfolds to more than {LARGEST_INSIDE // 10**9} GB")
    if info.compress_type != zipfile.ZIP_STORED:
        with held.open(info) as stream:
            return _array(stream)
    with path.open("rb") as stream:
        stream.seek(info.header_offset + 26)
        name, extra = struct.unpack("<HH", stream.read(4))
        stream.seek(name + extra, 1)
        shape, by_column, kind = _header(stream)
        if kind.hasobject or kind.kind not in "fiu":
            raise refused(str(path), "holds samples that are no numbers")
        if not np.prod(shape):
            return np.zeros(shape)
        return np.memmap(path, kind, "r", stream.tell(), shape, "F" if by_column else "C")
