"""The numbers behind an answer, in words and in the units that their user writes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..model.numbers import Known
from ..model.units import Display, Kind, significant

# what the last word of a path is kept in, where the number itself does not say: estimates carry no unit
UNITS = {
    "kg": (
        "load", "unsprung_mass", "mass", "sprung_mass", "sprung_load", "rating", "tyre_rating",
        "bracket_mass", "gross_rating", "dual_rating",
    ),
    "m": (
        "station", "wheelbase", "front_end", "rear_end", "front_overhang", "rear_overhang",
        "centre_of_gravity", "radius_of_gyration", "circumference", "contact_length", "height", "to",
        "tyre_diameter", "tyre_width", "tyre_deflection", "static_deflection", "rim_diameter", "flange",
        "thickness", "length", "above_ground", "centre_of_gravity_height", "bump_travel", "rebound_travel",
    ),
    "N/m": (
        "spring_rate", "static_spring_rate", "air_rate", "tyre_rate", "rate", "bracket_rate", "stop_rate",
        "bush_rate",
    ),
    "N*s/m": ("damping", "tyre_damping", "compression_damping", "rebound_damping"),
    "N": ("friction",),
    "N*m^2": ("bending_stiffness",),
    "kg*m^2": ("pitch_inertia",),
    "Pa": ("pressure", "rated_pressure"),
    "m^3": ("volume",),
    "Hz": ("frequency", "first_bending", "mount_frequency"),
}  # fmt: skip
_UNIT_OF = {word: unit for unit, words in UNITS.items() for word in words}
_KINDS: dict[str, Kind] = {
    "kg": "mass", "N/m": "stiffness", "N*s/m": "damping", "N": "force", "Hz": "frequency", "m/s": "speed",
}  # fmt: skip
# shown in SI whatever the system: nobody writes them otherwise (unit, how many of the SI unit one is)
_SHOWN_SI = {"N*m^2": ("MN m²", 1e6), "kg*m^2": ("kg m²", 1.0), "m^3": ("L", 1e-3)}
_PRESSURES = {"metric": ("bar", 1e5), "US": ("psi", 6894.757293168361)}
SMALL = 0.1  # [m] lengths below are shown in mm or in
WIDE = 0.3  # a spread of more than this share is told as a factor


@dataclass(frozen=True)
class Entry:
    """One number that was used.

    path           as the resolver calls it
    words          as a person would: "rear axle: tyre rate"
    value, half    in `unit` (SI); half the 95 % width
    spread_law     factor (positive, uncertain by a factor) or shift
    """

    path: str
    words: str
    value: float
    unit: str
    half: float
    origin: str
    source: str
    spread_law: str


def entries(ledger: Mapping[str, Known]) -> tuple[Entry, ...]:
    """Every number of a ledger that is one; yes-or-no facts of the plan are left out."""
    return tuple(
        Entry(path, in_words(path), k.value, k.unit or unit_of(path), k.half, k.origin, k.source, k.law)
        for path, k in ledger.items()
        if not _fact(path)
    )


def _fact(path: str) -> bool:
    last = path.rpartition(".")[2]
    return last.startswith("is_") or last in ("driven", "massless", "axles")


def unit_of(path: str) -> str:
    """The SI unit that a number is kept in; "" for a pure number.

    >>> unit_of("axle.rear.tyre_rate"), unit_of("frame.loss_factor"), unit_of("frame.rail.height")
    ('N/m', '', 'm')
    """
    return _UNIT_OF.get(path.rpartition(".")[2], "")


def in_words(path: str) -> str:
    """A path as a person would say it.

    >>> in_words("axle.rear.tyre_rate"), in_words("body.cab.mount.0.rate"), in_words("vehicle.pitch_inertia")
    ('rear axle: tyre rate', 'cab: mount 1 rate', 'vehicle: pitch inertia')
    """
    kind, _, rest = path.partition(".")
    if kind in ("vehicle", "frame", "inputs", "limits") or "." not in rest:
        return f"{kind}: {rest.replace('.', ' ').replace('_', ' ')}"
    name, _, what = rest.partition(".")
    owner = f"{name} axle" if kind == "axle" else name
    return f"{owner}: {_counted_from_one(what.split('.'))}"


def _counted_from_one(words: list[str]) -> str:
    """Items of a list are counted from zero inside and from one by people."""
    return " ".join(str(int(w) + 1) if w.isdigit() else w.replace("_", " ") for w in words)


def shown(entry: Entry, show: Display) -> str:
    """The number in its user's unit."""
    value, unit = entry.value, entry.unit
    if unit == "":
        return f"{value:.3g}"
    if unit == "m":
        return show.show(value, "small_length" if 0 < abs(value) < SMALL else "length")
    if unit in _KINDS:
        return readable(show.show(value, _KINDS[unit]))
    word, one = _PRESSURES[show.system] if unit == "Pa" else _SHOWN_SI.get(unit, (unit, 1.0))
    return readable(f"{significant(value / one)} {word}")


def spread(entry: Entry, show: Display) -> str:
    """Its spread: a share, a factor where it is wide, a length for a station, a dash where there is none."""
    if entry.half == 0:
        return "–"
    if entry.spread_law == "shift":
        return (
            f"± {show.show(entry.half, 'small_length')}"
            if entry.unit == "m"
            else f"± {significant(entry.half)}"
        )
    share = entry.half / abs(entry.value) if entry.value else 0.0
    return f"± {share:.0%}".replace("%", " %") if share <= WIDE else f"factor {1 + share:.2f}"


def readable(text: str) -> str:
    """A unit as it is printed rather than typed.

    >>> readable("12.0 N*s/m"), readable("0.31 m/s^2")
    ('12.0 N s/m', '0.31 m/s²')
    """
    return text.replace("*", " ").replace("^2", "²").replace("^3", "³")
