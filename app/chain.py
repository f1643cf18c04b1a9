"""The whole chain: recordings read, a vehicle corrected by them, and its answer without and with them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from ..model.calibrate import calibrate
from ..model.calibrated import Calibrated
from ..model.case import Case, parse
from ..model.datum import Datum
from ..model.heard import from_ride
from ..model.meanings import Unexplained
from ..model.settle import settled
from ..sizing.assess import Assessment, assess
from ..sizing.recorded import against, without_agreement
from .calibrate_table import NONE, stranger
from .calibrated_file import rewritten, with_doubt
from .read_study import Asked, Heard, heard_each


@dataclass(frozen=True)
class Chain:
    """Recordings, and what they make of a case.

    heard      each recording as it was read, without knowing what was predicted
    found      the vehicle that agrees with them; None where no mode comes near what was recorded
    strangers  what lies furthest from all else, in words, where no plausible vehicle agrees
    before     the answer without the recordings
    after      the answer with them: of the corrected vehicle, or, where none agrees, of the uncorrected one
    text       of the corrected case file; empty where nothing was corrected
    """

    heard: tuple[Heard, ...]
    found: Calibrated | None
    strangers: tuple[str, ...]
    before: Assessment
    after: Assessment
    text: str

    @property
    def file(self) -> str:
        """The name of the corrected case file."""
        return self.after.case.path.name if self.text else ""


def chain(case: Case, rides: Sequence[Asked], folder: Path | None, say: Callable[[str], None]) -> Chain:
    """Read recordings, correct a case by them and by its own evidence, and answer it without and with them.

    rides   the files of each ride, and what is known of them
    folder  where the corrected case file is to lie; None: beside the old one

    Raises CounterbounceError with every fault of the recordings.
    """
    say("reading the recordings")
    with threadpool_limits(1):
        heard = heard_each(rides, case)
        say("looking for the vehicle that agrees")
        found, strangers = _agreeing(case, [*case.evidence, *_data(case, heard)])
    hashes = [digest for one in heard for digest in one.hashes.values()]
    moved = found is not None and found.agrees and found.moved
    text = rewritten(_text(case), str(case.path), found, folder, hashes) if found and moved else ""
    say("answering without the recordings")
    before = assess(case, say)
    say("answering with them")
    said = tuple(one.said for one in heard)
    after = assess(replace(_corrected(case, text, folder), said=said), say)
    if strangers:
        after = replace(after, verdict=without_agreement(before.verdict, after.verdict, strangers))
    if text and (doubt := against(after.host)):
        text = with_doubt(text, doubt)
        told = replace(_corrected(case, text, folder), said=said)
        after = replace(after, host=replace(after.host, case=told))
    return Chain(heard, found, strangers, before, after, text)


def _corrected(case: Case, text: str, folder: Path | None) -> Case:
    return parse(text, str(_beside(case, folder))) if text else case


def _data(case: Case, heard: Sequence[Heard]) -> list[Datum]:
    vehicle = settled(case.plan, case.numbers)
    return [datum for one in heard for datum in from_ride(one.evidence, vehicle, one.name)]


def _agreeing(case: Case, data: Sequence[Datum]) -> tuple[Calibrated | None, tuple[str, ...]]:
    """The vehicle that agrees with data, or the strangers among them."""
    try:
        found = calibrate(case, data)
    except Unexplained as error:
        return None, tuple(stranger(case, data, name) for name in error.groups)
    if found.agrees:
        return found, ()
    return found, tuple(stranger(case, data, name) for name in found.strangers) or (NONE,)


def _text(case: Case) -> str:
    return case.path.read_bytes().decode("utf-8-sig")


def _beside(case: Case, folder: Path | None) -> Path:
    return (folder or case.path.parent) / f"{case.path.stem}-calibrated.toml"
