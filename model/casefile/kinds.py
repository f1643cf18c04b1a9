"""Kinds of values in a case file: what is read as which unit, within which bounds, with which example."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field
from pydantic_core import core_schema

from ..tyres import parse_size
from ..units import Reading, UnitFault, Wants, read, shorten

Complaining = Literal["vertical", "fore-aft", "side to side", "steering", "roll", "twist"]
_PATTERN = r"^\s*[+\-−]?(\d+\.?\d*|\.\d+)([eE][+\-]?\d+)?\s*"


class Quantity:
    """Reads a quantity where pydantic finds it in an annotation; `words` stand for themselves ("end")."""

    def __init__(self, unit: str, example: str, *words: str, **wants: Any) -> None:
        self.wants, self.words = Wants(unit, example, **wants), words

    def read(self, value: object) -> Reading | str:
        """A reading in the unit wanted, or one of the words.  Raises UnitFault."""
        if isinstance(value, str) and value in self.words:
            return value
        return read(value, self.wants)

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read, metadata={"wants": self.wants})

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        unit = "" if self.wants.pure else "[A-Za-zµ]"
        pattern = _PATTERN + unit + "|".join(["", *(f"^{word}$" for word in self.words)])
        text = {
            "type": "string",
            "pattern": pattern,
            "examples": [self.wants.example],
            "x-unit": self.wants.unit,
        }
        if not self.wants.pure:
            return text
        return {"anyOf": [{"type": "number"}, text], "examples": [self.wants.example], "x-unit": ""}


def _name(text: str) -> str:
    """A name that can be part of a path such as "axle.rear.load"."""
    if not text.strip() or text != text.strip() or "." in text or not text.isprintable() or len(text) > 60:
        wanted = "wanted a name of 1 to 60 characters, without dots and without blanks at its ends"
        raise UnitFault(shorten(text), wanted, example='"rear 2"')
    return text


def tyre_size(text: str) -> str:
    """The size as written, once it has been understood.  Raises ValueError."""
    parse_size(text)
    return text


as_mass = Quantity("kg", "600 kg", above=1e-3, below=1e6)
as_station = Quantity("m", "1.2 m", above=-50, below=50, law="shift")
as_length = Quantity("m", "1.2 m", above=0, below=100)
as_wheelbase = Quantity("m", "3.8 m", above=0.1, below=50, law="shift")
as_overhang = Quantity("m", "1.1 m", at_least=0, below=50, law="shift")
as_height = Quantity("m", "0.8 m", above=0, below=10, law="shift")
as_small = Quantity("m", "0.8 mm", at_least=0, below=0.5)
as_rate = Quantity("N/m", "310 kN/m", above=1, below=1e11)
as_damping = Quantity("N*s/m", "9 kN*s/m", at_least=0, below=1e9)
as_some_damping = Quantity("N*s/m", "9 kN*s/m", above=0, below=1e9)
as_force = Quantity("N", "4 kN", above=0, below=1e6)
as_travel = Quantity("m", "70 mm", above=0, below=1)
as_inertia = Quantity("kg*m^2", "14000 kg*m^2", above=0, below=1e8)
as_pressure = Quantity("Pa", "5.5 bar", above=1e4, below=1e7)
as_bending = Quantity("N*m^2", "4.5 MN*m^2", above=100, below=1e12)
as_loss = Quantity("", "4 %", at_least=0, below=2, pure=True)
as_ratio = Quantity("", "4.1", above=0, below=100, pure=True)
as_share = Quantity("", "25 %", above=0, below=1, pure=True)
as_speed = Quantity("m/s", "90 km/h", above=0, below=150)

Mass = Annotated[Reading | None, as_mass]
NeedsMass = Annotated[Reading, as_mass]
Station = Annotated[Reading | None, as_station]
Length = Annotated[Reading | None, as_length]
NeedsLength = Annotated[Reading, as_length]
Wheelbase = Annotated[Reading | None, as_wheelbase]
Overhang = Annotated[Reading | None, as_overhang]
Small = Annotated[Reading | None, as_small]
Height = Annotated[Reading | None, as_height]
Rate = Annotated[Reading | None, as_rate]
NeedsRate = Annotated[Reading, as_rate]
Damping = Annotated[Reading | None, as_damping]
SomeDamping = Annotated[Reading | None, as_some_damping]
Force = Annotated[Reading | None, as_force]
Travel = Annotated[Reading | None, as_travel]
Inertia = Annotated[Reading | None, as_inertia]
Pressure = Annotated[Reading | None, as_pressure]
Bending = Annotated[Reading | None, as_bending]
Loss = Annotated[Reading | None, as_loss]
Ratio = Annotated[Reading | None, as_ratio]
Share = Annotated[Reading | None, as_share]
Name = Annotated[str, AfterValidator(_name)]
Word = Annotated[str, Field(min_length=1, max_length=100)]
Prose = Annotated[str, Field(max_length=4000)]


def key(description: str, default: Any = None, example: Any = None, **bounds: Any) -> Any:
    """A key that may be left out."""
    examples = None if example is None else [example]
    return Field(default, description=description, examples=examples, **bounds)


def needed(description: str, example: Any = None, **bounds: Any) -> Any:
    """A key that its table cannot do without."""
    return Field(description=description, examples=None if example is None else [example], **bounds)


class Table(BaseModel):
    """A table of a case file: no other keys, and no silent change of one type into another."""

    model_config = ConfigDict(extra="forbid", strict=True)
