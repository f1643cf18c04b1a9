"""Answers to the questions, each checked as it comes: by the units door and the kinds of the case file."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..model.faults import Fault, nearest
from .questions import METRIC, US, Question

if TYPE_CHECKING:
    from ..model.units import Reading

ALWAYS_THERE = ("front end", "rear end")  # places that every vehicle has, without a point of their own
TAKEN = ("frame", "ground", "body")
_BETWEEN = re.compile(r"\s+to\s+|(?<=\w)\s*[-–]\s*(?=\d)")


@dataclass(frozen=True)
class Answer:
    """An answer as it goes into the file: a text, or two for a band; and what was noticed about it.

    readings  what was read, SI
    guessed   nobody gave it
    odd       why it may be a slip, or nothing
    band      of speeds, as it was given
    """

    texts: tuple[str, ...]
    readings: tuple[Reading, ...] = ()
    guessed: bool = False
    odd: str = ""
    band: str = ""

    @property
    def text(self) -> str:
        """The text, or the first of the two."""
        return self.texts[0]


def fault_of(error: ValueError, where: str) -> Fault:
    """What is wrong with an answer, as for a key of a case file; `where` it was given."""
    from ..model.units import UnitFault

    if not isinstance(error, UnitFault):
        return Fault(where, None, "", "", str(error))
    wanted = f"{error.wanted} ({error.hint})" if error.hint else error.wanted
    return Fault(where, None, "", error.given, wanted, error.near, error.example)


def missing(question: Question) -> Fault:
    """A fact that no case can do without, and that was not given."""
    example = " or ".join(f"{question.option} {shlex.quote(one)}" for one in question.examples)
    return Fault(question.option, None, "", "", f"needed: {question.ask}", example=example)


def system_of(answers: Iterable[Answer]) -> int | None:
    """Metric (0) or US (1), by the units written so far; None where there are none."""
    from ..model.units import display_of

    units = [reading.unit_written for answer in answers for reading in answer.readings if not answer.guessed]
    return (US if display_of(units).system == "US" else METRIC) if units else None


def unanswered(question: Question, system: int | None) -> Answer | None:
    """What no answer means: a guess that is marked, a default, or nothing."""
    from ..model.casefile import kinds
    from ..model.units import read

    if question.guess is None:
        return Answer((question.default,)) if question.default else None
    text = question.guess[system or METRIC]
    as_kind = kinds.as_length if question.kind == "tyre" else getattr(kinds, f"as_{question.kind}")
    return Answer((text,), (read(text, as_kind.wants),), guessed=True)


def check(question: Question, written: str) -> Answer:
    """An answer as it goes into the file.  Raises ValueError, a UnitFault where there is more to say.

    >>> from .questions import QUESTIONS
    >>> check(QUESTIONS[0], "141 in").text, check(QUESTIONS[0], "3.6 m (estimated: photograph)").text
    ('141 in (measured: tape)', '3.6 m (estimated: photograph)')
    """
    from ..model.units import UnitFault, shorten

    text = " ".join(written.split())
    if not text.isprintable():
        raise UnitFault(shorten(text), "wanted plain words")
    return _READERS.get(question.kind, _quantity)(question, text)


def _quantity(question: Question, text: str) -> Answer:
    from ..model.casefile import kinds
    from ..model.units import read

    reading = read(text, getattr(kinds, f"as_{question.kind}").wants)
    origin = f" ({question.origin})" if question.origin and reading.origin is None else ""
    return Answer((text + origin,), (reading,), odd=_odd(question, reading))


def _odd(question: Question, *readings: Reading) -> str:
    """Whether a reading lies outside what is met in practice."""
    low, high = question.usual
    if all(low <= reading.value <= high for reading in readings):
        return ""
    system = system_of([Answer(("",), readings)])
    return f"outside the usual {question.usually[system or METRIC]}"


def _band(question: Question, text: str) -> Answer:
    """Two speeds out of "45 to 50 mph", "72-80 km/h" or "45 mph to 50 mph"; one alone is both."""
    from ..model.casefile.kinds import as_speed
    from ..model.units import UnitFault, read, shorten

    first, *more = _BETWEEN.split(text, maxsplit=1)
    last = more[0] if more else first
    to = read(last, as_speed.wants)
    if re.fullmatch(r"[\d.]+", first):
        first = f"{first} {to.unit_written}"
    from_ = read(first, as_speed.wants)
    if from_.value > to.value:
        raise UnitFault(shorten(text), "wanted speeds from slow to fast", example='"45 to 50 mph"')
    return Answer((first, last), (from_, to), odd=_odd(question, from_, to), band=text)


def _tyre(question: Question, text: str) -> Answer:
    from ..model.casefile.kinds import tyre_size
    from ..model.units import UnitFault, shorten

    try:
        return Answer((tyre_size(text),))
    except ValueError as error:
        raise UnitFault(shorten(text), str(error).partition(", got")[0]) from None


def _one_of(question: Question, text: str) -> Answer:
    from ..model.units import UnitFault, shorten

    words = tuple(question.words or ())
    meant = [word for word in words if word.startswith(text.casefold())]
    if len(meant) != 1 and text.casefold() not in words:
        near = nearest(text, words)
        raise UnitFault(shorten(text), f"wanted one of {', '.join(words)}", near=near)
    return Answer((text.casefold() if text.casefold() in words else meant[0],))


def _place(question: Question, text: str) -> Answer:
    from pydantic import TypeAdapter, ValidationError

    from ..model.casefile.kinds import Name
    from ..model.units import UnitFault, shorten

    if text.casefold() in ALWAYS_THERE:
        return Answer((text.casefold(),))
    if text.casefold() in TAKEN:
        raise UnitFault(shorten(text), "wanted a place in the vehicle", example='"driver\'s floor"')
    try:
        return Answer((TypeAdapter(Name).validate_python(text),))
    except ValidationError as error:
        raise error.errors()[0]["ctx"]["error"] from None


def _title(question: Question, text: str) -> Answer:
    from ..model.units import UnitFault, shorten

    if len(text) > 200:
        raise UnitFault(shorten(text), "wanted 200 characters or fewer")
    return Answer((text,))


_READERS = {"band": _band, "tyre": _tyre, "one of": _one_of, "place": _place, "title": _title}
