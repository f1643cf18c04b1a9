"""The text of a starter case: what was answered, and commented lines for what a technician may add."""

from __future__ import annotations

import json
import shlex
from collections.abc import Mapping
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Any, get_args

from .answers import Answer, system_of
from .questions import METRIC, QUESTIONS, US

if TYPE_CHECKING:
    from ..model.units import Display

SLOWEST, FASTEST = 10.0, 33.0  # [m/s] looked at where a starter shows how that is written


def starter_text(answers: Mapping[str, Answer | None], path: Path) -> str:
    """The case file; None stands for a fact that is left out.

    Raises CounterbounceError where it would not load.
    """
    from ..model.case import parse

    text: str = _template().render(command=command(path), **_facts(answers))
    parse(text, str(path))
    return text


def command(path: Path) -> str:
    """What answers a case.

    >>> command(Path("my truck.toml"))
    "counterbounce assess 'my truck.toml'"
    """
    return f"counterbounce assess {shlex.quote(str(path))}"


def guesses(answers: Mapping[str, Answer | None]) -> list[str]:
    """The facts that nobody gave, in the order of asking."""
    found = {fact for fact, answer in answers.items() if answer is not None and answer.guessed}
    return [question.fact.replace("_", " ") for question in QUESTIONS if question.fact in found]


def _template() -> Any:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    world = Environment(
        loader=PackageLoader("counterbounce.app", "templates"),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    world.filters["text"] = _quoted
    return world.get_template("starter.toml")


def _quoted(text: str) -> str:
    """As a basic string of TOML, which for what can be printed is one of JSON."""
    return json.dumps(text, ensure_ascii=False)


def _facts(answers: Mapping[str, Answer | None]) -> dict[str, Any]:
    display, system = _display(answers)
    values = {fact: _value(answers[fact]) for fact in ("wheelbase", "front_load", "rear_load")}
    felt = answers["complaint"]
    band = [reading.value for reading in felt.readings] if felt else []
    return (
        values
        | _to_be_looked_at(answers)
        | {
            "a": answers,
            "us": system == US,
            "name": _name(answers),
            "guesses": guesses(answers),
            "length": lambda x: _quoted(display.show(x, "small_length" if system == US else "length", 2)),
            "mass": lambda x: _quoted(display.show(x, "mass", 2)),
            "speed": lambda x: _quoted(display.show(x, "speed", 2)),
            "slowest": min([SLOWEST, *(0.9 * v for v in band)]),
            "fastest": max([FASTEST, *(1.1 * v for v in band)]),
        }
    )


def _to_be_looked_at(answers: Mapping[str, Answer | None]) -> dict[str, Any]:
    """What only somebody at the vehicle can say: nothing is said for them, so that nothing passes unseen."""
    from ..model.casefile.schema import ChecksTable
    from ..model.observations import PACE, PACES, Change, Result

    changes = [change for change in get_args(Change) if change != PACE]
    looked_at = {name: answers[f"check_{name}"] for name in ChecksTable.model_fields}
    return {
        "checks": [(name, ChecksTable.model_fields[name].description, a) for name, a in looked_at.items()],
        "looked_at": any(looked_at.values()),
        "change": changes[0],
        "changes": wrap(", ".join(changes), 100),
        "results": [result for result in get_args(Result) if result not in PACES],
    }


def _display(answers: Mapping[str, Answer | None]) -> tuple[Display, int]:
    """The units that the person writes, and whether they are metric (0) or US (1)."""
    from ..model.units import display_of

    given = [answer for answer in answers.values() if answer is not None and not answer.guessed]
    units = [reading.unit_written for answer in given for reading in answer.readings]
    return display_of(units), system_of(given) or METRIC


def _value(answer: Answer | None) -> float:
    return answer.readings[0].value if answer and answer.readings else 0.0


def _name(answers: Mapping[str, Answer | None]) -> str:
    name, felt = answers["name"], answers["complaint"]
    if name is not None:
        return name.text
    return f"Vehicle that shakes at {felt.band}" if felt else "Vehicle that shakes"
