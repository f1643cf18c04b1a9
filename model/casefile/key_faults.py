"""The keys of a case file, read and checked one by one; where some are wrong, the others are still looked at.

A key that could not be read is mended with its example, so that contradictions among the rest can be found in
the same go; what hangs on a mended key is not reported.
"""

from __future__ import annotations

import types
from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from ..faults import nearest
from ..units import UnitFault, shorten
from .kinds import Quantity
from .lines import Key
from .schema import CaseFile

MOST_ERRORS = 200
ROUNDS = 8  # of mending
NO_SUCH_KEY = "no such key here"
_PLAIN = {
    "bool_type": "wanted true or false",
    "int_type": "wanted a whole number",
    "string_type": "wanted words in quotes",
    "list_type": "wanted a list, [ … ]",
    "dict_type": "wanted tables with names, such as [axle.rear]",
    "model_type": "wanted a table, { … } or under a heading of its own",
}


@dataclass(frozen=True)
class Finding:
    """A fault without its line: key to blame, what came, what was wanted, other keys that it hangs on."""

    key: Key
    given: str
    wanted: str
    near: str = ""
    example: str = ""
    others: tuple[Key, ...] = ()


@dataclass(frozen=True)
class Keys:
    """What was read of a case file, as far as it could be.

    file    None where too little is right to go on
    faults  of single keys
    mended  keys that were given their example, so that the others could be looked at
    lost    names that had to be mended, as they are shown: others may still refer to them
    """

    file: CaseFile | None
    faults: tuple[Finding, ...] = ()
    mended: tuple[Key, ...] = ()
    lost: tuple[str, ...] = ()


def related(key: Key, other: Key) -> bool:
    """Whether one key is the other, or a table around it.

    >>> related(("axle", "rear"), ("axle", "rear", "load")), related(("axle",), ("body",))
    (True, False)
    """
    shorter = min(len(key), len(other))
    return key[:shorter] == other[:shorter]


def read_keys(raw: dict[str, Any]) -> Keys:
    """A case file out of the tables of its TOML text."""
    faults: tuple[Finding, ...] = ()
    mended: list[Key] = []
    lost: list[str] = []
    for turn in range(ROUNDS):
        try:
            return Keys(CaseFile.model_validate(raw), faults, tuple(mended), tuple(lost))
        except ValidationError as error:
            errors = error.errors(include_url=False)
        if turn == 0:
            faults, raw = tuple(_finding(one) for one in errors[:MOST_ERRORS]), deepcopy(raw)
        for one in errors:
            key = _key(one)
            mended.append(key)
            lost += [shorten(name) for name in _names(one)]
            _mend(raw, key, one)
    return Keys(None, faults, tuple(mended))


# --- what a key is -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Place:
    """What stands at a key of the schema: its type, its field and how its quantity is read."""

    kind: Any
    field: FieldInfo | None = None
    quantity: Quantity | None = None

    @property
    def example(self) -> Any:
        """A value that would do, or None."""
        if self.field and self.field.examples:
            return self.field.examples[0]
        return self.quantity.wants.example if self.quantity else None

    @property
    def names(self) -> Mapping[str, FieldInfo]:
        """The keys of a table."""
        fields = self.kind.model_fields if _is_table(self.kind) else {}
        return {info.alias or name: info for name, info in fields.items()}


def place_of(key: Key) -> Place | None:
    """What the schema has at a key."""
    place: Place | None = Place(CaseFile)
    for part in key:
        place = place and _within(place, part)
    return place


def _within(place: Place, part: str | int) -> Place | None:
    if _is_table(place.kind):
        info = place.names.get(str(part))
        return _bare(info.annotation, info, info.metadata) if info else None
    if get_origin(place.kind) in (list, dict):
        return _bare(get_args(place.kind)[-1], None, [])
    return None


def _bare(kind: Any, field: FieldInfo | None, metadata: list[Any]) -> Place:
    """A type without what is annotated to it, and without None."""
    if get_origin(kind) is Annotated:
        kind, *more = get_args(kind)
        metadata = [*metadata, *more]
    if get_origin(kind) in (Union, types.UnionType):
        kind = next(one for one in get_args(kind) if one is not type(None))
    quantities = [one for one in metadata if isinstance(one, Quantity)]
    return Place(kind, field, quantities[0] if quantities else None)


def _is_table(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, BaseModel)


def example_of(key: Key) -> str:
    """A line of TOML that would do at a key, or nothing.

    >>> example_of(("axle", "rear", "tyre"))
    'tyre = "225/70R19.5"'
    """
    place = place_of(key)
    return f"{key[-1]} = {_toml(place.example)}" if place and place.example is not None else ""


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return f"[{', '.join(map(_toml, value))}]"
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{name} = {_toml(one)}' for name, one in value.items())} }}"
    return f'"{value}"' if isinstance(value, str) else str(value)


# --- faults -------------------------------------------------------------------------------------------------


def _key(error: Any) -> Key:
    return tuple(part for part in error["loc"] if part != "[key]")


def _names(error: Any) -> list[Any]:
    """The name that an error is about, if it is about one."""
    if error["loc"][-1] == "[key]":
        return [error["loc"][-2]]
    return [error["input"]] if error["loc"][-1] == "name" and error["type"] != "missing" else []


def _finding(error: Any) -> Finding:
    key, kind = _key(error), error["type"]
    around, place = place_of(key[:-1]), place_of(key)
    given = "" if kind == "missing" else shorten(error["input"])
    if kind == "missing":
        return Finding(key, given, "needed here, and missing", example=example_of(key))
    if kind == "extra_forbidden":
        near = nearest(str(key[-1]), around.names if around else ())
        return Finding(key, given, NO_SUCH_KEY, near)
    if kind == "literal_error":
        allowed = [str(one) for one in get_args(place.kind)] if place else []
        near = nearest(error["input"], allowed) if isinstance(error["input"], str) else ""
        return Finding(key, given, f"wanted one of {error['ctx']['expected']}", near)
    if kind == "value_error":
        return _from_reader(key, given, error["ctx"]["error"])
    return Finding(key, given, _PLAIN.get(kind, error["msg"]), example=example_of(key))


def _from_reader(key: Key, given: str, fault: Exception) -> Finding:
    if not isinstance(fault, UnitFault):
        return Finding(key, given, str(fault)[:300])
    wanted = f"{fault.wanted} ({fault.hint})" if fault.hint else fault.wanted
    return Finding(key, fault.given, wanted, fault.near, fault.example)


# --- mending ------------------------------------------------------------------------------------------------


def _mend(raw: Any, key: Key, error: Any) -> None:
    """Puts the example in the place of what is wrong; what has none is left out."""
    *tables, last = key
    try:
        for part in tables:
            raw = raw[part]
        if error["loc"][-1] == "[key]":
            raw[f"unnamed {len(raw)}"] = raw.pop(last)
            return
        if last == "name" and tables:
            raw[last] = f"unnamed {tables[-1]}"  # an example could be another's name
            return
        place = None if error["type"] == "extra_forbidden" else place_of(key)
        if place is None or place.example is None:
            del raw[last]
        else:
            raw[last] = place.example
    except (KeyError, IndexError, TypeError):  # its table was left out before
        return
