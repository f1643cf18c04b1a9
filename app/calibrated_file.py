"""A calibrated case as a case file: the old text, comments and all, with what moved stated anew."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..model.calibrated import Calibrated
from ..model.casefile.key_faults import place_of, read_keys
from ..model.casefile.lines import Key
from ..model.casefile.needs import key_of
from ..model.casefile.schema import CaseFile
from ..model.casefile.toml_file import read_tables
from ..model.faults import CounterbounceError
from ..model.numbers import Known
from ..model.restated import restated
from ..model.unit_names import factor
from ..model.units import Reading, Wants, read

if TYPE_CHECKING:
    from tomlkit.items import Table

LONGEST = 200  # characters of a source
INWARD = (1.0, 0.98, 0.9, 0.75)  # of the way to a vehicle on the edge, until its case can be [-]


def rewritten(
    text: str,
    name: str,
    found: Calibrated,
    folder: Path | None = None,
    recordings: Sequence[str] = (),
    steps: int = 0,
) -> str:
    """The text of a case file with the numbers of a calibrated vehicle, origin `calibrated`.

    name        of the file, for faults
    folder      where the new one goes, if not beside the old one
    recordings  SHA-256 of those that it was calibrated with
    steps       back from the edge of what can be, where the least moves count too
    """
    import tomlkit

    file = read_keys(read_tables(text, name)).file
    assert file is not None
    document: Any = tomlkit.parse(text)
    held = replace(found, scores=INWARD[steps] * found.scores)
    stated = restated(held, lambda path: _statable(path, file, document), least=steps > 0)
    by = ", ".join(dict.fromkeys(str(datum) for datum in found.data))
    for path, known in stated.numbers.items():
        _put(document, key_of(path, file), known, by)
    for table in document.get("evidence", []):
        table["counted"] = True
    document["calibrated"] = _calibrated(found, stated.ties, [*found.case.counted, *recordings])
    here = Path(name).resolve().parent
    if file.inputs.profile and folder is not None and folder.resolve() != here:
        document["inputs"]["profile"] = str(here / file.inputs.profile)
    new = tomlkit.dumps(document)
    if steps + 1 == len(INWARD) or _can_be(new, str((folder or here) / Path(name).name)):
        return new
    return rewritten(text, name, found, folder, recordings, steps + 1)


def _can_be(text: str, file: str) -> bool:
    """Whether a case can be read again."""
    from ..model.case import parse

    try:
        parse(text, file)
    except CounterbounceError:
        return False
    return True


def _statable(path: str, file: CaseFile, document: Any) -> bool:
    """Whether the case has a key for a number, in a table that can be reached."""
    key = key_of(path, file)
    place = place_of(key)
    if place is None or place.quantity is None:
        return False
    at: Any = document
    for part in key[:-1]:
        if isinstance(part, int):
            if not isinstance(at, list) or part >= len(at):
                return False
            at = at[part]
        elif part in at:
            at = at[part]
        else:
            return all(isinstance(one, str) for one in key)
    return not isinstance(at, str)


def _put(document: Any, key: Key, known: Known, by: str) -> None:
    import tomlkit

    place = place_of(key)
    assert place is not None
    assert place.quantity is not None
    table = document
    for part in key[:-1]:
        if isinstance(part, str) and part not in table:
            table[part] = tomlkit.table()
        table = table[part]
    wants, old = place.quantity.wants, table.get(key[-1])
    table[key[-1]] = written(known, wants, None if old is None else read(old, wants), by)


def written(known: Known, wants: Wants, old: Reading | None, by: str) -> str:
    """A number as a case file writes it, in the unit that it was written in before.

    >>> known = Known(3.03e6, 2e5, "calibrated", "estimated: rails (two)")
    >>> written(known, Wants("N*m^2", "4 MN*m^2"), None, "natural frequency")
    '3.03e+06 N*m^2 ± 2e+05 N*m^2 (calibrated: natural frequency; was estimated: rails [two])'
    """
    unit = old.unit_written if old and old.unit_written else wants.unit
    scale = 1.0 if wants.pure else factor(unit, wants.unit)
    unit = "" if wants.pure else f" {unit}"
    source = f"{by}; was {known.source}".replace("(", "[").replace(")", "]")
    shown = source if len(source) <= LONGEST else source[: LONGEST - 1] + "…"
    value, half = known.value / scale, max(known.half, 1e-9) / scale
    return f"{value:.6g}{unit} ± {half:.3g}{unit} (calibrated: {shown})"


def with_doubt(text: str, doubt: str) -> str:
    """A calibrated case with what its recordings said against a damper, so that it is not forgotten."""
    import tomlkit

    document: Any = tomlkit.parse(text)
    document["calibrated"]["doubt"] = doubt
    return tomlkit.dumps(document)


def _calibrated(found: Calibrated, ties: Any, recordings: Sequence[str]) -> Table:
    import tomlkit

    table = tomlkit.table()
    said = "Written by counterbounce calibrate: the numbers marked calibrated hang together."
    table.add(tomlkit.comment(said))
    table["felt"] = all(datum.felt for datum in found.data)
    table["words"] = found.words
    if recordings:
        table["recordings"] = list(dict.fromkeys(recordings))
    rows: dict[str, Any] = {}
    for (one, other), share in ties.items():
        rows.setdefault(one, tomlkit.inline_table())[other] = share
    inner = tomlkit.table()
    for path, row in rows.items():
        inner[path] = row
    table["ties"] = inner
    return table
